"""Two waveforms on one time axis, by an event that both show. The shift is an answer, never swept away."""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

import numpy as np

from .. import _core
from ..errors import InputError, InputProblem
from ..model import choice, counted
from .crossings import (
    Passage,
    first_passage,
    last_passage,
    levels_of,
    passages,
    span_of,
    swing_passages,
)
from .waveform import Waveform

__all__ = ["UNALIGNED", "Alignment", "Event", "find_event", "shifted"]

Alignment = Literal["gate", "drain", "none"]

UNALIGNED = "time as it is"
_ORDINALS = ("first", "second", "third", "fourth")
_EARLY = 0.25  # of the step of the gate: above noise and threshold of the driver, before the plateau
_BAND = 0.1  # of the step, hysteresis


class Event(NamedTuple):
    """A point in time that a waveform defines.

    Attributes:
        time: [s].
        definition: in words.
    """

    time: float
    definition: str


def find_event(
    waveform: Waveform, align: Alignment, edge: int = 0, gate: str = "v_gs_pin", drain: str = "v_ds_pin"
) -> Event:
    """The event to align on.

    Args:
        waveform: that shows it.
        align: ``gate``: v_GS has gone a quarter of its step (the plateau makes its middle uncertain), upwards
            for the first time, downwards for the last;
            ``drain``: v_DS passes the middle of its swing at its steepest; ``none``: time 0.
        edge: which step of the gate, counted from 0.
        gate: channel of v_GS.
        drain: channel of v_DS.

    Raises:
        InputError: there is no such channel, no such event, or the edge is no whole number.
    """
    edge = counted("edge", edge, 0)
    if choice("align", align, Alignment, "event") == "none":
        return Event(0.0, UNALIGNED)
    channel = gate if align == "gate" else drain
    if channel not in waveform.units:
        raise InputError([InputProblem(align, repr(channel), "no such channel.", ", ".join(waveform.units))])
    found = swing_passages(waveform, channel)
    if len(found) <= (edge if align == "gate" else 0):
        reason = f"{channel} shows {len(found)} such edges."
        raise InputError([InputProblem("align", repr(align), reason)])
    if align == "gate":
        which = f"its {_ORDINALS[edge]} step" if edge < len(_ORDINALS) else f"its step number {edge + 1}"
        definition = f"{channel} has gone a quarter of {which}"
        # After what the gate does once more at the step before.
        since = 0.5 * (found[edge - 1].time + found[edge].time) if edge else waveform.begin
        return Event(_quarter(waveform, channel, found[edge], since), definition)
    steepest = max(found, key=lambda passage: _steepness(waveform, channel, passage.time))
    return Event(steepest.time, f"{channel} passes the middle of its swing at its steepest")


def _quarter(waveform: Waveform, channel: str, step: Passage, since: float) -> float:
    """When the channel passes a quarter of a step [s], not before `since`.

    Upwards for the first time: the inductance of the source may pull the gate back below. Downwards for the
    last time before the middle: a ring of the turn-on may have taken it there.
    """
    low, high = levels_of(waveform, channel)
    level = low + (_EARLY if step.rising else 1.0 - _EARLY) * (high - low)
    found = passages(waveform, channel, level, _core.Window(since, step.time), _BAND * (high - low))
    time = first_passage(found, True) if step.rising else last_passage(found, False)
    if time is None:  # the record begins in the middle of the step
        raise InputError([InputProblem("align", "'gate'", f"{channel} does not show the begin of its step.")])
    return time


def _steepness(waveform: Waveform, channel: str, time: float) -> float:
    """Inverse of the time from a tenth of the range below the middle of a passage to one above [1/s]."""
    whole = _core.whole(waveform.core)
    middle = float(waveform.value(channel, time))
    tenth = 0.1 * span_of(waveform, channel)
    times = [
        one.time
        for level in (middle - tenth, middle + tenth)
        for one in passages(waveform, channel, level, whole)
    ]
    before, after = [t for t in times if t <= time], [t for t in times if t >= time]
    if not (before and after):
        return 0.0
    length = min(after) - max(before)
    return 1.0 / length if length > 0.0 else math.inf


def shifted(waveform: Waveform, by: float) -> Waveform:
    """The same later by a time [s]."""
    if by == 0.0:
        return waveform
    core = waveform.core
    values = [core.values(channel.name) for channel in core.channels]
    return Waveform(
        _core.Waveform.from_nodes(core.channels, core.degree, np.asarray(core.times) + by, values)
    )
