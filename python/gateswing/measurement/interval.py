"""A value with its 95 % interval, as a row of a table."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..figures import format_figure

__all__ = ["IntervalEstimate", "half_width"]


def half_width(size: float, unit: str) -> str:
    """Half of a 95 % interval as text; a dash where none holds."""
    if math.isnan(size):
        return "-"
    return "± ∞" if math.isinf(size) else f"± {format_figure(size, unit, 2)}"


@dataclass(frozen=True)
class IntervalEstimate:
    """What was estimated.

    Attributes:
        name: of it.
        unit: in SI.
        value: in that unit.
        uncertainty: half of the 95 % interval; NaN, printed as a dash, where none holds.
    """

    name: str
    unit: str
    value: float
    uncertainty: float

    @property
    def title(self) -> str:
        """The name in words."""
        return self.name

    def cells(self) -> tuple[str, ...]:
        """The estimate as a row of a table."""
        return (self.title, format_figure(self.value, self.unit), half_width(self.uncertainty, self.unit))
