"""Which values a change may propose: the usual range of each quantity, and the values that can be had in it.

All of it is common practice, without a source. What nobody would wire, buy or set is not proposed: no loop of
less than 2 nH, no resistor between two preferred values.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from ..preferred import Series, preferred_value
from ..quantities import Interval

__all__ = ["MOST_SNUBBER_LOSS", "is_usual", "proposed"]


class _Proposal(NamedTuple):
    """Values of one quantity.

    Attributes:
        low, high: of its usual range; from a value beyond it none is proposed that lies further out.
        values: series of preferred values, the values themselves, or to how many digits they are rounded.
        first: proposed in place of zero.
    """

    low: float
    high: float
    values: Series | tuple[float, ...] | int
    first: float | None = None


# By the last names of the dotted path, as many as it takes.
_PROPOSALS = {
    "gate_resistance": _Proposal(1.0, 1e3, "E12", first=2.2),
    "turn_off_gate_resistance": _Proposal(1.0, 1e3, "E12", first=2.2),
    "loop_inductance": _Proposal(2e-9, 1e-6, 2),
    "gate_inductance": _Proposal(2e-9, 100e-9, 2),
    "case_to_ambient": _Proposal(1.0, 200.0, 2),
    "supply_voltage": _Proposal(5.0, 15.0, (5.0, 6.0, 8.0, 9.0, 10.0, 12.0, 15.0)),
    "frequency": _Proposal(100.0, 1e6, 2),
    "duty": _Proposal(0.05, 0.95, 2),
    "dead_time": _Proposal(10e-9, 2e-6, 2),
    "snubber.resistance": _Proposal(0.47, 1e3, "E24"),
    "snubber.capacitance": _Proposal(47e-12, 47e-9, "E6"),
    "bus.bulk_capacitance": _Proposal(1e-6, 10e-3, "E6"),
    "output.capacitance": _Proposal(1e-6, 10e-3, "E6"),
    "bootstrap.capacitance": _Proposal(10e-9, 10e-6, "E6"),
    "bootstrap.resistance": _Proposal(1.0, 100.0, "E12"),
    "driver_decoupling.capacitance": _Proposal(10e-9, 100e-6, "E6"),
    "driver_decoupling.inductance": _Proposal(1e-9, 100e-9, 2),
    "load.inductance": _Proposal(100e-9, 10e-3, "E6"),
}
MOST_SNUBBER_LOSS = 2.0  # in its resistor [W]
# A change by less than this factor is none.
_LEAST_STEP = 1.1


def proposed(path: str, value: float, factor: float, bounds: Interval | None = None) -> float | None:
    """What to propose in place of a value: about `factor` times it, as far as that can be had.

    Args:
        path: dotted, of the quantity.
        value: that it has.
        factor: by which it should change.
        bounds: within which it must stay besides.

    Returns:
        ``None`` where the usual range has nothing further in that direction.
    """
    usual = _usual(path)
    if value == 0.0:
        return usual.first if factor > 1.0 else None
    low, high = usual.low, usual.high
    if bounds is not None:
        low, high = max(low, bounds.low), min(high, bounds.high)
    if not low <= high:
        return None
    found = _rounded(min(max(factor * value, low), high), usual.values)
    within = low * (1.0 - 1e-9) <= found <= high * (1.0 + 1e-9)
    step = found / value if factor > 1.0 else value / found
    return found if within and step >= _LEAST_STEP else None


def is_usual(path: str, value: float) -> bool:
    """Whether a value lies within the usual range of the quantity at a dotted path."""
    usual = _usual(path)
    return usual.low <= value <= usual.high


def _usual(path: str) -> _Proposal:
    parts = path.split(".")
    names = (".".join(parts[begin:]) for begin in range(len(parts)))
    return next(_PROPOSALS[name] for name in names if name in _PROPOSALS)


def _rounded(value: float, values: Series | tuple[float, ...] | int) -> float:
    if isinstance(values, str):
        return preferred_value(value, values)
    if isinstance(values, int):
        return float(f"{value:.{values - 1}e}")
    return min(values, key=lambda one: abs(math.log(one / value)))
