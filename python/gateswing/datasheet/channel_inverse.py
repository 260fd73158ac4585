"""The channel law solved for a voltage instead of the current.

With the smooth overdrives s = ov(v_GS) and d = ov(v_GD) the law of :class:`gateswing.MosfetChannel` reads

    i (1 + theta/2 (s + d)) = K/2 (s^2 - d^2),

a quadratic equation in s and in d; ov itself inverts to v = V_th + 2 w ln(exp(ov/(2 w)) - 1). All functions
take arrays of any shape.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["drain_end_overdrive", "overdrive", "source_end_overdrive", "voltage_of_overdrive"]

Array = NDArray[np.float64]


def overdrive(law: Any, voltage: ArrayLike) -> Array:
    """Smooth overdrive [V] at a gate-to-end voltage [V]; `law` is the channel of the core."""
    width = 2.0 * law.subthreshold_voltage
    return np.asarray(width * np.logaddexp(0.0, (np.asarray(voltage) - law.threshold_voltage) / width))


def voltage_of_overdrive(law: Any, overdrive_voltage: ArrayLike) -> Array:
    """Gate-to-end voltage [V] with this smooth overdrive [V], > 0."""
    width = 2.0 * law.subthreshold_voltage
    scaled = np.asarray(overdrive_voltage) / width
    return np.asarray(law.threshold_voltage + width * (scaled + np.log(-np.expm1(-scaled))))


def source_end_overdrive(law: Any, current: ArrayLike, drain_end: ArrayLike) -> Array:
    """Overdrive of the source end [V] that carries a current [A] against one of the drain end [V]."""
    half = 0.5 * law.mobility_degradation * np.asarray(current) / law.transconductance_factor
    end = np.asarray(drain_end)
    rest = 2.0 * np.asarray(current) / law.transconductance_factor + (end + 2.0 * half) * end
    return np.asarray(half + np.sqrt(half * half + rest))


def drain_end_overdrive(law: Any, current: ArrayLike, source_end: ArrayLike) -> Array:
    """Overdrive of the drain end [V] that leaves a current [A]; not a number where it cannot flow."""
    half = 0.5 * law.mobility_degradation * np.asarray(current) / law.transconductance_factor
    end = np.asarray(source_end)
    rest = (end - 2.0 * half) * end - 2.0 * np.asarray(current) / law.transconductance_factor
    possible = np.where(rest > 0.0, rest, np.nan)
    # The usual form loses all digits where the drain end is nearly off.
    return np.asarray(possible / (half + np.sqrt(half * half + possible)))
