"""The energy that the breakdown of a MOSFET takes, and what it means for the limit on the drain voltage."""

from __future__ import annotations

import math
from dataclasses import replace

from ..circuit.cell import Supply
from ..figures import format_figure
from ..studies.bridge_point import HalfBridgePoint
from ..studies.results import OperatingPoint
from .limit_check import LimitCheck, at_most

__all__ = ["at_breakdown", "avalanche_check", "told", "wiring_energy"]

# Share of the turn-off energy below which the breakdown does not count.
_LEAKAGE = 0.01
_NO_ENERGY = 1e-9  # [J]
# Share of the energy from the supplies in a period that is rounding and not heat.
_NOISE = 1e-9


def avalanche_check(
    name: str,
    power: float,
    point: OperatingPoint | HalfBridgePoint,
    allowed: float | None,
    definition: str,
    marginal: float,
) -> LimitCheck:
    """The heat in a breakdown in each period.

    Args:
        name: of the check.
        power: mean heat in the breakdown [W].
        point: the steady state.
        allowed: in each period [J]; left out: none, but for what leaks at the rounded knee of the law.
        definition: of the figure.
        marginal: see :attr:`Limits.margin`.
    """
    energy = power / point.frequency
    energy = 0.0 if energy < _NOISE * abs(point.input_power) / point.frequency else energy
    if allowed is not None:
        return at_most(name, energy, allowed, "J", definition, marginal)
    # The rounded knee of the law leaks a little below the breakdown voltage.
    turn_off = abs(point.turn_off.total_energy)
    negligible = max(_LEAKAGE * turn_off, _NO_ENERGY) if math.isfinite(turn_off) else _NO_ENERGY
    if energy <= negligible:
        return LimitCheck(name, 0.0, 0.0, "J", 1.0, "held", definition)
    return LimitCheck(name, energy, 0.0, "J", -energy / _NO_ENERGY, "exceeded", definition)


def told(check: LimitCheck, because: str, power: float) -> LimitCheck:
    """An energy that is not allowed at all, with what makes it, in words, and its mean power [W]."""
    if check.limit or not check.figure:
        return check
    each, mean = format_figure(check.figure, "J", 3), format_figure(power, "W", 3)
    reason = f"{because}. That heats it with {each} each time, {mean} on average, and the design allows no"
    return replace(check, reason=f"{reason} avalanche energy.")


def at_breakdown(check: LimitCheck, avalanche: LimitCheck, who: str) -> LimitCheck:
    """A drain voltage that only the breakdown limits is judged by what the breakdown may take."""
    reason = (
        f"the breakdown of {who} itself holds the drain at {format_figure(check.figure, 'V', 3)}; "
        "the avalanche energy decides."
    )
    definition = (
        f"{check.definition}; the breakdown sets in gradually, below its voltage already, so the verdict is "
        "that of the avalanche energy"
    )
    margin = min(check.margin, avalanche.margin)
    return replace(check, margin=margin, verdict=avalanche.verdict, reason=reason, definition=definition)


def wiring_energy(bus: Supply, inductance: float, current: float) -> str:
    """What loop and source inductance [H] and that of the bus hold at a current [A], in words."""
    inductance += bus.bulk_inductance if bus.bulk_capacitance else bus.inductance
    energy = 0.5 * inductance * current**2
    wiring, amperes = format_figure(inductance, "H", 3), format_figure(current, "A", 3)
    return f"the {wiring} of the wiring hold {format_figure(energy, 'J', 3)} at {amperes}"
