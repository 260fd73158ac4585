"""Mean and ripple of the load current by hand: one that never stops, one that does, that of LEDs."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from .. import formulas
from ..circuit.loads import LedString, Solenoid
from ..studies.results import OperatingPoint
from .listing import Bias, Given, HandFigure

__all__ = ["load_figures"]

_RIPPLE = Bias(0.8, 1.2, "the resistance of the load, the drops of switch and diode")
_MEAN = Bias(0.9, 1.1, "the on-state voltage, the time of the edges")
_FROM_REST = Bias(0.85, 1.15, "the on-state voltage, the ring after the current has stopped")
_LEDS = Bias(0.8, 1.2, "the rounding of the LEDs' knee, the time of the edges")
_RIPPLE_DEFINITION = "highest less lowest load current of the period"
_MEAN_DEFINITION = "mean load current of the period"


def load_figures(point: OperatingPoint, forward_voltage: Given) -> Iterator[HandFigure]:
    """The figures of a load that has them, given the forward voltage of the freewheel diode [V]."""
    load = point.cell.load
    if load.inductance > 0.0:
        yield from _Inductive(point, forward_voltage).figures()
    elif isinstance(load, LedString):
        yield HandFigure(
            "mean_load_current",
            _MEAN_DEFINITION,
            point.mean_load_current,
            formulas.led_string_current,
            {
                "voltage": Given(point.cell.bus.voltage, "bus.voltage"),
                "duty": Given(point.duty, "duty"),
                "string_voltage": Given(load.string_voltage, "load: count times forward_voltage"),
                "resistance": Given(load.resistance, "load.resistance"),
            },
            _LEDS,
        )


class _Inductive:
    """A load with inductance at an operating point."""

    def __init__(self, point: OperatingPoint, forward_voltage: Given) -> None:
        load = point.cell.load
        self.point = point
        self.voltage = {"voltage": Given(point.cell.bus.voltage, "bus.voltage")}
        self.duty = {"duty": Given(point.duty, "duty")}
        self.timed = {
            "inductance": Given(load.inductance, "load.inductance"),
            "frequency": Given(point.frequency, "frequency"),
        }
        self.resistance = {"resistance": Given(float(load.to_core().resistance), "load.resistance")}
        against = load.opposing_voltage(max(0.0, point.mean_load_current))
        self.opposing = {"opposing_voltage": Given(against, "load, at its mean current")}
        self.forward = {"forward_voltage": forward_voltage}
        self.core_resistance = load.core_resistance if isinstance(load, Solenoid) else None

    def figures(self) -> Iterator[HandFigure]:
        if self.point.cell.freewheel is None or self.resistance["resistance"].value == 0.0:
            yield self._ripple()
        elif self._stops():
            yield from self._from_rest()
        else:
            yield self._ripple()
            yield self._mean()

    def _stops(self) -> bool:
        inputs = self.voltage | self.duty | self.forward | self.opposing | self.resistance | self.timed
        return float(formulas.valley_current(**_values(inputs))) < 0.0

    def _ripple(self) -> HandFigure:
        inputs = self.voltage | self.duty | self.timed
        formula: Any = formulas.ripple_current
        if self.core_resistance is not None:
            core = {"core_resistance": Given(self.core_resistance, "load.core_resistance")}
            formula, inputs = (
                formulas.ripple_current_with_core,
                inputs | self.forward | self.resistance | core,
            )
        return HandFigure(
            "load_current_ripple",
            _RIPPLE_DEFINITION,
            self.point.load_current_ripple,
            formula,
            inputs,
            _RIPPLE,
        )

    def _mean(self) -> HandFigure:
        return HandFigure(
            "mean_load_current",
            _MEAN_DEFINITION,
            self.point.mean_load_current,
            formulas.mean_load_current,
            self.voltage | self.duty | self.forward | self.opposing | self.resistance,
            _MEAN,
        )

    def _from_rest(self) -> Iterator[HandFigure]:
        peak = self.voltage | self.duty | self.opposing | self.resistance | self.timed
        yield HandFigure(
            "load_current_ripple",
            _RIPPLE_DEFINITION,
            self.point.load_current_ripple,
            formulas.current_from_rest,
            peak,
            _FROM_REST,
        )
        highest = Given(float(formulas.current_from_rest(**_values(peak))), "by hand: load_current_ripple")
        fading = self.forward | self.opposing | self.resistance | self.timed | {"peak_current": highest}
        share = float(formulas.current_extinction_share(**_values(fading)))
        yield HandFigure(
            "mean_load_current",
            _MEAN_DEFINITION,
            self.point.mean_load_current,
            formulas.discontinuous_mean_current,
            self.voltage
            | self.duty
            | self.forward
            | self.opposing
            | self.resistance
            | {"extinction": Given(share, "by hand: until the current has died")},
            _FROM_REST,
        )


def _values(inputs: dict[str, Given]) -> dict[str, float]:
    return {name: given.value for name, given in inputs.items()}
