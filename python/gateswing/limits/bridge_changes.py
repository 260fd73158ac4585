"""The changes to a half bridge that usually help against each limit; common practice, no source."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..circuit.design_file import BridgeDesign
from .helpful_changes import Move, OtherPart, can_be_moved
from .limit_check import LimitCheck, plain_name, side_in
from .next_change import Moves
from .other_parts import bridge_snubbers, replacement_text, snubber_text, stronger_drivers, wider_mosfets
from .proposals import proposed

__all__ = ["bridge_moves"]

_SIDES = ("high", "low")
_OTHER = {"high": "low", "low": "high"}
_RESISTANCES = ("gate_resistance", "turn_off_gate_resistance")

_LONGER = Move("operation.dead_time", 2.0, 0.5)
_SOME_DEAD_TIME = 20e-9  # [s]
_MORE_THAN_NEEDED = 1.25
_SLOWER = Move("operation.frequency", 0.5, 4.0)
_SHORTER_LOOP = Move("half_bridge.loop_inductance", 0.5, 3.0)


def _gates(side: str, factor: float) -> list[Move]:
    """Both gate resistors of a side."""
    return [Move(f"half_bridge.{side}.{name}", factor, 1.0) for name in _RESISTANCES]


def _of_both(factor: float) -> list[Move]:
    return [move for side in _SIDES for move in _gates(side, factor)]


_CALMER = [*_of_both(2.0), _SHORTER_LOOP]
_APART = [_LONGER, *_of_both(0.5)]
_LESS_LOSS = [*_of_both(0.5), _LONGER, Move("operation.dead_time", 0.7, 0.5), _SLOWER]
_HELPS = {
    "dead_time_needed": _APART,
    "shoot_through_loss": _APART,
    "maximum_shoot_through_charge": _APART,
    "switches_fully": [*_of_both(0.5), _SLOWER],
    "minimum_efficiency": _LESS_LOSS,
    "maximum_total_loss": _LESS_LOSS,
    "maximum_output_ripple": [
        Move("half_bridge.output.capacitance", 2.0, 1.0),
        Move("half_bridge.load.inductance", 1.5, 2.0),
    ],
    "minimum_high_supply_voltage": [
        Move("half_bridge.bootstrap.capacitance", 2.0, 1.0),
        Move("half_bridge.bootstrap.resistance", 0.5, 1.0),
    ],
}


def _cooler(side: str, part: str) -> Move:
    return Move(f"half_bridge.{side}.cooling.{part}.case_to_ambient", 0.5, 2.0)


def _of_side(side: str) -> dict[str, list[Move]]:
    """Against the limits of one side, by their names without it."""
    shorter_gate = Move(f"half_bridge.{side}.gate_inductance", 0.5, 3.0)
    calmer_other = _gates(_OTHER[side], 2.0)
    return {
        "maximum_drain_voltage": _CALMER,
        "maximum_avalanche_energy": _CALMER,
        "maximum_gate_voltage": [*_gates(side, 2.0), shorter_gate],
        "negative_gate_voltage": [*_gates(side, 2.0), shorter_gate],
        "minimum_gate_voltage_reached": [*_gates(side, 0.5), _SLOWER],
        "gate_voltage_when_off": [
            *_gates(side, 0.5),
            *calmer_other,
            shorter_gate,
            _SHORTER_LOOP,
        ],
        "maximum_mosfet_loss": _LESS_LOSS,
        "maximum_junction_temperature": [*_LESS_LOSS, _cooler(side, "mosfet")],
        "maximum_diode_temperature": [
            Move("operation.dead_time", 0.7, 0.5),
            _cooler(side, "freewheel"),
        ],
        "maximum_driver_loss": [_SLOWER],
        "driver_current": _gates(side, 2.0),
        "driver_temperature": [_SLOWER],
    }


# Against what a snubber, a wider MOSFET and a stronger driver help, by names without the side.
_RINGS = ("maximum_drain_voltage", "maximum_avalanche_energy", "gate_voltage_when_off")
_HEATS_A_SIDE = ("maximum_mosfet_loss", "maximum_junction_temperature")
_HEATS_BOTH = ("minimum_efficiency", "maximum_total_loss")


def bridge_moves(design: BridgeDesign, check: LimitCheck) -> Moves:
    """Those of the changes against a limit that this design can take."""
    limit, runs_away = check.name, math.isinf(check.figure)
    side, plain = side_in(limit), plain_name(limit)
    if limit in _HELPS or side is None:
        moves = _HELPS.get(limit, [])
    else:
        moves = _of_side(side).get(plain, [])
        if runs_away:
            moves = [_cooler(side, "freewheel" if "diode" in plain else "mosfet"), _SLOWER]
    overlap = design.operation.dead_time <= 0.0
    if overlap:
        # A factor would move the commands further together.
        moves = [move for move in moves if move.path != _LONGER.path]
    first = _taken_apart(design) if overlap else None
    others: list[Move | OtherPart] = [move for move in moves if can_be_moved(design, move)]
    others += _parts(design, side, plain)
    if limit == "dead_time_needed" and not overlap:
        others += _as_needed(design, check.figure)
    return Moves(first, others)


def _parts(design: BridgeDesign, side: str | None, limit: str) -> Iterator[OtherPart]:
    """Other parts against a limit without its side."""
    if limit in _HEATS_BOTH:
        yield from _wider(design, *_SIDES)
    elif side is None:
        return
    elif limit in _RINGS:
        cell, path = design.half_bridge, f"half_bridge.{side}.snubber"
        for place, one in enumerate(bridge_snubbers(cell, side, design.operation.frequency)):
            words = snubber_text(getattr(cell, side).snubber, one, f" of the {side} side")
            yield OtherPart(path, one, words, 1.5 + 0.5 * place)
    elif limit in _HEATS_A_SIDE:
        yield from _wider(design, side)
    elif limit == "minimum_gate_voltage_reached":
        present = getattr(design.half_bridge, side).driver
        for name, driver in stronger_drivers(present):
            detail = f" for the {side} side, at the same supply,"
            words = replacement_text("driver", name, driver, present, detail)
            yield OtherPart(f"half_bridge.{side}.driver", driver, words, 2.0)


def _wider(design: BridgeDesign, *sides: str) -> Iterator[OtherPart]:
    """MOSFETs of lower on-resistance on those sides, where they have the same one today."""
    switches = [getattr(design.half_bridge, side) for side in sides]
    outputs = [one.driver.push_pull() for one in switches]
    if any(one.mosfet != switches[0].mosfet for one in switches):
        return
    owners = " and ".join(f"the {side} side" for side in sides)
    paths = [f"half_bridge.{side}.mosfet" for side in sides]
    gates = [output.supply_voltage - output.source_drop for output in outputs]
    for name, one in wider_mosfets(switches[0].mosfet, *gates):
        alike = ", cooled alike," if switches[0].cooling else ""
        words = replacement_text("MOSFET", name, one, switches[0].mosfet, f" for {owners}{alike}")
        yield OtherPart(paths[0], one, words, 2.5, tuple(paths[1:]))


def _as_needed(design: BridgeDesign, needed: float) -> Iterator[OtherPart]:
    """The dead time that keeps the gates apart [s], and a little more."""
    before = design.operation.dead_time
    longer = proposed(_LONGER.path, before, _MORE_THAN_NEEDED * needed / before)
    if longer is not None and longer > needed:
        words = _LONGER.text(design, design.replace({_LONGER.path: longer}))
        yield OtherPart(_LONGER.path, longer, words, _LONGER.effort)


def _taken_apart(design: BridgeDesign) -> tuple[BridgeDesign, str]:
    """Commands that overlap, or meet, get the same time between them, or some at least."""
    before = design.operation.dead_time
    changed = design.replace({"operation.dead_time": max(-before, _SOME_DEAD_TIME)})
    return changed, _LONGER.text(design, changed)
