"""The half bridge in steady state, alone and over its dead time."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from .. import _core
from ..circuit.design_file import Operation
from ..circuit.half_bridge import HalfBridgeCell
from ..circuit_checks.half_bridge import (
    breakdown_warnings,
    bridge_warnings,
    dead_time_warnings,
    high_supply_warnings,
    require_bridge,
    side_of,
    timing_warnings,
)
from ..circuit_checks.low_side import range_warnings
from ..core import fill
from ..errors import InputError, InputProblem, InputWarning, issue
from ..figures import format_figure
from ..model import Quantity, argument, at_least
from ..sweeping.axes import axis_values
from ..sweeping.run import thread_count
from .bridge_point import HalfBridgeFigures, HalfBridgePoint, SwitchFigures
from .commutation import Commutation
from .low_side import RELATIVE_TOLERANCE, ask, steady_members

if TYPE_CHECKING:
    import xarray as xr

__all__ = ["DEAD_TIME", "dead_time_losses", "half_bridge_point", "quiet_half_bridge_point"]

DEAD_TIME = Quantity("s", "From a command off to the other command on.", allowed=at_least(-1e-3, 1e-3))
# Figures of a commutation that depend on the dead time and cost something.
_BOTH = ("to_active", "from_active")
_COMMUTATION = ("shoot_through_charge", "dead_time_needed", "voltage_at_turn_on", "diode_conduction_energy")


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
    found = _input_warnings(cell)
    return _point(cell, _operation(frequency, duty, dead_time, active), relative_tolerance, found)


def dead_time_losses(
    cell: HalfBridgeCell,
    *,
    frequency: float | str,
    duty: float | str,
    dead_time: Sequence[float | str],
    active: Literal["high", "low"] = "high",
    threads: int | None = None,
    relative_tolerance: float = RELATIVE_TOLERANCE,
) -> xr.Dataset:
    """Losses in steady state over the dead time.

    Where it is too short both channels conduct at once; where it is too long the diodes conduct for longer
    than they need. Draw it with :func:`gateswing.plot.plot_dead_time_losses`.

    Args:
        cell: the bridge, its load given.
        frequency: switching frequency [Hz].
        duty: of the active switch.
        dead_time: values in rising order [s]; negative: overlap.
        active: the switch whose duty is stated.
        threads: how many to use; left out: one for each processor.
        relative_tolerance: of the integrator.

    Returns:
        A dataset over ``dead_time``: the figures of :class:`HalfBridgePoint`, the loss for each cause [W] as
        ``<cause>_loss``, ``status``, and over ``commutation``, ``to_active`` and ``from_active``, as
        ``commutation_<figure>`` some figures of :class:`Commutation`. Its attributes
        ``least_loss_dead_time`` [s], of the values tried, and ``dead_time_needed`` [s], with which the gates
        overlap in neither commutation, are the choice; ``least_loss_is_at_end``, 0 or 1, says whether the
        first is the shortest or longest tried. That, and a least loss with gates that overlap, also comes as
        a warning. A point without a steady state is NaN.

    Raises:
        InputError: a value is out of range, or the bridge has no load.
    """
    gaps = axis_values("dead_time", dead_time, DEAD_TIME)
    if list(gaps) != sorted(set(gaps)):
        raise InputError([InputProblem("dead_time", None, "the values must rise.")])
    found = _input_warnings(cell)
    operations = [_operation(frequency, duty, gap, active) for gap in gaps]
    with ThreadPoolExecutor(thread_count(threads)) as pool:
        points = list(pool.map(lambda one: _point(cell, one, relative_tolerance, found), operations))
    table = _dataset(gaps, points)
    answered = [point.dead_time for point in points if point.succeeded]
    doubts = dead_time_warnings(
        answered, table.attrs["least_loss_dead_time"], table.attrs["dead_time_needed"]
    )
    issue([*dict.fromkeys(warning for point in points for warning in point.warnings), *doubts])
    return table


def _input_warnings(cell: HalfBridgeCell) -> list[InputWarning]:
    require_bridge(cell)
    if cell.load is None:
        raise InputError([InputProblem("cell.load", None, "is left out, but a steady state needs it.")])
    return [*range_warnings(cell), *bridge_warnings(cell)]


def _operation(frequency: float | str, duty: float | str, dead_time: float | str, active: str) -> Any:
    side = side_of(active)
    operation = Operation(frequency=frequency, duty=duty)
    gap = argument("dead_time", dead_time, DEAD_TIME)
    if 2.0 * abs(gap) * operation.frequency >= 1.0:
        half = format_figure(0.5 / operation.frequency, "s")
        reason = f"not shorter than half a period, {half}."
        raise InputError([InputProblem("dead_time", format_figure(gap, "s"), reason)])
    return fill(
        _core.BridgeOperation(),
        frequency=operation.frequency,
        duty=operation.duty,
        dead_time=gap,
        active=side,
    )


def _point(
    cell: HalfBridgeCell, operation: Any, relative_tolerance: float, found: list[InputWarning]
) -> HalfBridgePoint:
    request = fill(_core.HalfBridgePointRequest(), operation=operation)
    core = ask(_core.half_bridge_point, cell.to_core, request, relative_tolerance)
    all_found = [
        *found,
        *timing_warnings(operation.frequency, operation.duty, operation.dead_time, operation.active.name),
        *high_supply_warnings(cell, core.high_supply_minimum),
    ]
    point = HalfBridgePoint(
        **steady_members(cell, core, all_found, operation) | HalfBridgeFigures.values_in(core),
        active=operation.active.name,
        dead_time=operation.dead_time,
        high=SwitchFigures.from_core(core.high),
        low=SwitchFigures.from_core(core.low),
        to_active=Commutation.from_core(core.to_active),
        from_active=Commutation.from_core(core.from_active),
    )
    return replace(point, warnings=(*point.warnings, *breakdown_warnings(point)))


def _dataset(gaps: Sequence[float], points: Sequence[HalfBridgePoint]) -> xr.Dataset:
    import xarray as xr

    def column(read: Any) -> np.ndarray:
        return np.array([read(point) if point.succeeded else np.nan for point in points])

    data: dict[str, Any] = {}
    for name, definition in HalfBridgeFigures.definitions().items():
        unit = HalfBridgeFigures.units()[name].replace("%", "1")
        attributes = {"units": unit, "long_name": name.replace("_", " "), "description": definition}
        data[name] = ("dead_time", column(lambda point, name=name: getattr(point, name)), attributes)
    causes = dict.fromkeys(loss.cause for point in points for loss in point.causes)
    for cause in causes:
        name = f"{cause.replace(' ', '_').replace('-', '_')}_loss"
        # A switch that reaches its levels at one dead time may not at another: other causes there.
        values = column(lambda point, cause=cause: point.losses_by_cause.get(cause, 0.0))
        data[name] = ("dead_time", values, {"units": "W", "long_name": f"{cause} loss"})
    for name in _COMMUTATION:
        both = [column(lambda point, at=at, name=name: getattr(getattr(point, at), name)) for at in _BOTH]
        attributes = {"units": Commutation.units()[name], "description": Commutation.definitions()[name]}
        data[f"commutation_{name}"] = (("commutation", "dead_time"), np.array(both), attributes)
    status = np.array([point.status for point in points], dtype=np.str_)
    data["status"] = ("dead_time", status, {"long_name": "status"})
    gap = ("dead_time", list(gaps), {"units": "s", "long_name": "dead time"})
    return xr.Dataset(data, {"dead_time": gap, "commutation": list(_BOTH)}, _choice(points))


def _choice(points: Sequence[HalfBridgePoint]) -> dict[str, float]:
    """Of the points that have an answer; the dead time needed is that of the longest that shows it."""
    answered = [point for point in points if point.succeeded]
    if not answered:
        return {"least_loss_dead_time": np.nan, "dead_time_needed": np.nan, "least_loss_is_at_end": 0}
    best = min(answered, key=lambda point: point.total_loss)
    needed = [point.dead_time_needed for point in answered if not np.isnan(point.dead_time_needed)]
    return {
        "least_loss_dead_time": best.dead_time,
        "dead_time_needed": needed[-1] if needed else np.nan,
        "least_loss_is_at_end": int(best.dead_time in (answered[0].dead_time, answered[-1].dead_time)),
    }
