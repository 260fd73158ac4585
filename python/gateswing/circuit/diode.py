"""Diodes: the freewheel diode and the body diode of a MOSFET."""

from __future__ import annotations

from typing import Annotated, Any, ClassVar, Protocol, Self

from pydantic import Field, model_validator

from .. import _core
from ..core import fill
from ..errors import InputError, InputProblem
from ..model import Model, Quantity, at_least, positive
from ..quantities import format_quantity
from .capacitance import DepletionCapacitance
from .named_part import NamedPart
from .temperature import STATED_TEMPERATURE, DiodeTemperature, warming

__all__ = ["BodyDiode", "Diode", "require_exponential"]

_FORWARD_VOLTAGE = Quantity(
    "V", "Forward voltage at forward_current.", allowed=positive(10.0), usual=at_least(0.2, 4.0)
)
_FORWARD_CURRENT = Quantity(
    "A", "Current at which forward_voltage holds.", allowed=positive(2e3), usual=at_least(1e-3, 300.0)
)
_EMISSION_VOLTAGE = Quantity(
    "V",
    "Slope n k T/q of the exponential; 26 mV is the ideal junction at 25 degrees Celsius.",
    allowed=positive(1.0),
    usual=at_least(0.02, 0.1),
)
_TRANSIT_TIME = Quantity(
    "s", "Diffusion time of the recovery model; 0: no recovery.", allowed=at_least(0.0, 1e-4)
)
_LIFETIME = Quantity(
    "s", "Carrier lifetime of the recovery model; 0: no recovery.", allowed=at_least(0.0, 1e-4)
)


# The exponential is continued by its tangent above 50; a stated point must lie well inside it.
_LARGEST_EXPONENT = 45.0


class _ForwardPoint(Protocol):
    @property
    def forward_voltage(self) -> float: ...
    @property
    def forward_current(self) -> float: ...
    @property
    def emission_voltage(self) -> float: ...


def require_exponential(diode: _ForwardPoint, resistance: float) -> None:
    """The stated point must leave the junction a voltage between zero and what its exponential spans."""
    junction = diode.forward_voltage - diode.forward_current * resistance
    if junction <= 0.0:
        given = format_quantity(diode.forward_voltage, "V")
        drop = format_quantity(diode.forward_current * resistance, "V")
        reason = f"the series resistance alone drops {drop} at forward_current."
        raise InputError([InputProblem("forward_voltage", given, reason, f"above {drop}")])
    if junction > _LARGEST_EXPONENT * diode.emission_voltage:
        given, least = (
            format_quantity(value, "V") for value in (diode.emission_voltage, junction / _LARGEST_EXPONENT)
        )
        reason = "too steep for the junction to carry forward_current at forward_voltage."
        hint = "A large forward voltage is mostly that of a series resistance, or of a wide band gap."
        raise InputError([InputProblem("emission_voltage", given, reason, f"above {least}", hint)])


def _require_both(transit_time: float, lifetime: float) -> None:
    if (transit_time > 0.0) != (lifetime > 0.0):
        missing = "lifetime" if transit_time > 0.0 else "transit_time"
        reason = "recovery takes both transit_time and lifetime."
        raise InputError([InputProblem(missing, "0 s", reason, hint="Give both, or neither.")])


def _junction_to_core(diode: BodyDiode | Diode, resistance: float) -> Any:
    """The junction law through the stated forward point, less the drop over `resistance` [ohm]."""
    saturation_current = _core.saturation_current_for(
        diode.forward_voltage, diode.forward_current, resistance, diode.emission_voltage
    )
    return fill(
        _core.JunctionDiode(),
        saturation_current=saturation_current,
        emission_voltage=diode.emission_voltage,
        transit_time=diode.transit_time,
        lifetime=diode.lifetime,
    )


class BodyDiode(Model):
    """Junction between source and drain inside a MOSFET, beside its channel and drift resistance.

    The forward point is that of the whole part with its channel off, as a sheet prints it.
    """

    forward_voltage: Annotated[float, _FORWARD_VOLTAGE]
    forward_current: Annotated[float, _FORWARD_CURRENT]
    emission_voltage: Annotated[float, _EMISSION_VOLTAGE] = 0.04
    transit_time: Annotated[float, _TRANSIT_TIME] = 0.0
    lifetime: Annotated[float, _LIFETIME] = 0.0
    temperature: Annotated[DiodeTemperature, Field(description="Temperature coefficients.")] = (
        DiodeTemperature()
    )

    @model_validator(mode="after")
    def _is_possible(self) -> Self:
        require_exponential(self, 0.0)
        _require_both(self.transit_time, self.lifetime)
        return self

    def to_core(self) -> Any:
        """The same as a structure of the C++ core."""
        return _junction_to_core(self, 0.0)


class Diode(NamedPart):
    """Freewheel diode with series resistance, junction capacitance and leads."""

    part_kind: ClassVar[str] = "diode"

    forward_voltage: Annotated[float, _FORWARD_VOLTAGE]
    forward_current: Annotated[float, _FORWARD_CURRENT]
    resistance: Annotated[
        float,
        Quantity("ohm", "Series resistance.", allowed=at_least(0.0, 100.0), usual=at_least(0.1e-3, 10.0)),
    ] = 0.0
    emission_voltage: Annotated[float, _EMISSION_VOLTAGE] = 0.04
    transit_time: Annotated[float, _TRANSIT_TIME] = 0.0
    lifetime: Annotated[float, _LIFETIME] = 0.0
    temperature: Annotated[DiodeTemperature, Field(description="Temperature coefficients.")] = (
        DiodeTemperature()
    )
    capacitance: Annotated[
        DepletionCapacitance, Field(description="Junction capacitance over the reverse voltage.")
    ]
    inductance: Annotated[
        float, Quantity("H", "Of both leads.", allowed=at_least(0.0, 1e-6), usual=at_least(0.1e-9, 50e-9))
    ] = 0.0
    repetitive_peak_reverse_voltage: Annotated[
        float | None,
        Quantity("V", "Rated; compared with the supply.", allowed=positive(5e3), usual=at_least(10.0, 2e3)),
    ] = None
    name: Annotated[str, Field(description="Free text.")] = ""
    source: Annotated[str, Field(description="Where the data come from.")] = ""

    @model_validator(mode="after")
    def _is_possible(self) -> Self:
        require_exponential(self, self.resistance)
        _require_both(self.transit_time, self.lifetime)
        return self

    def saturation_current(self) -> float:
        """Saturation current [A] of the junction through the stated forward point."""
        return float(_junction_to_core(self, self.resistance).saturation_current)

    def to_core(self, junction_temperature: float = STATED_TEMPERATURE) -> Any:
        """The same at a junction temperature [K] as a structure of the C++ core."""
        stated = _junction_to_core(self, self.resistance)
        return fill(
            _core.FreewheelDiode(),
            junction=_core.diode_at_temperature(
                stated, self.temperature.to_core(), warming(junction_temperature)
            ),
            capacitance=self.capacitance.to_core(),
            resistance=self.resistance,
            inductance=self.inductance,
        )

    def cooled_to_core(self, path: Any) -> Any:
        """With the way of its heat, a structure of the core, whence its temperature follows; likewise."""
        return fill(
            _core.CooledDiode(),
            stated=_junction_to_core(self, self.resistance),
            stated_temperature=STATED_TEMPERATURE,
            coefficients=self.temperature.to_core(),
            path=path,
        )

    def __str__(self) -> str:
        drop = format_quantity(self.forward_voltage, "V")
        return self.name or f"diode, {drop} at {format_quantity(self.forward_current, 'A')}"
