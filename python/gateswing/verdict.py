"""Whether a design keeps its limits, by how much, and which limit comes first."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from .cautions import safety_cautions
from .design_file import Design, Limits
from .errors import InputWarning, SafetyCaution
from .figures import format_figure, json_value
from .results import OperatingFigures, OperatingPoint
from .studies import operating_point
from .tables import html_table, text_table

__all__ = ["FIGURE_OF_LIMIT", "NO_TIME", "LimitCheck", "Verdict", "check"]

# Share of a period that is rounding and not time.
NO_TIME = 1e-9
# The figure that each limit holds for. The gate voltage is judged by its peak of either sign.
FIGURE_OF_LIMIT = {
    "maximum_drain_voltage": "peak_drain_voltage",
    "maximum_gate_voltage": "maximum_gate_voltage",
    "maximum_overshoot": "overshoot",
    "minimum_efficiency": "efficiency",
    "maximum_total_loss": "total_loss",
    "maximum_channel_loss": "channel_loss",
    "maximum_driver_loss": "driver_loss",
    "maximum_transition_share": "transition_share",
}
_HEADER = ("limit", "figure", "allowed", "margin", "verdict")


# What usually helps; common practice, no source.
_ADVICE = {
    "switches_fully": "Lower the frequency, or give the gate more current.",
    "maximum_drain_voltage": "Raise the turn-off gate resistance, shorten the power loop, or add a snubber.",
    "maximum_overshoot": "Raise the turn-off gate resistance, shorten the power loop, or add a snubber.",
    "maximum_gate_voltage": "Shorten the gate loop, raise the gate resistance, or lower the driver's supply.",
    "minimum_efficiency": "Look at the largest loss in the list.",
    "maximum_total_loss": "Look at the largest loss in the list.",
    "maximum_channel_loss": "Lower the gate resistance or the frequency, or take a better MOSFET.",
    "maximum_driver_loss": "Lower the frequency or the driver's supply voltage.",
    "maximum_transition_share": "Lower the frequency, or give the gate more current.",
}


@dataclass(frozen=True)
class LimitCheck:
    """One figure against its limit.

    Attributes:
        name: field of :class:`Limits`, or ``switches_fully``.
        figure: what the design does, in SI units; NaN if the figure does not exist.
        limit: what it may do.
        unit: of both; ``"%"`` for a share.
        margin: distance to the limit as a share of the limit, negative when exceeded. For an efficiency
            it is the
            share of the allowed loss that is left.
        verdict: ``held``, ``marginal`` or ``exceeded``.
        definition: what the figure means.
    """

    name: str
    figure: float
    limit: float
    unit: str
    margin: float
    verdict: str
    definition: str

    @property
    def title(self) -> str:
        """The name in words, without the side of the limit."""
        return self.name.removeprefix("maximum_").removeprefix("minimum_").replace("_", " ")

    @property
    def advice(self) -> str:
        """What usually helps (common practice, no source)."""
        return _ADVICE[self.name]

    def row(self) -> tuple[str, str, str, str, str]:
        """Name, figure, limit, margin and verdict as text."""
        if self.name == "switches_fully":
            return self.title, "yes" if self.figure else "no", "yes", "", self.verdict
        side = "at least" if self.name.startswith("minimum") else "at most"
        limit = f"{side} {format_figure(self.limit, self.unit)}"
        return self.title, format_figure(self.figure, self.unit), limit, f"{self.margin:.0%}", self.verdict


@dataclass(frozen=True, repr=False)
class Verdict:
    """The limits of a design, the most pressing first, and the operating point they were judged at.

    A run without an answer is not judged: then there are no checks.
    """

    design: Design
    point: OperatingPoint
    checks: tuple[LimitCheck, ...]
    warnings: tuple[InputWarning, ...]
    cautions: tuple[SafetyCaution, ...]

    @property
    def limiting(self) -> LimitCheck | None:
        """The check with the smallest margin."""
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
        if first.name == "switches_fully":
            return "Exceeded: the MOSFET does not switch fully within the period."
        figure, limit = format_figure(first.figure, first.unit), format_figure(first.limit, first.unit)
        words = {"held": "All limits held", "marginal": "Marginal", "exceeded": "Exceeded"}[self.outcome]
        closest = "closest is " if self.outcome == "held" else ""
        return f"{words}: {closest}{first.title}, {figure} against {limit} (margin {first.margin:.0%})."

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
            "checks": [
                {key: json_value(value) for key, value in vars(one).items()} | {"title": one.title}
                for one in self.checks
            ],
            "figures": {name: json_value(value) for name, value in self.point.values().items()},
            "losses": {name: json_value(power) for name, power in self.point.losses.items()},
            "energy_residual": json_value(self.point.energy_residual),
            "charge_residual": json_value(self.point.charge_residual),
            "periodicity_residual": json_value(self.point.periodicity_residual),
            "warnings": [{"path": one.path, "message": one.message} for one in self.warnings],
            "cautions": [{"path": one.path, "message": one.message} for one in self.cautions],
        }

    def __repr__(self) -> str:
        if not self.checks:
            return self.sentence()
        table = text_table([one.row() for one in self.checks], _HEADER, frozenset({1, 3}))
        return f"{self.sentence()}\n\n{table}"

    def _repr_html_(self) -> str:
        return html_table([one.row() for one in self.checks], _HEADER, self.sentence())


def check(design: Design) -> Verdict:
    """Simulate a design at its operating point and compare the figures with its limits."""
    operation = design.operation
    point = operating_point(design.cell, frequency=operation.frequency, duty=operation.duty)
    checks = sorted(_checks(design, point), key=lambda one: one.margin) if point.succeeded else []
    hottest = next(iter(point.losses.items()), None)
    cautions = safety_cautions(design.cell, hottest)
    return Verdict(design, point, tuple(checks), point.warnings, tuple(cautions))


def _checks(design: Design, point: OperatingPoint) -> Iterator[LimitCheck]:
    yield _switches_fully(point)
    definitions, units = OperatingFigures.definitions(), OperatingFigures.units()
    gate_peak = max(point.maximum_gate_voltage, -point.minimum_gate_voltage)
    limits = _with_ratings(design)
    for name, source in FIGURE_OF_LIMIT.items():
        limit = getattr(limits, name)
        if limit is not None:
            value = gate_peak if name == "maximum_gate_voltage" else getattr(point, source)
            margin = _margin(name, value, limit)
            verdict = _verdict(margin, limits.margin)
            yield LimitCheck(name, value, limit, units[source], margin, verdict, definitions[source])


def _with_ratings(design: Design) -> Limits:
    """The design's limits, with the ratings of the MOSFET where it states none."""
    limits, mosfet = design.limits, design.cell.mosfet
    return limits.replace(
        maximum_drain_voltage=limits.maximum_drain_voltage or mosfet.breakdown_voltage,
        maximum_gate_voltage=limits.maximum_gate_voltage or mosfet.maximum_gate_voltage,
    )


def _switches_fully(point: OperatingPoint) -> LimitCheck:
    """Whether the drain reaches both of its levels."""
    off_share = 1.0 - point.on_share - point.transition_share
    full = point.on_share > 0.0 and off_share > NO_TIME
    definition = "v_DS falls below 10 % and rises above 90 % of the bus in every period"
    margin, verdict = (1.0, "held") if full else (-math.inf, "exceeded")
    return LimitCheck("switches_fully", float(full), 1.0, "", margin, verdict, definition)


def _margin(name: str, figure: float, limit: float) -> float:
    if math.isnan(figure):
        return -math.inf
    if name == "minimum_efficiency":
        return (figure - limit) / (1.0 - limit)
    return (limit - figure) / limit


def _verdict(margin: float, marginal_below: float) -> str:
    if margin < 0.0:
        return "exceeded"
    return "marginal" if margin < marginal_below else "held"
