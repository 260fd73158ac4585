"""Where a gate driver takes its rail from: what the rail does under load, and what its parts dissipate.

Hand formulas, exact for the circuits they state. The average current of a driver is its gate charge times the
frequency plus its quiescent current.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Self

from pydantic import model_validator

from ..errors import InputError, InputProblem
from ..model import Model, Quantity, at_least, positive
from ..quantities import format_quantity

__all__ = ["BootstrapSupply", "Decoupling", "SeriesPassSupply", "ShuntSupply", "SupplyLoading"]

_INPUT = Quantity("V", "Where the rail is made from.", allowed=positive(1500.0), usual=at_least(5.0, 100.0))
_REFERENCE = Quantity("V", "Of the voltage reference.", allowed=positive(60.0), usual=at_least(2.5, 20.0))
_MINIMUM = Quantity(
    "A",
    "Least current with which the reference regulates.",
    allowed=at_least(0.0, 1.0),
    usual=at_least(1e-5, 20e-3),
)


@dataclass(frozen=True)
class SupplyLoading:
    """A supply at one average current.

    Attributes:
        rail_voltage: [V].
        regulates: whether the reference still has its least current.
        dissipation: of each part [W], by name.
    """

    rail_voltage: float
    regulates: bool
    dissipation: dict[str, float]


class SeriesPassSupply(Model):
    """Transistor as follower behind a voltage reference that a resistor feeds from the same input.

    The rail is V_ref - V_BE. The resistor gives (V_in - V_ref)/R; what the base does not take flows through
    the reference, so the largest rail current is current_gain times that less the reference's least current.
    Beyond it the base resistor alone holds the rail up.
    """

    input_voltage: Annotated[float, _INPUT]
    reference_voltage: Annotated[float, _REFERENCE]
    reference_minimum_current: Annotated[float, _MINIMUM] = 1e-3
    base_resistance: Annotated[
        float, Quantity("ohm", "From input to base.", allowed=positive(1e7), usual=at_least(100.0, 1e5))
    ]
    current_gain: Annotated[
        float, Quantity("", "Of the transistor.", allowed=positive(1e5), usual=at_least(10.0, 1e4))
    ] = 50.0
    base_emitter_voltage: Annotated[
        float, Quantity("V", "Of the transistor.", allowed=positive(3.0), usual=at_least(0.5, 1.5))
    ] = 0.7

    @model_validator(mode="after")
    def _input_above_reference(self) -> Self:
        _require_above(self.input_voltage, self.reference_voltage)
        return self

    def maximum_current(self) -> float:
        """Largest average rail current with the reference in regulation [A]."""
        return self.current_gain * max(0.0, self._feed() - self.reference_minimum_current)

    def loading(self, current: float) -> SupplyLoading:
        """Rail voltage and dissipation at an average rail current [A]."""
        base = current / self.current_gain
        regulates = current <= self.maximum_current()
        at_base = self.reference_voltage
        if not regulates:
            at_base = min(at_base, max(0.0, self.input_voltage - base * self.base_resistance))
        rail = max(0.0, at_base - self.base_emitter_voltage)
        feed = (self.input_voltage - at_base) / self.base_resistance
        return SupplyLoading(
            rail,
            regulates,
            {
                "pass transistor": (self.input_voltage - rail) * (current - base) + (at_base - rail) * base,
                "base resistor": (self.input_voltage - at_base) * feed,
                "reference": at_base * max(0.0, feed - base),
            },
        )

    def _feed(self) -> float:
        return (self.input_voltage - self.reference_voltage) / self.base_resistance


class ShuntSupply(Model):
    """Dropping resistor with a voltage reference in parallel with the driver.

    The resistor gives (V_in - V_ref)/R whatever the driver takes. Once the driver takes all but the
    reference's least current, the rail is V_in - R I.
    """

    input_voltage: Annotated[float, _INPUT]
    reference_voltage: Annotated[float, _REFERENCE]
    reference_minimum_current: Annotated[float, _MINIMUM] = 1e-3
    resistance: Annotated[
        float, Quantity("ohm", "From input to rail.", allowed=positive(1e7), usual=at_least(10.0, 1e5))
    ]

    @model_validator(mode="after")
    def _input_above_reference(self) -> Self:
        _require_above(self.input_voltage, self.reference_voltage)
        return self

    def maximum_current(self) -> float:
        """Largest average rail current with the reference in regulation [A]."""
        feed = (self.input_voltage - self.reference_voltage) / self.resistance
        return max(0.0, feed - self.reference_minimum_current)

    def loading(self, current: float) -> SupplyLoading:
        """Rail voltage and dissipation at an average rail current [A]."""
        starved = max(0.0, self.input_voltage - self.resistance * current)
        rail = min(self.reference_voltage, starved)
        feed = (self.input_voltage - rail) / self.resistance
        return SupplyLoading(
            rail,
            current <= self.maximum_current(),
            {
                "dropping resistor": (self.input_voltage - rail) * feed,
                "reference": rail * max(0.0, feed - current),
            },
        )


class BootstrapSupply(Model):
    """Capacitor that a diode recharges through a resistor while the switch below conducts.

    Each period takes the charge q; the off-time recharges by 1 - e with e = exp(-t_off/(R C)). In the steady
    state the capacitor ends its recharge q/C e/(1 - e) below the supply less the diode drop, for a large
    capacitor R q/t_off: the average-current rule. While the switch above conducts it droops by q/C more.
    """

    supply_voltage: Annotated[
        float, Quantity("V", "Recharges the capacitor.", allowed=positive(60.0), usual=at_least(3.0, 20.0))
    ]
    capacitance: Annotated[
        float, Quantity("F", "Of the capacitor.", allowed=positive(1e-3), usual=at_least(1e-9, 100e-6))
    ]
    resistance: Annotated[
        float, Quantity("ohm", "Of diode and resistor.", allowed=positive(1e5), usual=at_least(0.1, 500.0))
    ]
    diode_drop: Annotated[
        float, Quantity("V", "Of the diode.", allowed=at_least(0.0, 3.0), usual=at_least(0.2, 1.2))
    ] = 0.7
    quiescent_current: Annotated[
        float,
        Quantity(
            "A", "Of the driver above, with leakage.", allowed=at_least(0.0, 0.1), usual=at_least(1e-7, 5e-3)
        ),
    ] = 0.0

    def charge(self, gate_charge: float, on_time: float) -> float:
        """Charge taken in a period [C]: the gate's [C], and what flows all through the on-time [s]."""
        return gate_charge + self.quiescent_current * on_time

    def recharge_loss(self, charge: float, off_time: float) -> float:
        """How far below supply less diode drop the capacitor ends its recharge [V]; see the class."""
        kept = off_time / (self.resistance * self.capacitance)
        return charge / self.capacitance / math.expm1(kept)

    def lowest_voltage(self, charge: float, off_time: float) -> float:
        """Of the capacitor, at the end of the on-time [V]."""
        lost = self.recharge_loss(charge, off_time) + charge / self.capacitance
        return self.supply_voltage - self.diode_drop - lost

    def minimum_off_time(self, charge: float, lowest_voltage: float) -> float:
        """Off-time [s] that keeps the capacitor at or above a voltage [V]; infinite if none does."""
        allowed = self.supply_voltage - self.diode_drop - charge / self.capacitance - lowest_voltage
        if allowed <= 0.0:
            return math.inf
        return self.resistance * self.capacitance * math.log1p(charge / (self.capacitance * allowed))


class Decoupling(Model):
    """Capacitor at the driver that gives the gate its charge."""

    capacitance: Annotated[
        float, Quantity("F", "Of the capacitor.", allowed=positive(1e-2), usual=at_least(1e-9, 1e-3))
    ]
    resistance: Annotated[
        float, Quantity("ohm", "In series with it.", allowed=at_least(0.0, 100.0), usual=at_least(1e-4, 5.0))
    ] = 0.0
    inductance: Annotated[
        float,
        Quantity("H", "In series with it.", allowed=at_least(0.0, 1e-5), usual=at_least(0.1e-9, 100e-9)),
    ] = 0.0

    def droop(self, gate_charge: float, peak_current: float, current_slope: float = 0.0) -> float:
        """Bound on the dip of the rail in one edge [V]: q/C + R i + L di/dt, as if all fell together.

        Args:
            gate_charge: [C].
            peak_current: of the driver [A].
            current_slope: largest di/dt [A/s].
        """
        return (
            gate_charge / self.capacitance + self.resistance * peak_current + self.inductance * current_slope
        )

    def needed_capacitance(
        self, droop: float, gate_charge: float, peak_current: float, current_slope: float = 0.0
    ) -> float:
        """Capacitance [F] that keeps :meth:`droop` at a stated value; infinite if its leads alone exceed it.

        Args:
            droop: allowed [V].
            gate_charge: [C].
            peak_current: of the driver [A].
            current_slope: largest di/dt [A/s].
        """
        left = droop - self.resistance * peak_current - self.inductance * current_slope
        return gate_charge / left if left > 0.0 else math.inf


def _require_above(input_voltage: float, reference_voltage: float) -> None:
    if input_voltage <= reference_voltage:
        given, least = format_quantity(input_voltage, "V"), format_quantity(reference_voltage, "V")
        raise InputError(
            [InputProblem("input_voltage", given, "must exceed reference_voltage.", f"above {least}")]
        )
