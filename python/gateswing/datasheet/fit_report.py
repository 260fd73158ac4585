"""What a fit to a data sheet found, and how far it can be trusted."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeVar

from ..circuit.mosfet import Mosfet
from ..circuit.thermal import FosterLadder
from ..document import table_of
from ..errors import InputWarning, issue
from ..figures import format_figure, json_value
from ..model import choice
from ..tables import Section, html_page, text_page
from .sheet import MosfetSheet

if TYPE_CHECKING:
    from matplotlib.figure import Figure

__all__ = ["FitParameter", "FitRow", "MosfetFit", "row_of"]

# Deviations; common practice, no source. Sheets themselves scatter by more from lot to lot.
_GOOD, _FAIR = 0.05, 0.20

Row = TypeVar("Row", bound="FitRow")

_ROW_HEADER = ("entry", "given", "model", "deviation", "used", "verdict", "condition")
_PARAMETER_HEADER = ("parameter", "value", "state", "range", "starts from")
_RIGHT_ROWS = frozenset({1, 2, 3})


@dataclass(frozen=True)
class FitRow:
    """One printed figure beside the model's.

    Attributes:
        path: in the sheet.
        title: the same in words.
        condition: of the test, as text.
        unit: in SI.
        given, simulated: values in that unit; not a number where the model has none.
        used: whether the fit aimed at it; else it is a check.
    """

    path: str
    title: str
    condition: str
    unit: str
    given: float
    simulated: float
    used: bool

    @property
    def deviation(self) -> float:
        """simulated/given - 1."""
        return self.simulated / self.given - 1.0

    @property
    def verdict(self) -> str:
        """``good`` below 5 %, ``fair`` below 20 %, else ``poor``."""
        size = abs(self.deviation)
        return "good" if size < _GOOD else "fair" if size < _FAIR else "poor"

    def cells(self) -> tuple[str, ...]:
        """The row as text."""
        deviation = "-" if math.isnan(self.deviation) else f"{100 * self.deviation:+.1f} %"
        values = (format_figure(self.given, self.unit), format_figure(self.simulated, self.unit), deviation)
        return (self.title, *values, "yes" if self.used else "no", self.verdict, self.condition)


@dataclass(frozen=True)
class FitParameter:
    """One parameter of the model.

    Attributes:
        path: in :class:`gateswing.Mosfet`.
        unit: in SI.
        value: in that unit.
        low, high: bounds of the fit, or the usual range of a default.
        state: ``fitted``, ``at its bound``, ``not identified`` (the sheet does not tell it apart from others)
            or ``default`` (no entry of a sheet tells it).
        reason: where it starts from, or why it has its default.
    """

    path: str
    unit: str
    value: float
    low: float
    high: float
    state: str
    reason: str

    def cells(self) -> tuple[str, ...]:
        """The parameter as text."""
        low, high = format_figure(self.low, self.unit, 3), format_figure(self.high, self.unit, 3)
        return (self.path, format_figure(self.value, self.unit), self.state, f"{low} to {high}", self.reason)


@dataclass(frozen=True, repr=False)
class MosfetFit:
    """A fitted model.

    Attributes:
        sheet: what was given.
        mosfet: the model.
        report: each printed figure beside the model's.
        parameters: each parameter of the model that the sheet does not print itself.
        thermal: from junction to case; ``None`` where the sheet says nothing of it.
        warnings: what in the sheet contradicts itself or is easily misread.
    """

    sheet: MosfetSheet
    mosfet: Mosfet
    report: tuple[FitRow, ...]
    parameters: tuple[FitParameter, ...]
    thermal: FosterLadder | None = None
    warnings: tuple[InputWarning, ...] = ()

    def row(self, path: str) -> FitRow:
        """The row of an entry such as ``gate_charge.total``.

        Raises:
            InputError: there is no such entry.
        """
        return row_of(self.report, path)

    def in_state(self, state: str) -> tuple[str, ...]:
        """Paths of the parameters in a state."""
        return tuple(parameter.path for parameter in self.parameters if parameter.state == state)

    @property
    def verdict(self) -> str:
        """The worst of all rows."""
        found = {row.verdict for row in self.report}
        return next(word for word in ("poor", "fair", "good") if word in found)

    def summary(self) -> str:
        """The verdict in a sentence or two."""
        worst = max(
            self.report, key=lambda row: math.inf if math.isnan(row.deviation) else abs(row.deviation)
        )
        size = (
            "the model has no such figure"
            if math.isnan(worst.deviation)
            else f"{100 * worst.deviation:+.1f} %"
        )
        parts = [f"Fit {self.verdict}: largest deviation {size}, {worst.title}."]
        if bound := self.in_state("at its bound"):
            parts.append(f"At the bound: {', '.join(bound)}.")
        if unknown := self.in_state("not identified"):
            parts.append(f"The sheet does not determine: {', '.join(unknown)}.")
        return " ".join(parts)

    def plot(self) -> Figure:
        """Capacitances and gate charge curve, model and sheet."""
        from ..plot import plot_fit

        return plot_fit(self)

    def part(self) -> dict[str, Any]:
        """The model as the table ``[cell.mosfet]`` of a design file."""
        return table_of(self.mosfet)

    def warn(self) -> None:
        """Issue the warnings, and another for each figure that the model misses by 20 % or more."""
        issue([*self.warnings, *(_missed(row) for row in self.report if row.verdict == "poor")])

    def to_mapping(self) -> dict[str, Any]:
        """Everything but the sheet as plain data; a figure that does not exist is ``None``."""
        rows = [vars(row) | {"deviation": row.deviation, "verdict": row.verdict} for row in self.report]
        return {
            "verdict": self.verdict,
            "mosfet": self.part(),
            "thermal": self.thermal.model_dump() if self.thermal else None,
            "report": [{key: json_value(value) for key, value in row.items()} for row in rows],
            "parameters": [vars(parameter) for parameter in self.parameters],
            "warnings": [{"path": one.path, "message": one.message} for one in self.warnings],
        }

    def __repr__(self) -> str:
        return text_page(self._sections(), self._notes())

    def _repr_html_(self) -> str:
        return html_page(self._sections(), self._notes())

    def _sections(self) -> list[Section]:
        rows, parameters = ([one.cells() for one in part] for part in (self.report, self.parameters))
        found = [
            Section(self.summary(), rows, _ROW_HEADER, _RIGHT_ROWS),
            Section("", parameters, _PARAMETER_HEADER),
        ]
        if self.thermal:
            elements = zip(self.thermal.resistances, self.thermal.time_constants, strict=True)
            ladder = [(format_figure(each, "K/W"), format_figure(tau, "s")) for each, tau in elements]
            header, right = ("resistance", "time constant"), frozenset({0, 1})
            found.append(Section("Thermal ladder, junction to case", ladder, header, right))
        return found

    def _notes(self) -> list[str]:
        return [f"warning: {warning}" for warning in self.warnings]


def row_of(report: Sequence[Row], path: str) -> Row:
    """The row of a report with that path.

    Raises:
        InputError: there is none.
    """
    rows = {row.path: row for row in report}
    return rows[choice("path", path, rows, "entry")]


def _missed(row: FitRow) -> InputWarning:
    given, found = (format_figure(value, row.unit) for value in (row.given, row.simulated))
    return InputWarning(row.path, f"the fitted model has {found}, the sheet {given}.")
