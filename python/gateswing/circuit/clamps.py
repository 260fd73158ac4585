"""What holds the drain voltage when an inductive load is switched off: zener, TVS and RCD clamps."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field

from .. import _core
from ..core import fill
from ..model import Model, Quantity, at_least, positive
from .diode import Diode

__all__ = ["RcdClamp", "ZenerClamp"]

# The knee is this fraction of the clamp voltage wide.
_KNEE = 0.002


class ZenerClamp(Model):
    """Zener or TVS diode in its blocking direction; from drain to gate with a diode in series.

    It conducts v = voltage + resistance * current. Its forward direction is left out: across a MOSFET the
    body diode conducts there.
    """

    voltage: Annotated[
        float,
        Quantity(
            "V",
            "Where it begins to conduct, a series diode's drop included.",
            allowed=positive(3e3),
            usual=at_least(3.0, 1.2e3),
        ),
    ]
    resistance: Annotated[
        float,
        Quantity("ohm", "Slope of the breakdown.", allowed=positive(1e3), usual=at_least(1e-3, 100.0)),
    ]
    capacitance: Annotated[
        float,
        Quantity("F", "Of the junction, unbiased.", allowed=positive(100e-9), usual=at_least(1e-12, 20e-9)),
    ] = 100e-12
    name: Annotated[str, Field(description="Free text.")] = ""
    source: Annotated[str, Field(description="Where the data come from.")] = ""

    def to_core(self) -> Any:
        """The same as a structure of the C++ core."""
        law = fill(
            _core.KneeConduction(),
            knee_voltage=self.voltage,
            slope_resistance=self.resistance,
            knee_width=_KNEE * self.voltage,
        )
        return fill(_core.Clamp(), law=law, capacitance=self.capacitance)


class RcdClamp(Model):
    """Diode from the switch node into a capacitor with a resistor across it, both returning to the bus."""

    diode: Annotated[Diode, Field(description="From the switch node.")]
    resistance: Annotated[
        float,
        Quantity("ohm", "Discharges the capacitor.", allowed=positive(1e8), usual=at_least(1.0, 1e6)),
    ]
    capacitance: Annotated[
        float,
        Quantity("F", "Takes the current.", allowed=positive(1e-2), usual=at_least(100e-12, 100e-6)),
    ]

    def to_core(self) -> Any:
        """The same, the diode at 25 degrees Celsius, as a structure of the C++ core."""
        return fill(
            _core.RcdClamp(),
            diode=self.diode.to_core(),
            resistance=self.resistance,
            capacitance=self.capacitance,
        )
