"""What in a data sheet contradicts itself, is easily misread, or does not cover a cell.

Each rule says its numbers. Thresholds of the rules are common practice without a source unless one is named.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from ..circuit.temperature import STATED_TEMPERATURE
from ..errors import InputWarning
from ..quantities import format_quantity
from ..ranges import range_warnings
from .sheet import CapacitancePoint, GateChargeEntry, MosfetSheet

__all__ = ["contradictions"]

# Two printed figures that say the same may differ by this much.
_MISMATCH = 0.2
# Shares of the supply between which C_rss must be printed for its integral to be more than a lower bound.
_BEGINS_BELOW, _ENDS_ABOVE = 0.05, 0.8
# Capacitances are compared at voltages that agree this well.
_SAME_VOLTAGE = 0.05
# Q_G over C_iss V_GS is 1 to 3, since C_GD grows at low voltage; beyond these it is a slip of three digits.
_LEAST_CHARGE_RATIO, _MOST_CHARGE_RATIO = 0.05, 30.0
# Q_oss over C_oss V is 3.5 to 6 of published parts (CSD18540Q5B, CSD19502Q5B, CSD18537NQ5A); likewise.
_LEAST_OUTPUT_RATIO, _MOST_OUTPUT_RATIO = 0.3, 60.0
# More than this over the channel is no on-state [V].
_MOST_ON_VOLTAGE = 20.0


def contradictions(sheet: MosfetSheet) -> list[InputWarning]:
    """Contradictions and traps of a sheet by itself."""
    found = [*range_warnings(sheet), *_charges(sheet), *_capacitances(sheet), *_gate_voltages(sheet)]
    return [*found, *_slips(sheet), *_temperatures(sheet)]


def _volts(value: float) -> str:
    return format_quantity(value, "V", 3)


def _coulombs(value: float) -> str:
    return format_quantity(value, "C", 3)


def _charges(sheet: MosfetSheet) -> Iterator[InputWarning]:
    entry = sheet.gate_charge
    if entry is None:
        yield InputWarning(
            "gate_charge",
            "left out: C_iss and C_rss at the printed voltages hide how C_GD grows below them, so the Miller "
            "charge, and with it switching times and losses, may be off by a factor of two.",
        )
        return
    if entry.total is not None and entry.gate_source is not None and entry.gate_drain is not None:
        parts = entry.gate_source + entry.gate_drain
        if parts > entry.total:
            yield InputWarning(
                "gate_charge.total",
                f"Q_GS + Q_GD is {_coulombs(parts)}, more than Q_G of {_coulombs(entry.total)}: a typical "
                "value beside maximum ones, or another gate voltage.",
            )
    if entry.gate_drain is not None:
        yield from _miller_charge(sheet, entry, entry.gate_drain)


def _miller_charge(sheet: MosfetSheet, entry: GateChargeEntry, gate_drain: float) -> Iterator[InputWarning]:
    """Q_GD beside the integral of C_rss: at least over the printed voltages, at most with what lies below."""
    within = [point for point in sheet.reverse_capacitance if point.drain_voltage <= entry.drain_voltage]
    points = sorted(within, key=lambda point: point.drain_voltage)
    if not points:
        return
    least = _integral(points)
    if least > (1.0 + _MISMATCH) * gate_drain:
        yield InputWarning(
            "gate_charge.gate_drain",
            f"C_rss integrated over its printed voltages alone takes {_coulombs(least)}, Q_GD is "
            f"{_coulombs(gate_drain)}: the two do not belong together.",
        )
    low, high = points[0], points[-1]
    begins_low = low.drain_voltage <= _BEGINS_BELOW * entry.drain_voltage
    ends_high = high.drain_voltage >= _ENDS_ABOVE * entry.drain_voltage
    # Below the lowest voltage C_rss is taken as constant, down to the gate's own voltage above the drain.
    below = low.value * (low.drain_voltage + entry.gate_voltage)
    most = least + below + high.value * (entry.drain_voltage - high.drain_voltage)
    if begins_low and ends_high and gate_drain > (1.0 + _MISMATCH) * most:
        yield InputWarning(
            "gate_charge.gate_drain",
            f"Q_GD is {_coulombs(gate_drain)}, but C_rss integrated up to {_volts(entry.drain_voltage)} "
            f"gives at most {_coulombs(most)}: the two do not belong together.",
        )


def _integral(points: list[CapacitancePoint]) -> float:
    """Of a capacitance over the voltage between its points [C], along power laws."""
    charge = 0.0
    for first, second in pairwise(points):
        low, high = max(first.drain_voltage, 1e-3), second.drain_voltage
        if high <= low:
            continue
        slope = math.log(second.value / first.value) / math.log(high / low)
        grown = math.log(high / low) * (slope + 1.0)
        span = math.log(high / low) if grown == 0.0 else math.expm1(grown) / (slope + 1.0)
        charge += first.value * low * span
    return charge


def _capacitances(sheet: MosfetSheet) -> Iterator[InputWarning]:
    for place, reverse in enumerate(sheet.reverse_capacitance):
        for name, symbol in (("output_capacitance", "C_oss"), ("input_capacitance", "C_iss")):
            for other in getattr(sheet, name):
                near = abs(other.drain_voltage - reverse.drain_voltage) <= _SAME_VOLTAGE * other.drain_voltage
                if near and reverse.value >= other.value:
                    given, contained = (format_quantity(one, "F", 3) for one in (reverse.value, other.value))
                    yield InputWarning(
                        f"reverse_capacitance.{place}.value",
                        f"C_rss of {given} is part of {symbol} and cannot exceed its {contained}: check pF "
                        "and nF, and the order of the rows.",
                    )


def _gate_voltages(sheet: MosfetSheet) -> Iterator[InputWarning]:
    limit = sheet.maximum_gate_voltage
    entries = [(f"on_resistance.{place}", one) for place, one in enumerate(sheet.on_resistance)]
    tested = [(path, one.gate_voltage) for path, one in entries]
    if sheet.gate_charge is not None:
        tested.append(("gate_charge", sheet.gate_charge.gate_voltage))
    for path, voltage in tested:
        if voltage > limit:
            yield InputWarning(
                f"{path}.gate_voltage",
                f"tested at {_volts(voltage)}, above the rated gate voltage of {_volts(limit)}: one of them "
                "is of another part.",
            )
    plateau = sheet.gate_charge.plateau_voltage if sheet.gate_charge else None
    least = sheet.threshold.minimum or sheet.threshold.typical
    if plateau is not None and least is not None and plateau < least:
        yield InputWarning(
            "gate_charge.plateau_voltage",
            f"the plateau of {_volts(plateau)} lies below the threshold of {_volts(least)}: the channel "
            "could not carry the test current there.",
        )


def _slips(sheet: MosfetSheet) -> Iterator[InputWarning]:
    """Figures that agree with another only after a shift of three digits."""
    entry = sheet.gate_charge
    if entry is not None and entry.total is not None:
        point = sheet.input_capacitance[0]
        ratio = entry.total / (point.value * entry.gate_voltage)
        if not _LEAST_CHARGE_RATIO < ratio < _MOST_CHARGE_RATIO:
            capacitance = format_quantity(point.value, "F", 3)
            filled = _coulombs(point.value * entry.gate_voltage)
            yield InputWarning(
                "input_capacitance.0.value",
                f"C_iss of {capacitance} charged to {_volts(entry.gate_voltage)} takes {filled}, but Q_G is "
                f"{_coulombs(entry.total)}: one of them is probably off by a factor of 1000.",
            )
    yield from _output_slip(sheet)
    for place, one in enumerate(sheet.on_resistance):
        drop = one.value * one.drain_current
        if drop > _MOST_ON_VOLTAGE:
            given = format_quantity(one.value, "ohm", 3)
            current = format_quantity(one.drain_current, "A", 3)
            yield InputWarning(
                f"on_resistance.{place}.value",
                f"{given} at {current} would drop {_volts(drop)}: check mohm and ohm.",
            )


def _output_slip(sheet: MosfetSheet) -> Iterator[InputWarning]:
    entry = sheet.output_charge
    if entry is None or entry.charge is None:
        return
    nearest = min(sheet.output_capacitance, key=lambda point: abs(point.drain_voltage - entry.drain_voltage))
    constant = nearest.value * entry.drain_voltage
    if not _LEAST_OUTPUT_RATIO < entry.charge / constant < _MOST_OUTPUT_RATIO:
        yield InputWarning(
            "output_charge.charge",
            f"{_coulombs(entry.charge)}, but C_oss of {format_quantity(nearest.value, 'F', 3)} alone takes "
            f"{_coulombs(constant)} up to {_volts(entry.drain_voltage)}: one of them is probably off by a "
            "factor of 1000.",
        )


def _temperatures(sheet: MosfetSheet) -> Iterator[InputWarning]:
    for place, point in enumerate(sheet.on_resistance_ratio):
        hotter = point.junction_temperature > STATED_TEMPERATURE
        if (point.value > 1.0) != hotter:
            temperature = format_quantity(point.junction_temperature, "K")
            yield InputWarning(
                f"on_resistance_ratio.{place}.value",
                f"{point.value:.3g} at {temperature}: the on-resistance of a MOSFET grows with temperature.",
            )
    to_case, to_ambient = _thermal_resistances(sheet)
    if to_case is not None and to_ambient is not None and to_case > to_ambient:
        yield InputWarning(
            "thermal.junction_to_case",
            f"{to_case:.3g} K/W to the case exceeds {to_ambient:.3g} K/W to ambient, of which it is a part.",
        )


def _thermal_resistances(sheet: MosfetSheet) -> tuple[float | None, float | None]:
    thermal = sheet.thermal
    return (thermal.junction_to_case, thermal.junction_to_ambient) if thermal else (None, None)
