"""The changes that usually help against each limit; common practice, no source."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ..circuit.design_file import BridgeDesign, Design
from ..circuit.logic_drivers import MicrocontrollerPin
from ..library.part_library import part
from ..quantities import format_quantity

__all__ = [
    "AnyDesign",
    "Move",
    "OtherPart",
    "helpful_moves",
    "out_of_runaway",
    "value_or_none",
    "with_freewheel",
]

AnyDesign = Design | BridgeDesign
# Whose quantity it is, where that is not plain.
_OWNERS = {"driver": " of the driver", ".high": " of the high side", ".low": " of the low side"}


@dataclass(frozen=True)
class Move:
    """One step of a kind of change.

    Attributes:
        path: the quantity that is changed; empty for the strength of the driver.
        factor: by which it is multiplied.
        effort: how unwelcome a step is, against that of another resistor; common practice, no source.
    """

    path: str
    factor: float
    effort: float
    most_steps = 4  # a factor of 16 in the end

    def applied(self, design: AnyDesign) -> AnyDesign:
        """The changed design."""
        if self.path or isinstance(design, BridgeDesign):
            return design.replace({self.path: self.factor * design.value_at(self.path)})
        return design.replace({"cell.driver": design.cell.driver.push_pull().stronger(self.factor)})

    def text(self, before: AnyDesign, after: AnyDesign) -> str:
        """The change from one design to the other in words."""
        if isinstance(before, Design) and isinstance(after, Design) and not self.path:
            return _driver_text(before, after)
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
    """

    path: str
    value: object
    words: str
    effort: float
    most_steps = 1

    def applied(self, design: AnyDesign) -> AnyDesign:
        """The changed design."""
        return design.replace({self.path: self.value})

    def text(self, before: AnyDesign, after: AnyDesign) -> str:  # noqa: ARG002
        """The change in words."""
        return self.words


# Generic parts of the library and the voltage that they block [V].
_FREEWHEEL_DIODES = (
    ("schottky-40V", 40.0),
    ("schottky-60V", 60.0),
    ("schottky-100V", 100.0),
    ("ultrafast-200V", 200.0),
    ("ultrafast-600V", 600.0),
    ("fast-1000V", 1000.0),
)
# Likewise MOSFETs for a drive of a few volts.
_LOGIC_LEVEL = (("logic-30V", 30.0), ("logic-60V", 60.0), ("logic-100V", 100.0))
# What a pin may drive instead of the gate, and its supply [V].
_GATE_DRIVERS = (("driver-ic-5V", 5.0), ("driver-ic-weak", 12.0))


def with_freewheel(design: Design) -> tuple[Design, str] | None:
    """A generic diode that blocks twice the bus, where an inductive load has none."""
    if design.cell.freewheel is not None or not design.cell.has_inductive_load:
        return None
    for name, rating in _FREEWHEEL_DIODES:
        if rating >= 2.0 * design.cell.bus.voltage:
            return design.replace(
                {"cell.freewheel": part(name)}
            ), f"a freewheel diode ({name}) across the load"
    return None


def _driver_text(before: Design, after: Design) -> str:
    old, new = (one.cell.driver.push_pull() for one in (before, after))
    times = old.source_resistance / new.source_resistance
    values = [
        format_quantity(new.source_resistance, "ohm", 3),
        format_quantity(new.sink_resistance, "ohm", 3),
    ]
    limits = [limit for limit in (new.source_current_limit, new.sink_current_limit) if limit is not None]
    amperes = f", at least {format_quantity(min(limits), 'A', 3)}" if limits else ""
    return f"a driver {times:.0f} times as strong ({values[0]} sourcing, {values[1]} sinking{amperes})"


_GATE_RESISTANCE, _TURN_OFF_RESISTANCE = "cell.gate_resistance", "cell.turn_off_gate_resistance"
_FASTER = (
    Move(_GATE_RESISTANCE, 0.5, 1.0),
    Move(_TURN_OFF_RESISTANCE, 0.5, 1.0),
    Move("cell.driver.supply_voltage", 1.5, 2.0),
    Move("", 2.0, 2.0),
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


def helpful_moves(design: Design, limit: str) -> Iterator[Move | OtherPart]:
    """Those of the changes against a limit, the name of a check, that this design can take."""
    helpful = _HELPS.get(limit, ())
    from_a_pin = isinstance(design.cell.driver, MicrocontrollerPin)
    for move in helpful:
        of_the_driver = not move.path or move.path.startswith("cell.driver.")
        if of_the_driver and from_a_pin:
            continue  # a pin is as strong as it is
        if not move.path or value_or_none(design, move.path):
            yield move
    if from_a_pin and any(not move.path for move in helpful):
        yield from _instead_of_a_pin(design)
    if limit == "floating_gate_voltage":
        words = "a pull-down resistor of 10 kohm from gate to source"
        yield OtherPart("cell.pull_down_resistance", "10 kohm", words, 1.0)


def out_of_runaway(design: Design, limit: str) -> Iterator[Move]:
    """More cooling, or a lower frequency; each try is a long simulation."""
    cooled = "mosfet" if limit == "maximum_junction_temperature" else "freewheel"
    path = f"cell.cooling.{cooled}.case_to_ambient"
    if value_or_none(design, path):
        yield Move(path, 0.25, 2.0)
    yield Move("operation.frequency", 0.5, 4.0)


def value_or_none(design: AnyDesign, path: str) -> object:
    """At a dotted path; ``None`` where a part on the way was left out."""
    value: object = design
    for name in path.split("."):
        value = getattr(value, name, None)
    return value


def _instead_of_a_pin(design: Design) -> Iterator[OtherPart]:
    """A gate driver behind the pin, or a MOSFET that the pin can drive."""
    for name, supply in _GATE_DRIVERS:
        if design.cell.driver.supply_voltage <= supply <= design.cell.mosfet.maximum_gate_voltage:
            words = f"a gate driver for {supply:g} V ({name}) between pin and gate"
            yield OtherPart("cell.driver", part(name), words, 2.5)
    for name, rating in _LOGIC_LEVEL:
        if rating >= 2.0 * design.cell.bus.voltage and design.cell.mosfet != part(name):
            yield OtherPart(
                "cell.mosfet", part(name), f"a logic-level MOSFET ({name}) in place of this one", 2.0
            )
            break
