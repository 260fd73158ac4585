"""A waveform as the measures of a bench look at it: noise taken off, offsets known, levels at rest."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .. import _core
from ..errors import InputError, InputProblem
from ..waveforms.crossings import last_passage, passages, swing_passages, transition
from ..waveforms.waveform import Waveform
from .quiet import half_band, is_gapless, quieted, sample_times
from .rest import RestLevel, Stretch, rest_level, tapered_mean

__all__ = ["EDGE_FRACTION", "NORMAL_95", "Levels", "View"]

Floats = NDArray[np.float64]

NORMAL_95 = 1.96  # standard deviations in half of the 95 % interval of a normal distribution
EDGE_FRACTION = 0.1  # of the levels that limit times and energies, IEC 60747-8
_REST = 0.05  # of a window, over which a level at rest is averaged
_NOISY_REST = 0.15  # the same of samples, which have noise
_LATE = 0.9  # of an off-state: when less is left, it shows no level of its own
_LOOKED_AT = 4001  # times in a simulation, or in uneven samples


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
        zeros: level at rest of each channel that was moved by it, before that: of i_D in the off-state, of
            v_DS in the on-state.
        top: v_DS in the off-state, where v_DS was scaled by it, likewise.
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
    zeros: Mapping[str, RestLevel] = dataclasses.field(default_factory=dict)
    top: RestLevel | None = None

    @property
    def channels(self) -> tuple[str, ...]:
        """Looked at."""
        return (self.gate, self.drain, *((self.current,) if self.current else ()))

    @property
    def current_offset(self) -> float:
        """Subtracted from i_D [A]."""
        zero = self.zeros.get(self.current or "")
        return zero.value if zero else 0.0

    @property
    def interval(self) -> float:
        """Mean time from sample to sample [s]."""
        return (self.waveform.end - self.waveform.begin) / self.waveform.core.steps

    def without_noise(self) -> View:
        """The same with each noisy channel of samples smoothed; see :mod:`gateswing.waveforms.denoise`."""
        quiet = quieted(self.waveform, self.channels)
        steps = {name: step for name, step in quiet.steps.items() if quiet.noise[name] < 0.5 * step}
        return dataclasses.replace(
            self, waveform=quiet.waveform, noise=quiet.noise, steps=steps, deviations=quiet.deviations
        )

    def calibrated(self, windows: list[_core.Window], on_voltage: float | None) -> View:
        """The same with i_D counted from the off-state, and v_DS from a known level in the on-state.

        With the bus known as well, v_DS is scaled to both. A simulation has no offset, so its current is left
        as it is.

        Raises:
            InputError: v_DS is to be scaled, but does not switch.
        """
        off, on = self._states(windows)
        zeros: dict[str, RestLevel] = {}
        top, scale, targets = None, 1.0, {}
        if on_voltage is not None:
            zeros[self.drain] = zero = self._level(self.drain, on)
            targets[self.drain] = on_voltage
            if self.bus is not None:
                top = self._level(self.drain, off)
                scale = (self.bus - on_voltage) / self._step(top, zero)
        if self.current is not None and self.waveform.core.degree == 1:
            zeros[self.current] = self._level(self.current, off)
        if all(zero.value == targets.get(name, 0.0) for name, zero in zeros.items()):
            return self
        core = self.waveform.core
        values = [core.values(name) for name in self.waveform.units]
        for place, name in enumerate(self.waveform.units):
            if name in zeros:
                factor = scale if name == self.drain else 1.0
                values[place] = targets.get(name, 0.0) + factor * (values[place] - zeros[name].value)
        moved = Waveform(
            _core.Waveform.from_nodes(core.channels, core.degree, np.asarray(core.times), values)
        )
        return dataclasses.replace(self, waveform=moved, zeros=zeros, top=top)._scaled(scale)

    def _step(self, top: RestLevel, zero: RestLevel) -> float:
        """Of v_DS from the on-state to the off-state [V]."""
        step, noise = top.value - zero.value, self.noise.get(self.drain, 0.0)
        if abs(step) <= NORMAL_95 * math.hypot(top.deviation(noise), zero.deviation(noise)):
            reason = "does not switch, so it cannot be scaled to bus and on_voltage."
            raise InputError([InputProblem("drain", repr(self.drain), reason)])
        return step

    def _scaled(self, scale: float) -> View:
        """The same with what is known of the noise of v_DS scaled as its values have been."""
        if scale == 1.0:
            return self
        factors = {name: scale if name == self.drain else 1.0 for name in self.waveform.units}
        return dataclasses.replace(
            self,
            noise={name: factors[name] * one for name, one in self.noise.items()},
            steps={name: factors[name] * one for name, one in self.steps.items()},
            deviations={name: factors[name] * one for name, one in self.deviations.items()},
        )

    def band(self, channel: str, swing: float) -> float:
        """Half the hysteresis of a channel [unit]."""
        if self.hysteresis is not None:
            return self.hysteresis * abs(swing)
        if channel not in self.noise:
            return 0.0
        return half_band(self.deviations[channel], swing)

    def mean(self, channel: str, begin: float, end: float) -> float:
        """Of a channel over a stretch [s]."""
        return float(_core.mean(self.waveform.core, channel, _core.Window(begin, end)))

    def level_deviation(self, channel: str, window: _core.Window, time: float) -> float:
        """Standard deviation [unit] of a channel at a time against a level between those at rest."""
        if channel not in self.noise or not math.isfinite(time):
            return 0.0
        here = float(np.interp(time, sample_times(self.waveform), self.deviations[channel]))
        at_rest = max(_NOISY_REST * window.length / self.interval, 1.0)
        # Below half a step of the converter samples repeat each other, and averaging does not help.
        stuck = self.steps.get(channel, 0.0) / math.sqrt(12.0)
        return math.hypot(here, self.noise[channel] / math.sqrt(at_rest), stuck)

    def energy_deviation(self, window: _core.Window) -> float:
        """Standard deviation by the noise of the energy v_DS i_D [J] over a window that is given.

        The energy is dt times a sum over samples that are independent, but the zeros of both channels are
        means of samples of the same record: what a stretch at rest adds to the energy, its own zero takes off
        again.
        """
        if self.current is None:
            return math.nan
        times = self._grid
        inside = (times >= window.begin) & (times <= window.end)
        v, i = (
            np.where(inside, self.waveform.value(name, times), 0.0) for name in (self.drain, self.current)
        )
        return self.interval * math.hypot(*self._by_channel(self.current, v), *self._by_drain(v, i))

    def energy_by_delay(self, window: _core.Window) -> float:
        """By how much the energy over a window grows with a delay of i_D that is taken off [J/s]."""
        if self.current is None:
            return math.nan
        times = self._grid
        inside = (times >= window.begin) & (times <= window.end)
        v, i = (self.waveform.value(name, times[inside]) for name in (self.drain, self.current))
        return float(0.5 * (v[1:] + v[:-1]) @ np.diff(i))

    def _by_drain(self, v: Floats, i: Floats) -> list[float]:
        """As of :meth:`_by_channel`, of v_DS with its scale."""
        if self.top is None or self.bus is None:
            return self._by_channel(self.drain, i)
        on = float(self.zeros[self.drain].weights @ self.waveform.value(self.drain, self._grid))
        return self._by_channel(self.drain, i, (self.top, float((v - on) @ i) / (self.bus - on)))

    def _by_channel(
        self, channel: str, other: Floats, top: tuple[RestLevel, float] | None = None
    ) -> list[float]:
        """Standard deviations of the sum of v i by noise, rings at rest and converter of one of them.

        Args:
            channel: v_DS or i_D.
            other: samples of the other one inside of a window, 0 outside, shape (samples,).
            top: level to which the channel was scaled, and by how much the sum falls for each unit of it.
        """
        noise, zero = self.noise.get(channel, 0.0), self.zeros.get(channel)
        if zero is None:
            return [noise * float(np.linalg.norm(other))]
        by_zero = float(other.sum())
        slopes = other - by_zero * zero.weights
        rings = [by_zero * zero.spread]
        if top is not None:
            level, share = top
            slopes = slopes - share * (level.weights - zero.weights)
            rings = [(by_zero - share) * zero.spread, share * level.spread]
        # Below half a step of the converter samples repeat each other, and averaging does not help.
        stuck = self.steps.get(channel, 0.0) / math.sqrt(12.0) * float(other[zero.weights == 0.0].sum())
        return [noise * float(np.linalg.norm(slopes)), *rings, stuck]

    @cached_property
    def _grid(self) -> Floats:
        """Even times [s] at which the waveform is summed: its samples, if those are even."""
        times = sample_times(self.waveform)
        if self.waveform.core.degree == 1 and is_gapless(times):
            return times
        return np.linspace(self.waveform.begin, self.waveform.end, _LOOKED_AT)

    def _level(self, channel: str, stretches: list[tuple[float, float]]) -> RestLevel:
        values = self.waveform.value(channel, self._grid)
        return rest_level(self._grid, values, stretches, self.noise.get(channel, 0.0))

    def _states(self, windows: list[_core.Window]) -> tuple[list[Stretch], list[Stretch]]:
        """Begin and end [s] of all stretches in the off-state and in the on-state, edges well left out."""
        off: list[Stretch] = []
        on: list[Stretch] = []
        for window in windows:
            levels = self.levels(window)
            left, found = self.moves(window, levels)
            if left is None or found is None:
                before, after = self.rest(window, self._moved(window))
            else:
                before, after = (window.begin, left), (0.5 * (found.end + window.end), window.end)
            (off if levels.is_turn_on else on).append(before)
            (on if levels.is_turn_on else off).append(after)
        return off, on

    def moves(
        self, window: _core.Window, levels: Levels, beside: tuple[float, float] = (0.0, 0.0)
    ) -> tuple[float | None, _core.Window | None]:
        """When v_GS has left its level by 10 %, and while v_DS goes from 10 % to 90 % of its step.

        Args:
            window: of the edge.
            levels: at rest.
            beside: added to the levels that are passed, of v_GS and of v_DS [V].
        """
        low, high = levels.drain(EDGE_FRACTION) + beside[1], levels.drain(1.0 - EDGE_FRACTION) + beside[1]
        found = transition(
            self.waveform, self.drain, (low, high), window,
            self.band(self.drain, levels.drain_after - levels.drain_before),
        )  # fmt: skip
        crossed = passages(
            self.waveform, self.gate, levels.gate(EDGE_FRACTION) + beside[0], window,
            self.band(self.gate, levels.gate_after - levels.gate_before),
        )  # fmt: skip
        return last_passage(crossed, levels.is_turn_on, found.begin if found else math.inf), found

    def parts(self) -> list[_core.Window]:
        """One window for each edge."""
        found = swing_passages(self.waveform, self.gate)
        middles = [0.5 * (one.time + after.time) for one, after in pairwise(found)]
        ends = [self.waveform.begin, *middles, self.waveform.end]
        return [_core.Window(*pair) for pair in pairwise(ends)] if found else []

    def rest(self, window: _core.Window, moved: float) -> tuple[tuple[float, float], tuple[float, float]]:
        """Begin and end [s] of the stretches before and after the edge over which levels are averaged.

        Args:
            window: of the edge.
            moved: when v_GS passes the middle of its step [s].
        """
        share, most = (_NOISY_REST, 0.5) if self.waveform.core.degree == 1 else (_REST, 0.25)
        rest = share * window.length
        return (
            (window.begin, window.begin + min(rest, most * (moved - window.begin))),
            (window.end - rest, window.end),
        )

    def _moved(self, window: _core.Window) -> float:
        """When v_GS passes the middle of its step [s]."""
        gate_begin, gate_end = (float(self.waveform.value(self.gate, t)) for t in (window.begin, window.end))
        middle = passages(self.waveform, self.gate, 0.5 * (gate_begin + gate_end), window)
        return middle[0].time if middle else window.end

    def _blocked(self, window: _core.Window, levels: Levels, moved: float) -> float:
        """v_DS in the off-state [V], over half of it, weighted so that a ring hardly counts.

        As long as v_DS takes to get there does not count, nor half of that again; where nothing is left it is
        the level at the end of the record.
        """
        edge = window.begin if levels.is_turn_on else window.end
        values = self.waveform.value(self.drain, np.linspace(moved, edge, _LOOKED_AT))
        arrived = np.flatnonzero(values >= levels.on + (1.0 - EDGE_FRACTION) * (levels.off - levels.on))
        if len(arrived) == 0:
            return levels.off
        first = max(_LOOKED_AT // 2, int(1.5 * arrived[0]))
        if first > _LATE * _LOOKED_AT:
            return levels.off
        return tapered_mean(values[first:])

    def levels(self, window: _core.Window) -> Levels:
        """Levels at rest of the edge in a window."""
        moved = self._moved(window)
        before, after = self.rest(window, moved)
        means = [
            self.mean(channel, *stretch) for channel in (self.gate, self.drain) for stretch in (before, after)
        ]
        levels = Levels(*means)
        bus = self._blocked(window, levels, moved) if self.bus is None else self.bus
        return dataclasses.replace(levels, **{"drain_before" if levels.is_turn_on else "drain_after": bus})
