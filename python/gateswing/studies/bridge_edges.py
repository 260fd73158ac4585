"""Questions about a half bridge: its commutations, and what the dead time does to them."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
from numpy.typing import NDArray

from .. import _core
from ..axis_values import axis_values
from ..circuit.half_bridge import HalfBridgeCell
from ..circuit.operation import DEAD_TIME
from ..circuit_checks.half_bridge import bridge_warnings, require_bridge, side_of
from ..core import fill
from ..errors import InputWarning, issue
from ..model import Quantity, argument, at_least, positive
from ..ranges import range_warnings
from ..threads import thread_count
from .asking import ask, common_members, optional
from .commutation import Commutation, HalfBridgeEdges
from .edges import TurnOff, TurnOn

if TYPE_CHECKING:
    import xarray as xr

__all__ = ["dead_time_sweep", "half_bridge_edges"]

_CURRENT = Quantity("A", "Load current out of the switch node.", allowed=at_least(-2e3, 2e3))
_TIME = Quantity("s", "Length of the pulse.", allowed=positive(10.0))


def half_bridge_edges(
    cell: HalfBridgeCell,
    *,
    dead_time: float | str,
    current: float | str | None = None,
    active: Literal["high", "low"] | None = None,
    on_time: float | str | None = None,
    off_time: float | str | None = None,
    relative_tolerance: float = 1e-6,
) -> HalfBridgeEdges:
    """Switch the bridge over and back at a stated load current.

    The other switch is on at first. It is told to turn off at ``-dead_time``, the active one to turn on at 0
    and off at ``on_time``, the other one to turn on again at ``on_time + dead_time``.

    Args:
        cell: the bridge.
        dead_time: from each command "off" to the other switch's command "on" [s]; negative: they overlap.
        current: of the load at the turn-on, positive out of the switch node [A]; left out: that of a constant
            current load, or none.
        active: the switch whose edges are measured; left out: the one that the current makes switch hard, the
            high side for a current out of the node.
        on_time: of the active switch [s]; left out: several times the switching time.
        off_time: recorded after its command "off" [s]; left out: several times the switching time.
        relative_tolerance: of the integrator.

    Returns:
        Figures of both edges and both commutations, energy ledger, waveform. A run that could not finish is
        returned too: its ``status`` says so and its figures are NaN.

    Raises:
        InputError: an argument is out of range, or the load cannot carry the current.
    """
    request = _request(cell, current, active, on_time, off_time)
    request.dead_time = argument("dead_time", dead_time, DEAD_TIME)
    found = [*range_warnings(cell), *bridge_warnings(cell)]
    result = _edges(cell, request, relative_tolerance, found)
    issue(found)
    return result


def dead_time_sweep(
    cell: HalfBridgeCell,
    *,
    dead_time: Sequence[float | str],
    current: Sequence[float | str],
    active: Literal["high", "low"] | None = None,
    threads: int | None = None,
    relative_tolerance: float = 1e-6,
) -> xr.Dataset:
    """Both commutations over dead times and load currents: what overlap costs, and what waiting costs.

    Args:
        cell: the bridge, its load left out or with an inductance.
        dead_time: values [s]; negative: overlap.
        current: values, positive out of the switch node [A].
        active: as for :func:`half_bridge_edges`, for all currents; left out: chosen for each.
        threads: how many to use; left out: one for each processor.
        relative_tolerance: of the integrator.

    Returns:
        A dataset over ``current`` and ``dead_time``: ``heat`` of everything but the load over both edges [J]
        and ``status``; over ``commutation``, ``to_active`` and ``from_active``, too the figures of
        :class:`Commutation`. A point that could not finish is NaN.

    Raises:
        InputError: a value is out of range, or the load cannot carry the current.
    """
    gaps, currents = (
        axis_values("dead_time", dead_time, DEAD_TIME),
        axis_values("current", current, _CURRENT),
    )
    require_bridge(cell)
    found = [*range_warnings(cell), *bridge_warnings(cell)]

    def answer(point: tuple[float, float]) -> HalfBridgeEdges:
        request = _request(cell, point[0], active, None, None)
        request.dead_time = point[1]
        return _edges(cell, request, relative_tolerance, found)

    with ThreadPoolExecutor(thread_count(threads)) as pool:
        answers = list(pool.map(answer, itertools.product(currents, gaps)))
    issue(found)
    return _dataset(currents, gaps, answers)


def _dataset(
    currents: Sequence[float], gaps: Sequence[float], answers: Sequence[HalfBridgeEdges]
) -> xr.Dataset:
    import xarray as xr

    shape = (len(currents), len(gaps))
    axes = ("current", "dead_time")
    data: dict[str, Any] = {
        name: (("commutation", *axes), _table(answers, name, shape), _attributes(name))
        for name in Commutation.units()
    }
    heat = np.array([sum(one.losses.values()) if one.succeeded else np.nan for one in answers])
    data["heat"] = (axes, heat.reshape(shape), {"units": "J", "long_name": "heat of both edges"})
    status = np.array([one.status for one in answers], dtype=np.str_)
    data["status"] = (axes, status.reshape(shape), {"long_name": "status"})
    coords = {
        "commutation": ["to_active", "from_active"],
        "current": ("current", list(currents), {"units": "A", "long_name": "load current"}),
        "dead_time": ("dead_time", list(gaps), {"units": "s", "long_name": "dead time"}),
    }
    return xr.Dataset(data, coords=coords)


def _table(answers: Sequence[HalfBridgeEdges], name: str, shape: tuple[int, int]) -> NDArray[np.float64]:
    """One figure of both commutations at every point, (2, currents, dead times)."""
    rows = [[getattr(one.to_active, name), getattr(one.from_active, name)] for one in answers]
    return np.array(rows).T.reshape(2, *shape)


def _attributes(name: str) -> dict[str, str]:
    description = Commutation.definitions()[name]
    return {
        "units": Commutation.units()[name],
        "long_name": name.replace("_", " "),
        "description": description,
    }


def _request(
    cell: HalfBridgeCell,
    current: float | str | None,
    active: str | None,
    on_time: float | str | None,
    off_time: float | str | None,
) -> Any:
    require_bridge(cell)
    load_current = _load_current(cell, current)
    side = side_of(active or ("low" if load_current < 0.0 else "high"))
    return fill(
        _core.HalfBridgeRequest(),
        current=load_current,
        active=side,
        on_time=optional("on_time", on_time, _TIME),
        off_time=optional("off_time", off_time, _TIME),
    )


def _edges(
    cell: HalfBridgeCell, request: Any, relative_tolerance: float, found: list[InputWarning]
) -> HalfBridgeEdges:
    core = ask(_core.half_bridge_edges, lambda: cell.to_core(request.current), request, relative_tolerance)
    return HalfBridgeEdges(
        **common_members(cell, core, found),
        active=request.active.name,
        dead_time=request.dead_time,
        current=core.current,
        on_time=core.on_time,
        off_time=core.off_time,
        turn_on=TurnOn.from_core(core.turn_on),
        turn_off=TurnOff.from_core(core.turn_off),
        to_active=Commutation.from_core(core.to_active),
        from_active=Commutation.from_core(core.from_active),
    )


def _load_current(cell: HalfBridgeCell, current: float | str | None) -> float:
    if current is not None:
        return argument("current", current, _CURRENT)
    return (cell.load.constant_current or 0.0) if cell.load else 0.0
