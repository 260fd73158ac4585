"""Hand formulas beside what was simulated: a table, findings, and each figure explained step by step."""

from __future__ import annotations

import html
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from ..errors import InputError, InputProblem
from ..figures import format_figure, json_value
from ..formulas import Formula
from ..tables import html_table, text_table

__all__ = ["Bias", "Explanation", "Given", "HandFigure", "HandFormulas"]

_HEADER = ("figure", "simulated", "by hand", "ratio", "usual ratio", "note")
_RIGHT = frozenset({1, 2, 3, 4})
_INPUT_HEADER = ("symbol", "value", "meaning", "from")


@dataclass(frozen=True)
class Given:
    """A number that goes into a formula, and where it is from.

    Attributes:
        value: in the SI unit of the formula's parameter.
        origin: fields of the cell, a property of the model, or a simulated figure.
    """

    value: float
    origin: str


@dataclass(frozen=True)
class Bias:
    """How far a hand formula usually is from the truth.

    Attributes:
        low, high: bounds of simulated over by hand beyond which the disagreement is a finding.
        reason: what the formula leaves out.
        source: of the bounds.
    """

    low: float
    high: float
    reason: str
    source: str = "common practice, no source"

    def text(self) -> str:
        """The bounds as text; a dash where there are none."""
        if math.isinf(self.high):
            return "-"
        return f"{self.low:g} to {self.high:g}"


@dataclass(frozen=True, repr=False)
class HandFigure:
    """A figure by hand.

    Attributes:
        name: of the figure, for example ``turn_on_delay``.
        definition: of the figure that was simulated.
        simulated: in the unit of the formula; not a number where nothing simulated corresponds to it.
        formula: by which it is computed.
        inputs: of the formula, by parameter name.
        bias: how far the formula usually is off.
    """

    name: str
    definition: str
    simulated: float
    formula: Formula[...]
    inputs: dict[str, Given]
    bias: Bias

    @property
    def title(self) -> str:
        """The name in words."""
        return self.name.replace("_", " ")

    @property
    def unit(self) -> str:
        """In SI."""
        return self.formula.unit

    @property
    def value(self) -> float:
        """By hand; not a number where the formula has no value."""
        return float(self.formula(**{name: given.value for name, given in self.inputs.items()}))

    @property
    def ratio(self) -> float:
        """Simulated over by hand."""
        return self.simulated / self.value if self.value else math.nan

    @property
    def is_finding(self) -> bool:
        """Whether the two disagree by more than the formula's usual bias."""
        return math.isfinite(self.ratio) and not self.bias.low <= self.ratio <= self.bias.high

    def finding(self) -> str:
        """The disagreement in a sentence; empty if it is none."""
        if not self.is_finding:
            return ""
        simulated, by_hand = (format_figure(value, self.unit) for value in (self.simulated, self.value))
        return (
            f"{self.title}: {simulated} simulated, {by_hand} by hand; the ratio of {self.ratio:.2g} is"
            f" outside {self.bias.text()}. The formula leaves out: {self.bias.reason}."
        )

    def row(self) -> tuple[str, ...]:
        """Name, simulated, by hand, ratio, usual ratio and mark as text."""
        ratio = f"{self.ratio:.2f}" if math.isfinite(self.ratio) else "-"
        values = (format_figure(value, self.unit) for value in (self.simulated, self.value))
        mark = "finding" if self.is_finding else ""
        return (self.title, *values, ratio, self.bias.text(), mark)

    def input_rows(self) -> list[tuple[str, str, str, str]]:
        """Symbol, value, meaning and origin of each input as text."""
        symbols = self.formula.symbols
        return [
            (symbol.text, _number(given.value, symbol.unit), symbol.meaning, given.origin)
            for symbol, given in ((symbols[name], given) for name, given in self.inputs.items())
        ]

    def to_mapping(self) -> dict[str, Any]:
        """Everything as plain numbers and text; a figure that does not exist is ``None``."""
        return {
            "name": self.name,
            "unit": self.unit,
            "simulated": json_value(self.simulated),
            "by_hand": json_value(self.value),
            "ratio": json_value(self.ratio),
            "usual_ratio": [self.bias.low, self.bias.high],
            "finding": self.finding(),
            "equation": self.formula.equation,
            "latex": self.formula.latex,
            "source": self.formula.source,
            "inputs": {
                name: {"value": json_value(given.value), "origin": given.origin}
                for name, given in self.inputs.items()
            },
        }

    def _steps(self) -> list[tuple[str, str]]:
        by_hand = _number(self.value, self.unit) if math.isfinite(self.value) else "no value"
        return [
            ("equation", self.formula.equation),
            ("source", self.formula.source),
            ("by hand", by_hand),
            ("usual ratio", f"{self.bias.text()} of simulated to by hand ({self.bias.source})"),
            ("left out", self.bias.reason),
            *([("finding", self.finding())] if self.is_finding else []),
        ]

    def __repr__(self) -> str:
        inputs = text_table(self.input_rows(), _INPUT_HEADER)
        return f"{text_table(self._steps(), right_aligned=frozenset())}\n\n{inputs}"

    def _repr_html_(self) -> str:
        formula = f"<p>$\\displaystyle {html.escape(self.formula.latex)}$</p>"
        return formula + html_table(self._steps()) + html_table(self.input_rows(), _INPUT_HEADER)


@dataclass(frozen=True, repr=False)
class Explanation:
    """What a figure means, what was simulated, and how to get it by hand where that is possible."""

    name: str
    definition: str
    simulated: float
    unit: str
    hand: HandFigure | None

    def _head(self) -> list[tuple[str, str]]:
        return [
            ("figure", self.name.replace("_", " ")),
            ("definition", self.definition),
            ("simulated", format_figure(self.simulated, self.unit)),
        ]

    def __repr__(self) -> str:
        head = text_table(self._head(), right_aligned=frozenset())
        return f"{head}\n\n{self.hand!r}" if self.hand else f"{head}\n\nNo hand formula gives it."

    def _repr_html_(self) -> str:
        tail = self.hand._repr_html_() if self.hand else "<p>No hand formula gives it.</p>"
        return html_table(self._head()) + tail


@dataclass(frozen=True, repr=False)
class HandFormulas:
    """The figures of a result by hand, beside the simulated ones.

    A disagreement beyond a formula's usual bias is a finding: of the circuit, of the model or of the formula.
    """

    title: str
    figures: tuple[HandFigure, ...]

    def __getitem__(self, name: str) -> HandFigure:
        for figure in self.figures:
            if figure.name == name:
                return figure
        raise KeyError(name)

    def __iter__(self) -> Iterator[HandFigure]:
        return iter(self.figures)

    def __len__(self) -> int:
        return len(self.figures)

    @property
    def findings(self) -> tuple[HandFigure, ...]:
        """The figures that disagree by more than the usual bias."""
        return tuple(figure for figure in self.figures if figure.is_finding)

    def explain(self, name: str, simulated: dict[str, tuple[float, str, str]]) -> Explanation:
        """One figure step by step.

        Args:
            name: of a figure by hand or of one of `simulated`; a dot may stand for its first underscore.
            simulated: value, unit and definition of the result's own figures, by name.

        Raises:
            InputError: there is no such figure.
        """
        wanted = name.replace(".", "_")
        by_hand = {figure.name: figure for figure in self.figures}
        found = by_hand.get(wanted)
        if found is not None:
            return Explanation(wanted, found.definition, found.simulated, found.unit, found)
        if wanted in simulated:
            value, unit, definition = simulated[wanted]
            return Explanation(wanted, definition, value, unit, None)
        known = ", ".join(sorted({*by_hand, *simulated}))
        raise InputError([InputProblem("name", repr(name), "no such figure.", hint=f"Known: {known}.")])

    def __repr__(self) -> str:
        table = text_table((figure.row() for figure in self.figures), _HEADER, _RIGHT)
        notes = [f"finding: {figure.finding()}" for figure in self.findings]
        return "\n".join([self.title, table, *notes])

    def _repr_html_(self) -> str:
        notes = "".join(f"<p>{html.escape(figure.finding())}</p>" for figure in self.findings)
        return html_table([figure.row() for figure in self.figures], _HEADER, self.title) + notes


def _number(value: float, unit: str) -> str:
    return "∞" if math.isinf(value) else format_figure(value, unit)
