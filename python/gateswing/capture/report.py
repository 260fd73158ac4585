"""What an import understood of a file, and how to say otherwise."""

from __future__ import annotations

from dataclasses import dataclass

from ..model import choice
from ..tables import html_table, text_table

__all__ = ["ImportReport", "Understood"]

_HEADER = ("what", "understood as", "because", "to say otherwise")


@dataclass(frozen=True)
class Understood:
    """One decision of the import.

    Attributes:
        what: was decided.
        value: the decision, as text.
        reason: where it comes from: ``given``, a line of the file, or how it was guessed.
        keyword: of :func:`gateswing.read_capture` that decides otherwise.
    """

    what: str
    value: str
    reason: str
    keyword: str

    def cells(self) -> tuple[str, str, str, str]:
        """The decision as a row of a table."""
        return self.what, self.value, self.reason, self.keyword


@dataclass(frozen=True, repr=False)
class ImportReport:
    """Every decision of an import, and what was unusual about the file.

    Attributes:
        decisions: in the order in which they were taken.
        notes: what was mended, dropped or looks wrong, in sentences.
    """

    decisions: tuple[Understood, ...]
    notes: tuple[str, ...]

    def value(self, what: str) -> str:
        """What was decided about one thing.

        Raises:
            InputError: nothing was decided about that.
        """
        values = {one.what: one.value for one in self.decisions}
        return values[choice("what", what, values, "decision")]

    def __repr__(self) -> str:
        table = text_table([one.cells() for one in self.decisions], _HEADER, right_aligned=frozenset())
        return "\n".join(["Import", table, *(f"note: {note}" for note in self.notes)])

    def _repr_html_(self) -> str:
        notes = html_table([(note,) for note in self.notes], caption="notes") if self.notes else ""
        return html_table([one.cells() for one in self.decisions], _HEADER, "Import") + notes
