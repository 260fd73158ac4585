"""Both edges in the safe operating area of the MOSFET."""

from __future__ import annotations

import numpy as np
from matplotlib import pyplot as plt
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import EngFormatter

from ..studies.switching_locus import SwitchingLocus
from .style import BLACK, BLUE, GREY, VERMILLION, figure_of, look

__all__ = ["plot_locus"]

# Decades of current below the highest bound that are shown.
_DECADES = 4.0
_LEAST_VOLTAGE = 0.01  # [V]
_EDGES = (("turn_on", "turn-on", BLUE), ("turn_off", "turn-off", VERMILLION))


def plot_locus(locus: SwitchingLocus, axes: Axes | None = None) -> Figure:
    """Channel current over drain voltage of both edges, within the bounds that the part states.

    Args:
        locus: of :func:`gateswing.switching_locus`.
        axes: to draw into; left out: a figure of its own.

    Returns:
        The figure drawn into.
    """
    with look():
        if axes is None:
            _, axes = plt.subplots(figsize=(6.6, 4.6))
        top = _draw_bounds(axes, locus)
        for name, label, colour in _EDGES:
            nodes = locus.edge(name)
            voltage, current = locus.drain_voltage[nodes], locus.current[nodes]
            shown = (voltage > 0.0) & (current > 0.0)
            axes.plot(
                np.where(shown, voltage, np.nan), np.where(shown, current, np.nan), color=colour, label=label
            )
        worst = locus.used[0]
        bottom = top * 10.0**-_DECADES
        # The highest drain voltage often comes with no current in the channel, which is below this axis.
        axes.plot(
            [worst.drain_voltage],
            [max(worst.current, bottom)],
            "o",
            color=BLACK,
            ms=5,
            clip_on=False,
            label=f"closest to the {worst.bound}",
        )
        axes.set_xscale("log")
        axes.set_yscale("log")
        axes.set_ylim(bottom, 2.0 * top)
        axes.set_xlim(0.5 * max(_LEAST_VOLTAGE, float(locus.drain_voltage.min())))
        axes.xaxis.set_major_formatter(EngFormatter(unit="V", sep=" "))
        axes.yaxis.set_major_formatter(EngFormatter(unit="A", sep=" "))
        axes.set_xlabel("drain voltage at the die")
        axes.set_ylabel("channel current")
        axes.legend(loc="lower left")
        axes.set_title(f"{worst.share:.0%} of the safe operating area used: {worst.bound}")
        return figure_of(axes)


def _draw_bounds(axes: Axes, locus: SwitchingLocus) -> float:
    """Pulsed current, rated voltage and on-resistance line; the highest current shown [A]."""
    limits = {one.bound: one.limit for one in locus.used}
    rated, pulsed = limits["drain voltage"], limits.get("pulsed current")
    top = pulsed if pulsed is not None else 3.0 * float(locus.current.max())
    line = np.array([10.0**-_DECADES * top, top])
    axes.plot(
        line * locus.channel_resistance,
        line,
        color=GREY,
        lw=1.0,
        ls=(0, (4, 3)),
        label="on-resistance of the channel",
    )
    if pulsed is not None:
        axes.plot([pulsed * locus.channel_resistance, rated], [pulsed, pulsed], color=BLACK, lw=1.2)
        axes.annotate(
            "pulsed current", (rated, pulsed), xytext=(-2, 4), textcoords="offset points", ha="right"
        )
    axes.plot([rated, rated], [1e-9, top], color=BLACK, lw=1.2)
    axes.annotate(
        "rated voltage", (rated, top * 1e-2), xytext=(4, 0), textcoords="offset points", rotation=90
    )
    return top
