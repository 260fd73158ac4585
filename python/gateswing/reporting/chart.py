"""The data of the chart that can be zoomed: lines, panels, and the parts of a period worth a look."""

from __future__ import annotations

from typing import Any

import numpy as np

from ..edges import TurnOff, TurnOn
from ..plot.edges import PANELS, Interval, Line, edge_intervals, edge_window
from ..plot.style import ink
from ..results import OperatingPoint
from ..waveform import Waveform
from .polyline import polyline

__all__ = ["chart_data"]

# Times go into the page as whole picoseconds.
_PER_SECOND = 1e12


def chart_data(point: OperatingPoint) -> dict[str, Any]:
    """Plain numbers and text for the script of the page.

    Times are whole picoseconds since the begin of the waveform; those of a line are the steps from point to
    point. ``closeness`` is the distance of a line from its curve, at most, as a share of the curve's range.
    """
    waveform = point.waveform
    panels, closeness = [], 0.0
    for panel in PANELS:
        lines = []
        for line in panel.lines:
            drawn, share = _line(waveform, line, is_main=line is panel.lines[-1])
            lines.append(drawn)
            closeness = max(closeness, share)
        panels.append({"title": panel.quantity, "unit": panel.unit, "lines": lines})
    views = [_edge_view(waveform, edge) for edge in (point.turn_on, point.turn_off) if edge_intervals(edge)]
    return {
        "end": _ticks(waveform, waveform.end),
        "views": [
            *views,
            _view(waveform, "whole period", (waveform.begin, waveform.begin, waveform.end), []),
        ],
        "panels": panels,
        "closeness": closeness,
    }


def _line(waveform: Waveform, line: Line, *, is_main: bool) -> tuple[dict[str, Any], float]:
    found = polyline(waveform, line.channel)
    extent = float(np.ptp(found.values))
    # Rounded far below the distance that the line keeps anyway.
    decimals = max(0, 1 - int(np.floor(np.log10(found.distance)))) if found.distance > 0.0 else 6
    drawn = {
        "name": line.text,
        "color": line.color,
        "ink": ink(line.color),
        "main": is_main,
        "steps": np.diff([0, *(_ticks(waveform, time) for time in found.times.tolist())]).tolist(),
        "values": (np.round(found.values, decimals) + 0.0).tolist(),
    }
    return drawn, found.distance / extent if extent > 0.0 else 0.0


def _edge_view(waveform: Waveform, edge: TurnOn | TurnOff) -> dict[str, Any]:
    intervals = edge_intervals(edge)
    name = "turn-on" if isinstance(edge, TurnOn) else "turn-off"
    return _view(waveform, name, edge_window(waveform, intervals), intervals)


def _view(
    waveform: Waveform, name: str, window: tuple[float, float, float], intervals: list[Interval]
) -> dict[str, Any]:
    origin, begin, end = (_ticks(waveform, time) for time in window)
    named = [
        {"name": one.name, "begin": _ticks(waveform, one.begin), "end": _ticks(waveform, one.end)}
        for one in intervals
    ]
    return {"name": name, "origin": origin, "begin": begin, "end": end, "intervals": named}


def _ticks(waveform: Waveform, time: float) -> int:
    return round((time - waveform.begin) * _PER_SECOND)
