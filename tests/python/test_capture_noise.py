"""Noise of captures: found, smoothed, and moved in time without more or less of it."""

from itertools import pairwise
from typing import Any

import numpy as np
import pytest

import gateswing as gs
from gateswing.capture.quality import noise_of
from gateswing.capture.resampling import moved_earlier


def test_what_cannot_be_smoothed_or_looked_up_is_named() -> None:
    times = np.concatenate([np.arange(40), 100 + np.arange(3)]) * 1e-9
    report = gs.ImportReport((), ())
    capture = gs.Capture(times, {"a": times * 1e9}, {"a": "V"}, (0, 40), {}, report)
    with pytest.raises(gs.InputError, match=r"segment = '1': has 3 samples\. Allowed: five samples or more"):
        capture.smoothed("7 ns")
    with pytest.raises(gs.InputError, match="what = 'separater': no such decision"):
        report.value("separater")


def of(values: Any, starts: tuple[int, ...] = (0,), step: float = 1e-9) -> gs.Capture:
    """A capture of one channel "a" in volts."""
    times = step * np.arange(len(values), dtype=np.float64)
    return gs.Capture(
        times, {"a": np.array(values, dtype=np.float64)}, {"a": "V"}, starts, {}, gs.ImportReport((), ())
    )


@pytest.mark.parametrize("gap", [[0], [2], [100], [100, 101], [3, 7, 100, 197], [199], range(200)])
def test_smoothing_leaves_gaps_as_they_are(gap: Any) -> None:
    values = np.random.default_rng(4).standard_normal(200)
    values[list(gap)] = np.nan
    smooth = of(values).smoothed("11 ns").values["a"]
    np.testing.assert_array_equal(np.isnan(smooth), np.isnan(values))
    bounds = [-1, *gap, 200]
    for before, after in pairwise(bounds):
        piece = slice(before + 1, after)
        length = after - before - 1
        if length < 5:
            np.testing.assert_array_equal(smooth[piece], values[piece])
        else:
            alone = of(values[piece]).smoothed("11 ns").values["a"]
            np.testing.assert_array_equal(smooth[piece], alone)


def test_one_sample_cannot_be_smoothed() -> None:
    with pytest.raises(gs.InputError, match=r"segment = '0': has 1 samples\. Allowed: five samples or more"):
        of([1.0]).smoothed("11 ns")


def test_the_zero_is_that_of_the_samples_that_could_be_converted() -> None:
    capture = of([np.nan, np.nan, 3.0, 5.0, np.nan, 7.0])
    zeroed = capture.zeroed("a", 0.0, "3.5 ns").values["a"]
    np.testing.assert_array_equal(zeroed, [np.nan, np.nan, -1.0, 1.0, np.nan, 3.0])
    with pytest.raises(gs.InputError, match="a: all samples from 0 s to 1 ns could not be converted"):
        capture.zeroed("a", "0 s", "1 ns")


def test_delays_that_leave_nothing_are_refused_and_short_segments_left_out() -> None:
    capture = of(range(10), (0, 3))
    moved = {"v_a": gs.Trace(column="a", delay="4 ns"), "v_b": gs.Trace(column="a")}
    mapped = capture.mapped(moved)
    assert mapped.starts == (0,)
    np.testing.assert_allclose(mapped.values["v_b"], [3.0, 4.0, 5.0])
    np.testing.assert_allclose(mapped.values["v_a"], [7.0, 8.0, 9.0])
    assert "1 segment shorter than the delays left out." in mapped.report.notes
    with pytest.raises(gs.InputError, match=r"delays = v_a 1 us: leave no sample of a record of 6 ns\."):
        capture.mapped({**moved, "v_a": gs.Trace(column="a", delay="1 us")})
    with pytest.raises(gs.InputError, match="leave no sample"):
        capture.mapped({**moved, "v_a": gs.Trace(column="a", delay="-1 us")})


def test_a_delay_leaves_noise_as_large_as_it_was_and_an_edge_without_overshoot() -> None:
    times = 0.5e-9 * np.arange(4000, dtype=np.float64)
    noise = 0.02 * np.random.default_rng(6).standard_normal(len(times))
    edge = np.clip((times - 1e-6) / 2e-9, 0.0, 1.0)
    late = moved_earlier(times, edge + noise, 0.25e-9)
    assert noise_of(late) == pytest.approx(0.02, rel=0.15)
    exact = np.interp(times + 0.25e-9, times, edge)
    assert np.abs(late - exact).max() < 0.15
    assert late.max() < 1.0 + 7.0 * 0.02
    # Without noise, straight lines.
    np.testing.assert_array_equal(moved_earlier(times, edge, 0.25e-9), exact)
    gap = np.where(np.arange(len(times)) == 7, np.nan, edge + noise)
    assert np.isnan(moved_earlier(times, gap, 0.25e-9)).sum() == 2
    whole = moved_earlier(times, edge + noise, -1e-9)
    np.testing.assert_allclose(whole[2:], (edge + noise)[:-2], atol=1e-9)


def test_noise_is_found_and_smoothed_without_moving_the_edge() -> None:
    rng = np.random.default_rng(3)
    times = np.linspace(0.0, 399.9e-9, 4000)
    clean = 10.0 / (1.0 + np.exp(-(times - 2e-7) / 5e-9))
    capture = gs.Capture(
        times, {"a": clean + 0.2 * rng.standard_normal(4000)}, {"a": "V"}, (0,), {}, gs.ImportReport((), ())
    )
    assert capture.noise("a") == pytest.approx(0.2, rel=0.1)
    smooth = capture.smoothed("4 ns")
    assert np.std(smooth.values["a"] - clean) < 0.08
    middle = np.interp(5.0, smooth.values["a"][1900:2100], times[1900:2100])
    assert middle == pytest.approx(2e-7, abs=0.3e-9)
