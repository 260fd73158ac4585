"""Figures of a diode's reverse recovery, read from its current by the definitions in use.

The current falls through zero at t0, reaches -I_RM and comes back. t_rr ends, by choice of the standard or
the maker,

    where i is back at 25 % of I_RM                     (JESD282-B alternative 3, with 25 %)
    where the line through 90 % and 25 % of I_RM meets zero  (IEC 60747-2; JESD282-B alternative 2)
    where the line through 75 % and 50 % of I_RM meets zero  (common in data sheets, with Q_rr = t_rr I_RM/2)

and the charge depends on where counting stops, so each stands with its own. Definitions as restated in the
JEDEC dictionary and in data sheets; the text of IEC 60747-2 was not at hand.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import accumulate
from typing import Annotated, NamedTuple

from .. import _core
from ..errors import InputError, InputProblem
from ..figures import Figures, Meaning
from ..waveforms.crossings import passages
from ..waveforms.waveform import Waveform
from ..waveforms.window import TimeWindow, window_of
from .quiet import half_band, quieted

__all__ = ["MeasuredRecovery", "measure_recovery"]

_CONDUCTS = 0.1  # of the largest forward current: with less, the current rings about zero


@dataclass(frozen=True, repr=False)
class MeasuredRecovery(Figures):
    """Figures of one reverse recovery. NaN, printed as a dash: the record ends before."""

    peak_reverse_current: Annotated[float, Meaning("A", "I_RM")]
    rise_time: Annotated[float, Meaning("s", "ta: zero to the peak")]
    time_to_quarter: Annotated[float, Meaning("s", "t_rr: zero to 25 % of I_RM after the peak (JESD282-B)")]
    time_by_90_25: Annotated[
        float, Meaning("s", "t_rr: zero to the line through 90 % and 25 % (IEC 60747-2)")
    ]
    time_by_75_50: Annotated[
        float, Meaning("s", "t_rr: zero to the line through 75 % and 50 % (data sheets)")
    ]
    charge: Annotated[float, Meaning("C", "Q_rr: i from zero back to zero, or to the end of the record")]
    charge_to_quarter: Annotated[float, Meaning("C", "i from zero to 25 % of I_RM after the peak")]
    triangle_charge: Annotated[
        float, Meaning("C", "t_rr I_RM/2 with the line through 75 % and 50 % (data sheets)")
    ]
    softness: Annotated[float, Meaning("", "|di/dt| at zero over the largest after the peak (JESD282-B)")]


def measure_recovery(
    waveform: Waveform, *, current: str = "i_freewheel", window: TimeWindow | None = None
) -> MeasuredRecovery:
    """Figures of the first reverse recovery in a window.

    It begins where the current falls through zero after the diode has conducted (a tenth of the largest
    forward current in the window), and is over where the current is back at zero; wiggles within the noise of
    samples are neither.

    Args:
        waveform: of a capture or a result.
        current: of the diode, positive forwards.
        window: begin and end [s]; left out: the whole record.

    Raises:
        InputError: there is no such channel, the window lies outside, or the current does not fall through
            zero.
    """
    if current not in waveform.units:
        raise InputError(
            [InputProblem("current", repr(current), "no such channel.", ", ".join(waveform.units))]
        )
    span = _core.Window(*window_of(waveform, window))
    found = _first(waveform, current, span)
    if found is None:
        raise InputError(
            [InputProblem("current", repr(current), "does not fall through zero in the window.")]
        )
    zero, peak, end = found
    core = waveform.core
    after = _core.Window(peak.time, end)
    back = {share: _back_at(core, current, share * peak.value, after) for share in (0.9, 0.75, 0.5, 0.25)}
    quarter = back[0.25]
    by_line = _line_end(back, 0.75, 0.5)
    return MeasuredRecovery(
        peak_reverse_current=-peak.value,
        rise_time=peak.time - zero,
        time_to_quarter=quarter - zero,
        time_by_90_25=_line_end(back, 0.9, 0.25) - zero,
        time_by_75_50=by_line - zero,
        charge=-_core.integral(core, current, _core.Window(zero, end)),
        charge_to_quarter=-_integral(core, current, zero, quarter),
        triangle_charge=-0.5 * (by_line - zero) * peak.value,
        softness=_softness(core, current, zero, peak.time, after),
    )


class _Stretch(NamedTuple):
    """One recovery; times in s."""

    zero: float
    peak: _core.Extremum
    end: float


def _first(waveform: Waveform, current: str, span: _core.Window) -> _Stretch | None:
    core, quiet = waveform.core, quieted(waveform, (current,))
    forward = _core.maximum(core, current, span).value
    reverse = _core.minimum(core, current, span).value
    band = half_band(quiet.deviations[current], reverse) if current in quiet.deviations else 0.0
    crossed = passages(quiet.waveform, current, 0.0, span, band)
    # A time found in noise may lie beyond the next one.
    times = list(accumulate([span.begin, *(one.time for one in crossed), span.end], max))
    for one, begin, zero, end in zip(crossed, times, times[1:], times[2:], strict=False):
        before = _core.maximum(core, current, _core.Window(begin, zero)).value
        peak = _core.minimum(core, current, _core.Window(zero, end))
        if not one.rising and before >= _CONDUCTS * forward > 0.0 > peak.value:
            return _Stretch(zero, peak, end)
    return None


def _back_at(core: _core.Waveform, current: str, level: float, after: _core.Window) -> float:
    found = _core.first_crossing(core, current, level, _core.Direction.rising, after)
    return math.nan if found is None else float(found)


def _line_end(back: dict[float, float], upper: float, lower: float) -> float:
    """Where the line through two shares of the peak meets zero."""
    return back[lower] + (back[lower] - back[upper]) * lower / (upper - lower)


def _integral(core: _core.Waveform, current: str, begin: float, end: float) -> float:
    return math.nan if math.isnan(end) else float(_core.integral(core, current, _core.Window(begin, end)))


def _softness(core: _core.Waveform, current: str, zero: float, peak: float, after: _core.Window) -> float:
    """The slope at zero is that of the step before it: at the corner of samples the one after is another."""
    falling = abs(_core.minimum_slope(core, current, _core.Window(zero, 0.9 * zero + 0.1 * peak)).value)
    rising = _core.maximum_slope(core, current, after).value
    return falling / rising if rising > 0.0 else math.nan
