"""The loop inductance that gives a cell's ring the frequency of a capture's."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ..hand_formulas.circuit import HandCircuit
from ..studies.results import DoublePulse
from .model import BenchModel
from .ringing import SpectralLine, strongest_ring
from .timing import Timing

__all__ = ["RingLock"]

Floats = NDArray[np.float64]

_LOOP = "loop_inductance"
_DRAIN, _GATE, _CURRENT = "v_ds_pin", "v_gs_pin", "i_d"
_ROUNDS = 3  # simulations by which the frequency is met
_MET = 0.002  # of it


class RingLock:
    """The rings of a capture, and starts of a search that ring as they do.

    Attributes:
        period: of the slowest ring [s], 0 without one.
    """

    def __init__(self, model: BenchModel, timing: Timing) -> None:
        self._model, self._timing = model, timing
        samples = model.samples
        # What rings after the turn-on, of which the gate sees a part, and after the turn-off.
        self._channels = (_CURRENT if _CURRENT in samples.values else _GATE, _DRAIN)
        self._noise = [float(np.median(samples.deviations[name])) for name in self._channels]
        rings = [self._seen(place) for place in range(len(self._channels))]
        self.period = max((1.0 / ring.frequency for ring in rings if ring), default=0.0)
        # By the ring that stands out most.
        self._edge = max(
            range(len(rings)), key=lambda place: ((ring := rings[place]) and ring.strength) or 0.0
        )
        self._wanted = rings[self._edge]

    def met(self, values: Sequence[float]) -> list[float]:
        """Values of the unknowns in SI units with another loop inductance, if that is an unknown."""
        found = list(values)
        paths = [one.path for one in self._model.unknowns]
        if self._wanted is None or _LOOP not in paths:
            return found
        place = paths.index(_LOOP)
        unknown = self._model.unknowns[place]
        for _ in range(_ROUNDS):
            edges = self._simulated(found)
            ring = self._simulated_ring(edges) if edges else None
            if edges is None or ring is None:
                return found
            total = HandCircuit(edges.cell, edges.current).ring_inductance.value
            ratio = ring.frequency / self._wanted.frequency
            found[place] = float(np.clip(found[place] + total * (ratio**2 - 1.0), unknown.low, unknown.high))
            if abs(ratio - 1.0) < _MET:
                break
        return found

    def _seen(self, place: int) -> SpectralLine | None:
        """Of the capture after an edge."""
        samples, channel = self._model.samples, self._channels[place]
        begin, end = self._timing.rests[place]
        inside = (samples.times >= begin) & (samples.times <= end)
        return strongest_ring(samples.values[channel][inside], samples.interval, self._noise[place])

    def _simulated(self, values: Sequence[float]) -> DoublePulse | None:
        x = self._model.start(values, self._timing.off - self._timing.on, 0.0)
        return self._model.answer(x)

    def _simulated_ring(self, edges: DoublePulse) -> SpectralLine | None:
        """Likewise, over as long a time."""
        begin = (edges.turn_on, edges.turn_off)[self._edge].drain_end
        if not math.isfinite(begin):
            return None
        first, last = self._timing.rests[self._edge]
        interval = self._model.samples.interval
        times = np.arange(begin, min(begin + last - first, edges.waveform.end), interval)
        values: Floats = edges.waveform.value(self._channels[self._edge], times)
        return strongest_ring(values, interval, self._noise[self._edge])
