"""What samples say about the instrument: noise, step of the converter, clipping, overload."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["GAP", "converter_step", "is_clipped", "noise_of"]

Floats = NDArray[np.float64]

GAP = 1.5  # of the usual interval between samples; a longer one is a pause

_LOOKED_AT = 200_000  # samples
_LEAST_CLIPPED = 4  # equal samples in a row at an end of the range
# Of a normal distribution: standard deviation over the mean of the smaller three quarters of the magnitudes,
# which is 2 (phi(0) - phi(q))/0.75 with q = 1.1503, the quantile of 87.5 %.
_SMALLER = 0.75
_NORMAL = 1.9424
_MOST_LEVELS = 4096  # a 12 bit converter; more are no steps but computed values


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


def converter_step(values: Floats) -> float:
    """Distance of the levels of a converter; 0 where the values are not on levels."""
    finite = values[np.isfinite(values)][:_LOOKED_AT]
    levels = np.unique(finite)
    if len(levels) < 3 or len(levels) > min(_MOST_LEVELS, 0.25 * len(finite)):
        return 0.0
    return float(np.diff(levels).min())


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
