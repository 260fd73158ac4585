"""A gate that nothing drives, as at reset or with the driver's supply off: does a rising drain turn it on?"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Any

from .. import _core
from ..circuit.capacitance import sum_over
from ..circuit.mosfet import Mosfet
from ..circuit.named_part import part_or_fields
from ..figures import Figures, Meaning
from ..model import Quantity, argument, positive

__all__ = ["FloatingGate", "floating_gate"]

_BUS = Quantity("V", "To which the drain rises.", allowed=positive(1500.0))
_PULL_DOWN = Quantity("ohm", "Gate to source.", allowed=positive(1e8))


@dataclass(frozen=True, repr=False)
class FloatingGate(Figures):
    """What holds an undriven gate. NaN, printed as a dash: there is no such resistor."""

    induced_gate_voltage: Annotated[
        float, Meaning("V", "of an open gate once the drain has risen: charge shared by C_GD and C_GS")
    ]
    threshold_voltage: Annotated[float, Meaning("V", "from which the MOSFET conducts")]
    slope_limit: Annotated[
        float, Meaning("V/s", "of the drain, up to which the pull-down keeps the gate below its threshold")
    ]

    @property
    def turns_on(self) -> bool:
        """Whether the open gate gets to the threshold."""
        return self.induced_gate_voltage >= self.threshold_voltage


def floating_gate(
    mosfet: Mosfet | str, *, bus_voltage: float | str, pull_down_resistance: float | str | None = None
) -> FloatingGate:
    """Voltage that a rising drain puts on a gate which no driver holds.

    Open, the gate goes to the voltage v at which Q_GS(v) = Q_GD(bus - v): for constant capacitances the
    divider C_GD/(C_GD + C_GS). With a resistor R to the source a slow rise puts R C_GD dv/dt on it, so the
    threshold bounds dv/dt; C_GD is the charge-equivalent one up to the bus. Textbook.

    Args:
        mosfet: or its name in the library; at 25 degrees Celsius, a hot one has a lower threshold.
        bus_voltage: to which the drain rises from zero [V].
        pull_down_resistance: gate to source [ohm]; left out: none.

    Raises:
        InputError: an argument is out of range, or there is no such part.
    """
    from scipy.optimize import brentq  # type: ignore[import-untyped]

    given: Any = part_or_fields(mosfet, "mosfet")
    mosfet = given if isinstance(given, Mosfet) else Mosfet(**given)
    bus = argument("bus_voltage", bus_voltage, _BUS)
    gate_source = [mosfet.gate_source_capacitance.to_core()]
    gate_drain = mosfet.parallel_laws("gate_drain")

    def excess(voltage: float) -> float:
        held = sum_over(gate_source, _core.charge, voltage)
        return float(held - sum_over(gate_drain, _core.charge, bus - voltage))

    threshold = mosfet.channel.threshold_voltage
    slope = math.nan
    if pull_down_resistance is not None:
        resistance = argument("pull_down_resistance", pull_down_resistance, _PULL_DOWN)
        equivalent = float(sum_over(gate_drain, _core.charge, bus)) / bus
        slope = threshold / (resistance * equivalent)
    return FloatingGate(float(brentq(excess, 0.0, bus)), threshold, slope)
