"""Levels at rest, as means over stretches of samples with rings in them and noise on them.

The mean of a decaying ring over a stretch depends on where the stretch happens to end. Weights that fall to
zero at both ends (von Hann's window) let of a ring of n cycles only about 1/n^3 through; its spectrum: F. J.
Harris, Proceedings of the IEEE 66(1), 51-83 (1978). What does come through, and drift, shows in means over
parts of the stretch.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["RestLevel", "Stretch", "joined", "rest_level", "tapered_mean"]

Floats = NDArray[np.float64]
Stretch = tuple[float, float]

_LEFT_OUT = (0.0, 0.1, 0.2, 0.3)  # shares at the begin of a stretch, whose means are compared
_LEAST = 1e-9  # of the range of the values, the least spread of a mean


@dataclass(frozen=True)
class RestLevel:
    """A level, and how it follows from the samples.

    Attributes:
        value: weighted mean of the samples.
        weights: of each sample, their sum is 1, shape (samples,).
        spread: standard deviation of the value by rings and drift.
    """

    value: float
    weights: Floats
    spread: float

    def deviation(self, noise: float) -> float:
        """Standard deviation with white noise of that size on each sample."""
        return float(np.hypot(noise * np.linalg.norm(self.weights), self.spread))


def joined(stretches: Sequence[Stretch]) -> list[Stretch]:
    """Stretches [s] in order of time, those that meet made one; empty ones left out."""
    found: list[Stretch] = []
    for begin, end in sorted(one for one in stretches if one[0] < one[1]):
        if found and begin <= found[-1][1]:
            found[-1] = (found[-1][0], max(end, found[-1][1]))
        else:
            found.append((begin, end))
    return found


def rest_level(times: Floats, values: Floats, stretches: Sequence[Stretch], noise: float) -> RestLevel:
    """The level over stretches [s], each with the weight that its noise and its ring leave to it.

    Args:
        times: of even samples [s], shape (samples,).
        values: at these times.
        stretches: begin and end of each; one of a single sample counts, too.
        noise: standard deviation of each sample.
    """
    least = _LEAST * float(np.ptp(values))
    levels = []
    for begin, end in joined(stretches):
        tapers = [_taper(times, begin + share * (end - begin), end) for share in _LEFT_OUT]
        level = RestLevel(
            float(tapers[0] @ values), tapers[0], float(np.std([one @ values for one in tapers]))
        )
        levels.append(level)
    shares = _shares(np.array([one.deviation(max(noise, least)) for one in levels]))
    return RestLevel(
        float(sum(share * one.value for share, one in zip(shares, levels, strict=True))),
        np.asarray(sum(share * one.weights for share, one in zip(shares, levels, strict=True))),
        float(np.linalg.norm([share * one.spread for share, one in zip(shares, levels, strict=True)])),
    )


def tapered_mean(values: Floats) -> float:
    """Mean of evenly spaced values with von Hann's weights: that of a ring hardly counts."""
    return float(np.average(values, weights=np.hanning(len(values))))


def _shares(deviations: Floats) -> Floats:
    """Weights by the inverse of the variance, their sum 1; what is known exactly takes all."""
    least = deviations.min(initial=np.inf)
    shares = (least / deviations) ** 2 if least > 0.0 else (deviations == 0.0).astype(np.float64)
    return np.asarray(shares / shares.sum())


def _taper(times: Floats, begin: float, end: float) -> Floats:
    """Von Hann's window over a stretch, with the sum 1; without a sample inside, the one that is nearest."""
    place = np.clip((times - begin) / (end - begin), 0.0, 1.0)
    weights = np.sin(np.pi * place) ** 2
    if weights.sum() < 1e-6:
        weights = (np.arange(len(times)) == np.argmin(np.abs(times - 0.5 * (begin + end)))).astype(np.float64)
    return np.asarray(weights / weights.sum())
