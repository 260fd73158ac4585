"""Nonlinear capacitances of a power semiconductor."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Annotated, Any, Self

import numpy as np
from numpy.typing import ArrayLike, NDArray
from pydantic import model_validator

from .. import _core
from ..core import fill
from ..errors import InputError, InputProblem
from ..model import Model, Quantity, at_least, between, positive
from ..quantities import format_quantity

__all__ = ["DepletionCapacitance", "StepCapacitance", "sum_over"]

_LARGEST = 100e-9  # above this, picofarads were almost surely typed as nanofarads


def sum_over(laws: Sequence[Any], quantity: Callable[..., object], voltage: ArrayLike) -> NDArray[np.float64]:
    """Capacitance [F], charge [C] or stored energy [J] of laws of the core in parallel, at a voltage [V]."""
    at = np.asarray(voltage, dtype=np.float64)
    return np.asarray(sum(np.asarray(quantity(law, at)) for law in laws))


class StepCapacitance(Model):
    """Capacitance that steps smoothly from one level to another.

    C = low + (high - low)/2 (1 + z/sqrt(1 + z^2)) with z = (v - centre)/width, v the voltage across it [V].
    Up, it suits the gate-source capacitance, which grows once the channel has formed; down to zero, what a
    superjunction loses when its columns are depleted.
    """

    low: Annotated[
        float,
        Quantity(
            "F", "Level far below the centre.", allowed=at_least(0.0, _LARGEST), usual=at_least(5e-12, 50e-9)
        ),
    ]
    high: Annotated[
        float,
        Quantity(
            "F", "Level far above the centre.", allowed=at_least(0.0, _LARGEST), usual=at_least(5e-12, 50e-9)
        ),
    ]
    centre: Annotated[
        float, Quantity("V", "Voltage half way up the step.", allowed=at_least(-50.0, 50.0))
    ] = 0.0
    width: Annotated[
        float,
        Quantity(
            "V", "Scale of the step along the voltage.", allowed=positive(50.0), usual=at_least(0.05, 20.0)
        ),
    ] = 1.0

    @model_validator(mode="after")
    def _not_nothing(self) -> Self:
        if self.low == 0.0 and self.high == 0.0:
            raise InputError([InputProblem("high", "0 F", "low and high must not both be zero.")])
        return self

    def to_core(self) -> Any:
        """The same as a structure of the C++ core."""
        return fill(
            _core.StepCapacitance(), low=self.low, high=self.high, centre=self.centre, width=self.width
        )


class DepletionCapacitance(Model):
    """Depletion layer over a floor.

    C = floor + zero_bias (1 + v/potential)^-grading for a reverse voltage v >= 0 [V]. For v < 0
    it rises smoothly towards floor + ceiling instead of growing without bound.
    """

    zero_bias: Annotated[
        float,
        Quantity(
            "F", "Depletion part at zero voltage.", allowed=positive(_LARGEST), usual=at_least(1e-12, 50e-9)
        ),
    ]
    potential: Annotated[
        float,
        Quantity("V", "Built-in potential.", allowed=positive(50.0), usual=at_least(0.2, 10.0)),
    ] = 0.7
    grading: Annotated[
        float,
        Quantity(
            "", "Exponent; 0.5 for an abrupt junction.", allowed=between(0.0, 1.0), usual=at_least(0.2, 0.95)
        ),
    ] = 0.5
    floor: Annotated[
        float, Quantity("F", "Part that does not depend on voltage.", allowed=at_least(0.0, _LARGEST))
    ] = 0.0
    ceiling: Annotated[
        float | None,
        Quantity(
            "F",
            "Limit of the depletion part in forward bias; left out: twice zero_bias.",
            allowed=positive(2 * _LARGEST),
        ),
    ] = None

    @model_validator(mode="after")
    def _ceiling_above_zero_bias(self) -> Self:
        if self.ceiling is not None and self.ceiling <= self.zero_bias:
            given, least = format_quantity(self.ceiling, "F"), format_quantity(self.zero_bias, "F")
            raise InputError([InputProblem("ceiling", given, "must exceed zero_bias.", f"above {least}")])
        return self

    def to_core(self) -> Any:
        """The same as a structure of the C++ core."""
        ceiling = 2.0 * self.zero_bias if self.ceiling is None else self.ceiling
        return fill(
            _core.DepletionCapacitance(),
            zero_bias=self.zero_bias,
            potential=self.potential,
            grading=self.grading,
            floor=self.floor,
            ceiling=ceiling,
        )
