"""Both commutations of a half bridge: the two gates, the switch node, the two channels."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np
from matplotlib import pyplot as plt
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from ..figures import format_figure
from ..studies.bridge_point import HalfBridgePoint
from ..studies.commutation import Commutation, HalfBridgeEdges
from ..waveforms.cycle import begun_before
from ..waveforms.waveform import Waveform
from .edges import Interval, Line, Panel
from .style import BAND, BLACK, BLUE, GREY, ORANGE, VERMILLION, figure_of, ink, look

__all__ = ["BRIDGE_PANELS", "Passage", "passages_of", "plot_commutations"]

# Time shown before the first gate moves and after the drain has settled, in multiples of the time in between.
_BEFORE, _AFTER = 0.7, 1.8
_POINTS = 4000
# Charge [C] and energy [J] that are not worth a line.
_SMALL_CHARGE, _SMALL_ENERGY = 1e-12, 1e-10
_COLORS = {"high": BLUE, "low": ORANGE}


def _both_sides(quantity: str, unit: str, channel: str, *more: Line) -> Panel:
    sides = (
        Line(f"{channel}_{side}", f"{side} side", _COLORS[side], is_main=True) for side in ("low", "high")
    )
    return Panel(quantity, unit, (*more, *sides))


BRIDGE_PANELS = (
    _both_sides("gate voltage", "V", "v_gs"),
    _both_sides("drain voltage", "V", "v_ds"),
    _both_sides("channel current", "A", "i_channel", Line("i_load", "load", GREY)),
)
# Behind texts that a ringing curve may reach.
_PAPER = {"facecolor": "white", "edgecolor": "none", "alpha": 0.75, "pad": 0.8}


class Passage(NamedTuple):
    """One commutation, and the time in which it is drawn [s].

    Attributes:
        figures: with their instants on the time axis of the waveform.
        incoming, outgoing: sides.
        command: of the active side that begins or ends it, ``on`` or ``off``.
        origin: of that command.
        begin, end: of what is drawn.
    """

    figures: Commutation
    incoming: str
    outgoing: str
    command: str
    origin: float
    begin: float
    end: float

    @property
    def title(self) -> str:
        """Where the current goes."""
        return f"To the {self.incoming} side"

    @property
    def gap(self) -> Interval | None:
        """Between the thresholds of the gates; ``None`` where one of them does not move."""
        figures = self.figures
        if np.isnan(figures.gate_gap):
            return None
        name = "gap of the gates" if figures.gate_gap >= 0.0 else "overlap of the gates"
        return Interval(name, "", *sorted((figures.outgoing_off, figures.incoming_on)))


def plot_commutations(
    result: HalfBridgeEdges | HalfBridgePoint, axes: Sequence[Sequence[Axes]] | None = None
) -> Figure:
    """Gate voltages with their thresholds, voltage of the switch node, and currents of both channels.

    Args:
        result: of :func:`gateswing.half_bridge_edges` or :func:`gateswing.half_bridge_point`.
        axes: three rows of two axes to draw into; left out: a figure of its own.

    Returns:
        The figure drawn into.
    """
    with look():
        if axes is None:
            figure, own = plt.subplots(3, 2, sharex="col", sharey="row", figsize=(9.6, 7.2))
            axes = own.tolist()
            figure.suptitle(_title(result), x=0.01, ha="left", fontweight="bold")
        waveform, both = passages_of(result)
        for index, passage in enumerate(both):
            _draw([row[index] for row in axes], result, waveform, passage)
        return figure_of(axes[0][0])


def passages_of(result: HalfBridgeEdges | HalfBridgePoint) -> tuple[Waveform, tuple[Passage, Passage]]:
    """Both commutations with the waveform that shows them whole.

    A period of a steady state begins amid the commutation to the active side; it is shown from the middle of
    that side's off-time on, where it is there as a whole and the side has one.
    """
    turn_on, turn_off = result.turn_on, result.turn_off
    waveform, on_time, to_active = result.waveform, _on_time(result), result.to_active
    if isinstance(result, HalfBridgePoint):
        period = 1.0 / result.frequency
        middle = 0.5 * (on_time + period)
        if waveform.begin < middle < waveform.end:
            waveform = begun_before(waveform, middle)
        to_active = replace(
            to_active,
            outgoing_off=to_active.outgoing_off - period,
            incoming_on=to_active.incoming_on - period,
        )
    first = _passage(
        result, waveform, to_active, result.active, 0.0, [turn_on.drain_begin, turn_on.drain_end]
    )
    second = _passage(
        result,
        waveform,
        result.from_active,
        result.other,
        on_time,
        [turn_off.drain_begin, turn_off.drain_end],
    )
    return waveform, (first, second)


def _on_time(result: HalfBridgeEdges | HalfBridgePoint) -> float:
    """Of the active side [s]."""
    return result.duty / result.frequency if isinstance(result, HalfBridgePoint) else result.on_time


def _title(result: HalfBridgeEdges | HalfBridgePoint) -> str:
    bus = format_figure(result.cell.bus.voltage, "V", 3)
    if isinstance(result, HalfBridgePoint):
        at = f"{format_figure(result.frequency, 'Hz', 3)}, duty {format_figure(result.duty, '%', 3)}"
    else:
        at = format_figure(result.current, "A", 3)
    return f"Half bridge at {bus}, {at}, dead time {format_figure(result.dead_time, 's', 3)}"


def _passage(
    result: HalfBridgeEdges | HalfBridgePoint,
    waveform: Waveform,
    figures: Commutation,
    incoming: str,
    origin: float,
    drain: list[float],
) -> Passage:
    outgoing, command = (result.other, "on") if incoming == result.active else (result.active, "off")
    known = [event for event in (figures.outgoing_off, figures.incoming_on, *drain) if np.isfinite(event)]
    begin, end = waveform.begin, waveform.end
    if known:
        length = max(max(known) - min(known), abs(result.dead_time))
        begin = max(begin, min(known) - _BEFORE * length)
        end = min(end, max(known) + _AFTER * length)
    return Passage(figures, incoming, outgoing, command, origin, begin, end)


def _draw(
    axes: Sequence[Axes], result: HalfBridgeEdges | HalfBridgePoint, waveform: Waveform, passage: Passage
) -> None:
    times = np.linspace(passage.begin, passage.end, _POINTS)
    nanoseconds = 1e9 * (times - passage.origin)
    drawn = _Drawn(waveform, times, nanoseconds)
    _gates(axes[0], drawn, passage)
    _node(axes[1], drawn, passage, result.cell.bus.voltage)
    _currents(axes[2], drawn, passage)
    for one, label in zip(axes, ("gate voltage (V)", "switch node (V)", "channel current (A)"), strict=True):
        one.set_ylabel(label)
        one.label_outer()
        one.margins(y=0.14)
    _gap(axes, passage)
    axes[0].set_xlim(nanoseconds[0], nanoseconds[-1])
    axes[0].set_title(passage.title, pad=22)
    axes[2].set_xlabel(f'time from the command "{passage.command}" of the {result.active} side (ns)')


class _Drawn(NamedTuple):
    """The times at which a waveform is drawn, in seconds and in nanoseconds from the command."""

    waveform: Waveform
    times: np.ndarray
    nanoseconds: np.ndarray

    def of(self, channel: str) -> np.ndarray:
        """Values of a channel there."""
        return self.waveform.value(channel, self.times)


def _gates(axes: Axes, drawn: _Drawn, passage: Passage) -> None:
    for side in (passage.outgoing, passage.incoming):
        axes.plot(drawn.nanoseconds, drawn.of(f"v_gs_{side}"), color=_COLORS[side], lw=1.9)
    rows = ((passage.incoming, 0.62), (passage.outgoing, 0.52))
    for side, height in rows:
        text = f"{side} side"
        axes.text(
            0.98, height, text, color=ink(_COLORS[side]), transform=axes.transAxes, ha="right", va="top",
            fontsize=8.5, weight="bold", bbox=_PAPER,
        )  # fmt: skip
    figures = passage.figures
    if np.isnan(figures.threshold_margin):
        return
    # That of the junction as it ran, which is not the one stated for 25 degrees Celsius.
    threshold = figures.induced_gate_voltage + figures.threshold_margin
    axes.axhline(threshold, color=BLACK, lw=0.6, ls=":")
    peak, margin = (
        format_figure(abs(value), "V", 3)
        for value in (figures.induced_gate_voltage, figures.threshold_margin)
    )
    place = "below" if figures.threshold_margin >= 0.0 else "above"
    text = f"{passage.outgoing} side sees {peak}, {margin} {place} its threshold"
    axes.text(0.015, 0.03, text, transform=axes.transAxes, fontsize=8.5, bbox=_PAPER)


def _node(axes: Axes, drawn: _Drawn, passage: Passage, bus: float) -> None:
    axes.plot(drawn.nanoseconds, drawn.of("v_switch"), color=VERMILLION, lw=1.9)
    axes.axhline(bus, color=BLACK, lw=0.8, ls=(0, (4, 3)))
    text, heat = f"bus {format_figure(bus, 'V')}", passage.figures.diode_conduction_energy
    if heat >= _SMALL_ENERGY:
        text += f"; heat of the diodes {format_figure(heat, 'J', 3)}"
    _note(axes, text, bus)


def _currents(axes: Axes, drawn: _Drawn, passage: Passage) -> None:
    currents = {side: drawn.of(f"i_channel_{side}") for side in ("high", "low")}
    for side, current in currents.items():
        axes.plot(drawn.nanoseconds, current, color=_COLORS[side], lw=1.5)
    common = np.clip(np.minimum(currents["high"], currents["low"]), 0.0, None)
    axes.fill_between(drawn.nanoseconds, common, color=VERMILLION, lw=0, alpha=0.6, zorder=1.5)
    figures = passage.figures
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


def _gap(axes: Sequence[Axes], passage: Passage) -> None:
    """The time between the thresholds: a band through all panels, its length above the first."""
    figures, gap = passage.figures, passage.gap
    if gap is None:
        return
    begin, end = (1e9 * (time - passage.origin) for time in (gap.begin, gap.end))
    color = BAND[0] if figures.gate_gap >= 0.0 else BAND[1]
    for one in axes:
        one.axvspan(begin, end, color=color, lw=0, zorder=0.5)
    needed = format_figure(figures.dead_time_needed, "s", 3)
    text = f"{gap.name} {format_figure(abs(figures.gate_gap), 's', 3)}; just enough: {needed}"
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
