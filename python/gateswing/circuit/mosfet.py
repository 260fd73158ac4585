"""N-channel power MOSFET."""

from __future__ import annotations

from typing import Annotated, Any, ClassVar, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray
from pydantic import Field

from .. import _core
from ..core import fill
from ..model import Model, Quantity, at_least, positive
from .capacitance import DepletionCapacitance, StepCapacitance, sum_over
from .diode import BodyDiode
from .named_part import NamedPart
from .temperature import STATED_TEMPERATURE, MosfetTemperature, warming
from .thermal import FosterLadder

__all__ = ["Mosfet", "MosfetChannel"]

# The knee of the breakdown is this fraction of the breakdown voltage wide: small enough to leak nothing at
# 80 % of it, wide enough for the integrator not to stumble.
_BREAKDOWN_KNEE = 0.01
# Share of a type's typical threshold at which its lowest parts begin; common practice, no source.
_LOWEST_THRESHOLD = 2.0 / 3.0


class MosfetChannel(Model):
    """Channel law, smooth from subthreshold through triode to saturation and symmetric in drain and source.

    In saturation i = K/2 (v_GS - threshold)^2 / (1 + theta/2 (v_GS - threshold)).
    """

    threshold_voltage: Annotated[
        float,
        Quantity(
            "V",
            "Where the extrapolated law begins to conduct.",
            allowed=positive(20.0),
            usual=at_least(0.4, 6.0),
        ),
    ]
    transconductance_factor: Annotated[
        float,
        Quantity("A/V^2", "K of the square law.", allowed=positive(1e5), usual=at_least(0.1, 1e3)),
    ]
    mobility_degradation: Annotated[
        float,
        Quantity(
            "1/V",
            "theta; flattens the square law at high gate voltage.",
            allowed=at_least(0.0, 10.0),
            usual=at_least(1e-3, 1.0),
        ),
    ] = 0.0
    subthreshold_voltage: Annotated[
        float,
        Quantity(
            "V", "n k T/q of the exponential region.", allowed=positive(1.0), usual=at_least(0.025, 0.2)
        ),
    ] = 0.04

    def to_core(self) -> Any:
        """The same as a structure of the C++ core."""
        return fill(_core.MosfetChannel(), **{name: getattr(self, name) for name in type(self).model_fields})


class Mosfet(NamedPart):
    """Power MOSFET: channel, capacitances, body diode, breakdown, and what its package adds."""

    part_kind: ClassVar[str] = "mosfet"
    advice: ClassVar[str] = (
        "Entries of a data sheet, such as gate charge or on-resistance, become these fields by "
        '`gateswing fit`; or name a part of the library: part = "logic-60V".'
    )

    channel: Annotated[MosfetChannel, Field(description="Channel law.")]
    gate_source_capacitance: Annotated[StepCapacitance, Field(description="Over v_GS.")]
    gate_drain_capacitance: Annotated[
        DepletionCapacitance, Field(description="Over v_DG; the Miller capacitance.")
    ]
    drain_source_capacitance: Annotated[DepletionCapacitance, Field(description="Over v_DS.")]
    gate_drain_step: Annotated[
        StepCapacitance | None,
        Field(description="Over v_DG, added to gate_drain_capacitance; superjunction."),
    ] = None
    drain_source_step: Annotated[
        StepCapacitance | None,
        Field(description="Over v_DS, added to drain_source_capacitance; superjunction."),
    ] = None
    body_diode: Annotated[BodyDiode, Field(description="Conducts from source to drain.")]
    temperature: Annotated[MosfetTemperature, Field(description="Temperature coefficients.")] = (
        MosfetTemperature()
    )
    internal_gate_resistance: Annotated[
        float,
        Quantity("ohm", "From gate pin to die.", allowed=at_least(0.0, 1e3), usual=at_least(0.2, 20.0)),
    ] = 0.0
    drift_resistance: Annotated[
        float,
        Quantity(
            "ohm",
            "In series with the channel, beside the body diode: drift region, wires and pins.",
            allowed=at_least(0.0, 100.0),
            usual=at_least(0.1e-3, 10.0),
        ),
    ] = 0.0
    gate_inductance: Annotated[
        float, Quantity("H", "Gate lead.", allowed=at_least(0.0, 200e-9), usual=at_least(0.1e-9, 30e-9))
    ] = 0.0
    drain_inductance: Annotated[
        float, Quantity("H", "Drain lead.", allowed=at_least(0.0, 200e-9), usual=at_least(0.1e-9, 30e-9))
    ] = 0.0
    source_inductance: Annotated[
        float,
        Quantity(
            "H",
            "Source lead, shared by gate and power loop.",
            allowed=at_least(0.0, 200e-9),
            usual=at_least(0.05e-9, 30e-9),
        ),
    ] = 0.0
    breakdown_voltage: Annotated[
        float,
        Quantity(
            "V",
            "Drain-source voltage where it breaks down.",
            allowed=positive(3e3),
            usual=at_least(12.0, 1.2e3),
        ),
    ]
    rated_drain_voltage: Annotated[
        float | None,
        Quantity(
            "V",
            "Rated limit of v_DS; left out: the breakdown voltage.",
            allowed=positive(3e3),
            usual=at_least(12.0, 1.2e3),
        ),
    ] = None
    breakdown_resistance: Annotated[
        float,
        Quantity("ohm", "Slope of the breakdown.", allowed=positive(100.0), usual=at_least(1e-3, 10.0)),
    ] = 0.05
    maximum_gate_voltage: Annotated[
        float,
        Quantity("V", "Rated limit of v_GS, either sign.", allowed=positive(60.0), usual=at_least(5.0, 30.0)),
    ] = 20.0
    minimum_threshold_voltage: Annotated[
        float | None,
        Quantity(
            "V",
            "Lowest channel threshold of the type at 25 degC; left out: two thirds of this one's.",
            allowed=positive(20.0),
            usual=at_least(0.3, 5.0),
        ),
    ] = None
    pulsed_drain_current: Annotated[
        float | None,
        Quantity(
            "A",
            "Rated peak of the drain current in pulses; left out: not judged.",
            allowed=positive(1e4),
            usual=at_least(0.1, 2e3),
        ),
    ] = None
    thermal_impedance: Annotated[
        FosterLadder | None, Field(description="From junction to case; left out: no pulses of temperature.")
    ] = None
    name: Annotated[str, Field(description="Free text.")] = ""
    source: Annotated[str, Field(description="Where the data come from.")] = ""

    @classmethod
    def from_datasheet(cls, **entries: Any) -> Mosfet:
        """The model fitted to a data sheet, given as the fields of :class:`gateswing.MosfetSheet`.

        :func:`gateswing.fit_mosfet` returns the same with its report.

        Raises:
            InputError: entries that cannot be used.
        """
        from ..datasheet.fit import fit_mosfet
        from ..datasheet.sheet import MosfetSheet

        fit = fit_mosfet(MosfetSheet(**entries))
        fit.warn()
        return fit.mosfet

    @property
    def drain_voltage_rating(self) -> float:
        """What v_DS must keep to [V]: the rated limit, or the breakdown voltage where none is stated."""
        return self.rated_drain_voltage or self.breakdown_voltage

    def lowest_threshold_voltage(self, junction_temperature: float = STATED_TEMPERATURE) -> float:
        """Threshold [V] at a junction temperature [K] of that part of the type which conducts first.

        Without a stated minimum it is taken as two thirds of the model's at 25 degrees Celsius (common
        practice, no source); it falls with temperature as the model's does.
        """
        typical = self.channel.threshold_voltage
        lowest = self.minimum_threshold_voltage or _LOWEST_THRESHOLD * typical
        shift = float(self.to_core(junction_temperature).channel.threshold_voltage) - typical
        return lowest + shift

    def channel_current(
        self,
        gate_source_voltage: ArrayLike,
        drain_source_voltage: ArrayLike,
        *,
        junction_temperature: float = STATED_TEMPERATURE,
    ) -> NDArray[np.float64]:
        """Current of the channel alone [A], without drift resistance and body diode.

        Args:
            gate_source_voltage: v_GS at the die [V], any shape.
            drain_source_voltage: v_DS at the channel [V]; the two broadcast.
            junction_temperature: [K].
        """
        law = self.to_core(junction_temperature).channel
        return np.asarray(_core.channel_current(law, *_floats(gate_source_voltage, drain_source_voltage)))

    def capacitances(
        self, gate_source_voltage: ArrayLike, drain_source_voltage: ArrayLike
    ) -> dict[str, NDArray[np.float64]]:
        """Input, output and reverse transfer capacitance [F] at voltages of the die [V], which broadcast.

        Returns:
            ``ciss`` = C_GS + C_GD, ``coss`` = C_DS + C_GD and ``crss`` = C_GD by name.
        """
        v_gs, v_ds = _floats(gate_source_voltage, drain_source_voltage)
        c_gs = sum_over([self.gate_source_capacitance.to_core()], _core.capacitance, v_gs)
        c_gd = sum_over(self.parallel_laws("gate_drain"), _core.capacitance, v_ds - v_gs)
        c_ds = sum_over(self.parallel_laws("drain_source"), _core.capacitance, v_ds)
        return {"ciss": c_gs + c_gd, "coss": c_ds + c_gd, "crss": c_gd}

    def parallel_laws(self, branch: Literal["gate_drain", "drain_source"]) -> list[Any]:
        """The capacitance laws of the core that lie in parallel in a branch: depletion layer, any step."""
        models = (getattr(self, f"{branch}_capacitance"), getattr(self, f"{branch}_step"))
        return [model.to_core() for model in models if model is not None]

    def body_diode_current(
        self, source_drain_voltage: ArrayLike, *, junction_temperature: float = STATED_TEMPERATURE
    ) -> NDArray[np.float64]:
        """Static current of the body diode [A], source to drain, over v_SD [V] of any shape.

        Args:
            source_drain_voltage: v_SD [V], any shape.
            junction_temperature: [K].
        """
        (voltage,) = _floats(source_drain_voltage)
        return np.asarray(_core.diode_current(self.to_core(junction_temperature).body_diode, voltage))

    def to_core(self, junction_temperature: float = STATED_TEMPERATURE) -> Any:
        """The same at a junction temperature [K] as a structure of the C++ core."""
        return _core.mosfet_at_temperature(
            self._stated_to_core(),
            self.temperature.to_core(self.breakdown_voltage),
            self.body_diode.temperature.to_core(),
            warming(junction_temperature),
        )

    def cooled_to_core(self, path: Any) -> Any:
        """With the way of its heat, a structure of the core, whence its temperature follows; likewise."""
        return fill(
            _core.CooledMosfet(),
            stated=self._stated_to_core(),
            stated_temperature=STATED_TEMPERATURE,
            coefficients=self.temperature.to_core(self.breakdown_voltage),
            body_diode=self.body_diode.temperature.to_core(),
            path=path,
        )

    def _stated_to_core(self) -> Any:
        same = ("internal_gate_resistance", "drift_resistance", "gate_inductance", "drain_inductance")
        return fill(
            _core.Mosfet(),
            channel=self.channel.to_core(),
            gate_source=self.gate_source_capacitance.to_core(),
            gate_drain=self.gate_drain_capacitance.to_core(),
            drain_source=self.drain_source_capacitance.to_core(),
            gate_drain_step=self.gate_drain_step.to_core() if self.gate_drain_step else None,
            drain_source_step=self.drain_source_step.to_core() if self.drain_source_step else None,
            source_inductance=self.source_inductance,
            body_diode=self.body_diode.to_core(),
            breakdown=fill(
                _core.KneeConduction(),
                knee_voltage=self.breakdown_voltage,
                slope_resistance=self.breakdown_resistance,
                knee_width=_BREAKDOWN_KNEE * self.breakdown_voltage,
            ),
            **{name: getattr(self, name) for name in same},
        )


def _floats(*values: ArrayLike) -> tuple[NDArray[np.float64], ...]:
    return tuple(np.broadcast_arrays(*(np.asarray(value, dtype=np.float64) for value in values)))
