"""Gate charge: the curve a model would draw on the bench, and the figures read off such a curve.

The bench drives a constant current into the gate while the drain feeds a constant current I from a clamp at
V: quasi-static, so the drain stays at the clamp until the channel carries I, and then follows

    i_channel(v_GS, v_DS) = I,    Q = [q_GS(v_GS) - q_GD(v_DS - v_GS)] - [the same at v_GS = 0, v_DS = V].

The channel law has a closed form in v_GD, which is therefore the parameter of that part of the curve. All
voltages are those of the die: the drift resistance lies between the die and the drain pin, so the clamp at
the pin leaves V - R i for the die.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from .. import _core
from ..circuit.capacitance import sum_over
from ..circuit.mosfet import Mosfet
from ..circuit.temperature import STATED_TEMPERATURE
from ..errors import InputError, InputProblem
from ..quantities import format_quantity
from .channel_inverse import drain_end_overdrive, overdrive, source_end_overdrive, voltage_of_overdrive

__all__ = ["GateChargeCurve", "GateChargeFigures", "charge_at", "gate_charge_curve", "gate_charge_figures"]

Array = NDArray[np.float64]

_POINTS = 400  # of each of the two parts of the curve
_RISE = 6.0  # in widths of the smooth overdrive: where the first part is sampled denser
# Share of the way from the plateau to the end of the curve at which the last, straight part is taken to
# begin; common practice, no source.
_LAST_SEGMENT = 0.5


class GateChargeCurve(NamedTuple):
    """Points of a gate charge curve, all of the same shape and in the order in which they are passed.

    Attributes:
        charge: taken by the gate since v_GS = 0 [C].
        gate_voltage: v_GS at the die [V].
        drain_voltage: v_DS at the die [V].
    """

    charge: Array
    gate_voltage: Array
    drain_voltage: Array


class GateChargeFigures(NamedTuple):
    """Figures of a gate charge curve by the construction of JESD24-2, as second parties describe it.

    Attributes:
        total: charge at the end [C].
        gate_source: plateau voltage over the slope of the first straight part [C].
        gate_drain: charge at the plateau voltage on the last straight part, less gate_source [C].
        plateau_voltage: gate voltage where the curve is flattest [V].
    """

    total: float
    gate_source: float
    gate_drain: float
    plateau_voltage: float


def gate_charge_curve(
    mosfet: Mosfet,
    *,
    drain_voltage: float,
    drain_current: float,
    gate_voltage: float,
    junction_temperature: float = STATED_TEMPERATURE,
) -> GateChargeCurve:
    """The curve a model would draw.

    Args:
        mosfet: the model.
        drain_voltage: of the clamp, at the pin [V].
        drain_current: of the load [A].
        gate_voltage: where the curve ends [V].
        junction_temperature: [K].

    Raises:
        InputError: the channel does not carry the current at gate_voltage.
    """
    die = mosfet.to_core(junction_temperature)
    law, resistance = die.channel, die.drift_resistance
    blocked = drain_voltage - resistance * drain_current
    start = _plateau_begin(law, drain_current, blocked)
    last_drain_end = float(drain_end_overdrive(law, drain_current, overdrive(law, gate_voltage)))
    if not (start < gate_voltage and last_drain_end > 0.0):
        given = format_quantity(gate_voltage, "V")
        reason = f"the channel does not carry {format_quantity(drain_current, 'A')} from the clamp there."
        raise InputError(
            [InputProblem("gate_voltage", given, reason, f"above {format_quantity(start, 'V')}")]
        )
    first = np.linspace(0.0, start, _POINTS)
    first_drain = drain_voltage - resistance * np.asarray(_core.channel_current(law, first, drain_voltage))
    second_gate, second_drain = _loaded(
        law, drain_current, start - blocked, float(voltage_of_overdrive(law, last_drain_end))
    )
    gate = np.concatenate((first, second_gate))
    drain = np.concatenate((first_drain, second_drain))
    return GateChargeCurve(
        _charge(mosfet, gate, drain) - _charge(mosfet, first[:1], first_drain[:1]), gate, drain
    )


def _plateau_begin(law: Any, current: float, blocked: float) -> float:
    """Gate voltage at which the channel first carries the current from the clamp [V]."""
    gate = float(law.threshold_voltage)
    # The drain end has next to no influence there, so the iteration settles at once.
    for _ in range(4):
        gate = float(
            voltage_of_overdrive(law, source_end_overdrive(law, current, overdrive(law, gate - blocked)))
        )
    return gate


def _loaded(law: Any, current: float, first: float, last: float) -> tuple[Array, Array]:
    """Gate and drain voltage [V] while the channel carries the current, along v_GD from `first` to `last`."""
    drop = np.linspace(first, last, _POINTS)
    knee = law.threshold_voltage + 2 * _RISE * law.subthreshold_voltage * np.linspace(-1.0, 1.0, _POINTS)
    gate_drain = np.unique(np.concatenate((drop, knee[(knee > first) & (knee < last)])))
    gate = voltage_of_overdrive(law, source_end_overdrive(law, current, overdrive(law, gate_drain)))
    return gate, gate - gate_drain


def _charge(mosfet: Mosfet, gate: Array, drain: Array) -> Array:
    """q_GS - q_GD [C] at voltages of the die [V]."""
    charge = np.asarray(_core.charge(mosfet.gate_source_capacitance.to_core(), gate))
    return charge - sum_over(mosfet.parallel_laws("gate_drain"), _core.charge, drain - gate)


def gate_charge_figures(curve: GateChargeCurve) -> GateChargeFigures:
    """Read the figures off a curve, measured or computed, whose points may be spaced at will.

    The regressions are over points at equal steps of charge, as a constant gate current gives them: the first
    from 0 to the plateau, the last from half way between the plateau and the end.
    """
    charge, gate = curve.charge, curve.gate_voltage
    rise, step = np.diff(gate), np.diff(charge)
    moving = step > 1e-6 * charge[-1]
    flattest = int(np.flatnonzero(moving)[np.argmin(rise[moving] / step[moving])])
    plateau = 0.5 * float(gate[flattest] + gate[flattest + 1])
    slope, _ = _line(charge, gate, 0.0, charge_at(curve, plateau))
    middle = plateau + _LAST_SEGMENT * (float(gate[-1]) - plateau)
    last_slope, last_offset = _line(charge, gate, charge_at(curve, middle), float(charge[-1]))
    gate_source = plateau / slope
    return GateChargeFigures(
        float(charge[-1]), gate_source, (plateau - last_offset) / last_slope - gate_source, plateau
    )


def charge_at(curve: GateChargeCurve, gate_voltage: float) -> float:
    """Charge [C] at which the gate voltage is first reached."""
    index = min(int(np.searchsorted(curve.gate_voltage, gate_voltage)), curve.charge.size - 1)
    below, above = curve.gate_voltage[index - 1], curve.gate_voltage[index]
    share = 1.0 if above <= below else (gate_voltage - below) / (above - below)
    return float(curve.charge[index - 1] + share * (curve.charge[index] - curve.charge[index - 1]))


def _line(charge: Array, gate: Array, first: float, last: float) -> tuple[float, float]:
    """Slope [V/C] and offset [V] of the regression line between two charges [C]."""
    at = np.linspace(first, last, _POINTS)
    voltage = np.interp(at, charge, gate)
    from_middle = at - at.mean()
    slope = float(from_middle @ voltage / (from_middle @ from_middle))
    return slope, float(voltage.mean() - slope * at.mean())
