"""Each printed entry of a data sheet beside the same figure of a model, under the sheet's own conditions."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any, NamedTuple

import numpy as np

from ..circuit.mosfet import Mosfet
from ..circuit.temperature import STATED_TEMPERATURE
from ..errors import InputError
from ..model import Model
from ..quantities import format_quantity
from . import static_figures
from .gate_charge import charge_at, gate_charge_curve, gate_charge_figures
from .recovery import RecoveryParameters, recovery_figures
from .sheet import PRINTED_PARAMETERS, MosfetSheet, OnResistanceRatio

__all__ = ["SheetEntry", "model_values", "sheet_entries", "sheet_of", "simulated_entries"]

# Fields that are figures with a closed form; the fields of an entry that are no figures are its conditions.
_FIGURES = {
    "threshold": ("typical", "slope"),
    "on_resistance": ("value",),
    "on_resistance_ratio": ("value",),
    "transconductance": ("value",),
    "input_capacitance": ("value",),
    "output_capacitance": ("value",),
    "reverse_capacitance": ("value",),
    "gate_charge": ("plateau_voltage", "total", "threshold", "gate_source", "gate_drain"),
    "output_charge": ("charge", "energy", "time_related", "energy_related"),
    "body_diode": ("voltage",),
    "hot_body_diode": ("voltage",),
    "reverse_recovery": ("time", "charge", "peak_current"),
}
# Fields that are figures which only a simulation in time gives; no fit looks at them.
_SIMULATED = {
    "switching": (
        "turn_on_delay",
        "rise_time",
        "turn_off_delay",
        "fall_time",
        "turn_on_energy",
        "turn_off_energy",
    ),
    "avalanche": ("energy",),
}
_CAPACITANCES = {"input_capacitance": "ciss", "output_capacitance": "coss", "reverse_capacitance": "crss"}
_NO_CONDITIONS = ("minimum", "maximum")
# Rise over which the slope of the threshold is taken [K], as of the curves that sheets print.
_SLOPE_RISE = 100.0


class SheetEntry(NamedTuple):
    """One printed figure.

    Attributes:
        path: dotted, with the position in a list: ``on_resistance.0.value``.
        title: the same in words.
        condition: under which it holds, as text.
        unit: in SI.
        value: in that unit.
    """

    path: str
    title: str
    condition: str
    unit: str
    value: float


def sheet_entries(sheet: MosfetSheet) -> Iterator[SheetEntry]:
    """Every figure that the sheet prints and that has a closed form."""
    yield from (entry for entry in _entries(sheet, _FIGURES) if not math.isnan(entry.value))


def simulated_entries(sheet: MosfetSheet) -> Iterator[SheetEntry]:
    """Every figure that only a simulation in time gives; not a number where the sheet has but conditions."""
    yield from _entries(sheet, _SIMULATED)


def _entries(sheet: MosfetSheet, figures: dict[str, tuple[str, ...]]) -> Iterator[SheetEntry]:
    for section, names in figures.items():
        for prefix, part in _parts(sheet, section):
            for name in names:
                value = part.voltage if name == "typical" else getattr(part, name)
                kind = type(part).quantity_of(name)
                if kind is not None:
                    yield SheetEntry(
                        f"{prefix}.{name}",
                        _title(section, name),
                        _condition(part, section),
                        kind.unit,
                        math.nan if value is None else value,
                    )


def _parts(sheet: MosfetSheet, section: str) -> Iterator[tuple[str, Any]]:
    part = getattr(sheet, section)
    if isinstance(part, tuple):
        yield from ((f"{section}.{index}", item) for index, item in enumerate(part))
    elif part is not None:
        yield section, part


def _title(section: str, name: str) -> str:
    shown = section if name in ("value", "typical") else f"{section}, {name}"
    return shown.replace("_", " ")


def _condition(part: Model, section: str) -> str:
    figures = _FIGURES.get(section, ()) + _SIMULATED.get(section, ()) + _NO_CONDITIONS
    shown = [
        f"{name.replace('_', ' ')} {format_quantity(value, kind.unit)}"
        for name, value, kind in part.quantities()
        if name not in figures
    ]
    if section == "switching":
        shown.append(f"{part.value_at('load')} load")
    return ", ".join(shown)


def model_values(mosfet: Mosfet, sheet: MosfetSheet, sections: tuple[str, ...] = ()) -> dict[str, float]:
    """Figures of the model by the paths of :func:`sheet_entries`, all that the sheet has conditions for.

    Args:
        mosfet: the model.
        sheet: whose conditions hold.
        sections: of the sheet; left out: all.

    Returns:
        Values in SI units, not a number where the model has none.
    """
    found: dict[str, float] = {}
    for section in sections or tuple(_FIGURES):
        if section in _CAPACITANCES:
            found |= _capacitances(mosfet, sheet, section)
            continue
        for prefix, part in _parts(sheet, section):
            values = _values(mosfet, sheet, section, part)
            found |= {
                f"{prefix}.{name}": value for name, value in zip(_FIGURES[section], values, strict=True)
            }
    return found


def _values(mosfet: Mosfet, sheet: MosfetSheet, section: str, part: Any) -> tuple[float, ...]:
    """Figures of one entry in the order of `_FIGURES`."""
    if section == "threshold":
        return _threshold(mosfet, part)
    if section == "on_resistance":
        return (float(static_figures.on_resistance(mosfet, part.gate_voltage, part.drain_current)),)
    if section == "on_resistance_ratio":
        return (_on_resistance_ratio(mosfet, sheet, part),)
    if section == "transconductance":
        return (float(static_figures.transconductance(mosfet, part.drain_current)),)
    if section == "gate_charge":
        return _gate_charges(mosfet, part, sheet.threshold.drain_current)
    if section == "output_charge":
        voltage = part.drain_voltage
        charge = float(static_figures.output_charge(mosfet, voltage))
        energy = float(static_figures.output_energy(mosfet, voltage))
        return charge, energy, charge / voltage, 2.0 * energy / voltage**2
    if section == "body_diode":
        return (static_figures.source_drain_voltage(mosfet, part.current),)
    if section == "hot_body_diode":
        temperature = part.junction_temperature
        return (static_figures.source_drain_voltage(mosfet, part.current, junction_temperature=temperature),)
    return _recovery(mosfet, part)


def _threshold(mosfet: Mosfet, part: Any) -> tuple[float, float]:
    """Voltage [V] and slope [V/K]."""
    hot = STATED_TEMPERATURE + _SLOPE_RISE
    cold_voltage = float(static_figures.threshold_voltage(mosfet, part.drain_current))
    hot_voltage = float(
        static_figures.threshold_voltage(mosfet, part.drain_current, junction_temperature=hot)
    )
    return cold_voltage, (hot_voltage - cold_voltage) / _SLOPE_RISE


def _on_resistance_ratio(mosfet: Mosfet, sheet: MosfetSheet, part: OnResistanceRatio) -> float:
    """On-resistance at the temperature of an entry over that at 25 degrees Celsius."""
    best = min(sheet.on_resistance, key=lambda entry: entry.value)
    at = (part.gate_voltage or best.gate_voltage, part.drain_current or best.drain_current)
    hot = static_figures.on_resistance(mosfet, *at, junction_temperature=part.junction_temperature)
    return float(hot / static_figures.on_resistance(mosfet, *at))


def _capacitances(mosfet: Mosfet, sheet: MosfetSheet, section: str) -> dict[str, float]:
    """All points of one capacitance at once."""
    parts = list(_parts(sheet, section))
    voltages = np.array([part.drain_voltage for _, part in parts])
    values = mosfet.capacitances(0.0, voltages)[_CAPACITANCES[section]]
    return {f"{prefix}.value": float(value) for (prefix, _), value in zip(parts, values, strict=True)}


def _gate_charges(mosfet: Mosfet, part: Any, threshold_current: float) -> tuple[float, ...]:
    try:
        curve = gate_charge_curve(
            mosfet,
            drain_voltage=part.drain_voltage,
            drain_current=part.drain_current,
            gate_voltage=part.gate_voltage,
        )
    except InputError:
        return (math.nan,) * 5
    figures = gate_charge_figures(curve)
    threshold = charge_at(curve, float(static_figures.threshold_voltage(mosfet, threshold_current)))
    return figures.plateau_voltage, figures.total, threshold, figures.gate_source, figures.gate_drain


def _recovery(mosfet: Mosfet, part: Any) -> tuple[float, ...]:
    diode = mosfet.body_diode
    if diode.transit_time == 0.0:
        return (math.nan,) * 3
    parameters = RecoveryParameters(diode.transit_time, diode.lifetime)
    figures = recovery_figures(parameters, part.forward_current, part.current_slope)
    return figures.time, figures.charge, figures.peak_current


def sheet_of(mosfet: Mosfet, conditions: MosfetSheet) -> MosfetSheet:
    """The sheet of a model: its own figures for every entry, under the conditions of another sheet.

    Figures that `conditions` leaves out within an entry are filled in where the model has them.
    """
    data = conditions.model_dump(exclude_none=True)
    for path, value in model_values(mosfet, conditions).items():
        if np.isfinite(value):
            *parts, last = path.split(".")
            table: Any = data
            for part in parts:
                table = table[int(part)] if part.isdigit() else table[part]
            table[last] = value
    for limit in _NO_CONDITIONS:
        data["threshold"].pop(limit, None)
    return MosfetSheet(**(data | {name: getattr(mosfet, name) for name in PRINTED_PARAMETERS}))
