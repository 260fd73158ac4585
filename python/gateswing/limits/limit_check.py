"""One figure of a design against its limit."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..circuit.temperature import USUAL_JUNCTION_RATING
from ..figures import format_figure
from ..model import Model

__all__ = [
    "LimitCheck",
    "at_most",
    "compared",
    "margin_of",
    "no_steady_temperature",
    "plain_name",
    "rating_or_default",
    "share_of_rise_left",
    "side_in",
    "verdict_of",
]

# Margins below this are of no use as a percentage.
_LEAST_SHOWN = -10.0
_SIDES = ("high", "low")
# Where a limit is from, in a row and before its value in a sentence.
_MARKS = {"default": " (default)", "rating": " (rating)"}
_WORDS = {"default": "the default of ", "rating": "the rating of "}


@dataclass(frozen=True)
class LimitCheck:
    """One figure against its limit.

    Attributes:
        name: field of :class:`Limits`, or of what is always judged, such as ``switches_fully``.
        figure: what the design does, in SI units; NaN if the figure does not exist.
        limit: what it may do.
        unit: of both; ``"%"`` for a share, which is a plain number here and a percentage in print.
        margin: distance to the limit as a share of the limit, negative when exceeded. For an efficiency it
            is the share of the allowed loss that is left.
        verdict: ``held``, ``marginal`` or ``exceeded``.
        definition: what the figure means.
        reason: where the figure comes from, or why the limit is exceeded, where the circuit shows it; else
            empty.
        keeps_by_itself: the part keeps the figure to the limit, however small the margin is.
        origin: of the limit: ``stated`` among the limits, the ``rating`` of a part, the ``default`` that
            holds where nobody states one, or ``design``, which circuit and operation set by themselves.
    """

    name: str
    figure: float
    limit: float
    unit: str
    margin: float
    verdict: str
    definition: str
    reason: str = ""
    keeps_by_itself: bool = False
    origin: str = "design"

    @property
    def is_yes_or_no(self) -> bool:
        """Whether there is no figure that approaches its limit: it holds or it does not."""
        return self.name == "switches_fully"

    @property
    def title(self) -> str:
        """The name in words, without the side of the limit."""
        return self.name.removeprefix("maximum_").removeprefix("minimum_").replace("_", " ")

    def shown(self, digits: int = 4) -> str:
        """The figure as text."""
        return "no steady value" if math.isinf(self.figure) else format_figure(self.figure, self.unit, digits)

    def sentence(self) -> str:
        """The figure against its limit, or the reason why it is exceeded."""
        if self.reason:
            return self.reason
        if self.is_yes_or_no:
            return "the MOSFET switches fully in every period."
        limit = f"{_WORDS.get(self.origin, '')}{format_figure(self.limit, self.unit)}"
        return f"{self.title}, {self.shown()} against {limit} (margin {self.margin:.0%})."

    def row(self) -> tuple[str, str, str, str, str]:
        """Name, figure, limit, margin and verdict as text."""
        if self.is_yes_or_no:
            return self.title, "yes" if self.figure else "no", "yes", "", self.verdict
        figure = self.shown()
        if not self.limit:
            return self.title, figure, f"none{_MARKS.get(self.origin, '')}", "", self.verdict
        side = "at least" if self.name.startswith("minimum") else "at most"
        limit = f"{side} {format_figure(self.limit, self.unit)}{_MARKS.get(self.origin, '')}"
        if self.name.endswith("_drain_voltage") and self.verdict == "exceeded" and self.figure <= self.limit:
            limit += ", no avalanche"
        margin = f"{self.margin:.0%}" if self.margin >= _LEAST_SHOWN else ""
        return self.title, figure, limit, margin, self.verdict


def at_most(
    name: str,
    figure: float,
    limit: float,
    unit: str,
    definition: str,
    marginal_below: float,
    reason: str = "",
    origin: str = "design",
) -> LimitCheck:
    """A figure that must not exceed its limit; one that does not exist exceeds it."""
    margin = -math.inf if math.isnan(figure) else (limit - figure) / limit
    verdict = verdict_of(margin, marginal_below)
    return LimitCheck(name, figure, limit, unit, margin, verdict, definition, reason, origin=origin)


def compared(
    name: str,
    figure: float,
    limit: float,
    unit: str,
    definition: str,
    marginal_below: float,
    ambient: float = math.nan,
    origin: str = "design",
) -> LimitCheck:
    """A figure against a limit by the name of a field of :class:`Limits`, see :func:`margin_of`."""
    margin = float(margin_of(name, figure, limit, ambient))
    verdict = verdict_of(margin, marginal_below)
    return LimitCheck(name, figure, limit, unit, margin, verdict, definition, origin=origin)


def margin_of(
    name: str, figure: ArrayLike, limit: ArrayLike, ambient: ArrayLike = math.nan
) -> NDArray[np.float64]:
    """Distance of figures to a limit by its name, as a share of it; minus infinity for no figure.

    Args:
        name: field of :class:`Limits`; it says which side is allowed. Of an efficiency the share is that of
            the allowed loss, of a temperature that of the allowed rise.
        figure: in SI units, of any shape.
        limit: of a shape that broadcasts.
        ambient: from which a temperature rises [K].
    """
    value, bound = np.asarray(figure, dtype=np.float64), np.asarray(limit, dtype=np.float64)
    if name.endswith("_temperature"):
        margin = share_of_rise_left(value, bound, ambient)
    elif name == "minimum_efficiency":
        margin = (value - bound) / (1.0 - bound)
    else:
        margin = (value - bound if name.startswith("minimum_") else bound - value) / bound
    return np.where(np.isnan(value), -math.inf, margin)


def share_of_rise_left(temperature: ArrayLike, limit: ArrayLike, ambient: ArrayLike) -> NDArray[np.float64]:
    """Of the rise above the ambient that the limit allows; all in K, of shapes that broadcast."""
    reached, bound, floor = (np.asarray(one, dtype=np.float64) for one in (temperature, limit, ambient))
    allowed, left = bound - floor, bound - reached
    return np.where(allowed > 0.0, left / np.where(allowed > 0.0, allowed, 1.0), -math.inf)


def verdict_of(margin: float, marginal_below: float) -> str:
    """``exceeded`` below zero, ``marginal`` below the share that is asked for, ``held`` from it on."""
    if margin < 0.0:
        return "exceeded"
    return "marginal" if margin < marginal_below else "held"


def no_steady_temperature(name: str, stated: float | None, definition: str, message: str) -> LimitCheck:
    """A junction without a steady temperature, by the limit stated or a usual one [K]; `message` says why."""
    limit, origin = (stated, "stated") if stated else (USUAL_JUNCTION_RATING, "default")
    reason = f"{message}."
    return LimitCheck(name, math.inf, limit, "K", -math.inf, "exceeded", definition, reason, origin=origin)


def side_in(name: str) -> str | None:
    """The side of a half bridge that the name of a check holds."""
    return next((side for side in _SIDES if side in name.split("_")), None)


def plain_name(name: str) -> str:
    """The name of a check without the side."""
    return "_".join(word for word in name.split("_") if word not in _SIDES)


def rating_or_default(part: Model, field: str) -> str:
    """The origin of a limit that is a field of a part."""
    return "rating" if field in part.model_fields_set else "default"
