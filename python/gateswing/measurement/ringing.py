"""The strongest ring in a stretch of samples, by its spectrum: told in noise, and for few cycles or many."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

__all__ = ["SpectralLine", "strongest_ring"]

Floats = NDArray[np.float64]

_LEAST_SAMPLES = 32
_LEAST_CYCLES = 2.5  # in the stretch
_TREND = 3  # degree of the polynomial that is taken off
_PADDING = 8  # points of the spectrum for each of its own
_ABOVE_NOISE = 6.0  # amplitude over that of the noise in a point of the spectrum
_OUT = 1.5  # over the median amplitude from half to three quarters of the frequency: a Q of 2 and more


class SpectralLine(NamedTuple):
    """Of a ring.

    Attributes:
        frequency: [Hz].
        strength: amplitude over that of the noise in the spectrum.
    """

    frequency: float
    strength: float


def strongest_ring(values: Floats, interval: float, noise: float) -> SpectralLine | None:
    """The ring that moves a channel fastest, or None where nothing rings beyond the noise.

    Half of von Hann's weights, so that the beginning counts, where a ring is largest; amplitudes are judged
    by their slopes, so that what is left of a slow tail is no ring.

    Args:
        values: of a channel after an edge, shape (samples,).
        interval: from sample to sample [s].
        noise: standard deviation of a sample [unit].
    """
    count = len(values)
    if count < _LEAST_SAMPLES:
        return None
    places = np.linspace(-1.0, 1.0, count)
    trend = np.polynomial.polynomial.polyfit(places, values, _TREND)
    weights = 0.5 + 0.5 * np.cos(np.pi * np.arange(count) / count)
    flat = weights * (values - np.polynomial.polynomial.polyval(places, trend))
    amplitudes = np.abs(np.fft.rfft(flat, _PADDING * count))
    frequencies = np.fft.rfftfreq(_PADDING * count, interval)
    floor = max(noise, 1e-9 * float(np.ptp(values))) * math.sqrt(float(weights @ weights))
    high = amplitudes > _ABOVE_NOISE * floor
    high[1:-1] &= (amplitudes[1:-1] >= amplitudes[:-2]) & (amplitudes[1:-1] >= amplitudes[2:])
    peaks = [
        at
        for at in np.flatnonzero(high[:-1])
        if frequencies[at] > _LEAST_CYCLES / (count * interval) and _stands_out(amplitudes, int(at))
    ]
    if not floor or not peaks:
        return None
    at = int(max(peaks, key=lambda one: frequencies[one] * amplitudes[one]))
    left, middle, right = amplitudes[at - 1 : at + 2]
    bend = left - 2.0 * middle + right
    shift = 0.5 * (left - right) / bend if bend else 0.0
    return SpectralLine((at + shift) * float(frequencies[1]), float(middle / floor))


def _stands_out(amplitudes: Floats, at: int) -> bool:
    """From what is at somewhat lower frequencies, where a slow tail has more and a ring less."""
    below = amplitudes[at // 2 : max(3 * at // 4, at // 2 + 1)]
    return bool(amplitudes[at] > _OUT * np.median(below))
