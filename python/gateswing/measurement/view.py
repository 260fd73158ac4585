"""A waveform as the measures of a bench look at it: noise taken off, offsets known, levels at rest."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .. import _core
from ..capture.quality import converter_step, noise_of
from ..waveforms.crossings import passages, swing_passages
from ..waveforms.denoise import denoised
from ..waveforms.waveform import Waveform

__all__ = ["NORMAL_95", "Levels", "View", "is_even", "sample_times", "samples_of"]

Floats = NDArray[np.float64]

NORMAL_95 = 1.96  # standard deviations in half of the 95 % interval of a normal distribution
_REST = 0.05  # of a window, over which a level at rest is averaged
_NOISY_REST = 0.15  # the same in noise
_NOISES = 3.0  # standard deviations in half a hysteresis
_MOST_HYSTERESIS = 0.08  # of a swing: the levels at 10 % must stay within reach
_CLEAN = 1e-4  # of a swing: what interpolation and rounding make of a clean waveform is no noise
_LEAST_SAMPLES = 64
_EVEN = 1.5  # of the median interval
_LOOKED_AT = 101  # times in a stretch at rest
_LEAST = 1e-6  # of a range, the least spread of a stretch at rest
_SLOPE_HALF = 2  # samples to either side, for the slope at a crossing


def samples_of(waveform: Waveform, channel: str) -> Floats:
    """Values of a channel at the nodes of a waveform of straight lines, each once, shape (samples,)."""
    values = waveform.values(channel)
    return np.append(values[::2], values[-1])


def sample_times(waveform: Waveform) -> Floats:
    """Times [s] of the same, shape (samples,)."""
    return np.append(waveform.times[::2], waveform.times[-1])


def is_even(times: Floats) -> bool:
    """Whether samples follow each other evenly, and are enough to tell noise from signal."""
    steps = np.diff(times)
    return len(times) >= _LEAST_SAMPLES and float(steps.max()) < _EVEN * float(np.median(steps))


@dataclass(frozen=True)
class Levels:
    """Of v_GS and v_DS at rest before and after the edge."""

    gate_before: float
    gate_after: float
    drain_before: float
    drain_after: float

    @property
    def is_turn_on(self) -> bool:
        """Or turn-off."""
        return self.gate_after > self.gate_before

    @property
    def off(self) -> float:
        """v_DS in the off-state."""
        return self.drain_before if self.is_turn_on else self.drain_after

    @property
    def on(self) -> float:
        """v_DS in the on-state."""
        return self.drain_after if self.is_turn_on else self.drain_before

    def gate(self, fraction: float) -> float:
        """Level of v_GS this far through its step."""
        return self.gate_before + fraction * (self.gate_after - self.gate_before)

    def drain(self, fraction: float) -> float:
        """Level of v_DS this far through its step."""
        return self.drain_before + fraction * (self.drain_after - self.drain_before)


@dataclass(frozen=True)
class View:
    """A waveform and how to look at it.

    Attributes:
        waveform: without noise and offsets.
        gate, drain, current: names of channels; `current` may be missing.
        bus: v_DS in the off-state [V], or ``None``: as measured.
        hysteresis: as a share of a swing, or ``None``: by the noise.
        noise: standard deviation of a sample of each noisy channel.
        steps: of the converter, of each channel whose noise is too small to level them out.
        deviations: standard deviation of what is left of it, at each sample.
        current_offset: subtracted from i_D [A].
        offset_deviations: standard deviation of the offset of each channel that one was taken off.
    """

    waveform: Waveform
    gate: str
    drain: str
    current: str | None
    bus: float | None
    hysteresis: float | None
    noise: Mapping[str, float] = dataclasses.field(default_factory=dict)
    steps: Mapping[str, float] = dataclasses.field(default_factory=dict)
    deviations: Mapping[str, Floats] = dataclasses.field(default_factory=dict)
    current_offset: float = 0.0
    offset_deviations: Mapping[str, float] = dataclasses.field(default_factory=dict)

    @property
    def channels(self) -> tuple[str, ...]:
        """Looked at."""
        return (self.gate, self.drain, *((self.current,) if self.current else ()))

    @property
    def interval(self) -> float:
        """Mean time from sample to sample [s]."""
        return (self.waveform.end - self.waveform.begin) / self.waveform.core.steps

    def without_noise(self) -> View:
        """The same with each noisy channel of samples smoothed; see :mod:`gateswing.waveforms.denoise`."""
        times = sample_times(self.waveform)
        if self.waveform.core.degree > 1 or not is_even(times):
            return self
        values, noise, steps, deviations = {}, {}, {}, {}
        for name in self.waveform.units:
            values[name] = raw = samples_of(self.waveform, name)
            sigma = noise_of(raw) if name in self.channels else 0.0
            if sigma > _CLEAN * np.ptp(raw):
                values[name], deviations[name] = denoised(raw, sigma)
                noise[name] = sigma
                step = converter_step(raw)
                if sigma < 0.5 * step:
                    steps[name] = step
        if not noise:
            return self
        smooth = Waveform.from_samples(times, values, self.waveform.units)
        return dataclasses.replace(self, waveform=smooth, noise=noise, steps=steps, deviations=deviations)

    def calibrated(self, windows: list[_core.Window], on_voltage: float | None) -> View:
        """The same with i_D counted from the off-state, and v_DS from a known level in the on-state.

        With the bus known as well, v_DS is scaled to both. A simulation has no offset, so its current is left
        as it is.
        """
        pairs = [
            pair if self.levels(window).is_turn_on else pair[::-1]
            for window, pair in ((window, self.rest(window)) for window in windows)
        ]
        off, on = ([pair[place] for pair in pairs] for place in (0, 1))
        offsets, scales, deviations = {}, {}, {}
        if on_voltage is not None:
            level, deviations[self.drain] = self._quiet_level(self.drain, on)
            if self.bus is not None:
                scales[self.drain] = (self.bus - on_voltage) / (self._quiet_level(self.drain, off)[0] - level)
            offsets[self.drain] = level * scales.get(self.drain, 1.0) - on_voltage
        if self.current is not None and self.waveform.core.degree == 1:
            offsets[self.current], deviations[self.current] = self._quiet_level(self.current, off)
        if not any(offsets.values()):
            return self
        core = self.waveform.core
        values = [
            core.values(name) * scales.get(name, 1.0) - offsets.get(name, 0.0) for name in self.waveform.units
        ]
        moved = Waveform(
            _core.Waveform.from_nodes(core.channels, core.degree, np.asarray(core.times), values)
        )
        return dataclasses.replace(
            self, waveform=moved, current_offset=offsets.get(self.current or "", 0.0),
            offset_deviations=deviations,
        )  # fmt: skip

    def band(self, channel: str, swing: float) -> float:
        """Half the hysteresis of a channel [unit]."""
        if self.hysteresis is not None:
            return self.hysteresis * abs(swing)
        if channel not in self.noise:
            return 0.0
        left = float(np.sqrt(np.mean(self.deviations[channel] ** 2)))
        return min(_NOISES * left, _MOST_HYSTERESIS * abs(swing))

    def mean(self, channel: str, begin: float, end: float) -> float:
        """Of a channel over a stretch [s]."""
        return float(_core.mean(self.waveform.core, channel, _core.Window(begin, end)))

    def time_deviation(self, channel: str, time: float) -> float:
        """Standard deviation by the noise of the time [s] at which a channel crosses a level."""
        if channel not in self.noise or not math.isfinite(time):
            return 0.0 if math.isfinite(time) else math.nan
        half = _SLOPE_HALF * self.interval
        begin, end = max(time - half, self.waveform.begin), min(time + half, self.waveform.end)
        rise = float(self.waveform.value(channel, end) - self.waveform.value(channel, begin))
        sigma = float(np.interp(time, sample_times(self.waveform), self.deviations[channel]))
        return sigma * (end - begin) / abs(rise) if rise else math.inf

    def energy_deviation(self, window: _core.Window) -> float:
        """Standard deviation by the noise of the energy v_DS i_D [J] over a window.

        With independent errors of the samples, dE^2 = dt integral (v^2 di^2 + i^2 dv^2); an error of an
        offset is the same in all of them, and a limit that comes late adds power times time.
        """
        if self.current is None:
            return math.nan
        times = sample_times(self.waveform)
        inside = (times >= window.begin) & (times <= window.end)
        v, i = (samples_of(self.waveform, name)[inside] for name in (self.drain, self.current))
        dv, di = (self.noise.get(name, 0.0) for name in (self.drain, self.current))
        by_samples = math.sqrt(float(np.sum((v * di) ** 2 + (i * dv) ** 2)))
        by_offsets = (
            self.offset_deviations.get(self.current, 0.0) * float(v.sum()),
            self.offset_deviations.get(self.drain, 0.0) * float(i.sum()),
        )
        by_limits = (
            abs(float(v[0] * i[0])) * self.time_deviation(self.current, window.begin),
            abs(float(v[-1] * i[-1])) * self.time_deviation(self.drain, window.end),
        )
        inside_window = self.interval * math.hypot(by_samples, *by_offsets)
        return math.hypot(inside_window, *(one for one in by_limits if math.isfinite(one)))

    def _quiet_level(self, channel: str, stretches: list[tuple[float, float]]) -> tuple[float, float]:
        """Mean of a channel over stretches [s], each weighted by how quiet it is: a ring has a mean, too.

        Returns:
            The mean, and its standard deviation.
        """
        sigma = max(self.noise.get(channel, 0.0), _LEAST * float(np.ptp(self.waveform.values(channel))))
        means, variances = [], []
        for begin, end in stretches:
            values = self.waveform.value(channel, np.linspace(begin, end, _LOOKED_AT))
            means.append(self.mean(channel, begin, end))
            variances.append((sigma**2 + float(np.var(values))) * self.interval / (end - begin))
        weights = 1.0 / np.array(variances)
        # Below half a step of the converter samples repeat each other, and averaging does not help.
        stuck = self.steps.get(channel, 0.0) / math.sqrt(12.0)
        return float(np.average(means, weights=weights)), math.hypot(float(weights.sum()) ** -0.5, stuck)

    def parts(self) -> list[_core.Window]:
        """One window for each edge."""
        found = swing_passages(self.waveform, self.gate)
        middles = [0.5 * (one.time + after.time) for one, after in pairwise(found)]
        ends = [self.waveform.begin, *middles, self.waveform.end]
        return [_core.Window(*pair) for pair in pairwise(ends)] if found else []

    def rest(self, window: _core.Window) -> tuple[tuple[float, float], tuple[float, float]]:
        """Begin and end [s] of the stretches before and after the edge over which levels are averaged."""
        gate_begin, gate_end = (float(self.waveform.value(self.gate, t)) for t in (window.begin, window.end))
        middle = passages(self.waveform, self.gate, 0.5 * (gate_begin + gate_end), window)
        moved = middle[0].time if middle else window.end
        share, most = (_NOISY_REST, 0.5) if self.noise else (_REST, 0.25)
        rest = share * window.length
        return (
            (window.begin, window.begin + min(rest, most * (moved - window.begin))),
            (window.end - rest, window.end),
        )

    def levels(self, window: _core.Window) -> Levels:
        """Levels at rest of the edge in a window."""
        before, after = self.rest(window)
        means = [
            self.mean(channel, *stretch) for channel in (self.gate, self.drain) for stretch in (before, after)
        ]
        levels = Levels(*means)
        if self.bus is None:
            return levels
        return dataclasses.replace(
            levels, **{"drain_before" if levels.is_turn_on else "drain_after": self.bus}
        )
