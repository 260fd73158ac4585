"""How a cell is operated: frequency and duty cycle, and of a half bridge the dead time."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from ..errors import InputError, InputProblem
from ..figures import format_figure
from ..model import Model, Quantity, at_least, positive

__all__ = ["DEAD_TIME", "BridgeOperation", "Operation"]

DEAD_TIME = Quantity(
    "s",
    "From each command off to the other switch's command on; negative: they overlap.",
    allowed=at_least(-1e-3, 1e-3),
)


class Operation(Model):
    """How the cell is run: switched on and off for ever at one frequency and duty cycle."""

    frequency: Annotated[
        float, Quantity("Hz", "Switching frequency.", allowed=positive(50e6), usual=at_least(1.0, 2e6))
    ]
    duty: Annotated[
        float,
        Quantity("", "Share of the period for which the driver is commanded on.", allowed=at_least(0.0, 1.0)),
    ]


class BridgeOperation(Operation):
    """How a half bridge is run: one switch on for its duty, the other for the rest but two dead times."""

    dead_time: Annotated[float, DEAD_TIME]
    active: Annotated[Literal["high", "low"], Field(description="The switch whose duty is stated.")] = "high"

    @model_validator(mode="after")
    def _fits_into_half_a_period(self) -> Self:
        if 2.0 * abs(self.dead_time) * self.frequency >= 1.0:
            half = format_figure(0.5 / self.frequency, "s")
            reason = f"not shorter than half a period, {half}."
            raise InputError([InputProblem("dead_time", format_figure(self.dead_time, "s"), reason)])
        return self
