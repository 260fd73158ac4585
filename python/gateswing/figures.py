"""Figures of merit with units and definitions: the base of the results."""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import cache
from typing import NamedTuple, Self, get_type_hints

from .errors import InputError, InputProblem, did_you_mean
from .pickled import PickledFields
from .quantities import format_quantity
from .tables import html_table, text_table

__all__ = ["Figures", "Meaning", "format_figure", "json_value", "require_figure"]

# Slopes are read per nanosecond in the trade.
_PER_NANOSECOND = {"V/s": "V/ns", "A/s": "A/ns"}


class Meaning(NamedTuple):
    """Marks a float of a dataclass as a figure of merit: ``Annotated[float, Meaning("s", "...")]``.

    Attributes:
        unit: in SI; ``"%"`` for a share, which is a plain number as a value and a percentage in print.
        definition: what the figure means.
    """

    unit: str
    definition: str


def format_figure(value: float, unit: str, digits: int = 4) -> str:
    """Few digits with unit and prefix; a dash for a figure that does not exist."""
    if math.isnan(value):
        return "-"
    if unit in _PER_NANOSECOND:
        return f"{value * 1e-9:.{digits}g} {_PER_NANOSECOND[unit]}"
    if unit == "%":
        return f"{value * 100:.{digits}g} %"
    return format_quantity(value, unit, digits)


def json_value(value: object) -> object:
    """The value; ``None`` for a number that JSON does not have, a figure that does not exist."""
    return None if isinstance(value, float) and not math.isfinite(value) else value


def require_figure(argument: str, name: str, known: Iterable[str]) -> None:
    """Refuse an argument that names no known figure.

    Raises:
        InputError: with the names that it resembles, else with all.
    """
    names = list(known)
    if name not in names:
        hint = did_you_mean(str(name), names) or f"Figures: {', '.join(names)}."
        raise InputError([InputProblem(argument, repr(name), "no such figure.", hint=hint)])


class Figures(PickledFields):
    """A dataclass of figures that prints as a table: name, value, definition."""

    @classmethod
    def from_core(cls, core: object) -> Self:
        """Copy every figure from the structure of the core with the same member names."""
        return cls(**cls.values_in(core))

    @classmethod
    def values_in(cls, core: object) -> dict[str, float]:
        """Every figure by name, out of a structure of the core with the same member names."""
        return {name: float(getattr(core, name)) for name in cls.units()}

    @classmethod
    def units(cls) -> dict[str, str]:
        """Unit of each figure by name."""
        return {name: meaning.unit for name, meaning in cls._meanings().items()}

    @classmethod
    def definitions(cls) -> dict[str, str]:
        """What each figure means."""
        return {name: meaning.definition for name, meaning in cls._meanings().items()}

    @classmethod
    @cache
    def _meanings(cls) -> dict[str, Meaning]:
        hints = get_type_hints(cls, include_extras=True)
        return {
            name: mark
            for name, hint in hints.items()
            for mark in getattr(hint, "__metadata__", ())
            if isinstance(mark, Meaning)
        }

    def values(self) -> dict[str, float]:
        """Figures by name, in SI units."""
        return {name: getattr(self, name) for name in self.units()}

    def described(self) -> dict[str, tuple[float, str, str]]:
        """Value in SI units, unit and definition of each figure by name."""
        units, definitions = self.units(), self.definitions()
        return {name: (value, units[name], definitions[name]) for name, value in self.values().items()}

    def doubts(self, expected: Self) -> list[str]:  # noqa: ARG002 (for those that measure)
        """What is evidently wrong with these figures beside those expected, a sentence each."""
        return []

    def rows(self) -> list[tuple[str, str, str]]:
        """Name, value and definition as text."""
        definitions = self.definitions()
        return [
            (name.replace("_", " "), format_figure(getattr(self, name), unit), definitions[name])
            for name, unit in self.units().items()
        ]

    def __repr__(self) -> str:
        return f"{type(self).__name__}\n{text_table(self.rows())}"

    def _repr_html_(self) -> str:
        return html_table(self.rows(), ("figure", "value", "definition"), type(self).__name__)
