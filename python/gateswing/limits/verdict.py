"""Whether a design keeps its limits, by how much, and which limit comes first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Generic, TypeVar, overload

from ..cautions import safety_cautions
from ..circuit.design_file import BridgeDesign, Design
from ..circuit_checks.drive import WARMS
from ..circuit_checks.left_out import issue_once, left_out, left_out_of_bridge, undamped_ring
from ..errors import InputWarning, SafetyCaution, issue
from ..figures import format_figure, json_value
from ..model import require_model
from ..studies.asking import RELATIVE_TOLERANCE, quiet_operating_point
from ..studies.bridge_operation import quiet_half_bridge_point
from ..studies.bridge_point import HalfBridgePoint
from ..studies.results import OperatingPoint
from ..tables import Section, html_page, text_page
from .bridge_changes import bridge_moves
from .bridge_checks import bridge_judged, bridge_limit_checks, bridge_not_judged
from .change import Change
from .checks import LimitCheck, judged, limit_checks, not_judged
from .next_change import Trials, moves_of, next_change
from .order import why_first

__all__ = ["PREVIEW_TOLERANCE", "BridgeVerdict", "Verdict", "check", "quick_check"]

D = TypeVar("D", Design, BridgeDesign)
P = TypeVar("P", OperatingPoint, HalfBridgePoint)

_PART = 0.1  # of a loss, from which on an element is named with it
_RETRY_TOLERANCE = 1e-8
# Enough for a picture.
PREVIEW_TOLERANCE = 1e-3

_HEADER = ("limit", "figure", "allowed", "margin", "verdict")


@dataclass(frozen=True, repr=False)
class BaseVerdict(Generic[D, P]):
    """What verdicts on designs of either kind are made of."""

    design: D
    point: P
    checks: tuple[LimitCheck, ...]
    next_change: Change | None
    not_judged: tuple[str, ...]
    warnings: tuple[InputWarning, ...]
    cautions: tuple[SafetyCaution, ...]

    @property
    def limiting(self) -> LimitCheck | None:
        """The check that comes first, by the order of :mod:`gateswing.limits.order`."""
        return self.checks[0] if self.checks else None

    @property
    def outcome(self) -> str:
        """``held``, ``marginal`` or ``exceeded``, that of the limiting check, or ``not finished``."""
        return self.limiting.verdict if self.limiting else "not finished"

    def sentence(self) -> str:
        """The outcome and the one reason for it."""
        first = self.limiting
        if first is None:
            return f"Not judged: {self.point.message}"
        if self.outcome == "held" and self._heat_not_judged() > WARMS:
            heat = format_figure(self._heat_not_judged(), "W", 2)
            return (
                f"All judged limits held; not judged: junction temperature, with {heat} in the MOSFET. "
                f"Closest is {first.sentence()}"
            )
        if self.outcome == "held":
            return f"All limits held: closest is {first.sentence()}"
        return f"{self.outcome.capitalize()}: {first.sentence()}"

    def _heat_not_judged(self) -> float:
        """Of the MOSFET that loses most among those whose cooling is not given [W]."""
        raise NotImplementedError

    def why_first(self) -> str:
        """Why the first of several exceeded limits comes first; empty where that is plain."""
        return why_first(self.checks, self.point)

    def to_mapping(self) -> dict[str, Any]:
        """Everything as plain numbers and text, for JSON; a figure that does not exist is ``None``."""
        return {
            "schema": 1,
            "title": self.design.title,
            "outcome": self.outcome,
            "sentence": self.sentence(),
            "status": self.point.status,
            "message": self.point.message,
            "limiting": self.limiting.name if self.limiting else None,
            "why_first": self.why_first(),
            "checks": [
                {key: json_value(value) for key, value in vars(one).items()} | {"title": one.title}
                for one in self.checks
            ],
            "not_judged": list(self.not_judged),
            "next_change": self.next_change.sentence() if self.next_change else None,
            "figures": {name: json_value(value) for name, value in self.point.values().items()},
            "losses": {name: json_value(power) for name, power in self.point.losses.items()},
            "losses_by_cause": {
                cause: json_value(power) for cause, power in self.point.losses_by_cause.items()
            },
            "energy_residual": json_value(self.point.energy_residual),
            "charge_residual": json_value(self.point.charge_residual),
            "periodicity_residual": json_value(self.point.periodicity_residual),
            "warnings": [{"path": one.path, "message": one.message} for one in self.warnings],
            "cautions": [{"path": one.path, "message": one.message} for one in self.cautions],
        }

    def __repr__(self) -> str:
        return text_page(self._sections(), self._notes())

    def _repr_html_(self) -> str:
        return html_page(self._sections(), self._notes())

    def _sections(self) -> list[Section]:
        words = [self.sentence(), self.why_first(), self.largest_loss()] if self.checks else [self.sentence()]
        head = " ".join(one for one in words if one)
        return [Section(head, [one.row() for one in self.checks], _HEADER, frozenset({1, 3}))]

    def _notes(self) -> list[str]:
        notes = [f"Assumed: {one}" for one in _left_out(self.design, self.point)] if self.checks else []
        if self.checks and self.not_judged:
            notes.append(f"Not judged, for want of data: {', '.join(self.not_judged)}.")
        if self.next_change:
            notes.append(f"Next change: {self.next_change.sentence()}")
        return notes

    def largest_loss(self) -> str:
        """The cause that loses most, and where, as a sentence."""
        cause, power = next(iter(self.point.losses_by_cause.items()), ("", 0.0))
        total = self.point.total_loss
        if not total > 0.0:
            return ""
        most, all_of_it = format_figure(power, "W", 3), format_figure(total, "W", 3)
        parts = sorted((one for one in self.point.causes if one.cause == cause), key=lambda one: -one.power)
        large = [
            f"{one.element} {format_figure(one.power, 'W', 3)}" for one in parts if one.power > _PART * power
        ]
        where = f": {', '.join(large)}" if len(large) > 1 else ""
        return f"The largest loss is {cause}, {most} of {all_of_it}{where}."


@dataclass(frozen=True, repr=False)
class Verdict(BaseVerdict[Design, OperatingPoint]):
    """The limits of a design, the most pressing first, and the operating point they were judged at.

    A run without an answer is not judged: then there are no checks. ``not_judged`` lists what a design must
    state to be judged by more.
    """

    def _heat_not_judged(self) -> float:
        cooling = self.design.cell.cooling
        return self.point.channel_loss if cooling is None or cooling.mosfet is None else 0.0


@dataclass(frozen=True, repr=False)
class BridgeVerdict(BaseVerdict[BridgeDesign, HalfBridgePoint]):
    """As a :class:`Verdict`, on a half bridge; names of checks of one side hold ``high`` or ``low``.

    The safe operating area of a bridge is not judged.
    """

    def _heat_not_judged(self) -> float:
        bridge = self.design.half_bridge
        sides = ((bridge.high, self.point.high), (bridge.low, self.point.low))
        return max(
            (figures.loss for part, figures in sides if part.cooling is None or part.cooling.mosfet is None),
            default=0.0,
        )


@overload
def check(design: Design) -> Verdict: ...
@overload
def check(design: BridgeDesign) -> BridgeVerdict: ...
def check(design: Design | BridgeDesign) -> Verdict | BridgeVerdict:
    """Simulate a design at its operating point and compare the figures with its limits.

    Where a limit is exceeded or marginal, the changes that usually help are simulated too, and the best one
    is told.

    Raises:
        InputError: it is no design.
    """
    _require_design(design)
    trials = _trials(design)
    point = trials.simulate(design, RELATIVE_TOLERANCE)
    if point.status == "not_periodic":
        # The slowest state may hold on to the errors of the integration.
        point = trials.simulate(design, _RETRY_TOLERANCE)
    issue(point.warnings)
    if isinstance(design, BridgeDesign):
        issue_once(design.half_bridge, _left_out(design, point))
    else:
        issue_once(design.cell, _left_out(design, point))
    checks = trials.judged(design, point)
    change = None
    if checks and checks[0].verdict != "held":
        change = next_change(design, point, checks, trials, RELATIVE_TOLERANCE)
    return _verdict(design, point, checks, change)


@overload
def quick_check(design: Design, *, relative_tolerance: float = ...) -> Verdict: ...
@overload
def quick_check(design: BridgeDesign, *, relative_tolerance: float = ...) -> BridgeVerdict: ...
def quick_check(
    design: Design | BridgeDesign, *, relative_tolerance: float = PREVIEW_TOLERANCE
) -> Verdict | BridgeVerdict:
    """As :func:`check` in some 50 ms: one simulation, no change tried, warnings in the result alone.

    What :func:`explorer` shows. At the tolerance left as it is, losses and peaks of the example differ from
    those of :func:`check` by less than 0.1 %.

    Args:
        design: to be judged.
        relative_tolerance: of the integrator.

    Raises:
        InputError: it is no design.
    """
    _require_design(design)
    trials = _trials(design)
    point = trials.simulate(design, relative_tolerance)
    return _verdict(design, point, trials.judged(design, point), None)


def _require_design(design: object) -> None:
    if not isinstance(design, BridgeDesign):
        hint = "A verdict is on a Design or BridgeDesign: a circuit, its operation, its limits."
        require_model("design", design, Design, hint)


def _verdict(
    design: Design | BridgeDesign, point: Any, checks: tuple[LimitCheck, ...], change: Change | None
) -> Verdict | BridgeVerdict:
    hottest = next(iter(point.losses.items()), None)
    warnings = (*point.warnings, *_left_out(design, point))
    if isinstance(design, BridgeDesign):
        cautions = tuple(safety_cautions(design.half_bridge, hottest))
        lacking = bridge_not_judged(design)
        return BridgeVerdict(design, point, checks, change, lacking, warnings, cautions)
    cautions = tuple(safety_cautions(design.cell, hottest))
    return Verdict(design, point, checks, change, not_judged(design), warnings, cautions)


def _left_out(design: Design | BridgeDesign, point: Any) -> list[InputWarning]:
    """What counts as zero of a design, for the figures that are judged."""
    if isinstance(design, BridgeDesign):
        return left_out_of_bridge(design.half_bridge, design.operation)
    return left_out(design.cell) + undamped_ring(design.cell, point.turn_off.ring_quality)


def _trials(design: Design | BridgeDesign) -> Trials:
    """How designs of that kind are simulated, judged and changed."""
    if isinstance(design, BridgeDesign):
        return Trials(_simulate_bridge, bridge_judged, bridge_limit_checks, bridge_moves)
    return Trials(_simulate, judged, limit_checks, moves_of)


def _simulate(design: Design, relative_tolerance: float) -> OperatingPoint:
    """Without a warning: what is unusual about a tried design is not the caller's doing."""
    operation = design.operation.model_dump()
    return quiet_operating_point(design.cell, **operation, relative_tolerance=relative_tolerance)


def _simulate_bridge(design: BridgeDesign, relative_tolerance: float) -> HalfBridgePoint:
    """Likewise."""
    operation = design.operation.model_dump()
    return quiet_half_bridge_point(design.half_bridge, **operation, relative_tolerance=relative_tolerance)
