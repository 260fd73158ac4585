"""The waveforms of the points of a sweep, each on its own time axis."""

from __future__ import annotations

import math
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING

import numpy as np

from .. import _core
from ..errors import InputError, InputProblem
from ..model import Quantity, argument, positive
from ..threads import thread_count
from ..waveforms.decimation import decimated
from ..waveforms.waveform import Waveform
from .chunk import DONE
from .dataset import kind_in, origin_of, points_of, tolerances_of
from .kinds import AnyPoint

if TYPE_CHECKING:
    import xarray as xr

__all__ = ["waveforms_of"]

_NAME = "point_"
_BOUND = Quantity("", "Distance from the curve, as a share of its range.", allowed=positive(0.1))


def waveforms_of(
    dataset: xr.Dataset,
    channels: Sequence[str] | None = None,
    *,
    bound: float = 1e-3,
    threads: int | None = None,
) -> xr.DataTree:
    """Waveforms of the last period of every point of a sweep that has an answer, computed again.

    A point always comes out the same, so a sweep need not keep its waveforms. Select down to the points of
    interest first: each is a simulation, and some thousand values per channel.

    Args:
        dataset: of :func:`sweep`, or a selection of it.
        channels: names, as in ``point_of(...).waveform.units``; left out: ``v_gs``, ``v_ds`` and ``i_d``, of
            a half bridge ``v_switch``, ``v_gs_high``, ``v_gs_low`` and ``i_load``.
        bound: largest distance of the lines from the curve of a channel, as a share of its range. Every
            channel's highest and lowest value is kept.
        threads: how many to use; left out: one for each processor.

    Returns:
        A tree with the node ``table``, which is `dataset` with one more variable, ``waveform``: the name of
        each point's node below ``waveforms``, empty where it has none. Such a node has a ``time`` [s] of its
        own, the channels over it with their units, and the point's coordinates as attributes. ``to_netcdf``
        and ``to_zarr`` write all of it; format 3 of Zarr has no text of fixed length yet, so take
        ``zarr_format=2``.

    Raises:
        InputError: the dataset is not of a sweep, there is no such channel, or the bound is out of range.
    """
    import xarray as xr

    share = argument("bound", bound, _BOUND)
    numbers = np.flatnonzero(dataset["status"].values.ravel() == DONE).tolist()
    tolerances = tolerances_of(dataset)[numbers].tolist()
    kind = kind_in(origin_of(dataset))
    wanted = kind.channels if channels is None else channels

    def compute(point: AnyPoint | InputError, tolerance: float) -> xr.Dataset:
        if isinstance(point, InputError):
            raise point
        # The sweep has warned.
        found = kind.quiet(**point._asdict(), relative_tolerance=tolerance)
        return _small(found.waveform, wanted, share)

    with ThreadPoolExecutor(thread_count(threads)) as pool:
        found = dict(zip(numbers, pool.map(compute, points_of(dataset, numbers), tolerances), strict=True))
    names = np.full(dataset["status"].size, "", dtype=f"U{len(_NAME) + len(str(dataset['status'].size))}")
    nodes = {"table": dataset}
    for number, waveform in found.items():
        names[number] = f"{_NAME}{number}"
        nodes[f"waveforms/{names[number]}"] = waveform.assign_attrs(_coordinates(dataset, number))
    attributes = {"long_name": "name of the waveforms of the point"}
    nodes["table"] = dataset.assign(
        waveform=(dataset["status"].dims, names.reshape(dataset["status"].shape), attributes)
    )
    return xr.DataTree.from_dict(nodes)


def _coordinates(dataset: xr.Dataset, number: int) -> dict[str, float | str]:
    """Of one point by number, the last dimension varying fastest."""
    places = np.unravel_index(number, dataset["status"].shape)
    point = dataset.isel({dim: int(place) for dim, place in zip(dataset["status"].dims, places, strict=True)})
    return {str(name): values.item() for name, values in point.coords.items()}


def _small(waveform: Waveform, channels: Sequence[str], share: float) -> xr.Dataset:
    """The channels by straight lines within that share of their ranges."""
    missing = [name for name in channels if name not in waveform.units]
    if missing:
        known = ", ".join(waveform.units)
        raise InputError([InputProblem("channels", repr(missing[0]), "no such channel.", known)])
    chosen = [_core.Channel(name, waveform.units[name]) for name in channels]
    values = [waveform.values(name) for name in channels]
    part = Waveform(_core.Waveform.from_nodes(chosen, waveform.core.degree, waveform.times, values))
    bounds = {name: share * float(np.ptp(of)) or math.inf for name, of in zip(channels, values, strict=True)}
    return decimated(part, bounds).to_dataset()
