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
        moves: changes that usually help a design against a limit that it exceeds.
    """

    simulate: Callable[[Any, float], Any]
    judged: Judge
    checks: Judge
    moves: Callable[[Any, LimitCheck], Moves]


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


def moves_of(design: Design, check: LimitCheck) -> Moves:
    """The changes to a low-side design against a limit; one without a steady figure is a runaway."""
    others = (out_of_runaway if math.isinf(check.figure) else helpful_moves)(design, check.name)
    return Moves(with_freewheel(design), list(others))


def next_change(
    design: AnyDesign,
    point: AnyPoint,
    checks: tuple[LimitCheck, ...],
    trials: Trials,
    tolerance: float,
) -> Change | None:
    """The change that helps the limiting check of `checks` most.

    Each kind of change that usually helps (common practice, no source) is simulated in steps of about two, to
    values that can be had (:mod:`gateswing.limits.proposals`), until it repairs what is exceeded or helps no
    more; its smallest step that does as much is taken. Where something is exceeded, limits that are only
    marginal do not count. A change after which nothing is exceeded wins over one that leaves something so,
    then the one with less effort, then the one with less loss. Where all is only marginal, a change must make
    the first limit hold and no other worse.

    Args:
        design: the design.
        point: its steady state.
        checks: its limits at that point.
        trials: how a changed design is simulated and judged, and which changes there are.
        tolerance: to which `point` was found.

    Returns:
        The change, or ``None`` where none of them helps noticeably.
    """
    first, moves = trials.moves(design, checks[0])
    if first is not None:
        found = _simulated(*first, point, checks, trials, tolerance)
        if found is not None and _repaired(checks, found) is not None:
            return found
    best = _best_of([_Pursuit(move, design, point, checks, trials) for move in moves])
    return None if best is None else _simulated(best.design, best.text, point, checks, trials, tolerance)


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


class _Pursuit:
    """One kind of change, from its weakest form on, as long as a larger step repairs more.

    Attributes:
        best: the weakest form that repairs as much as any so far: how much, its effort, itself.
        is_over: whether there is no further step.
    """

    def __init__(
        self,
        move: Move | OtherPart,
        design: AnyDesign,
        point: AnyPoint,
        checks: tuple[LimitCheck, ...],
        trials: Trials,
    ) -> None:
        self._move, self._design, self._changed = move, design, design
        self._point, self._checks, self._trials = point, checks, trials
        self._step, self._margin = 1, checks[0].margin
        self.best: tuple[int, float, Change] | None = None
        self.is_over = False

    @property
    def effort(self) -> float:
        """Of the step to be tried next."""
        return self._move.effort * self._step

    def advance(self) -> None:
        """Try the next step."""
        effort = self.effort
        self._step += 1
        self.is_over = self._step > self._move.most_steps
        try:
            changed = self._move.applied(self._changed)
            if changed is None:  # nothing further that is proposed
                self.is_over = True
                return
            self._changed = changed
            found = self._trials.simulate(changed, _TRIAL_TOLERANCE)
        except InputError:  # beyond what the field allows
            self.is_over = True
            return
        if found.status == "thermal_runaway":
            return
        if not found.succeeded or _overdrives(changed):
            self.is_over = True
        else:
            self._judge(found, effort)

    def _judge(self, found: AnyPoint, effort: float) -> None:
        text = self._move.text(self._design, self._changed)
        then, losses = self._trials.checks(self._changed, found), (self._point.total_loss, found.total_loss)
        change = Change(text, self._changed, self._checks, then, *losses)
        rank = _repaired(self._checks, change)
        further = rank is not None and (self.best is None or _goes_further(rank, change, self.best))
        if change.after.margin <= self._margin and self.best is not None and not further:
            self.is_over = True
            return
        self._margin = max(change.after.margin, self._margin)
        if rank is not None and further:
            self.best = rank, effort, change
        self.is_over = self.is_over or rank == _WHOLLY


def _best_of(pursuits: list[_Pursuit]) -> Change | None:
    """The best of several kinds of change, tried in the order of their effort.

    What takes more effort than a change that repairs everything is not tried: it could not win.
    """
    with ThreadPoolExecutor(thread_count(None)) as pool:
        while going := [one for one in pursuits if not one.is_over]:
            effort = min(one.effort for one in going)
            if any(one.best and one.best[0] >= _ALL and _cost(*one.best[:2]) < effort for one in pursuits):
                break
            list(pool.map(_Pursuit.advance, [one for one in going if one.effort == effort]))
    found = [one.best for one in pursuits if one.best is not None]
    return max(found, key=lambda one: _merit(*one))[2] if found else None


def _merit(rank: int, effort: float, change: Change) -> tuple[float, ...]:
    if rank >= _ALL:
        return _ALL, -_cost(rank, effort), -change.total_loss_after
    return rank, change.worst_margin, -effort


def _cost(rank: int, effort: float) -> float:
    """The effort, and what it is worth that a margin is left."""
    return effort + (_CLOSE if rank == _ALL else 0.0)


def _goes_further(rank: int, change: Change, best: tuple[int, float, Change]) -> bool:
    """Whether a larger step is worth it: it repairs more, or comes closer where nothing is repaired."""
    if rank == best[0] == _CLOSER:
        return change.worst_margin > best[2].worst_margin
    return rank > best[0]


def _overdrives(design: AnyDesign) -> bool:
    """Whether a driver's supply exceeds what its gate is rated for."""
    if isinstance(design, BridgeDesign):
        switches = [(one.driver, one.mosfet) for one in (design.half_bridge.high, design.half_bridge.low)]
    else:
        switches = [(design.cell.driver, design.cell.mosfet)]
    return any(driver.supply_voltage > mosfet.maximum_gate_voltage for driver, mosfet in switches)
