"""A store keeps every finished point through kill -9, a full disk, damage and a second process."""

import os
import pickle
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import xarray as xr

import gateswing as gs
from gateswing.sweeping import run as sweep_run
from gateswing.sweeping.chunk import run_chunk
from gateswing.sweeping.kinds import Point
from gateswing.sweeping.store import PointStore, point_keys

# As many as take a second or two: a kill has to come between the first and the last.
POINTS = 384
KILLS = 2
THREADS = 2


def arguments(points: int, store: Path | None, **more: Any) -> dict[str, Any]:
    resistances = np.linspace(5.0, 15.0, points // 8).tolist()
    grid = {"frequency": [1e5, 1.1e5], "duty": [0.4, 0.45, 0.5, 0.55], "gate_resistance": resistances}
    return grid | {"store": store, "relative_tolerance": 1e-6, "threads": THREADS} | more


@pytest.fixture(scope="module")
def whole(quick_cell: gs.LowSideCell) -> xr.Dataset:
    """Of a run in one go, without a store."""
    return gs.sweep(quick_cell, **arguments(POINTS, None))


@pytest.fixture
def small_chunks(monkeypatch: pytest.MonkeyPatch) -> None:
    """Lets the points of a sweep arrive by and by, however busy the machine is."""

    def slow(*of: Any) -> Any:
        time.sleep(0.03)
        return run_chunk(*of)

    monkeypatch.setattr(sweep_run, "run_chunk", slow)
    monkeypatch.setattr(sweep_run, "_FULL", 8)
    monkeypatch.setattr(sweep_run, "_MOST_POINTS", 8)


# A sweep in a process of its own, which notes every chunk as it begins.
CHILD = """
import pickle, sys, time
from pathlib import Path
import gateswing as gs
from gateswing.sweeping import run as sweep_run
from gateswing.sweeping.chunk import run_chunk

cell, arguments, log = pickle.loads(Path(sys.argv[1]).read_bytes())
plain = sweep_run.run_chunk

def noted(points, *rest):
    line = repr([(p.cell.gate_resistance, p.frequency, p.duty) for p in points])
    with open(log, "a") as file:
        file.write(line + "\\n")
    time.sleep(0.03)  # lest the sweep ends before it is killed
    return plain(points, *rest)

sweep_run.run_chunk = noted
sweep_run._FULL, sweep_run._MOST_POINTS = 8, 8  # so that points arrive by and by
gs.sweep(cell, **arguments)
"""


def start(cell: gs.LowSideCell, wanted: dict[str, Any], folder: Path) -> subprocess.Popen[bytes]:
    job = folder / "job.pickle"
    job.write_bytes(pickle.dumps((cell, wanted, str(folder / "log"))))
    return subprocess.Popen([sys.executable, "-c", CHILD, str(job)])


def kill_while_running(process: subprocess.Popen[bytes], store: Path, more: int) -> bool:
    """Kill -9 once `more` points have been added; false if the sweep ended first."""
    before = stored(store)
    while stored(store) < before + more:
        if process.poll() is not None:
            return False
        time.sleep(0.005)
    process.send_signal(signal.SIGKILL)
    process.wait()
    return True


def stored(path: Path) -> int:
    if not path.exists():
        return 0
    with PointStore(path) as store:
        return len(store)


def test_a_killed_sweep_goes_on_where_it_was(
    quick_cell: gs.LowSideCell, tmp_path: Path, whole: xr.Dataset
) -> None:
    store, random = tmp_path / "points.db", np.random.default_rng(1)
    repeated: list[int] = []
    for _ in range(KILLS):
        process = start(quick_cell, arguments(POINTS, store), tmp_path)
        killed = kill_while_running(process, store, int(random.integers(1, POINTS // KILLS // 2)))
        assert killed
        begun = (tmp_path / "log").read_text().splitlines()
        in_flight = [eval(line) for line in begun[-THREADS - 1 :]]
        repeated.append(sum(map(len, in_flight)))
    assert start(quick_cell, arguments(POINTS, store), tmp_path).wait() == 0
    computed = [point for line in (tmp_path / "log").read_text().splitlines() for point in eval(line)]
    assert len(set(computed)) == POINTS
    assert len(computed) - POINTS <= sum(repeated)
    print("computed twice:", len(computed) - POINTS, "kills:", KILLS)
    # Nothing is left to compute, and every figure is bitwise that of a run in one go.
    with never_computing():
        xr.testing.assert_identical(gs.sweep(quick_cell, **arguments(POINTS, store)), whole)


@contextmanager
def never_computing() -> Iterator[None]:
    def forbidden(*_: object) -> None:
        raise AssertionError("a point was computed")

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sweep_run, "run_chunk", forbidden)
        yield


def test_an_enlarged_sweep_computes_only_what_is_new(quick_cell: gs.LowSideCell, tmp_path: Path) -> None:
    store = tmp_path / "points.db"
    gs.sweep(quick_cell, **arguments(16, store))
    renamed = quick_cell.replace(mosfet__name="another name", mosfet__source="another source")
    cost = gs.sweep_cost(renamed, **arguments(16, store))
    assert (cost.points, cost.stored, cost.missing, cost.time) == (16, 16, 0, 0.0)
    wider = arguments(16, store) | {"duty": [0.4, 0.45, 0.5, 0.55, 0.6]}
    cost = gs.sweep_cost(quick_cell, **wider, samples=2)
    assert (cost.points, cost.stored, cost.missing) == (20, 16, 4)
    assert cost.time == pytest.approx(4 * cost.point_time / THREADS)
    assert repr(cost).startswith("20 points, 16 of them stored: about ")
    seen: list[tuple[int, int]] = []
    gs.sweep(quick_cell, **wider, progress=lambda done, total: seen.append((done, total)))
    assert seen[0][0] >= 16
    assert seen[-1] == (20, 20)


@pytest.mark.parametrize(
    "change",
    [{"mosfet.drift_resistance": 6e-3}, {"driver.rise_time": "9 ns"}, {"load.resistance": 9.0}],
)
def test_another_circuit_is_another_point(
    quick_cell: gs.LowSideCell, tmp_path: Path, change: dict[str, Any]
) -> None:
    few = arguments(8, tmp_path / "points.db")
    gs.sweep(quick_cell, **few)
    assert gs.sweep_cost(quick_cell.replace(change), **few, samples=1).stored == 0
    assert gs.sweep_cost(quick_cell, **(few | {"relative_tolerance": 1e-4}), samples=1).stored == 0


def test_what_a_driver_draws_at_rest_is_part_of_the_point(quick_cell: gs.LowSideCell, tmp_path: Path) -> None:
    """The two differ in the quiescent current alone: 12 V times 20 mA."""
    one = arguments(8, tmp_path / "points.db") | {"frequency": [1e5], "duty": [0.5]}
    cell = quick_cell.replace(driver="driver-ic-weak", pull_down_resistance="10 kohm")
    losses = [
        float(gs.sweep(cell.replace(driver__quiescent_current=current), **one)["total_loss"].item())
        for current in ("0 A", "20 mA")
    ]
    assert losses[1] - losses[0] == pytest.approx(0.24, rel=1e-3)


def test_names_and_sources_do_not_tell_points_apart(quick_cell: gs.LowSideCell) -> None:
    diode, zener = gs.part("schottky-60V"), gs.ZenerClamp(voltage="40 V", resistance="0.1 ohm")
    clamp = gs.RcdClamp(diode=diode, resistance="1 kohm", capacitance="100 nF")
    cell = quick_cell.replace(freewheel=diode, drain_source_clamp=zener, rcd_clamp=clamp)
    owners = ("mosfet", "driver", "freewheel", "drain_source_clamp", "rcd_clamp.diode")
    renamed = cell.replace({f"{owner}.{text}": "x" for owner in owners for text in ("name", "source")})
    keys = point_keys([Point(one, 1e5, 0.5) for one in (cell, renamed)], 1e-6)
    assert keys[0] == keys[1]


@pytest.mark.usefixtures("small_chunks")
def test_ctrl_c_leaves_what_is_done_in_the_store(quick_cell: gs.LowSideCell, tmp_path: Path) -> None:
    store = tmp_path / "points.db"

    def press(done: int, _total: int) -> None:
        if done >= 5:
            raise KeyboardInterrupt

    with pytest.raises(gs.SweepInterrupted) as interrupted:
        gs.sweep(quick_cell, **arguments(POINTS, store, progress=press))
    finished = int((interrupted.value.partial["status"] == "done").sum())
    assert 5 <= finished < POINTS
    assert stored(store) == finished


def test_a_retry_with_a_store_replaces_the_failures(quick_cell: gs.LowSideCell, tmp_path: Path) -> None:
    few, path = arguments(8, tmp_path / "points.db"), tmp_path / "points.db"
    whole = gs.sweep(quick_cell, **few)
    spoilt = whole.copy(deep=True)
    spoilt["status"][:, 0, 1] = "lost"
    spoilt["total_loss"][:, 0, 1] = np.nan
    assert len(gs.failed(spoilt)) == 1
    again = gs.retry(spoilt, store=path, threads=1)
    xr.testing.assert_identical(again, whole)
    assert np.isnan(spoilt["total_loss"][0, 0, 1])


def test_a_point_retried_at_another_tolerance_keeps_it(quick_cell: gs.LowSideCell, tmp_path: Path) -> None:
    whole = gs.sweep(quick_cell, **arguments(8, tmp_path / "points.db"))
    spoilt = whole.copy(deep=True)
    spoilt["status"][:, 0, 1] = "lost"
    finer = gs.retry(spoilt, relative_tolerance=1e-5)
    first, mended = (finer.isel(gate_resistance=0, frequency=0, duty=place) for place in (0, 1))
    assert first["total_loss"] == whole["total_loss"][0, 0, 0]
    assert mended["total_loss"] != whole["total_loss"][0, 0, 1]
    assert gs.point_of(first).total_loss == first["total_loss"]
    assert gs.point_of(mended).total_loss == mended["total_loss"]
    assert mended["relative_tolerance"] == 1e-5
    tree = gs.waveforms_of(finer.isel(gate_resistance=0, frequency=0, duty=[0, 1]))
    peaks = [float(node["v_ds"].max()) for node in tree["waveforms"].children.values()]
    assert peaks == pytest.approx([float(one["peak_drain_voltage"]) for one in (first, mended)], rel=1e-12)
    lost = finer.copy(deep=True)
    lost["status"][:, 0, 1] = "lost"
    np.testing.assert_array_equal(gs.retry(lost)["total_loss"], whole["total_loss"])
    with pytest.raises(gs.InputError, match="relative_tolerance = 0"):
        gs.retry(spoilt, relative_tolerance=0)


def test_two_processes_share_a_store(quick_cell: gs.LowSideCell, tmp_path: Path, whole: xr.Dataset) -> None:
    store = tmp_path / "points.db"
    folders = [tmp_path / "one", tmp_path / "two"]
    for folder in folders:
        folder.mkdir()
    both = [start(quick_cell, arguments(POINTS, store), folder) for folder in folders]
    assert [process.wait() for process in both] == [0, 0]
    assert stored(store) == POINTS
    with never_computing():
        xr.testing.assert_identical(gs.sweep(quick_cell, **arguments(POINTS, store)), whole)


def test_a_full_disk_ends_the_sweep_and_keeps_the_points(
    quick_cell: gs.LowSideCell, tmp_path: Path, whole: xr.Dataset
) -> None:
    """The limit on the size of a file stands for the disk: a write beyond it fails in the same place."""
    store = tmp_path / "points.db"
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (60_000, before[1]))
    try:
        with pytest.raises(gs.StoreError, match="cannot be used as a store") as error:
            gs.sweep(quick_cell, **arguments(POINTS, store))
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
    assert isinstance(error.value.partial, xr.Dataset)
    kept = stored(store)
    assert 0 < kept < POINTS
    assert int((error.value.partial["status"] == "done").sum()) >= kept
    xr.testing.assert_identical(gs.sweep(quick_cell, **arguments(POINTS, store)), whole)


def test_a_store_that_may_not_be_written_is_refused(quick_cell: gs.LowSideCell) -> None:
    with tempfile.TemporaryDirectory() as folder:
        there = Path(folder) / "there.db"
        gs.sweep(quick_cell, **arguments(8, there))
        there.chmod(0o444)
        Path(folder).chmod(0o555)
        for path in (there, Path(folder) / "new.db"):
            with as_nobody(), pytest.raises(gs.StoreError, match="cannot be used as a store"):
                gs.sweep(quick_cell, **arguments(8, path))


@contextmanager
def as_nobody() -> Iterator[None]:
    """Root may write anywhere, so it becomes another user for a while."""
    if os.geteuid() != 0:
        yield
        return
    os.seteuid(65534)
    try:
        yield
    finally:
        os.seteuid(0)


@pytest.mark.parametrize("share", [0.0, 0.3, 0.9])
def test_a_store_cut_off_is_refused(quick_cell: gs.LowSideCell, tmp_path: Path, share: float) -> None:
    store = tmp_path / "points.db"
    gs.sweep(quick_cell, **arguments(80, store))
    os.truncate(store, int(store.stat().st_size * share))
    with pytest.raises(gs.StoreError, match=r"damaged|malformed|empty|not a database"):
        gs.sweep(quick_cell, **arguments(80, store))


def test_damage_is_found_at_opening(quick_cell: gs.LowSideCell, tmp_path: Path) -> None:
    store = tmp_path / "points.db"
    gs.sweep(quick_cell, **arguments(40, store))
    content = bytearray(store.read_bytes())
    content[2 * 4096 : 3 * 4096] = bytes(4096)
    store.write_bytes(content)
    with pytest.raises(gs.StoreError, match="is damaged"):
        PointStore(store)


@pytest.mark.usefixtures("small_chunks")
def test_a_cut_off_journal_costs_the_last_points_alone(
    quick_cell: gs.LowSideCell, tmp_path: Path, whole: xr.Dataset
) -> None:
    store, names = tmp_path / "points.db", ("points.db", "points.db-wal")
    crashed = tmp_path / "crashed"
    crashed.mkdir()

    def copy_as_a_crash_would_leave_it(done: int, _total: int) -> None:
        if done < POINTS // 2:
            for name in names:
                shutil.copy(tmp_path / name, crashed)

    gs.sweep(quick_cell, **arguments(POINTS, store, progress=copy_as_a_crash_would_leave_it))
    journal = crashed / "points.db-wal"
    os.truncate(journal, journal.stat().st_size * 2 // 3)
    assert 0 < stored(crashed / "points.db") < POINTS // 2
    xr.testing.assert_identical(gs.sweep(quick_cell, **arguments(POINTS, crashed / "points.db")), whole)


def test_a_damaged_record_is_computed_again(quick_cell: gs.LowSideCell, tmp_path: Path) -> None:
    few, path = arguments(8, tmp_path / "points.db"), tmp_path / "points.db"
    whole = gs.sweep(quick_cell, **few)
    figures = whole["total_loss"].values.ravel()[3].tobytes()
    content = path.read_bytes()
    assert content.count(figures) == 1
    path.write_bytes(content.replace(figures, b"\0" * 8))
    with pytest.warns(RuntimeWarning, match="1 damaged records, computed anew"):
        again = gs.sweep(quick_cell, **few)
    xr.testing.assert_identical(again, whole)


def test_another_file_is_not_taken_for_a_store(quick_cell: gs.LowSideCell, tmp_path: Path) -> None:
    import sqlite3

    (tmp_path / "text").write_text("something else that must not be overwritten" * 100)
    sqlite3.connect(tmp_path / "other").execute("CREATE TABLE a (b)").connection.close()
    for name, words in (("text", "not a database"), ("other", "but no store")):
        content = (tmp_path / name).read_bytes()
        with pytest.raises(gs.StoreError, match=words):
            gs.sweep(quick_cell, **arguments(8, tmp_path / name))
        assert (tmp_path / name).read_bytes() == content
