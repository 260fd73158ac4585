"""What a data sheet does not say about the use of its part in a cell."""

from __future__ import annotations

from collections.abc import Iterator

from ..circuit.cell import LowSideCell
from ..datasheet.checks import contradictions
from ..datasheet.sheet import MosfetSheet
from ..errors import InputWarning
from ..quantities import format_quantity
from .drive import avalanche_energy, breaks_down, commutation_slope, load_current, on_voltage

__all__ = ["sheet_warnings"]

# Junction temperature above which the on-resistance at 25 degrees Celsius misleads [K].
_HOT = 348.15
# Slopes further apart than this factor recover different charges.
_SLOPE_RATIO = 3.0
# V_GS(th) times this is still no drive level.
_BARELY_ON = 1.5
# Printed at that share below the drive is printed for it.
_SAME_VOLTAGE = 0.05


def sheet_warnings(sheet: MosfetSheet, cell: LowSideCell | None = None) -> list[InputWarning]:
    """Contradictions and traps of a sheet.

    Args:
        sheet: the entries.
        cell: where the part is to be used; adds what the sheet does not say about that use.
    """
    found = contradictions(sheet)
    return found if cell is None else [*found, *_use(sheet, cell)]


def _volts(value: float) -> str:
    return format_quantity(value, "V", 3)


def _use(sheet: MosfetSheet, cell: LowSideCell) -> Iterator[InputWarning]:
    drive = on_voltage(cell)
    threshold = sheet.threshold.maximum or sheet.threshold.voltage
    tested = min(entry.gate_voltage for entry in sheet.on_resistance)
    if drive < _BARELY_ON * threshold:
        current = format_quantity(sheet.threshold.drain_current, "A", 3)
        yield InputWarning(
            "threshold",
            f"up to {_volts(threshold)} is where {current} begin to flow, not where the MOSFET is on; the "
            f"driver's {_volts(drive)} is no drive level for it.",
        )
    if drive < tested * (1.0 - _SAME_VOLTAGE):
        yield InputWarning(
            "on_resistance",
            f"printed at {_volts(tested)} and above, but the driver reaches {_volts(drive)}: no figure of "
            "the sheet promises that resistance there.",
        )
    if cell.junction_temperature >= _HOT and not sheet.on_resistance_ratio:
        temperature = format_quantity(cell.junction_temperature, "K")
        yield InputWarning(
            "on_resistance_ratio",
            f"left out, so the on-resistance at {temperature} rests on typical coefficients of silicon; give "
            "a point of the normalised curve.",
        )
    yield from _recovery_slope(sheet, cell)
    yield from _avalanche(sheet, cell)


def _recovery_slope(sheet: MosfetSheet, cell: LowSideCell) -> Iterator[InputWarning]:
    entry, slope = sheet.reverse_recovery, commutation_slope(cell)
    if entry is None or slope is None:
        return
    if not 1.0 / _SLOPE_RATIO < slope / entry.current_slope < _SLOPE_RATIO:
        given, here = (format_quantity(one, "A/s", 3) for one in (entry.current_slope, slope))
        yield InputWarning(
            "reverse_recovery.current_slope",
            f"recovery was measured at {given}, this cell commutates at about {here}: charge and peak "
            "current are another there, and the model extrapolates.",
        )


def _avalanche(sheet: MosfetSheet, cell: LowSideCell) -> Iterator[InputWarning]:
    rating, current = sheet.avalanche, load_current(cell)
    if rating is None or rating.energy is None or current is None or not breaks_down(cell):
        return
    energy = avalanche_energy(cell, current)
    given, here = (format_quantity(one, "J", 3) for one in (rating.energy, energy))
    yield InputWarning(
        "avalanche.energy",
        f"{given} is for one pulse that starts at 25 degrees Celsius; without a freewheel diode or clamp "
        f"every turn-off of this cell leaves {here} in the MOSFET, so judge its mean power and temperature.",
    )
