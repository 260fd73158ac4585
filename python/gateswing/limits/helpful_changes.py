"""The changes that usually help against each limit; common practice, no source."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeVar

from ..circuit.design_file import BridgeDesign, Design
from ..circuit.diode import Diode
from ..circuit.loads import LedString, Motor, Solenoid
from ..circuit.logic_drivers import GateDriverIC, MicrocontrollerPin
from ..circuit.mosfet import Mosfet
from ..circuit_checks.drive import on_voltage
from ..circuit_checks.loads import HIGHEST_TONE, LOW_RISK_OF_FLICKER
from ..library.part_library import part
from ..quantities import Interval, format_quantity
from .other_parts import replacement_text, snubber_text, snubbers, stronger_drivers, wider_mosfets
from .proposals import proposed

__all__ = [
    "AnyDesign",
    "Move",
    "OtherPart",
    "can_be_moved",
    "helpful_moves",
    "out_of_runaway",
    "value_or_none",
    "with_freewheel",
]

AnyDesign = Design | BridgeDesign
P = TypeVar("P", Diode, GateDriverIC, Mosfet)
# Whose quantity it is, where that is not plain.
_OWNERS = {"driver": " of the driver", ".high": " of the high side", ".low": " of the low side"}


@dataclass(frozen=True)
class Move:
    """One step of a kind of change.

    Attributes:
        path: the quantity that is changed.
        factor: by about which it is multiplied, see :mod:`gateswing.limits.proposals`.
        effort: how unwelcome a step is, against that of another resistor; common practice, no source.
    """

    path: str
    factor: float
    effort: float
    most_steps = 3  # about a factor of 10 in the end

    def applied(self, design: AnyDesign) -> AnyDesign | None:
        """The changed design; ``None`` where nothing further is proposed."""
        bounds = _kept(design) if self.path == "operation.frequency" else None
        value = proposed(self.path, design.value_at(self.path), self.factor, bounds)
        return None if value is None else design.replace({self.path: value})

    def text(self, before: AnyDesign, after: AnyDesign) -> str:
        """The change from one design to the other in words."""
        owner, _, name = self.path.rpartition(".")
        kind = before.value_at(owner).quantity_of(name)
        old, new = (format_quantity(one.value_at(self.path), kind.unit, 3) for one in (before, after))
        of = next((words for end, words in _OWNERS.items() if owner.endswith(end)), "")
        return f"{name.replace('_', ' ')}{of} {old} to {new}"


@dataclass(frozen=True)
class OtherPart:
    """Another part, or one that was missing; a change without steps.

    Attributes:
        path: of the part.
        value: what is put there.
        words: the change in words.
        effort: as of a :class:`Move`.
        also: paths of further places for the same part.
    """

    path: str
    value: object
    words: str
    effort: float
    also: tuple[str, ...] = ()
    most_steps = 1

    def applied(self, design: AnyDesign) -> AnyDesign | None:
        """The changed design."""
        return design.replace(dict.fromkeys((self.path, *self.also), self.value))

    def text(self, before: AnyDesign, after: AnyDesign) -> str:  # noqa: ARG002
        """The change in words."""
        return self.words


# Generic parts of the library, in the order in which they are considered: diodes by what they block, MOSFETs
# for a drive of a few volts likewise, and what a pin may drive instead of the gate.
_FREEWHEEL_DIODES = (
    "schottky-40V", "schottky-60V", "schottky-100V", "ultrafast-200V", "ultrafast-600V", "fast-1000V",
)  # fmt: skip
_LOGIC_LEVEL = ("logic-30V", "logic-60V", "logic-100V")
_GATE_DRIVERS = ("driver-ic-5V", "driver-ic-weak")


def with_freewheel(design: Design) -> tuple[Design, str] | None:
    """A generic diode that blocks twice the bus, where an inductive load has none."""
    if design.cell.freewheel is not None or not design.cell.has_inductive_load:
        return None
    for name in _FREEWHEEL_DIODES:
        diode = _generic(name, Diode)
        if (diode.repetitive_peak_reverse_voltage or 0.0) >= 2.0 * design.cell.bus.voltage:
            return design.replace({"cell.freewheel": diode}), f"a freewheel diode ({name}) across the load"
    return None


def _generic(name: str, kind: type[P]) -> P:
    found = part(name)
    assert isinstance(found, kind)
    return found


def _kept(design: AnyDesign) -> Interval | None:
    """Frequencies that a load asks for [Hz]: what nobody hears or sees flicker today stays like that."""
    load, frequency = getattr(getattr(design, "cell", None), "load", None), design.operation.frequency
    if isinstance(load, Motor | Solenoid) and frequency >= HIGHEST_TONE:
        return Interval(HIGHEST_TONE, math.inf)
    if isinstance(load, LedString) and frequency >= LOW_RISK_OF_FLICKER:
        return Interval(LOW_RISK_OF_FLICKER, math.inf)
    return None


_GATE_RESISTANCE, _TURN_OFF_RESISTANCE = "cell.gate_resistance", "cell.turn_off_gate_resistance"
_FASTER = (
    Move(_GATE_RESISTANCE, 0.5, 1.0),
    Move(_TURN_OFF_RESISTANCE, 0.5, 1.0),
    Move("cell.driver.supply_voltage", 1.5, 2.0),
    Move("operation.frequency", 0.5, 4.0),
)
_CALMER = (
    Move(_GATE_RESISTANCE, 2.0, 1.0),
    Move(_TURN_OFF_RESISTANCE, 2.0, 1.0),
    Move("cell.loop_inductance", 0.5, 3.0),
)
# What usually helps against each limit; common practice, no source.
_COOLER = (
    *_FASTER,
    Move("cell.cooling.mosfet.case_to_ambient", 0.5, 2.0),
)
_LESS_CHARGE = (
    Move("cell.driver.supply_voltage", 0.85, 2.0),
    Move("operation.frequency", 0.5, 4.0),
)
_HELPS = {
    "maximum_junction_temperature": _COOLER,
    "maximum_freewheel_temperature": (Move("cell.cooling.freewheel.case_to_ambient", 0.5, 2.0),),
    "switches_fully": _FASTER,
    "maximum_transition_share": _FASTER,
    "maximum_channel_loss": _FASTER,
    "maximum_total_loss": _FASTER,
    "minimum_efficiency": _FASTER,
    "maximum_drain_voltage": _CALMER,
    "maximum_overshoot": _CALMER,
    "maximum_avalanche_energy": _CALMER,
    "maximum_duty_error": _FASTER,
    "minimum_load_current": (
        Move("operation.duty", 1.25, 1.0),
        Move("operation.frequency", 2.0, 3.0),
    ),
    "maximum_gate_voltage": (
        Move(_GATE_RESISTANCE, 2.0, 1.0),
        Move("cell.gate_inductance", 0.5, 3.0),
        Move("cell.driver.supply_voltage", 0.85, 2.0),
    ),
    "negative_gate_voltage": (Move(_GATE_RESISTANCE, 2.0, 1.0), Move("cell.gate_inductance", 0.5, 3.0)),
    "gate_voltage_when_off": (
        *(
            Move(path, factor, 1.0)
            for path in (_GATE_RESISTANCE, _TURN_OFF_RESISTANCE)
            for factor in (0.5, 2.0)
        ),
        Move("cell.gate_inductance", 0.5, 3.0),
        Move("cell.loop_inductance", 0.5, 3.0),
    ),
    "time_to_turn_on": _FASTER,
    "time_to_turn_off": _FASTER,
    "safe_operating_area": (*_COOLER, *_CALMER),
    "driver_current": (Move(_GATE_RESISTANCE, 2.0, 1.0),),
    "driver_temperature": _LESS_CHARGE,
    "gate_resistor_loss": _LESS_CHARGE,
    "bus_ripple": (Move("cell.bus.bulk_capacitance", 2.0, 1.0),),
    "driver_supply_droop": (
        Move("cell.driver_decoupling.capacitance", 2.0, 1.0),
        Move("cell.driver_decoupling.inductance", 0.5, 2.0),
    ),
    "maximum_driver_loss": _LESS_CHARGE,
}


# Against what a snubber, a wider MOSFET and a stronger driver help.
_RINGS = (
    "maximum_drain_voltage",
    "maximum_overshoot",
    "maximum_avalanche_energy",
    "gate_voltage_when_off",
)
_HEATS = (
    "maximum_junction_temperature",
    "maximum_channel_loss",
    "maximum_total_loss",
    "minimum_efficiency",
    "safe_operating_area",
)
_LATE = (
    *_HEATS,
    "switches_fully",
    "maximum_transition_share",
    "maximum_duty_error",
    "time_to_turn_on",
    "time_to_turn_off",
)


def helpful_moves(design: Design, limit: str) -> Iterator[Move | OtherPart]:
    """Those of the changes against a limit, the name of a check, that this design can take."""
    from_a_pin = isinstance(design.cell.driver, MicrocontrollerPin)
    for move in _HELPS.get(limit, ()):
        if from_a_pin and move.path.startswith("cell.driver."):
            continue  # a pin is as strong as it is
        if can_be_moved(design, move):
            yield move
    if limit in _RINGS:
        yield from _with_snubber(design)
    if limit in _HEATS:
        yield from _with_wider_mosfet(design)
    if from_a_pin and limit in (*_LATE, "driver_current"):
        yield from _instead_of_a_pin(design)
    elif limit in _LATE:
        for name, one in stronger_drivers(design.cell.driver):
            words = replacement_text("driver", name, one, design.cell.driver, " at the same supply")
            yield OtherPart("cell.driver", one, words, 2.0)
    if limit == "floating_gate_voltage":
        words = "a pull-down resistor of 10 kohm from gate to source"
        yield OtherPart("cell.pull_down_resistance", "10 kohm", words, 1.0)


def out_of_runaway(design: Design, limit: str) -> Iterator[Move | OtherPart]:
    """Faster edges, more cooling, a lower frequency, a wider MOSFET; each try is a long simulation."""
    cooled = "mosfet" if limit == "maximum_junction_temperature" else "freewheel"
    moves = [
        Move(f"cell.cooling.{cooled}.case_to_ambient", 0.25, 2.0),
        Move("operation.frequency", 0.5, 4.0),
    ]
    if cooled == "mosfet":
        moves = [Move(path, 0.25, 1.0) for path in (_GATE_RESISTANCE, _TURN_OFF_RESISTANCE)] + moves
    yield from (move for move in moves if can_be_moved(design, move))
    if cooled == "mosfet":
        yield from _with_wider_mosfet(design)


def can_be_moved(design: AnyDesign, move: Move) -> bool:
    """Whether the quantity is there and has a usual value further on."""
    value = value_or_none(design, move.path)
    return isinstance(value, float) and proposed(move.path, value, move.factor) is not None


def value_or_none(design: AnyDesign, path: str) -> object:
    """At a dotted path; ``None`` where a part on the way was left out."""
    value: object = design
    for name in path.split("."):
        value = getattr(value, name, None)
    return value


def _instead_of_a_pin(design: Design) -> Iterator[OtherPart]:
    """A gate driver behind the pin, or a MOSFET that the pin can drive."""
    least, most = design.cell.driver.supply_voltage, design.cell.mosfet.maximum_gate_voltage
    for name in _GATE_DRIVERS:
        driver = _generic(name, GateDriverIC)
        if least <= driver.supply_voltage <= most:
            words = f"a gate driver for {driver.supply_voltage:g} V ({name}) between pin and gate"
            yield OtherPart("cell.driver", driver, words, 2.5)
    for name in _LOGIC_LEVEL:
        mosfet = _generic(name, Mosfet)
        if mosfet.drain_voltage_rating >= 2.0 * design.cell.bus.voltage and design.cell.mosfet != mosfet:
            words = f"a logic-level MOSFET ({name}) in place of this one"
            yield OtherPart("cell.mosfet", mosfet, words, 2.0)
            break


def _with_snubber(design: Design) -> Iterator[OtherPart]:
    """Snubbers for what rings, the larger one only after the usual one."""
    cell = design.cell
    for place, one in enumerate(snubbers(cell, design.operation.frequency)):
        yield OtherPart("cell.snubber", one, snubber_text(cell.snubber, one, ""), 1.5 + 0.5 * place)


def _with_wider_mosfet(design: Design) -> Iterator[OtherPart]:
    """MOSFETs of lower on-resistance and the same voltage class."""
    for name, one in wider_mosfets(design.cell.mosfet, on_voltage(design.cell)):
        alike = ", cooled alike," if value_or_none(design, "cell.cooling.mosfet") else ""
        words = replacement_text("MOSFET", name, one, design.cell.mosfet, alike)
        yield OtherPart("cell.mosfet", one, words, 2.5)
