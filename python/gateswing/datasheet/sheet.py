"""What the data sheet of a power MOSFET prints, each figure with the condition it was measured at."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, model_validator

from ..circuit.temperature import STATED_TEMPERATURE
from ..document import Document
from ..errors import InputError, InputProblem
from ..model import Model, Quantity, at_least, positive
from ..quantities import format_quantity

__all__ = [
    "PRINTED_PARAMETERS",
    "AvalancheEntry",
    "CapacitancePoint",
    "DiodeForward",
    "GateChargeEntry",
    "HotDiodeForward",
    "MosfetSheet",
    "OnResistance",
    "OnResistanceRatio",
    "OutputChargeEntry",
    "ReverseRecovery",
    "SwitchingEntry",
    "ThermalImpedance",
    "ThermalSheet",
    "Threshold",
    "Transconductance",
    "read_sheet",
    "write_sheet",
]

# Printed as the parameter that the model has, under the same name.
PRINTED_PARAMETERS = (
    "breakdown_voltage",
    "maximum_gate_voltage",
    "internal_gate_resistance",
    "gate_inductance",
    "drain_inductance",
    "source_inductance",
)

_LARGEST_CAPACITANCE = 100e-9
_LARGEST_CHARGE = 10e-6


def _volts(doc: str, high: float = 3e3, low: float = 0.0) -> Quantity:
    return Quantity("V", doc, allowed=positive(high) if low == 0.0 else at_least(low, high))


def _amps(doc: str) -> Quantity:
    return Quantity("A", doc, allowed=positive(2e3), usual=at_least(1e-6, 500.0))


def _charge(doc: str) -> Quantity:
    return Quantity("C", doc, allowed=positive(_LARGEST_CHARGE), usual=at_least(10e-12, 2e-6))


def _capacitance(doc: str) -> Quantity:
    return Quantity("F", doc, allowed=positive(_LARGEST_CAPACITANCE), usual=at_least(0.1e-12, 50e-9))


def _as_many(value: object) -> object:
    """One entry stands for a list of one."""
    return value if isinstance(value, list | tuple) else (value,)


def _hot(doc: str) -> Quantity:
    return Quantity("K", doc, allowed=at_least(173.15, 573.15), usual=at_least(218.15, 473.15))


def _seconds(doc: str) -> Quantity:
    return Quantity("s", doc, allowed=positive(1e-3), usual=at_least(0.1e-9, 20e-6))


def _joules(doc: str) -> Quantity:
    return Quantity("J", doc, allowed=positive(1e3), usual=at_least(1e-9, 10.0))


class Threshold(Model):
    """Gate threshold voltage, gate and drain tied together."""

    minimum: Annotated[float | None, _volts("Lowest of any part.", 20.0)] = None
    typical: Annotated[float | None, _volts("Of a typical part.", 20.0)] = None
    maximum: Annotated[float | None, _volts("Highest of any part.", 20.0)] = None
    drain_current: Annotated[float, _amps("Current that defines the threshold.")]
    slope: Annotated[
        float | None,
        Quantity(
            "V/K",
            "Change with the junction temperature.",
            allowed=at_least(-0.05, -1e-4),
            usual=at_least(-15e-3, -1e-3),
        ),
    ] = None

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        given = [value for value in (self.minimum, self.typical, self.maximum) if value is not None]
        if not given:
            raise InputError([InputProblem("typical", None, "give minimum, typical or maximum.")])
        if given != sorted(given):
            values = ", ".join(format_quantity(value, "V") for value in given)
            raise InputError([InputProblem("typical", values, "minimum, typical, maximum must ascend.")])
        return self

    @property
    def voltage(self) -> float:
        """The typical value [V]; not printed: the middle of the limits, or the one there is."""
        if self.typical is not None:
            return self.typical
        limits = [value for value in (self.minimum, self.maximum) if value is not None]
        return sum(limits) / len(limits)


class OnResistance(Model):
    """On-resistance at one gate voltage."""

    value: Annotated[
        float, Quantity("ohm", "r_DS(on).", allowed=positive(100.0), usual=at_least(0.2e-3, 10.0))
    ]
    gate_voltage: Annotated[float, _volts("v_GS at the test.", 60.0)]
    drain_current: Annotated[float, _amps("Drain current at the test.")]


class OnResistanceRatio(Model):
    """A point of the normalised on-resistance over the junction temperature."""

    value: Annotated[
        float,
        Quantity("", "r_DS(on) over r_DS(on) at 25 degrees Celsius.", allowed=positive(10.0)),
    ]
    junction_temperature: Annotated[float, _hot("Of the hot, or cold, value.")]
    gate_voltage: Annotated[
        float | None, _volts("v_GS at the test; left out: that of the lowest on-resistance.", 60.0)
    ] = None
    drain_current: Annotated[
        float | None, _amps("Drain current at the test; left out: that of the lowest on-resistance.")
    ] = None

    @model_validator(mode="after")
    def _away_from_the_reference(self) -> Self:
        if abs(self.junction_temperature - STATED_TEMPERATURE) < 1.0:
            given = format_quantity(self.junction_temperature, "K")
            reason = "the ratio there is 1 by definition."
            raise InputError([InputProblem("junction_temperature", given, reason)])
        return self


class Transconductance(Model):
    """Forward transconductance in saturation."""

    value: Annotated[float, Quantity("S", "g_fs.", allowed=positive(1e4), usual=at_least(0.1, 1e3))]
    drain_current: Annotated[float, _amps("Drain current at the test.")]


class CapacitancePoint(Model):
    """A capacitance at one drain voltage, v_GS = 0."""

    value: Annotated[float, _capacitance("Capacitance.")]
    drain_voltage: Annotated[
        float, Quantity("V", "v_DS at the test.", allowed=at_least(0.0, 3e3), usual=at_least(0.0, 1.2e3))
    ]


class GateChargeEntry(Model):
    """Gate charges and plateau voltage, with the one condition they share."""

    total: Annotated[float | None, _charge("Q_G, up to gate_voltage.")] = None
    threshold: Annotated[float | None, _charge("Q_G(th), up to the threshold voltage.")] = None
    gate_source: Annotated[float | None, _charge("Q_GS, up to the plateau.")] = None
    gate_drain: Annotated[float | None, _charge("Q_GD, the Miller charge.")] = None
    plateau_voltage: Annotated[float | None, _volts("v_GS where the curve is flattest.", 30.0)] = None
    drain_voltage: Annotated[float, _volts("Supply of the drain.")]
    drain_current: Annotated[float, _amps("Drain current.")]
    gate_voltage: Annotated[float, _volts("v_GS at the end of the curve.", 60.0)]


class DiodeForward(Model):
    """Forward voltage of the body diode, v_GS = 0."""

    voltage: Annotated[float, _volts("v_SD.", 10.0)]
    current: Annotated[float, _amps("Source current at the test.")]


class HotDiodeForward(DiodeForward):
    """Forward voltage of the body diode at another junction temperature."""

    junction_temperature: Annotated[float, _hot("At the test.")]


class ReverseRecovery(Model):
    """Reverse recovery of the body diode; time up to 25 % of the peak."""

    time: Annotated[
        float | None, Quantity("s", "t_rr.", allowed=positive(1e-4), usual=at_least(1e-9, 5e-6))
    ] = None
    charge: Annotated[
        float | None, Quantity("C", "Q_rr.", allowed=positive(1e-3), usual=at_least(1e-10, 1e-4))
    ] = None
    peak_current: Annotated[float | None, _amps("I_RRM.")] = None
    forward_current: Annotated[float, _amps("Current before the ramp.")]
    current_slope: Annotated[
        float, Quantity("A/s", "Fall of the current.", allowed=positive(1e12), usual=at_least(1e6, 1e11))
    ]
    reverse_voltage: Annotated[float | None, _volts("Voltage that the diode blocks afterwards.")] = None


class OutputChargeEntry(Model):
    """What charging the output takes from 0 to a drain voltage, v_GS = 0."""

    charge: Annotated[float | None, _charge("Q_oss.")] = None
    energy: Annotated[float | None, Quantity("J", "E_oss.", allowed=positive(1e-2))] = None
    time_related: Annotated[float | None, _capacitance("C_o(tr) = Q_oss/V.")] = None
    energy_related: Annotated[float | None, _capacitance("C_o(er) = 2 E_oss/V^2.")] = None
    drain_voltage: Annotated[float, _volts("Where charging ends.")]


class ThermalImpedance(Model):
    """A point of the curve of transient thermal impedance, junction to case, for a single pulse."""

    value: Annotated[float, Quantity("K/W", "Z_thJC.", allowed=positive(1e3), usual=at_least(1e-4, 200.0))]
    time: Annotated[float, Quantity("s", "Length of the pulse.", allowed=positive(1e4))]


class ThermalSheet(Model):
    """What the heat of the die meets."""

    junction_to_case: Annotated[
        float | None, Quantity("K/W", "R_thJC.", allowed=positive(1e3), usual=at_least(0.05, 150.0))
    ] = None
    junction_to_ambient: Annotated[
        float | None,
        Quantity(
            "K/W",
            "R_thJA, on the board that the sheet states.",
            allowed=positive(1e4),
            usual=at_least(10.0, 500.0),
        ),
    ] = None
    impedance: Annotated[
        tuple[ThermalImpedance, ...], BeforeValidator(_as_many), Field(description="One point or a list.")
    ] = ()

    @model_validator(mode="after")
    def _something_to_the_case(self) -> Self:
        if self.junction_to_case is None and not self.impedance:
            raise InputError([InputProblem("junction_to_case", None, "missing. Give it, or impedance.")])
        times = [point.time for point in self.impedance]
        if times != sorted(set(times)):
            raise InputError([InputProblem("impedance", None, "its times do not increase.")])
        return self


class SwitchingEntry(Model):
    """Switching times and energies by IEC 60747-8, with the one condition they share."""

    turn_on_delay: Annotated[float | None, _seconds("t_d(on).")] = None
    rise_time: Annotated[float | None, _seconds("t_r, of the drain voltage.")] = None
    turn_off_delay: Annotated[float | None, _seconds("t_d(off).")] = None
    fall_time: Annotated[float | None, _seconds("t_f, of the drain voltage.")] = None
    turn_on_energy: Annotated[float | None, _joules("E_on.")] = None
    turn_off_energy: Annotated[float | None, _joules("E_off.")] = None
    drain_voltage: Annotated[float, _volts("Supply of the drain.")]
    drain_current: Annotated[float, _amps("Drain current.")]
    gate_voltage: Annotated[float, _volts("v_GS of the on-state, from 0.", 60.0)]
    gate_resistance: Annotated[
        float,
        Quantity(
            "ohm",
            "Outside the part, the generator's included.",
            allowed=at_least(0.0, 1e4),
            usual=at_least(0.0, 1e3),
        ),
    ]
    load: Annotated[
        Literal["resistive", "inductive"], Field(description="A resistor, or a current clamped by a diode.")
    ] = "resistive"


class AvalancheEntry(Model):
    """Single-pulse avalanche: what an unclamped choke may leave in the part."""

    energy: Annotated[float | None, _joules("E_AS.")] = None
    current: Annotated[float, _amps("I_AS, when the part turns off.")]
    inductance: Annotated[
        float, Quantity("H", "Of the choke.", allowed=positive(1.0), usual=at_least(1e-6, 0.1))
    ]
    supply_voltage: Annotated[
        float,
        Quantity(
            "V", "Of the choke during the pulse.", allowed=at_least(0.0, 3e3), usual=at_least(0.0, 400.0)
        ),
    ]
    gate_voltage: Annotated[float, _volts("v_GS of the on-state.", 60.0)] = 10.0
    gate_resistance: Annotated[
        float, Quantity("ohm", "Outside the part.", allowed=at_least(0.0, 1e4), usual=at_least(0.0, 1e3))
    ] = 25.0


def _several(doc: str) -> tuple[object, object]:
    return BeforeValidator(_as_many), Field(min_length=1, description=doc)


Points = Annotated[
    tuple[CapacitancePoint, ...], *_several("One entry or a list, each with its drain voltage.")
]


class MosfetSheet(Document):
    """Entries of a data sheet, at 25 degrees Celsius unless they say otherwise.

    A model can be fitted to the required ones alone.
    """

    name: Annotated[str, Field(description="Free text.")] = ""
    source: Annotated[str, Field(description="Where the data come from.")] = ""
    threshold: Annotated[Threshold, Field(description="Gate threshold voltage.")]
    on_resistance: Annotated[tuple[OnResistance, ...], *_several("One entry or a list.")]
    on_resistance_ratio: Annotated[
        tuple[OnResistanceRatio, ...],
        BeforeValidator(_as_many),
        Field(description="One point or a list: the on-resistance over the junction temperature."),
    ] = ()
    transconductance: Annotated[Transconductance | None, Field(description="g_fs.")] = None
    input_capacitance: Points
    output_capacitance: Points
    reverse_capacitance: Points
    gate_charge: Annotated[GateChargeEntry | None, Field(description="Gate charges.")] = None
    output_charge: Annotated[OutputChargeEntry | None, Field(description="Output charge and energy.")] = None
    body_diode: Annotated[DiodeForward | None, Field(description="Forward voltage.")] = None
    hot_body_diode: Annotated[
        HotDiodeForward | None, Field(description="Forward voltage at another junction temperature.")
    ] = None
    reverse_recovery: Annotated[ReverseRecovery | None, Field(description="Of the body diode.")] = None
    thermal: Annotated[ThermalSheet | None, Field(description="Resistance and impedance to the case.")] = None
    switching: Annotated[
        tuple[SwitchingEntry, ...],
        BeforeValidator(_as_many),
        Field(description="Switching times and energies, one entry or a list; no fit looks at them."),
    ] = ()
    avalanche: Annotated[
        AvalancheEntry | None, Field(description="Single-pulse avalanche; no fit looks at it.")
    ] = None
    breakdown_voltage: Annotated[float, _volts("Rated or typical drain-source breakdown voltage.")]
    breakdown_slope: Annotated[
        float | None,
        Quantity(
            "V/K",
            "Change of the breakdown voltage with the junction temperature.",
            allowed=at_least(-1.0, 10.0),
            usual=at_least(5e-3, 2.0),
        ),
    ] = None
    maximum_gate_voltage: Annotated[float, _volts("Rated limit of v_GS, either sign.", 60.0)] = 20.0
    internal_gate_resistance: Annotated[
        float, Quantity("ohm", "From gate pin to die.", allowed=at_least(0.0, 1e3))
    ] = 0.0
    gate_inductance: Annotated[float, Quantity("H", "Gate lead.", allowed=at_least(0.0, 200e-9))] = 0.0
    drain_inductance: Annotated[float, Quantity("H", "Drain lead.", allowed=at_least(0.0, 200e-9))] = 0.0
    source_inductance: Annotated[float, Quantity("H", "Source lead.", allowed=at_least(0.0, 200e-9))] = 0.0

    @classmethod
    def from_mapping(cls, data: Mapping[str, Any]) -> Self:
        """Build from the nested tables of a file; a design file is named.

        Raises:
            InputError: with every problem found, each with its dotted path.
        """
        if "cell" in data:
            hint = "`gateswing check` and `gateswing report` take designs."
            raise InputError([InputProblem("file", None, "is a design and no data sheet.", hint=hint)])
        return super().from_mapping(data)


def read_sheet(path: str | Path) -> MosfetSheet:
    """Read a sheet file in TOML.

    Raises:
        InputError: the file is missing, is no TOML, or says something that cannot be used.
    """
    return MosfetSheet.read(path)


def write_sheet(sheet: MosfetSheet, path: str | Path) -> None:
    """Write a sheet file that :func:`read_sheet` reads back as the same sheet."""
    sheet.write(path)
