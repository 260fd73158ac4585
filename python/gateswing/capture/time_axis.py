"""The time axis of a capture: from its column, from an index, or from the sample interval alone."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

__all__ = ["TimeAxis", "mended"]

Floats = NDArray[np.float64]

_GAP = 1.5  # in sample intervals; a longer pause is one
_JITTER = 1e-3  # of the sample interval; more is rounding in print, if the last digit explains it


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


def mended(times: Floats, breaks: list[int]) -> TimeAxis:
    """Bring times [s] as read into order: backwards, unsorted, repeated, rounded, in segments, with gaps.

    Args:
        times: as read, all finite.
        breaks: rows before which a line of text stood.
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
    for begin, end in zip(starts, (*starts[1:], len(out)), strict=True):
        out[begin:end] = _spread(out[begin:end], notes)
    cuts = sorted({*starts, *_gaps(out, starts, notes)})
    return TimeAxis(out, order, tuple(cuts), notes)


def _are_segments(falls: NDArray[np.intp], count: int, breaks: list[int]) -> bool:
    """Whether time goes back where segments begin: at lines of text, or always after as many samples."""
    if set(falls.tolist()) <= set(breaks):
        return True
    lengths = np.diff([0, *falls.tolist(), count])
    return bool(len(falls) > 0 and lengths.min() > 2 and np.ptp(lengths) == 0)


def _spread(times: Floats, notes: list[str]) -> Floats:
    """Repeated or rounded times of one segment, which do not decrease, as times that increase."""
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
    even = _even(times)
    last_digit = float(steps[steps > 0].min())
    off = float(np.abs(times - even).max())
    interval = even[1] - even[0]
    if _JITTER * interval < off <= 1.01 * last_digit and (np.any(steps == 0) or off < interval):
        _note(notes, "Times are rounded in print; rebuilt with equal steps.")
        return even
    if np.any(steps == 0):
        _note(notes, "Some times stand several times; moved apart within their step.")
        return _moved_apart(times)
    return times


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


def _gaps(times: Floats, starts: tuple[int, ...], notes: list[str]) -> list[int]:
    """Where a record with even steps pauses."""
    steps = np.diff(times)
    inside = np.ones(len(steps), dtype=bool)
    inside[[start - 1 for start in starts[1:]]] = False
    if not inside.any():  # segments of one row each
        return []
    usual = float(np.median(steps[inside]))
    at = np.flatnonzero(inside & (steps > _GAP * usual))
    if len(at) == 0 or len(at) > 0.01 * len(steps):  # many are uneven sampling
        return []
    _note(
        notes,
        f"{len(at)} gap{'s'[: len(at) > 1]} in time, the first after {times[at[0]]:g} s; split there.",
    )
    return [int(one) + 1 for one in at]


def _note(notes: list[str], text: str) -> None:
    if text not in notes:
        notes.append(text)
