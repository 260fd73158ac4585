"""A capture over the prediction, with the residual below each channel."""

from __future__ import annotations

import textwrap

import numpy as np
from matplotlib import pyplot as plt
from matplotlib.figure import Figure
from matplotlib.ticker import EngFormatter

from ..figures import format_figure
from ..measurement.overlay import Overlay, Residual
from .style import BLUE, GREY, VERMILLION, look

__all__ = ["plot_overlay"]

_POINTS = 6000


def plot_overlay(result: Overlay) -> Figure:
    """Model and capture of each channel, and measured less model below it on a scale of its own.

    Args:
        result: of :func:`gateswing.overlay`.

    Returns:
        The figure.
    """
    rows = len(result.residuals)
    times = np.linspace(result.begin, result.end, _POINTS)
    with look():
        figure, axes = plt.subplots(
            2 * rows, 1, sharex=True, squeeze=False, figsize=(9.0, 1.2 + 2.6 * rows),
            gridspec_kw={"height_ratios": [3, 1] * rows},
        )  # fmt: skip
        for row, residual in enumerate(result.residuals):
            upper, lower = axes[2 * row, 0], axes[2 * row + 1, 0]
            model = result.model.value(residual.channel, times)
            measured = result.measured.value(residual.channel, times)
            upper.plot(times, measured, color=VERMILLION, lw=1.0, label="capture")
            upper.plot(times, model, color=BLUE, lw=1.6, ls=(0, (5, 2)), label="model")
            upper.set_ylabel(f"{residual.channel} ({residual.unit})")
            lower.plot(times, measured - model, color=GREY, lw=1.0)
            lower.axhline(0.0, color=BLUE, lw=0.6)
            lower.set_ylabel(f"residual ({residual.unit})")
            lower.set_title(_note(residual), fontsize=8.5, weight="normal", pad=3)
        axes[0, 0].legend(loc="best", frameon=False)
        axes[-1, 0].xaxis.set_major_formatter(EngFormatter(unit="s", sep=" "))
        axes[-1, 0].set_xlabel("time of the model")
        figure.align_ylabels()
        figure.suptitle(
            "\n".join(textwrap.wrap(result.sentence(), 100)), x=0.01, ha="left", fontweight="bold", fontsize=9
        )
        return figure


def _note(residual: Residual) -> str:
    rms, largest = (format_figure(value, residual.unit, 3) for value in (residual.rms, residual.largest))
    return f"measured less model: rms {rms}, largest {largest} at {format_figure(residual.time, 's', 3)}"
