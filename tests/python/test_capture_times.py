"""Times of a capture: an index is none, a lost sample is a gap, an unknown unit is not seconds."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

import gateswing as gs
from gateswing.capture.time_axis import mended

Write = Callable[[str], Path]
Floats = NDArray[np.float64]

COUNT = 40
STEP = 0.4e-9
INDEX = np.arange(COUNT) - 20
TIMES = STEP * INDEX
VALUES = np.round(12.0 * np.sin(0.3 * INDEX), 3)


def rows(*columns: Any) -> str:
    """Lines of numbers."""
    return "".join(",".join(f"{value:.7g}" for value in row) + "\n" for row in zip(*columns, strict=True))


@pytest.mark.parametrize(
    "index", [INDEX, np.arange(COUNT), np.arange(COUNT) % 20], ids=["around", "up", "again"]
)
@pytest.mark.parametrize(
    ("names", "time"),
    [("Sample,Time (s),CH1 (V)", TIMES), ("N,t,CH", TIMES), ("No.,Elapsed (ns),CH1", 1e9 * TIMES)],
)
def test_a_column_of_times_comes_before_one_that_counts(
    names: str, time: Any, index: Any, write: Write
) -> None:
    capture = gs.read_capture(write(f"{names}\n{rows(index, time, VALUES)}"))
    np.testing.assert_allclose(capture.times, TIMES, atol=1e-6 * STEP)
    assert len(capture.values) == 2
    np.testing.assert_array_equal(capture.values[names.split(",")[0]], index)
    assert capture.segments == 1


def test_numbers_that_do_not_count_are_data_by_whatever_name(write: Write) -> None:
    counted = np.round(50.0 * np.abs(VALUES))
    capture = gs.read_capture(write(f"Sample Interval,4e-10\nN,CH1\n{rows(counted, VALUES)}"))
    np.testing.assert_allclose(capture.times, STEP * np.arange(COUNT))
    np.testing.assert_array_equal(capture.values["N"], counted)
    xy = gs.read_capture(write(f"Sample Interval,4e-10\nX (V),Y (V)\n{rows(VALUES, VALUES)}"))
    assert list(xy.values) == ["X", "Y"]


LOST = np.delete(INDEX, 30)
COUNTS = {
    "from before the trigger": (INDEX, TIMES),
    "from zero": (np.arange(COUNT), STEP * np.arange(COUNT)),
    "from one, which is the first": (np.arange(1, COUNT + 1), STEP * np.arange(COUNT)),
    "a part": (np.arange(5000, 5000 + COUNT), STEP * np.arange(5000, 5000 + COUNT)),
    "without a row": (LOST, STEP * LOST),
    "twice": (np.tile(np.arange(20), 2), STEP * np.tile(np.arange(20), 2)),
}


@pytest.mark.parametrize("name", ["Index", "Time", "x", "Point"])
@pytest.mark.parametrize("case", COUNTS)
def test_an_index_is_a_number_of_sample_intervals(name: str, case: str, write: Write) -> None:
    index, times = COUNTS[case]
    data = f"{name},CH1\n{rows(index, np.resize(VALUES, len(index)))}"
    stated = gs.read_capture(write(f"Horizontal Units,s\nSample Interval,4e-10\n{data}"))
    np.testing.assert_allclose(stated.times, times, atol=1e-6 * STEP)
    given = gs.read_capture(write(data), sample_interval="0.4 ns")
    np.testing.assert_allclose(given.times, times, atol=1e-6 * STEP)
    parted = {"without a row": (0, 30), "twice": (0, 20)}
    assert given.starts == parted.get(case, (0,))
    assert "rounded" not in repr(given.report)
    later = gs.read_capture(write(data), sample_interval="0.4 ns", start="-1 us")
    assert later.times.min() == pytest.approx(-1e-6)
    with pytest.raises(gs.InputError, match=r"has an index in place of time and .* Give sample_interval="):
        gs.read_capture(write(data))
    timed = gs.read_capture(write(data), time_unit="us")
    assert timed.times.min() == pytest.approx(1e-6 * index.min())


def test_a_column_without_a_name_that_counts_is_an_index(write: Write) -> None:
    path = write(rows(INDEX, VALUES))
    with pytest.raises(gs.InputError, match="has an index in place of time"):
        gs.read_capture(path)
    np.testing.assert_allclose(gs.read_capture(path, sample_interval=STEP).times, TIMES)


def test_whole_numbers_in_other_steps_than_one_may_be_times_and_are_refused(write: Write) -> None:
    path = write(f"Sample Interval,4e-10\nTime,CH1\n{rows(400 * INDEX, VALUES)}")
    with pytest.raises(gs.InputError, match=r"without a unit, in steps of usually 400\. Give time_unit="):
        gs.read_capture(path)
    np.testing.assert_allclose(gs.read_capture(path, time_unit="ps").times, TIMES)
    assert gs.read_capture(path, time_column="none").times[1] == pytest.approx(STEP)


def test_the_unit_of_the_axis_is_that_of_whole_times_where_the_interval_says_so_too(write: Write) -> None:
    path = write(f"Horizontal Units,ns\nSample Interval,1e-9\nTime,CH1\n{rows(INDEX, VALUES)}")
    np.testing.assert_allclose(gs.read_capture(path).times, 1e-9 * INDEX)
    path = write(f"Horizontal Units,ns\nTime,CH1\n{rows(INDEX, VALUES)}")
    np.testing.assert_allclose(gs.read_capture(path).times, 1e-9 * INDEX)


def test_an_interval_that_contradicts_the_times_is_told(write: Write) -> None:
    report = gs.read_capture(write(f"Sample Interval,1e-9\nTime (s),CH1\n{rows(TIMES, VALUES)}")).report
    assert "states a sample interval of 1 ns, but its times are 400 ps apart" in repr(report)
    for time in (np.round(1e9 * TIMES), np.repeat(1e9 * TIMES, 2)):
        data = rows(time, np.resize(VALUES, len(time)))
        stated = gs.read_capture(write(f"Sample Interval,4e-10\nTime (ns),CH1\n{data}"))
        assert "states a sample interval" not in repr(stated.report)


@pytest.mark.parametrize(
    "name", ["Time (min)", "Time [h]", "Time(min)", "Zeit (min)", "Time / div", "Elapsed (NS)", "time (a.u.)"]
)
def test_an_unknown_unit_in_the_name_of_the_time_is_not_taken_for_seconds(name: str, write: Write) -> None:
    path = write(f"{name},CH (V)\n{rows(0.5 * np.arange(COUNT), VALUES)}")
    with pytest.raises(gs.InputError, match=r"states the unit .* for its time\. Give time_unit="):
        gs.read_capture(path)
    assert gs.read_capture(path, time_unit="us").times[-1] == pytest.approx(19.5e-6)


@pytest.mark.parametrize("name", ["Time ms", "Time, ms", "time_ms", "Elapsed ms"])
def test_a_unit_that_ends_the_name_of_the_time_counts(name: str, write: Write) -> None:
    capture = gs.read_capture(write(f'"{name}",CH (V)\n{rows(0.5 * np.arange(COUNT), VALUES)}'))
    assert capture.times[-1] == pytest.approx(19.5e-3)


def test_brackets_that_hold_no_unit_stay_with_the_name_of_a_channel(write: Write) -> None:
    capture = gs.read_capture(write(f"t,CH1 (gate),T (degC)\n{rows(TIMES, VALUES, VALUES)}"))
    assert list(capture.values) == ["CH1 (gate)", "T (degC)"]


@pytest.mark.parametrize("lost", [[700], [700, 1500], [700, 701, 1500], [50, 950, 1950]])
@pytest.mark.parametrize("unit", [0.4e-9, 1e-9])
def test_lost_samples_are_gaps_and_leave_the_times_as_they_are(
    lost: list[int], unit: float, write: Write
) -> None:
    index = np.delete(np.arange(2000), lost)
    capture = gs.read_capture(write(f"Time (s),CH1 (V)\n{rows(unit * index, np.sin(index))}"))
    np.testing.assert_allclose(capture.times, unit * index, atol=1e-6 * unit)
    places = np.flatnonzero(np.diff(index) > 1) + 1
    assert capture.starts == (0, *places)
    plural = "s" if len(places) > 1 else ""
    assert capture.report.notes == (
        f"{len(places)} gap{plural} in time, the first after {unit * index[places[0] - 1]:g} s; split there.",
    )


@pytest.mark.parametrize("share", [0.4, 0.9, 1.25, 1.6, 2.5, 3.7, 40.04])
def test_times_in_steps_of_their_last_digit_are_rounded(share: float) -> None:
    exact: Floats = share * np.arange(2000, dtype=np.float64) * 1e-9
    axis = mended(np.round(exact, 9), [])
    assert axis.notes == ["Times are rounded in print; rebuilt with equal steps."]
    np.testing.assert_allclose(axis.times, exact, atol=0.15e-9)
    # A hundred samples less are a gap, and no other steps.
    less: Floats = np.delete(exact, slice(900, 1000))
    parted = mended(np.asarray(np.round(less, 9), dtype=np.float64), [])
    assert parted.starts == (0, 900)
    np.testing.assert_allclose(parted.times, less, atol=0.15e-9)


def test_times_that_are_uneven_beyond_their_last_digit_stay_so() -> None:
    rng = np.random.default_rng(8)
    jittered: Floats = np.round(np.arange(2000) + rng.uniform(-0.2, 0.2, 2000), 2)
    axis = mended(jittered, [])
    np.testing.assert_array_equal(axis.times, jittered)
    assert (axis.notes, axis.starts) == ([], (0,))
    uneven: Floats = np.cumsum(np.exp(rng.normal(0.0, 0.35, 2000)))
    long = np.diff(uneven) / np.median(np.diff(uneven))
    assert (long > 1.5).mean() > 0.01 > (long > 2.5).mean() > 0.0
    np.testing.assert_array_equal(mended(uneven, []).times, uneven)
    assert mended(uneven, []).starts == (0,)


def test_few_times_stay_and_so_do_those_by_an_index() -> None:
    few = np.array([0.0, 1.0, 3.0, 4.0, 6.0])
    np.testing.assert_array_equal(mended(few, []).times, few)
    three = np.array([0.0, 1.0, 2.0, 10.0])
    assert mended(three, []).starts == (0,)
    index = np.delete(np.arange(2000.0), slice(3, None, 4))
    np.testing.assert_array_equal(mended(index, [], are_exact=True).times, index)


@pytest.mark.parametrize("interval", [1.02, 1.05, 1.09, 2.02, 2.1])
def test_an_interval_of_little_more_than_a_digit_makes_no_gaps(interval: float, tmp_path: Path) -> None:
    """Most steps are of one digit, some of two."""
    path = tmp_path / "rounded.csv"
    rows = "\n".join(f"{number * interval:.0f}e-9,{number % 7}" for number in range(4000))
    path.write_text(f"Time (s),CH1 (V)\n{rows}\n")
    read = gs.read_capture(path)
    assert len(read.starts) == 1, read.report
    assert np.diff(read.times) == pytest.approx(np.full(3999, interval * 1e-9), rel=1e-3)
