"""What the cell switches: resistance and inductance, motor, solenoid, string of LEDs."""

from __future__ import annotations

import math
from abc import abstractmethod
from typing import Annotated, Any, ClassVar, Literal, Self

from pydantic import BeforeValidator, field_validator, model_validator

from .. import _core
from ..core import fill
from ..errors import InputError, InputProblem
from ..model import Model, Quantity, at_least, positive
from .diode import require_exponential
from .kinds import of_kind

__all__ = ["LOAD_KINDS", "AnyLoad", "BaseLoad", "LedString", "Load", "Motor", "Solenoid"]

_INDUCTANCE = Quantity(
    "H", "In series with the resistance.", allowed=at_least(0.0, 10.0), usual=at_least(1e-9, 1.0)
)


def _winding_resistance(doc: str) -> Quantity:
    return Quantity("ohm", doc, allowed=positive(1e7), usual=at_least(1e-3, 1e4))


def _winding_inductance(doc: str) -> Quantity:
    return Quantity("H", doc, allowed=positive(10.0), usual=at_least(1e-6, 5.0))


def _coil_current(doc: str) -> Quantity:
    return Quantity("A", doc, allowed=positive(2e3), usual=at_least(1e-3, 100.0))


class BaseLoad(Model):
    """Base of what lies between the bus and the switch."""

    resistance: float
    inductance: float

    @property
    def is_inductive(self) -> bool:
        """Whether the current must go on somewhere when the switch opens."""
        return self.inductance > 0.0

    def opposing_voltage(self, current: float) -> float:
        """Voltage [V] against a current [A] beside that of resistance and inductance."""
        return float(_core.opposing_voltage(self.to_core(), current))

    def settled_current(self, voltage: float, series_resistance: float = 0.0) -> float:
        """Current [A] at a constant voltage [V] across the load and a resistance [ohm] in series.

        Infinite where nothing limits it.
        """
        core = self.to_core()
        core.resistance += series_resistance
        return float(_core.settled_current(core, voltage)) if core.resistance > 0.0 else math.inf

    @abstractmethod
    def to_core(self) -> Any:
        """The same as a structure of the C++ core."""


class Load(BaseLoad):
    """Resistance and inductance in series, or an inductive load so large that its current stays constant."""

    resistance: Annotated[
        float, Quantity("ohm", "Of the load.", allowed=at_least(0.0, 1e7), usual=at_least(1e-3, 1e6))
    ] = 0.0
    inductance: Annotated[float, _INDUCTANCE] = 0.0
    constant_current: Annotated[
        float | None,
        Quantity(
            "A", "Instead of resistance and inductance.", allowed=positive(2e3), usual=at_least(1e-3, 300.0)
        ),
    ] = None

    @model_validator(mode="after")
    def _one_kind(self) -> Self:
        if self.constant_current is not None and (self.resistance or self.inductance):
            reason = "excludes resistance and inductance."
            raise InputError([InputProblem("constant_current", None, reason, hint="Give one or the other.")])
        if self.constant_current is None and self.resistance == 0.0 and self.inductance == 0.0:
            hint = "Give resistance, inductance or constant_current."
            raise InputError([InputProblem("", None, "a load of nothing shorts the supply.", hint=hint)])
        return self

    @property
    def is_inductive(self) -> bool:
        """Whether the current must go on somewhere when the switch opens."""
        return self.constant_current is not None or self.inductance > 0.0

    def settled_current(self, voltage: float, series_resistance: float = 0.0) -> float:
        """As of any load; a constant current is itself [A]."""
        if self.constant_current is not None:
            return self.constant_current
        return super().settled_current(voltage, series_resistance)

    def to_core(self) -> Any:
        """The same as a structure of the C++ core."""
        return fill(_core.Load(), **{name: getattr(self, name) for name in type(self).model_fields})


class Motor(BaseLoad):
    """Direct-current motor at one speed: winding and back-EMF in series.

    The speed is taken as constant over a period, so the back-EMF is a constant voltage against the current;
    0 is the rotor at rest: the start, or a stall. Where it stops the current within the off-time, conduction
    is discontinuous. Back-EMF times current is what drives the shaft, bearings and iron included; the heat of
    the winding is in the load power and not in the losses of the stage.
    """

    always_written: ClassVar[frozenset[str]] = frozenset({"kind"})

    kind: Literal["motor"] = "motor"
    resistance: Annotated[float, _winding_resistance("Of winding and brushes.")]
    inductance: Annotated[float, _winding_inductance("Of the winding.")]
    back_emf: Annotated[
        float,
        Quantity(
            "V",
            "At the speed looked at, of the opposite sign to the bus; 0: the rotor at rest.",
            allowed=at_least(0.0, 1500.0),
            usual=at_least(0.0, 600.0),
        ),
    ] = 0.0

    def to_core(self) -> Any:
        """The same as a structure of the C++ core."""
        return fill(
            _core.Load(), resistance=self.resistance, inductance=self.inductance, back_emf=self.back_emf
        )


class Solenoid(BaseLoad):
    """Coil of a solenoid, valve or relay, its armature at rest.

    Eddy currents are a resistance across the inductance: at a step of the voltage V it takes V/R at once,
    and it keeps the flux up when the coil current is gone. The inductance is that of one position of the
    armature; its motion is not modelled.
    """

    always_written: ClassVar[frozenset[str]] = frozenset({"kind"})

    kind: Literal["solenoid"] = "solenoid"
    resistance: Annotated[float, _winding_resistance("Of the coil.")]
    inductance: Annotated[float, _winding_inductance("Of the coil.")]
    core_resistance: Annotated[
        float | None,
        Quantity(
            "ohm",
            "Across the inductance, for eddy currents; left out: none.",
            allowed=positive(1e9),
            usual=at_least(1.0, 1e6),
        ),
    ] = None
    pull_in_current: Annotated[
        float | None, _coil_current("From which the armature moves in; left out: not checked.")
    ] = None
    hold_current: Annotated[
        float | None, _coil_current("Down to which it stays in; left out: not checked.")
    ] = None

    @model_validator(mode="after")
    def _holds_below_pull_in(self) -> Self:
        pull_in, hold = self.pull_in_current, self.hold_current
        if pull_in is not None and hold is not None and hold > pull_in:
            reason = "an armature that is in needs less current than one that is to move."
            raise InputError([InputProblem("hold_current", repr(hold), reason, f"up to {pull_in:g} A")])
        return self

    def pull_in_time(self, voltage: float) -> float:
        """Time [s] that a constant voltage [V] takes from no current to the pull-in current.

        t = -(L/R) ln(1 - R I/V), the exponential of a coil without eddy currents; infinite where V/R stays
        below the pull-in current, NaN where that is not given.
        """
        if self.pull_in_current is None:
            return math.nan
        share = self.resistance * self.pull_in_current / voltage
        return -self.inductance / self.resistance * math.log1p(-share) if share < 1.0 else math.inf

    def to_core(self) -> Any:
        """The same as a structure of the C++ core."""
        names = ("resistance", "inductance", "core_resistance")
        return fill(_core.Load(), **{name: getattr(self, name) for name in names})


class LedString(BaseLoad):
    """Equal LEDs in series with a resistor, and an inductance where there is one.

    A LED is an exponential junction through its stated forward point, with a series resistance of its own:
    i = I_S (exp((v - r i)/n V_T) - 1). In series they are one junction of n times the voltage and an n-th of
    the capacitance. What enters the junctions counts as useful power, light and heat of the LEDs alike; the
    LEDs stay at the temperature for which they are stated.
    """

    always_written: ClassVar[frozenset[str]] = frozenset({"kind"})

    kind: Literal["led_string"] = "led_string"
    count: Annotated[float, Quantity("", "LEDs in series.", allowed=at_least(1.0, 500.0))]
    forward_voltage: Annotated[
        float,
        Quantity("V", "Of one at forward_current.", allowed=positive(10.0), usual=at_least(1.2, 4.5)),
    ]
    forward_current: Annotated[
        float,
        Quantity(
            "A",
            "At which forward_voltage holds.",
            allowed=positive(100.0),
            usual=at_least(1e-3, 10.0),
        ),
    ]
    emission_voltage: Annotated[
        float,
        Quantity(
            "V",
            "Slope n k T/q of one junction's exponential; LEDs are far from the 26 mV of an ideal one.",
            allowed=positive(1.0),
            usual=at_least(0.03, 0.2),
        ),
    ] = 0.08
    led_resistance: Annotated[
        float,
        Quantity("ohm", "In series inside each LED.", allowed=at_least(0.0, 1e3), usual=at_least(0.01, 50.0)),
    ] = 0.0
    led_capacitance: Annotated[
        float, Quantity("F", "Of one junction.", allowed=positive(1e-6), usual=at_least(10e-12, 10e-9))
    ] = 200e-12
    resistance: Annotated[
        float,
        Quantity("ohm", "In series with the string.", allowed=at_least(0.0, 1e7), usual=at_least(1e-3, 1e5)),
    ] = 0.0
    inductance: Annotated[float, _INDUCTANCE] = 0.0

    @field_validator("count")
    @classmethod
    def _whole(cls, value: float) -> float:
        if value != round(value):
            raise InputError([InputProblem("", repr(value), "not a whole number.", "1 to 500")])
        return value

    @model_validator(mode="after")
    def _is_possible(self) -> Self:
        require_exponential(self, self.led_resistance)
        if self.resistance == 0.0 and self.led_resistance == 0.0:
            reason = "nothing but the junctions' exponential limits the current."
            raise InputError([InputProblem("resistance", None, reason, hint="Give the series resistor.")])
        return self

    @property
    def string_voltage(self) -> float:
        """Of all LEDs at forward_current [V]."""
        return self.count * self.forward_voltage

    def to_core(self) -> Any:
        """The same as a structure of the C++ core."""
        junction = fill(
            _core.JunctionDiode(),
            saturation_current=_core.saturation_current_for(
                self.forward_voltage, self.forward_current, self.led_resistance, self.emission_voltage
            ),
            emission_voltage=self.count * self.emission_voltage,
        )
        leds = fill(_core.LedString(), junction=junction, capacitance=self.led_capacitance / self.count)
        return fill(
            _core.Load(),
            resistance=self.resistance + self.count * self.led_resistance,
            inductance=self.inductance,
            leds=leds,
        )


# The class of each kind, by the text that a design file gives; a load without a kind is a Load.
LOAD_KINDS: dict[str, type[BaseLoad]] = {
    one.model_fields["kind"].default: one for one in (Motor, Solenoid, LedString)
}


def _load_from(value: object) -> BaseLoad:
    return of_kind(value, LOAD_KINDS, Load, "load")


AnyLoad = Annotated[Load | Motor | Solenoid | LedString, BeforeValidator(_load_from)]
