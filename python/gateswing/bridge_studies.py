"""Questions about a half bridge: its commutations."""

from __future__ import annotations

from typing import Literal

from . import _core
from .bridge_checks import bridge_warnings
from .checks import issue, range_warnings
from .commutation import Commutation, HalfBridgeEdges
from .core import fill
from .edges import TurnOff, TurnOn
from .errors import InputError, InputProblem
from .half_bridge import HalfBridgeCell
from .model import Quantity, argument, at_least, positive
from .studies import ask, common_members, optional

__all__ = ["half_bridge_edges"]

_CURRENT = Quantity("A", "Load current out of the switch node.", allowed=at_least(-2e3, 2e3))
_DEAD_TIME = Quantity("s", "From a command off to the other command on.", allowed=at_least(-1e-3, 1e-3))
_TIME = Quantity("s", "Length of the pulse.", allowed=positive(10.0))


def half_bridge_edges(
    cell: HalfBridgeCell,
    *,
    dead_time: float | str,
    current: float | str | None = None,
    active: Literal["high", "low"] | None = None,
    on_time: float | str | None = None,
    off_time: float | str | None = None,
    relative_tolerance: float = 1e-6,
) -> HalfBridgeEdges:
    """Switch the bridge over and back at a stated load current.

    The other switch is on at first. It is told to turn off at ``-dead_time``, the active one to turn on at 0
    and off at ``on_time``, the other one to turn on again at ``on_time + dead_time``.

    Args:
        cell: the bridge.
        dead_time: from each command "off" to the other switch's command "on" [s]; negative: they overlap.
        current: of the load at the turn-on, positive out of the switch node [A]; left out: that of a constant
            current load, or none.
        active: the switch whose edges are measured; left out: the one that the current makes switch hard, the
            high side for a current out of the node.
        on_time: of the active switch [s]; left out: several times the switching time.
        off_time: recorded after its command "off" [s]; left out: several times the switching time.
        relative_tolerance: of the integrator.

    Returns:
        Figures of both edges and both commutations, energy ledger, waveform. A run that could not finish is
        returned too: its ``status`` says so and its figures are NaN.

    Raises:
        InputError: an argument is out of range, or the load cannot carry the current.
    """
    load_current = _load_current(cell, current)
    side = active or ("low" if load_current < 0.0 else "high")
    if side not in ("high", "low"):
        raise InputError([InputProblem("active", repr(active), "no such switch.", "high, low")])
    gap = argument("dead_time", dead_time, _DEAD_TIME)
    request = fill(
        _core.HalfBridgeRequest(),
        current=load_current,
        active=_core.Side[side],
        dead_time=gap,
        on_time=optional("on_time", on_time, _TIME),
        off_time=optional("off_time", off_time, _TIME),
    )
    found = [*range_warnings(cell), *bridge_warnings(cell)]
    core = ask(_core.half_bridge_edges, lambda: cell.to_core(load_current), request, relative_tolerance)
    issue(found)
    return HalfBridgeEdges(
        **common_members(cell, core, found),
        active=side,
        dead_time=gap,
        current=core.current,
        on_time=core.on_time,
        off_time=core.off_time,
        turn_on=TurnOn.from_core(core.turn_on),
        turn_off=TurnOff.from_core(core.turn_off),
        to_active=Commutation.from_core(core.to_active),
        from_active=Commutation.from_core(core.from_active),
    )


def _load_current(cell: HalfBridgeCell, current: float | str | None) -> float:
    if current is not None:
        return argument("current", current, _CURRENT)
    return (cell.load.constant_current or 0.0) if cell.load else 0.0
