"""The figures of an operating point set against the limits of a design."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from ..circuit.cell import LowSideCell
from ..circuit.design_file import BridgeDesign, Design, Limits
from ..circuit.loads import Solenoid
from ..circuit.temperature import USUAL_JUNCTION_RATING
from ..circuit_checks.drive import WARMS
from ..limits.safe_area import safe_area_check
from ..studies.results import OperatingFigures, OperatingPoint
from .avalanche import at_breakdown, avalanche_check, told, wiring_energy
from .driver import bus_check, driver_checks
from .gate import gate_checks
from .limit_check import LimitCheck, compared, no_steady_temperature, rating_or_default
from .order import most_pressing_first
from .switching import NO_TIME, switching_checks

__all__ = [
    "FIGURE_OF_LIMIT",
    "JUDGED_IN_SWEEPS",
    "NO_TIME",
    "LimitCheck",
    "heat_is_not_judged",
    "judged",
    "limit_checks",
    "not_judged",
]


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
    return most_pressing_first(_checks(design, point), point)


def judged(design: Design, point: OperatingPoint) -> tuple[LimitCheck, ...]:
    """The limits of a design at any outcome of its simulation: none where there is no answer to judge."""
    if point.succeeded:
        return limit_checks(design, point)
    return (runaway_check(design, point),) if point.status == "thermal_runaway" else ()


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
        "temperature of the freewheel diode": (
            "cooling.freewheel",
            (cell.freewheel is None, cell.cooling and cell.cooling.freewheel),
        ),
        "driver current": ("driver.rated_current", (driver.rated_current,)),
        "driver temperature": ("driver.thermal_resistance", (driver.thermal_resistance,)),
        "dip of the driver's supply": ("driver_decoupling", (cell.driver_decoupling,)),
        "heat of the gate resistor": ("gate_resistor_rating", (cell.gate_resistor_rating,)),
    }
    return tuple(f"{check} (state {fields})" for check, (fields, stated) in wanted.items() if not any(stated))


def heat_is_not_judged(design: Design | BridgeDesign, heat: float) -> bool:
    """Whether heat [W] that warms a MOSFET noticeably meets no stated cooling."""
    if isinstance(design, Design):
        coolings = [design.cell.cooling]
    else:
        coolings = [side.cooling for side in (design.half_bridge.high, design.half_bridge.low)]
    return heat > WARMS and any(one is None or one.mosfet is None for one in coolings)


def _checks(design: Design, point: OperatingPoint) -> Iterator[LimitCheck]:
    limits, cell = design.limits.for_cell(design.cell), design.cell
    yield from switching_checks(cell, limits, _origin(design, "maximum_duty_error"), point)
    avalanche = _avalanche(design, point)
    yield avalanche
    yield from _hold(design, point)
    for check in _of_figures(design, limits, point):
        held_by_breakdown = check.name == "maximum_drain_voltage" and avalanche.figure > 0.0
        is_rating = design.limits.maximum_drain_voltage is None
        yield at_breakdown(check, avalanche, "the MOSFET") if held_by_breakdown and is_rating else check
    rating = limits.maximum_gate_voltage
    assert rating is not None
    yield from gate_checks(cell, rating, _origin(design, "maximum_gate_voltage"), limits.margin, point)
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
        figure = getattr(point, source)
        unit, definition, origin = units[source], definitions[source], _origin(design, name)
        yield compared(name, figure, limit, unit, definition, limits.margin, ambient, origin)


def _origin(design: Design, name: str) -> str:
    """Of a limit, by its name; see :class:`LimitCheck`."""
    if getattr(design.limits, name) is not None:
        return "stated"
    if name == "maximum_gate_voltage":
        return rating_or_default(design.cell.mosfet, name)
    return "rating" if name == "maximum_drain_voltage" else "default"


def runaway_check(design: Design, point: OperatingPoint) -> LimitCheck:
    """The verdict on a junction whose temperature has no steady state."""
    name = f"maximum_{point.runaway}"
    definition = OperatingFigures.definitions()[point.runaway]
    return no_steady_temperature(name, getattr(design.limits, name), definition, point.message)


def _avalanche(design: Design, point: OperatingPoint) -> LimitCheck:
    """Energy that the breakdown takes at each turn-off."""
    power = point.losses_by_cause.get("avalanche", 0.0)
    name, definition = "maximum_avalanche_energy", "heat in the breakdown of the MOSFET at each turn-off"
    allowed, marginal = design.limits.maximum_avalanche_energy, design.limits.margin
    does = "the MOSFET breaks down at every turn-off"
    check = avalanche_check(name, power, point, allowed, definition, marginal)
    return told(check, f"{does}, because {_why_it_breaks_down(design.cell, point)}", power)


def _why_it_breaks_down(cell: LowSideCell, point: OperatingPoint) -> str:
    """Whose energy it is that has no other way."""
    if cell.has_inductive_load and not cell.commutation_paths:
        return "the load has no freewheel diode or clamp"
    return wiring_energy(cell.commutation_inductance, point.peak_drain_current)


def _hold(design: Design, point: OperatingPoint) -> Iterator[LimitCheck]:
    """Whether the armature of a solenoid stays in over the whole period."""
    load = design.cell.load
    if not isinstance(load, Solenoid) or load.hold_current is None:
        return
    name, definition = "minimum_load_current", "lowest of the period, that holds the armature of the solenoid"
    lowest = float(np.min(point.waveform.values("i_load")))
    yield compared(name, lowest, load.hold_current, "A", definition, design.limits.margin, origin="rating")
