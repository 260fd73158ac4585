"""What a clamp at the drain has to take when the loop's inductance discharges into it.

At the turn-off the current I of the inductance L flows on into the clamp at V_C and falls to zero in
L I/(V_C - V), V the bus. The source gives its share meanwhile, so the clamp takes ½ L I² V_C/(V_C - V); a
clamp close to the bus takes many times the energy of the inductance. A zener diode turns all of it into heat.
In an RCD clamp a capacitor takes the charge and a resistor returns it: to the bus, with ½ L I² f as its loss,
or to the source terminal, with the whole of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from .. import formulas
from ..cautions import voltage_cautions
from ..errors import InputError, InputProblem, SafetyCaution
from ..figures import Figures, Meaning
from ..model import Quantity, argument, at_least, between, positive
from ..quantities import format_quantity
from ..tables import html_table

__all__ = ["ClampSize", "size_clamp"]

_INDUCTANCE = Quantity(
    "H", "That discharges into the clamp.", allowed=positive(10.0), usual=at_least(1e-9, 1.0)
)
_CURRENT = Quantity("A", "At the turn-off.", allowed=positive(2e3), usual=at_least(1e-3, 300.0))
_BUS = Quantity("V", "Of the bus.", allowed=at_least(0.0, 1500.0), usual=at_least(1.0, 600.0))
_CLAMP = Quantity("V", "At which the drain is held.", allowed=positive(3e3), usual=at_least(5.0, 1.2e3))
_FREQUENCY = Quantity("Hz", "Switching frequency.", allowed=positive(50e6), usual=at_least(1.0, 2e6))
_RIPPLE = Quantity("", "Of the capacitor's voltage over the clamp voltage.", allowed=between(0.0, 1.0))


@dataclass(frozen=True, repr=False)
class ClampSize(Figures):
    """Energy and power of a clamp from drain to source, and the parts of an RCD clamp."""

    energy: Annotated[float, Meaning("J", "that the clamp takes in one turn-off")]
    charge: Annotated[float, Meaning("C", "that the clamp takes in one turn-off")]
    duration: Annotated[float, Meaning("s", "for which the clamp conducts")]
    power: Annotated[float, Meaning("W", "of a zener diode, or of a resistor to the source terminal")]
    peak_power: Annotated[float, Meaning("W", "of a zener diode, at the begin")]
    resistance: Annotated[float, Meaning("ohm", "from the clamp capacitor to the source terminal")]
    resistance_to_bus: Annotated[float, Meaning("ohm", "from the clamp capacitor to the bus")]
    power_to_bus: Annotated[float, Meaning("W", "of the resistor to the bus")]
    capacitance: Annotated[float, Meaning("F", "of the clamp capacitor for the ripple")]
    cautions: tuple[SafetyCaution, ...] = ()

    def __repr__(self) -> str:
        return "\n".join([super().__repr__(), *(f"caution: {one}" for one in self.cautions)])

    def _repr_html_(self) -> str:
        notes = [html_table([(str(one),)], caption="caution") for one in self.cautions]
        return super()._repr_html_() + "".join(notes)


def size_clamp(
    *,
    inductance: float | str,
    current: float | str,
    bus_voltage: float | str,
    clamp_voltage: float | str,
    frequency: float | str,
    ripple: float | str = 0.1,
) -> ClampSize:
    """Size a zener or RCD clamp; what the capacitances at the node take is neglected.

    Args:
        inductance: that discharges into the clamp: the loop's, or the load's if nothing freewheels it [H].
        current: at the turn-off [A].
        bus_voltage: [V].
        clamp_voltage: of the drain while the clamp conducts [V]; above the bus.
        frequency: of the turn-offs [Hz].
        ripple: of the voltage of an RCD clamp's capacitor, as a share of clamp_voltage.

    Raises:
        InputError: an argument is out of range.
    """
    coil = argument("inductance", inductance, _INDUCTANCE)
    at = argument("current", current, _CURRENT)
    bus, held = argument("bus_voltage", bus_voltage, _BUS), argument("clamp_voltage", clamp_voltage, _CLAMP)
    rate, share = argument("frequency", frequency, _FREQUENCY), argument("ripple", ripple, _RIPPLE)
    if held <= bus:
        given, least = format_quantity(held, "V"), format_quantity(bus, "V")
        reason = "must exceed bus_voltage, or the current never ends."
        raise InputError([InputProblem("clamp_voltage", given, reason, f"above {least}")])
    energy = float(formulas.clamp_energy(coil, at, held, bus))
    charge = float(formulas.clamp_charge(coil, at, held, bus))
    duration = float(formulas.clamp_duration(coil, at, held, bus))
    mean = charge * rate
    if duration * rate > 1.0:
        given = format_quantity(rate, "Hz")
        reason = "the current has not ended before the next turn-off."
        most = f"up to {format_quantity(1.0 / duration, 'Hz')}"
        raise InputError([InputProblem("frequency", given, reason, most)])
    return ClampSize(
        energy=energy,
        charge=charge,
        duration=duration,
        power=energy * rate,
        peak_power=held * at,
        resistance=held / mean,
        resistance_to_bus=(held - bus) / mean,
        power_to_bus=(held - bus) * mean,
        capacitance=charge / (share * held),
        cautions=tuple(voltage_cautions("clamp_voltage", held)),
    )
