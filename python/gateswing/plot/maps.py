"""A figure of merit over two axes of a sweep."""

from __future__ import annotations

from collections.abc import Sequence
from numbers import Integral
from typing import NamedTuple

import numpy as np
import xarray as xr
from matplotlib import pyplot as plt
from matplotlib.axes import Axes
from matplotlib.contour import QuadContourSet
from matplotlib.figure import Figure
from matplotlib.patches import Patch
from matplotlib.patheffects import withStroke
from matplotlib.ticker import MaxNLocator
from numpy.typing import NDArray

from ..errors import InputError, InputProblem, shown
from ..figures import require_figure
from ..studies.figure_units import figure_limit, figure_unit
from .style import VERMILLION, axis_label, figure_of, look
from .sweep_axes import NOT_NUMERIC, axis_values_of, dress_axis, is_numeric

__all__ = ["plot_map"]

# Share of the axes along its border that stays free of contour labels.
_BORDER = 0.04
_FAR = 1e30  # beyond all values
_MOST_MARKS = 600  # more of them would hide the map


def plot_map(
    dataset: xr.Dataset,
    variable: str,
    axes: Axes | None = None,
    levels: int | Sequence[float] = 10,
    limit: float | str | None = None,
    *,
    x: str | None = None,
    y: str | None = None,
) -> Figure:
    """Contours of one variable of a sweep over two of its axes; where there is no such figure it stays blank.

    Dots are the points that have one, crosses those that are not done, up to 600 of both: what lies between
    them is a straight line.
    An axis whose values are spread by ratios, as decades and preferred values are, is drawn logarithmic.

    Args:
        dataset: of :func:`gateswing.sweep`.
        variable: its name.
        axes: to draw into; left out: a figure of its own.
        levels: about how many contours, or their values in SI units, so that maps beside each other have the
            same colours; what lies beyond them has the colour of the last.
        limit: a number in SI units, or text with a unit, drawn as a line, hatched on its wrong side; for an
            efficiency the least, else the most that is allowed.
        x: the axis from left to right, or a numeric coordinate along one of several fields zipped; left out,
            with `y`: the only two axes with more than one value, the frequency from left to right.
        y: the axis from bottom to top, likewise.

    Returns:
        The figure drawn into.

    Raises:
        InputError: there is no such variable or axis, an axis has names instead of numbers or one value only,
            both are the same, there are further axes with more than one value, or fewer than two; or
            `levels` are fewer than two.
    """
    require_figure("variable", variable, map(str, dataset.data_vars))
    wanted = _levels_wanted(levels)
    data, across, up = _over_two_axes(dataset[variable], x, y)
    with look():
        if axes is None:
            _, axes = plt.subplots(figsize=(6.6, 4.4))
        unit = figure_unit(data)
        scale = 100.0 if unit == "%" else 1.0
        grid = _Grid(axis_values_of(across), axis_values_of(up), np.ma.masked_invalid(scale * data.values))
        _contours(
            axes, grid, axis_label(data.attrs["long_name"], unit), _levels(grid.values, unit, wanted, scale)
        )
        dress_axis(axes.xaxis, across)
        dress_axis(axes.yaxis, up)
        done = _over_two_axes(dataset["status"], x, y)[0] == "done" if "status" in dataset else data.notnull()
        _mark_points(axes, grid, done.values)
        if limit is not None:
            _mark_limit(axes, grid, scale * figure_limit(data, limit), variable, unit)
        axes.set_title(str(data.attrs["long_name"]).capitalize())
        return figure_of(axes)


class _Grid(NamedTuple):
    """Values (rows, columns) over two axes."""

    x: NDArray[np.float64]
    y: NDArray[np.float64]
    values: np.ma.MaskedArray


def _over_two_axes(
    data: xr.DataArray, x: str | None, y: str | None
) -> tuple[xr.DataArray, xr.DataArray, xr.DataArray]:
    """The variable over (y, x) in ascending order, and the coordinates of both."""
    if x is not None and x == y:
        hint = "Name another axis, or leave it out."
        raise InputError([InputProblem("y", repr(y), "the same axis as x.", hint=hint)])
    given = {name: _coordinate(data, argument, name) for argument, name in (("x", x), ("y", y)) if name}
    dims = [_dimension(one) for one in given.values()]
    several = [str(dim) for dim in data.dims if data.sizes[dim] > 1 or dim in dims]
    chosen = [*dims, *(dim for dim in several if dim not in dims)]
    if len(chosen) != 2 or len(set(dims)) != len(dims) or min(data.sizes[dim] for dim in chosen) < 2:
        raise InputError([_not_two(data, several, dims)])
    across = given[x] if x else None
    up = given[y] if y else None
    rest = [_coordinate(data, "x" if across is None else "y", dim) for dim in chosen if dim not in dims]
    if across is None and up is None:
        rest.sort(key=lambda one: one.name != "frequency")
    across = rest.pop(0) if across is None else across
    up = rest.pop(0) if up is None else up
    flat = data.squeeze([dim for dim in data.dims if dim not in chosen], drop=True)
    ordered = flat.transpose(_dimension(up), _dimension(across))
    rows, columns = (np.argsort(axis_values_of(one)) for one in (up, across))
    return ordered[rows, columns], across[columns], up[rows]


def _dimension(coordinate: xr.DataArray) -> str:
    return str(coordinate.dims[0])


def _coordinate(data: xr.DataArray, argument: str, name: str) -> xr.DataArray:
    """A coordinate of numbers by its name, or by that of a dimension with one alone."""
    along: dict[str, xr.DataArray] = {
        str(key): one for key, one in data.coords.items() if one.ndim == 1 and is_numeric(one)
    }
    if name in along:
        return along[name]
    fitting = [key for key, one in along.items() if name in one.dims]
    if len(fitting) == 1:
        return along[fitting[0]]
    if fitting:
        hint = f"Name one of them: {argument}={fitting[0]!r}."
        raise InputError([InputProblem(argument, repr(name), "several fields change along it.", hint=hint)])
    if name in data.dims:
        hint = f"Select one: dataset.isel({name}=0)."
        raise InputError([InputProblem(argument, repr(name), f"holds {NOT_NUMERIC}.", hint=hint)])
    raise InputError([InputProblem(argument, repr(name), "no such axis.", ", ".join(along))])


def _not_two(data: xr.DataArray, several: Sequence[str], wanted: Sequence[str]) -> InputProblem:
    """Why a variable cannot be drawn over two axes, and what to do."""
    sizes = ", ".join(f"{dim} ({data.sizes[dim]})" for dim in several)
    for dim in wanted:
        if data.sizes[dim] < 2:
            longer = [str(one) for one in data.dims if data.sizes[one] > 1]
            hint = f"Name another axis: {', '.join(longer)}." if longer else "Sweep over more values."
            return InputProblem(str(data.name), None, f"its axis {dim} has one value only.", hint=hint)
    if len(several) < 2 or len(set(wanted)) < len(wanted):
        reason = f"a map needs two axes of several values; there are: {sizes or 'none'}."
        return InputProblem(str(data.name), None, reason)
    others = [dim for dim in several if dim not in wanted] if len(wanted) == 2 else several[:-2]
    hint = f"Select one value of the others, as in dataset.isel({', '.join(f'{dim}=0' for dim in others)})."
    return InputProblem(str(data.name), None, f"depends on more than two axes, {sizes}.", hint=hint)


def _contours(axes: Axes, grid: _Grid, label: str, levels: Sequence[float]) -> None:
    beyond = "neither" if levels[0] <= grid.values.min() and grid.values.max() <= levels[-1] else "both"
    filled = axes.contourf(*grid, levels, cmap="cividis", alpha=0.9, extend=beyond)
    lines = axes.contour(*grid, filled.levels, colors="black", linewidths=0.7)
    axes.figure.colorbar(filled, ax=axes, pad=0.02).set_label(label)
    axes.grid(visible=False)
    _label(axes, lines)


def _mark_points(axes: Axes, grid: _Grid, done: NDArray[np.bool_]) -> None:
    """Those that have the figure, and those that are not done."""
    if grid.values.size > _MOST_MARKS:
        return
    x, y = np.meshgrid(grid.x, grid.y)
    there = ~np.ma.getmaskarray(grid.values)
    for which, marker, size in ((there, ".", 3.0), (~there & ~done, "x", 4.0)):
        axes.plot(x[which], y[which], marker, color="black", alpha=0.6, markersize=size)


def _mark_limit(
    axes: Axes,
    grid: _Grid,
    limit: float,
    variable: str,
    unit: str,
) -> None:
    """The line of the limit, what is beyond it, and its value in the legend."""
    low, high = (-np.inf, limit) if variable == "efficiency" else (limit, np.inf)
    beyond = (grid.values > low) & (grid.values < high)
    if beyond.any():
        axes.contourf(*grid, [max(low, -_FAR), min(high, _FAR)], colors="none", hatches=["///"])
    if beyond.any() and not beyond.all():
        axes.contour(*grid, [limit], colors=VERMILLION, linewidths=2.2)
    words = f"beyond {limit:.4g} {unit}".rstrip() + ("" if beyond.any() else ", nowhere")
    axes.legend(handles=[Patch(facecolor="white", edgecolor=VERMILLION, hatch="///", label=words)])


def _levels_wanted(levels: int | Sequence[float]) -> int | NDArray[np.float64]:
    """How many levels, or their values [SI] in ascending order."""
    if isinstance(levels, Integral):
        found: int | NDArray[np.float64] = int(levels)
        enough = int(levels) >= 2
    else:
        try:
            found = np.unique(np.asarray(levels, dtype=np.float64))
        except (TypeError, ValueError):
            found = np.empty(0)
        enough = found.size >= 2 and bool(np.isfinite(found).all())
    if not enough:
        hint = "Give about how many, as in levels=10, or their values, as in levels=[1.0, 2.0]."
        raise InputError(
            [InputProblem("levels", shown(levels), "a map needs two of them at least.", hint=hint)]
        )
    return found


def _levels(
    values: np.ma.MaskedArray, unit: str, wanted: int | NDArray[np.float64], scale: float
) -> list[float]:
    """Those wanted, or round ones that cover the values; those of a share end at 0 and 100 %."""
    if not isinstance(wanted, int):
        return [float(level) for level in scale * wanted]
    found = MaxNLocator(wanted, steps=[1, 2, 2.5, 5, 10]).tick_values(values.min(), values.max())
    return [float(level) for level in found if unit != "%" or 0.0 <= level <= 100.0]


def _label(axes: Axes, lines: QuadContourSet) -> None:
    """Levels on the lines, in a halo; none so close to the border that it would be cut off."""
    for text in axes.clabel(lines, fontsize=8.5, fmt=lambda level: f"{level:g}", inline=False):
        text.set_path_effects([withStroke(linewidth=2.5, foreground="white")])
        place = axes.transAxes.inverted().transform(axes.transData.transform(text.get_position()))
        if min(*place, *(1.0 - place)) < _BORDER:
            text.remove()
