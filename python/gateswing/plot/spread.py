"""What varies from piece to piece: histograms, sensitivities, and the trade-off between two figures."""

from __future__ import annotations

import numpy as np
import xarray as xr
from matplotlib import pyplot as plt
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Patch

from ..figures import format_figure, require_figure
from ..quantities import format_quantity
from ..studies.figure_units import figure_limit, figure_unit
from ..tolerance.runs import MonteCarlo
from ..tolerance.sensitivity import Tornado
from .style import BLACK, BLUE, GREY, ORANGE, VERMILLION, axis_label, figure_of, look

__all__ = ["plot_histogram", "plot_pareto", "plot_tornado"]

_PREFIXES = {-12: "p", -9: "n", -6: "u", -3: "m", 0: "", 3: "k", 6: "M", 9: "G"}


def plot_histogram(
    run: MonteCarlo, figure: str, limit: float | str | None = None, axes: Axes | None = None
) -> Figure:
    """How many pieces have which value of a figure; those beyond the limit stand out.

    Args:
        run: of :func:`gateswing.monte_carlo`.
        figure: its name.
        limit: a number in SI units, or text with a unit, drawn as a line; for an
            efficiency the least, else the most that is allowed.
        axes: to draw into; left out: a figure of its own.

    Returns:
        The figure drawn into.

    Raises:
        InputError: there is no such figure, or the limit is of another unit.
    """
    require_figure("figure", figure, map(str, run.dataset.data_vars))
    data = run.dataset[figure]
    values = data.values[np.isfinite(data.values)]
    factor, unit = _scale(data, values)
    with look():
        if axes is None:
            _, axes = plt.subplots(figsize=(6.6, 3.4))
        edges = np.histogram_bin_edges(values / factor, "auto").tolist()
        axes.hist(values / factor, edges, color=BLUE, edgecolor="white", linewidth=0.5)
        if limit is not None:
            limit = figure_limit(data, limit)
            beyond = values < limit if figure == "efficiency" else values > limit
            axes.hist(values[beyond] / factor, edges, color=VERMILLION, edgecolor="white", linewidth=0.5)
            axes.axvline(limit / factor, color=BLACK, linestyle="--", linewidth=1.2)
            stated = f"{limit / factor:.4g} {unit}".rstrip()
            _name_limit(axes, limit / factor, f"limit {stated}, {int(beyond.sum())} beyond")
        axes.set_xlabel(axis_label(data.attrs["long_name"], unit))
        axes.set_ylabel("pieces")
        axes.set_title(f"{str(data.attrs['long_name']).capitalize()} of {values.size} pieces")
        return figure_of(axes)


def plot_tornado(tornado: Tornado, axes: Axes | None = None) -> Figure:
    """One bar for each quantity, from the figure at its minimum to that at its maximum, the widest on top.

    Args:
        tornado: of :func:`gateswing.tornado`.
        axes: to draw into; left out: a figure of its own.

    Returns:
        The figure drawn into.
    """
    data = tornado.dataset[tornado.figure]
    factor, unit = _scale(data, data.values[np.isfinite(data.values)])
    with look():
        if axes is None:
            _, axes = plt.subplots(figsize=(7.2, 1.1 + 0.42 * len(tornado.bars)))
        middle = tornado.typical / factor
        for place, bar in enumerate(tornado.bars):
            ends = [
                (bar.at_low / factor, bar.spread.low, ORANGE),
                (bar.at_high / factor, bar.spread.high, BLUE),
            ]
            # The longer half first: where both point the same way, the shorter one lies on top.
            for end, quantity, color in sorted(ends, key=lambda one: -abs(one[0] - middle)):
                _draw_end(axes, place, middle, end, format_quantity(quantity, bar.spread.kind.unit, 3), color)
        axes.axvline(middle, color=BLACK, linewidth=1.0)
        axes.set_yticks(range(len(tornado.bars)), [bar.spread.label for bar in tornado.bars])
        axes.invert_yaxis()
        axes.grid(visible=False)
        axes.tick_params(left=False)
        axes.spines["left"].set_color(GREY)
        axes.margins(x=0.16)
        keys = [Patch(color=ORANGE, label="at its minimum"), Patch(color=BLUE, label="at its maximum")]
        axes.legend(handles=keys, frameon=False, fontsize=8.5, loc="lower right")
        axes.set_xlabel(axis_label(data.attrs["long_name"], unit))
        typical = format_figure(tornado.typical, tornado.unit)
        axes.set_title(f"{str(data.attrs['long_name']).capitalize()}, {typical} where all is typical")
        return figure_of(axes)


def plot_pareto(
    dataset: xr.Dataset,
    front: xr.Dataset,
    figures: tuple[str, str] = ("total_loss", "overshoot"),
    axes: Axes | None = None,
) -> Figure:
    """All points of a sweep over two figures, the front that no point beats in both, and its knee.

    Args:
        dataset: of :func:`gateswing.sweep`.
        front: of :func:`gateswing.pareto_front` for the same figures.
        figures: names of the horizontal and the vertical one.
        axes: to draw into; left out: a figure of its own.

    Returns:
        The figure drawn into.
    """
    with look():
        if axes is None:
            _, axes = plt.subplots(figsize=(6.0, 4.2))
        scales = [
            _scale(dataset[name], dataset[name].values[np.isfinite(dataset[name].values)]) for name in figures
        ]
        every = [
            dataset[name].values.ravel() / scale for name, (scale, _) in zip(figures, scales, strict=True)
        ]
        best = [front[name].values / scale for name, (scale, _) in zip(figures, scales, strict=True)]
        axes.plot(*every, "o", color=GREY, markersize=3.5, alpha=0.5, label="all designs")
        axes.plot(*best, "o-", color=VERMILLION, markersize=5.0, label="no other is better in both")
        for x, y in zip(*(values[front["knee"].values] for values in best), strict=True):
            axes.plot(x, y, "o", color=VERMILLION, markersize=10.0, fillstyle="none")
            axes.annotate("knee", (x, y), (8, 6), textcoords="offset points", fontsize=8.5)
        labels = [
            axis_label(dataset[name].attrs["long_name"], unit)
            for name, (_, unit) in zip(figures, scales, strict=True)
        ]
        axes.set_xlabel(labels[0])
        axes.set_ylabel(labels[1])
        axes.legend(frameon=False, fontsize=8.5)
        axes.set_title("Trade-off")
        return figure_of(axes)


def _name_limit(axes: Axes, limit: float, text: str) -> None:
    """Beside its line, on the side that has room."""
    low, high = axes.get_xlim()
    left = limit > 0.5 * (low + high)
    axes.annotate(
        text,
        (limit, 1.0),
        (-4 if left else 4, 0),
        xycoords=axes.get_xaxis_transform(),
        textcoords="offset points",
        ha="right" if left else "left",
        va="top",
        fontsize=8.5,
    )


def _draw_end(axes: Axes, place: int, middle: float, end: float, text: str, color: str) -> None:
    """Half of a bar with the quantity's value at its end; nothing where there is no answer."""
    if not np.isfinite(end):
        return
    axes.barh(place, end - middle, left=middle, color=color, height=0.62)
    right = end >= middle
    axes.annotate(
        text,
        (end, place),
        (4 if right else -4, 0),
        textcoords="offset points",
        ha="left" if right else "right",
        va="center",
        fontsize=8.5,
    )


def _scale(data: xr.DataArray, values: np.ndarray) -> tuple[float, str]:
    """The factor and the unit in which the values are of a readable size."""
    unit = figure_unit(data)
    if unit == "%":
        return 0.01, "%"
    if not unit:
        return 1.0, ""
    if unit == "V/s":
        return 1e9, "V/ns"
    largest = np.abs(values).max(initial=0.0)
    power = 3 * int(np.floor(np.log10(largest) / 3.0)) if largest > 0.0 else 0
    power = min(max(power, min(_PREFIXES)), max(_PREFIXES))
    return 10.0**power, f"{_PREFIXES[power]}{unit}"
