"""The time axis of a capture: from its column, from an index, or from the sample interval alone."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .quality import GAP

__all__ = ["TimeAxis", "mended"]

Floats = NDArray[np.float64]

_JITTER = 1e-3  # of the sample interval; more is rounding in print, if the last digit explains it
_ROUNDING = 0.51  # of the last digit
_LEAST_ROUNDED = 8  # times: fewer lie near equal steps by chance
_MOST_DIGITS = 12  # that a time is printed with
_LOOKED_AT = 10_000  # times at both ends
# Long steps are gaps as long as they are few, or, among steps that are equal, fewer than rounding makes of
# 1.25 ns in print of 1 ns.
_FEW_GAPS = 0.01
_MOST_GAPS = 0.1
_LEAST_EQUAL = 3  # steps


@dataclass
class TimeAxis:
    """Times that increase in each segment.

    Attributes:
        times: [s], all segments behind each other.
        order: index of the row that each time belongs to; None for the rows as they were.
        starts: index of the first time of each segment.
        notes: what had to be mended, in sentences.
    """

    times: Floats
    order: NDArray[np.intp] | None
    starts: tuple[int, ...]
    notes: list[str] = field(default_factory=list)


def mended(times: Floats, breaks: list[int], are_exact: bool = False) -> TimeAxis:
    """Bring times [s] as read into order: backwards, unsorted, repeated, rounded, in segments, with gaps.

    Args:
        times: as read, all finite.
        breaks: rows before which a line of text stood.
        are_exact: by an index, not by print.
    """
    notes: list[str] = []
    order: NDArray[np.intp] | None = None
    steps = np.diff(times)
    falls = np.flatnonzero(steps < 0) + 1
    if len(falls) and not _are_segments(falls, len(times), breaks):
        order = np.argsort(times, kind="stable")
        notes.append(f"Time goes back {len(falls)} times; sorted.")
        times, falls = times[order], falls[:0]
    starts = (0, *(int(fall) for fall in falls))
    out = times.astype(np.float64, copy=True)
    gaps: list[int] = []
    for begin, end in zip(starts, (*starts[1:], len(out)), strict=True):
        found = [begin + gap for gap in _gaps(out[begin:end])]
        for first, last in pairwise((begin, *found, end)):
            out[first:last] = _spread(out[first:last], are_exact, notes)
        gaps += found
    if gaps:
        plural = "s" if len(gaps) > 1 else ""
        after = f"{out[gaps[0] - 1]:g} s"
        notes.append(f"{len(gaps)} gap{plural} in time, the first after {after}; split there.")
    return TimeAxis(out, order, tuple(sorted({*starts, *gaps})), notes)


def _are_segments(falls: NDArray[np.intp], count: int, breaks: list[int]) -> bool:
    """Whether time goes back where segments begin: at lines of text, or always after as many samples."""
    if set(falls.tolist()) <= set(breaks):
        return True
    lengths = np.diff([0, *falls.tolist(), count])
    return bool(len(falls) > 0 and lengths.min() > 2 and np.ptp(lengths) == 0)


def _spread(times: Floats, are_exact: bool, notes: list[str]) -> Floats:
    """Repeated or rounded times without a gap, which do not decrease, as times that increase."""
    steps = np.diff(times)
    if len(times) < 3 or steps.min() >= (1.0 - _JITTER) * steps.max():
        return times
    if len(times) % 2 == 0 and np.all(steps[::2] == 0) and np.all(steps[1::2] > 0):
        _note(
            notes,
            "Each time stands twice, for the least and the greatest value; the second moved half a step.",
        )
        spread = times.copy()
        spread[1::2] += 0.5 * np.append(steps[1::2], steps[-2])
        return spread
    if not are_exact and _are_rounded(times, even := _even(times)):
        _note(notes, "Times are rounded in print; rebuilt with equal steps.")
        return even
    if np.any(steps == 0):
        _note(notes, "Some times stand several times; moved apart within their step.")
        return _moved_apart(times)
    return times


def _are_rounded(times: Floats, even: Floats) -> bool:
    """Whether print explains how far times are from equal steps."""
    off = 0.5 * float(np.ptp(times - even))
    if off <= _JITTER * (even[1] - even[0]) or len(times) < _LEAST_ROUNDED:
        return False
    # The line through few rounded times is off itself.
    return off <= (_ROUNDING + 0.5 / math.sqrt(len(times))) * _last_digit(times)


def _last_digit(times: Floats) -> float:
    """The last place that the largest of these times is printed to; 0 where they have all digits."""
    ends = np.abs(np.concatenate([times[:_LOOKED_AT], times[-_LOOKED_AT:]]))
    sizes = ends[ends > np.finfo(np.float64).tiny]
    if len(sizes) == 0:
        return 0.0
    places = np.floor(np.log10(sizes))
    for digits in range(1, _MOST_DIGITS + 1):
        scaled = sizes / 10.0**places * 10.0 ** (digits - 1)
        if np.abs(scaled - np.rint(scaled)).max() < 1e-3:
            return float(10.0 ** (places.max() - digits + 1))
    return 0.0


def _even(times: Floats) -> Floats:
    """Equal steps, by least squares, which spreads the rounding of each time over all of them."""
    index = np.arange(len(times)) - 0.5 * (len(times) - 1)
    step = float(index @ (times - times.mean()) / (index @ index))
    return np.asarray(times.mean() + step * index)


def _moved_apart(times: Floats) -> Floats:
    values, first, counts = np.unique(times, return_index=True, return_counts=True)
    lengths = np.append(np.diff(values), np.diff(values)[-1])
    within = np.arange(len(times)) - np.repeat(first, counts)
    return np.asarray(times + within * np.repeat(lengths / counts, counts))


def _gaps(times: Floats) -> list[int]:
    """First rows behind the pauses of a record whose times do not decrease."""
    steps = np.diff(times)
    some = steps[steps > 0]
    if len(some) == 0:
        return []
    usual = (1.0 + _JITTER) * float(np.median(some))  # three digits beside two are no gap by rounding
    at = np.flatnonzero(steps > GAP * usual)
    if len(at) > max(2.0, _FEW_GAPS * len(steps)) and _are_rounded(times, _even(times)):
        return []  # an interval of little more than one digit
    if len(at) > _FEW_GAPS * len(steps) and not _are_lost_samples(len(at), some[some <= GAP * usual], times):
        # Rounding makes steps of one and of two digits, which is no reason to miss a longer pause.
        limit = (GAP + 1.0) * usual
        at = np.flatnonzero(steps > limit)
        if not _are_lost_samples(len(at), some[some <= limit], times):
            return []  # uneven sampling
    return [int(one) + 1 for one in at]


def _are_lost_samples(count: int, rest: Floats, times: Floats) -> bool:
    """Whether long steps stand among equal ones."""
    if len(rest) < _LEAST_EQUAL or count > max(1.0, _MOST_GAPS * (count + len(rest))):
        return False
    equal = _JITTER * float(rest[0]) + (1.0 + _JITTER) * _last_digit(times)
    return float(np.ptp(rest)) <= equal


def _note(notes: list[str], text: str) -> None:
    if text not in notes:
        notes.append(text)
