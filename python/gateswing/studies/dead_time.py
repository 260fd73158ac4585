"""What a half bridge loses in steady state over its dead time."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from ..axis_values import axis_values
from ..circuit.half_bridge import HalfBridgeCell
from ..circuit.operation import DEAD_TIME, BridgeOperation
from ..circuit_checks.half_bridge import dead_time_warnings
from ..errors import InputError, InputProblem, issue
from ..threads import thread_count
from .asking import RELATIVE_TOLERANCE
from .bridge_operation import bridge_input_warnings, point_with
from .bridge_point import HalfBridgeFigures, HalfBridgePoint
from .commutation import Commutation

if TYPE_CHECKING:
    import xarray as xr

__all__ = ["dead_time_losses"]

# Figures of a commutation that depend on the dead time and cost something.
_BOTH = ("to_active", "from_active")
_COMMUTATION = ("shoot_through_charge", "dead_time_needed", "voltage_at_turn_on", "diode_conduction_energy")


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
    found = bridge_input_warnings(cell)
    operations = [
        BridgeOperation(frequency=frequency, duty=duty, dead_time=gap, active=active) for gap in gaps
    ]
    with ThreadPoolExecutor(thread_count(threads)) as pool:
        points = list(pool.map(lambda one: point_with(cell, one, relative_tolerance, found), operations))
    table = _dataset(gaps, points)
    answered = [point.dead_time for point in points if point.succeeded]
    doubts = dead_time_warnings(
        answered, table.attrs["least_loss_dead_time"], table.attrs["dead_time_needed"]
    )
    issue([*dict.fromkeys(warning for point in points for warning in point.warnings), *doubts])
    return table


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
