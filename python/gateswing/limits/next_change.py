"""What to change first: the changes that usually help are simulated, the best one is told with its effect."""

from __future__ import annotations

import math
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any, NamedTuple

from ..circuit.design_file import BridgeDesign, Design
from ..errors import InputError
from ..studies.bridge_point import HalfBridgePoint
from ..studies.results import OperatingPoint
from ..threads import thread_count
from .change import Change
from .helpful_changes import AnyDesign, Move, OtherPart, helpful_moves, out_of_runaway, with_freewheel
from .limit_check import LimitCheck

__all__ = ["Change", "Moves", "Trials", "moves_of", "next_change"]

AnyPoint = OperatingPoint | HalfBridgePoint
Judge = Callable[[Any, Any], tuple[LimitCheck, ...]]


class Moves(NamedTuple):
    """Changes to try against a limit.

    Attributes:
        first: told if it repairs anything, whatever the others do; or ``None``.
        others: of which the best is told.
    """

    first: tuple[AnyDesign, str] | None
    others: list[Move | OtherPart]


class Trials(NamedTuple):
    """How designs of one kind are tried.

    Attributes:
        simulate: finds the steady state of a design to a relative tolerance of the integrator.
        judged: its limits at any outcome.
        checks: its limits at a finished point.
        moves: changes that usually help a design against a limit; a junction may run away there.
    """

    simulate: Callable[[Any, float], Any]
    judged: Judge
    checks: Judge
    moves: Callable[[Any, str, bool], Moves]


# Relative tolerance of the integrator while changes are tried. The one that is told is simulated anew.
_TRIAL_TOLERANCE = 1e-4
# How much of what is exceeded a change repairs.
_CLOSER, _FIRST, _ALL, _WHOLLY = range(4)
_SEVERITY = {"held": 0, "marginal": 1, "exceeded": 2}
# Share of its excess by which a limit that stays exceeded must have come closer for a change to be told.
_USEFUL = 0.1
# Factor of the total loss beyond which nothing is worth a change after which a limit is exceeded still.
_TOO_DEAR = 2.0
# Effort that a small margin left is worth: one step down in frequency.
_CLOSE = 4.0


def moves_of(design: Design, limit: str, runs_away: bool) -> Moves:
    """The changes to a low-side design."""
    others = (out_of_runaway if runs_away else helpful_moves)(design, limit)
    return Moves(with_freewheel(design), list(others))


def next_change(
    design: AnyDesign,
    point: AnyPoint,
    checks: tuple[LimitCheck, ...],
    trials: Trials,
    tolerance: float,
) -> Change | None:
    """The change that helps the limiting check of `checks` most.

    Each kind of change that usually helps (common practice, no source) is simulated in steps, a factor of two
    or less each, until it repairs what is exceeded or helps no more; its smallest step that does as much is
    taken. Where something is exceeded, limits that are only marginal do not count. A change after which
    nothing is exceeded wins over one that leaves something so, then the one with less effort, then the one
    with less loss. Where all is only marginal, a change must make the first limit hold and no other worse.

    Args:
        design: the design.
        point: its steady state.
        checks: its limits at that point.
        trials: how a changed design is simulated and judged, and which changes there are.
        tolerance: to which `point` was found.

    Returns:
        The change, or ``None`` where none of them helps noticeably.
    """
    first, moves = trials.moves(design, checks[0].name, math.isinf(checks[0].figure))
    if first is not None:
        found = _simulated(*first, point, checks, trials, tolerance)
        if found is not None and _repaired(checks, found) is not None:
            return found
    with ThreadPoolExecutor(thread_count(None)) as pool:
        tried = pool.map(lambda move: _pursue(move, design, point, checks, trials), moves)
        helpful = [one for one in tried if one is not None]
    if not helpful:
        return None
    best = max(helpful, key=lambda one: _merit(*one))[2]
    return _simulated(best.design, best.text, point, checks, trials, tolerance)


def _simulated(
    changed: AnyDesign,
    text: str,
    before: AnyPoint,
    checks: tuple[LimitCheck, ...],
    trials: Trials,
    tolerance: float,
) -> Change | None:
    """A change with its figures, simulated as exactly as the design was."""
    found = trials.simulate(changed, tolerance)
    if not found.succeeded:
        return None
    then = trials.checks(changed, found)
    return Change(text, changed, checks, then, before.total_loss, found.total_loss)


def _repaired(checks: tuple[LimitCheck, ...], change: Change) -> int | None:
    """How much of what is wrong with the checks is repaired; ``None`` for a change not worth telling.

    Wholly: nothing is exceeded, and what was holds with its margin; all: nothing is exceeded; first: the
    first limit is not, another one still is; closer: all of them by some part of the excess.
    """
    before = {one.name: _SEVERITY[one.verdict] for one in checks}
    worse = [one for one in change.checks if _SEVERITY[one.verdict] > before.get(one.name, 0)]
    if change.before.verdict == "marginal":
        return _WHOLLY if change.after.verdict == "held" and not worse else None
    exceeded = {one.name for one in checks if one.verdict == "exceeded"}
    if change.outcome == "exceeded" and change.total_loss_after > _TOO_DEAR * change.total_loss_before:
        return None
    if change.outcome != "exceeded":
        close = any(one.verdict == "marginal" for one in change.checks if one.name in exceeded)
        return _ALL if close else _WHOLLY
    if change.after.verdict != "exceeded" and not any(one.verdict == "exceeded" for one in worse):
        return _FIRST
    worst = min(one.margin for one in checks)
    nearer = change.after.margin >= change.before.margin
    return _CLOSER if nearer and change.worst_margin > (1.0 - _USEFUL) * worst else None


def _merit(rank: int, effort: float, change: Change) -> tuple[float, ...]:
    if rank >= _ALL:
        return _ALL, -effort - (_CLOSE if rank == _ALL else 0.0), -change.total_loss_after
    return rank, change.worst_margin, -effort


def _pursue(
    move: Move | OtherPart,
    design: AnyDesign,
    point: AnyPoint,
    checks: tuple[LimitCheck, ...],
    trials: Trials,
) -> tuple[int, float, Change] | None:
    """The weakest form of a change that repairs as much as any of its forms: how much, its effort, itself."""
    best, margin, changed = None, checks[0].margin, design
    for step in range(1, move.most_steps + 1):
        try:
            changed = move.applied(changed)
            found = trials.simulate(changed, _TRIAL_TOLERANCE)
        except InputError:  # beyond what the field allows
            break
        if found.status == "thermal_runaway":
            continue
        if not found.succeeded or _overdrives(changed):
            break
        losses = point.total_loss, found.total_loss
        then = trials.checks(changed, found)
        change = Change(move.text(design, changed), changed, checks, then, *losses)
        if change.after.margin <= margin and best is not None:
            break
        margin = max(change.after.margin, margin)
        rank = _repaired(checks, change)
        if rank is not None and (best is None or _goes_further(rank, change, best)):
            best = rank, move.effort * step, change
        if rank == _WHOLLY:
            break
    return best


def _goes_further(rank: int, change: Change, best: tuple[int, float, Change]) -> bool:
    """Whether a larger step is worth it: it repairs more, or comes closer where nothing is repaired."""
    if rank == best[0] == _CLOSER:
        return change.worst_margin > best[2].worst_margin
    return rank > best[0]


def _overdrives(design: AnyDesign) -> bool:
    """Whether the driver's supply exceeds what the gate is rated for; that of a bridge is not changed."""
    if isinstance(design, BridgeDesign):
        return False
    return design.cell.driver.supply_voltage > design.cell.mosfet.maximum_gate_voltage
