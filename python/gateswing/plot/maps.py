"""A figure of merit over frequency and duty cycle."""

from __future__ import annotations

import numpy as np
import xarray as xr
from matplotlib import pyplot as plt
from matplotlib.axes import Axes
from matplotlib.contour import QuadContourSet
from matplotlib.figure import Figure
from matplotlib.patches import Patch
from matplotlib.patheffects import withStroke
from matplotlib.ticker import MaxNLocator, PercentFormatter

from ..studies.figure_units import figure_limit, figure_unit
from .style import VERMILLION, axis_label, figure_of, label_decades, look

__all__ = ["plot_map"]

# Share of the axes along its border that stays free of contour labels.
_BORDER = 0.04
_FAR = 1e30  # beyond all values


def plot_map(
    dataset: xr.Dataset,
    variable: str,
    axes: Axes | None = None,
    levels: int = 10,
    limit: float | str | None = None,
) -> Figure:
    """Contours of one variable of a sweep over frequency and duty cycle; failed points stay blank.

    Args:
        dataset: of :func:`gateswing.sweep`. Axes besides frequency and duty must have been selected away.
        variable: its name.
        axes: to draw into; left out: a figure of its own.
        levels: about how many contours.
        limit: a number in SI units, or text with a unit, drawn as a line, hatched on its wrong side; for an
            efficiency the least, else the most that is allowed.

    Returns:
        The figure drawn into.

    Raises:
        ValueError: `variable` does not depend on frequency and duty cycle alone.
    """
    data = dataset[variable]
    if set(data.dims) != {"frequency", "duty"}:
        depends = ", ".join(map(str, data.dims))
        raise ValueError(f"{variable} depends on {depends}; select down to frequency and duty")
    data = data.transpose("duty", "frequency")
    with look():
        if axes is None:
            _, axes = plt.subplots(figsize=(6.6, 4.4))
        unit = figure_unit(data)
        scale = 100.0 if unit == "%" else 1.0
        values = np.ma.masked_invalid(scale * data.values)
        grid = data["frequency"], data["duty"], values
        filled = axes.contourf(*grid, _levels(values, unit, levels), cmap="cividis", alpha=0.9)
        lines = axes.contour(*grid, filled.levels, colors="black", linewidths=0.7)
        bar = axes.figure.colorbar(filled, ax=axes, pad=0.02)
        bar.set_label(axis_label(data.attrs["long_name"], unit))
        _frame(axes)
        _label(axes, lines)
        if limit is not None:
            _mark_limit(axes, grid, scale * figure_limit(data, limit), variable, unit)
        axes.set_title(str(data.attrs["long_name"]).capitalize())
        return figure_of(axes)


def _mark_limit(
    axes: Axes,
    grid: tuple[xr.DataArray, xr.DataArray, np.ma.MaskedArray],
    limit: float,
    variable: str,
    unit: str,
) -> None:
    """The line of the limit, what is beyond it, and its value in the legend."""
    low, high = (-np.inf, limit) if variable == "efficiency" else (limit, np.inf)
    beyond = (grid[2] > low) & (grid[2] < high)
    if beyond.any():
        axes.contourf(*grid, [max(low, -_FAR), min(high, _FAR)], colors="none", hatches=["///"])
    if beyond.any() and not beyond.all():
        axes.contour(*grid, [limit], colors=VERMILLION, linewidths=2.2)
    words = f"beyond {limit:.4g} {unit}".rstrip() + ("" if beyond.any() else ", nowhere")
    axes.legend(handles=[Patch(facecolor="white", edgecolor=VERMILLION, hatch="///", label=words)])


def _levels(values: np.ma.MaskedArray, unit: str, count: int) -> list[float]:
    """Round levels that cover the values; those of a share end at 0 and 100 %."""
    found = MaxNLocator(count, steps=[1, 2, 2.5, 5, 10]).tick_values(values.min(), values.max())
    return [float(level) for level in found if unit != "%" or 0.0 <= level <= 100.0]


def _label(axes: Axes, lines: QuadContourSet) -> None:
    """Levels on the lines, in a halo; none so close to the border that it would be cut off."""
    for text in axes.clabel(lines, fontsize=8.5, fmt=lambda level: f"{level:g}", inline=False):
        text.set_path_effects([withStroke(linewidth=2.5, foreground="white")])
        place = axes.transAxes.inverted().transform(axes.transData.transform(text.get_position()))
        if min(*place, *(1.0 - place)) < _BORDER:
            text.remove()


def _frame(axes: Axes) -> None:
    axes.set_xscale("log")
    label_decades(axes.xaxis, "Hz")
    axes.yaxis.set_major_formatter(PercentFormatter(1.0))
    axes.grid(visible=False)
    axes.set_xlabel("switching frequency")
    axes.set_ylabel("duty cycle")
