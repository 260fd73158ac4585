"""The knee of a trade-off: the point from which on a little less of one costs much more of the other.

With both axes scaled to the span of the curve, it is the point furthest below the chord between the ends
(V. Satopaa and others, Finding a "kneedle" in a haystack, ICDCS workshops 2011, from memory).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

__all__ = ["knee_of"]

_STRAIGHT = 1e-6  # distance from its chord up to which a scaled curve is straight


def knee_of(across: ArrayLike, up: ArrayLike) -> int | None:
    """Index of the knee of a curve that falls from its first point to its last, by their order along it.

    Args:
        across: what grows along the curve, with NaN for what is not known.
        up: what falls along it, likewise.

    Returns:
        ``None`` for a curve without one: straight, rising, or of fewer than three points.
    """
    cost, gain = np.asarray(across, dtype=np.float64), np.asarray(up, dtype=np.float64)
    known = np.isfinite(cost) & np.isfinite(gain)
    if known.sum() < 3 or np.ptp(cost[known]) == 0.0 or np.ptp(gain[known]) == 0.0:
        return None
    x, y = ((values - values[known].min()) / np.ptp(values[known]) for values in (cost, gain))
    first, last = np.flatnonzero(known)[[0, -1]]
    run, rise = x[last] - x[first], y[last] - y[first]
    if not (run > 0.0 and rise < 0.0):
        return None  # what costs and saves nothing is no trade
    below = (x - x[first]) * rise - (y - y[first]) * run
    below = np.where(known, below / math.hypot(run, rise), -np.inf)
    best = int(np.argmax(below))
    return best if below[best] > _STRAIGHT else None
