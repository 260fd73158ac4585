"""A sweep is a labelled table of operating points, and Ctrl-C keeps what is done."""

import os
import signal
import threading
import time
from collections.abc import Iterator

import numpy as np
import pytest
import xarray as xr

import gateswing as gs
from gateswing.sweeping.sweep import SweepInterrupted

FREQUENCIES: list[float | str] = ["50 kHz", 1e5]
DUTIES: list[float | str] = ["30 %", 0.6]
MANY: list[float] = np.geomspace(2e4, 4e5, 40).tolist()
RESISTANCES: list[float | str] = ["4.7 ohm", "10 ohm"]


@pytest.fixture(scope="module")
def table(cell: gs.LowSideCell) -> xr.Dataset:
    return gs.sweep(cell, frequency=FREQUENCIES, duty=DUTIES, gate_resistance=RESISTANCES)


def test_every_axis_is_a_dimension_with_units(table: xr.Dataset) -> None:
    assert dict(table.sizes) == {"gate_resistance": 2, "frequency": 2, "duty": 2}
    assert table["frequency"].values.tolist() == [5e4, 1e5]
    assert table["gate_resistance"].values.tolist() == [4.7, 10.0]
    units = {name: table[name].attrs["units"] for name in table.coords}
    assert units == {"frequency": "Hz", "duty": "1", "gate_resistance": "ohm"}


def test_every_figure_has_a_unit_a_name_and_a_meaning(table: xr.Dataset) -> None:
    figures = [name for name in table.data_vars if name not in ("status", "message")]
    assert len(figures) > 20
    for name in figures:
        assert set(table[name].attrs) == {"units", "long_name", "description"}
    assert table["overshoot"].attrs["units"] == "V"


def test_all_points_are_done(table: xr.Dataset) -> None:
    assert set(table["status"].values.ravel().tolist()) == {"done"}
    assert bool(np.isfinite(table["efficiency"]).all())


def test_a_point_of_a_sweep_is_that_operating_point(table: xr.Dataset, cell: gs.LowSideCell) -> None:
    alone = gs.operating_point(cell.replace(gate_resistance=4.7), frequency=1e5, duty=0.3)
    chosen = table.sel(gate_resistance=4.7, frequency=1e5, duty=0.3)
    for name in ("efficiency", "overshoot", "total_loss", "mean_load_current"):
        assert chosen[name].item() == getattr(alone, name)


@pytest.mark.parametrize("threads", [1, 4, 7])
def test_the_number_of_threads_changes_nothing(table: xr.Dataset, cell: gs.LowSideCell, threads: int) -> None:
    again = gs.sweep(cell, frequency=FREQUENCIES, duty=DUTIES, gate_resistance=RESISTANCES, threads=threads)
    xr.testing.assert_identical(again, table)


def test_a_field_deep_inside_can_be_an_axis(cell: gs.LowSideCell) -> None:
    values = ["0.5 nH", "5 nH"]
    by_path = gs.sweep(cell, frequency=1e5, duty=0.5, axes={"mosfet.source_inductance": values})
    by_keyword = gs.sweep(cell, frequency=1e5, duty=0.5, mosfet__source_inductance=values)
    xr.testing.assert_identical(by_path, by_keyword)
    axis = by_path["mosfet__source_inductance"]
    assert axis.attrs == {"units": "H", "long_name": "source inductance of mosfet"}
    assert by_path["rise_time"].squeeze().values[1] > by_path["rise_time"].squeeze().values[0]


def test_a_point_that_is_refused_is_nan_with_a_reason(cell: gs.LowSideCell) -> None:
    lossless = cell.replace(load={"inductance": "100 uH"})
    table = gs.sweep(lossless, frequency=1e5, duty=0.5)
    assert table["status"].item() == "invalid"
    assert "no steady state" in table["message"].item()
    assert np.isnan(table["efficiency"].item())


@pytest.mark.parametrize(
    ("axes", "words"),
    [
        ({"frequency": ["1 V"], "duty": [0.5]}, "frequency = '1 V': has the unit 'V'"),
        ({"frequency": [1e5], "duty": [0.5, 60]}, "Did you mean 60 %?"),
        ({"frequency": [], "duty": [0.5]}, "frequency = []: no values."),
        ({"frequency": 1e5, "duty": 0.5, "gate_resistence": [1]}, "Did you mean 'gate_resistance'?"),
        (
            {"frequency": 1e5, "duty": 0.5, "gate_resistance": ["-1 ohm"]},
            "gate_resistance = '-1 ohm': out of range.",
        ),
        (
            {"frequency": 1e5, "duty": 0.5, "mosfet__name": ["x"]},
            "mosfet.name: not a number, so it cannot be swept.",
        ),
        ({"frequency": 1e5, "duty": 0.5, "threads": 0}, "threads = 0: out of range."),
    ],
)
def test_an_axis_that_cannot_be_is_named(cell: gs.LowSideCell, axes: dict[str, object], words: str) -> None:
    with pytest.raises(gs.InputError) as error:
        gs.sweep(cell, **axes)  # type: ignore[arg-type]
    assert words in str(error.value)


def test_progress_is_reported_up_to_the_end(cell: gs.LowSideCell) -> None:
    seen: list[tuple[int, int]] = []
    gs.sweep(
        cell, frequency=FREQUENCIES, duty=DUTIES, progress=lambda done, total: seen.append((done, total))
    )
    assert seen[-1] == (4, 4)
    assert seen == sorted(seen)


def test_an_error_in_the_progress_function_ends_the_sweep(cell: gs.LowSideCell) -> None:
    def fail(_done: int, _total: int) -> None:
        raise RuntimeError("no more")

    begin = time.monotonic()
    with pytest.raises(RuntimeError, match="no more"):
        gs.sweep(cell, frequency=MANY, duty=np.linspace(0.1, 0.9, 40).tolist(), progress=fail)
    assert time.monotonic() - begin < 5.0


def test_ctrl_c_in_the_progress_function_keeps_what_is_done(cell: gs.LowSideCell) -> None:
    def press(done: int, _total: int) -> None:
        if done >= 2:
            raise KeyboardInterrupt

    with pytest.raises(SweepInterrupted) as interrupted:
        gs.sweep(cell, frequency=MANY, duty=np.linspace(0.1, 0.9, 40).tolist(), progress=press)
    assert interrupted.value.partial["status"].values.ravel().tolist().count("done") >= 2


@pytest.fixture
def heard() -> Iterator[None]:
    """Ctrl-C is an exception, also for tests that a shell runs in its background, where it is ignored."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.mark.usefixtures("heard")
def test_ctrl_c_stops_within_a_fifth_of_a_second_and_keeps_what_is_done(cell: gs.LowSideCell) -> None:
    pressed: list[float] = []

    def press() -> None:
        pressed.append(time.monotonic())
        os.kill(os.getpid(), signal.SIGINT)

    def watch(done: int, _total: int) -> None:
        if done >= 2 and not timer.is_alive() and not pressed:
            timer.start()

    timer = threading.Timer(0.02, press)
    with pytest.raises(SweepInterrupted) as interrupted:
        gs.sweep(cell, frequency=MANY, duty=np.linspace(0.1, 0.9, 40).tolist(), progress=watch)
    assert time.monotonic() - pressed[0] < 0.2
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler
    partial = interrupted.value.partial
    states = partial["status"].values.ravel().tolist()
    assert states.count("done") >= 2
    assert states.count("not_run") > 1000
    done = partial["status"] == "done"
    assert bool(np.isfinite(partial["efficiency"].where(done, 0.0)).all())
    assert bool(np.isnan(partial["efficiency"].where(~done)).all())


def test_what_a_signal_handler_raises_comes_out_of_a_sweep(cell: gs.LowSideCell) -> None:
    def expire(*_: object) -> None:
        raise TimeoutError("time is up")

    def set_alarm(done: int, _total: int) -> None:
        if done == 0:  # points are being computed
            signal.setitimer(signal.ITIMER_REAL, 0.02)

    before = signal.signal(signal.SIGALRM, expire)
    try:
        with pytest.raises(TimeoutError, match="time is up"):
            gs.sweep(cell, frequency=MANY, duty=np.linspace(0.1, 0.9, 40).tolist(), progress=set_alarm)
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0.0)
        signal.signal(signal.SIGALRM, before)
