"""Choosing a design: a function for SciPy's optimisers, and the designs that no other beats in everything."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Unpack

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..circuit.cell import LowSideCell
from ..circuit.design_file import Limits
from ..errors import InputError, InputProblem
from ..figures import require_figure
from ..model import require_model
from ..sweeping.kinds import LOW_SIDE
from ..sweeping.sweep import JobOptions, SweepJob, run_plan
from ..tolerance.runs import spread_plan
from ..tolerance.spreads import Distribution, Spread, distributions
from ..tolerance.yields import limit_margins, switches_fully
from .knee import knee_of

if TYPE_CHECKING:
    import xarray as xr

__all__ = ["Objective", "objective", "pareto_front"]

Floats = NDArray[np.float64]
# In units of the figure of the middle design: what exceeding a limit by all of itself costs, and a design
# without an answer. A penalty of the first power has its optimum at the limit itself once its weight is large
# enough: Nocedal and Wright, Numerical optimization, 2nd ed. 2006, section 17.2 (from memory).
_WEIGHT, _NO_ANSWER = 10.0, 1e3
# Beyond a limit by this many times itself nothing gets worse, as of an avalanche where none is allowed.
_MOST = 10.0
# A range wider than this is searched by its logarithm.
_WIDE = 10.0


@dataclass(frozen=True)
class Objective:
    """What a design costs, as a function of numbers from 0 to 1 for any minimiser; made by :func:`objective`.

    Call it with one design, shape (k,), or with many as columns, shape (k, n), as
    ``scipy.optimize.differential_evolution(vectorized=True, updating="deferred")`` does; many are computed on
    all processors.

    Attributes:
        cell, frequency, duty, limits, job: of every design.
        vary: quantities and their ranges, in the order of the numbers.
        minimise: the figure.
        scale: the figure in the middle of the ranges, in SI units; it costs 1.
    """

    cell: LowSideCell
    vary: tuple[Distribution, ...]
    minimise: str
    limits: Limits
    frequency: float | str | None
    duty: float | str | None
    scale: float
    job: SweepJob

    @property
    def bounds(self) -> list[tuple[float, float]]:
        """Of the numbers."""
        return [(0.0, 1.0)] * len(self.vary)

    def __call__(self, numbers: ArrayLike) -> Any:
        """The cost of one design, or of each column."""
        columns = np.asarray(numbers, dtype=np.float64)
        dataset = self.dataset(columns)
        margins = limit_margins(dataset, self.limits).values()
        beyond = sum((np.clip(-margin, 0.0, _MOST) for margin in margins), np.zeros(dataset.sizes["design"]))
        cost = dataset[self.minimise].values / self.scale + _WEIGHT * beyond
        switches = switches_fully(dataset)
        cost = np.where(switches & np.isfinite(cost), cost, _NO_ANSWER)
        return float(cost[0]) if columns.ndim == 1 else cost

    def values(self, numbers: ArrayLike) -> dict[str, Floats]:
        """The quantities by path, in SI units, each of the shape (n,)."""
        columns = np.asarray(numbers, dtype=np.float64).reshape(len(self.vary), -1)
        return {one.path: one.quantile(column) for one, column in zip(self.vary, columns, strict=True)}

    def design(self, numbers: ArrayLike) -> LowSideCell:
        """The circuit of one design."""
        found = {path: float(value[0]) for path, value in self.values(numbers).items()}
        return self.cell.replace(
            {path: value for path, value in found.items() if path not in ("frequency", "duty")}
        )

    def dataset(self, numbers: ArrayLike) -> xr.Dataset:
        """All figures of each design, over the dimension ``design``."""
        columns = {path: list(values) for path, values in self.values(numbers).items()}
        operation = {"frequency": self.frequency, "duty": self.duty}
        plan = spread_plan(self.cell, "design", columns, operation)
        dataset = run_plan(plan, self.job)
        return dataset.squeeze([str(name) for name in dataset.dims if name != "design"])


def objective(
    cell: LowSideCell,
    *,
    vary: Mapping[str, tuple[float | str, float | str]],
    minimise: str = "total_loss",
    limits: Limits | None = None,
    frequency: float | str | None = None,
    duty: float | str | None = None,
    **job: Unpack[JobOptions],
) -> Objective:
    """A function that SciPy's optimisers minimise: a figure, with a penalty for every limit exceeded.

    ::

        cost = gs.objective(cell, vary={"gate_resistance": ("1 ohm", "100 ohm")}, limits=limits, ...)
        found = scipy.optimize.differential_evolution(
            cost, cost.bounds, vectorized=True, updating="deferred", rng=1, polish=False)
        best = cost.design(found.x)

    For optuna: ``lambda trial: cost([trial.suggest_float(path, 0, 1) for path in vary])``.

    Args:
        cell: the starting design.
        vary: least and largest value of each quantity, by dotted path; frequency and duty may be among them.
            A range of more than ten to one is searched by its logarithm.
        minimise: the figure, one that is positive.
        limits: what must hold, as of :func:`check`; left out: the ratings.
        frequency: switching frequency [Hz].
        duty: duty cycle.
        **job: `threads`, `executor`, `store`, `progress`, `relative_tolerance` as for :func:`sweep`. No
            progress is shown unless asked for.

    Raises:
        InputError: it is no low-side cell, a range cannot be, there is no such figure, or that of the middle
            compares with nothing.
    """
    require_model("cell", cell, LowSideCell, "Of half bridges there are sweep and pareto_front.")
    require_figure("minimise", minimise, LOW_SIDE.figure_names)
    ranges = distributions(cell, {path: _spread(path, *ends) for path, ends in vary.items()})
    found = tuple(_searched(one) for one in ranges)
    quiet = SweepJob(**({"progress": False} | job))
    start = Objective(cell, found, minimise, limits or Limits(), frequency, duty, 1.0, quiet)
    middle = start.dataset(np.full(len(found), 0.5))
    scale = float(middle[minimise].item())
    if not scale > 0.0:
        reason = f"is {scale:g} in the middle of the ranges, so nothing can be compared with it."
        raise InputError([InputProblem("minimise", repr(minimise), reason)])
    return Objective(cell, found, minimise, limits or Limits(), frequency, duty, scale, quiet)


def _spread(path: str, low: float | str, high: float | str) -> Spread:
    try:
        return Spread(minimum=low, maximum=high, shape="uniform")
    except InputError as error:
        raise InputError(problem.below(path) for problem in error.problems) from None


def _searched(one: Distribution) -> Distribution:
    wide = one.low > 0.0 and one.high / one.low > _WIDE
    return Distribution(
        one.path, one.kind, one.low, one.typical, one.high, "log_uniform" if wide else "uniform"
    )


def pareto_front(dataset: xr.Dataset, minimise: Sequence[str] = ("total_loss", "overshoot")) -> xr.Dataset:
    """The points of a sweep that no other point beats in one of the figures without being worse in another.

    Args:
        dataset: of :func:`sweep` or of a Monte Carlo run.
        minimise: names of the figures, all of which should be small.

    Returns:
        The points along the dimension ``point``, by the first figure. The coordinate ``knee`` is true at the
        knee of the trade of two figures, see :mod:`gateswing.choices.knee`; a front may have none.

    Raises:
        InputError: there is no such figure.
    """
    for name in minimise:
        require_figure("minimise", name, map(str, dataset.data_vars))
    stacked = dataset.stack(point=dataset["status"].dims).reset_index("point")
    figures = np.stack([stacked[name].values for name in minimise], axis=1)
    usable = np.flatnonzero(np.isfinite(figures).all(axis=1) & (stacked["status"].values == "done"))
    chosen = usable[_undominated(figures[usable])]
    knee = np.zeros(chosen.size, dtype=np.bool_)
    if len(minimise) == 2 and (place := knee_of(*figures[chosen].T)) is not None:
        knee[place] = True
    return stacked.isel(point=chosen).assign_coords(knee=("point", knee))


def _undominated(figures: Floats) -> NDArray[np.intp]:
    """Rows that no row dominates, in lexicographic order; of equal rows the first.

    A row can only be dominated by one before it in that order, and then also by one on the front.
    """
    order = np.lexsort(figures.T[::-1])
    front: list[int] = []
    for row in order:
        if not front or not (figures[front] <= figures[row]).all(axis=1).any():
            front.append(int(row))
    return np.array(front, dtype=np.intp)
