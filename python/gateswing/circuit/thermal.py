"""Thermal ladders: how far a junction warms up over its case, for any course of its power.

Foster ladder, a sum of independent elements, the form in which data sheets print pairs R, tau:

    Zth(t) = sum R_k (1 - exp(-t/tau_k))                            step response [K/W]
    tau_k dT_k/dt = R_k P(t) - T_k,  T = sum T_k                    rise of the junction over the case [K]

Cauer ladder, the heat path itself: node 1 is the junction, node n+1 the case, held at its temperature.
C_k is the heat capacity of node k, R_k lies between nodes k and k+1:

    C_1 dT_1/dt = P - (T_1 - T_2)/R_1
    C_k dT_k/dt = (T_(k-1) - T_k)/R_(k-1) - (T_k - T_(k+1))/R_k

Both have the same Zth when converted; only the nodes of the Cauer ladder are places, and only a Cauer ladder
may be extended by what follows the case (common knowledge of the trade, from memory). The reference is the
case, or whatever the data are stated to; its own warming must be added.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Any, NamedTuple, Self

import numpy as np
from numpy.typing import ArrayLike, NDArray
from pydantic import Field, model_validator

from ..errors import InputError, InputProblem
from ..model import Model, Quantity, argument, at_least, positive
from ..quantities import format_quantity
from ..tables import text_table

__all__ = ["CauerLadder", "FosterLadder", "PulsePeak"]

_MOST_ELEMENTS = 20  # the exact conversion takes a second or two for as many
_RESISTANCE = Quantity("K/W", "Thermal resistance.", allowed=positive(1e4), usual=at_least(1e-4, 200.0))
_TIME_CONSTANT = Quantity("s", "Of one element.", allowed=positive(1e6), usual=at_least(1e-7, 1e4))
_CAPACITY = Quantity("J/K", "Heat capacity.", allowed=positive(1e12), usual=at_least(1e-7, 1e4))
_POWER = Quantity("W", "Heat in the junction.", allowed=at_least(0.0, 1e7))
_DURATION = Quantity("s", "Length of the pulse.", allowed=positive(1e6))
# Below this ratio of step to time constant the series of the ramp's weight beats its closed form.
_SMALL_STEP = 0.1
_SERIES = (1 / 2, -1 / 6, 1 / 24, -1 / 120, 1 / 720, -1 / 5040, 1 / 40320, -1 / 362880, 1 / 3628800)

Resistances = tuple[Annotated[float, _RESISTANCE], ...]
Array = NDArray[np.float64]


class PulsePeak(NamedTuple):
    """Largest rise during a pulse.

    Attributes:
        rise: over the reference [K].
        time: since the pulse began [s].
    """

    rise: float
    time: float


class _Ladder(Model):
    """What both forms share."""

    def _require_equal_lengths(self, first: str, second: str) -> None:
        counts = {name: len(getattr(self, name)) for name in (first, second)}
        if counts[first] != counts[second]:
            reason = f"has {counts[second]} values, but {first} has {counts[first]}."
            raise InputError([InputProblem(second, None, reason, hint="Each element needs one of both.")])
        if not 1 <= counts[first] <= _MOST_ELEMENTS:
            reason = f"has {counts[first]} values."
            raise InputError([InputProblem(first, None, reason, f"1 to {_MOST_ELEMENTS} elements")])

    def _table(self, columns: Sequence[tuple[str, str, Sequence[float]]]) -> str:
        names = [name for name, _, _ in columns]
        cells = [[format_quantity(value, unit) for value in values] for _, unit, values in columns]
        return text_table(
            zip(*cells, strict=True), header=names, right_aligned=frozenset(range(len(columns)))
        )

    def __repr__(self) -> str:
        fields = ", ".join(f"{name}={getattr(self, name)!r}" for name in type(self).model_fields)
        return f"{type(self).__name__}({fields})"


class FosterLadder(_Ladder):
    """Thermal impedance as a sum of elements, each a resistance [K/W] and a time constant [s].

    The elements are no places: do not read temperatures between them, do not append to them.
    """

    resistances: Annotated[Resistances, Field(description="Of the elements, in any order.")]
    time_constants: Annotated[
        tuple[Annotated[float, _TIME_CONSTANT], ...], Field(description="Of the same elements.")
    ]

    @model_validator(mode="after")
    def _complete(self) -> Self:
        self._require_equal_lengths("resistances", "time_constants")
        return self

    @property
    def total_resistance(self) -> float:
        """Rise per watt that is left on for ever [K/W]."""
        return sum(self.resistances)

    def step_response(self, time: ArrayLike) -> Any:
        """Thermal impedance Zth [K/W] at times [s] after the power steps to 1 W; same shape as `time`.

        Zero before the step.
        """
        resistance, constant = self._arrays()
        since = np.maximum(np.asarray(time, dtype=float), 0.0)
        impedance = -(resistance * np.expm1(-since[..., None] / constant)).sum(axis=-1)
        return float(impedance) if impedance.ndim == 0 else impedance

    def response(self, times: ArrayLike, powers: ArrayLike) -> Array:
        """Rise of the junction over the reference [K] at each time, exact for the given course of power.

        Args:
            times: increasing, shape (n,) [s]; the junction has the temperature of the reference at the first.
            powers: shape (n,) [W]: at the times, straight lines between. Or shape (n-1,): constant from each
                time to the next.

        Returns:
            Rises, shape (n,) [K].

        Raises:
            InputError: times that do not increase, or shapes that do not match.
        """
        at, begin, end = _course(times, powers)
        resistance, constant = self._arrays()
        steps = np.diff(at)[:, None] / constant
        # Over one step: T(h) = T(0) exp(-x) + R P(0) (1 - exp(-x)) + R (P(h) - P(0)) ramp(x), x = h/tau.
        driven = resistance * (begin[:, None] * -np.expm1(-steps) + (end - begin)[:, None] * _ramp(steps))
        kept = np.exp(-steps)
        rises = np.zeros((at.size, constant.size))
        for index in range(at.size - 1):
            rises[index + 1] = kept[index] * rises[index] + driven[index]
        return np.asarray(rises.sum(axis=1))

    def single_pulse(self, power: float | str, on_time: float | str) -> float:
        """Rise [K] at the end of one rectangular pulse, where it is largest: P Zth(on_time).

        Raises:
            InputError: an argument is out of range.
        """
        heat = argument("power", power, _POWER)
        return heat * float(self.step_response(argument("on_time", on_time, _DURATION)))

    def repetitive_peak(self, power: float | str, on_time: float | str, period: float | str) -> float:
        """Largest rise [K] under rectangular pulses that have gone on for ever.

        Each element peaks at the end of the pulse with P R (1 - exp(-on_time/tau))/(1 - exp(-period/tau)),
        the sum of the geometric series of all earlier pulses.

        Raises:
            InputError: an argument is out of range, or the pulse is longer than the period.
        """
        heat = argument("power", power, _POWER)
        on, cycle = argument("on_time", on_time, _DURATION), argument("period", period, _DURATION)
        if on > cycle:
            allowed = f"up to the period, {format_quantity(cycle, 's')}"
            raise InputError([InputProblem("on_time", format_quantity(on, "s"), "too long.", allowed)])
        resistance, constant = self._arrays()
        return float((heat * resistance * np.expm1(-on / constant) / np.expm1(-cycle / constant)).sum())

    def triangular_pulse_peak(self, peak_power: float | str, duration: float | str) -> PulsePeak:
        """Largest rise under one pulse that starts at its peak and falls in a straight line to zero.

        The power of a MOSFET in avalanche has this course. The rise is P (Zth(t) - (1/T) integral of Zth from
        0 to t); it is largest where T Zth'(t) = Zth(t), which has one solution since Zth is concave. For
        Zth ~ sqrt(t) that is T/2, with a peak of (2/3) P Zth(T/2).

        Raises:
            InputError: an argument is out of range.
        """
        from scipy.optimize import brentq  # type: ignore[import-untyped]

        heat = argument("peak_power", peak_power, _POWER)
        whole = argument("duration", duration, _DURATION)
        resistance, constant = self._arrays()

        def excess(share: float) -> float:
            slope = (resistance / constant * np.exp(-share * whole / constant)).sum()
            return float(whole * slope - self.step_response(share * whole))

        # At 0 the slope wins. At the end concavity makes it lose, by rounding alone for a very short pulse.
        share = float(brentq(excess, 0.0, 1.0, xtol=1e-14)) if excess(1.0) < 0.0 else 1.0
        rises = self.response([0.0, share * whole], [heat, heat * (1.0 - share)])
        return PulsePeak(float(rises[-1]), share * whole)

    def to_cauer(self) -> CauerLadder:
        """The physical ladder with the same thermal impedance.

        Elements whose time constants agree within 1e-4 are joined first, which moves Zth by less than 1e-9 of
        the whole: kept apart they would ask for a node of enormous capacity.
        """
        from .thermal_conversion import cauer_of_foster

        resistances, capacities = cauer_of_foster(self.resistances, self.time_constants)
        return CauerLadder(resistances=resistances, capacities=capacities)

    def _arrays(self) -> tuple[Array, Array]:
        return np.array(self.resistances), np.array(self.time_constants)

    def __str__(self) -> str:
        return self._table(
            [("resistance", "K/W", self.resistances), ("time constant", "s", self.time_constants)]
        )


class CauerLadder(_Ladder):
    """Heat path from junction to reference: heat capacities [J/K] with a resistance [K/W] behind each.

    For responses convert it with :meth:`to_foster`.
    """

    resistances: Annotated[Resistances, Field(description="From the junction on.")]
    capacities: Annotated[
        tuple[Annotated[float, _CAPACITY], ...],
        Field(
            description="Of the nodes, the junction first; each stands before the resistance of its index."
        ),
    ]

    @model_validator(mode="after")
    def _complete(self) -> Self:
        self._require_equal_lengths("resistances", "capacities")
        return self

    def to_foster(self) -> FosterLadder:
        """The sum of elements with the same thermal impedance, the fastest element first."""
        from .thermal_conversion import foster_of_cauer

        resistances, time_constants = foster_of_cauer(self.resistances, self.capacities)
        return FosterLadder(resistances=resistances, time_constants=time_constants)

    def followed_by(self, other: CauerLadder) -> CauerLadder:
        """This heat path with another behind it: a case on a heat sink, say."""
        return CauerLadder(
            resistances=self.resistances + other.resistances, capacities=self.capacities + other.capacities
        )

    def __str__(self) -> str:
        return self._table([("resistance", "K/W", self.resistances), ("capacity", "J/K", self.capacities)])


def _course(times: ArrayLike, powers: ArrayLike) -> tuple[Array, Array, Array]:
    """Times, and the power at begin and end of each step."""
    at, power = np.asarray(times, dtype=float), np.asarray(powers, dtype=float)
    if at.ndim != 1 or at.size < 2 or not np.isfinite(at).all() or (np.diff(at) <= 0.0).any():
        reason = "not a list of finite, increasing times."
        raise InputError([InputProblem("times", None, reason, "at least 2 values")])
    if power.ndim != 1 or power.size not in (at.size, at.size - 1):
        allowed = f"{at.size} values at the times, or {at.size - 1} between them"
        raise InputError([InputProblem("powers", None, f"has the shape {power.shape}.", allowed)])
    if not np.isfinite(power).all():
        raise InputError([InputProblem("powers", None, "has values that are not finite.")])
    if power.size == at.size:
        return at, power[:-1], power[1:]
    return at, power, power


def _ramp(x: Array) -> Array:
    """1 - (1 - exp(-x))/x, the weight of a ramp that ends at 1."""
    series = x * np.polynomial.polynomial.polyval(np.minimum(x, _SMALL_STEP), _SERIES)
    closed = 1.0 + np.expm1(-x) / np.maximum(x, _SMALL_STEP)
    return np.where(x < _SMALL_STEP, series, closed)
