"""A cell whose quantities vary from piece to piece: Monte Carlo runs and corners."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, Unpack

import numpy as np

from ..circuit.cell import LowSideCell
from ..circuit.design_file import Limits
from ..circuit.half_bridge import HalfBridgeCell
from ..errors import InputError, InputProblem
from ..figures import format_figure, require_figure
from ..studies.figure_units import figure_unit
from ..sweeping.axes import AxisValues, Plan, plan_of
from ..sweeping.sweep import JobOptions, SweepJob, run_plan
from ..tables import html_table, text_table
from .spreads import Distribution, Method, SpreadMap, distributions, sample
from .yields import Yield, yield_of

if TYPE_CHECKING:
    import xarray as xr
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = ["Corners", "MonteCarlo", "corners", "monte_carlo", "spread_plan"]

_QUANTILES = (0.0, 0.05, 0.5, 0.95, 1.0)
_QUANTILE_HEADER = ("figure", "least", "5 %", "median", "95 %", "most")
_CORNER_HEADER = ("figure", "typical", "least", "at", "most", "at")
# Two to this power runs are the most that one call makes.
_MOST_CORNERED = 12
# What tells how far an answer is to be trusted, and is no property of the circuit.
_RESIDUALS = ("periodicity_residual", "energy_residual", "charge_residual")


@dataclass(frozen=True, repr=False)
class MonteCarlo:
    """Many pieces of one design.

    Attributes:
        dataset: as of a sweep, over the dimension ``sample``; what varied is in the coordinates.
        spreads: what varied, and how.
        seed, method: of the samples.
    """

    dataset: xr.Dataset
    spreads: tuple[Distribution, ...]
    seed: int
    method: str

    def yield_against(self, limits: Limits, *, confidence: float | str = 0.95) -> Yield:
        """The share of the pieces that keep limits, of low-side cells; see :func:`gateswing.yield_of`."""
        return yield_of(self.dataset, limits, confidence=confidence)

    def plot(self, figure: str, limit: float | str | None = None, axes: Axes | None = None) -> Figure:
        """Draw how one figure is spread; see :func:`gateswing.plot.plot_histogram`."""
        from ..plot import plot_histogram

        return plot_histogram(self, figure, limit, axes)

    def _title(self) -> str:
        done = int((self.dataset["status"] == "done").sum())
        samples = f"{self.method.replace('_', ' ')}, seed {self.seed}"
        return f"Monte Carlo, {done} of {self.dataset.sizes['sample']} pieces answered, {samples}"

    def _rows(self) -> list[tuple[str, ...]]:
        return [_quantile_row(self.dataset[name]) for name in figures_of(self.dataset)]

    def __repr__(self) -> str:
        return f"{self._title()}\n{text_table(self._rows(), _QUANTILE_HEADER, frozenset(range(1, 6)))}"

    def _repr_html_(self) -> str:
        return html_table(self._rows(), _QUANTILE_HEADER, self._title())


def monte_carlo(
    cell: LowSideCell | HalfBridgeCell,
    spreads: SpreadMap,
    count: int,
    *,
    frequency: float | str | None = None,
    duty: float | str | None = None,
    dead_time: float | str | None = None,
    active: Literal["high", "low"] | None = None,
    seed: int = 0,
    method: Method = "latin_hypercube",
    **job: Unpack[JobOptions],
) -> MonteCarlo:
    """Operating points, or half-bridge points, of many pieces whose quantities vary independently.

    Args:
        cell: the circuit with its typical values.
        spreads: what varies, by dotted path: ``{"mosfet.channel.threshold_voltage": gs.Spread(...)}``;
            frequency, duty and dead time may be among it.
        count: number of pieces; a power of two for ``sobol``.
        frequency: switching frequency [Hz].
        duty: duty cycle; of a half bridge that of the active switch.
        dead_time: of a half bridge [s].
        active: of a half bridge the switch whose duty is stated; left out: ``high``.
        seed: of the samples; the same seed gives the same pieces.
        method: ``latin_hypercube``, ``sobol`` (scrambled) or ``random``, by ``scipy.stats``.
        **job: `threads`, `executor`, `store`, `progress`, `relative_tolerance` as for :func:`sweep`.

    Raises:
        InputError: a spread, `count` or `method` cannot be.
        StoreError, SweepInterrupted: as :func:`sweep`.
    """
    found = distributions(cell, spreads)
    columns = sample(found, count, seed, method)
    operation = {"frequency": frequency, "duty": duty, "dead_time": dead_time}
    plan = spread_plan(
        cell, "sample", {path: list(column) for path, column in columns.items()}, operation, active
    )
    dataset = run_plan(plan, SweepJob(**job))
    return MonteCarlo(_along(dataset, "sample"), tuple(found), seed, method)


@dataclass(frozen=True, repr=False)
class Corners:
    """A design at its typical values and at every combination of its limits.

    Attributes:
        dataset: as of a sweep, over the dimension ``corner``, the typical design first.
        spreads: what varied.
    """

    dataset: xr.Dataset
    spreads: tuple[Distribution, ...]

    def worst(self, figure: str, *, largest: bool = True) -> xr.Dataset:
        """The corner where a figure is largest, or smallest.

        Raises:
            InputError: there is no such figure.
        """
        require_figure("figure", figure, map(str, self.dataset.data_vars))
        values = self.dataset[figure].values if largest else -self.dataset[figure].values
        return self.dataset.isel(corner=int(np.where(np.isnan(values), -np.inf, values).argmax()))

    def _title(self) -> str:
        letters = ", ".join(spread.label for spread in self.spreads)
        done = int((self.dataset["status"] == "done").sum())
        count = self.dataset.sizes["corner"]
        return f"{done} of {count} corners answered; - and + for minimum and maximum of {letters}"

    def _rows(self) -> list[tuple[str, ...]]:
        rows = []
        for name in figures_of(self.dataset):
            ends = [self.worst(name, largest=largest) for largest in (False, True)]
            unit = figure_unit(self.dataset[name])
            texts = [
                text for end in ends for text in (format_figure(end[name].item(), unit), end["corner"].item())
            ]
            rows.append((name.replace("_", " "), format_figure(self.dataset[name][0].item(), unit), *texts))
        return rows

    def __repr__(self) -> str:
        return f"{self._title()}\n{text_table(self._rows(), _CORNER_HEADER, frozenset({1, 2, 4}))}"

    def _repr_html_(self) -> str:
        return html_table(self._rows(), _CORNER_HEADER, self._title())


def corners(
    cell: LowSideCell | HalfBridgeCell,
    spreads: SpreadMap,
    *,
    frequency: float | str | None = None,
    duty: float | str | None = None,
    dead_time: float | str | None = None,
    active: Literal["high", "low"] | None = None,
    **job: Unpack[JobOptions],
) -> Corners:
    """Operating points at the typical values and at every combination of the limits: 2^k + 1 of them.

    Args:
        cell: the circuit with its typical values.
        spreads: what varies, as for :func:`monte_carlo`; at most twelve fields.
        frequency: switching frequency [Hz].
        duty: duty cycle; of a half bridge that of the active switch.
        dead_time: of a half bridge [s].
        active: of a half bridge the switch whose duty is stated; left out: ``high``.
        **job: `threads`, `executor`, `store`, `progress`, `relative_tolerance` as for :func:`sweep`.

    Raises:
        InputError: a spread cannot be, or there are too many.
        StoreError, SweepInterrupted: as :func:`sweep`.
    """
    found = distributions(cell, spreads)
    if len(found) > _MOST_CORNERED:
        hint = "Leave out what matters least by gateswing.tornado, or take gateswing.monte_carlo."
        problem = InputProblem("spreads", str(len(found)), "too many fields.", f"1 to {_MOST_CORNERED}", hint)
        raise InputError([problem])
    signs = list(itertools.product((0, 1), repeat=len(found)))
    columns = {
        spread.path: [spread.typical, *((spread.low, spread.high)[sign[place]] for sign in signs)]
        for place, spread in enumerate(found)
    }
    labels = ["typical", *("".join("-+"[one] for one in sign) for sign in signs)]
    operation = {"frequency": frequency, "duty": duty, "dead_time": dead_time}
    plan = spread_plan(cell, "corner", columns, operation, active)
    dataset = _along(run_plan(plan, SweepJob(**job)), "corner")
    return Corners(dataset.assign_coords(corner=labels), tuple(found))


def spread_plan(
    cell: LowSideCell | HalfBridgeCell,
    name: str,
    columns: Mapping[str, Sequence[float]],
    operation: Mapping[str, float | str | None],
    active: str | None = None,
) -> Plan:
    """Points along one dimension `name`, with one value of each field of the operation that does not vary."""
    zipped: dict[str, AxisValues] = dict(columns)
    return plan_of(cell, operation, {}, {name: zipped}, active)


def _along(dataset: xr.Dataset, name: str) -> xr.Dataset:
    """Without the dimensions of one point each, save `name`."""
    single = [dimension for dimension in dataset.dims if dimension != name]
    return dataset.squeeze(single)


def figures_of(dataset: xr.Dataset) -> list[str]:
    """Names of the figures that a circuit has."""
    return [str(name) for name in dataset.data_vars if name not in ("status", "message", *_RESIDUALS)]


def _quantile_row(values: xr.DataArray) -> tuple[str, ...]:
    there = values.values[np.isfinite(values.values)]
    found = np.quantile(there, _QUANTILES) if there.size else np.full(len(_QUANTILES), np.nan)
    texts = [format_figure(value, figure_unit(values)) for value in found]
    return str(values.name).replace("_", " "), *texts
