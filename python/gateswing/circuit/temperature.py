"""Junction temperature: what it does to a MOSFET and to a diode, and the temperature data are stated for."""

from __future__ import annotations

from typing import Annotated, Any

from .. import _core
from ..core import fill
from ..model import Model, Quantity, at_least

__all__ = [
    "STATED_TEMPERATURE",
    "USUAL_JUNCTION_RATING",
    "DiodeTemperature",
    "MosfetTemperature",
    "junction_kind",
    "warming",
]

# Parts are described by their data at 25 degrees Celsius [K].
STATED_TEMPERATURE = 298.15
# Highest junction temperature of silicon in the usual packages [K]; common practice, no source.
USUAL_JUNCTION_RATING = 423.15


def junction_kind(of: str) -> Quantity:
    """The kind of a junction temperature; parts are simulated at it, and stay there."""
    return Quantity(
        "K",
        f"Junction of the {of}; write it like 125 degC.",
        allowed=at_least(173.15, 573.15),
        usual=at_least(218.15, 448.15),
    )


def warming(temperature: float) -> Any:
    """From the temperature the data hold for to another [K], as a structure of the C++ core."""
    return fill(_core.Warming(), stated=STATED_TEMPERATURE, junction=temperature)


class MosfetTemperature(Model):
    """Temperature coefficients of a MOSFET, about 25 degrees Celsius.

    The defaults are typical of silicon; threshold and breakdown slopes from data sheets, exponents from
    memory (Baliga, Fundamentals of Power Semiconductor Devices).
    """

    threshold_slope: Annotated[
        float,
        Quantity(
            "V/K",
            "Change of the threshold voltage; it falls when hot.",
            allowed=at_least(-0.05, 0.0),
            usual=at_least(-10e-3, -2e-3),
        ),
    ] = -6e-3
    mobility_exponent: Annotated[
        float,
        Quantity("", "Channel conducts as (T/T0)^-m.", allowed=at_least(0.0, 5.0), usual=at_least(1.0, 2.6)),
    ] = 1.5
    drift_exponent: Annotated[
        float,
        Quantity(
            "", "Drift resistance grows as (T/T0)^n.", allowed=at_least(0.0, 5.0), usual=at_least(1.2, 2.8)
        ),
    ] = 2.2
    breakdown_coefficient: Annotated[
        float,
        Quantity(
            "1/K",
            "Relative change of the breakdown voltage.",
            allowed=at_least(-0.01, 0.01),
            usual=at_least(2e-4, 2e-3),
        ),
    ] = 1.1e-3

    def to_core(self, breakdown_voltage: float) -> Any:
        """The same as a structure of the C++ core, for a breakdown voltage [V]."""
        return fill(
            _core.MosfetTemperature(),
            threshold_slope=self.threshold_slope,
            mobility_exponent=self.mobility_exponent,
            drift_exponent=self.drift_exponent,
            breakdown_slope=self.breakdown_coefficient * breakdown_voltage,
        )


class DiodeTemperature(Model):
    """Temperature coefficients of a diode.

    The defaults are those of a silicon junction: band gap, and exponents from memory (Sze, Physics of
    Semiconductor Devices). A silicon Schottky contact has a barrier of 0.7 to 0.85 V and an exponent of 2.
    """

    barrier_voltage: Annotated[
        float,
        Quantity("V", "Band gap or Schottky barrier.", allowed=at_least(0.0, 4.0), usual=at_least(0.5, 3.3)),
    ] = 1.12
    current_exponent: Annotated[
        float,
        Quantity("", "Of the saturation current's power law.", allowed=at_least(0.0, 6.0)),
    ] = 3.0
    lifetime_exponent: Annotated[
        float,
        Quantity("", "Carrier lifetime grows as (T/T0)^p.", allowed=at_least(0.0, 5.0)),
    ] = 1.5

    def to_core(self) -> Any:
        """The same as a structure of the C++ core."""
        return fill(
            _core.DiodeTemperature(), **{name: getattr(self, name) for name in type(self).model_fields}
        )
