"""Parameters that a fit may move: where they start, how far they may go, and why they start there."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from ..circuit.mosfet import Mosfet
from .sheet import PRINTED_PARAMETERS, CapacitancePoint, MosfetSheet

__all__ = [
    "CEILING_RATIO",
    "FreeParameter",
    "build_mosfet",
    "capacitance_parameters",
    "channel_parameters",
    "drift_share",
    "fixed_parameters",
    "initial_diode",
    "step_parameters",
    "temperature_parameters",
    "with_proportion",
]

# Not a field of the model: ceiling over zero_bias, which keeps the ceiling above it wherever the fit goes.
CEILING_RATIO = "gate_drain_capacitance.ceiling_over_zero_bias"

_SUBTHRESHOLD = 0.05  # [V]
_EMISSION = 0.04  # [V]
_MOST_EMISSIONS = 40.0  # emission voltages in a forward voltage; the exponential ends at 50
_FORWARD_VOLTAGE = 0.9  # [V], of a silicon junction at its rated current
_STEP_WIDTH = 1.0  # [V], of the gate-source capacitance
# Points of C_rss from which the height of its own step is fitted: with fewer its depletion law takes all.
_LEAST_REVERSE_POINTS = 3
_COEFFICIENTS = "temperature"
_BARRIER = "body_diode.temperature.barrier_voltage"


@dataclass(frozen=True)
class FreeParameter:
    """A parameter of the model.

    Attributes:
        path: dotted name of the field of :class:`gateswing.Mosfet`.
        start: value in SI units, and what it stays near when the sheet says nothing about it.
        low, high: bounds.
        reason: why it starts there.
        scale: 0 for a positive parameter, fitted by its logarithm; else fitted as it is, in this unit.
    """

    path: str
    start: float
    low: float
    high: float
    reason: str
    scale: float = 0.0

    def to_fit(self, value: float) -> float:
        """The number that the fit moves."""
        return float(np.log(value)) if self.scale == 0.0 else value / self.scale

    def from_fit(self, number: float) -> float:
        """The value in SI units."""
        return float(np.exp(number)) if self.scale == 0.0 else number * self.scale

    def starting_at(self, value: float) -> FreeParameter:
        """The same from another start, drawn inside the bounds."""
        return replace(self, start=float(np.clip(value, self.low, self.high)))


def drift_share(breakdown_voltage: float) -> float:
    """Share of the on-resistance that lies outside the channel: it grows with the voltage to be blocked.

    A rule of thumb without a source: one third at 30 V, three fifths at 100 V, nine tenths at 600 V.
    """
    return breakdown_voltage / (breakdown_voltage + 60.0)


def channel_parameters(sheet: MosfetSheet) -> list[FreeParameter]:
    """Of the channel and the drift resistance."""
    best = min(sheet.on_resistance, key=lambda entry: entry.value)
    share = drift_share(sheet.breakdown_voltage)
    threshold = sheet.threshold.voltage
    overdrive = max(best.gate_voltage - threshold, 0.1 * best.gate_voltage)
    factor = 1.0 / ((1.0 - share) * best.value * overdrive)
    return [
        FreeParameter("channel.threshold_voltage", threshold, 0.3 * threshold, 1.7 * threshold, "as printed"),
        FreeParameter(
            "channel.transconductance_factor", factor, 0.02 * factor, 100.0 * factor, "from the on-resistance"
        ),
        FreeParameter("channel.mobility_degradation", 0.1, 1e-3, 3.0, "usual, no source"),
        FreeParameter("channel.subthreshold_voltage", _SUBTHRESHOLD, 0.026, 0.2, "twice k T/q"),
        FreeParameter(
            "drift_resistance",
            share * best.value,
            1e-3 * best.value,
            0.98 * best.value,
            "share of the on-resistance by voltage class, rule of thumb",
        ),
    ]


def capacitance_parameters(sheet: MosfetSheet) -> list[FreeParameter]:
    """Of the three capacitances."""
    reverse = sheet.reverse_capacitance
    output = [_less_reverse(point, reverse) for point in sheet.output_capacitance]
    gate = max(_less_reverse(sheet.input_capacitance[-1], reverse)[1], 1e-13)
    threshold = sheet.threshold.voltage
    return [
        *_junction("gate_drain_capacitance", [(point.drain_voltage, point.value) for point in reverse]),
        FreeParameter(CEILING_RATIO, 2.0, 1.02, 50.0, "the model's default"),
        *_junction("drain_source_capacitance", output),
        FreeParameter("gate_source_capacitance.low", gate, 0.05 * gate, 5.0 * gate, "C_iss less C_rss"),
        FreeParameter("gate_source_capacitance.high", gate, 0.05 * gate, 20.0 * gate, "equal to low"),
        FreeParameter(
            "gate_source_capacitance.centre",
            threshold,
            threshold - 8.0,
            threshold + 4.0,
            "threshold voltage, where the channel forms",
            scale=1.0,
        ),
    ]


def step_parameters(sheet: MosfetSheet, centre: float) -> list[FreeParameter]:
    """Of the steps that a superjunction adds to C_DS and, at the same voltage, to C_GD.

    Args:
        sheet: what is printed.
        centre: voltage at which the columns are taken to be depleted, to start from [V].
    """
    height = max(point.value for point in sheet.output_capacitance)
    printed = sheet.output_charge
    if printed is not None:
        related = printed.time_related or (printed.charge or 0.0) / printed.drain_voltage
        height = max(height, 0.5 * related * printed.drain_voltage / centre)
    height = min(height, 50e-9)
    found = [
        FreeParameter(
            "drain_source_step.low",
            height,
            1e-3 * height,
            min(30.0 * height, 99e-9),
            "from the output charge",
        ),
        FreeParameter("drain_source_step.centre", centre, 2.0, 50.0, "columns depleted, rule of thumb"),
        FreeParameter("drain_source_step.width", centre / 8.0, 0.3, 20.0, "an eighth of the centre"),
    ]
    if len(sheet.reverse_capacitance) >= _LEAST_REVERSE_POINTS:
        reverse = max(point.value for point in sheet.reverse_capacitance)
        found.append(
            FreeParameter(
                "gate_drain_step.low", reverse, 1e-4 * reverse, min(30.0 * reverse, 99e-9), "greatest printed"
            )
        )
    return found


def temperature_parameters(sheet: MosfetSheet) -> list[FreeParameter]:
    """Temperature coefficients that the sheet has figures for."""
    found = []
    if sheet.threshold.slope is not None:
        found.append(_THRESHOLD_SLOPE)
    if sheet.on_resistance_ratio:
        found += _EXPONENTS if _exponents_differ(sheet) else [_DRIFT_EXPONENT]
    if sheet.hot_body_diode is not None:
        found.append(FreeParameter(_BARRIER, 1.12, 0.5, 2.0, "band gap of silicon"))
    return found


_THRESHOLD_SLOPE = FreeParameter(
    f"{_COEFFICIENTS}.threshold_slope", -6e-3, -20e-3, -0.1e-3, "typical of silicon", scale=1e-3
)
_MOBILITY_EXPONENT = FreeParameter(
    f"{_COEFFICIENTS}.mobility_exponent", 1.5, 0.3, 4.0, "typical of silicon, from memory"
)
_DRIFT_EXPONENT = FreeParameter(
    f"{_COEFFICIENTS}.drift_exponent", 2.2, 0.3, 4.5, "typical of silicon, from memory"
)
_EXPONENTS = [_MOBILITY_EXPONENT, _DRIFT_EXPONENT]


def _exponents_differ(sheet: MosfetSheet) -> bool:
    """Whether the ratios are printed for two gate voltages, which tell channel from drift region."""
    return len({point.gate_voltage for point in sheet.on_resistance_ratio}) > 1


def with_proportion(values: Mapping[str, float], sheet: MosfetSheet) -> dict[str, float]:
    """Coefficients, the exponents in the proportion of their defaults where the sheet gives one."""
    found = dict(values)
    if _DRIFT_EXPONENT.path in found and not _exponents_differ(sheet):
        scale = found[_DRIFT_EXPONENT.path] / _DRIFT_EXPONENT.start
        found[_MOBILITY_EXPONENT.path] = scale * _MOBILITY_EXPONENT.start
    return found


def _default_coefficients(sheet: MosfetSheet) -> list[FreeParameter]:
    """Temperature coefficients that the sheet has no figures for: the model's defaults, with usual ranges."""
    found = [FreeParameter("body_diode.temperature.lifetime_exponent", 1.5, 1.0, 2.5, "25 degrees only")]
    if sheet.threshold.slope is None:
        found.append(replace(_THRESHOLD_SLOPE, low=-10e-3, high=-3e-3, reason="no slope printed"))
    if sheet.on_resistance_ratio and not _exponents_differ(sheet):
        reason = "in the proportion of the defaults to the drift exponent"
        found.append(replace(_MOBILITY_EXPONENT, reason=reason))
    if not sheet.on_resistance_ratio:
        found += [
            replace(one, low=low, high=high, reason="25 degrees only")
            for one, low, high in zip(_EXPONENTS, (1.0, 1.5), (2.5, 2.7), strict=True)
        ]
    if sheet.breakdown_slope is None:
        reason = "no slope printed; range of published parts"
        found.append(FreeParameter(f"{_COEFFICIENTS}.breakdown_coefficient", 1.1e-3, 0.8e-3, 1.3e-3, reason))
    if sheet.hot_body_diode is None:
        found.append(FreeParameter(_BARRIER, 1.12, 0.9, 1.3, "25 degrees only"))
    return found


def _less_reverse(point: CapacitancePoint, reverse: Iterable[CapacitancePoint]) -> tuple[float, float]:
    """Drain voltage and capacitance less C_rss at the nearest voltage printed."""
    nearest = min(reverse, key=lambda other: abs(other.drain_voltage - point.drain_voltage))
    return point.drain_voltage, max(point.value - nearest.value, 0.05 * point.value)


def _junction(name: str, points: list[tuple[float, float]]) -> list[FreeParameter]:
    """An abrupt junction through the point at the highest voltage."""
    potential, grading = 0.7, 0.5
    voltage, value = max(points)
    least = min(value for _, value in points)
    zero_bias = 0.9 * value * (1.0 + voltage / potential) ** grading
    return [
        FreeParameter(
            f"{name}.zero_bias", zero_bias, 1e-3 * zero_bias, min(100.0 * zero_bias, 99e-9), "abrupt junction"
        ),
        FreeParameter(f"{name}.potential", potential, 0.2, 30.0, "silicon junction"),
        FreeParameter(f"{name}.grading", grading, 0.1, 0.97, "abrupt junction"),
        FreeParameter(f"{name}.floor", 0.1 * least, 1e-4 * least, least, "a tenth of the least printed"),
    ]


def fixed_parameters(sheet: MosfetSheet) -> list[FreeParameter]:
    """What no entry of a sheet tells: value, usual range, reason. The fit does not move them."""
    fixed = [
        FreeParameter("gate_source_capacitance.width", _STEP_WIDTH, 0.3, 5.0, "not printed in sheets"),
        FreeParameter("body_diode.emission_voltage", _EMISSION, 0.026, 0.06, "one forward point only"),
        FreeParameter("breakdown_resistance", 0.05, 5e-3, 5.0, "the model's default"),
    ]
    if sheet.body_diode is None:
        fixed.append(
            FreeParameter("body_diode.forward_voltage", _FORWARD_VOLTAGE, 0.7, 1.2, "silicon junction")
        )
    if sheet.reverse_recovery is None:
        fixed.append(FreeParameter("body_diode.transit_time", 0.0, 0.0, 0.0, "not given: no recovery"))
    return fixed + _default_coefficients(sheet)


def build_mosfet(values: Mapping[str, float], sheet: MosfetSheet, diode: Mapping[str, float]) -> Mosfet:
    """The model with these parameters by path; `diode` are the fields of the body diode."""
    tables: dict[str, Any] = {"body_diode": dict(diode), "channel": {}, "gate_source_capacitance": {}}
    tables |= {"gate_drain_capacitance": {}, "drain_source_capacitance": {}}
    for path, value in values.items():
        head, _, name = path.partition(".")
        if name:
            tables.setdefault(head, {})[name] = value
        else:
            tables[head] = value
    gate_drain = tables["gate_drain_capacitance"]
    gate_drain["ceiling"] = gate_drain["zero_bias"] * gate_drain.pop("ceiling_over_zero_bias")
    tables |= {name: getattr(sheet, name) for name in (*PRINTED_PARAMETERS, "name", "source")}
    tables["gate_source_capacitance"]["width"] = _STEP_WIDTH
    if "gate_drain_step" in tables:
        # The same columns are depleted, seen from the gate: the same voltages.
        tables["gate_drain_step"] |= {name: tables["drain_source_step"][name] for name in ("centre", "width")}
    for name in ("gate_drain_step", "drain_source_step"):
        if name in tables:
            tables[name]["high"] = 0.0
    if sheet.breakdown_slope is not None:
        coefficient = sheet.breakdown_slope / sheet.breakdown_voltage
        tables[_COEFFICIENTS] = {"breakdown_coefficient": coefficient}
    return Mosfet(**tables)


def initial_diode(sheet: MosfetSheet) -> dict[str, float]:
    """Fields of the body diode before the fit: the printed forward point, or that of a silicon junction.

    A printed voltage far above a junction's, as of a guaranteed maximum or of silicon carbide, takes a wider
    slope.
    """
    emission = _EMISSION
    if sheet.body_diode:
        point = {"forward_voltage": sheet.body_diode.voltage, "forward_current": sheet.body_diode.current}
        emission = max(emission, sheet.body_diode.voltage / _MOST_EMISSIONS)
    else:
        current = max(entry.drain_current for entry in sheet.on_resistance)
        point = {"forward_voltage": _FORWARD_VOLTAGE, "forward_current": current}
    return point | {"emission_voltage": emission}
