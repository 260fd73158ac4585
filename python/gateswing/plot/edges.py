"""Both edges of a double pulse or of an operating point, with the named intervals."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from matplotlib import pyplot as plt
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from ..figures import format_figure
from ..studies.edges import TurnOff, TurnOn
from ..studies.results import DoublePulse, OperatingPoint
from ..waveforms.waveform import Waveform
from .style import BAND, BLACK, BLUE, GREEN, GREY, ORANGE, VERMILLION, figure_of, ink, look

__all__ = [
    "PANELS",
    "Interval",
    "Line",
    "Panel",
    "draw_edges",
    "edge_intervals",
    "edge_window",
    "frame_edges",
    "plot_edges",
]

# Time shown before the gate moves and after the drain has settled, in multiples of the time in between.
_BEFORE, _AFTER = 0.6, 2.6
_POINTS = 4000


class Line(NamedTuple):
    """One channel in a panel, with its name in words; the main ones are drawn wider."""

    channel: str
    text: str
    color: str
    is_main: bool = False


class Panel(NamedTuple):
    """Channels of one quantity, in the order in which they are drawn."""

    quantity: str
    unit: str
    lines: tuple[Line, ...]


PANELS = (
    Panel(
        "gate voltage",
        "V",
        (
            Line("v_driver", "driver output", ORANGE),
            Line("v_gs_pin", "at the pins", GREY),
            Line("v_gs", "at the die", BLUE, is_main=True),
        ),
    ),
    Panel(
        "drain voltage",
        "V",
        (Line("v_ds_pin", "at the pins", GREY), Line("v_ds", "at the die", VERMILLION, is_main=True)),
    ),
    Panel(
        "drain current",
        "A",
        (Line("i_channel", "channel", GREY), Line("i_d", "drain pin", GREEN, is_main=True)),
    ),
)


# Where the curves leave room for their names, for the turn-on and the turn-off of each panel.
_EMPTY_CORNERS = (("low", "high"), ("high", "low"), ("low", "high"))


# Behind texts that a ringing curve may reach.
_PAPER = {"facecolor": "white", "edgecolor": "none", "alpha": 0.75, "pad": 0.8}


class Interval(NamedTuple):
    """A named part of an edge, on the time axis of its waveform [s]."""

    name: str
    symbol: str
    begin: float
    end: float


def plot_edges(result: DoublePulse | OperatingPoint, axes: Sequence[Sequence[Axes]] | None = None) -> Figure:
    """Gate voltage, drain voltage and drain current of both edges, one above the other.

    Args:
        result: of :func:`gateswing.double_pulse` or :func:`gateswing.operating_point`.
        axes: three rows of two axes to draw into; left out: a figure of its own.

    Returns:
        The figure drawn into.
    """
    with look():
        if axes is None:
            figure, own = plt.subplots(3, 2, sharex="col", sharey="row", figsize=(9.6, 7.2))
            axes = own.tolist()
            figure.suptitle(_title(result), x=0.01, ha="left", fontweight="bold", parse_math=False)
        frame_edges(axes)
        draw_edges(axes, result)
        return figure_of(axes[0][0])


def frame_edges(axes: Sequence[Sequence[Axes]]) -> None:
    """What is the same for every result: labels, titles, and the curves' names where each panel is empty."""
    for row, panel in enumerate(PANELS):
        for column, corner in enumerate(_EMPTY_CORNERS[row]):
            axes[row][column].set_ylabel(f"{panel.quantity} ({panel.unit})")
            axes[row][column].label_outer()
            axes[row][column].margins(y=0.12)
            _names(axes[row][column], panel, corner)
    for column, name in enumerate(("Turn-on", "Turn-off")):
        axes[0][column].set_title(name, pad=34)
        axes[-1][column].set_xlabel("time (ns)")


def draw_edges(axes: Sequence[Sequence[Axes]], result: DoublePulse | OperatingPoint) -> None:
    """What a result adds: curves, intervals, levels, and what the peaks are."""
    _edge([row[0] for row in axes], result.waveform, result.turn_on)
    _edge([row[1] for row in axes], result.waveform, result.turn_off)
    _annotate(axes, result)


def _title(result: DoublePulse | OperatingPoint) -> str:
    where = [format_figure(result.cell.bus.voltage, "V", 3)]
    if isinstance(result, DoublePulse):
        where.append(format_figure(result.current, "A", 3))
    else:
        where += [format_figure(result.frequency, "Hz", 3), f"duty {format_figure(result.duty, '%', 3)}"]
    return f"{result.cell.mosfet.name or 'MOSFET'}: both edges at {', '.join(where)}"


def edge_intervals(edge: TurnOn | TurnOff) -> list[Interval]:
    """Delay and transition of an edge, as far as they exist."""
    on = isinstance(edge, TurnOn)
    intervals = [
        Interval("delay", "$t_{d(on)}$" if on else "$t_{d(off)}$", edge.gate_time, edge.drain_begin),
        Interval(
            "rise time" if on else "fall time", "$t_r$" if on else "$t_f$", edge.drain_begin, edge.drain_end
        ),
    ]
    return [interval for interval in intervals if np.isfinite([interval.begin, interval.end]).all()]


def edge_window(waveform: Waveform, intervals: Sequence[Interval]) -> tuple[float, float, float]:
    """Origin, begin and end of what to show of an edge [s]; without intervals, the whole waveform."""
    if not intervals:
        return waveform.begin, waveform.begin, waveform.end
    origin, length = intervals[0].begin, intervals[-1].end - intervals[0].begin
    begin = max(waveform.begin, origin - _BEFORE * length)
    return origin, begin, min(waveform.end, origin + (1 + _AFTER) * length)


def _edge(column: Sequence[Axes], waveform: Waveform, edge: TurnOn | TurnOff) -> None:
    known = edge_intervals(edge)
    origin, begin, end = edge_window(waveform, known)
    times = np.linspace(begin, end, _POINTS)
    for axes, panel in zip(column, PANELS, strict=True):
        for interval, color in zip(known, BAND, strict=False):
            axes.axvspan(1e9 * (interval.begin - origin), 1e9 * (interval.end - origin), color=color, lw=0)
        _curves(axes, waveform, panel, times, origin)
    column[0].set_xlim(1e9 * (begin - origin), 1e9 * (end - origin))
    for level, interval in enumerate(known):
        _bracket(column[0], interval, origin, 1.05 + 0.085 * (len(known) - 1 - level))


def _curves(axes: Axes, waveform: Waveform, panel: Panel, times: np.ndarray, origin: float) -> None:
    for line in panel.lines:
        wide = 1.9 if line.is_main else 1.1
        axes.plot(1e9 * (times - origin), waveform.value(line.channel, times), color=line.color, lw=wide)


def _bracket(axes: Axes, interval: Interval, origin: float, height: float) -> None:
    """A dimension line above the panel; its text stands beside it, where a short interval leaves room."""
    begin, end = 1e9 * (interval.begin - origin), 1e9 * (interval.end - origin)
    transform = axes.get_xaxis_transform()
    axes.plot(
        [begin, end], [height, height], transform=transform, color=BLACK, lw=1.2, marker="|", clip_on=False
    )
    text = f"{interval.symbol} = {format_figure(interval.end - interval.begin, 's', 3)}"
    axes.annotate(
        text,
        (end, height),
        xytext=(5, 0),
        textcoords="offset points",
        xycoords=transform,
        va="center",
        fontsize=8.5,
    )


def _annotate(axes: Sequence[Sequence[Axes]], result: DoublePulse | OperatingPoint) -> None:
    """The bus voltage, plateaus, and what the peaks are."""
    on, off, bus = result.turn_on, result.turn_off, result.cell.bus.voltage
    for drain in axes[1]:
        drain.axhline(bus, color=BLACK, lw=0.8, ls=(0, (4, 3)))
    _note(axes[0][0], f"plateau {format_figure(on.plateau_voltage, 'V', 3)}", on.plateau_voltage)
    _note(axes[0][1], f"plateau {format_figure(off.plateau_voltage, 'V', 3)}", off.plateau_voltage)
    _note(axes[1][1], _peak_text(off), off.peak_drain_voltage)
    _note(
        axes[2][0], f"peak at the pin {format_figure(on.peak_drain_current, 'A', 3)}", on.peak_drain_current
    )
    axes[1][0].annotate(
        f"bus {format_figure(bus, 'V')}", (0.02, bus), xycoords=axes[1][0].get_yaxis_transform(),
        xytext=(0, 3), textcoords="offset points", fontsize=8.5,
    )  # fmt: skip


def _peak_text(edge: TurnOff) -> str:
    text = f"peak at the die {format_figure(edge.peak_drain_voltage, 'V', 3)}"
    if not np.isnan(edge.ring_frequency):
        frequency, quality = (
            format_figure(edge.ring_frequency, "Hz", 3),
            format_figure(edge.ring_quality, "", 3),
        )
        text += f", then {frequency}, Q {quality}"
    return text


def _note(axes: Axes, text: str, level: float) -> None:
    """A text at the right edge, on a thin line at the level that it is about."""
    if np.isnan(level):
        return
    axes.axhline(level, color=BLACK, lw=0.6, ls=":")
    axes.annotate(
        text, (0.98, level), xycoords=axes.get_yaxis_transform(), xytext=(0, 3), textcoords="offset points",
        ha="right", fontsize=8.5, bbox=_PAPER,
    )  # fmt: skip


def _names(axes: Axes, panel: Panel, corner: str) -> None:
    lines = list(reversed(panel.lines))
    for index, line in enumerate(lines):
        height = 0.95 - 0.1 * index if corner == "high" else 0.05 + 0.1 * (len(lines) - 1 - index)
        axes.text(
            0.98, height, line.text, color=ink(line.color), transform=axes.transAxes, ha="right",
            va="top" if corner == "high" else "bottom", fontsize=8.5,
            weight="bold" if line.is_main else "normal", bbox=_PAPER,
        )  # fmt: skip
