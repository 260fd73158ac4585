"""The figures of an operating point set against the limits of a design."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..circuit.cell import LowSideCell
from ..circuit.design_file import Design, Limits
from ..circuit.loads import Solenoid
from ..circuit.temperature import USUAL_JUNCTION_RATING
from ..figures import format_figure
from ..studies.results import OperatingFigures, OperatingPoint
from ..studies.switching_locus import safe_area_check
from .driver import bus_check, driver_checks
from .gate import gate_checks
from .limit_check import LimitCheck, margin_of, verdict_of
from .switching import NO_TIME, switching_checks

__all__ = [
    "FIGURE_OF_LIMIT",
    "JUDGED_IN_SWEEPS",
    "NO_TIME",
    "LimitCheck",
    "avalanche_margin",
    "counted_avalanche",
    "judged",
    "limit_checks",
    "not_judged",
]

# Share of the turn-off energy below which the breakdown does not count.
_LEAKAGE = 0.01
_NO_ENERGY = 1e-9  # [J]
# Share of the energy from the supplies in a period that is rounding and not heat.
_NOISE = 1e-9
# Difference of margins below which two limits say the same.
_REPEATED = 0.02

FIGURE_OF_LIMIT = {
    "maximum_drain_voltage": "peak_drain_voltage",
    "maximum_gate_voltage": "maximum_gate_voltage",
    "maximum_overshoot": "overshoot",
    "minimum_efficiency": "efficiency",
    "maximum_total_loss": "total_loss",
    "maximum_channel_loss": "channel_loss",
    "maximum_driver_loss": "driver_loss",
    "maximum_transition_share": "transition_share",
    "maximum_junction_temperature": "junction_temperature",
    "maximum_freewheel_temperature": "freewheel_temperature",
}
# Limits that hold for each point of a sweep, besides that of the avalanche energy.
JUDGED_IN_SWEEPS = (*FIGURE_OF_LIMIT, "maximum_duty_error")


def limit_checks(design: Design, point: OperatingPoint) -> tuple[LimitCheck, ...]:
    """Every limit of a design against a finished operating point, the smallest margin first."""
    return tuple(sorted(_checks(design, point), key=_urgency))


def _urgency(check: LimitCheck) -> float:
    """The margin; the safe operating area gives way to the plainer limit that its bound repeats.

    What a part by itself keeps to its rating is told last, however close it comes.
    """
    if check.keeps_by_itself and check.verdict == "held":
        return 1.0
    return check.margin + (_REPEATED if check.name == "safe_operating_area" else 0.0)


def judged(design: Design, point: OperatingPoint) -> tuple[LimitCheck, ...]:
    """The limits of a design at any outcome of its simulation: none where there is no answer to judge."""
    if point.succeeded:
        return limit_checks(design, point)
    return (runaway_check(design, point.message),) if point.status == "thermal_runaway" else ()


def not_judged(design: Design) -> tuple[str, ...]:
    """What is not judged because the design does not state the rating: the check, and what to state."""
    cell = design.cell
    mosfet, driver = cell.mosfet, cell.driver
    wanted = {
        "safe operating area": (
            "mosfet.pulsed_drain_current or mosfet.thermal_impedance",
            (mosfet.pulsed_drain_current, mosfet.thermal_impedance),
        ),
        "junction temperature": ("cooling.mosfet", (cell.cooling and cell.cooling.mosfet,)),
        "driver current": ("driver.rated_current", (driver.rated_current,)),
        "driver temperature": ("driver.thermal_resistance", (driver.thermal_resistance,)),
        "dip of the driver's supply": ("driver_decoupling", (cell.driver_decoupling,)),
        "heat of the gate resistor": ("gate_resistor_rating", (cell.gate_resistor_rating,)),
    }
    return tuple(f"{check} (state {fields})" for check, (fields, stated) in wanted.items() if not any(stated))


def _checks(design: Design, point: OperatingPoint) -> Iterator[LimitCheck]:
    limits, cell = design.limits.for_cell(design.cell), design.cell
    yield from switching_checks(cell, limits, point)
    avalanche = _avalanche(design, point)
    yield avalanche
    yield from _hold(design, point)
    for check in _of_figures(design, limits, point):
        held_by_breakdown = check.name == "maximum_drain_voltage" and avalanche.figure > 0.0
        is_rating = design.limits.maximum_drain_voltage is None
        yield _at_breakdown(check, avalanche) if held_by_breakdown and is_rating else check
    rating = limits.maximum_gate_voltage
    assert rating is not None
    yield from gate_checks(cell, rating, limits.margin, point)
    yield from driver_checks(cell, limits.margin, point)
    yield from bus_check(cell, limits.margin, point)
    highest = limits.maximum_junction_temperature or USUAL_JUNCTION_RATING
    safe_area = safe_area_check(point, highest, limits.margin)
    if safe_area is not None:
        yield safe_area


def _of_figures(design: Design, limits: Limits, point: OperatingPoint) -> Iterator[LimitCheck]:
    """The limits on figures of the operating point."""
    definitions, units = OperatingFigures.definitions(), OperatingFigures.units()
    ambient = design.cell.cooling.ambient if design.cell.cooling else math.nan
    for name, source in FIGURE_OF_LIMIT.items():
        limit = getattr(limits, name)
        if limit is None:
            continue
        value = getattr(point, source)
        margin = float(margin_of(name, value, limit, ambient))
        verdict = verdict_of(margin, limits.margin)
        yield LimitCheck(name, value, limit, units[source], margin, verdict, definitions[source])


def _at_breakdown(check: LimitCheck, avalanche: LimitCheck) -> LimitCheck:
    """A drain voltage that only the breakdown limits is judged by what the breakdown may take."""
    reason = (
        f"the breakdown of the MOSFET itself holds the drain at {format_figure(check.figure, 'V', 3)}; "
        "the avalanche energy decides."
    )
    definition = (
        f"{check.definition}; the breakdown sets in gradually, below its voltage already, so the verdict is "
        "that of the avalanche energy"
    )
    margin = min(check.margin, avalanche.margin)
    return replace(check, margin=margin, verdict=avalanche.verdict, reason=reason, definition=definition)


def runaway_check(design: Design, message: str) -> LimitCheck:
    """The verdict on a junction whose temperature has no steady state; `message` says which."""
    part = "freewheel" if "freewheel" in message else "junction"
    name = f"maximum_{part}_temperature"
    limit = getattr(design.limits.for_cell(design.cell), name) or USUAL_JUNCTION_RATING
    definition = OperatingFigures.definitions()[name.removeprefix("maximum_")]
    return LimitCheck(name, math.inf, limit, "K", -math.inf, "exceeded", definition, f"{message}.")


def _avalanche(design: Design, point: OperatingPoint) -> LimitCheck:
    """Energy that the breakdown takes at each turn-off."""
    power = point.losses_by_cause.get("avalanche", 0.0)
    energy, allowed = power / point.frequency, design.limits.maximum_avalanche_energy
    throughput = abs(point.input_power) / point.frequency
    energy = float(counted_avalanche(energy, throughput, point.turn_off.total_energy, allowed))
    margin = float(avalanche_margin(energy, allowed))
    name, definition = "maximum_avalanche_energy", "heat in the breakdown of the MOSFET at each turn-off"
    if allowed is not None:
        verdict = verdict_of(margin, design.limits.margin)
        return LimitCheck(name, energy, allowed, "J", margin, verdict, definition)
    if not energy:
        return LimitCheck(name, 0.0, 0.0, "J", margin, "held", definition)
    each, mean = format_figure(energy, "J", 3), format_figure(power, "W", 3)
    reason = (
        f"the MOSFET breaks down at every turn-off, because {_why_it_breaks_down(design.cell, point)}. That "
        f"heats it with {each} each time, {mean} on average, and the design allows no avalanche energy."
    )
    return LimitCheck(name, energy, 0.0, "J", margin, "exceeded", definition, reason)


def counted_avalanche(
    energy: ArrayLike, throughput: ArrayLike, turn_off_energy: ArrayLike, allowed: float | None
) -> NDArray[np.float64]:
    """Energy of the breakdown at each turn-off [J] as far as it counts; all in J, of shapes that broadcast.

    Rounding does not: a small share of what the supplies give in a period, `throughput`. Where no energy is
    allowed, nor does what the rounded knee of the law leaks a little below the breakdown voltage.
    """
    found = np.where(np.less(energy, _NOISE * np.asarray(throughput)), 0.0, energy)
    if allowed is not None:
        return found
    leakage = np.nan_to_num(_LEAKAGE * np.abs(turn_off_energy), posinf=0.0)
    return np.where(found <= np.maximum(leakage, _NO_ENERGY), 0.0, found)


def avalanche_margin(counted: ArrayLike, allowed: float | None) -> NDArray[np.float64]:
    """The margin of the energy that counts [J]; without an allowed one [J] it is far below zero or 1."""
    if allowed is not None:
        return margin_of("maximum_avalanche_energy", counted, allowed)
    return np.where(np.equal(counted, 0.0), 1.0, -np.asarray(counted) / _NO_ENERGY)


def _why_it_breaks_down(cell: LowSideCell, point: OperatingPoint) -> str:
    """Whose energy it is that has no other way."""
    if cell.has_inductive_load and not cell.commutation_paths:
        return "the load has no freewheel diode or clamp"
    inductance = cell.commutation_inductance
    energy = 0.5 * inductance * point.peak_drain_current**2
    wiring, current = format_figure(inductance, "H", 3), format_figure(point.peak_drain_current, "A", 3)
    return f"the {wiring} of the wiring hold {format_figure(energy, 'J', 3)} at {current}"


def _hold(design: Design, point: OperatingPoint) -> Iterator[LimitCheck]:
    """Whether the armature of a solenoid stays in over the whole period."""
    load = design.cell.load
    if not isinstance(load, Solenoid) or load.hold_current is None:
        return
    name, definition = "minimum_load_current", "lowest of the period, that holds the armature of the solenoid"
    lowest = float(np.min(point.waveform.values("i_load")))
    margin = float(margin_of(name, lowest, load.hold_current))
    verdict = verdict_of(margin, design.limits.margin)
    yield LimitCheck(name, lowest, load.hold_current, "A", margin, verdict, definition)
