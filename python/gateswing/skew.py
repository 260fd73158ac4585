"""By how much the current of a capture is late against the voltage, and what that does to energies.

While the current rises at a turn-on, the freewheel diode holds the switch node, and the voltage at the pins is

    v_DS(t) = V - L di/dt - R i,

the inductive step. V, L and R are unknown but constant, so the delay of the current is the one with which a straight
line in di/dt and i comes nearest to v_DS (least squares; the deskew by the inductive step is common practice without
a source). Both channels go through the same smoothing filter, which changes nothing in the equation.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any

import numpy as np
from numpy.typing import NDArray

from .errors import InputError, InputProblem
from .figures import Figures, Meaning, format_figure
from .measured import MeasuredEdge, MeasuredTurnOn, measure_edges
from .measured_view import View, sample_times, samples_of
from .capture.quality import noise_of
from .waveform import Waveform

if TYPE_CHECKING:
    import xarray as xr

__all__ = ["Skew", "energy_against_skew", "estimate_skew"]
def energy_against_skew(
    waveform: Waveform, skews: Sequence[float], *, current: str = "i_d", **options: Any
) -> xr.Dataset:
    """Energies of every edge if the current were late by so much against the voltage, and were moved back.

    Args:
        waveform: of a capture, or of a simulation to see how much a skew would matter.
        skews: assumed delays of the current [s].
        current: the channel that is moved.
        options: of :func:`measure_edges`.

    Returns:
        ``energy`` and ``total_energy`` [J] over ``edge``, counted from 0, and ``skew`` [s].

    Raises:
        InputError: as :func:`measure_edges`.
    """
    import xarray as xr

    moved = (_moved(waveform, current, skew) for skew in skews)
    found = [measure_edges(one, current=current, **options) for one in moved]
    rows = [[(edge.energy, edge.total_energy) for edge in edges] for edges in found]
    count = min(len(row) for row in rows)
    values = np.array([row[:count] for row in rows], dtype=np.float64).reshape(len(rows), count, 2)
    definitions = MeasuredEdge.definitions()
    data = {
        name: (("edge", "skew"), values[:, :, index].T, {"units": "J", "long_name": definitions[name]})
        for index, name in enumerate(("energy", "total_energy"))
    }
    skew_axis = (
        "skew",
        np.asarray(skews, dtype=np.float64),
        {"units": "s", "long_name": "assumed delay of i_D"},
    )
    return xr.Dataset(data, coords={"edge": np.arange(count), "skew": skew_axis})


def _moved(waveform: Waveform, channel: str, skew: float) -> Waveform:
    """A channel earlier by `skew` [s], on the nodes of the others, where all of it is known."""
    if channel not in waveform.units:
        raise InputError(
            [InputProblem("current", repr(channel), "no such channel.", ", ".join(waveform.units))]
        )
    nodes = waveform.times
    if waveform.core.degree > 1:
        nodes = np.concatenate([nodes, nodes - skew])
    nodes = np.unique(nodes)
    begin, end = max(waveform.begin, waveform.begin - skew), min(waveform.end, waveform.end - skew)
    times = nodes[(nodes >= begin) & (nodes <= end)]
    times = times[np.append(True, np.diff(times) > 1e-6 * np.median(np.diff(times)))]
    values = {
        name: waveform.value(
            name, np.clip(times + skew, waveform.begin, waveform.end) if name == channel else times
        )
        for name in waveform.units
    }
    return Waveform.from_samples(times, values, waveform.units)
