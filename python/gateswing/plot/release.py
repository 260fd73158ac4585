"""The release of an inductive load: its current and the drain voltage over the whole of it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib import pyplot as plt
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import EngFormatter

from ..figures import format_figure
from ..studies.inductive_turn_off import InductiveTurnOff
from .style import BLACK, GREEN, GREY, VERMILLION, figure_of, look

__all__ = ["plot_release"]

_POINTS = 4000
_ENERGIES = (
    ("breakdown_energy", "breakdown"),
    ("channel_energy", "channel"),
    ("clamp_energy", "clamps"),
    ("load_energy", "load"),
)


def plot_release(result: InductiveTurnOff, axes: Sequence[Axes] | None = None) -> Figure:
    """Drain voltage and load current over time, and who takes the energy.

    Args:
        result: of :func:`gateswing.inductive_turn_off`.
        axes: two, one above the other, to draw into; left out: a figure of its own.

    Returns:
        The figure drawn into.
    """
    with look():
        if axes is None:
            figure, own = plt.subplots(2, 1, sharex=True, figsize=(7.2, 5.0))
            axes = own.tolist()
            figure.suptitle(_title(result), x=0.01, ha="left", fontweight="bold")
        voltage, current = axes
        times = np.linspace(result.waveform.begin, result.waveform.end, _POINTS)
        _voltage(voltage, result, times)
        _current(current, result, times)
        current.xaxis.set_major_formatter(EngFormatter(unit="s"))
        current.set_xlabel('time from the command "off"')
        return figure_of(voltage)


def _title(result: InductiveTurnOff) -> str:
    bus, current = format_figure(result.cell.bus.voltage, "V", 3), format_figure(result.current, "A", 3)
    return f"Release of {current} at {bus}"


def _voltage(axes: Axes, result: InductiveTurnOff, times: np.ndarray) -> None:
    axes.plot(times, result.waveform.value("v_ds", times), color=VERMILLION, lw=1.9)
    bus = result.cell.bus.voltage
    axes.axhline(bus, color=BLACK, lw=0.8, ls=(0, (4, 3)))
    axes.annotate(
        f"bus {format_figure(bus, 'V')}", (0.99, bus), xycoords=axes.get_yaxis_transform(), xytext=(0, 3),
        textcoords="offset points", ha="right", fontsize=8.5,
    )  # fmt: skip
    axes.set_ylabel("drain voltage (V)")
    peak, plateau = (
        format_figure(value, "V", 3) for value in (result.peak_drain_voltage, result.plateau_voltage)
    )
    axes.set_title(f"plateau {plateau}, peak {peak}", fontweight="normal", fontsize=8.5)
    axes.margins(y=0.12)


def _current(axes: Axes, result: InductiveTurnOff, times: np.ndarray) -> None:
    axes.plot(times, result.waveform.value("i_load", times), color=GREEN, lw=1.9)
    axes.axhline(result.remaining * result.current, color=BLACK, lw=0.6, ls=":")
    if not np.isnan(result.release_time):
        axes.axvline(result.release_time, color=GREY, lw=0.8)
    energies = [(getattr(result, name), text) for name, text in _ENERGIES]
    largest = max(energy for energy, _ in energies)
    lines = [
        f"{format_figure(energy, 'J', 3)} in {text}" for energy, text in energies if energy >= 5e-3 * largest
    ]
    by_hand = format_figure(result.release_time_by_hand, "s", 3)
    head = f"{format_figure(result.release_time, 's', 3)} to {format_figure(result.remaining, '%')}"
    axes.text(
        0.98, 0.96, "\n".join([f"{head} ({by_hand} by hand)", *lines]), transform=axes.transAxes, ha="right",
        va="top", fontsize=8.5, bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.85, "pad": 0.8},
    )  # fmt: skip
    axes.set_ylabel("load current (A)")
    axes.margins(y=0.12)
