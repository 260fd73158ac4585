"""What deserves a word before a half bridge is simulated."""

from __future__ import annotations

from collections.abc import Iterator

from .checks import driver_warnings, floating_gate_warnings, gate_warnings, headroom_warnings
from .errors import InputWarning
from .half_bridge import HalfBridgeCell
from .logic_drivers import GateDriverIC
from .model import require_model
from .quantities import format_quantity

__all__ = ["bridge_warnings", "high_supply_warnings", "require_bridge", "timing_warnings"]


def require_bridge(cell: object) -> None:
    """Refuse what is no half bridge.

    Raises:
        InputError: it is something else.
    """
    hint = "For a low-side cell there are operating_point and double_pulse."
    require_model("cell", cell, HalfBridgeCell, hint)


def bridge_warnings(cell: HalfBridgeCell) -> list[InputWarning]:
    """Combinations of valid values that will not do what they look like."""
    return [*_switch_warnings(cell, "high"), *_switch_warnings(cell, "low")]


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


def _switch_warnings(cell: HalfBridgeCell, side: str) -> Iterator[InputWarning]:
    part = getattr(cell, side)
    yield from driver_warnings(part.driver, f"{side}.driver")
    yield from gate_warnings(part.driver, part.mosfet, f"{side}.driver")
    yield from floating_gate_warnings(
        part.driver, part.mosfet, cell.bus.voltage, part.pull_down_resistance, f"{side}."
    )
    yield from headroom_warnings(cell.bus.voltage, part.mosfet, part.diode, f"{side}.diode")
