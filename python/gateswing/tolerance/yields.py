"""The share of pieces that keep the limits of a design, with its confidence bounds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ..circuit.design_file import Limits
from ..errors import InputError, InputProblem
from ..figures import format_figure
from ..limits.limit_checks import FIGURE_OF_LIMIT, JUDGED_IN_SWEEPS, NO_TIME
from ..model import Quantity, argument, between
from ..tables import html_table, text_table

if TYPE_CHECKING:
    import xarray as xr

__all__ = ["Yield", "YieldEntry", "held_by_limit", "yield_of"]

_CONFIDENCE = Quantity("", "That the bounds enclose the true share.", allowed=between(0.0, 1.0))
_HEADER = ("limit", "held", "of", "share", "bounds")


@dataclass(frozen=True)
class YieldEntry:
    """How many pieces hold one limit, or all of them.

    Attributes:
        name: the limit in words.
        held, count: pieces that hold it, and all; a piece without an answer holds none.
        lower, upper: confidence bounds of the share.
    """

    name: str
    held: int
    count: int
    lower: float
    upper: float

    @property
    def share(self) -> float:
        """Of the pieces."""
        return self.held / self.count

    def row(self) -> tuple[str, str, str, str, str]:
        """As text."""
        bounds = f"{format_figure(self.lower, '%')} to {format_figure(self.upper, '%')}"
        return self.name, str(self.held), str(self.count), format_figure(self.share, "%"), bounds


@dataclass(frozen=True, repr=False)
class Yield:
    """The share of pieces that keep each limit, the worst first, and all limits together.

    The bounds are those of Clopper and Pearson, "The use of confidence or fiducial limits illustrated in the
    case of the binomial", Biometrika 26 (1934) 404-413. They hold for independent pieces; samples of a Latin
    hypercube or a Sobol sequence are spread more evenly, for which the bounds are as a rule too wide.
    """

    entries: tuple[YieldEntry, ...]
    confidence: float
    unanswered: int

    @property
    def overall(self) -> YieldEntry:
        """All limits together."""
        return self.entries[-1]

    def _title(self) -> str:
        without = f"; {self.unanswered} without an answer count as exceeded" if self.unanswered else ""
        return f"Yield, bounds at {format_figure(self.confidence, '%')} confidence{without}"

    def __repr__(self) -> str:
        rows = [entry.row() for entry in self.entries]
        return f"{self._title()}\n{text_table(rows, _HEADER, frozenset({1, 2, 3}))}"

    def _repr_html_(self) -> str:
        return html_table([entry.row() for entry in self.entries], _HEADER, self._title())


def yield_of(dataset: xr.Dataset, limits: Limits, *, confidence: float | str = 0.95) -> Yield:
    """The share of the points of a sweep or Monte Carlo run that keep limits.

    Args:
        dataset: every point of it counts as one piece.
        limits: those left out are not judged, save that every piece has to switch fully.
        confidence: that the bounds enclose the true share.

    Raises:
        InputError: the confidence is not between 0 and 1.
    """
    level = argument("confidence", confidence, _CONFIDENCE)
    by_limit = held_by_limit(dataset, limits)
    entries = [_entry(name, held, level) for name, held in by_limit.items()]
    together = np.logical_and.reduce(list(by_limit.values()))
    ordered = [*sorted(entries, key=lambda entry: entry.held), _entry("all limits", together, level)]
    return Yield(tuple(ordered), level, int((dataset["status"] != "done").sum()))


def held_by_limit(dataset: xr.Dataset, limits: Limits) -> dict[str, NDArray[np.bool_]]:
    """Whether each point keeps each limit, by the limit's name; a point without an answer does not."""
    answered = (dataset["status"] == "done").values
    on, between_levels = dataset["on_share"].values, dataset["transition_share"].values
    held = {"switches fully": answered & (on > 0.0) & (1.0 - on - between_levels > NO_TIME)}
    for name in JUDGED_IN_SWEEPS:
        limit = getattr(limits, name)
        if limit is None:
            continue
        figure = limit_figure(dataset, name)
        kept = figure >= limit if name.startswith("minimum") else figure <= limit
        held[name.replace("_", " ")] = answered & kept
    return held


def limit_figure(dataset: xr.Dataset, name: str) -> NDArray[np.float64]:
    """What a limit is held against, at every point."""
    if name == "maximum_gate_voltage":
        highest, lowest = (dataset[f"{end}_gate_voltage"].values for end in ("maximum", "minimum"))
        return np.asarray(np.maximum(highest, -lowest), dtype=np.float64)
    if name == "maximum_avalanche_energy":
        energy = dataset["avalanche_loss"] / dataset["frequency"]
        return np.asarray(energy.transpose(*dataset["avalanche_loss"].dims).values, dtype=np.float64)
    if name == "maximum_duty_error":
        error = abs(dataset["on_share"] - dataset["duty"])
        return np.asarray(error.transpose(*dataset["on_share"].dims).values, dtype=np.float64)
    figure = np.asarray(dataset[FIGURE_OF_LIMIT[name]].values, dtype=np.float64)
    if name.endswith("_temperature") and np.isnan(figure).all():
        reason = "cannot be judged: the cell does not say how the part is cooled."
        raise InputError([InputProblem(name, None, reason, hint="Give its cooling.")])
    return figure


def _entry(name: str, held: NDArray[np.bool_], confidence: float) -> YieldEntry:
    from scipy.stats import binomtest  # type: ignore[import-untyped]

    kept, count = int(held.sum()), held.size
    bounds = binomtest(kept, count).proportion_ci(confidence, method="exact")
    return YieldEntry(name, kept, count, float(bounds.low), float(bounds.high))
