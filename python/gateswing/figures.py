"""Figures of merit with units and definitions: the base of the results."""

from __future__ import annotations

import dataclasses
import math
from typing import Any, Self

from .quantities import format_quantity
from .tables import html_table, text_table

__all__ = ["Figures", "figure", "format_figure"]

# Slopes are read per nanosecond in the trade.
_PER_NANOSECOND = {"V/s": "V/ns", "A/s": "A/ns"}


def figure(unit: str, definition: str) -> Any:
    """Make a dataclass field for a figure of merit, in SI units."""
    return dataclasses.field(metadata={"unit": unit, "definition": definition})


def format_figure(value: float, unit: str) -> str:
    """Four digits with unit and prefix; a dash for a figure that does not exist."""
    if math.isnan(value):
        return "-"
    if unit in _PER_NANOSECOND:
        return f"{value * 1e-9:.4g} {_PER_NANOSECOND[unit]}"
    if unit == "%":
        return f"{value * 100:.4g} %"
    return format_quantity(value, unit)


class Figures:
    """A dataclass of figures that prints as a table: name, value, definition."""

    @classmethod
    def from_core(cls, core: object) -> Self:
        """Copy every figure from the structure of the core with the same member names."""
        return cls(**{name: float(getattr(core, name)) for name in cls.units()})

    @classmethod
    def units(cls) -> dict[str, str]:
        """SI unit of each figure; a share is ``"%"`` in print and a plain number as a value."""
        return {name: data["unit"] for name, data in cls._metadata().items()}

    @classmethod
    def definitions(cls) -> dict[str, str]:
        """What each figure means."""
        return {name: data["definition"] for name, data in cls._metadata().items()}

    @classmethod
    def _metadata(cls) -> dict[str, Any]:
        fields = dataclasses.fields(cls)  # type: ignore[arg-type]  # subclasses are dataclasses
        return {field.name: field.metadata for field in fields if "unit" in field.metadata}

    def values(self) -> dict[str, float]:
        """Figures by name, in SI units."""
        return {name: getattr(self, name) for name in self.units()}

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
