"""Which quantity that was held fixed in a fit would take most of its misfit away.

At the best fit the residual is at right angles to everything that was fitted. The part of another quantity's
column of the Jacobian that is so, too, times the best step, is what that quantity could take off, were all
linear. It is not, so the few likeliest are fitted along for some steps.
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
from .model import BenchModel, Unknown

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
_STEP = 1e-3  # of a logarithm
_FARTHEST = 3.0  # times or a third of what the cell states
_LEAST_SHARE = 0.5  # of what is more than noise
_LIKELIEST, _EVALUATIONS = 4, 8  # that are fitted, and steps of each


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


def suspect_of(model: BenchModel, x: Floats, jacobian: Floats) -> Suspect | None:
    """The likeliest, or None where no single quantity explains half of the misfit.

    Args:
        model: that was fitted; its cell states what was held fixed.
        x: where the search ended, shape (x,).
        jacobian: there, shape (rows, x).
    """
    residuals = model.residuals(x)
    basis, _ = np.linalg.qr(jacobian / np.maximum(np.linalg.norm(jacobian, axis=0), 1e-300))
    beyond = float(residuals @ residuals) - len(residuals)
    if beyond <= 0.0:
        return None
    shares = {}
    for one in _beside(model):
        try:
            moved = _moved(model, one, math.exp(_STEP))
        except InputError:  # it is as large as it may be
            continue
        column = (moved.residuals(x) - residuals) / _STEP
        column -= basis @ (basis.T @ column)
        size = float(column @ column)
        shares[one] = float(column @ residuals) ** 2 / size if size > 0.0 else 0.0
    likeliest = sorted(shares, key=lambda one: -shares[one])[:_LIKELIEST]
    found = [_fitted(model, x, one, beyond) for one in likeliest]
    best = max(found, key=lambda one: one.share, default=None)
    return best if best and best.share > _LEAST_SHARE else None


def _fitted(model: BenchModel, x: Floats, one: Unknown, beyond: float) -> Suspect:
    """What is taken away where this is an unknown, too."""
    from scipy.optimize import least_squares  # type: ignore[import-untyped]

    wider = model.with_unknown(one)
    begin = np.insert(x, model.count, math.log(one.start))
    low, high = wider.limits()
    result = least_squares(
        wider.residuals, np.clip(begin, low + 1e-9, high - 1e-9), wider.slopes, (low, high), x_scale="jac",
        max_nfev=_EVALUATIONS,
    )  # fmt: skip
    before = float(np.sum(wider.residuals(begin) ** 2))
    share = min((before - 2.0 * float(result.cost)) / beyond, 1.0)
    return Suspect(one.path, _change(model.cell, one, float(np.exp(result.x[model.count]))), share)


def _beside(model: BenchModel) -> Iterator[Unknown]:
    """What the cell states and no unknown is."""
    unknown = {one.path for one in model.unknowns}
    for path in _PATHS:
        try:
            value = model.cell.value_at(path)
        except InputError:  # this kind of driver has none, or there is no snubber
            continue
        if path in unknown or not value:
            continue
        start, parts = value, tuple[str, ...]()
        if isinstance(value, DepletionCapacitance | StepCapacitance):
            start = 1.0
            parts = tuple(f"{path}.{name}" for name, _, kind in value.quantities() if kind.unit == "F")
        yield Unknown(path, "", start / _FARTHEST, start * _FARTHEST, start, parts)


def _moved(model: BenchModel, one: Unknown, factor: float) -> BenchModel:
    paths = one.parts or (one.path,)
    return model.with_cell(model.cell.replace({path: factor * model.cell.value_at(path) for path in paths}))


def _change(cell: LowSideCell, one: Unknown, value: float) -> str:
    if one.parts:
        return f"times {value:.2g}"
    owner, _, field = one.path.rpartition(".")
    kind = (cell.value_at(owner) if owner else cell).quantity_of(field)
    return f"near {format_figure(value, kind.unit if kind else '', 2)}"
