"""Figures of several sources beside each other, with their definitions."""

from __future__ import annotations

import math
from dataclasses import dataclass

from .errors import InputError, InputProblem
from .figures import Figures
from .tables import html_table, text_table

__all__ = ["SideBySide", "side_by_side"]

_MOST_DEVIATION = 10.0  # more is told as a multiple
_UNSURE = "±"
_NOTE = (
    "± is half of the 95 % interval by noise; by scale and skew as well where gain_error and skew_error of "
    "measure_edges were given."
)


@dataclass(frozen=True, repr=False)
class SideBySide:
    """A table of figures, a column for each source; deviations are counted from the first.

    A figure of a capture stands with its uncertainty; a deviation within it says nothing.

    Attributes:
        sources: figures by the name of their source.
    """

    sources: dict[str, Figures]

    def deviation(self, figure: str, source: str) -> float:
        """Of one source from the first, as a share of the first; NaN where either has no such figure."""
        first = next(iter(self.sources.values())).values()[figure]
        other = self.sources[source].values()[figure]
        return (other - first) / abs(first) if first else math.nan

    @property
    def header(self) -> tuple[str, ...]:
        """Titles of the columns."""
        first, *others = self.sources
        return ("figure", first, *(title for name in others for title in (name, "deviation")), "definition")

    def rows(self) -> list[tuple[str, ...]]:
        """The table as text."""
        first, *others = self.sources
        texts = {source: figures.rows() for source, figures in self.sources.items()}
        table = []
        for place, name in enumerate(self.sources[first].units()):
            title, value, definition = texts[first][place]
            cells = [title, value]
            for other in others:
                deviation = self.deviation(name, other)
                cells += [texts[other][place][1], _deviation(deviation)]
            table.append((*cells, definition))
        return table

    def doubts(self) -> list[str]:
        """What is evidently wrong with a source beside the first, such as the scale of a probe."""
        first, *others = self.sources
        return [
            f"{name}: {doubt}" for name in others for doubt in self.sources[name].doubts(self.sources[first])
        ]

    def __repr__(self) -> str:
        table = text_table(self.rows(), self.header, frozenset(range(1, len(self.header) - 1)))
        return "\n".join([table, *self._notes()])

    def _repr_html_(self) -> str:
        notes = [html_table([(note,)]) for note in self._notes()]
        return "".join([html_table(self.rows(), self.header), *notes])

    def _notes(self) -> list[str]:
        unsure = any(_UNSURE in cell for row in self.rows() for cell in row)
        return [*([_NOTE] if unsure else []), *(f"warning: {doubt}" for doubt in self.doubts())]


def _deviation(share: float) -> str:
    if math.isnan(share):
        return "-"
    return f"{100 * share:+.1f} %" if abs(share) < _MOST_DEVIATION else f"{1.0 + share:.3g} times"


def side_by_side(**sources: Figures) -> SideBySide:
    """Set figures of the same kind beside each other: ``side_by_side(model=a, bench=b)``.

    Raises:
        InputError: fewer than two sources, or of different kinds.
    """
    kinds = {type(one) for one in sources.values()}
    if len(sources) < 2 or len(kinds) > 1:
        names = ", ".join(sorted(kind.__name__ for kind in kinds))
        measured = {kind.__name__.startswith("Measured") for kind in kinds}
        hint = "Measure the simulation, too: measure_edges(edges.waveform)." if len(measured) > 1 else ""
        reason = "not two or more figures of one kind."
        raise InputError([InputProblem("sources", names or None, reason, hint=hint)])
    return SideBySide(dict(sources))
