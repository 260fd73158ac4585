"""The chart of a report is drawn from few points that stay close to the waveform, peaks included."""

import json

import numpy as np
import pytest

import gateswing as gs
from gateswing.plot.edges import PANELS
from gateswing.reporting import chart as charts
from gateswing.reporting.chart import chart_data


def test_lines_of_the_chart_stay_close_and_keep_the_peaks(point: gs.OperatingPoint) -> None:
    """Against the waveform itself, at times drawn at random and at both sides of every peak."""
    data = json.loads(json.dumps(chart_data(point), allow_nan=False))
    waveform = point.waveform
    times = waveform.begin + 1e-12 * np.cumsum(data["steps"])
    drawn = np.random.default_rng(7).uniform(times[0], times[-1], 40_000)
    channels = [line.channel for panel in PANELS for line in panel.lines]
    lines = [line for panel in data["panels"] for line in panel["lines"]]
    for channel, line in zip(channels, lines, strict=True):
        exact = waveform.value(channel, drawn)
        extent = np.ptp(exact)
        # A picosecond of rounding moves a steep edge of 10 V/ns by 10 mV.
        assert np.max(np.abs(np.interp(drawn, times, line["values"]) - exact)) < 1.1e-3 * extent, channel
        assert max(line["values"]) >= exact.max() - 1e-5 * extent
        assert min(line["values"]) <= exact.min() + 1e-5 * extent
    assert data["closeness"] == 5e-4
    assert data["end"] == round(1e12 * (waveform.end - waveform.begin))


def test_a_chart_with_too_many_points_is_made_coarser(
    point: gs.OperatingPoint, monkeypatch: pytest.MonkeyPatch
) -> None:
    fine = chart_data(point)
    monkeypatch.setattr(charts, "_MOST_POINTS", 400)
    coarse = chart_data(point)
    assert len(coarse["steps"]) <= 400 < len(fine["steps"])
    assert coarse["closeness"] in [5e-4 * 2**power for power in range(1, 9)]
