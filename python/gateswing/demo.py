"""A demonstration: edges, losses and maps of an invented pump stage, as text and pictures."""

from __future__ import annotations

import argparse
import time
from collections.abc import Sequence
from importlib import resources
from pathlib import Path

import matplotlib as mpl
import numpy as np
from matplotlib import pyplot as plt
from matplotlib.figure import Figure

from .cautions import ESTIMATE
from .circuit.design_file import Design
from .errors import SafetyCaution
from .limits.verdict import check
from .plot import plot_edges, plot_gate_charge, plot_losses, plot_map
from .studies.asking import double_pulse
from .sweeping.sweep import sweep

__all__ = ["example_design", "main"]

# Grid of the maps [Hz], [1].
FREQUENCIES: list[float] = np.geomspace(10e3, 500e3, 13).tolist()
DUTIES: list[float] = np.linspace(0.1, 0.9, 9).tolist()


def example_design() -> Design:
    """The design file that comes with the package; its data are invented."""
    with resources.as_file(resources.files(__package__) / "examples" / "coolant_pump.toml") as path:
        return Design.read(path)


def main(arguments: Sequence[str] | None = None) -> None:
    """Print figures and write pictures; `arguments` are those of the command line if left out."""
    parser = argparse.ArgumentParser(prog="python -m gateswing.demo", description=__doc__)
    parser.add_argument("--out", type=Path, default=Path("out/demo"), help="folder for the pictures")
    folder = parser.parse_args(arguments).out
    folder.mkdir(parents=True, exist_ok=True)
    mpl.use("Agg")
    design = example_design()
    print(f"{design.title}\n{design.note}\n")
    _edges(design, folder)
    cautions = _operation(design, folder)
    _maps(design, folder)
    print()
    for caution in cautions:
        print(f"Caution: {caution}")
    print(ESTIMATE)


def _edges(design: Design, folder: Path) -> None:
    result = double_pulse(design.cell, current="6 A")
    print(f"{result}\n")
    _save(plot_edges(result), folder / "edges.png")
    _save(plot_gate_charge(result), folder / "gate_charge.png")


def _operation(design: Design, folder: Path) -> Sequence[SafetyCaution]:
    verdict = check(design)
    print(f"{verdict.point}\n\n{verdict}\n")
    _save(plot_losses(verdict.point), folder / "losses.png")
    return verdict.cautions


def _maps(design: Design, folder: Path) -> None:
    print(f"{len(FREQUENCIES) * len(DUTIES)} operating points ...", flush=True)
    begin = time.perf_counter()
    table = sweep(design.cell, frequency=FREQUENCIES, duty=DUTIES)
    print(f"... in {time.perf_counter() - begin:.1f} s")
    _save(plot_map(table, "efficiency"), folder / "efficiency.png")
    _save(plot_map(table, "overshoot"), folder / "overshoot.png")


def _save(figure: Figure, path: Path) -> None:
    figure.savefig(path)
    plt.close(figure)
    print(f"wrote {path}")


if __name__ == "__main__":
    main()
