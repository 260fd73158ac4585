"""Gate drivers: what all have in common, and the push-pull output to which each is reduced."""

from __future__ import annotations

from abc import abstractmethod
from typing import Annotated, Any, ClassVar, Literal, Self

import numpy as np
from numpy.typing import ArrayLike, NDArray
from pydantic import Field, model_validator

from .. import _core
from ..core import fill
from ..errors import InputError, InputProblem
from ..model import Model, Quantity, at_least, positive
from ..quantities import QuantityError, parse_quantity

__all__ = ["OFF_VOLTAGE", "Driver", "PushPullDriver", "driver_current", "driver_resistance", "own_edge"]

# Knee of the output drops: a fraction of a volt, as of the transistor junctions that cause them.
_DROP_WIDTH = 0.05
_DUTY = Quantity("", "Share of the period for which the output is high.", allowed=at_least(0.0, 1.0))
OFF_VOLTAGE = Quantity(
    "V", "Off-state rail, zero or negative.", allowed=at_least(-30.0, 0.0), usual=at_least(-15.0, 0.0)
)


def driver_resistance(doc: str) -> Quantity:
    """Kind of a driver's output resistance."""
    return Quantity("ohm", doc, allowed=positive(1e6), usual=at_least(0.1, 300.0))


def driver_current(doc: str) -> Quantity:
    """Kind of a driver's output current."""
    return Quantity("A", doc, allowed=positive(200.0), usual=at_least(1e-3, 30.0))


# Of a CMOS output without load, where nobody states another: common practice, no source. What counts is the
# time that its resistance takes to charge the gate, as a rule a multiple of it.
_USUAL_EDGE = 10e-9


def own_edge(doc: str = "Of its unloaded output, rail to rail.") -> Quantity:
    """Kind of a driver's rise or fall time."""
    return Quantity("s", doc, allowed=positive(1e-4), usual=at_least(0.5e-9, 1e-6))


_EDGE = own_edge("Of its unloaded output, rail to rail; left out: 10 ns, common practice without a source.")


def _delay(doc: str) -> Quantity:
    return Quantity("s", doc, allowed=at_least(0.0, 1e-4), usual=at_least(0.5e-9, 2e-6))


def _resting_power(level: str) -> Quantity:
    doc = f"Drawn from the supplies while the output rests {level} and the gate takes nothing."
    return Quantity("W", doc, allowed=at_least(0.0, 1e6), usual=at_least(1e-6, 1.0))


class Driver(Model):
    """Base of all drivers. Each is described in the quantities that its owner knows.

    Its own edges have a default, which the kinds do without whose transistors set the pace.
    """

    always_written: ClassVar[frozenset[str]] = frozenset({"kind"})

    kind: str
    supply_voltage: Annotated[
        float, Quantity("V", "On-state rail.", allowed=positive(60.0), usual=at_least(2.5, 20.0))
    ]
    rise_time: Annotated[float, _EDGE] = _USUAL_EDGE
    fall_time: Annotated[float, _EDGE] = _USUAL_EDGE
    turn_on_delay: Annotated[float, _delay("Command to start of its rise.")] = 0.0
    turn_off_delay: Annotated[float, _delay("Command to start of its fall.")] = 0.0
    rated_current: Annotated[
        float | None,
        driver_current("Largest output current that it is rated for, either way; left out: not judged."),
    ] = None
    thermal_resistance: Annotated[
        float | None,
        Quantity(
            "K/W",
            "Junction to ambient; left out: its temperature is not judged.",
            allowed=positive(1e4),
            usual=at_least(5.0, 500.0),
        ),
    ] = None
    maximum_temperature: Annotated[
        float,
        Quantity(
            "K",
            "Rated limit of its junction; write it like 125 degC.",
            allowed=at_least(233.15, 573.15),
            usual=at_least(333.15, 473.15),
        ),
    ] = 398.15
    name: Annotated[str, Field(description="Free text.")] = ""
    source: Annotated[str, Field(description="Where the data come from.")] = ""

    @abstractmethod
    def push_pull(self) -> PushPullDriver:
        """The same driver as a push-pull output, which is what the simulation uses."""

    def to_core(self) -> Any:
        """The push-pull output, its power at rest included, as a structure of the C++ core."""
        return self.push_pull().output_to_core()

    @property
    def on_state_power(self) -> float:
        """Power [W] drawn from the supplies while the output rests high and the gate takes nothing."""
        return 0.0

    @property
    def off_state_power(self) -> float:
        """Power [W] drawn from the supplies while the output rests low and the gate takes nothing."""
        return 0.0

    def quiescent_power(self, duty: float) -> float:
        """Mean of the power at rest [W] when the output is high for the share `duty` of the time.

        An operating point counts it as the loss "driver at rest".

        Raises:
            InputError: `duty` is not between 0 and 1.
        """
        try:
            share = parse_quantity(duty, _DUTY)
        except QuantityError as error:
            problem = InputProblem("duty", repr(error.value), error.reason, error.allowed, error.hint)
            raise InputError([problem]) from None
        return share * self.on_state_power + (1.0 - share) * self.off_state_power

    @model_validator(mode="after")
    def _has_an_output(self) -> Self:
        self.push_pull()
        return self

    def _shared(self) -> dict[str, Any]:
        """What every push-pull output takes over: supply, times and texts as they are, the power at rest."""
        names = set(Driver.model_fields) - {"kind"}
        at_rest = {"resting_power_high": self.on_state_power, "resting_power_low": self.off_state_power}
        return {name: getattr(self, name) for name in names} | at_rest


class PushPullDriver(Driver):
    """Output stage that connects the gate to the supply rail (on) or to the off-state rail (off).

    Each side is a resistance, with a smooth current limit and a voltage drop where given.
    """

    always_written: ClassVar[frozenset[str]] = frozenset()

    kind: Literal["push_pull"] = "push_pull"
    off_voltage: Annotated[float, OFF_VOLTAGE] = 0.0
    source_resistance: Annotated[float, driver_resistance("Output resistance while it charges the gate.")]
    sink_resistance: Annotated[float, driver_resistance("Output resistance while it discharges the gate.")]
    source_current_limit: Annotated[
        float | None, driver_current("Most it can source; left out: no limit.")
    ] = None
    sink_current_limit: Annotated[float | None, driver_current("Most it can sink; left out: no limit.")] = (
        None
    )
    source_drop: Annotated[
        float,
        Quantity("V", "Lost below the supply rail.", allowed=at_least(0.0, 10.0), usual=at_least(0.05, 3.0)),
    ] = 0.0
    sink_drop: Annotated[
        float,
        Quantity(
            "V", "Left above the off-state rail.", allowed=at_least(0.0, 10.0), usual=at_least(0.05, 3.0)
        ),
    ] = 0.0
    leakage_resistance: Annotated[
        float,
        Quantity(
            "ohm",
            "From the output to the rail it is driven to, beside drops and limits.",
            allowed=positive(1e12),
            usual=at_least(1e3, 1e9),
        ),
    ] = 100e3
    resting_power_high: Annotated[float, _resting_power("high")] = 0.0
    resting_power_low: Annotated[float, _resting_power("low")] = 0.0

    @property
    def on_state_power(self) -> float:
        """As stated [W]."""
        return self.resting_power_high

    @property
    def off_state_power(self) -> float:
        """As stated [W]."""
        return self.resting_power_low

    def push_pull(self) -> PushPullDriver:
        """Itself."""
        return self

    def stronger(self, factor: float) -> PushPullDriver:
        """An output of `factor` times the strength: less resistance, higher limits, the rest the same."""
        currents = ("source_current_limit", "sink_current_limit", "rated_current")
        limits = {name: getattr(self, name) for name in currents}
        resistances = ("source_resistance", "sink_resistance")
        return self.replace(
            {name: getattr(self, name) / factor for name in resistances}
            | {name: limit * factor for name, limit in limits.items() if limit is not None}
        )

    def output_current(self, voltage: ArrayLike, *, on: bool) -> NDArray[np.float64]:
        """Current [A] out of the output that rests in one state, at output voltages [V] of any shape.

        The law is that of `driver_output.h`: resistance, drop, smooth limit, leakage.
        """
        output = np.asarray(voltage, dtype=np.float64)
        law = self.output_to_core().output
        up, down = self.supply_voltage - output, output - self.off_voltage
        return np.asarray(_core.driver_current(law, up, down, np.full_like(output, float(on))))

    def output_to_core(self) -> Any:
        """Output stage, rails, timing and power at rest as a structure of the C++ core."""
        output = fill(
            _core.DriverOutput(),
            source_resistance=self.source_resistance,
            sink_resistance=self.sink_resistance,
            inverse_source_limit=_inverse(self.source_current_limit),
            inverse_sink_limit=_inverse(self.sink_current_limit),
            source_drop=self.source_drop,
            sink_drop=self.sink_drop,
            drop_width=_DROP_WIDTH,
            leakage_conductance=1.0 / self.leakage_resistance,
        )
        timing = fill(
            _core.CommandTiming(),
            turn_on_delay=self.turn_on_delay,
            turn_off_delay=self.turn_off_delay,
            rise_time=self.rise_time,
            fall_time=self.fall_time,
        )
        return fill(
            _core.PushPullDriver(),
            output=output,
            supply_voltage=self.supply_voltage,
            off_voltage=self.off_voltage,
            timing=timing,
            on_state_power=self.resting_power_high,
            off_state_power=self.resting_power_low,
        )


def _inverse(limit: float | None) -> float:
    """1/limit [1/A]; the core writes "no limit" as zero."""
    return 0.0 if limit is None else 1.0 / limit
