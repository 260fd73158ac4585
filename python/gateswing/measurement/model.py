"""A capture as a function of what is unknown about its cell and its instrument.

    y_c(t) = g_c s_c(t - T - d_c) + o_c + noise

s_c is channel c of the simulated double pulse as the probe shows it. The gains g and the skews d against v_DS
are known from the instrument but for a normal error; the offsets o, the begin T and the time between the
commands are not known at all, which is why nothing that merely moves an edge can be estimated. Derivatives by
the unknowns of the cell and the on-time are quotients of differences of two simulations, all others are
exact.
"""

from __future__ import annotations

import copy
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..circuit.cell import LowSideCell
from ..errors import InputError
from ..studies.asking import quiet_double_pulse
from ..studies.results import DoublePulse
from ..waveforms.waveform import Waveform
from .instrument import InstrumentErrors
from .probe import Probe

__all__ = ["CHANNELS", "BenchModel", "Samples", "Unknown"]

Floats = NDArray[np.float64]

CHANNELS = ("v_gs_pin", "v_ds_pin", "i_d")
_ON_TIME = "on time"
_REFERENCE = "v_ds_pin"  # of the skews
# Of a logarithm, at the end of a search and on its way, where it looks farther than the next cycle of a ring.
# What moves an edge moves a ring along: with 2e-3, half of what a gate resistor seemed to do was that.
_DIFFERENCE, _WIDE_DIFFERENCE = 5e-4, 6e-3
_TIME_DIFFERENCE = 20e-12  # [s]
_TIME = 1e-9  # [s], of the numbers that are fitted; offsets are fitted in hundredths of a swing
_OFFSET = 0.01
_POINTS = 24  # in a rise time of the probe: straight lines between them are right to 0.04 % of a step
_POINTS_BARE = 8  # in a sample
_POINTS_BLURRED = 8  # in the standard deviation of a blur
_MOST_POINTS = 100_000
_SHARPER, _SHARPEST = 0.01, 1e-10  # of the tolerance of the integrator
_NO_ANSWER = 1e4  # standard deviations, of a design that cannot be simulated


@dataclass(frozen=True)
class Samples:
    """What is compared.

    Attributes:
        times: [s], shape (samples,).
        values: of each channel, shape (samples,).
        deviations: standard deviation of each sample by the noise, of each channel, shape (samples,).
        after: time since the end of the last edge [s], 0 during an edge and before the first, shape
            (samples,).
        interval: from sample to sample [s].
    """

    times: Floats
    values: Mapping[str, Floats]
    deviations: Mapping[str, Floats]
    after: Floats
    interval: float


@dataclass(frozen=True)
class Unknown:
    """One quantity that is fitted by its logarithm.

    Attributes:
        path: of the field; of a capacitance as a whole; or ``current``, the load current.
        unit: in SI; empty for the factor of a capacitance.
        low, high: bounds.
        start: where the search begins.
        parts: fields that are multiplied by the factor, of a capacitance as a whole.
    """

    path: str
    unit: str
    low: float
    high: float
    start: float
    parts: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Shown:
    """Channels of one simulation at even times."""

    times: Floats
    values: Mapping[str, Floats]

    def value(self, channel: str, times: Floats) -> Floats:
        """Beyond the ends the circuit stands still."""
        return np.interp(times, self.times, self.values[channel])

    def slope(self, channel: str, times: Floats) -> Floats:
        """Over the two steps around."""
        step = float(self.times[1] - self.times[0])
        return (self.value(channel, times + step) - self.value(channel, times - step)) / (2.0 * step)


def _nothing() -> None:
    """No one watches."""


class BenchModel:
    """Residuals and their derivatives over the vector x: unknowns, on-time, begin, skews, gains, offsets."""

    def __init__(
        self,
        cell: LowSideCell,
        unknowns: Sequence[Unknown],
        samples: Samples,
        pulse: Mapping[str, float],
        probes: Mapping[str, Probe],
        errors: InstrumentErrors,
        relative_tolerance: float,
    ) -> None:
        self.cell, self.unknowns, self.samples, self.errors = cell, tuple(unknowns), samples, errors
        self.channels = tuple(samples.values)
        self.watch: Callable[[], None] = _nothing  # called after each simulation
        self._count = [0]  # of simulations, with those of copies
        self._kept: dict[tuple[float, ...], _Shown | None] = {}
        self._is_sharp = False
        self._pulse, self._probes, self._tolerance = dict(pulse), probes, relative_tolerance
        self._swings = {name: float(np.ptp(values)) for name, values in samples.values.items()}
        self.look()
        late = [name for name in self.channels if name != _REFERENCE]
        self.names = (
            *(one.path for one in unknowns), _ON_TIME, "begin",
            *(f"skew of {name}" for name in late),
            *(f"gain of {name}" for name in self.channels),
            *(f"offset of {name}" for name in self.channels),
        )  # fmt: skip
        self._place = {name: place for place, name in enumerate(self.names)}

    def look(self, blur: float = 0.0, memory: float = math.inf) -> None:
        """How model and capture are compared, for a search on its way.

        Args:
            blur: standard deviation of a gaussian that both are seen through [s].
            memory: time [s] after an edge in which the weight of samples falls to 1/e.
        """
        from scipy.ndimage import gaussian_filter1d  # type: ignore[import-untyped]

        is_final = blur == 0.0 and memory == math.inf
        self._blur, self._difference = blur, _DIFFERENCE if is_final else _WIDE_DIFFERENCE
        weight = np.exp(-self.samples.after / memory)
        self._weights = {name: weight / one for name, one in self.samples.deviations.items()}
        width = blur / self.samples.interval
        self._measured = {
            name: gaussian_filter1d(values, width, mode="nearest") if blur else values
            for name, values in self.samples.values.items()
        }
        self._kept = {}

    @property
    def simulations(self) -> int:
        """So far, those of copies included."""
        return self._count[0]

    def with_cell(self, cell: LowSideCell) -> BenchModel:
        """The same of another cell."""
        other = copy.copy(self)
        other.cell, other._kept = cell, {}
        return other

    def with_unknown(self, one: Unknown) -> BenchModel:
        """The same with one more, after the others."""
        unknowns = (*self.unknowns, one)
        other = BenchModel(
            self.cell, unknowns, self.samples, self._pulse, self._probes, self.errors, self._tolerance
        )
        other.watch, other._count = self.watch, self._count
        return other

    def sharpened(self) -> BenchModel:
        """The same with simulations so exact, and differences to both sides, that slopes are what they seem.

        At those of a search, their errors make up for directions that the capture does not tell.
        """
        other = copy.copy(self)
        other._tolerance, other._kept = max(self._tolerance * _SHARPER, _SHARPEST), {}
        other._is_sharp = True
        return other

    @property
    def count(self) -> int:
        """Of unknowns of the cell, which come first."""
        return len(self.unknowns)

    def start(self, values: Sequence[float], on_time: float, begin: float) -> Floats:
        """The vector x for values of the unknowns and the commands [s], with an ideal instrument."""
        x = np.zeros(len(self.names))
        x[: self.count] = np.log(values)
        x[self.count : self.count + 2] = on_time / _TIME, begin / _TIME
        for name in self.channels:
            x[self._place[f"gain of {name}"]] = 1.0
        return x

    def limits(self) -> tuple[Floats, Floats]:
        """Least and greatest of the vector x: the unknowns have bounds, and the pulse a length."""
        low, high = np.full(len(self.names), -np.inf), np.full(len(self.names), np.inf)
        low[: self.count] = np.log([one.low for one in self.unknowns])
        high[: self.count] = np.log([one.high for one in self.unknowns])
        low[self.count] = 0.0
        return low, high

    def values(self, x: Floats) -> dict[str, float]:
        """The unknowns by path, in SI units."""
        return {one.path: float(np.exp(x[place])) for place, one in enumerate(self.unknowns)}

    def cell_of(self, x: Floats) -> LowSideCell:
        """The cell with these unknowns."""
        found = self.values(x)
        changes = {one.path: found[one.path] for one in self.unknowns if not one.parts}
        changes.pop("current", None)
        for one in self.unknowns:
            changes |= {part: found[one.path] * self.cell.value_at(part) for part in one.parts}
        return self.cell.replace(changes)

    def simulated(self, x: Floats) -> DoublePulse:
        """The double pulse of that cell."""
        pulse = self._pulse | {"on_time": float(x[self.count]) * _TIME}
        pulse |= {path: value for path, value in self.values(x).items() if path == "current"}
        self._count[0] += 1
        edges = quiet_double_pulse(self.cell_of(x), relative_tolerance=self._tolerance, **pulse)
        self.watch()
        return edges

    def answer(self, x: Floats) -> DoublePulse | None:
        """Of a cell that can be simulated."""
        try:
            edges = self.simulated(x)
        except InputError:
            return None
        return edges if edges.succeeded else None

    def beside(self, x: Floats, place: int, step: float) -> Iterator[Floats]:
        """The vector x with one number moved, to one side and then to the other.

        An unknown first goes away from its nearer bound, so that no field leaves its own range.
        """
        one = self.unknowns[place] if place < self.count else None
        is_high = one is not None and x[place] >= 0.5 * math.log(one.low * one.high)
        for change in (-step, step) if is_high else (step, -step):
            moved = x.copy()
            moved[place] += change
            yield moved

    def unit_of(self, name: str) -> tuple[str, float]:
        """SI unit of a name of the instrument, and what 1 in x is in it."""
        kind, _, channel = name.partition(" of ")
        if kind in (_ON_TIME, "begin", "skew"):
            return "s", _TIME
        if kind == "gain":
            return "", 1.0
        return ("A" if channel.startswith("i_") else "V"), _OFFSET * self._swings[channel]

    def shown(self, x: Floats) -> dict[str, Floats]:
        """Every channel as the capture should have it, shape (samples,)."""
        shown = self._shown(x)
        assert shown is not None
        return {name: self._channel(x, shown, name) for name in self.channels}

    def residuals(self, x: Floats) -> Floats:
        """Model less capture over the noise, then what is known about the instrument, shape (rows,)."""
        shown = self._shown(x)
        samples = len(self.samples.times)
        if shown is None:
            return np.full(len(self.channels) * samples + len(self.known()), _NO_ANSWER)
        parts = [
            self._weights[name] * (self._channel(x, shown, name) - self._measured[name])
            for name in self.channels
        ]
        known = [(x[place] - expected) / deviation for place, expected, deviation in self.known()]
        return np.concatenate([*parts, known])

    def slopes(self, x: Floats, instrument_only: bool = False) -> Floats:
        """Derivatives of the residuals, shape (rows, x); those by the unknowns may be left at zero."""
        samples = len(self.samples.times)
        jacobian = np.zeros((len(self.channels) * samples + len(self.known()), len(self.names)))
        shown = self._shown(x)
        if shown is None:
            return jacobian
        for index, name in enumerate(self.channels):
            rows = slice(index * samples, (index + 1) * samples)
            jacobian[rows] = self._weights[name][:, np.newaxis] * self._instrument_slopes(x, shown, name)
        for row, (place, _, deviation) in enumerate(self.known(), len(self.channels) * samples):
            jacobian[row, place] = 1.0 / deviation
        if not instrument_only:
            base = self.residuals(x)
            for place in range(self.count + 1):
                jacobian[:, place] = self._by_difference(x, base, place)
        return jacobian

    def _by_difference(self, x: Floats, base: Floats, place: int) -> Floats:
        step = _TIME_DIFFERENCE / _TIME if place == self.count else self._difference
        sides = (one for one in self.beside(x, place, step) if self._shown(one) is not None)
        moved = next(sides, None)
        if moved is None:
            return np.zeros_like(base)
        back = next(sides, None) if self._is_sharp else None
        if back is None:
            return np.asarray((self.residuals(moved) - base) / (moved[place] - x[place]))
        return np.asarray((self.residuals(moved) - self.residuals(back)) / (moved[place] - back[place]))

    def known(self) -> list[tuple[int, float, float]]:
        """Place in x, expected number and its standard deviation."""
        found = []
        for name in self.names[self.count :]:
            if name.startswith("skew"):
                found.append((self._place[name], 0.0, self.errors.skew / _TIME))
            elif name.startswith("gain"):
                found.append((self._place[name], 1.0, self.errors.gain))
        return found

    def _delay(self, x: Floats, channel: str) -> float:
        late = 0.0 if channel == _REFERENCE else x[self._place[f"skew of {channel}"]]
        return _TIME * float(x[self.count + 1] + late)

    def _channel(self, x: Floats, shown: _Shown, name: str) -> Floats:
        """As the capture should have it."""
        value = shown.value(name, self.samples.times - self._delay(x, name))
        gain, offset = x[self._place[f"gain of {name}"]], x[self._place[f"offset of {name}"]]
        return np.asarray(gain * value + offset * _OFFSET * self._swings[name])

    def _instrument_slopes(self, x: Floats, shown: _Shown, name: str) -> Floats:
        jacobian = np.zeros((len(self.samples.times), len(self.names)))
        times = self.samples.times - self._delay(x, name)
        value, slope = shown.value(name, times), shown.slope(name, times)
        gain = self._place[f"gain of {name}"]
        by_time = -_TIME * x[gain] * slope
        jacobian[:, self.count + 1] = by_time
        if name != _REFERENCE:
            jacobian[:, self._place[f"skew of {name}"]] = by_time
        jacobian[:, gain] = value
        jacobian[:, self._place[f"offset of {name}"]] = _OFFSET * self._swings[name]
        return jacobian

    def _shown(self, x: Floats) -> _Shown | None:
        """Of a simulation, or None where there is no answer; the last few are kept."""
        key = tuple(x[: self.count + 1])
        if key not in self._kept:
            if len(self._kept) > self.count + 4:
                self._kept.pop(next(iter(self._kept)))
            edges = self.answer(x)
            self._kept[key] = self._sampled(edges.waveform) if edges else None
        return self._kept[key]

    def _sampled(self, waveform: Waveform) -> _Shown:
        from scipy.ndimage import gaussian_filter1d

        rises = [probe.rise_time for probe in self._probes.values()]
        step = min([self.samples.interval / _POINTS_BARE, *(rise / _POINTS for rise in rises)])
        step = max(step, self._blur / _POINTS_BLURRED, (waveform.end - waveform.begin) / _MOST_POINTS)
        times = np.arange(waveform.begin, waveform.end, step)
        values = {name: waveform.value(name, times) for name in self.channels}
        # A blur on the way to the answer hides what the probe does.
        for name, probe in self._probes.items() if not self._blur else ():
            values[name] = probe.filtered(values[name], step)
        if self._blur:
            width = self._blur / step
            values = {name: gaussian_filter1d(one, width, mode="nearest") for name, one in values.items()}
        return _Shown(times, values)
