"""The figures of a half bridge by hand, beside the simulated ones: losses of each side, load current."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any, Literal

from .. import formulas
from ..circuit.cell import LowSideCell
from ..circuit.half_bridge import BridgeSwitch
from ..circuit.loads import Load
from ..errors import SimulationError
from ..studies.bridge_point import HalfBridgePoint
from .circuit import HandCircuit
from .listing import Bias, Given, HandFigure, HandFormulas

__all__ = ["bridge_formulas"]

_CONDUCTION = Bias(0.85, 1.3, "the settling of the gate, the ring of the loop")
# What a hard edge loses below 10 % of the bus counts as conduction, see bridge_losses.h.
_HARD_CONDUCTION = Bias(
    0.85, 2.0, "the ends of the edges below 10 % of the bus, the ring of the loop after them"
)
_GATE_SHARE = Bias(0.7, 1.3, "a driver's limit and drop, steering diode, currents that the drain drives")
_DEAD_TIME = Bias(
    0.3,
    1.2,
    "delays of drivers and gates, the time in which the node swings, different currents at both edges",
)
_RIPPLE = Bias(0.8, 1.2, "the drops of load and switches, a ripple of the output")
_MEAN = Bias(0.9, 1.1, "the drops of the switches, the time of the edges")
Side = Literal["high", "low"]
_SIDES: tuple[Side, ...] = ("high", "low")


def bridge_formulas(point: HalfBridgePoint) -> HandFormulas:
    """Every figure of the point that has a hand formula.

    Raises:
        SimulationError: the run did not finish, so there is nothing to compare with.
    """
    if point.status not in ("success", "not_periodic"):
        raise SimulationError(point.status, point.message)
    return HandFormulas("Half bridge by hand", tuple(_Bridge(point).figures()))


class _Bridge:
    """One half bridge in steady state."""

    def __init__(self, point: HalfBridgePoint) -> None:
        self.point, self.cell = point, point.cell
        self.rms = point.rms_load_current
        self.current = Given(abs(point.mean_load_current), "simulated: mean_load_current")
        self.ripple = Given(point.load_current_ripple, "simulated: load_current_ripple")
        self.frequency = Given(point.frequency, "frequency")
        self.both_off = min(2.0 * max(0.0, point.dead_time) * point.frequency, 1.0 - point.duty)
        self.at = {side: self._circuit(side) for side in _SIDES}

    def figures(self) -> Iterator[HandFigure]:
        if not (self.rms > 0.0 and 0.0 < self.point.duty < 1.0):
            return
        switching = [
            side for side in _SIDES if side == self.point.active or self.both_off < 1.0 - self.point.duty
        ]
        for side in switching:
            yield self._conduction(side)
        if self.both_off > 0.0 and self.soft_side is not None:
            yield self._dead_time(self.soft_side)
        for side in switching:
            if getattr(self.cell, side).pull_down_resistance is None:
                yield self._gate(side)
        yield from self._load()

    def _circuit(self, side: Side) -> HandCircuit:
        """The switch as hand formulas see it, at the temperature found and with the supply it has."""
        part: BridgeSwitch = getattr(self.cell, side)
        driver = part.driver.push_pull()
        if side == "high" and math.isfinite(self.point.high_supply_minimum):
            driver = driver.replace(supply_voltage=self.point.high_supply_minimum)
        shared = LowSideCell.model_fields.keys() & BridgeSwitch.model_fields.keys()
        fields = {name: getattr(part, name) for name in shared - {"cooling", "snubber"}}
        found = getattr(self.point, side).junction_temperature
        hot = {"junction_temperature": found} if math.isfinite(found) else {}
        cell = LowSideCell(
            bus=self.cell.bus.voltage, load=Load(resistance=1.0), **fields | {"driver": driver} | hot
        )
        return HandCircuit(cell, self.rms)

    def _conduction(self, side: Side) -> HandFigure:
        duty = self.point.duty
        if side == self.point.active:
            share = Given(duty, "duty")
        else:
            share = Given(1.0 - duty - self.both_off, "what duty and dead times leave")
        return HandFigure(
            f"{side}_conduction_loss",
            f"heat in channel and drift region of the {side} side while its v_DS is below 10 % of the bus",
            self._loss(side, "conduction"),
            formulas.conduction_loss,
            {
                "resistance": self.at[side].on_state_resistance,
                "duty": share,
                "current": self.current,
                "ripple": self.ripple,
            },
            _CONDUCTION if side == self.soft_side else _HARD_CONDUCTION,
        )

    @property
    def soft_side(self) -> Side | None:
        """Whose diodes carry the current in both dead times; ``None`` where the ripple turns it round."""
        mean = self.point.mean_load_current
        if abs(mean) <= 0.5 * self.ripple.value:
            return None
        return "low" if mean > 0.0 else "high"

    def _dead_time(self, side: Side) -> HandFigure:
        simulated = sum(
            self._loss(side, cause)
            for side in _SIDES
            for cause in ("reverse conduction", "freewheel conduction")
        )
        return HandFigure(
            "dead_time_loss",
            "heat in body and anti-parallel diodes that conduct forward",
            simulated,
            formulas.diode_conduction_loss,
            {
                "forward_voltage": self._forward_voltage(side),
                "current": self.current,
                "duty": Given(1.0 - self.both_off, "all but the dead times"),
            },
            _DEAD_TIME,
        )

    def _forward_voltage(self, side: Side) -> Given:
        """Of the body diode, or of the anti-parallel one where that takes less [V]."""
        part: BridgeSwitch = getattr(self.cell, side)
        body = part.mosfet.to_core(self.at[side].cell.junction_temperature).body_diode
        drops = {"body diode": _drop(body, self.current.value)}
        if part.diode is not None:
            found = getattr(self.point, side).diode_temperature
            at = found if math.isfinite(found) else part.diode_temperature
            drop = _drop(part.diode.to_core(at).junction, self.current.value)
            drops["anti-parallel diode"] = drop + part.diode.resistance * self.current.value
        name = min(drops, key=lambda one: drops[one])
        return Given(drops[name], f"model: {name} of the {side} side, at its temperature")

    def _gate(self, side: Side) -> HandFigure:
        at = self.at[side]
        rails = {"rail": at.on_rail, "other_rail": at.off_rail}
        if self.soft_side is None or side == self.soft_side:
            swing = at.on_rail.value - at.off_rail.value
            charge = Given(
                at.on_input_capacitance.value * swing,
                "model: C_ISS without a drain voltage, from rail to rail",
            )
        else:
            inputs = {name: given.value for name, given in (at.gate_charge_inputs() | rails).items()}
            charge = Given(float(formulas.gate_charge(**inputs)), "model: gate charge of a hard turn-on")
        return HandFigure(
            f"{side}_gate_loss",
            f"heat that the gate charge of the {side} side makes in driver and gate resistances",
            self._loss(side, "gate"),
            formulas.gate_drive_power,
            {
                "charge": charge,
                "swing": Given(at.driver.supply_voltage - at.driver.off_voltage, "driver: from rail to rail"),
                "frequency": self.frequency,
            },
            _GATE_SHARE,
        )

    def _load(self) -> Iterator[HandFigure]:
        load, point = self.cell.load, self.point
        if load is None or load.inductance == 0.0:
            return
        voltage = {"voltage": Given(self.cell.bus.voltage, "bus.voltage")}
        high_duty = point.duty if point.active == "high" else 1.0 - point.duty
        duty = {"duty": Given(high_duty, "duty of the high side")}
        yield HandFigure(
            "load_current_ripple",
            "highest less lowest load current of the period",
            point.load_current_ripple,
            formulas.ripple_current,
            voltage
            | duty
            | {"inductance": Given(load.inductance, "load.inductance"), "frequency": self.frequency},
            _RIPPLE,
        )
        fed = self.cell.output.resistance if self.cell.output else 0.0
        if fed is None or load.resistance + fed == 0.0 or self.cell.load_return != "ground":
            return
        yield HandFigure(
            "mean_load_current",
            "mean load current of the period",
            point.mean_load_current,
            formulas.mean_load_current,
            voltage
            | duty
            | {
                "forward_voltage": Given(0.0, "no drop: the other switch conducts"),
                "opposing_voltage": Given(0.0, "none"),
                "resistance": Given(load.resistance + fed, "load.resistance + output.resistance"),
            },
            _MEAN,
        )

    def _loss(self, side: Side, cause: str) -> float:
        return self.point.losses_of(side).get(cause, 0.0)


def _drop(junction: Any, current: float) -> float:
    """Of an exponential junction [V]."""
    return float(junction.emission_voltage) * math.log1p(current / float(junction.saturation_current))
