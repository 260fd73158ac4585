"""Drivers with a logic output stage: a microcontroller's pin, gates in parallel, a gate-driver IC."""

from __future__ import annotations

import math
from typing import Annotated, Literal

from pydantic import field_validator

from ..errors import InputError, InputProblem
from ..model import Quantity, at_least, positive
from ..quantities import format_quantity
from .driver import OFF_VOLTAGE, Driver, PushPullDriver, driver_current, driver_resistance

__all__ = ["GateDriverIC", "LogicInput", "MicrocontrollerPin", "ParallelGates"]

# Rail of an output that stays low: the simulation needs one that is not exactly zero.
_NO_SUPPLY = 1e-6
# A limit beyond this is none: no driver's output gives as much.
_NO_LIMIT = 200.0


def _voltage_level(doc: str) -> Quantity:
    return Quantity("V", doc, allowed=positive(60.0), usual=at_least(0.5, 20.0))


def _supply_current(doc: str) -> Quantity:
    return Quantity("A", doc, allowed=at_least(0.0, 1.0), usual=at_least(1e-7, 0.05))


class MicrocontrollerPin(Driver):
    """Push-pull pin of a microcontroller.

    A resistance and a limit of current each way; where the data sheet states the output voltage V_OH at the
    current I_OH, the resistance is (supply - V_OH)/I_OH, and V_OL/I_OL when low. The greatest permitted
    current is a rating, no limit: the pin does not keep to it by itself.
    """

    kind: Literal["microcontroller_pin"] = "microcontroller_pin"
    source_resistance: Annotated[float, driver_resistance("Output resistance when high.")]
    sink_resistance: Annotated[float, driver_resistance("Output resistance when low.")]
    source_current_limit: Annotated[
        float | None, driver_current("Most it can source; left out: no limit.")
    ] = None
    sink_current_limit: Annotated[float | None, driver_current("Most it can sink; left out: no limit.")] = (
        None
    )

    def push_pull(self) -> PushPullDriver:
        """Resistances and limits as stated; the pin swings from zero to the supply."""
        return PushPullDriver(
            **self._shared(),
            source_resistance=self.source_resistance,
            sink_resistance=self.sink_resistance,
            source_current_limit=self.source_current_limit,
            sink_current_limit=self.sink_current_limit,
        )


class LogicInput(Driver):
    """Base of drivers with a logic input that another supply's logic may drive."""

    input_threshold: Annotated[
        float | None,
        _voltage_level("Input voltage that is surely taken as high; left out: not checked."),
    ] = None
    logic_level: Annotated[
        float | None,
        _voltage_level("High level of the logic that drives the input; left out: not checked."),
    ] = None


class ParallelGates(LogicInput):
    """Equal logic gates with inputs and outputs in parallel.

    n gates give 1/n of the resistance and n times the limit of one. The delays are those of the output's
    own edges, low to high and high to low, whether the gates invert or not: of inverting gates the input
    moves the other way.
    """

    kind: Literal["parallel_gates"] = "parallel_gates"
    count: Annotated[float, Quantity("", "Gates in parallel.", allowed=at_least(1.0, 100.0))]
    source_resistance: Annotated[float, driver_resistance("Output resistance of one gate when high.")]
    sink_resistance: Annotated[float, driver_resistance("Output resistance of one gate when low.")]
    source_current_limit: Annotated[
        float | None, driver_current("Most that one gate can source; left out: no limit.")
    ] = None
    sink_current_limit: Annotated[
        float | None, driver_current("Most that one gate can sink; left out: no limit.")
    ] = None
    quiescent_current: Annotated[
        float, _supply_current("Supply current of all gates with the inputs at a rail.")
    ] = 0.0

    @field_validator("count")
    @classmethod
    def _whole(cls, value: float) -> float:
        if value != round(value):
            raise InputError([InputProblem("", repr(value), "not a whole number.", "1 to 100")])
        return value

    def push_pull(self) -> PushPullDriver:
        """R/n and n times the limit, each way."""
        n = self.count
        return PushPullDriver(
            **self._shared(),
            source_resistance=self.source_resistance / n,
            sink_resistance=self.sink_resistance / n,
            source_current_limit=n * self.source_current_limit if self.source_current_limit else None,
            sink_current_limit=n * self.sink_current_limit if self.sink_current_limit else None,
        )

    @property
    def on_state_power(self) -> float:
        """Supply voltage times quiescent current [W]."""
        return self.supply_voltage * self.quiescent_current

    @property
    def off_state_power(self) -> float:
        """As in the on-state [W]."""
        return self.on_state_power


class GateDriverIC(LogicInput):
    """CMOS gate-driver IC, by its peak currents, its output resistances, or both.

    With V the span from rail to rail, the resistance R and the peak current I into a short circuit::

        I alone:  R = V/I, no limit
        R alone:  no limit
        both:     R, and the limit L for which the output into a short circuit gives I:
                  I = (V/R)/sqrt(1 + (V/(R L))^2), so 1/L^2 = 1/I^2 - (R/V)^2

    When V/R is not above I the resistance alone holds the current down and there is no limit. The smooth
    limit is that of the push-pull output; the rest is arithmetic.

    With the supply below the lockout threshold the output stays low.
    """

    kind: Literal["gate_driver_ic"] = "gate_driver_ic"
    off_voltage: Annotated[float, OFF_VOLTAGE] = 0.0
    source_resistance: Annotated[float | None, driver_resistance("Output resistance when high.")] = None
    sink_resistance: Annotated[float | None, driver_resistance("Output resistance when low.")] = None
    peak_source_current: Annotated[
        float | None, driver_current("Out of the high output into a short circuit to the off-state rail.")
    ] = None
    peak_sink_current: Annotated[
        float | None, driver_current("Into the low output from the on-state rail.")
    ] = None
    quiescent_current: Annotated[
        float, _supply_current("Supply current while nothing switches, without load.")
    ] = 0.0
    lockout_threshold: Annotated[
        float | None,
        _voltage_level("Supply voltage, rail to rail, below which the output stays low; left out: none."),
    ] = None

    @property
    def span(self) -> float:
        """Voltage from the off-state rail to the on-state rail [V]."""
        return self.supply_voltage - self.off_voltage

    @property
    def is_locked_out(self) -> bool:
        """Whether the supply is below the lockout threshold, so that the output stays low."""
        return self.lockout_threshold is not None and self.span < self.lockout_threshold

    def push_pull(self) -> PushPullDriver:
        """The equations of the class; locked out, an output that stays low."""
        self._require_description()
        source_resistance, source_limit = self._side(self.source_resistance, self.peak_source_current)
        sink_resistance, sink_limit = self._side(self.sink_resistance, self.peak_sink_current)
        fields = self._shared() | {"off_voltage": self.off_voltage}
        if self.is_locked_out:
            fields |= {"supply_voltage": _NO_SUPPLY, "off_voltage": 0.0}
            source_resistance, source_limit = sink_resistance, sink_limit
        return PushPullDriver(
            **fields,
            source_resistance=source_resistance,
            sink_resistance=sink_resistance,
            source_current_limit=source_limit,
            sink_current_limit=sink_limit,
        )

    def unreached_peaks(self) -> list[tuple[str, str]]:
        """Stated peak currents that the stated resistance forbids: field, and what it allows in words."""
        sides = ((self.source_resistance, "peak_source_current"), (self.sink_resistance, "peak_sink_current"))
        return [
            (field, format_quantity(self.span / resistance, "A"))
            for resistance, field in sides
            if resistance is not None and (getattr(self, field) or 0.0) > self.span / resistance * 1.001
        ]

    @property
    def on_state_power(self) -> float:
        """Rail-to-rail voltage times quiescent current [W]."""
        return self.span * self.quiescent_current

    @property
    def off_state_power(self) -> float:
        """As in the on-state [W]."""
        return self.on_state_power

    def _require_description(self) -> None:
        pairs = (("source_resistance", "peak_source_current"), ("sink_resistance", "peak_sink_current"))
        problems = [
            InputProblem(resistance, None, f"missing. Give it, or {peak}, or both.")
            for resistance, peak in pairs
            if getattr(self, resistance) is None and getattr(self, peak) is None
        ]
        if problems:
            raise InputError(problems)

    def _side(self, resistance: float | None, peak: float | None) -> tuple[float, float | None]:
        if resistance is None:
            assert peak is not None
            return self.span / peak, None
        if peak is None or (share := peak * resistance / self.span) >= 1.0:
            return resistance, None
        limit = peak / math.sqrt(1.0 - share**2)
        return resistance, limit if limit <= _NO_LIMIT else None
