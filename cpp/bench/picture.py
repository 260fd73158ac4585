"""The work-precision picture of the bench."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import matplotlib as mpl
from matplotlib import pyplot as plt
from matplotlib.axes import Axes
from ratios import cells, records_of, solvers_of

from gateswing.plot.style import BLACK, BLUE, GREEN, GREY, ORANGE, PURPLE, SKY, VERMILLION, look

__all__ = ["draw"]

COLOURS = {"gateswing": BLUE, "lanes": SKY, "SUNDIALS": VERMILLION, "Odeint": BLACK, "SciPy": GREEN}
MARKERS = "osv^D<>P"
SHADES = {"CVODE": VERMILLION, "ARKODE": ORANGE, "IDA": PURPLE}
WIDEST = 1e-7  # error below which points say little about practice


def draw(records: list[dict[str, Any]], path: Path) -> None:
    """Write a PNG with one panel per cell: CPU time per design over the largest error."""
    mpl.use("Agg")
    names = cells(records)
    with look():
        figure, panels = plt.subplots(1, len(names), figsize=(4.2 * len(names), 5.6), sharey=True)
        for axes, cell in zip(panels, names, strict=True):
            _panel(axes, records, cell)
        panels[0].set_ylabel("CPU time per design / s")
        handles, labels = panels[0].get_legend_handles_labels()
        figure.legend(handles, labels, loc="outside lower center", ncols=4, fontsize=8, frameon=False)
        figure.savefig(path)
        plt.close(figure)


def _panel(axes: Axes, records: list[dict[str, Any]], cell: str) -> None:
    for place, solver in enumerate(solvers_of(records)):
        if "threads" in solver:
            continue
        curve = [
            record
            for record in records_of(records, "work precision", cell=cell, solver=solver)
            if record["error"] and record["error"] > WIDEST
        ]
        if not curve:
            continue
        own = curve[0]["family"] in ("gateswing", "lanes")
        axes.loglog(
            [record["error"] for record in curve],
            [record["seconds"] for record in curve],
            color=SHADES.get(solver.split(",")[0], COLOURS.get(curve[0]["family"], GREY)),
            marker=MARKERS[place % len(MARKERS)],
            markersize=4,
            linewidth=2.2 if own else 1.0,
            label=f"gateswing, {solver}" if own else solver,
        )
    axes.set_title(cell)
    axes.set_xlabel("largest error of a state at the checkpoints")
    axes.invert_xaxis()
