"""Fewer points of a waveform, with a bound on the error and all peaks kept.

Every channel is drawn with straight lines between common times. Starting from the ends and the extremes of
every channel, each stretch is divided where a channel is farthest from its line in units of its bound, until
none is farther than one. (Ramer 1972, Douglas and Peucker 1973, with the distance taken along the value.)
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .. import _core
from .waveform import Waveform

__all__ = ["decimated", "extreme_times"]

Floats = NDArray[np.float64]

_FINE = 4  # straight pieces that stand for a quarter of a step
_SHARE = 0.8  # of the bound, for the lines through the fine points; the rest is for what lies between those


def decimated(waveform: Waveform, bounds: Mapping[str, float]) -> Waveform:
    """Straight lines that stay within `bounds` [unit] of every channel.

    A jump becomes a slope as steep as the digits of time allow.
    """
    times = _fine_times(waveform)
    values = np.array([waveform.value(name, times) / bounds[name] for name in waveform.units])
    kept = _kept(times, values, _extremes(waveform, times))
    chosen = times[kept]
    return Waveform.from_samples(
        chosen, {name: waveform.value(name, chosen) for name in waveform.units}, waveform.units
    )


def extreme_times(
    waveform: Waveform, channels: Sequence[str], begin: float, end: float, parts: int
) -> Floats:
    """Times [s] of the highest and the lowest node of a channel in each of equal parts from `begin` to `end`.

    Lines through them look as the channels do where a part is no wider than a pixel. Both ends are included.
    """
    inside = slice(*np.searchsorted(waveform.times, [begin, end]))
    times = waveform.times[inside]
    borders = np.searchsorted(times, np.linspace(begin, end, parts + 1)[1:-1])
    places = [part for part in np.split(np.arange(len(times)), borders) if len(part)]
    kept: set[int] = set()
    for values in (waveform.values(name)[inside] for name in channels):
        for part in places:
            kept |= {int(part[np.argmin(values[part])]), int(part[np.argmax(values[part])])}
    return np.unique([begin, end, *times[sorted(kept)]])


def _fine_times(waveform: Waveform) -> Floats:
    """Nodes, points between them, extremes, and both sides of joints, where a channel may jump."""
    nodes = np.unique(waveform.times)
    if waveform.core.degree > 1:
        shares = np.arange(_FINE) / _FINE
        between = (nodes[:-1, np.newaxis] + np.diff(nodes)[:, np.newaxis] * shares).ravel()
        nodes = np.append(between, nodes[-1])
    joints = waveform.times[:: waveform.core.degree + 1][1:]
    jumping = np.zeros(len(joints), dtype=bool)
    for name in waveform.units:
        ends = waveform.values(name)[waveform.core.degree :: waveform.core.degree + 1][:-1]
        begins = waveform.values(name)[:: waveform.core.degree + 1][1:]
        jumping |= np.abs(begins - ends) > 1e-9 * max(float(np.ptp(waveform.values(name))), 1e-12)
    before = joints[jumping] - 1e-9 * (waveform.end - waveform.begin)
    window = _core.whole(waveform.core)
    extremes = [
        find(waveform.core, name, window).time
        for name in waveform.units
        for find in (_core.maximum, _core.minimum)
    ]
    return np.unique(np.concatenate([nodes, before, extremes]))


def _extremes(waveform: Waveform, times: Floats) -> set[int]:
    window = _core.whole(waveform.core)
    found = {0, len(times) - 1}
    for name in waveform.units:
        for find in (_core.maximum, _core.minimum):
            found.add(int(np.searchsorted(times, find(waveform.core, name, window).time)))
    return found


def _kept(times: Floats, values: Floats, start: set[int]) -> NDArray[np.intp]:
    kept = set(start)
    ordered = sorted(start)
    stack = list(pairwise(ordered))
    while stack:
        first, last = stack.pop()
        if last - first < 2:
            continue
        inside = slice(first + 1, last)
        share = (times[inside] - times[first]) / (times[last] - times[first])
        lines = values[:, [first]] + (values[:, [last]] - values[:, [first]]) * share
        distance = np.abs(values[:, inside] - lines).max(axis=0)
        worst = int(np.argmax(distance))
        if distance[worst] > _SHARE:
            middle = first + 1 + worst
            kept.add(middle)
            stack += [(first, middle), (middle, last)]
    return np.array(sorted(kept))
