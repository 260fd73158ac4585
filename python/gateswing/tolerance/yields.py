"""The share of pieces that keep the limits of a design, with its confidence bounds."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ..circuit.cell import LowSideCell
from ..circuit.design_file import Limits, require_cooling
from ..errors import InputError, InputProblem
from ..figures import format_figure
from ..limits.avalanche import avalanche_margin, counted_avalanche
from ..limits.checks import FIGURE_OF_LIMIT, JUDGED_IN_SWEEPS, NO_TIME
from ..limits.limit_check import margin_of
from ..model import Quantity, argument, between
from ..sweeping.dataset import kind_in, origin_of, points_of
from ..sweeping.kinds import LOW_SIDE, Point
from ..tables import html_table, text_table

if TYPE_CHECKING:
    import xarray as xr

__all__ = ["Yield", "YieldEntry", "held_by_limit", "limit_margins", "switches_fully", "yield_of"]

Floats = NDArray[np.float64]
# What a rating or the margin of a temperature follows from; a sweep over it has them point by point.
_RATINGS = (
    "mosfet.rated_drain_voltage",
    "mosfet.breakdown_voltage",
    "mosfet.maximum_gate_voltage",
    "cooling.ambient",
)

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
        limits: as of :func:`check`, with the ratings of each piece; every piece has to switch fully.
        confidence: that the bounds enclose the true share.

    Raises:
        InputError: the confidence is not between 0 and 1, the dataset is not of a sweep of a low-side cell,
            or a limit is on a temperature that is not computed.
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
    margins = limit_margins(dataset, limits)
    kept = {name.replace("_", " "): answered & (margin >= 0.0) for name, margin in margins.items()}
    return {"switches fully": switches_fully(dataset)} | kept


def switches_fully(dataset: xr.Dataset) -> NDArray[np.bool_]:
    """Whether the drain reaches both of its levels at each point; without an answer it does not."""
    on, between_levels = dataset["on_share"].values, dataset["transition_share"].values
    answered = (dataset["status"] == "done").values
    return np.asarray(answered & (on > 0.0) & (1.0 - on - between_levels > NO_TIME))


def limit_margins(dataset: xr.Dataset, limits: Limits) -> dict[str, Floats]:
    """The margin of each limit at each point, by its field, counted and completed by ratings as in a check.

    Raises:
        InputError: the dataset is not of a sweep, or limits a temperature that its cell does not compute.
    """
    bounds, ambient = _bounds(dataset, limits)
    margins = {}
    for name, bound in bounds.items():
        if not np.isnan(bound).all():
            margin = margin_of(name, limit_figure(dataset, name), bound, ambient)
            margins[name] = np.where(np.isnan(bound), np.inf, margin)
    allowed = limits.maximum_avalanche_energy
    period = 1.0 / _at_points(dataset, "frequency")
    throughput = np.abs(dataset["input_power"].values) * period
    energy = dataset["avalanche_loss"].values * period
    counted = counted_avalanche(energy, throughput, dataset["turn_off_energy"].values, allowed)
    margins["maximum_avalanche_energy"] = avalanche_margin(counted, allowed)
    if limits.maximum_drain_voltage is None:
        # A drain voltage that only the breakdown limits is judged by what the breakdown may take.
        broken, voltage = margins["maximum_avalanche_energy"], margins["maximum_drain_voltage"]
        margins["maximum_drain_voltage"] = np.where(counted > 0.0, broken, voltage)
    return margins


def _bounds(dataset: xr.Dataset, limits: Limits) -> tuple[dict[str, Floats], Floats]:
    """Each limit, NaN for none, and the ambient temperature [K]: one number, or one for each point."""
    origin, shape = origin_of(dataset), dataset["status"].shape
    if kind_in(origin) is not LOW_SIDE:
        hint = (
            "Compare its figures: (table.low_peak_drain_voltage <= 80).mean() is the share that holds 80 V."
        )
        raise InputError(
            [InputProblem("dataset", None, "of a half bridge, whose yield is not computed.", hint=hint)]
        )
    base = LowSideCell(**origin["cell"])
    require_cooling(base, limits)
    moved = any(f"{field}.".startswith(f"{path}.") for path in origin["axes"] for field in _RATINGS)
    cells = [base]
    if moved:
        points = points_of(dataset, range(dataset["status"].size))
        cells = [point.cell if isinstance(point, Point) else base for point in points]
    rated = [limits.for_cell(cell) for cell in cells]
    ambients = [cell.cooling.ambient if cell.cooling else np.nan for cell in cells]

    def shaped(values: Iterable[float | None]) -> Floats:
        return np.array(list(values), dtype=np.float64).reshape(shape if moved else ())

    return {name: shaped(getattr(one, name) for one in rated) for name in JUDGED_IN_SWEEPS}, shaped(ambients)


def limit_figure(dataset: xr.Dataset, name: str) -> Floats:
    """What a limit is held against, at every point."""
    if name == "maximum_gate_voltage":
        highest, lowest = (dataset[f"{end}_gate_voltage"].values for end in ("maximum", "minimum"))
        return np.asarray(np.maximum(highest, -lowest), dtype=np.float64)
    if name == "maximum_duty_error":
        return np.asarray(np.abs(dataset["on_share"].values - _at_points(dataset, "duty")), dtype=np.float64)
    return np.asarray(dataset[FIGURE_OF_LIMIT[name]].values, dtype=np.float64)


def _at_points(dataset: xr.Dataset, axis: str) -> Floats:
    """A coordinate at every point."""
    spread = dataset[axis].broadcast_like(dataset["status"])
    return np.asarray(spread.transpose(*dataset["status"].dims).values, dtype=np.float64)


def _entry(name: str, held: NDArray[np.bool_], confidence: float) -> YieldEntry:
    from scipy.stats import binomtest  # type: ignore[import-untyped]

    kept, count = int(held.sum()), held.size
    bounds = binomtest(kept, count).proportion_ci(confidence, method="exact")
    return YieldEntry(name, kept, count, float(bounds.low), float(bounds.high))
