"""The half bridge in steady state."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from .. import _core
from ..circuit.half_bridge import HalfBridgeCell
from ..circuit.operation import BridgeOperation
from ..circuit_checks.half_bridge import (
    breakdown_warnings,
    bridge_warnings,
    high_supply_warnings,
    require_bridge,
    timing_warnings,
)
from ..core import fill
from ..errors import InputError, InputProblem, InputWarning, issue
from ..ranges import range_warnings
from .asking import RELATIVE_TOLERANCE, ask, steady_members
from .bridge_point import HalfBridgeFigures, HalfBridgePoint, SwitchFigures
from .commutation import Commutation

__all__ = ["bridge_input_warnings", "half_bridge_point", "point_with", "quiet_half_bridge_point"]


def half_bridge_point(
    cell: HalfBridgeCell,
    *,
    frequency: float | str,
    duty: float | str,
    dead_time: float | str,
    active: Literal["high", "low"] = "high",
    relative_tolerance: float = RELATIVE_TOLERANCE,
) -> HalfBridgePoint:
    """Find the state in which the bridge repeats itself every period; report powers, losses and peaks.

    The active switch is commanded on for its duty, the other one for the rest but two dead times; where
    nothing is left it stays off. A converter that feeds its output from the bus is controlled by the high
    side, one that feeds the bus from its output by the low side (``active="low"``).

    With the ``cooling`` of a switch its junction temperatures are found too, such that
    T = ambient + R_th P(T).

    Args:
        cell: the bridge, its load given.
        frequency: switching frequency [Hz].
        duty: share of the period for which the active switch is commanded on.
        dead_time: from each command "off" to the other switch's command "on" [s]; negative: they overlap.
        active: the switch whose duty is stated, and whose edges are measured.
        relative_tolerance: of the integrator.

    Returns:
        Figures, losses by cause, element and side, and the waveform of one period, from one command "on" of
        the active switch to the next. A point that could not be found is returned too: see
        :func:`operating_point` for what its ``status`` says.

    Raises:
        InputError: an argument is out of range, or the bridge has no load.
    """
    point = quiet_half_bridge_point(
        cell,
        frequency=frequency,
        duty=duty,
        dead_time=dead_time,
        active=active,
        relative_tolerance=relative_tolerance,
    )
    issue(point.warnings)
    return point


def quiet_half_bridge_point(
    cell: HalfBridgeCell,
    *,
    frequency: float | str,
    duty: float | str,
    dead_time: float | str,
    active: Literal["high", "low"] = "high",
    relative_tolerance: float = RELATIVE_TOLERANCE,
) -> HalfBridgePoint:
    """As :func:`half_bridge_point`, with the warnings in the result alone: for searches."""
    found = bridge_input_warnings(cell)
    operation = BridgeOperation(frequency=frequency, duty=duty, dead_time=dead_time, active=active)
    return point_with(cell, operation, relative_tolerance, [*found, *range_warnings(operation)])


def bridge_input_warnings(cell: HalfBridgeCell) -> list[InputWarning]:
    """All that is unusual about a bridge.

    Raises:
        InputError: it is no half bridge, or has no load.
    """
    require_bridge(cell)
    if cell.load is None:
        raise InputError([InputProblem("cell.load", None, "is left out, but a steady state needs it.")])
    return [*range_warnings(cell), *bridge_warnings(cell)]


def point_with(
    cell: HalfBridgeCell, operation: BridgeOperation, relative_tolerance: float, found: list[InputWarning]
) -> HalfBridgePoint:
    """As :func:`half_bridge_point`, with warnings found before among those in the result."""
    asked = fill(
        _core.BridgeOperation(),
        frequency=operation.frequency,
        duty=operation.duty,
        dead_time=operation.dead_time,
        active=_core.Side[operation.active],
    )
    request = fill(_core.HalfBridgePointRequest(), operation=asked)
    core = ask(_core.half_bridge_point, cell.to_core, request, relative_tolerance)
    all_found = [
        *found,
        *timing_warnings(operation.frequency, operation.duty, operation.dead_time, operation.active),
        *high_supply_warnings(cell, core.high_supply_minimum),
    ]
    point = HalfBridgePoint(
        **steady_members(cell, core, all_found, operation) | HalfBridgeFigures.values_in(core),
        active=operation.active,
        dead_time=operation.dead_time,
        high=SwitchFigures.from_core(core.high),
        low=SwitchFigures.from_core(core.low),
        to_active=Commutation.from_core(core.to_active),
        from_active=Commutation.from_core(core.from_active),
    )
    return replace(point, warnings=(*point.warnings, *breakdown_warnings(point)))
