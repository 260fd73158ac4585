"""The chart of a report is drawn from few points that stay close to the waveform, peaks included."""

import json
from itertools import pairwise

import numpy as np
import pytest

import gateswing as gs
from gateswing.reporting import chart as charts
from gateswing.reporting.chart import chart_data


def test_lines_of_the_chart_stay_close_and_keep_the_peaks(point: gs.OperatingPoint) -> None:
    """Against the waveform itself, at times drawn at random and at both sides of every peak."""
    data = json.loads(json.dumps(chart_data(point), allow_nan=False))
    waveform = point.waveform
    times = waveform.begin + 1e-12 * np.cumsum(data["steps"])
    drawn = np.random.default_rng(7).uniform(times[0], times[-1], 40_000)
    lines = [line for panel in data["panels"] for line in panel["lines"]]
    for channel, line in zip(charts._SHOWN, lines, strict=True):
        exact = waveform.value(channel, drawn)
        extent = np.ptp(exact)
        # A picosecond of rounding moves a steep edge of 10 V/ns by 10 mV.
        assert np.max(np.abs(np.interp(drawn, times, line["values"]) - exact)) < 1.1e-3 * extent, channel
        assert max(line["values"]) >= exact.max() - 1e-5 * extent
        assert min(line["values"]) <= exact.min() + 1e-5 * extent
    assert data["closeness"] == 5e-4
    assert data["end"] == round(1e12 * (waveform.end - waveform.begin))


def test_a_long_period_is_drawn_closely_around_its_edges_and_elsewhere_with_its_peaks(
    point: gs.OperatingPoint, monkeypatch: pytest.MonkeyPatch
) -> None:
    fine = chart_data(point)
    monkeypatch.setattr(charts, "_MOST_STEPS", 100)
    monkeypatch.setattr(charts, "_PARTS", 20)
    coarse = chart_data(point)
    assert (fine["parts"], coarse["parts"]) == (0, 20)
    waveform = point.waveform
    times = waveform.begin + 1e-12 * np.cumsum(coarse["steps"])
    lines = [line for panel in coarse["panels"] for line in panel["lines"]]
    for channel, line in zip(charts._SHOWN, lines, strict=True):
        extent = np.ptp(waveform.values(channel))
        for view in coarse["views"][:-1]:
            drawn = waveform.begin + 1e-12 * np.linspace(view["begin"] + 1, view["end"] - 1, 5000)
            exact = waveform.value(channel, drawn)
            assert np.max(np.abs(np.interp(drawn, times, line["values"]) - exact)) < 1.1e-3 * extent
        for begin, end in pairwise(np.linspace(waveform.begin, waveform.end, 21)):
            part, nodes = ((at >= begin) & (at <= end) for at in (times, waveform.times))
            values = waveform.values(channel)[nodes]
            assert np.max(np.array(line["values"])[part]) >= values.max() - 1e-4 * extent
            assert np.min(np.array(line["values"])[part]) <= values.min() + 1e-4 * extent
