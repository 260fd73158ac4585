"""The gate of a MOSFET while it should hold it off."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from ..circuit.cell import LowSideCell
from ..circuit.logic_drivers import MicrocontrollerPin
from ..circuit.mosfet import Mosfet
from ..circuit_checks.drive import HOT
from ..circuit_checks.floating_gate import floating_gate
from ..figures import format_figure
from ..studies.results import OperatingPoint
from .limit_check import LimitCheck, at_most

__all__ = [
    "false_turn_on_check",
    "floating_gate_check",
    "gate_checks",
    "gate_voltage_when_off",
    "hot_threshold",
    "negative_gate_check",
    "returned_gate_voltage",
    "threshold_origin",
]

# Of the threshold, below which the gate has fallen for good.
_FALLEN = 0.5
# A return of the gate voltage by less than this is the noise of its fall [V].
_NO_RETURN = 1e-3


def gate_checks(
    cell: LowSideCell, rating: float, origin: str, marginal: float, point: OperatingPoint
) -> Iterator[LimitCheck]:
    """The lowest gate voltage against the rating [V] and its origin, and what turns the MOSFET on unasked."""
    lowest = point.minimum_gate_voltage
    yield negative_gate_check("negative_gate_voltage", lowest, rating, marginal, origin)
    if 0.0 < point.duty < 1.0:
        threshold, at = hot_threshold(cell.mosfet, point.junction_temperature, cell.junction_temperature)
        figure = gate_voltage_when_off(point, threshold)
        name, origin = "gate_voltage_when_off", threshold_origin(cell.mosfet)
        yield false_turn_on_check(name, "the MOSFET", figure, threshold, at, marginal, origin)
    if isinstance(cell.driver, MicrocontrollerPin) and cell.pull_down_resistance is None:
        yield floating_gate_check("floating_gate_voltage", cell.mosfet, cell.bus.voltage, marginal)


def negative_gate_check(name: str, lowest: float, rating: float, marginal: float, origin: str) -> LimitCheck:
    """The lowest gate voltage of a MOSFET against its rating, both in V, of that origin."""
    definition, furthest = "furthest of v_GS at the die below zero", max(0.0, -lowest)
    return at_most(name, furthest, rating, "V", definition, marginal, origin=origin)


def threshold_origin(mosfet: Mosfet) -> str:
    """Of the lowest threshold of a type; what is not stated is taken as two thirds of the typical one."""
    return "default" if mosfet.minimum_threshold_voltage is None else "rating"


def gate_voltage_when_off(point: OperatingPoint, threshold: float) -> float:
    """As :func:`returned_gate_voltage`, from the command "off" of an operating point on."""
    waveform = point.waveform
    off = waveform.times >= waveform.begin + point.duty / point.frequency
    return returned_gate_voltage(waveform.values("v_gs")[off], threshold)


def returned_gate_voltage(gate: NDArray[np.float64], threshold: float) -> float:
    """Highest v_GS [V] to which a gate returns once it has fallen below half a threshold [V].

    Half of it tells a return from the ripple on the fall. Without a return, what the gate rests at; of a gate
    that does not fall so far, the lowest it gets to.

    Args:
        gate: v_GS at the die from the command "off" on, in order [V].
        threshold: of the MOSFET.
    """
    below = np.flatnonzero(gate < _FALLEN * threshold)
    if below.size == 0:
        return float(gate.min())
    gate = gate[below[0] :]
    returned = gate > np.minimum.accumulate(gate) + _NO_RETURN
    return float(gate[returned].max()) if returned.any() else float(gate[-1])


def hot_threshold(mosfet: Mosfet, found: float, stated: float) -> tuple[float, float]:
    """Lowest threshold of the type [V] at the junction temperature found [K]; without one, taken as hot."""
    temperature = max(stated, HOT) if np.isnan(found) else found
    return mosfet.lowest_threshold_voltage(temperature), temperature


def false_turn_on_check(
    name: str, who: str, figure: float, threshold: float, temperature: float, marginal: float, origin: str
) -> LimitCheck:
    """What a gate returns to against the lowest threshold [V] at a temperature [K]; `who` in words."""
    at = format_figure(temperature, "K", 3)
    definition = (
        "highest v_GS at the die after its fall, ringing included; allowed: the lowest threshold of the type "
        f"at {at}"
    )
    reason = (
        f"{who} may turn on by itself: while it should be off its gate comes back to "
        f"{format_figure(figure, 'V', 3)}, and at {at} parts of its type conduct from "
        f"{format_figure(threshold, 'V', 3)} on."
        if figure > threshold
        else ""
    )
    return at_most(name, figure, threshold, "V", definition, marginal, reason, origin)


def floating_gate_check(name: str, mosfet: Mosfet, bus: float, marginal: float) -> LimitCheck:
    """The gate of a pin that floats at reset, while a bus [V] rises."""
    induced = floating_gate(mosfet, bus_voltage=bus).induced_gate_voltage
    threshold = mosfet.lowest_threshold_voltage(HOT)
    definition = (
        "to which the rising bus lifts the gate while the pin floats, at reset; allowed: the lowest "
        f"threshold of the type at {format_figure(HOT, 'K', 3)}"
    )
    reason = (
        f"nothing holds the gate while the pin floats, at reset: the rising bus lifts it to "
        f"{format_figure(induced, 'V', 3)}, and hot parts of this type conduct from "
        f"{format_figure(threshold, 'V', 3)} on."
        if induced > threshold
        else ""
    )
    return at_most(name, induced, threshold, "V", definition, marginal, reason, threshold_origin(mosfet))
