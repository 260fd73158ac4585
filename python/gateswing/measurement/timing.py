"""When a capture switches, and while it stands still and may ring."""

from __future__ import annotations

import math
from typing import NamedTuple

from ..errors import InputError, InputProblem
from ..waveforms.alignment import find_event
from ..waveforms.crossings import swing_passages
from ..waveforms.waveform import Waveform
from .edges import measure_edges

__all__ = ["Timing", "timing_of"]


class Timing(NamedTuple):
    """Of a capture [s].

    Attributes:
        on, off: quarter steps of the gate.
        begin, end: of the part of the record that belongs to them.
        switched: ends of both transitions of v_DS.
        transition: the shorter one of v_DS.
    """

    on: float
    off: float
    begin: float
    end: float
    switched: tuple[float, float]
    transition: float

    @property
    def rests(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """Begin and end of the stretches in which something may ring."""
        return (self.switched[0], self.off), (self.switched[1], self.end)


def timing_of(waveform: Waveform) -> Timing:
    """Of the first turn-on of a capture and the turn-off after it.

    Raises:
        InputError: there are none.
    """
    steps = swing_passages(waveform, "v_gs_pin")
    first = next((place for place, step in enumerate(steps[:-1]) if step.rising), None)
    if first is None:
        reason = "shows no turn-on with a turn-off after it."
        hint = "Record from before the first until the ring after the second. Is v_gs_pin the right column?"
        raise InputError([InputProblem("capture", None, reason, hint=hint)])
    begin = 0.5 * (steps[first - 1].time + steps[first].time) if first else waveform.begin
    last = first + 1
    end = 0.5 * (steps[last].time + steps[last + 1].time) if last + 1 < len(steps) else waveform.end
    on, off = (find_event(waveform, "gate", edge).time for edge in (first, last))
    switched, lengths = [on, off], []
    for place, edge in enumerate(measure_edges(waveform)[first : last + 1]):
        if math.isfinite(edge.drain_end):
            switched[place] = max(switched[place], edge.drain_end)
            lengths.append(edge.drain_end - edge.drain_begin)
    return Timing(on, off, begin, end, (switched[0], switched[1]), min([*lengths, off - on]))
