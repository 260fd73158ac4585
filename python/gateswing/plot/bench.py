"""The standard curves of a data sheet as the virtual bench found them, with the printed points on them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from matplotlib import pyplot as plt
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from ..datasheet import static_figures
from ..datasheet.sheet import SwitchingEntry
from ..figures import format_figure
from ..studies.results import DoublePulse
from ..test_bench.report import BenchReport
from .sheet import draw_capacitances, draw_gate_charge
from .style import BLACK, BLUE, GREEN, GREY, VERMILLION, figure_of, look

__all__ = ["plot_bench"]

_POINTS = 400
_MARKER: dict[str, Any] = {"ls": "none", "marker": "o", "color": "white", "mec": BLACK, "ms": 6, "zorder": 3}
# Times shown before and after an edge or a recovery, as shares of its length.
_BEFORE, _AFTER = 0.3, 1.0


def plot_bench(report: BenchReport) -> Figure:
    """Eight panels: four of figures at rest and gate charge, four of switching, recovery and avalanche.

    Lines are the model, open circles what the sheet prints; a test that the sheet has no conditions for
    leaves its panel empty.

    Args:
        report: of :func:`gateswing.virtual_bench`.

    Returns:
        The figure.
    """
    with look():
        _, grid = plt.subplots(2, 4, figsize=(15.0, 7.0))
        (transfer, resistance, capacitances, charge), (on, off, recovery, avalanche) = grid
        _transfer(transfer, report)
        _on_resistance(resistance, report)
        draw_capacitances(capacitances, report.mosfet, report.sheet)
        _panel(charge, "Gate charge", _gate_charge, report)
        _panel(on, "Turn-on", _turn_on, report)
        _panel(off, "Turn-off", _turn_off, report)
        _panel(recovery, "Reverse recovery", _recovery, report)
        _panel(avalanche, "Avalanche", _avalanche, report)
        return figure_of(transfer)


def _panel(axes: Axes, title: str, draw: Callable[[Axes, BenchReport], bool], report: BenchReport) -> None:
    """Draws a panel, or says that there is nothing to draw."""
    if not draw(axes, report):
        axes.text(0.5, 0.5, "not tested", ha="center", color=GREY, transform=axes.transAxes)
        axes.set_axis_off()
    if not axes.get_title(loc="left"):
        axes.set_title(title)


def _transfer(axes: Axes, report: BenchReport) -> None:
    sheet = report.sheet
    largest = max(entry.drain_current for entry in sheet.on_resistance)
    current = np.geomspace(sheet.threshold.drain_current, 2.0 * largest, _POINTS)
    axes.semilogy(static_figures.threshold_voltage(report.mosfet, current), current, color=BLUE)
    axes.plot([sheet.threshold.voltage], [sheet.threshold.drain_current], **_MARKER)
    axes.set_xlabel("gate voltage = drain voltage (V)")
    axes.set_ylabel("drain current (A)")
    axes.set_title("Transfer, gate tied to drain")


def _on_resistance(axes: Axes, report: BenchReport) -> None:
    points = report.sheet.on_resistance
    lowest = min(float(static_figures.plateau_voltage(report.mosfet, p.drain_current)) for p in points)
    highest = 1.2 * max(point.gate_voltage for point in points)
    gate = np.linspace(lowest, highest, _POINTS)
    for current, colour in zip(
        sorted({p.drain_current for p in points}), (BLUE, GREEN, VERMILLION), strict=False
    ):
        resistance = static_figures.on_resistance(report.mosfet, gate, current)
        axes.plot(gate, 1e3 * resistance, color=colour, label=format_figure(current, "A", 3))
    axes.plot([p.gate_voltage for p in points], [1e3 * p.value for p in points], **_MARKER)
    axes.set_ylim(0.0, 3e3 * max(point.value for point in points))
    axes.set_xlabel("gate voltage (V)")
    axes.set_ylabel("on-resistance (m\u2126)")
    axes.set_title("On-resistance")
    axes.legend(frameon=False)


def _gate_charge(axes: Axes, report: BenchReport) -> bool:
    entry, test = report.sheet.gate_charge, report.gate_charge
    if entry is None or test is None or test.curve is None:
        return False
    draw_gate_charge(axes, test.curve, entry)
    return True


def _first_switching(report: BenchReport) -> tuple[SwitchingEntry, DoublePulse] | None:
    if not report.switching or len(report.switching) != len(report.sheet.switching):
        return None
    return report.sheet.switching[0], report.switching[0]


def _turn_on(axes: Axes, report: BenchReport) -> bool:
    found = _first_switching(report)
    if found is None or np.isnan(found[1].turn_on.rise_time):
        return False
    entry, pulse = found
    edge = pulse.turn_on
    _edge(axes, entry, pulse, edge.gate_time, edge.drain_end)
    _given_edge(axes, entry.turn_on_delay, entry.rise_time, (90.0, 10.0))
    axes.set_title(f"Turn-on at {entry.drain_voltage:g} V, {entry.drain_current:g} A, {entry.load}")
    return True


def _turn_off(axes: Axes, report: BenchReport) -> bool:
    found = _first_switching(report)
    if found is None or np.isnan(found[1].turn_off.fall_time):
        return False
    entry, pulse = found
    edge = pulse.turn_off
    _edge(axes, entry, pulse, edge.gate_time, edge.drain_end)
    _given_edge(axes, entry.turn_off_delay, entry.fall_time, (10.0, 90.0))
    # The one legend of both edges, where the curves leave room for it.
    axes.legend(frameon=False, loc="center right")
    axes.set_title(f"Turn-off through {format_figure(entry.gate_resistance, 'ohm', 3)}")
    return True


def _edge(axes: Axes, entry: SwitchingEntry, pulse: DoublePulse, begin: float, end: float) -> None:
    """Voltages and current in per cent of the test's, over the time since the gate left its level."""
    length = end - begin
    first, last = (
        max(begin - _BEFORE * length, pulse.waveform.begin),
        min(end + _AFTER * length, pulse.waveform.end),
    )
    times = np.linspace(first, last, _POINTS)
    channels = (
        ("v_gs", entry.gate_voltage, "gate voltage", GREEN),
        ("v_ds", entry.drain_voltage, "drain voltage", BLUE),
        ("i_d", entry.drain_current, "drain current", VERMILLION),
    )
    for channel, full, words, colour in channels:
        axes.plot(
            1e9 * (times - begin),
            100.0 * pulse.waveform.value(channel, times) / full,
            color=colour,
            label=words,
        )
    axes.set_xlabel("time since the gate moved 10 % (ns)")
    axes.set_ylabel("per cent of the test's value")


def _given_edge(axes: Axes, delay: float | None, length: float | None, levels: tuple[float, float]) -> None:
    """Where the sheet has the drain voltage at its two levels."""
    if delay is None:
        return
    times = [delay] if length is None else [delay, delay + length]
    axes.plot(1e9 * np.array(times), levels[: len(times)], **_MARKER)


def _recovery(axes: Axes, report: BenchReport) -> bool:
    entry, test = report.sheet.reverse_recovery, report.recovery
    if entry is None or test is None or np.isnan(test.time):
        return False
    zero = entry.forward_current / entry.current_slope
    times = np.linspace(
        zero - _BEFORE * test.time, min(zero + (1.0 + _AFTER) * test.time, test.waveform.end), _POINTS
    )
    axes.plot(1e9 * (times - zero), test.waveform.value("i", times), color=BLUE)
    peak = entry.peak_current or test.peak_current
    if entry.peak_current is not None:
        axes.plot([1e9 * peak / entry.current_slope], [-peak], **_MARKER)
    if entry.time is not None:
        axes.plot([1e9 * entry.time], [-0.25 * peak], **_MARKER)
    axes.axhline(0.0, color=GREY, lw=0.8)
    axes.set_xlabel("time since the zero crossing (ns)")
    axes.set_ylabel("diode current (A)")
    axes.set_title(f"Reverse recovery, {entry.forward_current:g} A, {entry.current_slope * 1e-6:g} A/\u00b5s")
    return True


def _avalanche(axes: Axes, report: BenchReport) -> bool:
    entry, test = report.sheet.avalanche, report.avalanche
    if entry is None or test is None or np.isnan(test.energy):
        return False
    times = np.linspace(0.0, 1.1 * test.time_in_avalanche, 4 * _POINTS)
    axes.plot(1e6 * times, test.waveform.value("v_ds", times), color=BLUE, label="drain voltage (V)")
    current = axes.twinx()
    current.plot(1e6 * times, test.waveform.value("i_d", times), color=VERMILLION, label="drain current (A)")
    current.set_ylabel("drain current (A)", color=VERMILLION)
    current.grid(False)
    axes.set_xlabel("time since turn-off (\u00b5s)")
    axes.set_ylabel("drain voltage (V)", color=BLUE)
    axes.set_title(f"Avalanche, {format_figure(test.energy, 'J', 3)}")
    return True
