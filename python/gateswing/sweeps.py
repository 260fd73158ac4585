"""Operating points over frequency, duty cycle and any fields of the cell, computed on all processors."""

from __future__ import annotations

import itertools
import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from . import _core
from .cell import LowSideCell
from .checks import issue
from .design_file import Operation
from .errors import InputError, InputProblem
from .model import Quantity, argument
from .studies import input_warnings, settings

if TYPE_CHECKING:
    import xarray as xr

__all__ = ["Axis", "SweepInterrupted", "axis_values", "sweep", "thread_count"]

Axis = Sequence[float | str]
Progress = Callable[[int, int], None]


class SweepInterrupted(KeyboardInterrupt):
    """Ctrl-C during a sweep. ``partial`` has the finished points; the others are NaN, status "not run"."""

    def __init__(self, partial: xr.Dataset) -> None:
        self.partial = partial
        super().__init__("the sweep was interrupted; .partial has the finished points")


@dataclass(frozen=True)
class _Axis:
    """One axis of a sweep: a path in the cell, its values in SI units, and what they are."""

    path: str
    values: tuple[float, ...]
    kind: Quantity

    @property
    def name(self) -> str:
        return self.path.replace(".", "__")

    @property
    def label(self) -> str:
        *owners, field = self.path.replace("_", " ").split(".")
        return " of ".join([field, *reversed(owners)])


def sweep(
    cell: LowSideCell,
    *,
    frequency: Axis | float | str,
    duty: Axis | float | str,
    axes: Mapping[str, Axis] | None = None,
    threads: int | None = None,
    progress: Progress | None = None,
    relative_tolerance: float = 1e-6,
    **fields: Axis,
) -> xr.Dataset:
    """Operating points over all combinations of the given values.

    Args:
        cell: the circuit; its own values hold where no axis says otherwise.
        frequency: switching frequencies [Hz].
        duty: duty cycles.
        axes: further axes by dotted path, ``{"mosfet.source_inductance": ["1 nH", "5 nH"]}``.
        threads: how many to use; left out: one for each processor.
        progress: called now and then with the number of points finished and the number of all.
        relative_tolerance: of the integrator.
        fields: further axes by keyword, ``__`` for the dot: ``gate_resistance=[4.7, 10]``.

    Returns:
        A dataset with one dimension for each axis, the dot of a path written as ``__``. Each figure is a
        variable with ``units`` and ``long_name``; ``status`` says for each point whether there is an
        answer. A point without one is NaN.

    Raises:
        InputError: a value is out of range, or there is no such field.
        SweepInterrupted: Ctrl-C; the exception keeps the finished points.
        BaseException: whatever `progress` or a signal handler raises ends the sweep.
    """
    wanted = dict(axes or {}) | {name.replace("__", "."): values for name, values in fields.items()}
    inner = [_cell_axis(cell, path, values) for path, values in wanted.items()]
    outer = [_operation_axis("frequency", frequency), _operation_axis("duty", duty)]
    combinations = [dict(zip([axis.path for axis in inner], point, strict=True))
                    for point in itertools.product(*(axis.values for axis in inner))]  # fmt: skip
    cells = [cell.replace(changes) for changes in combinations]
    found = list(dict.fromkeys(warning for one in cells for warning in input_warnings(one)))
    issue(found)
    core, raised = _core.sweep(
        [one.to_core() for one in cells],
        list(outer[0].values),
        list(outer[1].values),
        settings(relative_tolerance),
        thread_count(threads),
        progress or _ignore,
    )
    dataset = _dataset([*inner, *outer], core)
    if isinstance(raised, KeyboardInterrupt):
        raise SweepInterrupted(dataset) from None
    if raised is not None:
        raise raised
    return dataset


def _ignore(finished: int, total: int) -> None:
    """No one wants to know how far the sweep is."""


def _cell_axis(cell: LowSideCell, path: str, values: Axis) -> _Axis:
    cell.value_at(path)
    owner, _, field = path.rpartition(".")
    part = cell.value_at(owner) if owner else cell
    kind = part.quantity_of(field)
    if kind is None:
        raise InputError([InputProblem(path, None, "not a number, so it cannot be swept.")])
    return _Axis(path, axis_values(path, values, kind), kind)


def _operation_axis(name: str, values: Axis | float | str) -> _Axis:
    kind = Operation.quantity_of(name)
    assert kind is not None
    return _Axis(name, axis_values(name, values, kind), kind)


def axis_values(name: str, values: Axis | float | str, kind: Quantity) -> tuple[float, ...]:
    """The values of an axis in SI units; one value alone makes an axis of one.

    Raises:
        InputError: a value is out of range, or there is none.
    """
    several = [values] if isinstance(values, str | int | float) else list(values)
    if not several:
        raise InputError([InputProblem(name, "[]", "no values.", hint="Give at least one.")])
    return tuple(argument(name, value, kind) for value in several)


def thread_count(threads: int | None) -> int:
    """As many as asked for, or one for each processor.

    Raises:
        InputError: fewer than one.
    """
    if threads is None:
        return os.cpu_count() or 1
    if threads < 1:
        raise InputError([InputProblem("threads", repr(threads), "out of range.", "1 and more")])
    return threads


def _dataset(axes: Sequence[_Axis], core: Any) -> xr.Dataset:
    import xarray as xr

    dims = [axis.name for axis in axes]
    shape = [len(axis.values) for axis in axes]
    coords = {
        axis.name: (axis.name, list(axis.values), {"units": axis.kind.unit or "1", "long_name": axis.label})
        for axis in axes
    }
    data: dict[str, Any] = {
        figure.name: (dims, column.reshape(shape), _attributes(figure))
        for figure, column in zip(_core.operating_point_figures(), core.figures.T, strict=True)
    }
    texts = {"status": [status.name for status in core.status], "message": core.messages}
    for name, values in texts.items():
        data[name] = (dims, np.array(values, dtype=np.str_).reshape(shape), {"long_name": name})
    return xr.Dataset(data, coords=coords)


def _attributes(figure: _core.Figure) -> dict[str, str]:
    name = figure.name.replace("_", " ")
    return {"units": figure.unit, "long_name": name, "description": figure.meaning}
