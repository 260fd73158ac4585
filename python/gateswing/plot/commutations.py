"""Both commutations of a half bridge: the two gates, the switch node, the two channels."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from matplotlib import pyplot as plt
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from ..figures import format_figure
from ..studies.commutation import Commutation, HalfBridgeEdges
from .style import BAND, BLACK, BLUE, GREY, ORANGE, VERMILLION, figure_of, look

__all__ = ["plot_commutations"]

# Time shown before the first gate moves and after the drain has settled, in multiples of the time in between.
_BEFORE, _AFTER = 0.7, 1.8
_POINTS = 4000
# Charge [C] and energy [J] that are not worth a line.
_SMALL_CHARGE, _SMALL_ENERGY = 1e-12, 1e-10
_COLORS = {"high": BLUE, "low": ORANGE}
# Behind texts that a ringing curve may reach.
_PAPER = {"facecolor": "white", "edgecolor": "none", "alpha": 0.75, "pad": 0.8}


class _Column(NamedTuple):
    """One commutation and the time in which it is drawn [s]."""

    figures: Commutation
    incoming: str
    outgoing: str
    begin: float
    end: float

    @property
    def title(self) -> str:
        return f"To the {self.incoming} side"


def plot_commutations(result: HalfBridgeEdges, axes: Sequence[Sequence[Axes]] | None = None) -> Figure:
    """Gate voltages with their thresholds, voltage of the switch node, and currents of both channels.

    Args:
        result: of :func:`gateswing.half_bridge_edges`.
        axes: three rows of two axes to draw into; left out: a figure of its own.

    Returns:
        The figure drawn into.
    """
    with look():
        if axes is None:
            figure, own = plt.subplots(3, 2, sharex="col", sharey="row", figsize=(9.6, 7.2))
            axes = own.tolist()
            figure.suptitle(_title(result), x=0.01, ha="left", fontweight="bold")
        for index, column in enumerate(_columns(result)):
            _draw([row[index] for row in axes], result, column)
        return figure_of(axes[0][0])


def _title(result: HalfBridgeEdges) -> str:
    bus, current = format_figure(result.cell.bus.voltage, "V", 3), format_figure(result.current, "A", 3)
    return f"Half bridge at {bus}, {current}, dead time {format_figure(result.dead_time, 's', 3)}"


def _columns(result: HalfBridgeEdges) -> list[_Column]:
    turn_on, turn_off = result.turn_on, result.turn_off
    first = [turn_on.drain_begin, turn_on.drain_end]
    second = [turn_off.drain_begin, turn_off.drain_end]
    return [
        _column(result, result.to_active, result.active, result.other, first),
        _column(result, result.from_active, result.other, result.active, second),
    ]


def _column(
    result: HalfBridgeEdges, figures: Commutation, incoming: str, outgoing: str, drain: list[float]
) -> _Column:
    events = [figures.outgoing_off, figures.incoming_on, *drain]
    known = [event for event in events if np.isfinite(event)]
    waveform = result.waveform
    if not known:
        return _Column(figures, incoming, outgoing, waveform.begin, waveform.end)
    length = max(max(known) - min(known), abs(result.dead_time))
    begin = max(waveform.begin, min(known) - _BEFORE * length)
    return _Column(figures, incoming, outgoing, begin, min(waveform.end, max(known) + _AFTER * length))


def _draw(axes: Sequence[Axes], result: HalfBridgeEdges, column: _Column) -> None:
    times = np.linspace(column.begin, column.end, _POINTS)
    origin = result.on_time if column.incoming == result.other else 0.0
    nanoseconds = 1e9 * (times - origin)
    _gates(axes[0], result, column, times, nanoseconds)
    _node(axes[1], result, column, times, nanoseconds)
    _currents(axes[2], result, column, times, nanoseconds)
    for one, label in zip(axes, ("gate voltage (V)", "switch node (V)", "channel current (A)"), strict=True):
        one.set_ylabel(label)
        one.label_outer()
        one.margins(y=0.14)
    _gap(axes, column, origin)
    axes[0].set_xlim(nanoseconds[0], nanoseconds[-1])
    axes[0].set_title(column.title, pad=22)
    command = "on" if origin == 0.0 else "off"
    axes[2].set_xlabel(f'time from the command "{command}" of the {result.active} side (ns)')


def _gates(
    axes: Axes, result: HalfBridgeEdges, column: _Column, times: np.ndarray, nanoseconds: np.ndarray
) -> None:
    for side in (column.outgoing, column.incoming):
        voltage = result.waveform.value(f"v_gs_{side}", times)
        axes.plot(nanoseconds, voltage, color=_COLORS[side], lw=1.9)
    rows = ((column.incoming, 0.62), (column.outgoing, 0.52))
    for side, height in rows:
        text = f"{side} side"
        axes.text(
            0.98, height, text, color=_COLORS[side], transform=axes.transAxes, ha="right", va="top",
            fontsize=8.5, weight="bold", bbox=_PAPER,
        )  # fmt: skip
    threshold = getattr(result.cell, column.outgoing).mosfet.channel.threshold_voltage
    axes.axhline(threshold, color=BLACK, lw=0.6, ls=":")
    figures = column.figures
    if np.isnan(figures.threshold_margin):
        return
    peak, margin = (
        format_figure(abs(value), "V", 3)
        for value in (figures.induced_gate_voltage, figures.threshold_margin)
    )
    place = "below" if figures.threshold_margin >= 0.0 else "above"
    text = f"{column.outgoing} side sees {peak}, {margin} {place} its threshold"
    axes.text(0.015, 0.03, text, transform=axes.transAxes, fontsize=8.5, bbox=_PAPER)


def _node(
    axes: Axes, result: HalfBridgeEdges, column: _Column, times: np.ndarray, nanoseconds: np.ndarray
) -> None:
    axes.plot(nanoseconds, result.waveform.value("v_switch", times), color=VERMILLION, lw=1.9)
    bus = result.cell.bus.voltage
    axes.axhline(bus, color=BLACK, lw=0.8, ls=(0, (4, 3)))
    text, heat = f"bus {format_figure(bus, 'V')}", column.figures.diode_conduction_energy
    if heat >= _SMALL_ENERGY:
        text += f"; heat of the diodes {format_figure(heat, 'J', 3)}"
    _note(axes, text, bus)


def _currents(
    axes: Axes, result: HalfBridgeEdges, column: _Column, times: np.ndarray, nanoseconds: np.ndarray
) -> None:
    currents = {side: result.waveform.value(f"i_channel_{side}", times) for side in ("high", "low")}
    for side, current in currents.items():
        axes.plot(nanoseconds, current, color=_COLORS[side], lw=1.5)
    common = np.clip(np.minimum(currents["high"], currents["low"]), 0.0, None)
    axes.fill_between(nanoseconds, common, color=VERMILLION, lw=0, alpha=0.6, zorder=1.5)
    figures = column.figures
    lines = []
    if figures.shoot_through_charge >= _SMALL_CHARGE:
        energy = format_figure(figures.shoot_through_energy, "J", 3)
        lines.append(f"shoot-through {format_figure(figures.shoot_through_charge, 'C', 3)}, {energy}")
    if figures.recovery_charge >= _SMALL_CHARGE:
        lines.append(f"recovery {format_figure(figures.recovery_charge, 'C', 3)}")
    if figures.capacitive_charge >= _SMALL_CHARGE:
        lines.append(f"capacitive charge {format_figure(figures.capacitive_charge, 'C', 3)}")
    axes.text(
        0.98,
        0.96,
        "\n".join(lines),
        transform=axes.transAxes,
        ha="right",
        va="top",
        fontsize=8.5,
        bbox=_PAPER,
    )


def _gap(axes: Sequence[Axes], column: _Column, origin: float) -> None:
    """The time between the thresholds: a band through all panels, its length above the first."""
    figures = column.figures
    if np.isnan(figures.gate_gap):
        return
    begin, end = sorted(1e9 * (time - origin) for time in (figures.outgoing_off, figures.incoming_on))
    color = BAND[0] if figures.gate_gap >= 0.0 else BAND[1]
    for one in axes:
        one.axvspan(begin, end, color=color, lw=0, zorder=0.5)
    kind = "gap" if figures.gate_gap >= 0.0 else "overlap"
    needed = format_figure(figures.dead_time_needed, "s", 3)
    text = f"{kind} of the gates {format_figure(abs(figures.gate_gap), 's', 3)}; just enough: {needed}"
    axes[0].annotate(
        text, (begin, 1.0), xycoords=axes[0].get_xaxis_transform(), xytext=(0, 5), textcoords="offset points",
        fontsize=8.5, color=GREY if figures.gate_gap >= 0.0 else VERMILLION,
    )  # fmt: skip


def _note(axes: Axes, text: str, level: float) -> None:
    """A text at the left edge, above the level that it is about."""
    axes.annotate(
        text, (0.015, level), xycoords=axes.get_yaxis_transform(), xytext=(0, 3), textcoords="offset points",
        fontsize=8.0, bbox=_PAPER,
    )  # fmt: skip
