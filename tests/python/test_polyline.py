"""A waveform drawn from few points stays within the stated distance of itself, peaks and jumps included."""

import numpy as np
import pytest

import gateswing as gs
from gateswing import _core
from gateswing.reporting.polyline import polyline
from gateswing.waveform import Waveform


def test_a_polyline_stays_close_and_keeps_the_peaks(point: gs.OperatingPoint) -> None:
    """Against the waveform itself at other times than those the line was made from; drawn at random."""
    waveform = point.waveform
    times = np.sort(np.random.default_rng(7).uniform(waveform.begin, waveform.end, 40_000))
    for channel in ("v_gs", "v_ds_pin", "i_channel", "v_driver"):
        line = polyline(waveform, channel)
        exact = waveform.value(channel, times)
        extent = np.ptp(waveform.values(channel))
        assert len(line.times) < 2500
        assert line.distance == pytest.approx(5e-4 * extent, rel=1e-2)
        assert np.max(np.abs(np.interp(times, line.times, line.values) - exact)) < 1.1 * line.distance
        assert line.values.max() >= exact.max() - 1e-4 * extent
        assert line.values.min() <= exact.min() + 1e-4 * extent
        assert (np.diff(line.times) >= 0.0).all()


def test_a_jump_stays_a_jump_and_a_constant_two_points() -> None:
    steps = np.array([0.0, 0.1, 0.35, 0.4, 1.0])
    nodes = np.linspace(steps[:-1], steps[1:], 5).T
    jump = np.where(nodes < 0.35, 0.0, 1.0)
    jump[1] = 0.0
    channels = [_core.Channel("jump", "V"), _core.Channel("constant", "V")]
    values = [jump.ravel(), np.full(20, 48.7)]
    waveform = Waveform(_core.Waveform.from_nodes(channels, 4, nodes.ravel(), values))
    line = polyline(waveform, "jump")
    at = np.flatnonzero(line.times == 0.35)
    assert line.values[at].tolist() == [0.0, 1.0]
    assert line.values[[0, -1]].tolist() == [0.0, 1.0]
    constant = polyline(waveform, "constant")
    assert constant.times[[0, -1]].tolist() == [0.0, 1.0]
    assert len(constant.times) < 6


def test_a_line_with_too_many_points_is_made_coarser(
    point: gs.OperatingPoint, monkeypatch: pytest.MonkeyPatch
) -> None:
    fine = polyline(point.waveform, "i_d")
    monkeypatch.setattr("gateswing.reporting.polyline._MOST_POINTS", 60)
    coarse = polyline(point.waveform, "i_d")
    assert len(coarse.times) <= 60 < len(fine.times)
    assert coarse.distance in [fine.distance * 2**power for power in range(1, 9)]
    assert coarse.values.max() == fine.values.max()
