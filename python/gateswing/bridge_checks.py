"""What deserves a word before a half bridge is simulated."""

from __future__ import annotations

from collections.abc import Iterator

from .checks import driver_warnings, floating_gate_warnings, gate_warnings, headroom_warnings
from .errors import InputWarning
from .half_bridge import HalfBridgeCell

__all__ = ["bridge_warnings"]


def bridge_warnings(cell: HalfBridgeCell) -> list[InputWarning]:
    """Combinations of valid values that will not do what they look like."""
    return [*_switch_warnings(cell, "high"), *_switch_warnings(cell, "low")]


def _switch_warnings(cell: HalfBridgeCell, side: str) -> Iterator[InputWarning]:
    part = getattr(cell, side)
    yield from driver_warnings(part.driver, f"{side}.driver")
    yield from gate_warnings(part.driver, part.mosfet, f"{side}.driver")
    yield from floating_gate_warnings(
        part.driver, part.mosfet, cell.bus.voltage, part.pull_down_resistance, f"{side}."
    )
    yield from headroom_warnings(cell.bus.voltage, part.mosfet, part.diode, f"{side}.diode")
