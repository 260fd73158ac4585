"""A demonstration: edges, losses and maps of an invented pump stage, as text and pictures."""

from __future__ import annotations

import argparse
from importlib import resources
from pathlib import Path

import matplotlib as mpl
import numpy as np
from matplotlib import pyplot as plt
from matplotlib.figure import Figure

from .cautions import ESTIMATE
from .design_file import Design, read_design
from .plot import plot_edges, plot_gate_charge, plot_losses, plot_map
from .studies import double_pulse
from .sweeps import sweep
from .verdict import check

__all__ = ["example_design", "main"]


def example_design() -> Design:
    """The design file that comes with the package; its data are invented."""
    with resources.as_file(resources.files(__package__) / "examples" / "coolant_pump.toml") as path:
        return read_design(path)


def main() -> None:
    """Print figures and write pictures."""
    parser = argparse.ArgumentParser(prog="python -m gateswing.demo", description=__doc__)
    parser.add_argument("--out", type=Path, default=Path("out/demo"), help="folder for the pictures")
    folder = parser.parse_args().out
    folder.mkdir(parents=True, exist_ok=True)
    mpl.use("Agg")
    design = example_design()
    print(f"{design.title}\n{design.note}\n")
    _edges(design, folder)
    _operation(design, folder)
    _maps(design, folder)
    print(f"\n{ESTIMATE}")


def _edges(design: Design, folder: Path) -> None:
    result = double_pulse(design.cell)
    print(f"{result}\n")
    _save(plot_edges(result), folder / "edges.png")
    _save(plot_gate_charge(result), folder / "gate_charge.png")


def _operation(design: Design, folder: Path) -> None:
    verdict = check(design)
    print(f"{verdict.point}\n\n{verdict}\n")
    _save(plot_losses(verdict.point), folder / "losses.png")
    for caution in verdict.cautions:
        print(f"Caution: {caution}")


def _maps(design: Design, folder: Path) -> None:
    frequencies, duties = np.geomspace(10e3, 500e3, 13).tolist(), np.linspace(0.1, 0.9, 9).tolist()
    table = sweep(design.cell, frequency=frequencies, duty=duties)
    _save(plot_map(table, "efficiency"), folder / "efficiency.png")
    _save(plot_map(table, "overshoot"), folder / "overshoot.png")


def _save(figure: Figure, path: Path) -> None:
    figure.savefig(path)
    plt.close(figure)
    print(f"wrote {path}")


if __name__ == "__main__":
    main()
