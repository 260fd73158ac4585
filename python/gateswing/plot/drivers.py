"""What a driver's output and the gate network do at rest: voltage against current."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from matplotlib import pyplot as plt
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from ..circuit.cell import LowSideCell
from ..circuit.driver import Driver
from ..figures import format_figure
from .style import BLUE, GREY, VERMILLION, figure_of, look

__all__ = ["plot_driver_output", "plot_gate_network"]

_POINTS = 1001


class _State(NamedTuple):
    """The output at rest in one state."""

    voltage: NDArray[np.float64]  # [V], of the output, ending at the other rail
    current: NDArray[np.float64]  # [A], out of the high or into the low output
    color: str
    words: str


def plot_driver_output(driver: Driver, axes: Axes | None = None) -> Figure:
    """Output voltage of a driver against its output current, in both states.

    The high output gives current, the low output takes it; both are drawn to the right. Each line ends in a
    short circuit to the other rail.

    Args:
        driver: of any kind.
        axes: to draw into; left out: a figure of its own.

    Returns:
        The figure drawn into.
    """
    output = driver.push_pull()
    rising = np.linspace(output.off_voltage, output.supply_voltage, _POINTS)
    falling = rising[::-1]
    states = (
        _State(falling, output.output_current(falling, on=True), BLUE, "high, gives"),
        _State(rising, -output.output_current(rising, on=False), VERMILLION, "low, takes"),
    )
    largest = max(state.current[-1] for state in states)
    scale, unit = (1e3, "mA") if largest < 1.0 else (1.0, "A")
    with look():
        if axes is None:
            _, axes = plt.subplots(figsize=(6.6, 4.2))
        for state in states:
            axes.plot(scale * state.current, state.voltage, color=state.color, lw=1.9)
            _mark_short_circuit(axes, state, scale, state.current[-1] > 0.5 * largest)
        axes.set_xlabel(f"output current ({unit})")
        axes.set_ylabel("output voltage (V)")
        axes.set_xlim(0.0, 1.05 * scale * largest)
        axes.margins(y=0.12)
        axes.set_title(f"Output at rest: {driver.name or driver.kind.replace('_', ' ')}")
        return figure_of(axes)


def _mark_short_circuit(axes: Axes, state: _State, scale: float, to_the_left: bool) -> None:
    end = (scale * state.current[-1], state.voltage[-1])
    upward = state.voltage[-1] > state.voltage[0]
    axes.plot(*end, "o", color=state.color, ms=4)
    axes.annotate(
        f"{state.words} {format_figure(state.current[-1], 'A', 3)} at the other rail",
        end,
        xytext=(0, 7 if upward else -14),
        textcoords="offset points",
        ha="right" if to_the_left else "left",
        color=state.color,
    )


def plot_gate_network(cell: LowSideCell, axes: Axes | None = None) -> Figure:
    """Current through gate resistor and steering branch against the voltage across them.

    Positive is from the driver to the gate. The resistor alone is dashed where a steering diode bypasses
    it.

    Args:
        cell: with a gate resistance above zero.
        axes: to draw into; left out: a figure of its own.

    Returns:
        The figure drawn into.

    Raises:
        ValueError: the gate resistance is zero, so that there is no voltage across it.
    """
    driver = cell.driver.push_pull()
    span = driver.supply_voltage - driver.off_voltage
    voltage = np.linspace(-span, span, _POINTS)
    current = cell.gate_network_current(voltage)
    scale, unit = (1e3, "mA") if np.abs(current).max() < 1.0 else (1.0, "A")
    with look():
        if axes is None:
            _, axes = plt.subplots(figsize=(6.6, 4.2))
        if cell.turn_off_gate_resistance is not None:
            alone = scale * voltage / cell.gate_resistance
            axes.plot(voltage, alone, color=GREY, lw=1.2, ls=(0, (4, 3)), label="resistor alone")
        axes.plot(voltage, scale * current, color=BLUE, lw=1.9, label="gate network")
        axes.axvline(0.0, color=GREY, lw=0.8)
        axes.axhline(0.0, color=GREY, lw=0.8)
        axes.set_xlabel("voltage from driver to gate (V)")
        axes.set_ylabel(f"current into the gate ({unit})")
        axes.set_title("Gate network")
        axes.legend(loc="upper left", frameon=False)
        return figure_of(axes)
