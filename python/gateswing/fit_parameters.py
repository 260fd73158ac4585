"""Parameters that a fit may move: where they start, how far they may go, and why they start there."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from .mosfet import Mosfet
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
]

# Not a field of the model: ceiling over zero_bias, which keeps the ceiling above it wherever the fit goes.
CEILING_RATIO = "gate_drain_capacitance.ceiling_over_zero_bias"

_SUBTHRESHOLD = 0.05  # [V]
_EMISSION = 0.04  # [V]
_FORWARD_VOLTAGE = 0.9  # [V], of a silicon junction at its rated current
_LEAST_JUNCTION_VOLTAGE = 0.4  # [V], of a silicon junction at its rated current
_STEP_WIDTH = 1.0  # [V]


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
    most_drift = 0.98 * best.value
    if sheet.body_diode:
        headroom = (sheet.body_diode.voltage - _LEAST_JUNCTION_VOLTAGE) / sheet.body_diode.current
        most_drift = min(most_drift, max(headroom, 0.01 * best.value))
    return [
        FreeParameter("channel.threshold_voltage", threshold, 0.3 * threshold, 1.7 * threshold, "as printed"),
        FreeParameter(
            "channel.transconductance_factor", factor, 0.02 * factor, 100.0 * factor, "from the on-resistance"
        ),
        FreeParameter("channel.mobility_degradation", 0.1, 1e-3, 3.0, "usual, no source"),
        FreeParameter("channel.subthreshold_voltage", _SUBTHRESHOLD, 0.026, 0.2, "twice k T/q"),
        FreeParameter(
            "drift_resistance",
            min(share * best.value, 0.9 * most_drift),
            1e-3 * best.value,
            most_drift,
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
    return fixed


def build_mosfet(values: Mapping[str, float], sheet: MosfetSheet, diode: Mapping[str, float]) -> Mosfet:
    """The model with these parameters by path; `diode` are the fields of the body diode."""
    tables: dict[str, Any] = {"body_diode": dict(diode), "channel": {}, "gate_source_capacitance": {}}
    tables |= {"gate_drain_capacitance": {}, "drain_source_capacitance": {}}
    for path, value in values.items():
        head, _, name = path.partition(".")
        if name:
            tables[head][name] = value
        else:
            tables[head] = value
    gate_drain = tables["gate_drain_capacitance"]
    gate_drain["ceiling"] = gate_drain["zero_bias"] * gate_drain.pop("ceiling_over_zero_bias")
    tables |= {name: getattr(sheet, name) for name in (*PRINTED_PARAMETERS, "name", "source")}
    tables["gate_source_capacitance"]["width"] = _STEP_WIDTH
    return Mosfet(**tables)


def initial_diode(sheet: MosfetSheet) -> dict[str, float]:
    """Fields of the body diode before the fit: the printed forward point, or that of a silicon junction."""
    if sheet.body_diode:
        point = {"forward_voltage": sheet.body_diode.voltage, "forward_current": sheet.body_diode.current}
    else:
        current = max(entry.drain_current for entry in sheet.on_resistance)
        point = {"forward_voltage": _FORWARD_VOLTAGE, "forward_current": current}
    return point | {"emission_voltage": _EMISSION}
