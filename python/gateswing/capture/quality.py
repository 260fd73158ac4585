"""What samples say about the instrument: noise, step of the converter, clipping, overload."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["GAP", "converter_step", "is_clipped", "is_noisy", "noise_of"]

Floats = NDArray[np.float64]

GAP = 1.5  # of the usual interval between samples; a longer one is a pause

_CLEAN = 1e-4  # of a range: what interpolation and rounding make of a clean waveform is no noise
_LOOKED_AT = 200_000  # samples
_LEAST_CLIPPED = 4  # equal samples in a row at an end of the range
# Of a normal distribution: standard deviation over the mean of the smaller three quarters of the magnitudes,
# which is 2 (phi(0) - phi(q))/0.75 with q = 1.1503, the quantile of 87.5 %.
_SMALLER = 0.75
_NORMAL = 1.9424
_MOST_LEVELS = 4096  # a 12 bit converter; more are no steps but computed values
_VISITS = 4  # that make a level
_SAME_LEVEL = 1e-9  # of the range: what computing with a level changes in it
_ALIKE = 0.05  # of a distance, which text has rounded
_SHARED = 0.75  # of the most neighbours with one distance: as good as the most
_OFF_LEVEL = 0.1  # of a step
_ON_LEVELS = 0.6  # share of distances that are multiples of the step; one value beside them spoils two
_STRAIGHT = 0.9
_MOST_RESTS = 4  # levels of a ramp with a plateau


def noise_of(values: Floats) -> float:
    """Standard deviation of the noise from sample to sample, in the unit of the values.

    From the magnitude of the third differences, whose variance for white noise is 20 times its own (the sum
    of the squares of 1, 3, 3, 1): slopes and bends of the signal fall out, and the samples at edges are in
    the quarter that is left out. A median would fall on a step of the converter. Not less than that of the
    converter's step, step/sqrt(12).
    """
    finite = values[np.isfinite(values)]
    if len(finite) < 8:
        return 0.0
    sizes = np.sort(np.abs(np.diff(finite, 3)))
    smaller = float(np.mean(sizes[: max(1, int(_SMALLER * len(sizes)))]))
    spread = _NORMAL * smaller / np.sqrt(20.0)
    return float(max(spread, converter_step(finite) / np.sqrt(12.0)))


def is_noisy(values: Floats, noise: float) -> bool:
    """Whether that standard deviation is noise of the values, or only how a clean waveform was computed."""
    return bool(noise > _CLEAN * np.ptp(values))


def converter_step(values: Floats) -> float:
    """Distance of the levels of a converter; 0 where the values are not on levels.

    It is the distance that most neighbouring levels have, so that a few values beside the levels, as of
    samples that were bridged, change nothing. Most of the others must be multiples of it.
    """
    finite = values[np.isfinite(values)][:_LOOKED_AT]
    levels, visits = np.unique(finite, return_counts=True)
    # Two levels at rest and some samples between them are an edge, and no converter's.
    if np.count_nonzero(visits >= _VISITS) < 3 or len(levels) > min(_MOST_LEVELS, 0.25 * len(finite)):
        return 0.0
    distances = np.sort(np.diff(levels))
    distances = distances[distances > _SAME_LEVEL * np.ptp(levels)]
    low = np.searchsorted(distances, (1.0 - _ALIKE) * distances, side="left")
    high = np.searchsorted(distances, (1.0 + _ALIKE) * distances, side="right")
    shared = high - low
    # Print may make two distances of one, of which the shorter is its last digit and so the step.
    place = int(np.argmax(shared >= _SHARED * shared.max()))
    step = float(np.mean(distances[low[place] : high[place]]))
    multiples = np.maximum(np.rint(distances / step), 1.0)
    are_on_levels = np.mean(np.abs(distances / step - multiples) < _OFF_LEVEL) >= _ON_LEVELS
    return step if are_on_levels and not _are_straight_lines(finite, step) else 0.0


def _are_straight_lines(values: Floats, step: float) -> bool:
    """Whether samples on levels are those of computed ramps, which change by as much from each to the next.

    Fast edges through a converter do so in up to seven of ten places (measured on drawn captures without
    noise), slow ones everywhere, but rest at many levels on their way.
    """
    changes = np.diff(values)
    moves = np.abs(changes) > _OFF_LEVEL * step
    if len(np.unique(np.rint(values[1:][~moves] / step))) > _MOST_RESTS:
        return False
    inner = moves[:-1] & moves[1:]
    # Without the corners, which lie between samples.
    inner[1:] &= moves[:-2]
    inner[:-1] &= moves[2:]
    same = np.abs(np.diff(changes))[inner] < _OFF_LEVEL * step
    return len(same) > 0 and float(np.mean(same)) > _STRAIGHT


def is_clipped(values: Floats) -> bool:
    """Whether the samples run into a stop: several equal ones at an end of the range, reached by a jump."""
    finite = values[np.isfinite(values)]
    if len(finite) < 4 * _LEAST_CLIPPED:
        return False
    step = max(converter_step(finite), 1e-6 * float(np.ptp(finite)))
    return any(_runs_into(finite, bound, 2.5 * step) for bound in (finite.max(), finite.min()))


def _runs_into(values: Floats, bound: float, jump: float) -> bool:
    at = np.concatenate([[False], values == bound, [False]])
    begins, ends = np.flatnonzero(~at[:-1] & at[1:]), np.flatnonzero(at[:-1] & ~at[1:])
    # Both ends sharp: a settled level is reached and left slowly, or not left at all.
    inside = (begins > 0) & (ends < len(values)) & (ends - begins >= _LEAST_CLIPPED)
    begins, ends = begins[inside], ends[inside]
    before, after = np.abs(values[begins - 1] - bound), np.abs(values[ends] - bound)
    return bool(np.any((before > jump) & (after > jump) & (ends - begins < 0.1 * len(values))))
