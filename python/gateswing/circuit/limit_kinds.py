"""Kinds of limits that cells of either kind have."""

from __future__ import annotations

from ..model import Quantity, at_least
from ..quantities import Interval

__all__ = ["MARGIN", "junction_limit"]

MARGIN = Quantity(
    "",
    "A limit held by less than this share of itself is called marginal; common practice, no source.",
    allowed=Interval(0.0, 1.0, high_open=True),
)


def junction_limit(doc: str) -> Quantity:
    """The kind of a limit on a junction temperature."""
    return Quantity("K", doc, allowed=at_least(233.15, 573.15), usual=at_least(333.15, 473.15))
