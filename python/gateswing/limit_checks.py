"""The figures of an operating point set against the limits of a design."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from .cell import LowSideCell
from .design_file import Design, Limits
from .drive_checks import on_voltage
from .figures import format_figure
from .loads import Solenoid
from .results import OperatingFigures, OperatingPoint
from .static_bench import plateau_voltage

__all__ = ["FIGURE_OF_LIMIT", "JUDGED_IN_SWEEPS", "NO_TIME", "LimitCheck", "judged", "limit_checks"]

# Share of a period that is rounding and not time.
NO_TIME = 1e-9

# Share of the turn-off energy below which the breakdown does not count.
_LEAKAGE = 0.01
_NO_ENERGY = 1e-9  # [J]
_NO_CURRENT = 1e-6  # [A]
# Of the period, between the commanded on-time and the one of the drain; common practice, no source.
_USUAL_DUTY_ERROR = 0.1

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
# Limits that hold for each point of a sweep, where they are stated.
JUDGED_IN_SWEEPS = (*FIGURE_OF_LIMIT, "maximum_avalanche_energy", "maximum_duty_error")
# Of silicon in the usual packages; common practice, no source.
_USUAL_JUNCTION_RATING = 423.15


@dataclass(frozen=True)
class LimitCheck:
    """One figure against its limit.

    Attributes:
        name: field of :class:`Limits`, ``switches_fully``, or ``minimum_load_current`` of a solenoid.
        figure: what the design does, in SI units; NaN if the figure does not exist.
        limit: what it may do.
        unit: of both; ``"%"`` for a share, which is a plain number here and a percentage in print.
        margin: distance to the limit as a share of the limit, negative when exceeded. For an efficiency it
            is the share of the allowed loss that is left.
        verdict: ``held``, ``marginal`` or ``exceeded``.
        definition: what the figure means.
        reason: why the limit is exceeded, where the circuit shows it; else empty.
    """

    name: str
    figure: float
    limit: float
    unit: str
    margin: float
    verdict: str
    definition: str
    reason: str = ""

    @property
    def title(self) -> str:
        """The name in words, without the side of the limit."""
        return self.name.removeprefix("maximum_").removeprefix("minimum_").replace("_", " ")

    def sentence(self) -> str:
        """The figure against its limit, or the reason why it is exceeded."""
        if self.reason:
            return self.reason
        if self.name == "switches_fully":
            return "the MOSFET switches fully in every period."
        figure, limit = format_figure(self.figure, self.unit), format_figure(self.limit, self.unit)
        return f"{self.title}, {figure} against {limit} (margin {self.margin:.0%})."

    def row(self) -> tuple[str, str, str, str, str]:
        """Name, figure, limit, margin and verdict as text."""
        if self.name == "switches_fully":
            return self.title, "yes" if self.figure else "no", "yes", "", self.verdict
        if not self.limit:
            return self.title, format_figure(self.figure, self.unit), "none", "", self.verdict
        side = "at least" if self.name.startswith("minimum") else "at most"
        limit = f"{side} {format_figure(self.limit, self.unit)}"
        return self.title, format_figure(self.figure, self.unit), limit, f"{self.margin:.0%}", self.verdict


def limit_checks(design: Design, point: OperatingPoint) -> tuple[LimitCheck, ...]:
    """Every limit of a design against a finished operating point, the smallest margin first."""
    return tuple(sorted(_checks(design, point), key=lambda one: one.margin))


def judged(design: Design, point: OperatingPoint) -> tuple[LimitCheck, ...]:
    """The limits of a design at any outcome of its simulation: none where there is no answer to judge."""
    if point.succeeded:
        return limit_checks(design, point)
    return (runaway_check(design, point.message),) if point.status == "thermal_runaway" else ()


def _checks(design: Design, point: OperatingPoint) -> Iterator[LimitCheck]:
    yield _switches_fully(design.cell, point)
    yield _avalanche(design, point)
    yield from _hold(design, point)
    limits = _with_ratings(design)
    yield _duty_error(limits, point)
    definitions, units = OperatingFigures.definitions(), OperatingFigures.units()
    for name, source in FIGURE_OF_LIMIT.items():
        limit = getattr(limits, name)
        if limit is None:
            continue
        value = getattr(point, source)
        if name == "maximum_gate_voltage":
            value = max(value, -point.minimum_gate_voltage)
        margin = _margin(name, value, limit)
        if name.endswith("_temperature"):
            margin = _share_of_rise_left(design.cell, value, limit)
        verdict = _verdict(margin, limits.margin)
        yield LimitCheck(name, value, limit, units[source], margin, verdict, definitions[source])


def _share_of_rise_left(cell: LowSideCell, temperature: float, limit: float) -> float:
    """Of the rise above the ambient that the limit allows."""
    assert cell.cooling is not None
    allowed = limit - cell.cooling.ambient
    return (limit - temperature) / allowed if allowed > 0.0 else -math.inf


def runaway_check(design: Design, message: str) -> LimitCheck:
    """The verdict on a junction whose temperature has no steady state; `message` says which."""
    limit = _with_ratings(design).maximum_junction_temperature or _USUAL_JUNCTION_RATING
    name, definition = "maximum_junction_temperature", OperatingFigures.definitions()["junction_temperature"]
    return LimitCheck(name, math.inf, limit, "K", -math.inf, "exceeded", definition, message)


def _with_ratings(design: Design) -> Limits:
    """The design's limits, with the ratings of the MOSFET and of silicon where it states none."""
    limits, mosfet, cooling = design.limits, design.cell.mosfet, design.cell.cooling
    cooled = {
        "maximum_junction_temperature": cooling is not None and cooling.mosfet is not None,
        "maximum_freewheel_temperature": cooling is not None and cooling.freewheel is not None,
    }
    temperatures = {
        name: (getattr(limits, name) or _USUAL_JUNCTION_RATING) if found else None
        for name, found in cooled.items()
    }
    return limits.replace(
        temperatures,
        maximum_drain_voltage=limits.maximum_drain_voltage or mosfet.breakdown_voltage,
        maximum_gate_voltage=limits.maximum_gate_voltage or mosfet.maximum_gate_voltage,
    )


def _switches_fully(cell: LowSideCell, point: OperatingPoint) -> LimitCheck:
    """Whether the drain reaches both of its levels."""
    off_share = 1.0 - point.on_share - point.transition_share
    on, off = point.on_share > 0.0, off_share > NO_TIME
    definition = "v_DS falls below 10 % and rises above 90 % of the bus in every period"
    margin, verdict = (1.0, "held") if on and off else (-math.inf, "exceeded")
    reason = "" if on and off else _never_off(cell, point) if on else _never_on(cell, point)
    return LimitCheck("switches_fully", float(on and off), 1.0, "", margin, verdict, definition, reason)


def _duty_error(limits: Limits, point: OperatingPoint) -> LimitCheck:
    """How far the on-time of the drain is from the commanded one."""
    limit = limits.maximum_duty_error or _USUAL_DUTY_ERROR
    error = abs(point.on_share - point.duty)
    margin = _margin("maximum_duty_error", error, limit)
    definition = (
        "of the period, between the commanded on-time and that of the drain (v_DS below 10 % of the bus)"
    )
    verdict = _verdict(margin, limits.margin)
    return LimitCheck("maximum_duty_error", error, limit, "%", margin, verdict, definition)


def _avalanche(design: Design, point: OperatingPoint) -> LimitCheck:
    """Energy that the breakdown takes at each turn-off."""
    power = point.losses_by_cause.get("avalanche", 0.0)
    energy, allowed = power / point.frequency, design.limits.maximum_avalanche_energy
    name, definition = "maximum_avalanche_energy", "heat in the breakdown of the MOSFET at each turn-off"
    if allowed is not None:
        margin = _margin(name, energy, allowed)
        return LimitCheck(
            name, energy, allowed, "J", margin, _verdict(margin, design.limits.margin), definition
        )
    # The rounded knee of the law leaks a little below the breakdown voltage.
    turn_off = abs(point.turn_off.total_energy)
    negligible = max(_LEAKAGE * turn_off, _NO_ENERGY) if math.isfinite(turn_off) else _NO_ENERGY
    if energy <= negligible:
        return LimitCheck(name, energy, 0.0, "J", 1.0, "held", definition)
    each, mean = format_figure(energy, "J", 3), format_figure(power, "W", 3)
    reason = (
        f"the drain breaks through at every turn-off, {each} each time or {mean}, "
        "and the design allows no avalanche energy."
    )
    return LimitCheck(name, energy, 0.0, "J", -energy / _NO_ENERGY, "exceeded", definition, reason)


def _hold(design: Design, point: OperatingPoint) -> Iterator[LimitCheck]:
    """Whether the armature of a solenoid stays in over the whole period."""
    load = design.cell.load
    if not isinstance(load, Solenoid) or load.hold_current is None:
        return
    name, definition = "minimum_load_current", "lowest of the period, that holds the armature of the solenoid"
    lowest = float(np.min(point.waveform.values("i_load")))
    margin = _margin(name, lowest, load.hold_current)
    verdict = _verdict(margin, design.limits.margin)
    yield LimitCheck(name, lowest, load.hold_current, "A", margin, verdict, definition)


def load_current(cell: LowSideCell) -> float:
    """Current [A] that the load draws from a switch that stays on."""
    return cell.load.settled_current(cell.bus.voltage, cell.bus.resistance + cell.loop_resistance)


def _never_on(cell: LowSideCell, point: OperatingPoint) -> str:
    current = load_current(cell)
    if point.duty <= 0.0:
        return "the MOSFET is never told to turn on (duty 0)."
    if not math.isfinite(current):
        return "the MOSFET never turns on fully."
    most = on_voltage(cell)
    needed = float(
        plateau_voltage(
            cell.mosfet, max(current, _NO_CURRENT), junction_temperature=cell.junction_temperature
        )
    )
    at, given = format_figure(current, "A"), format_figure(point.maximum_gate_voltage, "V", 3)
    wanted = f"its gate needs {format_figure(needed, 'V', 3)} to carry {at}"
    if most <= needed:
        return (
            f"the MOSFET never turns on fully: {wanted}, and its drive ends at {format_figure(most, 'V', 3)}."
        )
    time = format_figure(point.duty / point.frequency, "s", 3)
    return (
        f"the MOSFET never turns on fully: {wanted}, and reaches only {given} within the on-time of {time}."
    )


def _never_off(cell: LowSideCell, point: OperatingPoint) -> str:
    if point.duty >= 1.0:
        return "the MOSFET is never told to turn off (duty 100 %)."
    breakdown = cell.mosfet.breakdown_voltage
    if cell.bus.voltage >= breakdown:
        bus, rated = format_figure(cell.bus.voltage, "V"), format_figure(breakdown, "V")
        return f"the MOSFET cannot block: the bus of {bus} is above its breakdown voltage of {rated}."
    time = format_figure((1.0 - point.duty) / point.frequency, "s", 3)
    lowest = format_figure(point.minimum_gate_voltage, "V", 3)
    threshold = format_figure(cell.mosfet.channel.threshold_voltage, "V", 3)
    if point.minimum_gate_voltage > cell.mosfet.channel.threshold_voltage:
        return (
            f"the MOSFET never turns off fully: within the off-time of {time} its gate falls "
            f"only to {lowest}, and its threshold is {threshold}."
        )
    return f"the MOSFET never turns off fully: the off-time of {time} is too short for the drain to rise."


def _margin(name: str, figure: float, limit: float) -> float:
    if math.isnan(figure):
        return -math.inf
    if name == "minimum_efficiency":
        return (figure - limit) / (1.0 - limit)
    if name.startswith("minimum_"):
        return (figure - limit) / limit
    return (limit - figure) / limit


def _verdict(margin: float, marginal_below: float) -> str:
    if margin < 0.0:
        return "exceeded"
    return "marginal" if margin < marginal_below else "held"
