"""The energy that the breakdown of a MOSFET takes, and what it means for the limit on the drain voltage."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..figures import format_figure
from ..studies.bridge_point import HalfBridgePoint
from ..studies.results import OperatingPoint
from .limit_check import LimitCheck, margin_of, verdict_of

__all__ = [
    "at_breakdown",
    "avalanche_check",
    "avalanche_margin",
    "counted_avalanche",
    "told",
    "wiring_energy",
]

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
    throughput = abs(point.input_power) / point.frequency
    turn_off_energy = point.turn_off.total_energy
    energy = float(counted_avalanche(power / point.frequency, throughput, turn_off_energy, allowed))
    margin = float(avalanche_margin(energy, allowed))
    verdict, origin = verdict_of(margin, marginal), "default" if allowed is None else "stated"
    return LimitCheck(name, energy, allowed or 0.0, "J", margin, verdict, definition, origin=origin)


def counted_avalanche(
    energy: ArrayLike, throughput: ArrayLike, turn_off_energy: ArrayLike, allowed: float | None
) -> NDArray[np.float64]:
    """Energy of the breakdown at each turn-off [J] as far as it counts; all in J, of shapes that broadcast.

    Rounding does not: a small share of what the supplies give in a period, `throughput`. Where no energy is
    allowed, nor does what the rounded knee of the law leaks a little below the breakdown voltage.
    """
    found = np.where(np.less(energy, _NOISE * np.asarray(throughput)), 0.0, energy)
    if allowed is not None:
        return found
    leakage = np.nan_to_num(_LEAKAGE * np.abs(turn_off_energy), posinf=0.0)
    return np.where(found <= np.maximum(leakage, _NO_ENERGY), 0.0, found)


def avalanche_margin(counted: ArrayLike, allowed: float | None) -> NDArray[np.float64]:
    """The margin of the energy that counts [J]; without an allowed one [J] it is far below zero or 1."""
    if allowed is not None:
        return margin_of("maximum_avalanche_energy", counted, allowed)
    return np.where(np.equal(counted, 0.0), 1.0, -np.asarray(counted) / _NO_ENERGY)


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


def wiring_energy(inductance: float, current: float) -> str:
    """What the inductance of a power loop [H] holds at a current [A], in words."""
    energy = 0.5 * inductance * current**2
    wiring, amperes = format_figure(inductance, "H", 3), format_figure(current, "A", 3)
    return f"the {wiring} of the wiring hold {format_figure(energy, 'J', 3)} at {amperes}"
