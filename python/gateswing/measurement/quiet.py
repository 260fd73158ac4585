"""Samples of a waveform, and the same without most of their noise."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..capture.quality import GAP, converter_step, is_noisy, noise_of
from ..waveforms.denoise import denoised
from ..waveforms.waveform import Waveform

__all__ = ["Quiet", "half_band", "is_gapless", "quieted", "rms", "sample_times", "samples_of"]

Floats = NDArray[np.float64]

_LEAST_SAMPLES = 64
_NOISES = 3.0  # standard deviations in half a hysteresis
_MOST_HYSTERESIS = 0.08  # of a swing: the levels at 10 % must stay within reach


class Quiet(NamedTuple):
    """A waveform without most of the noise of its samples.

    Attributes:
        waveform: the same where there is no noise, or where its samples have gaps.
        noise: standard deviation of a sample of each noisy channel.
        steps: of the converter of each of these.
        deviations: standard deviation of what is left of the noise at each sample, likewise.
    """

    waveform: Waveform
    noise: Mapping[str, float]
    steps: Mapping[str, float]
    deviations: Mapping[str, Floats]


def quieted(waveform: Waveform, channels: Collection[str]) -> Quiet:
    """Smooth each of these channels that is noisy; see :mod:`gateswing.waveforms.denoise`."""
    times = sample_times(waveform)
    if waveform.core.degree > 1 or not is_gapless(times):
        return Quiet(waveform, {}, {}, {})
    values, noise, steps, deviations = {}, {}, {}, {}
    for name in waveform.units:
        values[name] = raw = samples_of(waveform, name)
        sigma = noise_of(raw) if name in channels else 0.0
        if is_noisy(raw, sigma):
            values[name], deviations[name] = denoised(raw, sigma)
            noise[name], steps[name] = sigma, converter_step(raw)
    if not noise:
        return Quiet(waveform, {}, {}, {})
    return Quiet(Waveform.from_samples(times, values, waveform.units), noise, steps, deviations)


def samples_of(waveform: Waveform, channel: str) -> Floats:
    """Values of a channel at the nodes of a waveform of straight lines, each once, shape (samples,)."""
    values = waveform.values(channel)
    return np.append(values[::2], values[-1])


def sample_times(waveform: Waveform) -> Floats:
    """Times [s] of the same, shape (samples,)."""
    return np.append(waveform.times[::2], waveform.times[-1])


def is_gapless(times: Floats) -> bool:
    """Whether samples follow each other without a gap, and are enough to tell noise from signal.

    That is all that smoothing asks: it counts samples. Their steps need not be equal.
    """
    steps = np.diff(times)
    return len(times) >= _LEAST_SAMPLES and float(steps.max()) < GAP * float(np.median(steps))


def rms(values: Floats) -> float:
    """Root of the mean of the squares."""
    return float(np.sqrt(np.mean(values**2)))


def half_band(deviations: Floats, swing: float) -> float:
    """Half the hysteresis that what is left of the noise asks for, up to a share of a swing [unit]."""
    return min(_NOISES * rms(deviations), _MOST_HYSTERESIS * abs(swing))
