"""A change to a design with its simulated effect."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from ..figures import format_figure
from ..tables import Section, html_page, text_page
from .checks import heat_is_not_judged
from .helpful_changes import AnyDesign
from .limit_check import LimitCheck

__all__ = ["Change"]

_HEADER = ("figure", "now", "then", "allowed", "verdict")


@dataclass(frozen=True, repr=False)
class Change:
    """A change to a design and what it does, simulated.

    Attributes:
        text: what is changed, from which value to which.
        design: the changed design.
        checks_before, checks: all limits today and then, in the order in which they are told.
        total_loss_before, total_loss_after: [W].
    """

    text: str
    design: AnyDesign
    checks_before: tuple[LimitCheck, ...]
    checks: tuple[LimitCheck, ...]
    total_loss_before: float
    total_loss_after: float

    @property
    def before(self) -> LimitCheck:
        """The limit that comes first today."""
        return self.checks_before[0]

    @property
    def after(self) -> LimitCheck:
        """The same limit then; held where it does not apply any more."""
        return self._then(self.before)

    @property
    def outcome(self) -> str:
        """``held``, ``marginal`` or ``exceeded``, of all limits after the change."""
        return self.checks[0].verdict

    @property
    def worst_margin(self) -> float:
        """The smallest of all margins then."""
        return min(one.margin for one in self.checks)

    def sentence(self) -> str:
        """The change and its effect."""
        loss = f", total loss {_watt(self.total_loss_before)} to {_watt(self.total_loss_after)}"
        if self.before.name == "maximum_total_loss":
            loss = ""
        return f"{self.text}: {self._effect()}{self._settled()}{loss}; {self._rest()}."

    def _effect(self) -> str:
        before, after = self.before, self.after
        if before.is_yes_or_no:
            return "then it switches fully" if after.figure else "and still it does not switch fully"
        if math.isinf(before.figure):
            return f"then the {before.title} settles at {after.shown(3)}"
        if math.isnan(after.figure):
            return f"then the {before.title} needs no judging any more"
        if math.isnan(before.figure):
            return f"then the {before.title} is {after.shown(3)}"
        return f"{before.title} {before.shown(3)} to {after.shown(3)}"

    def _settled(self) -> str:
        """What ran away today and does not then, beside the limit that comes first."""
        ran_away = [one for one in self.checks_before[1:] if math.isinf(one.figure)]
        return "".join(f", {one.title} settled at {self._then(one).shown(3)}" for one in ran_away)

    def _rest(self) -> str:
        if self.outcome == "held":
            return self._all_held()
        if self.outcome == "marginal":
            return f"no limit exceeded, closest {self.checks[0].title}"
        return f"exceeded then: {', '.join(one.title for one in self.checks if one.verdict == 'exceeded')}"

    def _all_held(self) -> str:
        if heat_is_not_judged(self.design, self.total_loss_after):
            return "all judged limits held, the junction temperature not judged"
        return "all limits held"

    def rows(self) -> list[tuple[str, str, str, str, str]]:
        """Figure, today, then, allowed then and verdicts as text: what is not held, and the loss."""
        rows = []
        known_then = {one.name for one in self.checks}
        for one in self.checks_before:
            then = self._then(one)
            if one.verdict != "held" or then.verdict != "held":
                _, figure, allowed, _, verdict = then.row()
                both = verdict if verdict == one.verdict else f"{one.verdict} to {verdict}"
                if one.name not in known_then:
                    figure, both = "not judged", one.verdict
                rows.append((one.title, one.row()[1], figure, allowed, both))
        known = {one.name for one in self.checks_before}
        for one in self.checks:
            if one.name not in known and one.verdict != "held":
                title, figure, allowed, _, verdict = one.row()
                rows.append((title, "not judged", figure, allowed, verdict))
        losses = (_watt(self.total_loss_before), _watt(self.total_loss_after))
        if "maximum_total_loss" not in {one.name for one in self.checks_before if one.verdict != "held"}:
            rows.append(("total loss", *losses, "", ""))
        return rows

    def __repr__(self) -> str:
        return text_page(self._sections(), self._notes())

    def _repr_html_(self) -> str:
        return html_page(self._sections(), self._notes())

    def _sections(self) -> list[Section]:
        return [Section(f"Next change: {self.text}", self.rows(), _HEADER, frozenset({1, 2}))]

    def _notes(self) -> list[str]:
        rest = self._rest()
        return [f"{rest[0].upper()}{rest[1:]}."]

    def _then(self, before: LimitCheck) -> LimitCheck:
        gone = replace(before, figure=math.nan, margin=1.0, verdict="held", reason="")
        return next((one for one in self.checks if one.name == before.name), gone)


def _watt(power: float) -> str:
    return format_figure(power, "W", 3)
