"""What the dead time of a half bridge costs, too short and too long."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from matplotlib import pyplot as plt
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from ..figures import format_figure
from .style import BLACK, BLUE, GREY, VERMILLION, figure_of, look

if TYPE_CHECKING:
    import xarray as xr

__all__ = ["plot_dead_time"]

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
        if np.isfinite(needed):
            axes.axvline(1e9 * needed, color=GREY, lw=0.8, ls=":")
            axes.annotate(
                f"just enough: {format_figure(needed, 's', 3)}",
                (1e9 * needed, 0.72),
                xycoords=axes.get_xaxis_transform(),
                xytext=(4, 0),
                textcoords="offset points",
                fontsize=8.5,
            )
        highest = 1e6 * float(table["heat"].max())
        axes.set_yscale("log")
        axes.set_ylim(_LOWEST_SHARE * highest, 2.0 * highest)
        axes.set_xlabel("dead time (ns)")
        axes.set_ylabel("energy of both edges (uJ)")
        axes.set_title(f"Half bridge at {format_figure(float(table['current']), 'A', 3)}")
        axes.legend(frameon=False, fontsize=8.5)
        return figure_of(axes)
