"""The figures of an operating point by hand, beside the simulated ones: powers, gate drive, ripples."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from .. import _core, formulas
from ..circuit.cell import LowSideCell
from ..errors import SimulationError
from ..studies.results import OperatingPoint
from .circuit import HandCircuit
from .listing import Bias, Given, HandFigure, HandFormulas
from .load import load_figures

__all__ = ["operation_formulas"]

_GATE_POWER = Bias(0.85, 1.15, "the change of C_GS around the threshold")
_GATE_SHARE = Bias(
    0.6, 1.4, "a driver's limit and drop, steering diode, pull-down resistor, currents that the drain drives"
)
_CONDUCTION = Bias(0.85, 1.15, "the settling of the gate, the edges")
_DIODE = Bias(0.8, 1.25, "the ripple of the current, one that stops within the off-time, the edges")
_SWITCHING = Bias(
    0.85,
    1.25,
    "what lies outside the windows of Eon and Eoff, such as what C_OSS gives back in a ring",
    "application note GFM347 (2021) p. 32: 5.9 % of a turn-on lay outside",
)
_BUS = Bias(0.6, 1.3, "the ripple of the load current and of the source current, rings of the supply")


def operation_formulas(point: OperatingPoint) -> HandFormulas:
    """Every figure of the operating point that has a hand formula.

    Raises:
        SimulationError: the run did not finish, so there is nothing to compare with.
    """
    if point.status not in ("success", "not_periodic"):
        raise SimulationError(point.status, point.message)
    return HandFormulas("Operating point by hand", tuple(_Operation(point).figures()))


def _at_found_temperatures(point: OperatingPoint) -> LowSideCell:
    """The cell at the junction temperatures that its cooling leads to, where they were found."""
    found = {name: getattr(point, name) for name in ("junction_temperature", "freewheel_temperature")}
    return point.cell.replace({name: value for name, value in found.items() if math.isfinite(value)})


class _Operation:
    """One operating point, with the circuit at its mean load current."""

    def __init__(self, point: OperatingPoint) -> None:
        self.point = point
        self.cell = _at_found_temperatures(point)
        self.at = HandCircuit(self.cell, point.mean_load_current)
        self.current = Given(point.mean_load_current, "simulated: mean_load_current")
        self.frequency = Given(point.frequency, "frequency")
        self.duty = Given(point.duty, "duty")
        self.power = {(entry.name, entry.kind): entry.power for entry in point.ledger}

    def figures(self) -> Iterator[HandFigure]:
        yield from self._gate()
        if self.at.current.value > 0.0:
            yield from self._losses()
        yield from self._ripples()

    def _gate(self) -> Iterator[HandFigure]:
        at, driver = self.at, self.at.driver
        rails = {"rail": at.on_rail, "other_rail": at.off_rail}
        inputs = {name: given.value for name, given in (at.gate_charge_inputs() | rails).items()}
        charge = Given(float(formulas.gate_charge(**inputs)), "by hand: turn_on_gate_charge of the edges")
        swing = Given(driver.supply_voltage - driver.off_voltage, "driver: supply and off-state rail")
        drive = {"charge": charge, "swing": swing, "frequency": self.frequency}
        formula, static = self._pull_down()
        yield HandFigure(
            "gate_drive_power",
            "drawn from the driver's supply and its off-state supply",
            sum(self.power.get((name, "delivered"), 0.0) for name in ("driver supply", "driver off supply")),
            formula,
            drive | static,
            _GATE_POWER,
        )
        inside = Given(self.at.mosfet.internal_gate_resistance, "mosfet.internal_gate_resistance")
        source = Given(driver.source_resistance, "driver.source_resistance")
        sink = Given(driver.sink_resistance, "driver.sink_resistance")
        for name, element, on, off in (
            ("driver_loss", "driver", source, sink),
            ("internal_gate_resistance_loss", "gate lead resistance", inside, inside),
        ):
            parts = {
                "turn_on_part": on,
                "turn_on_resistance": at.on_resistance,
                "turn_off_part": off,
                "turn_off_resistance": at.off_resistance,
            }
            heat = self.power.get((element, "dissipated"), math.nan)
            yield HandFigure(
                name,
                f"heat in the {element}",
                heat,
                formulas.gate_resistance_loss,
                drive | parts,
                _GATE_SHARE,
            )

    def _pull_down(self) -> tuple[Any, dict[str, Given]]:
        """Formula of the gate drive's power, and what a pull-down resistor adds to its inputs."""
        at, pull_down = self.at, self.cell.pull_down_resistance
        if pull_down is None:
            return formulas.gate_drive_power, {}
        currents = {
            f"{state}_current": Given(rail.value / pull_down, f"{rail.origin}; pull_down_resistance")
            for state, rail in (("on", at.on_rail), ("off", at.off_rail))
        }
        supplies = {
            "on_voltage": Given(at.driver.supply_voltage, "driver.supply_voltage"),
            "off_voltage": Given(at.driver.off_voltage, "driver.off_voltage"),
        }
        return formulas.gate_drive_power_with_pull_down, {"duty": self.duty} | supplies | currents

    def _losses(self) -> Iterator[HandFigure]:
        at, point = self.at, self.point
        on_time = point.turn_off.drain_begin - point.turn_on.drain_end
        current, ripple = self._while_on()
        share = Given(on_time * point.frequency, "simulated: v_DS below 10 % of the bus")
        yield HandFigure(
            "conduction_loss",
            "v_DS i_D at the pins while v_DS is below 10 % of the bus",
            self._conducted(),
            formulas.conduction_loss,
            {"resistance": at.on_state_resistance, "duty": share, "current": current, "ripple": ripple},
            _CONDUCTION,
        )
        yield HandFigure(
            "switching_loss",
            "mean of v_DS i_D at the pins less the conduction loss",
            self._mean_power() - self._conducted(),
            formulas.switching_loss,
            {
                "turn_on_energy": Given(point.turn_on.energy, "simulated: turn_on.energy"),
                "turn_off_energy": Given(point.turn_off.energy, "simulated: turn_off.energy"),
                "frequency": self.frequency,
            },
            _SWITCHING,
        )
        yield from self._freewheel()

    def _while_on(self) -> tuple[Given, Given]:
        """Mean and ripple of the load current while the MOSFET conducts: LEDs are dark for the rest."""
        window = self._conducting()
        if window is None:
            return self.current, Given(
                self.point.load_current_ripple, "simulated: ripple of the load current"
            )
        wave = self.point.waveform
        mean = float(wave.integral("i_load", window.begin, window.end)) / window.length
        highest, lowest = (find(wave.core, "i_load", window).value for find in (_core.maximum, _core.minimum))
        words = "load current while v_DS is below 10 % of the bus"
        return Given(mean, f"simulated: mean {words}"), Given(
            highest - lowest, f"simulated: ripple of the {words}"
        )

    def _freewheel(self) -> Iterator[HandFigure]:
        if self.cell.freewheel is None or not self.cell.has_inductive_load:
            return
        heat = sum(
            self.power.get((name, "dissipated"), 0.0) for name in ("freewheel diode", "freewheel resistance")
        )
        yield HandFigure(
            "freewheel_loss",
            "heat in the freewheel diode and its resistance",
            heat,
            formulas.diode_conduction_loss,
            {"forward_voltage": self._forward_voltage(), "current": self.current, "duty": self.duty},
            _DIODE,
        )

    def _forward_voltage(self) -> Given:
        """Of the freewheel diode at the mean load current [V]; 0 without one."""
        diode, current = self.cell.freewheel, max(0.0, self.current.value)
        if diode is None:
            return Given(0.0, "no freewheel diode")
        junction = diode.to_core(self.cell.freewheel_temperature).junction
        drop = junction.emission_voltage * math.log1p(current / junction.saturation_current)
        return Given(drop + diode.resistance * current, "model, at its junction temperature")

    def _ripples(self) -> Iterator[HandFigure]:
        cell = self.point.cell
        yield from load_figures(self.point, self._forward_voltage())
        if cell.bus.bulk_capacitance > 0.0 and (cell.bus.resistance or cell.bus.inductance):
            yield HandFigure(
                "bus_ripple",
                "bus voltage just before the turn-on less that just before the turn-off",
                self._bus_ripple(),
                formulas.bus_ripple,
                {
                    "current": self.current,
                    "duty": self.duty,
                    "frequency": self.frequency,
                    "capacitance": Given(cell.bus.bulk_capacitance, "bus.bulk_capacitance"),
                    "resistance": Given(cell.bus.bulk_resistance, "bus.bulk_resistance"),
                },
                _BUS,
            )

    def _conducted(self) -> float:
        window = self._conducting()
        if window is None:
            return math.nan
        energy = _core.integral_of_product(self.point.waveform.core, "v_ds_pin", "i_d", window)
        return float(energy) * self.point.frequency

    def _conducting(self) -> Any:
        """While v_DS is below 10 % of the bus; ``None`` if it never is."""
        begin, end = self.point.turn_on.drain_end, self.point.turn_off.drain_begin
        return _core.Window(begin, end) if begin < end else None

    def _mean_power(self) -> float:
        wave = self.point.waveform
        window = _core.Window(wave.begin, wave.end)
        energy = _core.integral_of_product(wave.core, "v_ds_pin", "i_d", window)
        return float(energy) / window.length

    def _bus_ripple(self) -> float:
        wave, begin, end = self.point.waveform, self.point.turn_off.begin, self.point.waveform.end
        if math.isnan(begin):  # at a duty of 0 or 1 there is no turn-off
            return math.nan
        before_on, before_off = (float(wave.value("v_bus", time)) for time in (end, begin))
        return before_on - before_off
