"""The chart of a report is drawn from few points that stay close to the waveform, peaks included."""

import json
from itertools import pairwise

import numpy as np
import pytest

import gateswing as gs
from gateswing.plot import plot_commutations
from gateswing.reporting import chart as charts
from gateswing.reporting.chart import chart_data
from gateswing.reporting.period import period_of

SHOWN = ("v_driver", "v_gs_pin", "v_gs", "v_ds_pin", "v_ds", "i_channel", "i_d")


def test_lines_of_the_chart_stay_close_and_keep_the_peaks(point: gs.OperatingPoint) -> None:
    """Against the waveform itself, at times drawn at random and at both sides of every peak."""
    data = json.loads(json.dumps(chart_data(point), allow_nan=False))
    waveform = point.waveform
    times = waveform.begin + 1e-12 * np.cumsum(data["steps"])
    drawn = np.random.default_rng(7).uniform(times[0], times[-1], 40_000)
    lines = [line for panel in data["panels"] for line in panel["lines"]]
    for channel, line in zip(SHOWN, lines, strict=True):
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
    for channel, line in zip(SHOWN, lines, strict=True):
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


def test_a_bridge_is_drawn_from_amid_an_off_time_so_that_both_commutations_are_whole(
    buck_point: gs.HalfBridgePoint,
) -> None:
    """Against the waveform of the answer, which begins amid one of them, taken as periodic."""
    data = json.loads(json.dumps(chart_data(buck_point), allow_nan=False))
    shown, waveform = period_of(buck_point).waveform, buck_point.waveform
    period = waveform.end - waveform.begin
    assert shown.end - shown.begin == pytest.approx(period, rel=1e-12)
    assert shown.end == pytest.approx(0.65 * period)  # amid the off-time of a duty of 30 %
    times = shown.begin + 1e-12 * np.cumsum(data["steps"])
    drawn = np.random.default_rng(3).uniform(times[0], times[-1], 20_000)
    lines = [line for panel in data["panels"] for line in panel["lines"]]
    names = [f"{name}_{side}" for name in ("v_gs", "v_ds", "i_channel") for side in ("low", "high")]
    names.insert(4, "i_load")
    for channel, line in zip(names, lines, strict=True):
        exact = waveform.value(channel, waveform.begin + drawn % period)
        assert np.max(np.abs(np.interp(drawn, times, line["values"]) - exact)) < 2e-3 * np.ptp(exact), channel
    on, off, whole = data["views"]
    assert [one["name"] for one in data["views"]] == ["to the high side", "to the low side", "whole period"]
    gap = buck_point.to_active.gate_gap
    assert on["intervals"][0]["name"] == "gap of the gates"
    assert on["intervals"][0]["end"] - on["intervals"][0]["begin"] == pytest.approx(1e12 * gap, abs=2)
    # The command "on" of the high side comes one dead time after that of the low side to turn off.
    assert on["begin"] < on["origin"] - 1e12 * 60e-9 < on["end"]
    assert off["origin"] - on["origin"] == pytest.approx(1e12 * 0.3 * period, abs=2)
    assert (whole["begin"], whole["end"]) == (0, data["end"])
    assert whole["from"] == 'command "on" of the high side'


@pytest.mark.parametrize("duty", [0.0, 1.0])
def test_a_bridge_that_does_not_switch_is_drawn_as_a_whole(buck: gs.HalfBridgeCell, duty: float) -> None:
    still = gs.half_bridge_point(
        buck, frequency="100 kHz", duty=duty, dead_time="120 ns", relative_tolerance=1e-3
    )
    data = chart_data(still)
    assert [view["name"] for view in data["views"]] == ["whole period"]
    assert data["end"] == round(1e12 / 1e5)
    assert "no change of the current from gate to gate" in period_of(still).words
    still.plot()
    plot_commutations(still)
