"""What deserves a word before a half bridge is simulated."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Literal

from .. import _core
from ..circuit.half_bridge import HalfBridgeCell
from ..circuit.logic_drivers import GateDriverIC
from ..errors import InputError, InputProblem, InputWarning
from ..figures import format_figure
from ..model import require_model
from ..quantities import format_quantity
from .low_side import (
    driver_warnings,
    floating_gate_warnings,
    gate_warnings,
    headroom_warnings,
    reverse_voltage_warnings,
)

if TYPE_CHECKING:
    from ..studies.bridge_point import HalfBridgePoint

__all__ = [
    "breakdown_warnings",
    "bridge_warnings",
    "dead_time_warnings",
    "high_supply_warnings",
    "require_bridge",
    "side_of",
    "timing_warnings",
]

# Share of all losses below which what leaks at the rounded knee of the breakdown law does not count.
_KNEE_LEAKAGE = 1e-3
_SIDES: tuple[Literal["high", "low"], ...] = ("high", "low")


def require_bridge(cell: object) -> None:
    """Refuse what is no half bridge.

    Raises:
        InputError: it is something else.
    """
    hint = "For a low-side cell there are operating_point and double_pulse."
    require_model("cell", cell, HalfBridgeCell, hint)


def side_of(active: str) -> _core.Side:
    """The switch of that name.

    Raises:
        InputError: there is none.
    """
    if active not in _SIDES:
        raise InputError([InputProblem("active", repr(active), "no such switch.", "high, low")])
    return _core.Side[active]


def bridge_warnings(cell: HalfBridgeCell) -> list[InputWarning]:
    """Combinations of valid values that will not do what they look like."""
    return [*_headroom(cell), *_switch_warnings(cell, "high"), *_switch_warnings(cell, "low")]


def _headroom(cell: HalfBridgeCell) -> Iterator[InputWarning]:
    """Of the bus below what each switch stands, once where both stand the same."""
    bus, high, low = cell.bus.voltage, cell.high.mosfet, cell.low.mosfet
    for_both = list(headroom_warnings(bus, high, " of both sides"))
    if for_both == list(headroom_warnings(bus, low, " of both sides")):
        yield from for_both
        return
    for side, mosfet in (("high", high), ("low", low)):
        yield from headroom_warnings(bus, mosfet, f" of the {side} side")


def timing_warnings(frequency: float, duty: float, dead_time: float, active: str) -> list[InputWarning]:
    """A dead time that leaves the other switch no on-time."""
    if not 0.0 < duty < 1.0 or (1.0 - duty) / frequency > 2.0 * dead_time:
        return []
    other = "low" if active == "high" else "high"
    message = f"both dead times leave the {other} side no on-time: its diodes carry the current instead."
    return [InputWarning("dead_time", message)]


def high_supply_warnings(cell: HalfBridgeCell, lowest: float) -> list[InputWarning]:
    """A bootstrap that falls to `lowest` [V], below the lockout of its driver, which is not simulated."""
    driver = cell.high.driver
    if cell.bootstrap is None or not isinstance(driver, GateDriverIC) or driver.lockout_threshold is None:
        return []
    if not lowest < driver.lockout_threshold:
        return []
    supply, least = format_quantity(lowest, "V"), format_quantity(driver.lockout_threshold, "V")
    message = f"falls to {supply}, below the lockout of {least}: the driver would keep the high side off."
    return [InputWarning("bootstrap", message)]


def breakdown_warnings(point: HalfBridgePoint) -> list[InputWarning]:
    """A drain above its rating, or a breakdown that takes heat, in every period of a steady state."""
    found: list[InputWarning] = []
    if not point.succeeded:
        return found
    for side in _SIDES:
        mosfet = getattr(point.cell, side).mosfet
        rating = mosfet.drain_voltage_rating
        heats = point.losses_of(side).get("avalanche", 0.0) > _KNEE_LEAKAGE * point.total_loss
        if not heats and not getattr(point, side).peak_drain_voltage > rating:
            continue
        does = "it breaks down" if heats else "its drain goes above that"
        message = (
            f"rated for {format_quantity(rating, 'V')}, {does} in every period: see "
            "peak_drain_voltage and losses_of. A slower gate, a shorter loop or a snubber lowers the peak."
        )
        found.append(InputWarning(f"{side}.mosfet", message))
    return found


def dead_time_warnings(gaps: Sequence[float], least: float, needed: float) -> list[InputWarning]:
    """A `least` loss at an end of the dead times tried, or with less than the gates need to be apart [s]."""
    found = []
    best = format_figure(least, "s", 3)
    if len(gaps) > 1 and least in (gaps[0], gaps[-1]):
        which = "shorter" if least == gaps[0] else "longer"
        message = f"the least loss lies at the end of those tried, {best}: a {which} one may lose less."
        found.append(InputWarning("dead_time", message))
    if least < needed:
        message = (
            f"the least loss, at {best}, lies below the {format_figure(needed, 's', 3)} that keep the gates "
            "apart: both are on for a moment, with nothing left for the spread of parts and temperatures."
        )
        found.append(InputWarning("dead_time", message))
    return found


def _switch_warnings(cell: HalfBridgeCell, side: str) -> Iterator[InputWarning]:
    part = getattr(cell, side)
    yield from driver_warnings(part.driver, f"{side}.driver")
    yield from gate_warnings(part.driver, part.mosfet, f"{side}.driver")
    yield from floating_gate_warnings(
        part.driver, part.mosfet, cell.bus.voltage, part.pull_down_resistance, f"{side}."
    )
    yield from reverse_voltage_warnings(cell.bus.voltage, part.diode, f"{side}.diode")
