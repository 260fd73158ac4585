"""What to change first: the changes that usually help are simulated, the best one is told with its effect."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

from .design_file import Design
from .errors import InputError
from .figures import format_figure
from .limit_checks import LimitCheck, limit_checks
from .logic_drivers import MicrocontrollerPin
from .part_library import part
from .quantities import format_quantity
from .results import OperatingPoint
from .sweep_run import thread_count

__all__ = ["Change", "next_change"]

Simulate = Callable[[Design, float], OperatingPoint]


@dataclass(frozen=True)
class _Move:
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

    def applied(self, design: Design) -> Design:
        if self.path:
            return design.replace({self.path: self.factor * design.value_at(self.path)})
        return design.replace({"cell.driver": design.cell.driver.push_pull().stronger(self.factor)})

    def text(self, before: Design, after: Design) -> str:
        if not self.path:
            return _driver_text(before, after)
        owner, _, name = self.path.rpartition(".")
        kind = before.value_at(owner).quantity_of(name)
        old, new = (format_quantity(one.value_at(self.path), kind.unit, 3) for one in (before, after))
        of = " of the driver" if owner.endswith("driver") else ""
        return f"{name.replace('_', ' ')}{of} {old} to {new}"


@dataclass(frozen=True)
class _Part:
    """Another part, or one that was missing; a change without steps.

    Attributes:
        path: of the part.
        value: what is put there.
        words: the change in words.
        effort: as of a :class:`_Move`.
    """

    path: str
    value: object
    words: str
    effort: float
    most_steps = 1

    def applied(self, design: Design) -> Design:
        return design.replace({self.path: self.value})

    def text(self, before: Design, after: Design) -> str:  # noqa: ARG002
        return self.words


# Relative tolerance of the integrator while changes are tried. The one that is told is simulated anew.
_TRIAL_TOLERANCE = 1e-4
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
_RANK = {"held": 2, "marginal": 1, "exceeded": 0}


@dataclass(frozen=True)
class Change:
    """A change to a design and what it does, simulated.

    Attributes:
        text: what is changed, from which value to which.
        design: the changed design.
        before, after: the limit that comes first today, and the same limit then.
        checks: all limits then, the smallest margin first.
        total_loss_before, total_loss_after: [W].
    """

    text: str
    design: Design
    before: LimitCheck
    after: LimitCheck
    checks: tuple[LimitCheck, ...]
    total_loss_before: float
    total_loss_after: float

    @property
    def outcome(self) -> str:
        """``held``, ``marginal`` or ``exceeded``, of all limits after the change."""
        return self.checks[0].verdict

    def sentence(self) -> str:
        """The change and its effect."""
        loss = f"total loss {format_figure(self.total_loss_before, 'W', 3)} to {_watt(self.total_loss_after)}"
        if self.before.name == "switches_fully":
            effect = "then it switches fully" if self.after.figure else "and still it does not switch fully"
        elif math.isinf(self.before.figure):
            effect = f"then the {self.before.title} settles at {self.after.shown(3)}"
        elif math.isnan(self.after.figure):
            effect = f"then the {self.before.title} is settled"
        else:
            effect = f"{self.before.title} {self.before.shown(3)} to {self.after.shown(3)}"
        rest = {
            "held": "all limits held",
            "marginal": f"no limit exceeded, closest {self.checks[0].title}",
            "exceeded": f"still exceeded: {self.checks[0].title}",
        }[self.outcome]
        return f"{self.text}: {effect}, {loss}; {rest}."


def next_change(
    design: Design,
    point: OperatingPoint,
    checks: tuple[LimitCheck, ...],
    simulate: Simulate,
    tolerance: float,
) -> Change | None:
    """The change that helps the limiting check of `checks` most.

    Each kind of change that usually helps (common practice, no source) is simulated in steps, a factor of two
    or less each, until all limits hold or it helps no more. One that makes all limits hold wins over one that
    does not, then the one with less effort, then the one with less loss.

    Args:
        design: the design.
        point: its operating point.
        checks: its limits at that point.
        simulate: finds the operating point of a changed design to a relative tolerance of the integrator.
        tolerance: to which `point` was found.

    Returns:
        The change, or ``None`` where none of them helps.
    """
    added = _with_freewheel(design)
    if added is not None:
        found = _simulated(*added, point, checks, simulate, tolerance)
        if found is not None and found.after.margin > checks[0].margin:
            return found
    runs_away = math.isinf(checks[0].figure)
    moves = list(_out_of_runaway(design, checks[0].name) if runs_away else _moves(design, checks[0].name))
    with ThreadPoolExecutor(thread_count(None)) as pool:
        tried = pool.map(lambda move: _pursue(move, design, point, checks, simulate), moves)
        helpful = [(effort, change) for effort, change in tried if change is not None]
    if not helpful:
        return None
    best = max(helpful, key=lambda one: _merit(*one))[1]
    return _simulated(best.design, best.text, point, checks, simulate, tolerance)


def _simulated(
    changed: Design,
    text: str,
    before: OperatingPoint,
    checks: tuple[LimitCheck, ...],
    simulate: Simulate,
    tolerance: float,
) -> Change | None:
    """A change with its figures, simulated as exactly as the design was."""
    found = simulate(changed, tolerance)
    if not found.succeeded:
        return None
    then = limit_checks(changed, found)
    after = _same(checks[0], then)
    return Change(text, changed, checks[0], after, then, before.total_loss, found.total_loss)


def _merit(effort: float, change: Change) -> tuple[float, ...]:
    rank = _RANK[change.outcome]
    if rank:
        return rank, -effort, -change.total_loss_after
    return rank, change.checks[0].margin, -effort


def _pursue(
    move: _Move | _Part,
    design: Design,
    point: OperatingPoint,
    checks: tuple[LimitCheck, ...],
    simulate: Simulate,
) -> tuple[float, Change | None]:
    """The weakest form of a change that makes all limits hold, or the one that helps most, and its effort."""
    best, effort, changed = None, 0.0, design
    for step in range(1, move.most_steps + 1):
        try:
            changed = move.applied(changed)
            found = simulate(changed, _TRIAL_TOLERANCE)
        except InputError:  # beyond what the field allows
            break
        if found.status == "thermal_runaway":
            continue
        if not found.succeeded or _overdrives(changed):
            break
        then = limit_checks(changed, found)
        same = _same(checks[0], then)
        if same.margin <= (best.after if best else checks[0]).margin:
            if best:
                break
            continue
        effort = move.effort * step
        losses = point.total_loss, found.total_loss
        best = Change(move.text(design, changed), changed, checks[0], same, then, *losses)
        if best.outcome == "held":
            break
    return effort, best


def _same(before: LimitCheck, then: tuple[LimitCheck, ...]) -> LimitCheck:
    """The same limit among those of a changed design; held where it does not apply any more."""
    gone = replace(before, figure=math.nan, margin=1.0, verdict="held", reason="")
    return next((one for one in then if one.name == before.name), gone)


def _with_freewheel(design: Design) -> tuple[Design, str] | None:
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


def _overdrives(design: Design) -> bool:
    """Whether the driver's supply exceeds what the gate is rated for."""
    return design.cell.driver.supply_voltage > design.cell.mosfet.maximum_gate_voltage


_GATE_RESISTANCE, _TURN_OFF_RESISTANCE = "cell.gate_resistance", "cell.turn_off_gate_resistance"
_FASTER = (
    _Move(_GATE_RESISTANCE, 0.5, 1.0),
    _Move(_TURN_OFF_RESISTANCE, 0.5, 1.0),
    _Move("cell.driver.supply_voltage", 1.5, 2.0),
    _Move("", 2.0, 2.0),
    _Move("operation.frequency", 0.5, 4.0),
)
_CALMER = (
    _Move(_GATE_RESISTANCE, 2.0, 1.0),
    _Move(_TURN_OFF_RESISTANCE, 2.0, 1.0),
    _Move("cell.loop_inductance", 0.5, 3.0),
)
# What usually helps against each limit; common practice, no source.
_COOLER = (
    *_FASTER,
    _Move("cell.cooling.mosfet.case_to_ambient", 0.5, 2.0),
)
_LESS_CHARGE = (
    _Move("cell.driver.supply_voltage", 0.85, 2.0),
    _Move("operation.frequency", 0.5, 4.0),
)
_HELPS = {
    "maximum_junction_temperature": _COOLER,
    "maximum_freewheel_temperature": (_Move("cell.cooling.freewheel.case_to_ambient", 0.5, 2.0),),
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
        _Move("operation.duty", 1.25, 1.0),
        _Move("operation.frequency", 2.0, 3.0),
    ),
    "maximum_gate_voltage": (
        _Move(_GATE_RESISTANCE, 2.0, 1.0),
        _Move("cell.gate_inductance", 0.5, 3.0),
        _Move("cell.driver.supply_voltage", 0.85, 2.0),
    ),
    "negative_gate_voltage": (_Move(_GATE_RESISTANCE, 2.0, 1.0), _Move("cell.gate_inductance", 0.5, 3.0)),
    "gate_voltage_when_off": (
        *(
            _Move(path, factor, 1.0)
            for path in (_GATE_RESISTANCE, _TURN_OFF_RESISTANCE)
            for factor in (0.5, 2.0)
        ),
        _Move("cell.gate_inductance", 0.5, 3.0),
        _Move("cell.loop_inductance", 0.5, 3.0),
    ),
    "time_to_turn_on": _FASTER,
    "time_to_turn_off": _FASTER,
    "safe_operating_area": (*_COOLER, *_CALMER),
    "driver_current": (_Move(_GATE_RESISTANCE, 2.0, 1.0),),
    "driver_temperature": _LESS_CHARGE,
    "gate_resistor_loss": _LESS_CHARGE,
    "bus_ripple": (_Move("cell.bus.bulk_capacitance", 2.0, 1.0),),
    "driver_supply_droop": (
        _Move("cell.driver_decoupling.capacitance", 2.0, 1.0),
        _Move("cell.driver_decoupling.inductance", 0.5, 2.0),
    ),
    "maximum_driver_loss": _LESS_CHARGE,
}


def _moves(design: Design, limit: str) -> Iterator[_Move | _Part]:
    """Those of the helpful changes that this design can take."""
    helpful = _HELPS.get(limit, ())
    from_a_pin = isinstance(design.cell.driver, MicrocontrollerPin)
    for move in helpful:
        of_the_driver = not move.path or move.path.startswith("cell.driver.")
        if of_the_driver and from_a_pin:
            continue  # a pin is as strong as it is
        if not move.path or _value(design, move.path):
            yield move
    if from_a_pin and any(not move.path for move in helpful):
        yield from _instead_of_a_pin(design)
    if limit == "floating_gate_voltage":
        words = "a pull-down resistor of 10 kohm from gate to source"
        yield _Part("cell.pull_down_resistance", "10 kohm", words, 1.0)


def _out_of_runaway(design: Design, limit: str) -> Iterator[_Move]:
    """More cooling, or where no heat sink is stated a lower frequency; each try is a long simulation."""
    cooled = "mosfet" if limit == "maximum_junction_temperature" else "freewheel"
    path = f"cell.cooling.{cooled}.case_to_ambient"
    yield _Move(path, 0.25, 2.0) if _value(design, path) else _Move("operation.frequency", 0.5, 4.0)


def _value(design: Design, path: str) -> object:
    """At a dotted path; ``None`` where a part on the way was left out."""
    value: object = design
    for name in path.split("."):
        value = getattr(value, name, None)
    return value


def _instead_of_a_pin(design: Design) -> Iterator[_Part]:
    """A gate driver behind the pin, or a MOSFET that the pin can drive."""
    for name, supply in _GATE_DRIVERS:
        if design.cell.driver.supply_voltage <= supply <= design.cell.mosfet.maximum_gate_voltage:
            words = f"a gate driver for {supply:g} V ({name}) between pin and gate"
            yield _Part("cell.driver", part(name), words, 2.5)
    for name, rating in _LOGIC_LEVEL:
        if rating >= 2.0 * design.cell.bus.voltage and design.cell.mosfet != part(name):
            yield _Part("cell.mosfet", part(name), f"a logic-level MOSFET ({name}) in place of this one", 2.0)
            break


def _watt(power: float) -> str:
    return format_figure(power, "W", 3)
