"""The kinds of cell that can be swept, and what a sweep asks about each: the one seam between them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, NamedTuple

from .. import _core
from ..circuit.cell import LowSideCell
from ..circuit.half_bridge import HalfBridgeCell
from ..circuit.operation import BridgeOperation, Operation
from ..errors import InputError, InputProblem, InputWarning
from ..model import field_with
from ..studies.asking import input_warnings, operating_point, quiet_operating_point
from ..studies.bridge_operation import (
    bridge_input_warnings,
    half_bridge_point,
    quiet_half_bridge_point,
)
from ..studies.bridge_point import HalfBridgePoint
from ..studies.results import OperatingPoint

__all__ = [
    "HALF_BRIDGE",
    "LOW_SIDE",
    "AnyPoint",
    "BridgePoint",
    "Cell",
    "Kind",
    "Point",
    "kind_named",
    "kind_of",
]

Cell = LowSideCell | HalfBridgeCell


class Point(NamedTuple):
    """A cell and how it is operated: frequency [Hz], duty."""

    cell: LowSideCell
    frequency: float
    duty: float


class BridgePoint(NamedTuple):
    """A half bridge and how it is operated: frequency [Hz], duty of the active switch, dead time [s]."""

    cell: HalfBridgeCell
    frequency: float
    duty: float
    dead_time: float
    active: str


AnyPoint = Point | BridgePoint


@dataclass(frozen=True)
class Kind:
    """A kind of cell.

    Attributes:
        name: in words.
        cell: its class.
        operation: how it is operated; a point has the same fields.
        point: its class.
        figures: of a point, in the order of their columns.
        run: the core's sweep.
        inputs: the operation of a point as the core takes it.
        warnings: what is unusual about a cell.
        answer: about one point; ``quiet`` the same without a warning.
        drivers: dotted paths of the drivers.
        channels: of a waveform, those that are looked at first.
    """

    name: str
    cell: type[Cell]
    operation: type[Operation]
    point: Callable[..., AnyPoint]
    figures: tuple[_core.Figure, ...]
    run: Callable[..., tuple[_core.SweepResult, BaseException | None]]
    inputs: Callable[[Any], tuple[Any, ...]]
    warnings: Callable[[Any], list[InputWarning]]
    answer: Callable[..., OperatingPoint | HalfBridgePoint]
    quiet: Callable[..., OperatingPoint | HalfBridgePoint]
    drivers: tuple[str, ...]
    channels: tuple[str, ...]

    @property
    def quantities(self) -> tuple[str, ...]:
        """Fields of the operation that can be swept."""
        return tuple(name for name in self.operation.model_fields if self.operation.quantity_of(name))

    @property
    def figure_names(self) -> tuple[str, ...]:
        """Names of the figures."""
        return tuple(figure.name for figure in self.figures)


LOW_SIDE = Kind(
    name="low-side cell",
    cell=LowSideCell,
    operation=Operation,
    point=Point,
    figures=tuple(_core.operating_point_figures()),
    run=_core.sweep,
    inputs=lambda point: point[1:],
    warnings=input_warnings,
    answer=operating_point,
    quiet=quiet_operating_point,
    drivers=("driver",),
    channels=("v_gs", "v_ds", "i_d"),
)
HALF_BRIDGE = Kind(
    name="half bridge",
    cell=HalfBridgeCell,
    operation=BridgeOperation,
    point=BridgePoint,
    figures=tuple(_core.half_bridge_point_figures()),
    run=_core.half_bridge_sweep,
    inputs=lambda point: (*point[1:-1], _core.Side[point.active]),
    warnings=bridge_input_warnings,
    answer=half_bridge_point,
    quiet=quiet_half_bridge_point,
    drivers=("high.driver", "low.driver"),
    channels=("v_switch", "v_gs_high", "v_gs_low", "i_load"),
)
_KINDS = (LOW_SIDE, HALF_BRIDGE)


def kind_of(cell: object) -> Kind:
    """The kind of a cell.

    Raises:
        InputError: it is neither.
    """
    for kind in _KINDS:
        if isinstance(cell, kind.cell):
            return kind
    reason = f"neither a LowSideCell nor a HalfBridgeCell but of the class {type(cell).__name__}."
    hint = ""
    for kind in _KINDS:
        if inside := field_with(cell, (kind.cell,)):
            rest = "frequency=design.operation.frequency, duty=design.operation.duty"
            hint = "Of a design give the circuit, and of its operation what is no axis: "
            hint += f"design.{inside}, {rest}."
    raise InputError([InputProblem("cell", None, reason, hint=hint)])


def kind_named(name: str) -> Kind:
    """The kind of that name."""
    return next(kind for kind in _KINDS if kind.name == name)
