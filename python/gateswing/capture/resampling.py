"""Samples moved along time by parts of their interval, with their noise as large and as white as it was.

Straight lines between noisy samples halve the power of white noise in the middle between two of them, and
leave an eighth of it in third differences, by which noise is judged; a ring that has ten samples in a period
loses 5 % of its amplitude (the cosine of half the phase between samples). The kernel of Lanczos passes both
nearly to the end of the band (C. E. Duchon, Journal of Applied Meteorology 18(8), 1016-1022, 1979), but
overshoots at a step; so no value lies farther beyond its two neighbours than noise does.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from .quality import is_noisy, noise_of

__all__ = ["moved_earlier"]

Floats = NDArray[np.float64]

_LOBES = 16  # of the kernel, to either side
# Of the interval, the most by which steps differ: the kernel takes them as equal, and text has few digits. To
# be without a gap, as for smoothing, is not enough.
_EQUAL = 0.02
_NOISES = 3.0  # standard deviations beyond both neighbours


def moved_earlier(times: Floats, values: Floats, delay: float) -> Floats:
    """A channel earlier by `delay` [s], at the same times; beyond the ends the last sample.

    Values without noise, uneven ones and those with gaps are joined by straight lines.

    Args:
        times: of samples [s], ascending, shape (samples,).
        values: likewise.
        delay: that is taken off [s].
    """
    steps = np.diff(times)
    noise = noise_of(values)
    are_equal = len(steps) > 0 and float(np.ptp(steps)) < _EQUAL * float(np.median(steps))
    if not (are_equal and np.isfinite(values).all() and is_noisy(values, noise)):
        return np.asarray(np.interp(times + delay, times, values))
    places = delay / float(np.mean(steps))
    whole = int(np.floor(places))
    share = places - whole
    taps = np.arange(1 - _LOBES, _LOBES + 1)
    kernel = np.sinc(taps - share) * np.sinc((taps - share) / _LOBES)
    beside = _LOBES + abs(whole)
    padded = np.pad(values, beside, mode="edge")
    first = beside + whole
    moved = sum(
        weight * padded[first + tap : first + tap + len(values)]
        for tap, weight in zip(taps, kernel / kernel.sum(), strict=True)
    )
    pair = padded[first : first + len(values)], padded[first + 1 : first + 1 + len(values)]
    reach = _NOISES * noise
    return np.asarray(np.clip(moved, np.minimum(*pair) - reach, np.maximum(*pair) + reach))
