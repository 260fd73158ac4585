"""Which quantity that was held fixed in a fit would take most of its misfit away, by a linear look.

At the best fit the residual is at right angles to everything that was fitted. The part of another quantity's
column of the Jacobian that is so, too, times the best step, is what that quantity could take off.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..circuit.capacitance import DepletionCapacitance, StepCapacitance
from ..circuit.cell import LowSideCell
from ..errors import InputError
from ..figures import format_figure
from .model import BenchModel

__all__ = ["Suspect", "suspect_of"]

Floats = NDArray[np.float64]

# Looked at where the cell states them: what is seldom known well.
_PATHS = (
    "loop_inductance", "common_source_inductance", "gate_inductance", "gate_resistance",
    "turn_off_gate_resistance", "driver.source_resistance", "driver.sink_resistance", "bus.voltage",
    "mosfet.channel.threshold_voltage", "mosfet.internal_gate_resistance", "mosfet.gate_drain_capacitance",
    "mosfet.gate_source_capacitance", "mosfet.drain_source_capacitance", "snubber.capacitance",
    "snubber.resistance",
)  # fmt: skip
_STEP = 0.01  # of a logarithm
_FARTHEST = math.log(3.0)  # beyond it a linear look says nothing
_LEAST_SHARE = 0.5  # of what is more than noise


class Suspect(NamedTuple):
    """What may be wrong.

    Attributes:
        path: of the field, or of a capacitance as a whole.
        change: in words, the value that it might have.
        share: of the misfit beyond the noise that it would take away.
    """

    path: str
    change: str
    share: float

    def sentence(self) -> str:
        """What to try, to be read after the path."""
        return (
            f"was held fixed; {self.change} it would take away about {100.0 * self.share:.0f} % of the "
            "misfit. Make it an unknown."
        )


def suspect_of(model: BenchModel, x: Floats, residuals: Floats, jacobian: Floats) -> Suspect | None:
    """The likeliest, or None where no single quantity explains half of the misfit.

    Args:
        model: that was fitted; its cell states what was held fixed.
        x: where the search ended, shape (x,).
        residuals: there, shape (rows,).
        jacobian: there, shape (rows, x).
    """
    basis, _ = np.linalg.qr(jacobian / np.maximum(np.linalg.norm(jacobian, axis=0), 1e-300))
    beyond = float(residuals @ residuals) - len(residuals)
    found = []
    for path, cell in _beside(model):
        column = (model.with_cell(cell).residuals(x) - residuals) / _STEP
        column -= basis @ (basis.T @ column)
        size = float(column @ column)
        step = -float(column @ residuals) / size if size > 0.0 else math.inf
        if abs(step) < _FARTHEST and beyond > 0.0:
            share = min(size * step**2 / beyond, 1.0)
            found.append(Suspect(path, _change(model.cell, path, step), share))
    best = max(found, key=lambda one: one.share, default=None)
    return best if best and best.share > _LEAST_SHARE else None


def _beside(model: BenchModel) -> Iterator[tuple[str, LowSideCell]]:
    """The cell with each quantity a little larger."""
    unknown = {one.path for one in model.unknowns}
    for path in _PATHS:
        try:
            value = model.cell.value_at(path)
        except InputError:  # this kind of driver has none, or there is no snubber
            continue
        if path in unknown or not value:
            continue
        parts = [path]
        if isinstance(value, DepletionCapacitance | StepCapacitance):
            parts = [f"{path}.{name}" for name, _, kind in value.quantities() if kind.unit == "F"]
        factor = math.exp(_STEP)
        try:
            larger = model.cell.replace({part: factor * model.cell.value_at(part) for part in parts})
        except InputError:  # it is as large as it may be
            continue
        yield path, larger


def _change(cell: LowSideCell, path: str, step: float) -> str:
    value = cell.value_at(path)
    if isinstance(value, DepletionCapacitance | StepCapacitance):
        return f"times {math.exp(step):.2g}"
    owner, _, field = path.rpartition(".")
    kind = (cell.value_at(owner) if owner else cell).quantity_of(field)
    return f"near {format_figure(value * math.exp(step), kind.unit if kind else '', 2)}"
