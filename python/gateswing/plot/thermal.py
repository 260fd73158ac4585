"""Thermal impedance against pulse length."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib import pyplot as plt
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter

from ..circuit.thermal import FosterLadder
from ..figures import format_figure
from .style import BLACK, BLUE, GREY, figure_of, look

__all__ = ["plot_thermal_impedance"]

_POINTS = 200
# The duties that data sheets print (common practice, no source).
_DUTIES = (0.5, 0.2, 0.1, 0.05, 0.02)


def plot_thermal_impedance(
    ladder: FosterLadder,
    shortest: float = 1e-6,
    longest: float | None = None,
    duties: Sequence[float] = _DUTIES,
    axes: Axes | None = None,
) -> Figure:
    """Peak rise per watt for a single pulse, and for pulses repeated at some duties.

    Args:
        ladder: what warms up.
        shortest: pulse length [s] at the left.
        longest: pulse length [s] at the right; left out: when the slowest element has settled.
        duties: shares of the period, each a curve; none for the single pulse alone.
        axes: to draw into; left out: a figure of its own.

    Returns:
        The figure drawn into.
    """
    end = longest if longest is not None else 5.0 * max(ladder.time_constants)
    times = np.geomspace(shortest, end, _POINTS)
    with look():
        if axes is None:
            _, axes = plt.subplots(figsize=(6.6, 4.2))
        for duty in duties:
            curve = [ladder.repetitive_peak(1.0, float(time), float(time) / duty) for time in times]
            axes.loglog(times, curve, color=GREY, lw=1.0)
            _label(axes, float(times[0]), curve[0], f"duty {format_figure(duty, '%')}")
        axes.loglog(times, ladder.step_response(times), color=BLUE, lw=1.9)
        _label_single_pulse(axes, times, ladder)
        axes.axhline(ladder.total_resistance, color=BLACK, lw=0.8, ls=(0, (4, 3)))
        _dress(axes, float(times[0]), end)
        axes.set_title(f"Thermal impedance, {format_figure(ladder.total_resistance, 'K/W', 3)} in the end")
        return figure_of(axes)


def _label(axes: Axes, time: float, value: float, text: str) -> None:
    axes.annotate(text, (time, value), xytext=(4, 4), textcoords="offset points", color=GREY, fontsize=8.0)


def _label_single_pulse(axes: Axes, times: np.ndarray, ladder: FosterLadder) -> None:
    at = float(times[_POINTS // 5])
    axes.annotate(
        "single pulse",
        (at, float(ladder.step_response(at))),
        xytext=(6, -6),
        textcoords="offset points",
        color=BLUE,
        va="top",
    )


def _dress(axes: Axes, first: float, last: float) -> None:
    axes.set_xlabel("pulse length")
    axes.set_ylabel("peak rise per watt (K/W)")
    axes.set_xlim(first, last)
    axes.xaxis.set_major_formatter(FuncFormatter(lambda time, _: format_figure(time, "s", 3)))
    axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
