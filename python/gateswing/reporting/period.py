"""What a page shows of the last period: which curves, around which events, and in which words.

This is all that the pictures of the page know of a kind of cell.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

from ..figures import format_figure
from ..plot.commutations import BRIDGE_PANELS, Passage, passages_of, plot_commutations
from ..plot.edges import PANELS, Interval, Panel, edge_intervals, edge_window, plot_edges
from ..studies.bridge_point import HalfBridgePoint
from ..studies.edges import TurnOff, TurnOn
from ..studies.results import OperatingPoint
from ..waveforms.waveform import Waveform

__all__ = ["Period", "View", "period_of"]


class View(NamedTuple):
    """A part of the period worth a look, by its times on the axis of the waveform [s].

    Attributes:
        name: of the part.
        origin, begin, end: where time counts from, and what is shown.
        origin_name: what happens at the origin.
        intervals: named parts of it.
    """

    name: str
    origin: float
    begin: float
    end: float
    origin_name: str
    intervals: tuple[Interval, ...]


class Period(NamedTuple):
    """The last period of a steady state.

    Attributes:
        waveform: that shows every view whole.
        panels: curves.
        views: around its edges.
        whole: the view of all of it.
        words: what the picture shows, for those who do not see it.
        caption: of the picture.
        plot: draws it into three rows of two axes.
    """

    waveform: Waveform
    panels: tuple[Panel, ...]
    views: tuple[View, ...]
    whole: View
    words: str
    caption: str
    plot: Callable[[Sequence[Sequence[Any]]], object]


def period_of(point: OperatingPoint | HalfBridgePoint) -> Period:
    """What a page shows of it."""
    return _of_bridge(point) if isinstance(point, HalfBridgePoint) else _of_low_side(point)


def _of_low_side(point: OperatingPoint) -> Period:
    waveform = point.waveform
    edges = (("turn-on", point.turn_on), ("turn-off", point.turn_off))
    found = [(name, edge_intervals(edge)) for name, edge in edges]
    views = [_edge_view(waveform, name, intervals) for name, intervals in found if intervals]
    parts = [
        f"{name.capitalize()}: {_times(edge) or 'the drain does not change its level'}."
        for name, edge in edges
    ]
    peaks = (
        f"The drain voltage peaks at {format_figure(point.peak_drain_voltage, 'V', 3)}, "
        f"the drain current at {format_figure(point.peak_drain_current, 'A', 3)}."
    )
    return Period(
        waveform,
        PANELS,
        tuple(views),
        _whole(waveform, "command to turn on"),
        " ".join(["Gate voltage, drain voltage and drain current over time.", *parts, peaks]),
        "Both edges of the last simulated period. Time counts from where the gate voltage leaves its level;"
        " the dashed line is the bus, dotted lines mark the figures written on them.",
        lambda axes: plot_edges(point, axes),
    )


def _of_bridge(point: HalfBridgePoint) -> Period:
    waveform, passages = passages_of(point)
    parts = [f"{one.title}: {_gap(one) or 'no change of the current from gate to gate'}." for one in passages]
    peaks = ", ".join(
        f"{format_figure(side.peak_drain_voltage, 'V', 3)} at the {name} side"
        for name, side in (("high", point.high), ("low", point.low))
    )
    return Period(
        waveform,
        BRIDGE_PANELS,
        tuple(_passage_view(point, one) for one in passages if one.gap),
        _whole(waveform, f'command "on" of the {point.active} side', origin=0.0),
        " ".join(
            [
                "Gate voltages, switch node and channel currents over time.",
                *parts,
                f"The drain voltages peak at {peaks}.",
            ]
        ),
        "Both commutations of the last simulated period, gate voltages at the dies. The shaded time lies"
        " between the thresholds of the gates, the dotted line is that of the switch that turns off, the"
        " dashed one the bus.",
        lambda axes: plot_commutations(point, axes),
    )


def _whole(waveform: Waveform, origin_name: str, origin: float | None = None) -> View:
    at = waveform.begin if origin is None else origin
    return View("whole period", at, waveform.begin, waveform.end, origin_name, ())


def _edge_view(waveform: Waveform, name: str, intervals: Sequence[Interval]) -> View:
    return View(name, *edge_window(waveform, intervals), f"begin of the {name}", tuple(intervals))


def _times(edge: TurnOn | TurnOff) -> str:
    return ", ".join(
        f"{one.name} {format_figure(one.end - one.begin, 's', 3)}" for one in edge_intervals(edge)
    )


def _passage_view(point: HalfBridgePoint, one: Passage) -> View:
    origin_name = f'command "{one.command}" of the {point.active} side'
    intervals = (one.gap,) if one.gap else ()
    return View(one.title[0].lower() + one.title[1:], one.origin, one.begin, one.end, origin_name, intervals)


def _gap(one: Passage) -> str:
    if one.gap is None:
        return ""
    needed = format_figure(one.figures.dead_time_needed, "s", 3)
    return f"{one.gap.name} {format_figure(one.gap.end - one.gap.begin, 's', 3)}, dead time needed {needed}"
