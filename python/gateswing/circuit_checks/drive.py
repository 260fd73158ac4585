"""Whether drive, freewheel path and operation of a cell do to its MOSFET what they look like.

Thresholds of the rules are common practice without a source unless one is named.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from .. import formulas
from ..circuit.cell import LowSideCell
from ..circuit.logic_drivers import GateDriverIC
from ..circuit.operation import Operation
from ..circuit.temperature import STATED_TEMPERATURE
from ..datasheet import static_figures
from ..errors import InputWarning
from ..quantities import format_quantity

__all__ = [
    "COMPARED_AT",
    "HOT",
    "WARMS",
    "avalanche_energy",
    "breaks_down",
    "commutation_slope",
    "drive_warnings",
    "heat_warnings",
    "highest_current",
    "load_current",
    "loss_warnings",
    "on_voltage",
    "plateau",
]

# Drive above the plateau below which turn-on crawls, as a share of the drive.
_LEAST_EXCESS = 0.15
# On-resistance over that with full drive from which the headline figure misleads.
_MUCH_HIGHER = 1.5
_FULL_DRIVE = 10.0  # [V], where headline figures are stated
# Share of the gate rating above which ringing reaches the rest.
_CLOSE_TO_RATING = 0.85
# Share of the drive that a pull-down resistor may take.
_DIVIDER_LOSS = 0.05
# Share of the hot threshold of a typical part above which an off-state level is no off; the lowest part of
# a type begins at two thirds of it.
_MOST_REST = 0.4
# Silicon Schottky diodes end about here [V]; what blocks more stores charge.
_MOST_SCHOTTKY = 250.0
# Loss in one part from which its junction is far from 25 degrees Celsius without a heat sink [W].
WARMS = 1.0
HOT = 398.15  # 125 degrees Celsius [K]
COMPARED_AT = 1.0  # drain current at which on-resistances are compared [A]


def _volts(value: float) -> str:
    return format_quantity(value, "V", 3)


def _amps(value: float) -> str:
    return format_quantity(value, "A", 3)


def on_voltage(cell: LowSideCell) -> float:
    """Gate voltage [V] that the driver settles at, less what a pull-down resistor takes."""
    driver = cell.driver.push_pull()
    return (driver.supply_voltage - driver.source_drop) * _divider(cell)


def _divider(cell: LowSideCell) -> float:
    return cell.pull_down_share(cell.driver.push_pull().source_resistance + cell.gate_resistance)


def load_current(cell: LowSideCell) -> float | None:
    """Current [A] of the load with the switch on for good; ``None`` when nothing but the switch limits it."""
    if math.isinf(cell.load.settled_current(cell.bus.voltage)):
        return None
    return cell.load.settled_current(cell.bus.voltage, cell.bus.resistance + cell.loop_resistance)


def highest_current(cell: LowSideCell, operation: Operation) -> float | None:
    """Estimate of the load current [A] at the turn-off, in steady state; ``None`` as of :func:`load_current`.

    By the exponentials of the R-L-E circuit, which the freewheel diode, a clamp or the breakdown of the
    MOSFET lets decay.
    """
    load, settled = cell.load, load_current(cell)
    resistance = float(load.to_core().resistance)
    if not settled or settled < 0.0 or load.inductance == 0.0 or operation.duty >= 1.0:
        return settled
    on = {
        "voltage": cell.bus.voltage,
        "duty": operation.duty,
        "opposing_voltage": load.opposing_voltage(settled),
        "resistance": resistance,
        "inductance": load.inductance,
        "frequency": operation.frequency,
    }
    from_rest = float(formulas.current_from_rest(**on))
    decay = _decay_voltage(cell, from_rest, operation.frequency)
    if decay <= 0.0:
        return settled
    valley = max(0.0, float(formulas.valley_current(forward_voltage=decay, **on)))
    left = math.exp(-operation.duty * resistance / (load.inductance * operation.frequency))
    return min(settled, from_rest + valley * left)


def _decay_voltage(cell: LowSideCell, current: float, frequency: float) -> float:
    """Estimate of the voltage [V] against the load current after a turn-off at a current [A]."""
    if cell.freewheel:
        return cell.freewheel.forward_voltage
    held = _held_drain_voltage(cell) - cell.bus.voltage
    if cell.rcd_clamp is None:
        return held
    # Its capacitor settles where the resistor turns into heat what that current leaves in every period.
    power = 0.5 * cell.load.inductance * current**2 * frequency
    settled = math.sqrt(power * cell.rcd_clamp.resistance)
    return min(held, settled + cell.rcd_clamp.diode.forward_voltage)


def _held_drain_voltage(cell: LowSideCell) -> float:
    """At which the first of zener clamps and breakdown holds the drain [V]."""
    held = cell.mosfet.breakdown_voltage
    if cell.drain_source_clamp:
        held = min(held, cell.drain_source_clamp.voltage)
    if cell.drain_gate_clamp:
        # It has to turn the MOSFET on.
        held = min(held, cell.drain_gate_clamp.voltage + cell.mosfet.channel.threshold_voltage)
    return held


def breaks_down(cell: LowSideCell) -> bool:
    """Whether nothing but the breakdown of the MOSFET takes the current of the load at a turn-off."""
    takes_over = cell.freewheel is not None or cell.rcd_clamp is not None
    alone = not takes_over and _held_drain_voltage(cell) >= cell.mosfet.breakdown_voltage
    return alone and cell.load.inductance > 0.0


def plateau(cell: LowSideCell, current: float) -> float:
    """Gate voltage [V] above which the MOSFET carries a current [A], at the temperature of the cell."""
    return float(
        static_figures.plateau_voltage(cell.mosfet, current, junction_temperature=cell.junction_temperature)
    )


def avalanche_energy(cell: LowSideCell, current: float) -> float:
    """Energy [J] that a turn-off at a current [A] leaves in the MOSFET that nothing spares it."""
    breakdown, bus = cell.mosfet.breakdown_voltage, cell.bus.voltage
    if bus >= breakdown:
        return math.inf
    # A voltage against the current helps the clamp as much as a lower bus would.
    driving = bus - cell.load.opposing_voltage(current)
    return float(formulas.clamp_energy(cell.load.inductance, current, breakdown, driving))


def commutation_slope(cell: LowSideCell) -> float | None:
    """Estimate of di/dt at turn-on [A/s]: what the loop allows, or gate and source inductance if slower.

    With a linear transconductance g, di/dt = (V_drive - V_plateau)/(R C_iss/g + L_S) at the end of the rise.
    """
    current = load_current(cell)
    excess = on_voltage(cell) - plateau(cell, current) if current else 0.0
    if excess <= 0.0:
        return None
    fet = cell.mosfet
    gate = cell.driver.push_pull().source_resistance + cell.gate_resistance + fet.internal_gate_resistance
    charge_time = gate * float(fet.capacitances(0.0, cell.bus.voltage)["ciss"])
    source = fet.source_inductance + cell.common_source_inductance
    loop = cell.commutation_inductance
    by_gate = excess / (charge_time / float(static_figures.transconductance(fet, current or 0.0)) + source)
    return min(by_gate, cell.bus.voltage / loop) if loop > 0.0 else by_gate


def drive_warnings(cell: LowSideCell, operation: Operation | None = None) -> list[InputWarning]:
    """Traps of the gate drive and of the freewheel path; of a cell alone, those of its load at full duty."""
    return [*_plateau(cell, operation), *_gate_levels(cell), *_freewheel(cell)]


def _plateau(cell: LowSideCell, operation: Operation | None) -> Iterator[InputWarning]:
    drive = on_voltage(cell)
    current = load_current(cell) if operation is None else highest_current(cell, operation)
    at = f"the load's {_amps(current)}" if current else ""
    if operation is None and cell.load.inductance > 0.0:
        at += " at 100 % duty"
    locked_out = isinstance(cell.driver, GateDriverIC) and cell.driver.is_locked_out
    if not current or locked_out or drive <= cell.mosfet.channel.threshold_voltage:
        return
    needed = plateau(cell, current)
    if drive <= needed:
        yield InputWarning(
            "driver.supply_voltage",
            f"the gate gets {_volts(drive)}, but the MOSFET carries {at} only above "
            f"{_volts(needed)}: it never switches on fully.",
        )
    elif drive - needed < _LEAST_EXCESS * drive:
        yield InputWarning(
            "driver.supply_voltage",
            f"the gate gets {_volts(drive)}, only {_volts(drive - needed)} above the plateau of "
            f"{_volts(needed)} at {at}: the turn-on crawls while the turn-off does not.",
        )
    else:
        yield from _on_resistance(cell, drive, current)


def _on_resistance(cell: LowSideCell, drive: float, current: float) -> Iterator[InputWarning]:
    full = min(_FULL_DRIVE, cell.mosfet.maximum_gate_voltage)
    if drive >= full:
        return
    here, best = (
        float(
            static_figures.on_resistance(
                cell.mosfet, gate, current, junction_temperature=cell.junction_temperature
            )
        )
        for gate in (drive, full)
    )
    if here > _MUCH_HIGHER * best:
        given, headline = (format_quantity(one, "ohm", 3) for one in (here, best))
        yield InputWarning(
            "driver.supply_voltage",
            f"with {_volts(drive)} on the gate the on-resistance is {given}, not the {headline} of "
            f"{_volts(full)}.",
        )


def _gate_levels(cell: LowSideCell) -> Iterator[InputWarning]:
    driver, limit = cell.driver.push_pull(), cell.mosfet.maximum_gate_voltage
    if _CLOSE_TO_RATING * limit < driver.supply_voltage <= limit:
        yield InputWarning(
            "driver.supply_voltage",
            f"{_volts(driver.supply_voltage)} leaves {_volts(limit - driver.supply_voltage)} to the rated "
            f"gate voltage of {_volts(limit)}; ringing at the die, unseen at the pins, may exceed it.",
        )
    if _divider(cell) < 1.0 - _DIVIDER_LOSS:
        yield InputWarning(
            "pull_down_resistance",
            f"divides the driver's {_volts(driver.supply_voltage - driver.source_drop)} down to "
            f"{_volts(on_voltage(cell))} at the gate.",
        )
    off, hot_threshold = driver.off_voltage + driver.sink_drop, _hot_threshold(cell)
    if off > _MOST_REST * hot_threshold:
        yield InputWarning(
            "driver",
            f"the output rests at {_volts(off)} when off; at 125 degC the MOSFET begins to conduct at "
            f"{_volts(hot_threshold)}.",
        )


def _hot_threshold(cell: LowSideCell) -> float:
    return float(cell.mosfet.to_core(HOT).channel.threshold_voltage)


def _freewheel(cell: LowSideCell) -> Iterator[InputWarning]:
    diode = cell.freewheel
    rated = diode.repetitive_peak_reverse_voltage if diode else None
    if diode is None or rated is None or rated <= _MOST_SCHOTTKY or diode.transit_time > 0.0:
        return
    yield InputWarning(
        "freewheel",
        f"a silicon diode for {_volts(rated)} stores charge, but no recovery is given: turn-on loss and peak "
        "current come out too small.",
    )


def loss_warnings(cell: LowSideCell, operation: Operation) -> list[InputWarning]:
    """An avalanche in every period, where no freewheel diode or clamp takes the current."""
    if not breaks_down(cell) or not 0.0 < operation.duty < 1.0:
        return []
    current = highest_current(cell, operation)
    if not current:
        return []
    energy = avalanche_energy(cell, current)
    pulses = format_quantity(operation.frequency, "Hz", 3)
    return [
        InputWarning(
            "freewheel",
            f"left out: every turn-off leaves about {format_quantity(energy, 'J', 3)} in the breakdown of "
            f"the MOSFET, at {pulses} about {format_quantity(energy * operation.frequency, 'W', 3)}; a "
            "single-pulse rating does not cover that.",
        )
    ]


def heat_warnings(cell: LowSideCell, heat: float, current: float) -> list[InputWarning]:
    """A MOSFET that is simulated at 25 degC though its losses do not leave it there.

    Args:
        cell: the circuit.
        heat: simulated mean loss in the MOSFET, conduction and switching [W].
        current: mean load current [A], at which its on-resistance is compared.
    """
    cooled = cell.cooling is not None and cell.cooling.mosfet is not None
    if cell.junction_temperature != STATED_TEMPERATURE or cooled or not heat > WARMS:
        return []
    return [
        InputWarning(
            "junction_temperature",
            f"the MOSFET turns {format_quantity(heat, 'W', 2)} into heat, but it is simulated at 25 degC"
            f"{_hot_resistance(cell, current)}. State its temperature, or its cooling.",
        )
    ]


def _hot_resistance(cell: LowSideCell, current: float) -> str:
    """How much more a hot channel resists, where the gate turns it on fully."""
    drive = on_voltage(cell)
    if not current > 0.0 or drive <= plateau(cell, current):
        return ""
    cold, hot = (
        float(static_figures.on_resistance(cell.mosfet, drive, current, junction_temperature=one))
        for one in (STATED_TEMPERATURE, HOT)
    )
    return f"; at 125 degC its on-resistance is {hot / cold:.2g} times that" if math.isfinite(hot) else ""
