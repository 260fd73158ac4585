"""Gate voltage against the charge that the gate has taken."""

from __future__ import annotations

import numpy as np
from matplotlib import pyplot as plt
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from ..figures import format_figure
from ..studies.results import DoublePulse
from .style import BLACK, BLUE, GREY, figure_of, look

__all__ = ["plot_gate_charge"]

_POINTS = 2000


def plot_gate_charge(result: DoublePulse, axes: Axes | None = None) -> Figure:
    """Gate voltage at the die against gate charge during the turn-on, with the plateau marked.

    Args:
        result: of :func:`gateswing.double_pulse`.
        axes: to draw into; left out: a figure of its own.

    Returns:
        The figure drawn into.
    """
    edge, waveform = result.turn_on, result.waveform
    times = np.linspace(edge.begin, edge.end, _POINTS)
    charge = 1e9 * waveform.integral("i_gate", edge.begin, times)
    with look():
        if axes is None:
            _, axes = plt.subplots(figsize=(6.6, 4.2))
        axes.plot(charge, waveform.value("v_gs", times), color=BLUE, lw=1.9)
        _mark_plateau(axes, edge.plateau_voltage)
        _mark_end(axes, charge[-1], float(waveform.value("v_gs", edge.end)))
        axes.set_xlabel("charge taken by the gate (nC)")
        axes.set_ylabel("gate voltage at the die (V)")
        axes.set_xlim(left=0.0)
        axes.margins(x=0.08, y=0.1)
        axes.set_title(_title(result))
        return figure_of(axes)


def _title(result: DoublePulse) -> str:
    bus, current = format_figure(result.cell.bus.voltage, "V", 3), format_figure(result.current, "A", 3)
    return f"Gate charge at turn-on, {bus}, {current}"


def _mark_plateau(axes: Axes, voltage: float) -> None:
    if np.isnan(voltage):
        return
    axes.axhline(voltage, color=GREY, lw=1.0, ls=(0, (4, 3)))
    text = f"plateau {format_figure(voltage, 'V', 3)}"
    axes.annotate(
        text,
        (0.99, voltage),
        xycoords=axes.get_yaxis_transform(),
        xytext=(0, 4),
        textcoords="offset points",
        ha="right",
        color=GREY,
    )


def _mark_end(axes: Axes, charge: float, voltage: float) -> None:
    axes.plot([charge], [voltage], "o", color=BLACK, ms=4)
    text = f"{charge:.3g} nC at {format_figure(voltage, 'V', 3)}"
    axes.annotate(text, (charge, voltage), xytext=(-8, 2), textcoords="offset points", ha="right")
