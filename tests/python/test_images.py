"""Pictures look as they did when someone last looked at them.

Each is drawn from closed forms, so that no change of the simulation moves it, and compared with a file in
``references/test_images``. On a difference the message names three files: the picture, the reference, and one
that shows where they differ. After a wanted change, look at the picture and copy it over the reference.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import xarray as xr
from matplotlib.figure import Figure
from matplotlib.testing.compare import compare_images

import gateswing as gs
from gateswing.plot import plot_loss_stack, plot_map, plot_pareto, plot_thermal_step, plot_waveforms

REFERENCES = Path(__file__).parent / "references" / "test_images"
# Root mean square of the difference of the colours, of 255. Another release of FreeType moves texts by
# fractions of a pixel; a curve drawn elsewhere is far above this (the last test here).
TOLERANCE = 12.0
DOTS_PER_INCH = 60


pytestmark = pytest.mark.usefixtures("without_a_screen")


def ring() -> gs.Waveform:
    """A step of 48 V that rings at 20 MHz, and a current."""
    times = np.linspace(0.0, 1e-6, 4001)
    since = np.maximum(times - 1e-7, 0.0)
    swing = np.exp(-since / 1.5e-7) * np.cos(4e7 * np.pi * since)
    voltage = np.where(times < 1e-7, 0.0, 48.0 * (1.0 - swing))
    return gs.Waveform.from_samples(times, {"v_ds": voltage, "i_d": 6.0 * swing}, {"v_ds": "V", "i_d": "A"})


def table() -> xr.Dataset:
    frequency, duty = np.geomspace(3e4, 2e5, 7), np.linspace(0.2, 0.8, 5)
    loss = {
        "conduction_loss": 1.0 + 0.0 * frequency[:, None] + duty,
        "turn_on_loss": 4e-6 * frequency[:, None] * (0.5 + duty),
        "gate_loss": 1e-6 * frequency[:, None] + 0.0 * duty,
    }
    total = sum(loss.values())
    figures = loss | {"total_loss": total, "efficiency": 1.0 - total / (20.0 + 60.0 * duty)}
    axes = {"frequency": ("Hz", frequency), "duty": ("1", duty)}
    return xr.Dataset(
        {
            name: (tuple(axes), values, {"units": "1" if name == "efficiency" else "W", "long_name": name})
            for name, values in figures.items()
        },
        {name: (name, values, {"units": unit, "long_name": name}) for name, (unit, values) in axes.items()},
    )


def trade() -> Figure:
    loss = np.linspace(1.0, 4.0, 12)
    figures = {"total_loss": ("W", loss), "overshoot": ("V", 3.0 + 9.0 / loss)}
    front = xr.Dataset(
        {name: ("point", of, {"units": unit, "long_name": name}) for name, (unit, of) in figures.items()}
    )
    every = xr.concat([front, front + 0.4], "point", combine_attrs="override")
    for name in figures:
        every[name].attrs = front[name].attrs
    return plot_pareto(every, front.assign_coords(knee=("point", loss == loss[4])))


PICTURES: dict[str, Callable[[], Figure]] = {
    "map_with_limit": lambda: plot_map(table(), "efficiency", limit=0.95),
    "loss_stack": lambda: plot_loss_stack(table().isel(duty=2)),
    "trade_off": trade,
    "thermal_step": lambda: plot_thermal_step(
        gs.FosterLadder(resistances=[0.3, 0.7], time_constants=[1e-4, 5e-3]), [20.0, 100.0], 353.15, 423.15
    ),
    "waveforms": lambda: plot_waveforms(ring(), ["v_ds", "i_d"]),
}


def drawn(figure: Figure, path: Path) -> Path:
    figure.savefig(path, dpi=DOTS_PER_INCH, metadata={"Software": None})
    return path


@pytest.mark.parametrize("name", PICTURES)
def test_a_picture_looks_as_it_did(name: str, tmp_path: Path) -> None:
    path = drawn(PICTURES[name](), tmp_path / f"{name}.png")
    # Beside its copy, so that the file of the differences does not land among the references.
    expected = tmp_path / f"{name}-expected.png"
    expected.write_bytes((REFERENCES / f"{name}.png").read_bytes())
    difference = compare_images(str(expected), str(path), TOLERANCE)
    assert difference is None, difference


def test_a_curve_elsewhere_is_a_difference(tmp_path: Path) -> None:
    figure = PICTURES["thermal_step"]()
    line = figure.axes[0].lines[1]
    line.set_ydata(0.9 * np.asarray(line.get_ydata()))
    path = drawn(figure, tmp_path / "moved.png")
    expected = tmp_path / "expected.png"
    expected.write_bytes((REFERENCES / "thermal_step.png").read_bytes())
    difference = compare_images(str(expected), str(path), TOLERANCE)
    assert difference is not None
    assert (tmp_path / "moved-failed-diff.png").exists()
