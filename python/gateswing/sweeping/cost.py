"""What a sweep will take."""

from __future__ import annotations

from dataclasses import dataclass

from ..figures import format_figure

__all__ = ["SweepCost"]


@dataclass(frozen=True)
class SweepCost:
    """What a sweep will take.

    Attributes:
        points: all of them.
        stored: those that the store has already.
        point_time: mean of a few points on one thread [s]; NaN if none is missing.
        threads: that share the work.
    """

    points: int
    stored: int
    point_time: float
    threads: int

    @property
    def missing(self) -> int:
        """Points to be computed."""
        return self.points - self.stored

    @property
    def time(self) -> float:
        """Estimate for the rest of the sweep on these threads [s]."""
        return self.missing * self.point_time / self.threads if self.missing else 0.0

    def __repr__(self) -> str:
        each = format_figure(self.point_time, "s", 2)
        return (
            f"{self.points} points, {self.stored} of them stored: about {format_figure(self.time, 's', 2)} on"
            f" {self.threads} threads, {each} for a point"
        )
