"""The changes to a half bridge that usually help against each limit; common practice, no source."""

from __future__ import annotations

from ..circuit.design_file import BridgeDesign
from .helpful_changes import Move, value_or_none
from .next_change import Moves

__all__ = ["bridge_moves"]

_SIDES = ("high", "low")
_OTHER = {"high": "low", "low": "high"}
_RESISTANCES = ("gate_resistance", "turn_off_gate_resistance")

_LONGER = Move("operation.dead_time", 2.0, 0.5)
_SOME_DEAD_TIME = 20e-9  # [s]
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


def bridge_moves(design: BridgeDesign, limit: str, runs_away: bool) -> Moves:
    """Those of the changes against a limit, the name of a check, that this design can take."""
    side = next((one for one in _SIDES if one in limit.split("_")), None)
    if limit in _HELPS or side is None:
        moves = _HELPS.get(limit, [])
    else:
        plain = "_".join(word for word in limit.split("_") if word != side)
        moves = _of_side(side).get(plain, [])
        if runs_away:
            moves = [_cooler(side, "freewheel" if "diode" in plain else "mosfet"), _SLOWER]
    overlap = design.operation.dead_time <= 0.0
    if overlap:
        # A factor would move the commands further together.
        moves = [move for move in moves if move.path != _LONGER.path]
    first = _taken_apart(design) if overlap else None
    return Moves(first, [move for move in moves if value_or_none(design, move.path)])


def _taken_apart(design: BridgeDesign) -> tuple[BridgeDesign, str]:
    """Commands that overlap, or meet, get the same time between them, or some at least."""
    before = design.operation.dead_time
    changed = design.replace({"operation.dead_time": max(-before, _SOME_DEAD_TIME)})
    return changed, _LONGER.text(design, changed)
