"""Drivers built around transistors: totem pole, pull-up, emitter follower, optocoupler."""

from __future__ import annotations

import math
from typing import Annotated, Literal

from ..errors import InputError, InputProblem
from ..model import Quantity, at_least, positive
from ..quantities import format_quantity
from .driver import OFF_VOLTAGE, Driver, PushPullDriver, driver_current, driver_resistance, own_edge

__all__ = ["BipolarTotemPole", "EmitterFollower", "OptocouplerDriver", "PullUpTransistor"]

# Leakage beside a weak output: a hundredth and less of what a transistor of milliamperes conducts.
_WEAK_LEAKAGE = 1e6
# A resistor comes through only once the far stronger transistor has let go, at the very end of the push-pull
# edge. It is to take over in the middle of the transistor's own edge, so the output's is a hundredth as long.
_SHARPNESS = 100.0


def _drop(doc: str) -> Quantity:
    return Quantity("V", doc, allowed=at_least(0.0, 10.0), usual=at_least(0.05, 3.0))


def _storage(doc: str) -> Quantity:
    return Quantity("s", doc, allowed=at_least(0.0, 1e-4), usual=at_least(0.5e-9, 5e-6))


def _gain(doc: str) -> Quantity:
    return Quantity("", doc, allowed=at_least(1.0, 1e5), usual=at_least(10.0, 1e4))


def _small_current(doc: str) -> Quantity:
    return Quantity("A", doc, allowed=positive(10.0), usual=at_least(10e-6, 1.0))


def _weak_resistor(doc: str) -> Quantity:
    return Quantity("ohm", doc, allowed=positive(1e5), usual=at_least(50.0, 1e5))


_SATURATION_RESISTANCE = Quantity(
    "ohm", "Of the saturated transistor.", allowed=positive(1e3), usual=at_least(0.1, 100.0)
)


def _beside_leakage(resistance: float) -> float:
    """Resistance [ohm] that makes `resistance` together with the leakage in parallel."""
    return 1.0 / (1.0 / resistance - 1.0 / _WEAK_LEAKAGE)


def _resistor_edge(delay: float, edge: float) -> tuple[float, float]:
    """Delay and length [s] of the sharper edge with the same middle."""
    return delay + 0.5 * edge * (1.0 - 1.0 / _SHARPNESS), edge / _SHARPNESS


def _mean_current(first: float, last: float) -> float:
    """Logarithmic mean of two currents [A].

    A current that falls linearly with the output voltage, from `first` to `last`, charges a constant
    capacitance C by V in C V ln(first/last)/(first - last). This is the constant current that takes as long.
    """
    excess = (first - last) / last
    return last if excess == 0.0 else last * excess / math.log1p(excess)


def _net_limit(field: str, transistor: float, resistor: float, hint: str) -> float:
    """What the gate gets of a transistor's current [A] that also feeds a resistor with up to `resistor` [A].

    Raises:
        InputError: the transistor does not give what the resistor takes; the output would stop half-way.
    """
    if transistor <= resistor:
        given, taken = format_quantity(transistor, "A"), format_quantity(resistor, "A")
        reason = f"the transistor conducts {given}, but the resistor takes {taken} at the end of the swing."
        raise InputError([InputProblem(field, None, reason, hint=hint)])
    return _mean_current(transistor, transistor - resistor)


class TransistorDriver(Driver):
    """Base of drivers whose own edges are those of a transistor out of saturation: they must be stated."""

    rise_time: Annotated[float, own_edge()]
    fall_time: Annotated[float, own_edge()]


class BipolarTotemPole(TransistorDriver):
    """Output of two bipolar transistors on top of each other, or of a Darlington above a saturated switch.

    High, it stops short of the supply by `high_side_drop` (two base-emitter voltages, about 1.5 V); low, it
    stops above the off-state rail by `low_side_drop` (a saturation voltage, about 0.2 V). The saturated lower
    transistor must give up its stored charge before the output can rise, so the storage time adds to the
    turn-on delay.
    """

    kind: Literal["bipolar_totem_pole"] = "bipolar_totem_pole"
    off_voltage: Annotated[float, OFF_VOLTAGE] = 0.0
    high_side_drop: Annotated[float, _drop("Lost below the supply rail when high.")] = 1.5
    low_side_drop: Annotated[float, _drop("Left above the off-state rail when low.")] = 0.2
    source_resistance: Annotated[float, driver_resistance("Output resistance beyond the drop when high.")]
    sink_resistance: Annotated[float, driver_resistance("Output resistance beyond the drop when low.")]
    source_current_limit: Annotated[float, driver_current("Most it can source.")]
    sink_current_limit: Annotated[float, driver_current("Most it can sink.")]
    storage_time: Annotated[
        float, _storage("Until the lower transistor leaves saturation; delays the rise.")
    ] = 0.0
    high_state_current: Annotated[
        float, Quantity("A", "Supply current when high, without load.", allowed=at_least(0.0, 1.0))
    ] = 0.0
    low_state_current: Annotated[
        float, Quantity("A", "Supply current when low, without load.", allowed=at_least(0.0, 1.0))
    ] = 0.0

    def push_pull(self) -> PushPullDriver:
        """Drops, resistances and limits as stated; storage added to the turn-on delay."""
        delay = self.turn_on_delay + self.storage_time
        return PushPullDriver(
            **self._shared() | {"turn_on_delay": delay},
            off_voltage=self.off_voltage,
            source_resistance=self.source_resistance,
            sink_resistance=self.sink_resistance,
            source_current_limit=self.source_current_limit,
            sink_current_limit=self.sink_current_limit,
            source_drop=self.high_side_drop,
            sink_drop=self.low_side_drop,
        )

    @property
    def on_state_power(self) -> float:
        """Rail-to-rail voltage times the supply current when high [W]."""
        return (self.supply_voltage - self.off_voltage) * self.high_state_current

    @property
    def off_state_power(self) -> float:
        """Rail-to-rail voltage times the supply current when low [W]."""
        return (self.supply_voltage - self.off_voltage) * self.low_state_current


class PullUpTransistor(TransistorDriver):
    """One transistor to ground with a pull-up resistor to the supply: it inverts.

    On, the gate charges through the pull-up R alone, towards the supply V. Off, the transistor conducts
    beta I_B, of which the pull-up takes (V - v)/R, up to (V - V_sat)/R at the end of the swing; the limit of
    current out of the gate is the constant current that takes as long (logarithmic mean of both ends). The
    transistor's storage delays the rise. The saturation voltage is not held for long: the knee of the
    push-pull output is 50 mV wide, and below a few of these widths it leaks.
    """

    kind: Literal["pull_up_transistor"] = "pull_up_transistor"
    pull_up_resistance: Annotated[float, _weak_resistor("From the output to the supply.")]
    base_current: Annotated[float, _small_current("Into the base while the transistor conducts.")]
    current_gain: Annotated[float, _gain("Collector current over base current, at the limit.")]
    saturation_voltage: Annotated[float, _drop("Left on the output when low.")] = 0.2
    saturation_resistance: Annotated[float, _SATURATION_RESISTANCE] = 1.0
    storage_time: Annotated[float, _storage("Until the transistor leaves saturation; delays the rise.")] = 0.0

    @property
    def static_current(self) -> float:
        """Through pull-up and transistor while the output is low [A]."""
        return max(self.supply_voltage - self.saturation_voltage, 0.0) / self.pull_up_resistance

    def push_pull(self) -> PushPullDriver:
        """The equations of the class."""
        limit = _net_limit(
            "base_current",
            self.current_gain * self.base_current,
            self.static_current,
            "Raise base_current or pull_up_resistance.",
        )
        delay, rise_time = _resistor_edge(self.turn_on_delay + self.storage_time, self.rise_time)
        return PushPullDriver(
            **self._shared() | {"turn_on_delay": delay, "rise_time": rise_time},
            source_resistance=_beside_leakage(self.pull_up_resistance),
            sink_resistance=self.saturation_resistance,
            sink_current_limit=limit,
            sink_drop=self.saturation_voltage,
            leakage_resistance=_WEAK_LEAKAGE,
        )

    @property
    def off_state_power(self) -> float:
        """Supply voltage times static current [W]; the base's own drive is not counted."""
        return self.supply_voltage * self.static_current


class EmitterFollower(TransistorDriver):
    """Complementary emitter followers whose bases swing from rail to rail.

    The output stops one base-emitter voltage short of either rail. Seen from the gate, the resistance that
    drives the bases is divided by the current gain (emitter over base current, beta + 1), and the emitter
    resistor adds to it: R = R_B/(beta + 1) + R_E. The limit is beta + 1 times that of the base current,
    or stated directly; where both are given, the smaller one holds.
    """

    kind: Literal["emitter_follower"] = "emitter_follower"
    off_voltage: Annotated[float, OFF_VOLTAGE] = 0.0
    base_emitter_voltage: Annotated[float, _drop("Lost at either end.")] = 0.7
    base_resistance: Annotated[
        float,
        Quantity(
            "ohm",
            "Of what drives the bases, to either rail.",
            allowed=positive(1e5),
            usual=at_least(1.0, 1e4),
        ),
    ]
    current_gain: Annotated[float, _gain("Collector current over base current, beta.")]
    emitter_resistance: Annotated[
        float,
        Quantity(
            "ohm", "In series with either emitter.", allowed=at_least(0.0, 1e3), usual=at_least(0.1, 100.0)
        ),
    ] = 0.0
    base_current_limit: Annotated[
        float | None, _small_current("Most that drives the bases; left out: no limit.")
    ] = None
    current_limit: Annotated[
        float | None, driver_current("Most that the output carries, each way; left out: no limit.")
    ] = None

    def push_pull(self) -> PushPullDriver:
        """The equations of the class."""
        gain = self.current_gain + 1.0
        resistance = self.base_resistance / gain + self.emitter_resistance
        by_base = gain * self.base_current_limit if self.base_current_limit else None
        limit = min((one for one in (by_base, self.current_limit) if one is not None), default=None)
        return PushPullDriver(
            **self._shared(),
            off_voltage=self.off_voltage,
            source_resistance=resistance,
            sink_resistance=resistance,
            source_current_limit=limit,
            sink_current_limit=limit,
            source_drop=self.base_emitter_voltage,
            sink_drop=self.base_emitter_voltage,
        )


class OptocouplerDriver(TransistorDriver):
    """Optocoupler with a transistor output from supply to gate, and a load resistor from gate to ground.

    On, the phototransistor conducts k I_F, transfer ratio times LED current, of which the load resistor R
    takes v/R, up to (V - V_sat)/R at the end of the swing; the limit of current into the gate is the constant
    current that takes as long (logarithmic mean of both ends). Off, the gate discharges through R alone. The
    delays are long and unequal; a greater load resistance lengthens the turn-off. The transfer ratio falls
    with age and heat: take the least.

    With the load resistor on the supply's side instead, it is a `PullUpTransistor` whose base current is the
    LED current and whose current gain is the transfer ratio.
    """

    kind: Literal["optocoupler"] = "optocoupler"
    led_current: Annotated[
        float, Quantity("A", "While the LED is lit.", allowed=positive(1.0), usual=at_least(0.5e-3, 0.06))
    ]
    led_voltage: Annotated[
        float, Quantity("V", "Of the lit LED.", allowed=positive(5.0), usual=at_least(1.0, 2.5))
    ] = 1.2
    transfer_ratio: Annotated[
        float,
        Quantity(
            "",
            "Phototransistor current over LED current.",
            allowed=positive(100.0),
            usual=at_least(0.1, 20.0),
        ),
    ]
    load_resistance: Annotated[float, _weak_resistor("From the output to the off-state rail.")]
    saturation_voltage: Annotated[float, _drop("Lost below the supply rail when high.")] = 0.2
    saturation_resistance: Annotated[float, _SATURATION_RESISTANCE] = 10.0
    rise_time: Annotated[
        float, Quantity("s", "Of its unloaded output.", allowed=positive(1e-4), usual=at_least(50e-9, 3e-5))
    ]
    fall_time: Annotated[
        float, Quantity("s", "Of its unloaded output.", allowed=positive(1e-4), usual=at_least(50e-9, 3e-5))
    ]
    turn_on_delay: Annotated[
        float, Quantity("s", "Command to start of its rise.", allowed=at_least(0.0, 1e-4))
    ] = 0.0
    turn_off_delay: Annotated[
        float, Quantity("s", "Command to start of its fall.", allowed=at_least(0.0, 1e-4))
    ] = 0.0

    @property
    def static_current(self) -> float:
        """Through phototransistor and load resistor while the output is high [A]."""
        return max(self.supply_voltage - self.saturation_voltage, 0.0) / self.load_resistance

    def push_pull(self) -> PushPullDriver:
        """The equations of the class."""
        limit = _net_limit(
            "led_current",
            self.transfer_ratio * self.led_current,
            self.static_current,
            "Raise led_current or load_resistance.",
        )
        delay, fall_time = _resistor_edge(self.turn_off_delay, self.fall_time)
        return PushPullDriver(
            **self._shared() | {"turn_off_delay": delay, "fall_time": fall_time},
            source_resistance=self.saturation_resistance,
            sink_resistance=_beside_leakage(self.load_resistance),
            source_current_limit=limit,
            source_drop=self.saturation_voltage,
            leakage_resistance=_WEAK_LEAKAGE,
        )

    @property
    def on_state_power(self) -> float:
        """Of output and LED [W]; the resistor in series with the LED is not counted."""
        return self.supply_voltage * self.static_current + self.led_voltage * self.led_current
