"""A period that begins elsewhere: what repeats itself may be shown from any of its instants on."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from .. import _core
from .waveform import Waveform

__all__ = ["begun_before"]

Floats = NDArray[np.float64]


def begun_before(waveform: Waveform, cut: float) -> Waveform:
    """One period of a steady state on the same time axis, from a period before `cut` to `cut` [s].

    What comes after `cut` is put before the begin, one period earlier; the step with `cut` in it is divided.

    Raises:
        ValueError: `cut` lies outside the waveform.
    """
    if not waveform.begin < cut < waveform.end:
        raise ValueError(f"{cut:g} s is not inside the waveform")
    steps = waveform.times.reshape(-1, waveform.core.degree + 1)
    divided = int(np.searchsorted(steps[:, 0], cut, side="right")) - 1
    begin, end = steps[divided, 0], steps[divided, -1]
    shares = (steps[divided] - begin) / (end - begin)
    parts = np.array([begin + (cut - begin) * shares, cut + (end - cut) * shares])
    period = waveform.end - waveform.begin
    times = np.concatenate(
        [parts[1:] - period, steps[divided + 1 :] - period, steps[:divided], parts[:1]], axis=0
    )
    values = [_in_order(waveform, name, divided, parts) for name in waveform.units]
    core = _core.Waveform.from_nodes(waveform.core.channels, waveform.core.degree, times.ravel(), values)
    return Waveform(core)


def _in_order(waveform: Waveform, channel: str, divided: int, parts: Floats) -> Floats:
    """Values of a channel at the nodes of what comes after the cut, then of what comes before it."""
    steps = waveform.values(channel).reshape(-1, waveform.core.degree + 1)
    first, second = waveform.value(channel, parts)
    # At the ends of a step a channel may jump; there the step's own values count.
    first[0], second[-1] = steps[divided, 0], steps[divided, -1]
    return np.concatenate([second, steps[divided + 1 :].ravel(), steps[:divided].ravel(), first])
