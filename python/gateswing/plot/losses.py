"""Losses by cause: of one operating point, and stacked along one axis of a sweep."""

from __future__ import annotations

import numpy as np
import xarray as xr
from matplotlib import pyplot as plt
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from ..errors import InputError, InputProblem
from ..figures import format_figure
from ..studies.bridge_point import HalfBridgePoint
from ..studies.results import SMALL_LOSS, OperatingPoint, large_losses
from .style import BLACK, BLUE, GREEN, GREY, ORANGE, PURPLE, SKY, VERMILLION, figure_of, look
from .sweep_axes import NOT_NUMERIC, axis_values_of, dress_axis, is_numeric

__all__ = ["draw_losses", "frame_losses", "plot_loss_stack", "plot_losses"]

_STACK_COLOURS = (BLUE, VERMILLION, GREEN, ORANGE, PURPLE, SKY)  # then grey, for the rest
_SUFFIX = "_loss"
# Sums and parts that the causes hold already.
_NO_CAUSE = frozenset({"total_loss", "channel_loss", "driver_loss"})


def plot_losses(point: OperatingPoint | HalfBridgePoint, axes: Axes | None = None) -> Figure:
    """One bar for each cause, the largest on top, divided by the elements that get warm.

    Args:
        point: of :func:`gateswing.operating_point` or :func:`gateswing.half_bridge_point`.
        axes: to draw into; left out: a figure of its own.

    Returns:
        The figure drawn into.
    """
    with look():
        if axes is None:
            _, axes = plt.subplots(figsize=(7.2, 0.9 + 0.34 * len(_bars(point))))
        frame_losses(axes)
        draw_losses(axes, point)
        return figure_of(axes)


def frame_losses(axes: Axes) -> None:
    """What is the same for every point."""
    axes.yaxis.set_inverted(True)
    axes.grid(visible=False)
    axes.tick_params(left=False)
    axes.spines["left"].set_color(GREY)
    axes.set_xlabel("mean loss (W)")


def draw_losses(axes: Axes, point: OperatingPoint | HalfBridgePoint) -> None:
    """What a point adds: bars, causes and title."""
    bars = _bars(point)
    _draw_bars(axes, [parts for _, parts in bars], point.total_loss)
    axes.set_yticks(range(len(bars)), [cause for cause, _ in bars])
    reached = np.concatenate([[0.0], *(np.cumsum([power for _, power in parts]) for _, parts in bars)])
    # The right half is for the texts.
    axes.set_xlim(reached.min(), 2.1 * (reached.max() or 1.0))
    axes.set_title(_title(point))


def plot_loss_stack(dataset: xr.Dataset, along: str = "frequency", axes: Axes | None = None) -> Figure:
    """Losses by cause stacked along one axis of a sweep; gaps where a point has no answer.

    Args:
        dataset: of :func:`gateswing.sweep`. One value of each other axis must have been selected.
        along: the axis.
        axes: to draw into; left out: a figure of its own.

    Returns:
        The figure drawn into.

    Raises:
        InputError: the losses depend on another axis too, or on no axis of this name, or it holds names.
    """
    single = [dim for dim, size in dataset.sizes.items() if size == 1 and dim != along]
    dataset = dataset.squeeze(single, drop=True)
    if set(dataset["total_loss"].dims) != {along}:
        others = [str(dim) for dim in dataset["total_loss"].dims if dim != along]
        hint = (
            f"Select one value of the others, as in dataset.isel({', '.join(f'{dim}=0' for dim in others)})."
        )
        problem = InputProblem(
            "along", repr(along), f"the losses depend on {', '.join(others)} too.", hint=hint
        )
        if along not in dataset["total_loss"].dims:
            problem = InputProblem("along", repr(along), "no such axis of several values.", ", ".join(others))
        raise InputError([problem])
    if not is_numeric(dataset[along]):
        raise InputError([InputProblem("along", repr(along), f"holds {NOT_NUMERIC}.")])
    layers = _layers(dataset)
    place = dataset[along]
    at = axis_values_of(place)
    with look():
        if axes is None:
            _, axes = plt.subplots(figsize=(6.6, 4.0))
        values = np.array([layer for _, layer in layers])
        colours = [*_STACK_COLOURS, GREY][: len(layers)]
        axes.stackplot(at, values, colors=colours, alpha=0.85, edgecolor="white", linewidth=0.4)
        _label_layers(axes, [name for name, _ in layers], values)
        dress_axis(axes.xaxis, place)
        axes.set_xlim(at.min(), at.max())
        axes.set_ylim(bottom=min(0.0, float(np.nanmin(values))))
        axes.set_ylabel("mean loss (W)")
        axes.set_title("Losses by cause")
        return figure_of(axes)


def _bars(point: OperatingPoint | HalfBridgePoint) -> list[tuple[str, list[tuple[str, float]]]]:
    """Causes, each with its elements and their power [W], the largest first; small causes in one bar."""
    causes = point.losses_by_cause
    bars: dict[str, dict[str, float]] = {name: {} for name in large_losses(causes)}
    smaller = next((name for name in bars if name not in causes), "")
    for part in point.causes:
        elements = bars.get(part.cause, bars.get(smaller))
        if elements is not None and part.power != 0.0:
            elements[part.element] = elements.get(part.element, 0.0) + part.power
    return [(name, sorted(parts.items(), key=lambda item: -item[1])) for name, parts in bars.items()]


def _draw_bars(axes: Axes, bars: list[list[tuple[str, float]]], total: float) -> None:
    ends = [np.cumsum([power for _, power in parts]) for parts in bars]
    rows = np.repeat(np.arange(len(bars)), [len(parts) for parts in bars])
    powers = np.array([power for parts in bars for _, power in parts])
    lefts = np.concatenate([*ends, []]) - powers
    axes.barh(rows, powers, left=lefts, color=BLUE, edgecolor="white", height=0.66)
    for row, (parts, end) in enumerate(zip(bars, ends, strict=True)):
        power = float(end[-1])
        text = f"  {format_figure(power, 'W', 3)}   {_share(power / total)}   {_elements(parts)}"
        axes.text(max(power, 0.0), row, text, va="center", color=BLACK, fontsize=8.5)


def _elements(parts: list[tuple[str, float]]) -> str:
    """The two that get warmest, and how many more there are."""
    others = len(parts) - 2
    return ", ".join(name for name, _ in parts[:2]) + (f" and {others} more" if others > 0 else "")


def _layers(dataset: xr.Dataset) -> list[tuple[str, NDArray[np.float64]]]:
    """The causes with the largest share anywhere, then the rest together."""
    names = [str(name) for name in dataset.data_vars if str(name).endswith(_SUFFIX) and name not in _NO_CAUSE]
    shares = {name: float((dataset[name] / dataset["total_loss"]).max()) for name in names}
    ranked = sorted((name for name in names if shares[name] > SMALL_LOSS), key=lambda name: -shares[name])
    large, small = ranked[: len(_STACK_COLOURS)], ranked[len(_STACK_COLOURS) :]
    layers = [(name.removesuffix(_SUFFIX).replace("_", " "), dataset[name].to_numpy()) for name in large]
    rest = dataset["total_loss"].to_numpy() - sum(layer for _, layer in layers)
    return [*layers, ("others" if small else "rest", rest)] if np.nanmax(rest, initial=0.0) > 0.0 else layers


def _label_layers(axes: Axes, names: list[str], values: NDArray[np.float64]) -> None:
    """Each name at the right end of its layer, kept apart where layers are thin."""
    tops = np.cumsum(values, axis=0)
    last = np.flatnonzero(np.isfinite(tops[-1]))[-1]
    gap = 0.045 * float(np.nanmax(tops))
    lowest = -np.inf
    for name, top, height in zip(names, tops[:, last], values[:, last], strict=True):
        lowest = max(top - 0.5 * height, lowest + gap)
        axes.annotate(
            name,
            (1.0, lowest),
            xycoords=("axes fraction", "data"),
            xytext=(6, 0),
            textcoords="offset points",
            va="center",
            fontsize=8.5,
            annotation_clip=False,
        )


def _share(share: float) -> str:
    return f"{share:.0%}" if abs(share) >= 0.01 else "<1%"


def _title(point: OperatingPoint | HalfBridgePoint) -> str:
    where = f"{format_figure(point.frequency, 'Hz')}, duty {format_figure(point.duty, '%')}"
    total, efficiency = format_figure(point.total_loss, "W", 3), format_figure(point.efficiency, "%", 3)
    return f"Losses at {where}: {total}, efficiency {efficiency}"
