"""Whether motor, solenoid or LEDs do in a cell what they look like.

Thresholds of the rules are common practice without a source unless one is named.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from .. import formulas
from ..circuit.cell import LowSideCell
from ..circuit.loads import LedString, Motor, Solenoid
from ..circuit.operation import Operation
from ..errors import InputWarning, TopologyWarning
from ..quantities import format_quantity
from .drive import load_current, on_voltage, plateau

__all__ = ["HIGHEST_TONE", "LOW_RISK_OF_FLICKER", "load_warnings", "switched_load_warnings"]

# Of hearing [Hz].
_LOWEST_TONE, HIGHEST_TONE = 20.0, 20e3
# Change of a bus by which the current of LEDs must not change by more than the second number.
_BUS_CHANGE, _CURRENT_CHANGE = 1.05, 1.3
# IEEE Std 1789-2015 (from memory): light that is switched on and off entirely is of low risk from 1250 Hz.
LOW_RISK_OF_FLICKER = 1250.0


def _text(value: float, unit: str) -> str:
    return format_quantity(value, unit, 3)


def load_warnings(cell: LowSideCell) -> Iterator[InputWarning]:
    """Traps of the load at its bus and switch."""
    if isinstance(cell.load, Motor):
        yield from _motor(cell, cell.load)
    elif isinstance(cell.load, Solenoid):
        yield from _solenoid(cell, cell.load)
    elif isinstance(cell.load, LedString):
        yield from _leds(cell, cell.load)


def switched_load_warnings(cell: LowSideCell, operation: Operation) -> Iterator[InputWarning]:
    """Traps of the load at the frequency and duty at which it is switched."""
    if not 0.0 < operation.duty < 1.0:
        return
    given = _text(operation.frequency, "Hz")
    load = cell.load
    if isinstance(load, Motor | Solenoid) and _LOWEST_TONE < operation.frequency < HIGHEST_TONE:
        yield InputWarning(
            "frequency",
            f"the ripple of {given} is a tone that the winding may sing; from 20 kHz on nobody hears it, at "
            "a switching loss that rises with the frequency.",
        )
    if isinstance(load, LedString) and operation.frequency < LOW_RISK_OF_FLICKER:
        yield InputWarning(
            "frequency",
            f"light switched at {given} may flicker; IEEE 1789 sees a low risk from 1.25 kHz on. Some tens "
            "of hertz can trigger seizures in people with photosensitive epilepsy.",
        )
    if isinstance(load, Solenoid):
        yield from _held(cell, load, operation)


def _motor(cell: LowSideCell, motor: Motor) -> Iterator[InputWarning]:
    if motor.back_emf >= cell.bus.voltage:
        given, bus = _text(motor.back_emf, "V"), _text(cell.bus.voltage, "V")
        yield TopologyWarning(
            "load.back_emf",
            f"{given} is not below the bus of {bus}: the motor generates, and drives its current backward "
            "through the body diode whatever the gate does.",
        )
    start = load_current(cell.replace(load=motor.replace(back_emf=0.0)))
    running = load_current(cell)
    # Without back-EMF this is said of the load current itself.
    if not (motor.back_emf > 0.0 and running and start):
        return
    drive, needed = on_voltage(cell), plateau(cell, start)
    if drive <= needed:
        yield InputWarning(
            "load.back_emf",
            f"at 100 % duty a motor at rest takes {_text(start, 'A')}, {start / running:.2g} times what it "
            f"takes at this speed. The MOSFET carries that only above {_text(needed, 'V')} on its gate, "
            f"which gets {_text(drive, 'V')}: limit the current at the start and at a stall.",
        )


def _solenoid(cell: LowSideCell, solenoid: Solenoid) -> Iterator[InputWarning]:
    settled = load_current(cell)
    needed = solenoid.pull_in_current
    if settled is not None and needed is not None and settled < needed:
        yield InputWarning(
            "load.pull_in_current",
            f"the bus drives {_text(settled, 'A')} at most, less than the {_text(needed, 'A')} at which the "
            "armature moves in.",
        )


def _leds(cell: LowSideCell, leds: LedString) -> Iterator[InputWarning]:
    bus = cell.bus.voltage
    if leds.string_voltage >= bus:
        yield InputWarning(
            "load.count",
            f"{leds.count:g} LEDs in series need {_text(leds.string_voltage, 'V')}, the bus is "
            f"{_text(bus, 'V')}: they stay dark or glow.",
        )
        return
    usual, more = (leds.settled_current(v, cell.bus.resistance) for v in (bus, _BUS_CHANGE * bus))
    if more > _CURRENT_CHANGE * usual:
        yield InputWarning(
            "load.resistance",
            f"takes only {_text(bus - leds.string_voltage, 'V')} of the bus: a bus 5 % higher drives "
            f"{more / usual:.2g} times the current, and so does a forward voltage that falls as the LEDs "
            "warm up. Use fewer LEDs in series, or a constant-current source.",
        )


def _held(cell: LowSideCell, solenoid: Solenoid, operation: Operation) -> Iterator[InputWarning]:
    pull_in, hold = solenoid.pull_in_current, solenoid.hold_current
    if cell.freewheel is None:
        return
    drop = cell.freewheel.forward_voltage
    mean = float(formulas.mean_load_current(cell.bus.voltage, operation.duty, drop, 0.0, solenoid.resistance))
    carried = _text(max(mean, 0.0), "A")
    if hold is not None and mean < hold:
        yield InputWarning(
            "duty", f"a mean of about {carried} does not hold the armature, which takes {_text(hold, 'A')}."
        )
    elif pull_in is not None and mean < pull_in:
        time = solenoid.pull_in_time(cell.bus.voltage)
        first = f" Leave the switch on for {_text(time, 's')} first." if math.isfinite(time) else ""
        yield InputWarning(
            "duty",
            f"a mean of about {carried} does not move the armature in, which takes "
            f"{_text(pull_in, 'A')}.{first}",
        )
