"""A channel of a waveform as few points joined by straight lines, so close that no peak is lost."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..waveform import Waveform

__all__ = ["Polyline", "polyline"]

Floats = NDArray[np.float64]

# Samples of each step of the integrator, of which the points are chosen.
_SAMPLES = 8
# Largest distance between curve and line, as a share of the curve's range.
_CLOSENESS = 5e-4
_MOST_POINTS = 5000
# Changes of a value below this share of itself are rounding.
_ROUNDING = 1e-12


class Polyline(NamedTuple):
    """Points of a channel.

    Attributes:
        times: [s], shape (points,); a jump has two points at one time.
        values: in the unit of the channel, shape (points,); its highest and lowest sample among them.
        distance: of any sample from the line through the points, at most, in the unit of the channel.
    """

    times: Floats
    values: Floats
    distance: float


def polyline(waveform: Waveform, channel: str) -> Polyline:
    """The points of a channel that a line needs to stay within a small distance of it.

    The distance is 0.05 % of the channel's range, doubled until there are no more than 5000 points.

    Raises:
        ValueError: there is no such channel.
    """
    times, values = _samples(waveform, channel)
    distance = max(_CLOSENESS * float(np.ptp(values)), _ROUNDING * float(np.abs(values).max()))
    while len(kept := _needed(times, values, distance)) > _MOST_POINTS:
        distance *= 2.0
    return Polyline(times[kept], values[kept], distance)


def _samples(waveform: Waveform, channel: str) -> tuple[Floats, Floats]:
    """Times and values, evenly spread over each step; both values where two steps meet in a jump."""
    nodes = (-1, waveform.core.degree + 1)
    times, values = waveform.times.reshape(nodes), waveform.values(channel).reshape(nodes)
    begin, end = times[:, :1], times[:, -1:]
    inside = begin + (end - begin) * np.arange(1, _SAMPLES) / _SAMPLES
    sampled = [values[:, :1], waveform.value(channel, inside), values[:, -1:]]
    return np.hstack([begin, inside, end]).ravel(), np.hstack(sampled).ravel()


def _needed(times: Floats, values: Floats, distance: float) -> list[int]:
    """Indices of the samples to keep.

    From the last point kept, the lines that pass all later samples closely enough form a wedge, which only
    narrows. The first sample outside it ends the line at the sample before.
    """
    corners = {int(np.argmin(values)), int(np.argmax(values)), len(times) - 1}
    kept, steepest, flattest = [0], np.inf, -np.inf
    t, v = times.tolist(), values.tolist()
    for index in range(1, len(t)):
        last = kept[-1]
        if not _within(t[index] - t[last], v[index] - v[last], flattest, steepest, distance):
            last = index - 1
            kept.append(last)
            steepest, flattest = np.inf, -np.inf
        elapsed, change = t[index] - t[last], v[index] - v[last]
        if elapsed > 0.0:
            steepest = min(steepest, (change + distance) / elapsed)
            flattest = max(flattest, (change - distance) / elapsed)
        is_jump = elapsed <= 0.0 and abs(change) > distance
        if is_jump or index in corners:
            kept.append(index)
            steepest, flattest = np.inf, -np.inf
    return list(dict.fromkeys(kept))


def _within(elapsed: float, change: float, flattest: float, steepest: float, distance: float) -> bool:
    """Whether a line from the last point to this sample passes all those between closely enough."""
    if elapsed <= 0.0:
        return abs(change) <= distance
    return flattest <= change / elapsed <= steepest
