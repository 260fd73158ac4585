"""The data of the chart that can be zoomed: lines, panels, and the parts of a period worth a look."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..decimation import decimated
from ..edges import TurnOff, TurnOn
from ..plot.edges import PANELS, Interval, Line, edge_intervals, edge_window
from ..plot.style import ink
from ..results import OperatingPoint
from ..waveform import Waveform

__all__ = ["chart_data"]

# Times go into the page as whole picoseconds.
_PER_SECOND = 1e12
# Largest distance between curve and line, as a share of the curve's range.
_CLOSENESS = 5e-4
_MOST_POINTS = 6000


def chart_data(point: OperatingPoint) -> dict[str, Any]:
    """Plain numbers and text for the script of the page.

    Times are whole picoseconds since the begin of the waveform; those of the points, which all lines share,
    are written as the steps between them. ``closeness`` is the distance of a line from its curve, at most, as a share of the curve's range.
    """
    waveform = point.waveform
    times, closeness = _times(waveform)
    panels = [
        {
            "title": panel.quantity,
            "unit": panel.unit,
            "lines": [_line(waveform, line, times, is_main=line is panel.lines[-1]) for line in panel.lines],
        }
        for panel in PANELS
    ]
    views = [_edge_view(waveform, edge) for edge in (point.turn_on, point.turn_off) if edge_intervals(edge)]
    views.append(_view(waveform, "whole period", (waveform.begin, waveform.begin, waveform.end), []))
    return {
        "end": _ticks(waveform, waveform.end),
        "steps": np.diff([0, *(_ticks(waveform, time) for time in times.tolist())]).tolist(),
        "views": [
            *views,
            _view(waveform, "whole period", (waveform.begin, waveform.begin, waveform.end), []),
        ],
        "panels": panels,
        "closeness": closeness,
    }


def _times(waveform: Waveform) -> tuple[NDArray[np.float64], float]:
    """Times of the points that lines need to stay close to all curves of the chart, and how close [1]."""
    shown = [line.channel for panel in PANELS for line in panel.lines]
    extents = {name: _extent(waveform, name) if name in shown else 0.0 for name in waveform.units}
    closeness = _CLOSENESS
    while True:
        bounds = {name: closeness * extent or math.inf for name, extent in extents.items()}
        times = np.unique(decimated(waveform, bounds).times)
        if len(times) <= _MOST_POINTS:
            return times, closeness
        closeness *= 2.0


def _extent(waveform: Waveform, channel: str) -> float:
    return float(np.ptp(waveform.values(channel)))


def _line(waveform: Waveform, line: Line, times: NDArray[np.float64], *, is_main: bool) -> dict[str, Any]:
    # Rounded far below the distance that the line keeps anyway.
    smallest = 0.01 * _CLOSENESS * _extent(waveform, line.channel)
    decimals = max(0, -math.floor(math.log10(smallest))) if smallest > 0.0 else 6
    return {
        "name": line.text,
        "color": line.color,
        "ink": ink(line.color),
        "main": is_main,
        "values": (np.round(waveform.value(line.channel, times), decimals) + 0.0).tolist(),
    }


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
