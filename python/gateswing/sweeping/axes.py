"""Axes of a sweep: fields of the cell that change together along one dimension, and the points they span."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from ..axis_values import need_values
from ..circuit_checks.half_bridge import side_of
from ..errors import InputError, InputProblem
from ..model import Model, Quantity, argument
from .kinds import AnyPoint, Cell, Kind, kind_of

__all__ = ["AxisValues", "Column", "Plan", "SweepAxis", "plan_of", "replaced"]

# Values of one field: numbers (SI, or text with units), or anything that the field takes, each with a label.
AxisValues = Sequence[float | str] | Mapping[str, Any]


@dataclass(frozen=True)
class Column:
    """One field along an axis.

    Attributes:
        path: dotted, in the cell; a field of the operation has its name alone.
        values: of the field, in SI units where it is a quantity.
        labels: what the coordinate shows instead of the values; ``None``: the values themselves.
        kind: unit and ranges; ``None`` for a part.
    """

    path: str
    values: tuple[Any, ...]
    labels: tuple[str, ...] | None
    kind: Quantity | None

    @property
    def name(self) -> str:
        """Of the coordinate."""
        return self.path.replace(".", "__")

    @property
    def shown(self) -> list[Any]:
        """The coordinate's values."""
        return list(self.values if self.labels is None else self.labels)

    @property
    def attributes(self) -> dict[str, str]:
        """Of the coordinate; a label has no unit."""
        *owners, field = self.path.replace("_", " ").split(".")
        long_name = {"long_name": " of ".join([field, *reversed(owners)])}
        return long_name if self.kind is None or self.labels else {"units": self.kind.unit or "1"} | long_name


@dataclass(frozen=True)
class SweepAxis:
    """A dimension, and the fields that change along it together."""

    name: str
    columns: tuple[Column, ...]

    def __len__(self) -> int:
        return len(self.columns[0].values)

    def changes(self, place: int) -> dict[str, Any]:
        """Value of every field at one place."""
        return {column.path: column.values[place] for column in self.columns}


@dataclass(frozen=True)
class Plan:
    """A cell and the axes it is swept over; the last axis varies fastest.

    Attributes:
        fixed: fields of the operation that are no quantities, the same at every point.
    """

    cell: Cell
    axes: tuple[SweepAxis, ...]
    fixed: Mapping[str, Any] = field(default_factory=dict)

    @property
    def kind(self) -> Kind:
        """Of the cell."""
        return kind_of(self.cell)

    @property
    def shape(self) -> tuple[int, ...]:
        """Length of each axis."""
        return tuple(len(axis) for axis in self.axes)

    def __len__(self) -> int:
        return math.prod(self.shape)

    def columns(self) -> Iterator[Column]:
        """Every field of every axis."""
        return (column for axis in self.axes for column in axis.columns)

    def points(self) -> Iterator[AnyPoint | InputError]:
        """Every point in order, or why its values do not go together.

        Raises:
            InputError: no point at all can be built.
        """
        cells: dict[tuple[tuple[int, int], ...], Cell | InputError] = {}
        kind = self.kind
        several = [self._steps(position, axis) for position, axis in enumerate(self.axes)]
        for places in itertools.product(*several):
            key = tuple(cell_place for _, _, cell_place in places if cell_place is not None)
            if key not in cells:
                changes = {path: value for of_cell, _, _ in places for path, value in of_cell.items()}
                cells[key] = replaced(self.cell, changes)
            operation = {path: value for _, of_operation, _ in places for path, value in of_operation.items()}
            cell = cells[key]
            yield cell if isinstance(cell, InputError) else kind.point(cell, **operation, **self.fixed)

    def _steps(
        self, position: int, axis: SweepAxis
    ) -> list[tuple[dict[str, Any], dict[str, float], tuple[int, int] | None]]:
        """At each place of an axis: changes of the cell, of the operation, and what tells the cells apart."""
        steps = []
        for place in range(len(axis)):
            changes = axis.changes(place)
            operation = {path: changes.pop(path) for path in self.kind.quantities if path in changes}
            steps.append((changes, operation, (position, place) if changes else None))
        return steps


def plan_of(
    cell: Cell,
    operation: Mapping[str, AxisValues | float | str | None],
    axes: Mapping[str, AxisValues],
    zip_axes: Mapping[str, Mapping[str, AxisValues]],
    active: str | None = None,
) -> Plan:
    """The axes in the order of the dataset's dimensions: fields, zipped fields, then those of the operation.

    Args:
        cell: the circuit.
        operation: values of its fields that are axes of their own, or ``None``.
        axes: further axes by dotted path.
        zip_axes: several fields by the name of their dimension.
        active: of a half bridge, the switch whose duty is stated; left out: ``high``.

    Raises:
        InputError: a value is out of range, a field unknown or given twice, or zipped lengths differ; or it
            is no cell, or a low-side cell is given what only a half bridge has.
    """
    kind = kind_of(cell)
    for name, given in {"active": active, **operation}.items():
        if given is not None and name not in kind.operation.model_fields:
            raise InputError([InputProblem(name, None, f"a {kind.name} has none; a half bridge has.")])
    fixed = {"active": side_of(active or "high").name} if "active" in kind.operation.model_fields else {}
    found = [SweepAxis(_name(path), (_column(cell, path, values),)) for path, values in axes.items()]
    found += [_zipped(cell, name, columns) for name, columns in zip_axes.items()]
    for path, values in operation.items():
        if values is not None:
            found.append(SweepAxis(path, (_column(cell, path, values),)))
    plan = Plan(cell, tuple(found), fixed)
    _check_names(plan)
    return plan


def _name(path: str) -> str:
    return path.replace(".", "__")


def replaced(cell: Cell, changes: Mapping[str, Any]) -> Cell | InputError:
    """The cell with fields changed, or why they do not go together."""
    try:
        return cell.replace(changes)
    except InputError as error:
        return error


def _zipped(cell: Cell, name: str, columns: Mapping[str, AxisValues]) -> SweepAxis:
    if not name.isidentifier():
        raise InputError([InputProblem("zip_axes", repr(name), "not a name for a dimension.")])
    made = tuple(_column(cell, path.replace("__", "."), values) for path, values in columns.items())
    if not made:
        raise InputError([InputProblem(f"zip_axes.{name}", "{}", "no fields.", hint="Give at least one.")])
    lengths = {column.path: len(column.values) for column in made}
    if len(set(lengths.values())) > 1:
        text = ", ".join(f"{path}: {length}" for path, length in lengths.items())
        raise InputError([InputProblem(f"zip_axes.{name}", text, "zipped fields need equally many values.")])
    return SweepAxis(name, made)


def _column(cell: Cell, path: str, values: AxisValues | float | str) -> Column:
    kind = _quantity(cell, path)
    if isinstance(values, Mapping):
        need_values(path, values)
        chosen = tuple(values.values())
        numbers = chosen if kind is None else tuple(_number(path, value, kind) for value in chosen)
        return Column(path, numbers, tuple(map(str, values)), kind)
    several = [values] if isinstance(values, str | int | float | Model) else list(values)
    need_values(path, several)
    if kind is None:
        hint = "Give each choice a name: {'A': ..., 'B': ...}."
        raise InputError([InputProblem(path, None, "not a number, so it cannot be swept.", hint=hint)])
    return Column(path, tuple(argument(path, value, kind) for value in several), None, kind)


def _number(path: str, value: object, kind: Quantity) -> float | None:
    """None leaves out what may be left out; the cell refuses it elsewhere."""
    return None if value is None else argument(path, value, kind)


def _quantity(cell: Cell, path: str) -> Quantity | None:
    kind = kind_of(cell)
    if path in kind.quantities:
        return kind.operation.quantity_of(path)
    cell.value_at(path)
    owner, _, field = path.rpartition(".")
    part: Model = cell.value_at(owner) if owner else cell
    return part.quantity_of(field)


def _check_names(plan: Plan) -> None:
    """Every field once, those of the operation among them, and no name that the dataset needs itself."""
    paths = [column.path for column in plan.columns()]
    for path in paths:
        if paths.count(path) > 1:
            raise InputError([InputProblem(path, None, "given more than once.")])
    for path in plan.kind.quantities:
        if path not in paths:
            raise InputError([InputProblem(path, None, "missing.", hint=f"Give {path}, also zipped.")])
    taken = set(plan.kind.figure_names) | {"status", "message", "relative_tolerance"}
    coordinates = {column.name for column in plan.columns()}
    for axis in plan.axes:
        alone = len(axis.columns) == 1 and axis.columns[0].name == axis.name
        if axis.name in taken or (axis.name in coordinates and not alone):
            raise InputError([InputProblem("zip_axes", repr(axis.name), "the name is taken.")])
