"""A stretch of a waveform that a caller names by its begin and end."""

from __future__ import annotations

from ..errors import InputError, InputProblem
from ..model import Quantity, argument
from ..quantities import Interval
from .waveform import Waveform

__all__ = ["TimeWindow", "window_of"]

# Begin and end [s], numbers or text with units.
TimeWindow = tuple[float | str, float | str]

_TIME = Quantity("s", "A time on the axis of the waveform.", allowed=Interval(-1e6, 1e6))


def window_of(waveform: Waveform, window: TimeWindow | None) -> tuple[float, float]:
    """Begin and end [s] of a stretch of a waveform; without one, of all of it.

    Raises:
        InputError: the window is not inside the waveform, or no time.
    """
    if window is None:
        return waveform.begin, waveform.end
    begin, end = (argument("window", one, _TIME) for one in window)
    if not waveform.begin <= begin < end <= waveform.end:
        allowed = f"{waveform.begin:g} s to {waveform.end:g} s, in this order"
        given = f"{begin:g} s, {end:g} s"
        raise InputError([InputProblem("window", given, "not inside the waveform.", allowed)])
    return begin, end
