"""The data of the chart that can be zoomed: lines, panels, and the parts of a period worth a look."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .. import _core
from ..plot.edges import Line
from ..plot.style import ink
from ..studies.bridge_point import HalfBridgePoint
from ..studies.results import OperatingPoint
from ..waveforms.decimation import decimated, extreme_times
from ..waveforms.waveform import Waveform
from .period import View, period_of

__all__ = ["chart_data"]

Floats = NDArray[np.float64]

# Times go into the page as whole picoseconds.
_PER_SECOND = 1e12
# Largest distance between curve and line, as a share of the curve's range.
_CLOSENESS = 5e-4
# A period of more steps is drawn so closely around its edges only, else by the extremes of so many parts.
_MOST_STEPS = 5000
_PARTS = 400


def chart_data(point: OperatingPoint | HalfBridgePoint) -> dict[str, Any]:
    """Plain numbers and text for the script of the page.

    Times are whole picoseconds since the begin of the waveform; those of the points, which all lines share,
    are written as the steps between them. ``closeness`` is the distance of a line from its curve, at most, as
    a share of the curve's range; where ``parts`` is not zero it holds for the views of the edges, and between
    them the lines join the extremes of so many equal parts of the period.
    """
    period = period_of(point)
    waveform, panels = period.waveform, period.panels
    shown = [line.channel for panel in panels for line in panel.lines]
    is_long = waveform.core.steps > _MOST_STEPS
    if is_long:
        near = [_close_times(waveform, shown, view.begin, view.end) for view in period.views]
        extremes = extreme_times(waveform, shown, waveform.begin, waveform.end, _PARTS)
        times = np.unique(np.concatenate([*near, extremes]))
    else:
        times = _close_times(waveform, shown, waveform.begin, waveform.end)
    drawn = [
        {
            "title": panel.quantity,
            "unit": panel.unit,
            "lines": [_line(waveform, line, times) for line in panel.lines],
        }
        for panel in panels
    ]
    return {
        "end": _ticks(waveform, waveform.end),
        "steps": np.diff([0, *(_ticks(waveform, time) for time in times.tolist())]).tolist(),
        "views": [_view(waveform, view) for view in (*period.views, period.whole)],
        "panels": drawn,
        "closeness": _CLOSENESS,
        "parts": _PARTS if is_long else 0,
    }


def _close_times(waveform: Waveform, shown: Sequence[str], begin: float, end: float) -> Floats:
    """Times of the points that lines need from `begin` to `end` [s] to stay close to all channels shown."""
    nodes = waveform.times.reshape(-1, waveform.core.degree + 1)
    chosen = (nodes[:, -1] > begin) & (nodes[:, 0] < end)
    channels = [_core.Channel(name, waveform.units[name]) for name in shown]
    values = [waveform.values(name).reshape(nodes.shape)[chosen].ravel() for name in shown]
    part = Waveform(_core.Waveform.from_nodes(channels, waveform.core.degree, nodes[chosen].ravel(), values))
    bounds = {name: _CLOSENESS * _extent(waveform, name) or math.inf for name in shown}
    return np.unique(decimated(part, bounds).times)


def _extent(waveform: Waveform, channel: str) -> float:
    return float(np.ptp(waveform.values(channel)))


def _line(waveform: Waveform, line: Line, times: Floats) -> dict[str, Any]:
    # Rounded far below the distance that the line keeps anyway.
    smallest = 0.01 * _CLOSENESS * _extent(waveform, line.channel)
    decimals = max(0, -math.floor(math.log10(smallest))) if smallest > 0.0 else 6
    return {
        "name": line.text,
        "color": line.color,
        "ink": ink(line.color),
        "main": line.is_main,
        "values": (np.round(waveform.value(line.channel, times), decimals) + 0.0).tolist(),
    }


def _view(waveform: Waveform, view: View) -> dict[str, Any]:
    named = [
        {"name": one.name, "begin": _ticks(waveform, one.begin), "end": _ticks(waveform, one.end)}
        for one in view.intervals
    ]
    times = {name: _ticks(waveform, getattr(view, name)) for name in ("origin", "begin", "end")}
    return {"name": view.name, "from": view.origin_name, "intervals": named} | times


def _ticks(waveform: Waveform, time: float) -> int:
    return round((time - waveform.begin) * _PER_SECOND)
