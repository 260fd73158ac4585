"""The tube around a waveform: half a width along time and half a width along the value.

A waveform is inside where at every time there is a value of the reference within the half width of time that
is within the half width of the value. Both waveforms take their turn as the reference, so that a spike of
either is seen.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..waveforms.waveform import Waveform

__all__ = ["Excess", "Tube", "excess", "tube"]

Floats = NDArray[np.float64]

_POINTS_IN_HALF_WIDTH = 4
_MOST_POINTS = 400_000


class Tube(NamedTuple):
    """Bounds at even times; all of shape (times,)."""

    times: Floats
    low: Floats
    high: Floats


class Excess(NamedTuple):
    """How far a waveform is outside.

    Attributes:
        worst: largest distance from the tube's centre, its half width along the value included [unit].
        first_time: when it is first outside [s]; NaN for never.
    """

    worst: float
    first_time: float


def tube(
    waveform: Waveform, channel: str, begin: float, end: float, half_time: float, half_value: float
) -> Tube:
    """Bounds around a channel between two times [s]."""
    times = np.clip(_grid(begin, end, half_time), waveform.begin, waveform.end)
    low, high = _bounds(waveform.value(channel, times), times, half_time, half_value)
    return Tube(times, low, high)


def excess(
    reference: Waveform,
    waveform: Waveform,
    channel: str,
    span: tuple[float, float],
    half: tuple[float, float],
    shift: float = 0.0,
) -> Excess:
    """How far a channel is from the tube around its reference, and the reference from the tube around it.

    Args:
        reference: one waveform.
        waveform: the other, whose events are later by `shift`.
        channel: of both.
        span: begin and end on the time axis of the reference [s].
        half: widths along time [s] and value [unit].
        shift: [s].

    Where the two do not overlap nothing is compared; that is for who calls to see.
    """
    begin = max(span[0], reference.begin, waveform.begin - shift)
    end = min(span[1], reference.end, waveform.end - shift)
    if not begin < end:
        return Excess(0.0, np.nan)
    times = _grid(begin, end, half[0])
    one, other = reference.value(channel, times), _at(waveform, channel, times + shift)
    distance = np.maximum(_outside(one, other, times, half), _outside(other, one, times, half))
    out = distance > half[1]
    return Excess(float(distance.max()), float(times[np.argmax(out)]) if out.any() else np.nan)


def _at(waveform: Waveform, channel: str, times: Floats) -> Floats:
    """Values at times that rounding may put a hair outside."""
    return waveform.value(channel, np.clip(times, waveform.begin, waveform.end))


def _grid(begin: float, end: float, half_time: float) -> Floats:
    least = (end - begin) / _MOST_POINTS  # of a tube that is a line, too
    count = (end - begin) / max(half_time, least) * _POINTS_IN_HALF_WIDTH + 2
    return np.linspace(begin, end, int(np.clip(count, 33, _MOST_POINTS)))


def _outside(reference: Floats, values: Floats, times: Floats, half: tuple[float, float]) -> Floats:
    low, high = _bounds(reference, times, half[0], 0.0)
    return np.maximum(np.maximum(values - high, low - values), 0.0)


def _bounds(values: Floats, times: Floats, half_time: float, half_value: float) -> tuple[Floats, Floats]:
    from scipy.ndimage import maximum_filter1d, minimum_filter1d  # type: ignore[import-untyped]

    size = 2 * int(np.ceil(half_time / (times[1] - times[0]))) + 1
    low = minimum_filter1d(values, size, mode="nearest") - half_value
    return np.asarray(low), np.asarray(maximum_filter1d(values, size, mode="nearest") + half_value)
