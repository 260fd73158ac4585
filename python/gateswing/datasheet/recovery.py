"""Reverse recovery of the charge-control diode on a current ramp, in closed form, and its inversion.

The current falls from I_F with the slope a, i = I_F - a t, until the stored charge is used up at T1, and then
decays with tau_rr, 1/tau_rr = 1/tau + 1/TM:

    I_RM = a (tau - tau_rr) (1 - exp(-T1/tau)),     T1 = (I_F + I_RM)/a
    Q_rr = I_RM^2/(2 a) + I_RM tau_rr,              t_rr = I_RM/a + ln(4) tau_rr    (up to 25 % of I_RM)

Source: P. O. Lauritzen and C. L. Ma, A simple diode model with reverse recovery, IEEE Transactions on Power
Electronics 6(2), 188-191 (1991); equations from memory and re-derived.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from ..errors import InputError, InputProblem
from ..quantities import format_quantity
from .sheet import ReverseRecovery

__all__ = ["RecoveryFigures", "RecoveryParameters", "recovery_figures", "recovery_parameters"]

_TAIL = math.log(4.0)
# Decay over the time from zero to the peak where the sheet says nothing about softness; no source.
_DEFAULT_SOFTNESS = 0.5


class RecoveryParameters(NamedTuple):
    """Diffusion time and carrier lifetime of the law [s]."""

    transit_time: float
    lifetime: float


class RecoveryFigures(NamedTuple):
    """What a sheet prints: peak current [A], time [s], charge [C]."""

    peak_current: float
    time: float
    charge: float


def recovery_figures(
    parameters: RecoveryParameters, forward_current: float, current_slope: float
) -> RecoveryFigures:
    """Figures after a forward current [A] that falls at a slope [A/s]."""
    from scipy.optimize import brentq  # type: ignore[import-untyped]

    transit, lifetime = parameters
    decay = lifetime * transit / (lifetime + transit)
    most = current_slope * (lifetime - decay)

    def excess(peak: float) -> float:
        return peak + most * math.expm1(-(forward_current + peak) / (current_slope * lifetime))

    peak = float(brentq(excess, 0.0, most, xtol=1e-12 * most, rtol=1e-13))
    return _figures(peak, decay, current_slope)


def _figures(peak: float, decay: float, slope: float) -> RecoveryFigures:
    rise = peak / slope
    return RecoveryFigures(peak, rise + _TAIL * decay, peak * (0.5 * rise + decay))


def recovery_parameters(entry: ReverseRecovery) -> RecoveryParameters:
    """Parameters that give the printed figures: two of them, or one and a default softness.

    Of three figures time and charge count.

    Raises:
        InputError: none of the figures is given, or no diode of this law has them.
    """
    from scipy.optimize import brentq

    slope = entry.current_slope
    peak, decay = _peak_and_decay(entry)
    rise = (entry.forward_current + peak) / slope

    def excess(lifetime: float) -> float:
        return -slope * (lifetime - decay) * math.expm1(-rise / lifetime) - peak

    # The left side grows from 0 at lifetime = decay towards I_F + I_RM, so there is one root.
    high = 2.0 * decay
    while excess(high) < 0.0:
        high *= 2.0
    lifetime = float(brentq(excess, decay * (1.0 + 1e-12), high, xtol=1e-18, rtol=1e-13))
    return RecoveryParameters(lifetime * decay / (lifetime - decay), lifetime)


def _peak_and_decay(entry: ReverseRecovery) -> tuple[float, float]:
    """I_RM [A] and tau_rr [s]."""
    slope = entry.current_slope
    time, charge, peak = entry.time, entry.charge, entry.peak_current
    if time is not None and charge is not None:
        peak = _peak_of(time, charge, slope)
    elif charge is not None and peak is not None:
        return peak, _positive_decay(charge / peak - 0.5 * peak / slope, entry)
    elif peak is None:
        peak = _peak_of_one(time, charge, slope)
    decay = _DEFAULT_SOFTNESS * peak / slope if time is None else (time - peak / slope) / _TAIL
    return peak, _positive_decay(decay, entry)


def _peak_of(time: float, charge: float, slope: float) -> float:
    """The smaller root of Q = x^2/(2 a) + x (t - x/a)/ln 4."""
    square, linear = (1.0 / _TAIL - 0.5) / slope, time / _TAIL
    rest = linear * linear - 4.0 * square * charge
    return 2.0 * charge / (linear + math.sqrt(rest)) if rest > 0.0 else math.inf


def _peak_of_one(time: float | None, charge: float | None, slope: float) -> float:
    """I_RM [A] from one figure and the default softness s: Q = (1/2 + s) I^2/a, t = (1 + s ln 4) I/a."""
    if charge is not None:
        return math.sqrt(charge * slope / (0.5 + _DEFAULT_SOFTNESS))
    if time is not None:
        return time * slope / (1.0 + _DEFAULT_SOFTNESS * _TAIL)
    raise InputError([InputProblem("reverse_recovery", None, "give time, charge or peak_current.")])


def _positive_decay(decay: float, entry: ReverseRecovery) -> float:
    if decay > 0.0:
        return decay
    given = ", ".join(
        f"{name} {format_quantity(value, unit)}"
        for name, value, unit in (
            ("time", entry.time, "s"),
            ("charge", entry.charge, "C"),
            ("peak_current", entry.peak_current, "A"),
        )
        if value is not None
    )
    reason = "no recovery on a straight ramp has these figures together."
    hint = "The charge is at most half of slope times time squared; check current_slope."
    raise InputError([InputProblem("reverse_recovery", given, reason, hint=hint)])
