"""Preferred values of resistors and capacitors: the E series of IEC 60063.

E3 to E24 are the historical values of the standard's table; E48 and E96 are the powers of the root rounded to
three digits (IEC 60063:2015, from memory).
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from .errors import InputError, InputProblem
from .model import Quantity, argument, choice, positive

__all__ = ["Direction", "Series", "preferred_value", "preferred_values"]

Series = Literal["E3", "E6", "E12", "E24", "E48", "E96"]
Direction = Literal["nearest", "up", "down"]

_E24 = (10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91)
_VALUE = Quantity("", "In the unit of the part.", allowed=positive(1e30))
# A value that is already preferred must stay, though decimal fractions are not exact.
_ROUNDING = 1e-9


def preferred_values(series: Series, low: float | str, high: float | str) -> NDArray[np.float64]:
    """All values of a series from `low` to `high` > 0, both included, in their unit.

    Raises:
        InputError: there is no such series, or `low` and `high` are no range above zero.
    """
    low, high = argument("low", low, _VALUE), argument("high", high, _VALUE)
    if low > high:
        reason = "no range above zero."
        raise InputError([InputProblem("low, high", f"{low!r}, {high!r}", reason, "0 < low <= high")])
    decade = _decade(series)
    powers = range(int(np.floor(np.log10(low))) - 1, int(np.ceil(np.log10(high))) + 1)
    # Through text, since 4.7 * 10**-9 is not the number that "4.7e-9" is.
    values = np.array([float(f"{value}e{power}") for power in powers for value in decade])
    return values[(values >= low * (1.0 - _ROUNDING)) & (values <= high * (1.0 + _ROUNDING))]


def preferred_value(value: float | str, series: Series, direction: Direction = "nearest") -> float:
    """The value of a series next to `value` > 0: nearest by ratio, or on one side.

    Raises:
        InputError: there is no such series or direction, or `value` is not above zero.
    """
    choice("direction", direction, Direction)
    value = argument("value", value, _VALUE)
    around = preferred_values(series, value / 10.0, value * 10.0)
    if direction == "up":
        return float(around[around >= value * (1.0 - _ROUNDING)][0])
    if direction == "down":
        return float(around[around <= value * (1.0 + _ROUNDING)][-1])
    return float(around[np.argmin(np.abs(np.log(around / value)))])


def _decade(series: Series) -> list[float]:
    count = int(choice("series", series, Series)[1:])
    if count <= len(_E24):
        return [value / 10.0 for value in _E24[:: len(_E24) // count]]
    return [round(10.0 ** (step / count), 2) for step in range(count)]
