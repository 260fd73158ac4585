"""Hazards of building a circuit that was only simulated.

The texts defer to local codes and licensed practice. Bench practice as in Levett, Zheng and Frank,
Bodo's Power Systems, April 2020, pages 30 to 33.
"""

from __future__ import annotations

from collections.abc import Iterator

from .circuit.cell import LowSideCell
from .circuit.half_bridge import HalfBridgeCell
from .circuit.loads import LedString, Motor, Solenoid
from .errors import SafetyCaution
from .quantities import format_quantity

__all__ = ["ESTIMATE", "safety_cautions", "voltage_cautions"]

ESTIMATE = "Figures are estimates from a model; they are no evidence of conformity with any standard."

# Direct voltage up to which a circuit counts as extra-low voltage: the wording of IEC 60335-1 in the IEC
# glossary. Limits depend on the product standard.
_EXTRA_LOW_VOLTAGE = 60.0
# Energy in a bulk capacitor from which a tool or ring across it melts visibly (common practice, no source).
_STORED_ENERGY = 1.0
# Loss in one part from which a small package is too hot to touch (common practice, no source).
_HOT_PART = 1.0


def safety_cautions(
    cell: LowSideCell | HalfBridgeCell, hottest: tuple[str, float] | None = None
) -> list[SafetyCaution]:
    """Hazards of building this circuit; `hottest` is the name of a part and its loss [W]."""
    voltage = voltage_cautions("bus.voltage", cell.bus.voltage)
    return [
        *voltage,
        *_load_cautions(cell),
        *_kind_cautions(cell),
        *_energy_cautions(cell),
        *_heat_cautions(hottest),
    ]


def voltage_cautions(path: str, voltage: float) -> Iterator[SafetyCaution]:
    """The hazard of a direct voltage [V] of the field at `path`."""
    if voltage > _EXTRA_LOW_VOLTAGE:
        yield SafetyCaution(
            path,
            f"{format_quantity(voltage, 'V')} is above 60 V DC: touching a live part can kill. "
            "Use an enclosure, never work alone, follow the local electrical code and the product's "
            "standard, and leave to a licensed person what they reserve for one.",
        )


def _load_cautions(cell: LowSideCell | HalfBridgeCell) -> Iterator[SafetyCaution]:
    if cell.has_inductive_load if isinstance(cell, LowSideCell) else cell.load and cell.load.inductance:
        yield SafetyCaution(
            "load",
            "breaking the path of an inductive load makes a voltage far above the bus. Switch the supply "
            "off and let the current die before disconnecting anything.",
        )


def _kind_cautions(cell: LowSideCell | HalfBridgeCell) -> Iterator[SafetyCaution]:
    """What a load does to its surroundings when the switch fails, which most often leaves it conducting."""
    if isinstance(cell.load, Motor | Solenoid):
        yield SafetyCaution(
            "load",
            "a failed switch starts what it drives, without warning and at full force. Keep hands, hair and "
            "clothes away from moving parts, and provide a way to cut the supply.",
        )
    if isinstance(cell, HalfBridgeCell) and cell.output is not None:
        yield SafetyCaution(
            "output",
            "a failed switch, which most often is left conducting, puts the bus on the output or shorts it. "
            "Protect what hangs on bus and output against that.",
        )
    if isinstance(cell.load, LedString):
        yield SafetyCaution(
            "load",
            "bright LEDs can harm the eye, invisible ones all the more. Do not look into them; IEC 62471 has "
            "the limits.",
        )


def _energy_cautions(cell: LowSideCell | HalfBridgeCell) -> Iterator[SafetyCaution]:
    stored = 0.5 * cell.bus.bulk_capacitance * cell.bus.voltage**2
    if stored >= _STORED_ENERGY:
        yield SafetyCaution(
            "bus.bulk_capacitance",
            f"the bulk capacitor keeps {format_quantity(stored, 'J', 2)} after the supply is off. Fit a "
            "bleed resistor, wait, and measure before touching.",
        )


def _heat_cautions(hottest: tuple[str, float] | None) -> Iterator[SafetyCaution]:
    if hottest is not None and hottest[1] >= _HOT_PART:
        name, power = hottest
        yield SafetyCaution(
            "",
            f"the {name} turns {format_quantity(power, 'W', 2)} into heat. Surfaces above 50 degrees "
            "Celsius burn skin, and overheated parts can throw hot fragments.",
        )
