"""Cooling: the way of the heat from the junctions to the ambient, by which their temperatures are found."""

from __future__ import annotations

from typing import Annotated, Any, Self

from pydantic import Field, field_validator, model_validator

from .. import _core
from ..core import fill
from ..errors import InputError, InputProblem
from ..model import Model, Quantity, at_least, positive
from .temperature import STATED_TEMPERATURE
from .thermal import CauerLadder, FosterLadder

__all__ = ["Cooling", "HeatPath"]


class HeatPath(Model):
    """Thermal resistances from one junction to the ambient, for its mean power.

    ``junction_to_case`` takes a thermal ladder too, which gives its total resistance.
    """

    junction_to_case: Annotated[
        float,
        Quantity(
            "K/W",
            "Junction to case; with no resistance behind it, junction to ambient.",
            allowed=positive(1e4),
            usual=at_least(0.02, 200.0),
        ),
    ]
    case_to_ambient: Annotated[
        float,
        Quantity(
            "K/W",
            "Case to ambient: interface and heat sink, in series.",
            allowed=at_least(0.0, 1e4),
            usual=at_least(0.0, 200.0),
        ),
    ] = 0.0

    @field_validator("junction_to_case", mode="before")
    @classmethod
    def _ladder(cls, value: object) -> object:
        if isinstance(value, FosterLadder | CauerLadder):
            return sum(value.resistances)
        return value

    @property
    def total_resistance(self) -> float:
        """Junction to ambient [K/W]."""
        return self.junction_to_case + self.case_to_ambient

    def to_core(self, ambient: float) -> Any:
        """The same in an ambient [K] as a structure of the C++ core."""
        return fill(_core.HeatPath(), ambient=ambient, resistance=self.total_resistance)


class Cooling(Model):
    """What carries the heat of the MOSFET and of the freewheel diode away.

    An operating point finds the junction temperature of each part whose way is given, with its losses at
    that temperature: T = ambient + R_th P(T). A part without one keeps the temperature that the cell states.
    """

    ambient: Annotated[
        float,
        Quantity(
            "K",
            "Air or coolant that takes the heat; write it like 40 degC.",
            allowed=at_least(173.15, 473.15),
            usual=at_least(218.15, 400.0),
        ),
    ] = STATED_TEMPERATURE
    mosfet: Annotated[
        HeatPath | None, Field(description="From the MOSFET's junction; left out: not found.")
    ] = None
    freewheel: Annotated[
        HeatPath | None, Field(description="From the freewheel diode's junction; left out: not found.")
    ] = None

    @model_validator(mode="after")
    def _of_something(self) -> Self:
        if self.mosfet is None and self.freewheel is None:
            raise InputError([InputProblem("", None, "cools nothing.", hint="Give mosfet or freewheel.")])
        return self
