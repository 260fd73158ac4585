"""A sweep on other processes and machines: the same table, whoever computes it and whoever dies."""

import multiprocessing
import os
import signal
from collections.abc import Sequence
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import xarray as xr

import gateswing as gs
from gateswing.sweeping import run as sweep_run
from gateswing.sweeping.chunk import NOT_RUN, ChunkAnswer, Outcome, run_chunk
from gateswing.sweeping.kinds import Point
from gateswing.sweeping.store import PointStore

GRID: dict[str, Any] = {
    "frequency": [1e5, 1.1e5],
    "duty": [0.4, 0.45, 0.5],
    "gate_resistance": np.linspace(5.0, 15.0, 20).tolist(),
    "relative_tolerance": 1e-3,
}


@pytest.fixture(scope="module")
def here(quick_cell: gs.LowSideCell) -> xr.Dataset:
    return gs.sweep(quick_cell, **GRID)


def with_a_class_of_its_own(driver: Any) -> gs.PushPullDriver:
    """Of a class that no other process can import, as if it were defined in a notebook."""

    class OwnDriver(gs.PushPullDriver):
        pass

    return OwnDriver(**{name: getattr(driver, name) for name in gs.PushPullDriver.model_fields})


def kill(pid: int) -> None:
    os.kill(pid, signal.SIGKILL)


def test_processes_give_the_same_table_and_lose_no_finished_point(
    quick_cell: gs.LowSideCell, here: xr.Dataset, tmp_path: Path
) -> None:
    """A pool that lost a process cannot be used again: what it had not done is left to a retry."""
    store = tmp_path / "points.db"
    with ProcessPoolExecutor(2, multiprocessing.get_context("spawn")) as pool:
        table = gs.sweep(
            quick_cell.replace(driver=with_a_class_of_its_own(quick_cell.driver)), **GRID, executor=pool
        )
        xr.testing.assert_equal(table, here)
        pids = [pool.submit(os.getpid).result()]

        def strike(done: int, _total: int) -> None:
            if done >= 20 and pids:
                kill(pids.pop())

        with pytest.warns(RuntimeWarning, match="points were lost with their workers"):
            table = gs.sweep(quick_cell, **GRID, executor=pool, store=store, progress=strike)
    states = table["status"].values.ravel().tolist()
    assert states.count("done") >= 20
    assert states.count("done") + states.count("lost") == len(states)
    lost = gs.failed(table)
    assert set(lost["status"]) == {"lost"}
    assert lost["message"].str.contains("its worker died: BrokenProcessPool").all()
    with PointStore(store) as kept:
        assert len(kept) == states.count("done")
    xr.testing.assert_identical(gs.retry(table, store=store), here)
    with PointStore(store) as kept:
        assert len(kept) == len(states)


def test_what_the_driver_draws_at_rest_travels_with_it(quick_cell: gs.LowSideCell) -> None:
    """A driver is reduced for its way to another process; its quiescent current is a loss there too."""
    cell = quick_cell.replace(driver="driver-ic-weak", pull_down_resistance="10 kohm")
    assert cell.driver.on_state_power > 0.0
    with ThreadPoolExecutor(1) as pool:
        table = gs.sweep(cell, frequency=1e5, duty=0.5, executor=pool)
    xr.testing.assert_identical(table, gs.sweep(cell, frequency=1e5, duty=0.5))


class Scripted(Executor):
    """Runs a chunk at once, unless the script says that its worker dies or that it raises."""

    def __init__(self, poison: float | None = None, error: BaseException | None = None) -> None:
        self.poison, self.error = poison, error
        self.computed: list[Point] = []

    def submit(self, _run: Any, /, points: list[Point], tolerance: float) -> Future[Any]:  # type: ignore[override]
        future: Future[Any] = Future()
        if self.error and any(point.cell.gate_resistance == self.poison for point in points):
            future.set_exception(self.error)
            return future
        self.computed += points
        future.set_result(run_chunk(points, tolerance))
        return future


def test_a_point_that_kills_its_worker_costs_no_other(
    quick_cell: gs.LowSideCell, here: xr.Dataset, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sweep_run, "_LEAST_CHUNKS", 4)
    poison = float(here["gate_resistance"][7])
    executor = Scripted(poison, BrokenProcessPool("killed"))
    with pytest.warns(RuntimeWarning, match="6 points were lost"):
        table = gs.sweep(quick_cell, **GRID, executor=executor)
    assert set(gs.failed(table)["gate_resistance"]) == {poison}
    others = here["gate_resistance"] != poison
    xr.testing.assert_identical(table.isel(gate_resistance=others), here.isel(gate_resistance=others))
    assert len(executor.computed) == 114
    assert len(set(map(repr, executor.computed))) == 114


def test_an_error_that_is_no_death_ends_the_sweep_with_the_rest_kept(
    quick_cell: gs.LowSideCell, here: xr.Dataset, tmp_path: Path
) -> None:
    executor = Scripted(float(here["gate_resistance"][12]), ModuleNotFoundError("no gateswing there"))
    with pytest.raises(ModuleNotFoundError, match="no gateswing there"):
        gs.sweep(quick_cell, **GRID, executor=executor, store=tmp_path / "points.db")
    with PointStore(tmp_path / "points.db") as kept:
        assert len(kept) >= 32


def test_a_worker_of_another_version_is_refused(quick_cell: gs.LowSideCell) -> None:
    class Older(Scripted):
        def submit(self, run: Any, /, points: list[Point], tolerance: float) -> Future[Any]:  # type: ignore[override]
            future: Future[Any] = super().submit(run, points, tolerance)
            object.__setattr__(future.result(), "version", "0.0.1")
            return future

    with pytest.raises(RuntimeError, match=r"computes with gateswing 0\.0\.1"):
        gs.sweep(quick_cell, **GRID, executor=Older())


def test_ctrl_c_keeps_what_an_executor_has_done(quick_cell: gs.LowSideCell, tmp_path: Path) -> None:
    def press(done: int, _total: int) -> None:
        if done >= 20:
            raise KeyboardInterrupt

    with (
        ThreadPoolExecutor(1) as pool,
        pytest.raises(gs.SweepInterrupted) as interrupted,
    ):
        gs.sweep(quick_cell, **GRID, executor=pool, store=tmp_path / "points.db", progress=press)
    states = interrupted.value.partial["status"].values.ravel().tolist()
    assert states.count("done") >= 20
    assert states.count("not_run") > 0
    with PointStore(tmp_path / "points.db") as kept:
        assert len(kept) == states.count("done")


def test_what_is_finished_at_the_last_moment_is_kept(quick_cell: gs.LowSideCell) -> None:
    points = {7: Point(quick_cell, 1e5, 0.5), 8: Point(quick_cell, 1e5, 0.6)}
    answers = [run_chunk([point], 1e-3) for point in points.values()]
    answers[1].outcomes[0] = answers[1].outcomes[0]._replace(status=NOT_RUN)

    class Slow(sweep_run.Crew):
        def stop(self, pending: Sequence[Future[ChunkAnswer]]) -> None:
            for future, answer in zip(pending, answers, strict=True):
                future.set_result(answer)

    def interrupt() -> None:
        raise KeyboardInterrupt

    kept: dict[int, Outcome] = {}
    crew = Slow(lambda _points, _tolerance, _deliver: Future(), lambda *_: 1, None)
    error = sweep_run.compute(points, crew, 1e-3, kept.update, interrupt)
    assert isinstance(error, KeyboardInterrupt)
    assert kept == {7: answers[0].outcomes[0]}


@pytest.mark.filterwarnings("ignore")  # of dask's own
def test_a_cluster_that_loses_a_worker_gives_the_same_table(
    quick_cell: gs.LowSideCell, here: xr.Dataset, tmp_path: Path
) -> None:
    import distributed

    start_cluster: Any = distributed.LocalCluster
    connect: Any = distributed.Client
    counted: list[int] = []
    with (
        start_cluster(2, threads_per_worker=1, processes=True, dashboard_address=None) as cluster,
        connect(cluster) as client,
    ):
        pids = list(client.run(os.getpid).values())
        assert len(set(pids)) == 2

        def strike(done: int, _total: int) -> None:
            counted.append(done)
            if done >= 40 and len(pids) == 2:
                kill(pids.pop())

        table = gs.sweep(
            quick_cell, **GRID, executor=client.get_executor(), store=tmp_path / "points.db", progress=strike
        )
    xr.testing.assert_identical(table, here)
    assert len(pids) == 1
    assert counted[-1] == 120
    with PointStore(tmp_path / "points.db") as kept:
        assert len(kept) == 120
