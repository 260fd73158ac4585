"""What follows an edge: the level on which a channel settles, and the ring around it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from .. import _core
from ..measurement.rest import tapered_mean
from ..waveforms.crossings import span_of
from ..waveforms.waveform import Waveform

__all__ = ["Figure", "RingFigures", "figures_after", "ring_after"]

_FLOOR = 0.01  # of the range of a channel, below which no half cycle counts
_SETTLED = 0.05  # of the time after an edge, over which the settled level is averaged at least
_MOST_DECAYS = 700.0  # by e, of a float
_LOOKED_AT = 2001  # times, for the first guess of that level


class Figure(NamedTuple):
    """A number with its SI unit."""

    value: float
    unit: str


class RingFigures(NamedTuple):
    """A ring as the figures of a record tell it.

    Attributes:
        frequency: [Hz].
        decay_time: of its envelope to 1/e [s].
        delay: from the end of the transition of v_DS to where `amplitude` holds [s]: less than a cycle and a
            quarter before the first extremum.
        amplitude: of the envelope there, in the unit of the channel.
    """

    frequency: float
    decay_time: float
    delay: float
    amplitude: float

    def amplitude_at(self, delay: float) -> float:
        """Of the envelope at another time after the transition [s]."""
        return self.amplitude * math.exp(min((self.delay - delay) / self.decay_time, _MOST_DECAYS))

    def time_above(self, level: float) -> float:
        """How long the envelope is above a level [s]."""
        return self.decay_time * math.log(max(self.amplitude / level, 1.0)) if level > 0.0 else math.inf


def ring_after(figures: Mapping[str, Figure], channel: str, index: int) -> RingFigures | None:
    """The ring of a channel after the edge of that number, if there is one."""
    names = [f"{_prefix(channel, index)}.ring_{name}" for name in RingFigures._fields]
    if not all(name in figures for name in names):
        return None
    return RingFigures(*(figures[name].value for name in names))


def figures_after(
    waveform: Waveform, channel: str, index: int, stretch: tuple[float, float], noise: float = 0.0
) -> dict[str, Figure]:
    """Ring and settled level of a channel after an edge.

    Args:
        waveform: of the channel.
        channel: its name.
        index: of the edge, for the names of the figures.
        stretch: from the end of the transition of v_DS to the end of the edge's part of the record [s]; NaN,
            and no figures, where there is no transition.
        noise: below which no half cycle counts, in the unit of the channel.
    """
    begin, end = stretch
    if math.isnan(begin) or not begin < end:
        return {}
    window = _core.Window(begin, end)
    floor = max(_FLOOR * span_of(waveform, channel), noise)
    ring, settled = _ring_about(waveform, channel, window, floor, _middle(waveform, channel, window))
    if ring is not None:  # about the level that is told
        ring, settled = _ring_about(waveform, channel, window, floor, settled)
    unit = waveform.units[channel]
    found = {"settled": Figure(settled, unit)}
    if ring is not None and ring.decay_time > 0.0:
        found["ring_frequency"] = Figure(ring.frequency, "Hz")
        found["ring_decay_time"] = Figure(ring.decay_time, "s")
        found["ring_delay"] = Figure(ring.begin - begin, "s")
        found["ring_amplitude"] = Figure(ring.amplitude, unit)
    return {f"{_prefix(channel, index)}.{name}": figure for name, figure in found.items()}


def _ring_about(
    waveform: Waveform, channel: str, window: _core.Window, floor: float, level: float
) -> tuple[_core.Ring | None, float]:
    """The ring about a level, and the level over whole cycles of it at the end of the window."""
    ring = _core.ring(waveform.core, channel, level, floor, window) if floor > 0.0 else None
    length = _SETTLED * window.length
    if ring is not None:
        length = math.ceil(length * ring.frequency) / ring.frequency
    last = _core.Window(window.end - min(length, window.length), window.end)
    return ring, float(_core.mean(waveform.core, channel, last))


def _middle(waveform: Waveform, channel: str, window: _core.Window) -> float:
    """A mean over the second half of the window that hardly sees a ring."""
    times = np.linspace(window.end - 0.5 * window.length, window.end, _LOOKED_AT)
    return tapered_mean(waveform.value(channel, times))


def _prefix(channel: str, index: int) -> str:
    return f"{channel}.after_edge_{index}"
