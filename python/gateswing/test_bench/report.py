"""What the virtual test bench found: each figure of a sheet beside the simulated one."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ..cautions import ESTIMATE
from ..circuit.mosfet import Mosfet
from ..datasheet.fit_report import FitRow, row_of
from ..datasheet.sheet import MosfetSheet
from ..errors import InputWarning, SafetyCaution
from ..figures import json_value
from ..studies.results import DoublePulse
from ..tables import html_table, text_table
from .part_tests import AvalancheTest, GateChargeTest, RecoveryTest

if TYPE_CHECKING:
    from matplotlib.figure import Figure

__all__ = ["BenchReport", "BenchRow"]

_HEADER = ("entry", "given", "simulated", "deviation", "used", "verdict", "by", "condition")
_RIGHT = frozenset({1, 2, 3})
_NOT_GIVEN = "not given"


@dataclass(frozen=True)
class BenchRow(FitRow):
    """One figure of a sheet beside the simulated one.

    Attributes:
        in_time: whether it was simulated in time, or else computed in closed form.
    """

    in_time: bool

    @property
    def verdict(self) -> str:
        """That of a fit, or ``not given``."""
        return _NOT_GIVEN if math.isnan(self.given) else super().verdict

    def cells(self) -> tuple[str, ...]:
        """The row as text."""
        *first, condition = super().cells()
        return (*first, "time domain" if self.in_time else "closed form", condition)


@dataclass(frozen=True, repr=False)
class BenchReport:
    """A model on the virtual test bench.

    Attributes:
        mosfet: the model.
        sheet: printed figures and conditions.
        report: each figure; those marked as used were aims of the fit, the others are a real test of it.
        gate_charge, recovery, avalanche: the tests; ``None`` where the sheet has no conditions, or it failed.
        switching: one answer for each switching entry of the sheet that could be run.
        warnings: which tests failed, and why.
        cautions: hazards of doing the same on a real bench.
    """

    mosfet: Mosfet
    sheet: MosfetSheet
    report: tuple[BenchRow, ...]
    gate_charge: GateChargeTest | None
    recovery: RecoveryTest | None
    switching: tuple[DoublePulse, ...]
    avalanche: AvalancheTest | None
    warnings: tuple[InputWarning, ...]
    cautions: tuple[SafetyCaution, ...]

    def row(self, path: str) -> BenchRow:
        """The row of an entry such as ``switching.0.rise_time``.

        Raises:
            InputError: there is no such entry.
        """
        return row_of(self.report, path)

    def summary(self) -> str:
        """How many of the printed figures are met, in a sentence."""
        given = [row for row in self.report if row.verdict != _NOT_GIVEN]
        tested = [row for row in given if not row.used]

        def met(rows: list[BenchRow]) -> int:
            return sum(row.verdict != "poor" for row in rows)

        first = f"Bench: {met(given)} of {len(given)} given figures met within 20 %"
        if len(tested) == len(given):
            return f"{first}."
        return f"{first}; of the {len(tested)} that no fit used, {met(tested)}."

    def plot(self) -> Figure:
        """The standard curves with the sheet's points; see :func:`gateswing.plot.plot_bench`."""
        from ..plot import plot_bench

        return plot_bench(self)

    def to_mapping(self) -> dict[str, Any]:
        """The report as plain data; a figure that does not exist is ``None``."""
        rows = [vars(row) | {"deviation": row.deviation, "verdict": row.verdict} for row in self.report]
        return {
            "summary": self.summary(),
            "report": [{key: json_value(value) for key, value in row.items()} for row in rows],
            "warnings": [{"path": one.path, "message": one.message} for one in self.warnings],
            "cautions": [{"path": one.path, "message": one.message} for one in self.cautions],
        }

    def __repr__(self) -> str:
        table = text_table((row.cells() for row in self.report), _HEADER, _RIGHT)
        return "\n\n".join([self.summary(), table, *self._notes()])

    def _repr_html_(self) -> str:
        table = html_table([row.cells() for row in self.report], _HEADER, self.summary())
        return table + html_table([(note,) for note in self._notes()])

    def _notes(self) -> list[str]:
        found = [f"warning: {warning}" for warning in self.warnings]
        return [*found, *(f"caution: {caution}" for caution in self.cautions), ESTIMATE]
