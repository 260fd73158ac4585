"""The figures of a half-bridge point set against the limits of a design: of each side, and of both."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..circuit.bridge_limits import BridgeLimits
from ..circuit.design_file import BridgeDesign
from ..circuit.half_bridge import BridgeSwitch
from ..circuit.logic_drivers import GateDriverIC, MicrocontrollerPin
from ..circuit.temperature import STATED_TEMPERATURE, USUAL_JUNCTION_RATING
from ..datasheet.static_figures import plateau_voltage
from ..figures import format_figure
from ..studies.bridge_point import HalfBridgeFigures, HalfBridgePoint, SwitchFigures
from .avalanche import at_breakdown, avalanche_check, told, wiring_energy
from .driver import driver_current_check, driver_temperature_check
from .gate import (
    false_turn_on_check,
    floating_gate_check,
    hot_threshold,
    negative_gate_check,
    returned_gate_voltage,
    threshold_origin,
)
from .limit_check import (
    LimitCheck,
    at_most,
    compared,
    no_steady_temperature,
    rating_or_default,
    verdict_of,
)
from .order import most_pressing_first

__all__ = ["bridge_judged", "bridge_limit_checks", "bridge_not_judged"]

# Share of all losses up to which shoot-through passes where no limit is stated; common practice, no source.
_USUAL_SHOOT_THROUGH = 0.01
# Share of all losses that is rounding and not heat.
_NOISE = 1e-9
_LEAST_CURRENT = 1e-3  # that a gate is asked to carry [A]

_SIDES: tuple[Literal["high", "low"], ...] = ("high", "low")
_OF_POINT = {
    "minimum_efficiency": "efficiency",
    "maximum_total_loss": "total_loss",
    "maximum_output_ripple": "output_ripple",
}
_OF_SIDE = {
    "maximum_drain_voltage": "peak_drain_voltage",
    "maximum_gate_voltage": "maximum_gate_voltage",
    "maximum_mosfet_loss": "loss",
    "maximum_driver_loss": "driver_loss",
    "maximum_junction_temperature": "junction_temperature",
    "maximum_diode_temperature": "diode_temperature",
}


class _Side(NamedTuple):
    """One side: its name, parts and figures, and its commands in s from the begin of the period."""

    name: Literal["high", "low"]
    part: BridgeSwitch
    figures: SwitchFigures
    point: HalfBridgePoint
    on: float
    off: float

    @property
    def who(self) -> str:
        """In words."""
        return f"the MOSFET of the {self.name} side"

    @property
    def switches(self) -> bool:
        """Whether it is commanded on and off in every period."""
        return 0.0 < self.off - self.on < 1.0 / self.point.frequency

    @property
    def ambient(self) -> float:
        """Around it [K]."""
        return self.part.cooling.ambient if self.part.cooling else STATED_TEMPERATURE

    def named(self, limit: str) -> str:
        """The name of a check of this side: that of the limit with the side in it."""
        bound, _, rest = limit.partition("_")
        return f"{bound}_{self.name}_{rest}"

    def values(self, channel: str) -> NDArray[np.float64]:
        """A channel of this side over the period."""
        return self.point.waveform.values(f"{channel}_{self.name}")

    def value(self, channel: str, time: float) -> float:
        """A channel of this side at a time from the begin of the period [s], beyond its end too."""
        waveform = self.point.waveform
        within = time % (1.0 / self.point.frequency)
        return float(waveform.value(f"{channel}_{self.name}", waveform.begin + within))

    def gate_while_off(self) -> NDArray[np.float64]:
        """v_GS from the command "off" to the next "on", in order, beyond the end of the record too [V]."""
        period, times = 1.0 / self.point.frequency, self.point.waveform.times - self.point.waveform.begin
        since = np.mod(times - self.off, period)
        order = np.argsort(since, kind="stable")
        return self.values("v_gs")[order[since[order] <= period - (self.off - self.on)]]


def bridge_limit_checks(design: BridgeDesign, point: HalfBridgePoint) -> tuple[LimitCheck, ...]:
    """Every limit of a design against a finished half-bridge point, the smallest margin first."""
    return most_pressing_first(_checks(design, point), point)


def bridge_judged(design: BridgeDesign, point: HalfBridgePoint) -> tuple[LimitCheck, ...]:
    """The limits of a design at any outcome of its simulation: none where there is no answer to judge.

    Beside a junction that runs away stand commands that heat it, as far as they exceed their limits.
    """
    if point.succeeded:
        return bridge_limit_checks(design, point)
    if point.status != "thermal_runaway":
        return ()
    wrong = [one for one in _of_commands(point, design.limits) if one.verdict == "exceeded"]
    return most_pressing_first([_runaway(design, point), *wrong], point)


def bridge_not_judged(design: BridgeDesign) -> tuple[str, ...]:
    """What is not judged because the design does not state it: the check, and what to state."""
    found = []
    for name in _SIDES:
        part: BridgeSwitch = getattr(design.half_bridge, name)
        wanted = {
            "junction temperature": ("cooling.mosfet", part.cooling and part.cooling.mosfet),
            "diode temperature": (
                "cooling.freewheel",
                part.diode is None or (part.cooling and part.cooling.freewheel),
            ),
            "driver current": ("driver.rated_current", part.driver.rated_current),
            "driver temperature": ("driver.thermal_resistance", part.driver.thermal_resistance),
        }
        found += [
            f"{name} {check} (state {name}.{field})"
            for check, (field, stated) in wanted.items()
            if not stated
        ]
    if design.half_bridge.bootstrap is not None and _least_supply(design) is None:
        found.append("supply of the high side (state limits.minimum_high_supply_voltage)")
    return tuple(found)


def _checks(design: BridgeDesign, point: HalfBridgePoint) -> Iterator[LimitCheck]:
    limits = design.limits
    yield from _together(design, point)
    for side in _sides(point):
        avalanche = _avalanche(side, limits)
        yield avalanche
        for check in _of_side(side, limits):
            held_by_breakdown = check.name == side.named("maximum_drain_voltage") and avalanche.figure > 0.0
            is_rating = limits.maximum_drain_voltage is None
            yield at_breakdown(check, avalanche, side.who) if held_by_breakdown and is_rating else check
        yield from _gate(side, limits)
        yield from _driver(side, limits.margin)


def _sides(point: HalfBridgePoint) -> Iterator[_Side]:
    """Both, with their commands: the active one from 0 on, the other one a dead time inside the rest."""
    period, on_time = 1.0 / point.frequency, point.duty / point.frequency
    begin, end = on_time + point.dead_time, period - point.dead_time
    for name in _SIDES:
        times = (0.0, on_time) if name == point.active else (begin, max(begin, end))
        yield _Side(name, getattr(point.cell, name), getattr(point, name), point, *times)


def _together(design: BridgeDesign, point: HalfBridgePoint) -> Iterator[LimitCheck]:
    """What both sides do to each other, and what the bridge does as a whole."""
    limits = design.limits
    yield _switches_fully(point)
    yield from _of_commands(point, limits)
    least = _least_supply(design)
    if least is not None and not math.isnan(point.high_supply_minimum):
        name, definition = "minimum_high_supply_voltage", "lowest while the high side is commanded on"
        origin = "rating" if limits.minimum_high_supply_voltage is None else "stated"
        yield compared(name, point.high_supply_minimum, least, "V", definition, limits.margin, origin=origin)
    units, definitions = HalfBridgeFigures.units(), HalfBridgeFigures.definitions()
    for name, source in _OF_POINT.items():
        limit = getattr(limits, name)
        if limit is not None:
            figure = getattr(point, source)
            yield compared(
                name, figure, limit, units[source], definitions[source], limits.margin, origin="stated"
            )


def _of_commands(point: HalfBridgePoint, limits: BridgeLimits) -> Iterator[LimitCheck]:
    """The time between the commands, and what passes through both channels."""
    if point.dead_time < 0.0 or not math.isnan(point.dead_time_needed):
        yield _dead_time(point, limits.margin)
    yield _shoot_through(point, limits)


def _switches_fully(point: HalfBridgePoint) -> LimitCheck:
    """Whether each drain gets down while its switch is commanded on; the losses by cause know."""
    stuck = [side for side in _SIDES if "incomplete switching" in point.losses_of(side)]
    definition = "v_DS of each switch falls below 10 % of the bus while it is commanded on"
    margin, verdict = (-math.inf, "exceeded") if stuck else (1.0, "held")
    sides = " and the ".join(stuck)
    reason = f"the drain of the {sides} side does not get down while it is on." if stuck else ""
    return LimitCheck("switches_fully", float(not stuck), 1.0, "", margin, verdict, definition, reason)


def _dead_time(point: HalfBridgePoint, marginal: float) -> LimitCheck:
    needed, given = point.dead_time_needed, point.dead_time
    definition = (
        "dead time with which neither commutation has both gates above their thresholds; allowed: that of "
        "the commands"
    )
    overlap = 1.0 if needed <= given else -math.inf
    margin = (given - needed) / given if given > 0.0 else overlap
    reason = ""
    if given < 0.0 and not needed <= given:
        reason = f"the commands overlap by {format_figure(-given, 's', 3)}, so both MOSFETs are on at once."
    elif needed > given:
        reason = (
            f"the dead time is too short: {format_figure(needed, 's', 3)} keep the gates apart, the commands "
            f"leave {format_figure(given, 's', 3)}."
        )
    return LimitCheck(
        "dead_time_needed", needed, given, "s", margin, verdict_of(margin, marginal), definition, reason
    )


def _shoot_through(point: HalfBridgePoint, limits: BridgeLimits) -> LimitCheck:
    definition = HalfBridgeFigures.definitions()["shoot_through_charge"]
    if limits.maximum_shoot_through_charge is not None:
        name, figure = "maximum_shoot_through_charge", point.shoot_through_charge
        allowed = limits.maximum_shoot_through_charge
        return at_most(name, figure, allowed, "C", definition, limits.margin, origin="stated")
    power = point.losses_by_cause.get("shoot-through", 0.0)
    power = power if power > _NOISE * point.total_loss else 0.0
    allowed = _USUAL_SHOOT_THROUGH * point.total_loss
    charge = format_figure(point.shoot_through_charge, "C", 3)
    all_losses = format_figure(point.total_loss, "W", 3)
    reason = (
        f"both channels conduct at once: {charge} pass through them in every period, which takes "
        f"{format_figure(power, 'W', 3)} of {all_losses}."
        if power > allowed
        else ""
    )
    definition = f"heat of the charge {definition}; allowed: 1 % of all losses"
    return at_most("shoot_through_loss", power, allowed, "W", definition, limits.margin, reason, "default")


def _least_supply(design: BridgeDesign) -> float | None:
    """Of the high side's driver [V]: the limit, or where a bootstrap feeds it the lockout."""
    driver = design.half_bridge.high.driver
    stated = design.limits.minimum_high_supply_voltage
    if stated is not None or design.half_bridge.bootstrap is None or not isinstance(driver, GateDriverIC):
        return stated
    return driver.lockout_threshold


def _of_side(side: _Side, limits: BridgeLimits) -> Iterator[LimitCheck]:
    """The limits on figures of one side, with the ratings of its parts where none is stated."""
    cooling = side.part.cooling
    ratings = {
        "maximum_drain_voltage": side.part.mosfet.drain_voltage_rating,
        "maximum_gate_voltage": side.part.mosfet.maximum_gate_voltage,
        "maximum_junction_temperature": USUAL_JUNCTION_RATING,
        "maximum_diode_temperature": USUAL_JUNCTION_RATING,
    }
    lacking = set()
    if cooling is None or cooling.mosfet is None:
        lacking.add("maximum_junction_temperature")
    if cooling is None or cooling.freewheel is None:
        lacking.add("maximum_diode_temperature")
    units, definitions = SwitchFigures.units(), SwitchFigures.definitions()
    for name, source in _OF_SIDE.items():
        limit = getattr(limits, name) or ratings.get(name)
        if limit is None or name in lacking:
            continue
        figure = getattr(side.figures, source)
        yield compared(
            side.named(name),
            figure,
            limit,
            units[source],
            f"{side.name} side: {definitions[source]}",
            limits.margin,
            side.ambient,
            _origin(side, limits, name),
        )


def _origin(side: _Side, limits: BridgeLimits, name: str) -> str:
    """Of a limit of one side, by the name of the field; see :class:`LimitCheck`."""
    if getattr(limits, name) is not None:
        return "stated"
    if name == "maximum_gate_voltage":
        return rating_or_default(side.part.mosfet, name)
    return "rating" if name == "maximum_drain_voltage" else "default"


def _gate(side: _Side, limits: BridgeLimits) -> Iterator[LimitCheck]:
    """What the gate reaches, how far it goes below zero, and what may turn the MOSFET on unasked."""
    rating = limits.maximum_gate_voltage or side.part.mosfet.maximum_gate_voltage
    lowest = side.figures.minimum_gate_voltage
    origin = _origin(side, limits, "maximum_gate_voltage")
    yield negative_gate_check(f"negative_{side.name}_gate_voltage", lowest, rating, limits.margin, origin)
    found, mosfet = side.figures.junction_temperature, side.part.mosfet
    if side.switches:
        yield _gate_reached(side, limits.margin)
        threshold, at = hot_threshold(mosfet, found, side.part.junction_temperature)
        figure = returned_gate_voltage(side.gate_while_off(), threshold)
        name = f"{side.name}_gate_voltage_when_off"
        origin = threshold_origin(mosfet)
        yield false_turn_on_check(name, side.who, figure, threshold, at, limits.margin, origin)
    if isinstance(side.part.driver, MicrocontrollerPin) and side.part.pull_down_resistance is None:
        bus = side.point.cell.bus.voltage
        yield floating_gate_check(f"floating_{side.name}_gate_voltage", mosfet, bus, limits.margin)


def _gate_reached(side: _Side, marginal: float) -> LimitCheck:
    """The gate at the end of its on-time against what the current at that instant takes."""
    current = max(abs(side.value("i_d", side.off)), _LEAST_CURRENT)
    found = side.figures.junction_temperature
    temperature = side.part.junction_temperature if math.isnan(found) else found
    needed = float(plateau_voltage(side.part.mosfet, current, junction_temperature=temperature))
    reached = side.value("v_gs", side.off)
    definition = (
        f"{side.name} side: v_GS at the die at the command off; needed: what carries the "
        f"{format_figure(current, 'A', 3)} of that instant"
    )
    name = f"minimum_{side.name}_gate_voltage_reached"
    return compared(name, reached, needed, "V", definition, marginal)


def _driver(side: _Side, marginal: float) -> Iterator[LimitCheck]:
    """Those ratings of the driver that are stated."""
    driver = side.part.driver
    if driver.rated_current is not None:
        peak = float(np.abs(side.values("i_driver")).max())
        yield driver_current_check(
            f"{side.name}_driver_current", driver, driver.rated_current, peak, marginal
        )
    if driver.thermal_resistance is not None:
        at_rest = side.point.losses.get(f"{side.name} driver at rest", 0.0)
        found = side.ambient + driver.thermal_resistance * (side.figures.driver_loss + at_rest)
        yield driver_temperature_check(
            f"{side.name}_driver_temperature", driver, side.ambient, found, marginal
        )


def _avalanche(side: _Side, limits: BridgeLimits) -> LimitCheck:
    """Energy that the breakdown of one side takes in each period."""
    power = side.point.losses_of(side.name).get("avalanche", 0.0)
    definition = f"heat in the breakdown of {side.who} in each period"
    name = side.named("maximum_avalanche_energy")
    allowed = limits.maximum_avalanche_energy
    check = avalanche_check(name, power, side.point, allowed, definition, limits.margin)
    cell, peak = side.point.cell, float(np.abs(side.values("i_d")).max())
    inductance = cell.loop_inductance + side.part.common_source_inductance + cell.bus.loop_inductance
    why = wiring_energy(inductance, peak)
    return told(check, f"{side.who} breaks down in every period, because {why}", power)


def _runaway(design: BridgeDesign, point: HalfBridgePoint) -> LimitCheck:
    """The verdict on a junction whose temperature has no steady state."""
    side, _, figure = point.runaway.partition("_")
    stated = getattr(design.limits, f"maximum_{figure}")
    definition = f"{side} side: {SwitchFigures.definitions()[figure]}"
    return no_steady_temperature(f"maximum_{point.runaway}", stated, definition, point.message)
