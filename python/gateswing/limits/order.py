"""Which limit comes first.

The order is common practice, without a source:

1. Exceeded limits come before marginal ones, and those before the held.
2. Among equals the smallest margin comes first. The safe operating area gives way to a plainer limit that
   says the same, and what a part keeps to its rating by itself comes last.
3. A limit from which another exceeded one follows comes before that one, whatever the margins are: what has
   to be mended is the cause. Which follow from which says the table `_CONSEQUENCES`. Heat counts as a
   consequence only of what makes a tenth of the losses or more.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Protocol

from .limit_check import LimitCheck, plain_name, side_in

__all__ = ["most_pressing_first", "why_first"]

# Difference of margins below which two limits say the same.
_REPEATED = 0.02
# Of all losses, from which on a cause is one of the heat.
_NOTABLE = 0.1
_SEVERITY = {"exceeded": 0, "marginal": 1, "held": 2}

_SHOOT_THROUGH = ("shoot_through_loss", "maximum_shoot_through_charge")
_VOLTAGE = ("maximum_drain_voltage", "maximum_avalanche_energy")
_HEAT = frozenset(
    {
        "maximum_junction_temperature",
        "maximum_freewheel_temperature",
        "maximum_diode_temperature",
        "maximum_channel_loss",
        "maximum_mosfet_loss",
        "maximum_total_loss",
        "minimum_efficiency",
        "safe_operating_area",
    }
)
# Names of limits, without their side, and of those that follow directly; "losses by cause" says of what.
_CONSEQUENCES: dict[str, tuple[str, ...]] = {
    "minimum_supply_voltage": ("minimum_gate_voltage_reached", "switches_fully"),
    "minimum_gate_voltage_reached": ("switches_fully",),
    "switches_fully": ("time_to_turn_on", "time_to_turn_off", "maximum_duty_error", *sorted(_HEAT)),
    "dead_time_needed": (*_SHOOT_THROUGH, "gate_voltage_when_off"),
    "gate_voltage_when_off": _SHOOT_THROUGH,
    **dict.fromkeys(_SHOOT_THROUGH, (*_VOLTAGE, *sorted(_HEAT))),
    "maximum_avalanche_energy": ("maximum_drain_voltage", *sorted(_HEAT)),
}
# By which cause of loss they heat.
_HEATS_BY = {
    **dict.fromkeys(_SHOOT_THROUGH, "shoot-through"),
    "maximum_avalanche_energy": "avalanche",
}


class _HasLosses(Protocol):
    @property
    def losses_by_cause(self) -> Mapping[str, float]: ...
    @property
    def total_loss(self) -> float: ...


def most_pressing_first(checks: Iterable[LimitCheck], point: _HasLosses) -> tuple[LimitCheck, ...]:
    """Checks in the order in which they are told; `point` has the losses by cause."""
    by_margin = sorted(checks, key=_urgency)
    exceeded = [one for one in by_margin if one.verdict == "exceeded"]
    ordered: list[LimitCheck] = []

    def place(check: LimitCheck) -> None:
        for cause in exceeded:
            if cause not in ordered and _follows(check, cause, point):
                place(cause)
        if check not in ordered:
            ordered.append(check)

    for check in exceeded:
        place(check)
    return (*ordered, *by_margin[len(exceeded) :])


def why_first(checks: Sequence[LimitCheck], point: _HasLosses) -> str:
    """Why the first of several exceeded limits comes first, as a sentence; empty where it is plain."""
    exceeded = [one for one in checks if one.verdict == "exceeded"]
    if len(exceeded) < 2:
        return ""
    following: list[LimitCheck] = []
    for one in exceeded[1:]:
        if any(_follows(one, cause, point) for cause in (exceeded[0], *following)):
            following.append(one)
    if not following and exceeded[0].margin > min(one.margin for one in exceeded):
        return (
            f"Of {len(exceeded)} limits exceeded it comes first: the safe operating area is exceeded by "
            "hardly more, and this one says it more plainly."
        )
    if not following:
        return f"Of {len(exceeded)} limits exceeded it comes first, exceeded by the largest share."
    names = [one.title for one in following]
    listed = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
    return f"Of {len(exceeded)} limits exceeded it comes first, since {listed} may follow from it."


def _urgency(check: LimitCheck) -> tuple[int, float]:
    if check.keeps_by_itself and check.verdict == "held":
        return _SEVERITY["held"] + 1, check.margin
    repeats = _REPEATED if check.name == "safe_operating_area" else 0.0
    return _SEVERITY[check.verdict], check.margin + repeats


def _follows(check: LimitCheck, cause: LimitCheck, point: _HasLosses) -> bool:
    """Whether one exceeded limit is a direct consequence of another one."""
    sides = {side_in(check.name), side_in(cause.name)} - {None}
    consequence, origin = plain_name(check.name), plain_name(cause.name)
    if len(sides) > 1 or consequence not in _CONSEQUENCES.get(origin, ()):
        return False
    if consequence not in _HEAT or origin not in _HEATS_BY:
        return True
    return point.losses_by_cause.get(_HEATS_BY[origin], 0.0) >= _NOTABLE * point.total_loss
