"""A MOSFET model from the entries of a data sheet.

In stages, each by bounded least squares over the logarithms of parameters and of figures:

1. channel and drift resistance: threshold, on-resistances, transconductance, plateau voltage;
2. capacitances at the printed voltages, and output charge or energy; of a part for high voltage that
   depletion layers alone do not meet, again with the step of a superjunction;
3. capacitances again, together with the gate charges;
4. body diode: saturation current from its forward point; recovery in closed form;
5. temperature coefficients, from what the sheet prints for other junction temperatures;
6. thermal ladder, from the points of the thermal impedance, apart from all others.

Every parameter is tied to its start by a residual of `_TIE` per factor e. That decides what the sheet leaves
open and moves what it determines by next to nothing. What it leaves open is read off the singular values of
the Jacobian without the ties: a direction in which parameters may change by a factor e while the printed
figures change by less than `_SEEN` in all.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..circuit.mosfet import Mosfet
from ..circuit.thermal import FosterLadder
from ..datasheet.entries import SheetEntry, model_values, sheet_entries
from .checks import contradictions
from .fit_parameters import (
    CEILING_RATIO,
    FreeParameter,
    build_mosfet,
    capacitance_parameters,
    channel_parameters,
    fixed_parameters,
    initial_diode,
    step_parameters,
    temperature_parameters,
    with_proportion,
)
from .fit_report import FitParameter, FitRow, MosfetFit
from .fit_thermal import fit_thermal
from .recovery import recovery_parameters
from .sheet import MosfetSheet
from .static_figures import reverse_channel_current

__all__ = ["fit_mosfet"]

Array = NDArray[np.float64]

_TIE = 0.003
_SEEN = 0.01
_SHARE = 0.3  # a parameter that makes up this much of the directions not seen is called not identified
_ABSENT = 3.0  # residual of a figure that the model does not have
_EDGE = 1e-3  # this share of the range next to a bound counts as at the bound
_STOP = 1e-6  # relative change of a step, and of the sum of squares
_MOST_EVALUATIONS = 60
_CLOSE = 1e-4  # sum of squared deviations below which no second start is tried

_CHANNEL = ("threshold", "on_resistance", "transconductance")
# Superjunction parts are made for this breakdown voltage and above [V] (common practice, no source).
_LEAST_SUPERJUNCTION = 300.0
# Deviation that calls for a step, and where its centre is started [V].
_CALLS_FOR_STEP = 0.02
_STEP_CENTRES = (25.0, 12.0, 40.0)
# The step must leave no more than this share of the sum of squared deviations.
_STEP_LEAVES = 0.25

_HOT = ("threshold.slope", "on_resistance_ratio", "hot_body_diode")
_CAPACITANCES = ("input_capacitance", "output_capacitance", "reverse_capacitance", "output_charge")


@dataclass(frozen=True)
class _Fitted:
    """Parameters of one stage, their values in SI units and how well the sheet determines each."""

    parameters: list[FreeParameter]
    values: dict[str, float]
    unidentified: frozenset[str]


def fit_mosfet(sheet: MosfetSheet) -> MosfetFit:
    """Fit a model to a sheet.

    Returns:
        The model with a report that sets each printed figure beside the model's.

    Raises:
        InputError: figures that contradict each other so that no model has them.
    """
    entries = list(sheet_entries(sheet))
    hot = [e for e in entries if e.path.startswith(_HOT)]
    cold = [e for e in entries if e not in hot]
    diode = initial_diode(sheet)
    channel_entries = [e for e in cold if e.path.startswith(_CHANNEL) or e.path.endswith("plateau_voltage")]
    charges = [e for e in cold if e.path.startswith("gate_charge") and e not in channel_entries]
    start = {p.path: p.start for p in capacitance_parameters(sheet)}
    channel = _fit(
        channel_parameters(sheet), channel_entries, sheet, lambda v: build_mosfet(start | v, sheet, diode)
    )
    capacitances = [e for e in cold if e.path.startswith(_CAPACITANCES)]
    final = first = _capacitances(capacitances, sheet, channel, diode)
    if charges:
        final = _reconciled(first, capacitances + charges, sheet, channel, diode)
    diode = _body_diode(build_mosfet(channel.values | final.values, sheet, diode), sheet, diode)
    cold_mosfet = build_mosfet(channel.values | final.values, sheet, diode)
    warm = _fit(
        temperature_parameters(sheet), hot, sheet, lambda v: cold_mosfet.replace(with_proportion(v, sheet))
    )
    mosfet = cold_mosfet.replace(with_proportion(warm.values, sheet))
    ladder, thermal_rows, thermal_parameters = fit_thermal(sheet)
    mosfet = mosfet.replace(_ratings(sheet, mosfet, ladder))
    return MosfetFit(
        sheet,
        mosfet,
        _rows(mosfet, sheet, entries) + thermal_rows,
        _parameters(sheet, mosfet, (channel, final, warm)) + thermal_parameters,
        ladder,
        tuple(contradictions(sheet)),
    )


def _ratings(sheet: MosfetSheet, mosfet: Mosfet, ladder: FosterLadder | None) -> dict[str, object]:
    """What a design is judged by: the thermal ladder, and the lowest threshold.

    That is below the model's by as much as the sheet's minimum is below its typical one.
    """
    found: dict[str, object] = {"thermal_impedance": ladder}
    threshold = sheet.threshold
    if threshold.minimum is not None and threshold.typical is not None:
        lowest = mosfet.channel.threshold_voltage - (threshold.typical - threshold.minimum)
        found["minimum_threshold_voltage"] = lowest if lowest > 0.0 else None
    return found


def _capacitances(
    entries: list[SheetEntry], sheet: MosfetSheet, channel: _Fitted, diode: dict[str, float]
) -> _Fitted:
    """Stage 2: depletion layers, and where they do not do, a step beside them."""

    def build(values: dict[str, float]) -> Mosfet:
        return build_mosfet(channel.values | values, sheet, diode)

    def deviations(fitted: _Fitted) -> Array:
        return _deviations(entries, model_values(build(fitted.values), sheet))

    plain = _fit(capacitance_parameters(sheet), entries, sheet, build)
    left = deviations(plain)
    if sheet.breakdown_voltage < _LEAST_SUPERJUNCTION or np.abs(left).max() < _CALLS_FOR_STEP:
        return plain
    tries = [(float(np.sum(left**2)), plain)]
    for centre in _STEP_CENTRES:
        stepped = _fit(
            [*capacitance_parameters(sheet), *step_parameters(sheet, centre)], entries, sheet, build
        )
        tries.append((float(np.sum(deviations(stepped) ** 2)), stepped))
        if tries[-1][0] < _CLOSE:
            break
    best = min(tries, key=lambda scored: scored[0])
    return best[1] if best[0] < _STEP_LEAVES * tries[0][0] else plain


def _reconciled(
    first: _Fitted, entries: list[SheetEntry], sheet: MosfetSheet, channel: _Fitted, diode: dict[str, float]
) -> _Fitted:
    """Stage 3, from the capacitances of stage 2, and if needed from more charge below zero bias."""

    def build(values: dict[str, float]) -> Mosfet:
        return build_mosfet(channel.values | values, sheet, diode)

    tries = []
    for ratio in (1.0, 4.0):
        moved = first.values | {CEILING_RATIO: ratio * first.values[CEILING_RATIO]}
        fitted = _fit([p.starting_at(moved[p.path]) for p in first.parameters], entries, sheet, build)
        found = model_values(build(fitted.values), sheet)
        tries.append((float(np.sum(_deviations(entries, found) ** 2)), fitted))
        if tries[-1][0] < _CLOSE:
            break
    return min(tries, key=lambda scored: scored[0])[1]


def _deviations(entries: Iterable[SheetEntry], found: dict[str, float]) -> Array:
    """ln(model/printed) of each entry."""
    ratios = [found[entry.path] / entry.value for entry in entries]
    return np.array([math.log(ratio) if ratio > 0.0 else _ABSENT for ratio in ratios])


def _fit(
    parameters: list[FreeParameter],
    entries: list[SheetEntry],
    sheet: MosfetSheet,
    build: Callable[[dict[str, float]], Mosfet],
) -> _Fitted:
    """One stage; without parameters it finds nothing."""
    if not parameters:
        return _Fitted([], {}, frozenset())
    from scipy.optimize import least_squares  # type: ignore[import-untyped]

    sections = tuple(dict.fromkeys(entry.path.partition(".")[0] for entry in entries))
    start = np.array([p.to_fit(p.start) for p in parameters])
    bounds = np.array([(p.to_fit(p.low), p.to_fit(p.high)) for p in parameters]).T
    margin = 1e-6 * (bounds[1] - bounds[0])

    def values(point: Array) -> dict[str, float]:
        return {p.path: p.from_fit(number) for p, number in zip(parameters, point, strict=True)}

    def residuals(point: Array) -> Array:
        data = _deviations(entries, model_values(build(values(point)), sheet, sections))
        return np.concatenate((data, _TIE * (point - start)))

    result = least_squares(
        residuals,
        np.clip(start, bounds[0] + margin, bounds[1] - margin),
        bounds=bounds,
        xtol=_STOP,
        ftol=_STOP,
        max_nfev=_MOST_EVALUATIONS,
    )
    return _Fitted(parameters, values(result.x), _unidentified(parameters, result.jac[: len(entries)]))


def _unidentified(parameters: list[FreeParameter], jacobian: Array) -> frozenset[str]:
    """Parameters that make up the directions in which no printed figure moves."""
    _, singular, directions = np.linalg.svd(jacobian, full_matrices=True)
    strength = np.zeros(len(parameters))
    strength[: singular.size] = singular
    share = np.sum(directions[strength < _SEEN] ** 2, axis=0)
    return frozenset(p.path for p, part in zip(parameters, share, strict=True) if part > _SHARE)


def _body_diode(mosfet: Mosfet, sheet: MosfetSheet, diode: dict[str, float]) -> dict[str, float]:
    """Fields of the body diode: the printed forward point less the channel's current, and recovery."""
    fields = dict(diode)
    if sheet.body_diode:
        current = sheet.body_diode.current
        channel = reverse_channel_current(mosfet, sheet.body_diode.voltage)
        # A channel that carries it all leaves nothing to read the junction from.
        fields |= {"forward_current": max(current - channel, 1e-3 * current)}
    if sheet.reverse_recovery:
        transit, lifetime = recovery_parameters(sheet.reverse_recovery)
        fields |= {"transit_time": transit, "lifetime": lifetime}
    return fields


def _rows(mosfet: Mosfet, sheet: MosfetSheet, entries: list[SheetEntry]) -> tuple[FitRow, ...]:
    found = model_values(mosfet, sheet)
    recovery = sheet.reverse_recovery
    checked = recovery is not None and recovery.charge is not None
    idle = {"reverse_recovery.peak_current"} if checked and recovery and recovery.time is not None else set()
    return tuple(
        FitRow(e.path, e.title, e.condition, e.unit, e.value, found[e.path], e.path not in idle)
        for e in entries
    )


def _parameters(sheet: MosfetSheet, mosfet: Mosfet, stages: Iterable[_Fitted]) -> tuple[FitParameter, ...]:
    found = []
    for stage in stages:
        for p in stage.parameters:
            value = stage.values[p.path]
            low, high, at = p.to_fit(p.low), p.to_fit(p.high), p.to_fit(value)
            edge = _EDGE * (high - low)
            state = "fitted"
            if p.path in stage.unidentified:
                state = "not identified"
            elif at - low < edge or high - at < edge:
                state = "at its bound"
            found.append(_parameter(mosfet, p, value, state))
    found += [_parameter(mosfet, p, mosfet.value_at(p.path), "default") for p in fixed_parameters(sheet)]
    return tuple(found)


def _parameter(mosfet: Mosfet, free: FreeParameter, value: float, state: str) -> FitParameter:
    unit = ""
    if free.path != CEILING_RATIO:
        above, _, last = free.path.rpartition(".")
        kind = type(mosfet.value_at(above) if above else mosfet).quantity_of(last)
        unit = kind.unit if kind else ""
    return FitParameter(free.path, unit, value, free.low, free.high, state, free.reason)
