"""The thermal ladder of a data sheet: from its curve, or from its resistance and a default shape."""

from __future__ import annotations

from ..circuit.thermal import FosterLadder
from ..circuit.thermal_fit import fit_foster
from ..quantities import format_quantity
from .fit_report import FitParameter, FitRow
from .sheet import MosfetSheet, ThermalSheet

__all__ = ["fit_thermal"]

# Elements are added up to this many, or until the curve is met this well.
_MOST_ELEMENTS = 4
_WELL = 0.02
# The resistance holds for a pulse this many times as long as the longest printed, and at least this long [s].
_SETTLED = 10.0
# Shares and time constants [s] of the elements where no curve is printed: those of one published ladder
# (IRLB8721PbF, figure 11, a chip in a TO-220 case). Time constants grow with the chip.
_DEFAULT_SHAPE = ((0.07, 72e-6), (0.34, 1.2e-3), (0.59, 7.2e-3))
_SPREAD = 3.0

Thermal = tuple[FosterLadder | None, tuple[FitRow, ...], tuple[FitParameter, ...]]


def fit_thermal(sheet: MosfetSheet) -> Thermal:
    """The ladder from junction to case, the printed figures beside the ladder's, and what is assumed."""
    entries = sheet.thermal
    if entries is None:
        return None, (), ()
    if not entries.impedance:
        return _by_default(entries)
    ladder = _through(_points(entries))
    return ladder, _rows(entries, ladder), ()


def _by_default(entries: ThermalSheet) -> Thermal:
    assert entries.junction_to_case is not None
    ladder = FosterLadder(
        resistances=[share * entries.junction_to_case for share, _ in _DEFAULT_SHAPE],
        time_constants=[constant for _, constant in _DEFAULT_SHAPE],
    )
    reason = "no curve printed; shape of one published ladder"
    assumed = tuple(
        FitParameter(
            f"thermal.time_constants.{place}", "s", value, value / _SPREAD, value * _SPREAD, "default", reason
        )
        for place, value in enumerate(ladder.time_constants)
    )
    return ladder, _rows(entries, ladder), assumed


def _points(entries: ThermalSheet) -> list[tuple[float, float]]:
    """Times [s] and impedances [K/W], with the resistance as the end of the curve."""
    points = [(point.time, point.value) for point in entries.impedance]
    if entries.junction_to_case is not None:
        points.append((_SETTLED * max(points[-1][0], 1.0), entries.junction_to_case))
    return points


def _through(points: list[tuple[float, float]]) -> FosterLadder:
    """With as few elements as meet the points well."""
    times, impedances = zip(*points, strict=True)
    if len(points) == 1:
        return FosterLadder(resistances=[impedances[0]], time_constants=[times[0] / 5.0])
    found = fit_foster(times, impedances, 1)
    for order in range(2, min(_MOST_ELEMENTS, len(points) // 2) + 1):
        if found.largest_error < _WELL:
            break
        found = min(found, fit_foster(times, impedances, order), key=lambda fit: fit.largest_error)
    return found.ladder


def _rows(entries: ThermalSheet, ladder: FosterLadder) -> tuple[FitRow, ...]:
    rows = [
        FitRow(
            f"thermal.impedance.{place}.value",
            "thermal impedance",
            f"time {format_quantity(point.time, 's')}",
            "K/W",
            point.value,
            float(ladder.step_response(point.time)),
            used=True,
        )
        for place, point in enumerate(entries.impedance)
    ]
    if entries.junction_to_case is not None:
        total = ladder.total_resistance
        title = "thermal resistance, junction to case"
        rows.append(
            FitRow("thermal.junction_to_case", title, "", "K/W", entries.junction_to_case, total, used=True)
        )
    return tuple(rows)
