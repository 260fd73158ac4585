"""A fitted model beside the data sheet: gate charge curve and capacitances."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib import pyplot as plt
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from ..circuit.mosfet import Mosfet
from ..datasheet.fit_report import MosfetFit
from ..datasheet.gate_charge import GateChargeCurve, gate_charge_curve, gate_charge_figures
from ..datasheet.sheet import GateChargeEntry, MosfetSheet
from .style import BLACK, BLUE, GREEN, GREY, VERMILLION, figure_of, look

__all__ = ["draw_capacitances", "draw_gate_charge", "plot_fit"]

_POINTS = 300
_LOWEST = 0.1  # [V], where the axis of drain voltage begins
_CURVES = (
    ("ciss", "input_capacitance", "input", BLUE, "o"),
    ("coss", "output_capacitance", "output", VERMILLION, "s"),
    ("crss", "reverse_capacitance", "reverse transfer", GREEN, "^"),
)


def plot_fit(fit: MosfetFit, axes: Sequence[Axes] | None = None) -> Figure:
    """Capacitances over drain voltage and the gate charge curve: lines the model, markers the sheet.

    Args:
        fit: of :func:`gateswing.fit_mosfet`.
        axes: two, to draw into; left out: a figure of its own.

    Returns:
        The figure drawn into.
    """
    with look():
        if axes is None:
            _, axes = plt.subplots(1, 2, figsize=(9.6, 4.2))
        draw_capacitances(axes[0], fit.mosfet, fit.sheet)
        entry = fit.sheet.gate_charge
        if entry is None:
            axes[1].text(0.5, 0.5, "no gate charge in the sheet", ha="center", transform=axes[1].transAxes)
        else:
            conditions = ("drain_voltage", "drain_current", "gate_voltage")
            curve = gate_charge_curve(fit.mosfet, **{name: getattr(entry, name) for name in conditions})
            draw_gate_charge(axes[1], curve, entry)
        return figure_of(axes[0])


def draw_capacitances(axes: Axes, mosfet: Mosfet, sheet: MosfetSheet) -> None:
    """Capacitances of the model over drain voltage, and the sheet's points."""
    voltage = np.geomspace(_LOWEST, sheet.breakdown_voltage, _POINTS)
    found = mosfet.capacitances(0.0, voltage)
    for symbol, section, words, colour, marker in _CURVES:
        axes.loglog(voltage, 1e12 * found[symbol], color=colour, label=words)
        points = [(max(p.drain_voltage, _LOWEST), 1e12 * p.value) for p in getattr(sheet, section)]
        axes.plot(*zip(*points, strict=True), marker, color=colour, ls="none", ms=6, mec=BLACK, mew=0.7)
    axes.set_xlabel("drain voltage (V), gate voltage 0 V")
    axes.set_ylabel("capacitance (pF)")
    axes.set_title("Capacitances")
    handles, labels = axes.get_legend_handles_labels()
    handles.append(Line2D([], [], ls="none", marker="o", color="white", mec=BLACK, ms=6))
    axes.legend(handles, [*labels, "data sheet"], frameon=False, loc="lower left")


def draw_gate_charge(axes: Axes, curve: GateChargeCurve, entry: GateChargeEntry) -> None:
    """A gate charge curve of the model with its construction, and the sheet's points."""
    axes.plot(1e9 * curve.charge, curve.gate_voltage, color=BLUE, label="model")
    figures = gate_charge_figures(curve)
    # The gate-drain charge ends on the last straight part drawn back to the plateau, not on the curve.
    corner = 1e9 * (figures.gate_source + figures.gate_drain)
    ends = [figures.plateau_voltage, curve.gate_voltage[-1]]
    axes.plot([corner, 1e9 * figures.total], ends, color=BLUE, lw=1.0, ls=":", label="last part, straight")
    # A sheet that prints no plateau voltage leaves its marks at the model's.
    height = entry.plateau_voltage or figures.plateau_voltage
    axes.margins(x=0.06, y=0.1)
    axes.set_xlim(left=0.0)
    axes.set_ylim(bottom=0.0)
    _given_points(axes, entry, height)
    axes.set_xlabel("gate charge (nC)")
    axes.set_ylabel("gate voltage at the die (V)")
    axes.set_title(f"Gate charge at {entry.drain_voltage:g} V, {entry.drain_current:g} A")
    axes.legend(frameon=False, loc="upper left")


def _given_points(axes: Axes, entry: GateChargeEntry, height: float) -> None:
    """What the sheet prints: the end of the curve, and the ends of the plateau by its charges."""
    points = []
    if entry.gate_source is not None:
        points.append((entry.gate_source, height))
        if entry.gate_drain is not None:
            points.append((entry.gate_source + entry.gate_drain, height))
    if entry.total is not None:
        points.append((entry.total, entry.gate_voltage))
    if points:
        charge, voltage = zip(*points, strict=True)
        axes.plot(
            1e9 * np.array(charge),
            voltage,
            label="data sheet",
            zorder=3,
            ls="none",
            marker="o",
            color="white",
            mec=BLACK,
            ms=6,
        )
    if entry.plateau_voltage is not None:
        axes.axhline(entry.plateau_voltage, color=GREY, lw=1.0, ls=(0, (4, 3)))
