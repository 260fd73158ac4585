"""Samples without most of their noise, edges kept: local cubics, each as wide as the signal allows.

At every sample a cubic is fitted by least squares to windows of growing width (Savitzky and Golay, Analytical
Chemistry 36(8), 1627-1639, 1964). A wide window has little noise, but bends that it does not follow. The
widest is taken whose value agrees with those of all narrower ones within a multiple of their standard
deviations: the intersection of confidence intervals of Goldenshluger and Nemirovski, Mathematical Methods of
Statistics 6(2), 135-170 (1997), from memory. Plateaus are averaged over hundreds of samples, edges over as
many as they last.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

__all__ = ["Denoised", "denoised"]

Floats = NDArray[np.float64]

_GROWTH = 1.4  # from one width to the next
_LEAST_WIDTH = 5  # samples
_MOST_WIDTH = 401  # samples
# Of the standard deviations: that of 0.7 to 2 with the least error on edges of 10 to 60 samples.
_MULTIPLE = 1.0
_TOGETHER = 5  # samples over which the width is evened out
# Root mean square of the error on edges over the standard deviation of the window chosen, for bends that are
# followed only within the noise, and because the noise itself chooses (measured, 0.3 % and 3 % of noise
# alike).
_EXCESS = 1.45


class Denoised(NamedTuple):
    """What is left of samples.

    Attributes:
        values: shape (samples,), in the unit of the samples.
        deviations: standard deviation of each value by the noise, likewise.
    """

    values: Floats
    deviations: Floats


def denoised(values: Floats, noise: float) -> Denoised:
    """Smooth evenly spaced samples.

    Args:
        values: shape (samples,), finite.
        noise: standard deviation of white noise on each, in the same unit; with 0 they stay as they are.
    """
    from scipy.ndimage import median_filter  # type: ignore[import-untyped]
    from scipy.signal import savgol_coeffs, savgol_filter  # type: ignore[import-untyped]

    widths = _widths(len(values))
    if noise <= 0.0 or not widths:
        return Denoised(values, np.full(len(values), max(noise, 0.0)))
    smooth = np.stack([values, *(savgol_filter(values, width, 3) for width in widths)])
    gains = [1.0, *(float(np.linalg.norm(savgol_coeffs(width, 3))) for width in widths)]
    deviations = noise * np.array(gains)
    reach = _MULTIPLE * deviations[:, np.newaxis]
    low, high = np.maximum.accumulate(smooth - reach), np.minimum.accumulate(smooth + reach)
    chosen = np.logical_and.accumulate(low <= high).sum(axis=0) - 1
    chosen = median_filter(chosen, _TOGETHER, mode="nearest")
    return Denoised(np.take_along_axis(smooth, chosen[np.newaxis], axis=0)[0], _EXCESS * deviations[chosen])


def _widths(samples: int) -> list[int]:
    """Odd numbers of samples."""
    found, width = [], float(_LEAST_WIDTH)
    while width <= min(_MOST_WIDTH, samples // 4):
        found.append(2 * int(width / 2) + 1)
        width *= _GROWTH
    return found
