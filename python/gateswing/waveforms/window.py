"""A stretch of a waveform that a caller names by its begin and end."""

from __future__ import annotations

from ..errors import InputError, InputProblem
from ..model import Quantity, argument
from ..quantities import Interval
from .waveform import Waveform

__all__ = ["TimeWindow", "inside", "window_of"]

# Begin and end [s], numbers or text with units.
TimeWindow = tuple[float | str, float | str]

_TIME = Quantity("s", "A time on the axis of the waveform.", allowed=Interval(-1e6, 1e6))


def window_of(waveform: Waveform, window: TimeWindow | None) -> tuple[float, float]:
    """Begin and end [s] of a stretch of a waveform; without one, of all of it.

    Raises:
        InputError: the window is not inside the waveform, or no time.
    """
    return inside(window, waveform.begin, waveform.end, "not inside the waveform.")


def inside(window: TimeWindow | None, first: float, last: float, refusal: str) -> tuple[float, float]:
    """Begin and end [s] of a window between two times, refused with those words; without one, those times.

    Raises:
        InputError: the window is not in between, or no time.
    """
    begin, end = (argument("window", one, _TIME) for one in window or (first, last))
    if not first <= begin < end <= last:
        allowed = f"{first:g} s to {last:g} s, in this order"
        raise InputError([InputProblem("window", f"{begin:g} s, {end:g} s", refusal, allowed)])
    return begin, end
