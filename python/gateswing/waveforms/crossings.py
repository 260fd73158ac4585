"""Crossings of a level in noise: one for each passage, not one for each wiggle.

A passage upwards leads from below level - hysteresis to above level + hysteresis. Its time is that at which
a parabola through the samples around its middle has the level; with few or uneven samples, or where they bend
more than it does, the mean of the crossings of the level within it. Noise that is as often above as below
cancels. Hysteresis 0 gives every crossing. A spike that does not get through the band is none; what JESD24
(7/85) calls "ignoring spikes" is the rule of the core's main_transition, applied to passages.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from .. import _core
from .waveform import Waveform

__all__ = [
    "Passage",
    "first_passage",
    "last_passage",
    "levels_of",
    "passages",
    "span_of",
    "swing_passages",
    "transition",
]

_LOOKED_AT = 20001  # times at which the levels of a channel are looked for
_LEAST_FITTED = 8  # samples
_EVEN = 1e-3  # of the stretch, by which steps may differ: a waveform without its straight pieces has no noise
_BENT = 1.5  # misfit of a parabola over the noise, from which on the samples themselves are nearer
_HYSTERESIS = 0.2  # of a swing, to find edges


class Passage(NamedTuple):
    """A level is crossed for good.

    Attributes:
        time: [s].
        rising: or falling.
    """

    time: float
    rising: bool


def passages(
    waveform: Waveform, channel: str, level: float, window: _core.Window, hysteresis: float = 0.0
) -> list[Passage]:
    """All passages through a level [unit], in order of time; their directions alternate."""
    crossings = _core.crossings(waveform.core, channel, level, window)
    if hysteresis <= 0.0:
        return [Passage(one.time, one.direction == _core.Direction.rising) for one in crossings]
    times = np.array([one.time for one in crossings])
    found = []
    for begin, end, rising in _through(waveform, channel, (level - hysteresis, level + hysteresis), window):
        within = times[(times >= begin) & (times <= end)]
        middle = float(within.mean()) if len(within) else 0.5 * (begin + end)
        found.append(Passage(_refined(waveform, channel, level, middle, end - begin, window), rising))
    return found


def _refined(
    waveform: Waveform, channel: str, level: float, middle: float, length: float, window: _core.Window
) -> float:
    """When a parabola through the samples around `middle`, by least squares, has the level [s]."""
    if waveform.core.degree > 1:
        return middle
    half = min(0.5 * length, middle - window.begin, window.end - middle)
    first, last = np.searchsorted(waveform.times, [middle - half, middle + half])
    times, values = waveform.times[first:last:2], waveform.values(channel)[first:last:2]
    if len(times) < _LEAST_FITTED or np.ptp(np.diff(times)) > _EVEN * half:
        return middle
    x = (times - middle) / half
    parabola = np.polyfit(x, values - level, 2)
    missed = float(np.sqrt(np.mean((np.polyval(parabola, x) - (values - level)) ** 2)))
    # Third differences of white noise are larger than itself by the root of 1 + 9 + 9 + 1.
    noise = float(np.sqrt(np.mean(np.diff(values, 3) ** 2) / 20.0))
    if missed > _BENT * noise:
        return middle
    roots = np.roots(parabola)
    real = [float(root.real) for root in roots if abs(root.imag) < 1e-9 and abs(root.real) <= 1.0]
    return middle + half * min(real, key=abs) if real else middle


def _through(
    waveform: Waveform, channel: str, band: tuple[float, float], window: _core.Window
) -> Iterator[tuple[float, float, bool]]:
    """When the channel last left one edge of a band and reached the other, and whether upwards."""
    found = [
        (one.time, edge if one.direction == _core.Direction.rising else -edge, edge)
        for edge, level in enumerate(band)
        for one in _core.crossings(waveform.core, channel, level, window)
    ]
    start = float(waveform.value(channel, window.begin))
    side = 0 if start < band[0] else 1 if start > band[1] else None  # where it was last outside
    left = window.begin
    # A jump passes both edges at one time: upwards the lower one first, downwards the upper one.
    for time, _, edge in sorted(found):
        if side is None or edge == side:
            side, left = edge, time
            continue
        yield left, time, edge == 1
        side, left = edge, time


def levels_of(waveform: Waveform, channel: str) -> tuple[float, float]:
    """The two levels [unit] between which a channel mostly switches."""
    times = np.linspace(waveform.begin, waveform.end, _LOOKED_AT)
    values = waveform.value(channel, times)
    low, high = np.percentile(values, [1, 99])
    if high - low < 0.5 * np.ptp(values):  # hardly ever at one of them
        low, high = values.min(), values.max()
    return float(low), float(high)


def span_of(waveform: Waveform, channel: str) -> float:
    """The highest value of a channel less the lowest [unit]."""
    whole = _core.whole(waveform.core)
    high, low = _core.maximum(waveform.core, channel, whole), _core.minimum(waveform.core, channel, whole)
    return float(high.value - low.value)


def swing_passages(waveform: Waveform, channel: str) -> list[Passage]:
    """Passages through the middle between the two levels of a channel, wiggles left out."""
    low, high = levels_of(waveform, channel)
    whole = _core.Window(waveform.begin, waveform.end)
    return passages(waveform, channel, 0.5 * (low + high), whole, _HYSTERESIS * (high - low))


def first_passage(found: list[Passage], rising: bool, after: float = -np.inf) -> float | None:
    """Time of the first passage in one direction after a time [s]."""
    return next((one.time for one in found if one.rising == rising and one.time >= after), None)


def last_passage(found: list[Passage], rising: bool, before: float = np.inf) -> float | None:
    """Time of the last passage in one direction before a time [s]."""
    return next((one.time for one in reversed(found) if one.rising == rising and one.time <= before), None)


def transition(
    waveform: Waveform,
    channel: str,
    levels: tuple[float, float],
    window: _core.Window,
    hysteresis: float = 0.0,
) -> _core.Window | None:
    """From the last passage of the first level to the first of the second, or None.

    The rule of the core's main_transition.
    """
    rising = levels[1] > levels[0]
    end = first_passage(passages(waveform, channel, levels[1], window, hysteresis), rising)
    if end is None:
        return None
    begin = last_passage(passages(waveform, channel, levels[0], window, hysteresis), rising, end)
    return None if begin is None else _core.Window(begin, end)
