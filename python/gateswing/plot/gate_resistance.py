"""The choice of a gate resistance: the trade of energy for stress, and what the limits leave of it."""

from __future__ import annotations

import numpy as np
from matplotlib import pyplot as plt
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import PercentFormatter

from ..choices.gate_resistance import GateResistanceChoice, ResistanceCurve
from ..figures import format_figure
from .style import (
    BAND,
    BLACK,
    BLUE,
    GREEN,
    GREY,
    ORANGE,
    PURPLE,
    SKY,
    VERMILLION,
    figure_of,
    label_decades,
    look,
)

__all__ = ["plot_gate_resistance"]

_EDGES = {"turn_on": "Turn-on", "turn_off": "Turn-off", "both": "Both edges"}
_STRESS = {"V": (1.0, "V"), "V/s": (1e-9, "V/ns")}
_COLOURS = (BLUE, VERMILLION, GREEN, PURPLE, ORANGE, SKY, BLACK)
_STYLES = ("-", (0, (5, 2)), (0, (1, 1)), (0, (5, 1, 1, 1)))
# Share of its limit up to which a limit is worth a line.
_NEAR = 0.05
_MOST = 2.2  # times a limit, where the axis ends
_APART = (34.0, 13.0)  # of two labels, in points: across or up


def plot_gate_resistance(choice: GateResistanceChoice) -> Figure:
    """One column for each resistance: energy against stress above, the limits over the resistance below.

    Values that exceed a limit are hollow; the choice is a filled square, the knee a ring around its point.

    Args:
        choice: of :func:`gateswing.choose_gate_resistance`.

    Returns:
        A figure of its own.
    """
    count = len(choice.curves)
    with look():
        _, axes = plt.subplots(2, count, figsize=(1.2 + 4.6 * count, 6.6), squeeze=False)
        for column, curve in zip(axes.T, choice.curves, strict=True):
            _trade(column[0], curve)
            _limits(column[1], curve)
        return figure_of(axes[0, 0])


def _trade(axes: Axes, curve: ResistanceCurve) -> None:
    scale, unit = _STRESS[curve.stress_unit]
    energy, stress, feasible = 1e6 * curve.energy, scale * curve.stress, curve.feasible
    axes.plot(energy, stress, color=BLUE, lw=1.2)
    axes.plot(energy[feasible], stress[feasible], "o", color=BLUE, ms=5, label="holds all limits")
    if not feasible.all():
        out = ~feasible
        axes.plot(energy[out], stress[out], "o", color=BLUE, mfc="white", ms=5, label="exceeds one")
    if curve.knee is not None:
        at = energy[curve.knee], stress[curve.knee]
        axes.plot(*at, "o", color=ORANGE, mfc="none", ms=12, mew=1.8, label="knee")
    if curve.chosen is not None:
        at, words = (energy[curve.chosen], stress[curve.chosen]), format_figure(curve.resistance, "ohm")
        axes.plot(*at, "s", color=VERMILLION, ms=8, label=f"chosen: {words}")
    axes.margins(x=0.12, y=0.1)
    _label_resistances(axes, curve, energy, stress)
    axes.set_xlabel("switching energy (µJ)")
    axes.set_ylabel(f"{curve.stress_name} ({unit})")
    axes.set_title(f"{_EDGES[curve.edge]}: energy for stress")
    axes.legend(frameon=False, loc="best")


def _label_resistances(axes: Axes, curve: ResistanceCurve, energy: np.ndarray, stress: np.ndarray) -> None:
    """Values in ohm at the points, as far as there is room."""
    known = np.flatnonzero(np.isfinite(energy) & np.isfinite(stress))
    figure_of(axes).draw_without_rendering()
    pixels = axes.transData.transform(np.column_stack([energy, stress]))
    apart = np.array(_APART) * figure_of(axes).dpi / 72.0
    placed: list[int] = []
    for index in known.tolist():
        if all((np.abs(pixels[index] - pixels[other]) > apart).any() for other in placed):
            placed.append(index)
            axes.annotate(
                f"{curve.resistances[index]:g} Ω",
                (energy[index], stress[index]),
                xytext=(6, 5),
                textcoords="offset points",
                color=GREY,
                fontsize=8.0,
            )


def _limits(axes: Axes, curve: ResistanceCurve) -> None:
    resistances, shares = curve.resistances, curve.shares
    for index, (limit, share) in enumerate(zip(curve.limits, shares, strict=True)):
        if np.nanmax(share, initial=0.0) > _NEAR:
            text = f"{limit.name}, {format_figure(limit.limit, limit.unit)}"
            colour, style = _COLOURS[index % len(_COLOURS)], _STYLES[index % len(_STYLES)]
            axes.plot(resistances, share, color=colour, ls=style, label=text)
    axes.axhline(1.0, color=BLACK, lw=1.0)
    _shade_feasible(axes, curve)
    if curve.chosen is not None:
        axes.axvline(curve.resistance, color=VERMILLION, lw=1.2)
    axes.set_xscale("log")
    label_decades(axes.xaxis, "Ω")
    axes.yaxis.set_major_formatter(PercentFormatter(1.0))
    axes.set_ylim(0.0, min(_MOST, 1.1 * max(1.2, float(np.nanmax(shares, initial=0.0)))))
    axes.set_xlabel(curve.field.replace("_", " "))
    axes.set_ylabel("share of the limit")
    axes.set_title("Limits; shaded: all held")
    axes.legend(frameon=False, loc="best", fontsize=8.0)


def _shade_feasible(axes: Axes, curve: ResistanceCurve) -> None:
    """Shade each stretch of values that hold all limits."""
    flags = np.concatenate(([False], curve.feasible, [False]))
    begins, ends = np.flatnonzero(flags[1:] & ~flags[:-1]), np.flatnonzero(~flags[1:] & flags[:-1]) - 1
    for begin, end in zip(begins, ends, strict=True):
        axes.axvspan(curve.resistances[begin], curve.resistances[end], color=BAND[0], lw=0.0, zorder=0)
