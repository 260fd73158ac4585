"""The gate of a cell while it should hold the MOSFET off."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ..circuit.cell import LowSideCell
from ..circuit.logic_drivers import MicrocontrollerPin
from ..circuit_checks.drive import HOT
from ..circuit_checks.floating_gate import floating_gate
from ..figures import format_figure
from ..studies.results import OperatingPoint
from .limit_check import LimitCheck, at_most

__all__ = ["gate_checks", "gate_voltage_when_off"]

# Of the threshold, below which the gate has fallen for good.
_FALLEN = 0.5
# A return of the gate voltage by less than this is the noise of its fall [V].
_NO_RETURN = 1e-3


def gate_checks(
    cell: LowSideCell, rating: float, marginal: float, point: OperatingPoint
) -> Iterator[LimitCheck]:
    """The lowest gate voltage against the rating [V], and what may turn the MOSFET on unasked."""
    yield at_most(
        "negative_gate_voltage",
        max(0.0, -point.minimum_gate_voltage),
        rating,
        "V",
        "furthest of v_GS at the die below zero",
        marginal,
    )
    if 0.0 < point.duty < 1.0:
        yield _false_turn_on(cell, marginal, point)
    if isinstance(cell.driver, MicrocontrollerPin) and cell.pull_down_resistance is None:
        yield _floating(cell, marginal)


def gate_voltage_when_off(point: OperatingPoint, threshold: float) -> float:
    """Highest v_GS [V] at the die to which the gate returns once it has fallen below half a threshold [V].

    Half of it tells a return from the ripple on the fall. Without a return, what the gate rests at; of a gate
    that does not fall so far, the lowest it gets to.
    """
    waveform = point.waveform
    gate = waveform.values("v_gs")[waveform.times >= waveform.begin + point.duty / point.frequency]
    below = np.flatnonzero(gate < _FALLEN * threshold)
    if below.size == 0:
        return float(gate.min())
    gate = gate[below[0] :]
    returned = gate > np.minimum.accumulate(gate) + _NO_RETURN
    return float(gate[returned].max()) if returned.any() else float(gate[-1])


def _false_turn_on(cell: LowSideCell, marginal: float, point: OperatingPoint) -> LimitCheck:
    # A cooled junction has its temperature; any other is taken as hot.
    found = point.junction_temperature
    temperature = max(cell.junction_temperature, HOT) if np.isnan(found) else found
    threshold = cell.mosfet.lowest_threshold_voltage(temperature)
    at = format_figure(temperature, "K", 3)
    definition = (
        "highest v_GS at the die after its fall, ringing included; allowed: the lowest threshold of the type "
        f"at {at}"
    )
    figure = gate_voltage_when_off(point, threshold)
    reason = (
        f"the MOSFET may turn on by itself: while it should be off its gate comes back to "
        f"{format_figure(figure, 'V', 3)}, and at {at} parts of its type conduct from "
        f"{format_figure(threshold, 'V', 3)} on."
        if figure > threshold
        else ""
    )
    return at_most("gate_voltage_when_off", figure, threshold, "V", definition, marginal, reason)


def _floating(cell: LowSideCell, marginal: float) -> LimitCheck:
    induced = floating_gate(cell.mosfet, bus_voltage=cell.bus.voltage).induced_gate_voltage
    threshold = cell.mosfet.lowest_threshold_voltage(HOT)
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
    return at_most("floating_gate_voltage", induced, threshold, "V", definition, marginal, reason)
