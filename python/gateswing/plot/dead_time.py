"""What the dead time of a half bridge costs, too short and too long."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from matplotlib import pyplot as plt
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from ..figures import format_figure
from .losses import plot_loss_stack
from .style import BLACK, BLUE, GREY, VERMILLION, figure_of, look

if TYPE_CHECKING:
    import xarray as xr

__all__ = ["plot_dead_time", "plot_dead_time_losses"]

# Energies below this share of the largest are not shown.
_LOWEST_SHARE = 1e-3


def plot_dead_time(table: xr.Dataset, axes: Axes | None = None) -> Figure:
    """Heat of both edges over the dead time, with what shoots through and what the diodes take.

    Args:
        table: of :func:`gateswing.dead_time_sweep`, selected down to one current.
        axes: to draw into; left out: a figure of its own.

    Returns:
        The figure drawn into.

    Raises:
        ValueError: the table has several currents.
    """
    if "current" in table.dims:
        raise ValueError("the table has several currents; select one, as in table.sel(current=10)")
    with look():
        if axes is None:
            _, axes = plt.subplots(figsize=(6.6, 4.0))
        place = 1e9 * table["dead_time"].to_numpy()
        lines = (
            ("heat of both edges", table["heat"], BLACK),
            ("shoot-through", table["shoot_through_energy"].sum("commutation"), VERMILLION),
            ("diodes", table["diode_conduction_energy"].sum("commutation"), BLUE),
        )
        for text, values, color in lines:
            axes.plot(place, 1e6 * values.to_numpy(), color=color, marker=".", label=text)
        needed = float(table["dead_time_needed"].isel(dead_time=-1).max())
        _mark(axes, 1e9 * needed, f"just enough: {format_figure(needed, 's', 3)}", 0.72)
        highest = 1e6 * float(table["heat"].max())
        axes.set_yscale("log")
        axes.set_ylim(_LOWEST_SHARE * highest, 2.0 * highest)
        axes.set_xlabel("dead time (ns)")
        axes.set_ylabel("energy of both edges (uJ)")
        axes.set_title(f"Half bridge at {format_figure(float(table['current']), 'A', 3)}")
        axes.legend(frameon=False, fontsize=8.5)
        return figure_of(axes)


def plot_dead_time_losses(table: xr.Dataset, axes: Axes | None = None) -> Figure:
    """Losses in steady state over the dead time, stacked by cause, with the dead time of least loss.

    Args:
        table: of :func:`gateswing.dead_time_losses`.
        axes: to draw into; left out: a figure of its own.

    Returns:
        The figure drawn into.
    """
    figure = plot_loss_stack(table, "dead_time", axes)
    drawn = figure.axes[0] if axes is None else axes
    least, needed = table.attrs["least_loss_dead_time"], table.attrs["dead_time_needed"]
    _mark(drawn, least, f"least loss: {format_figure(least, 's', 3)}", 0.94)
    _mark(drawn, needed, f"just enough: {format_figure(needed, 's', 3)}", 0.86)
    return figure


def _mark(axes: Axes, place: float, text: str, height: float) -> None:
    """A dotted line with a text at a share of the height; none where there is no place."""
    if not np.isfinite(place):
        return
    axes.axvline(place, color=GREY, lw=0.8, ls=":")
    axes.annotate(
        text,
        (place, height),
        xycoords=axes.get_xaxis_transform(),
        xytext=(4, 0),
        textcoords="offset points",
        fontsize=8.5,
    )
