"""A value with its 95 % interval, as a row of a table."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..figures import format_figure

__all__ = ["IntervalEstimate"]


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
        value, size = format_figure(self.value, self.unit), format_figure(self.uncertainty, self.unit, 2)
        return (self.title, value, "-" if math.isnan(self.uncertainty) else f"± {size}")
