"""The numbers of a cell that hand formulas take, each with where it is from.

What a handbook reads off a data sheet is computed here from the model: capacitances at a stated voltage, the
plateau, the gate charges of JESD24-2.
"""

from __future__ import annotations

import math
from functools import cached_property
from typing import Any

import numpy as np

from .. import _core
from ..circuit.capacitance import sum_over
from ..circuit.cell import LowSideCell
from ..circuit.gate_path import BARE_DIODE_RESISTANCE
from ..datasheet import static_figures
from ..datasheet.gate_charge import GateChargeFigures, gate_charge_curve, gate_charge_figures
from ..errors import InputError
from .listing import Given

__all__ = ["HandCircuit"]


class HandCircuit:
    """A cell at one load current [A], as hand formulas see it."""

    def __init__(self, cell: LowSideCell, current: float) -> None:
        self.cell = cell
        self.mosfet = cell.mosfet
        self.driver = cell.driver.push_pull()
        self._temperature = cell.junction_temperature
        die: Any = cell.mosfet.to_core(self._temperature)
        self.channel, self._drift_resistance = die.channel, float(die.drift_resistance)
        self.current = Given(current, "load current")

    @property
    def bus(self) -> Given:
        """[V]."""
        return Given(self.cell.bus.voltage, "bus.voltage")

    # Gate path

    @property
    def turn_on_begin(self) -> Given:
        """Of the die when the pins, behind the internal gate resistance, pass 10 % of the swing [V]."""
        inside = self.mosfet.internal_gate_resistance / self.on_resistance.value
        share = max(0.0, (0.1 - inside) / (1.0 - inside))
        voltage = self.off_rail.value + share * (self.on_rail.value - self.off_rail.value)
        return Given(voltage, "of the die as the pins pass 10 %")

    @property
    def turn_off_begin(self) -> Given:
        """Of the die when the pins pass 90 % of the swing [V]."""
        inside = self.mosfet.internal_gate_resistance / self.off_resistance.value
        share = max(0.0, (0.1 - inside) / (1.0 - inside))
        voltage = self.on_rail.value - share * (self.on_rail.value - self.off_rail.value)
        return Given(voltage, "of the die as the pins pass 90 %")

    @property
    def on_rail(self) -> Given:
        """Gate voltage at the end of a turn-on [V]."""
        return self._divided(self.unloaded_on_rail, self.driver.source_resistance)

    @property
    def unloaded_on_rail(self) -> Given:
        """Voltage of the driver that is on and gives no current [V]."""
        return Given(self.driver.supply_voltage - self.driver.source_drop, "driver: supply less its drop")

    @property
    def off_rail(self) -> Given:
        """Gate voltage at the end of a turn-off [V]."""
        voltage = self.driver.off_voltage + self.driver.sink_drop
        return self._divided(
            Given(voltage, "driver: off-state rail and its drop"), self.driver.sink_resistance
        )

    @property
    def turn_off_rail(self) -> Given:
        """Voltage to which the gate seems to discharge [V]; the knee of a steering diode counts."""
        return self._divided(self.unloaded_off_rail, self.driver.sink_resistance)

    @property
    def unloaded_off_rail(self) -> Given:
        """Voltage to which the gate path seems to discharge without a pull-down resistor [V]."""
        share = self.cell.gate_resistance / (self.cell.gate_resistance + self._bypass)
        shift = share * self.cell.steering_diode_voltage if self._is_steered else 0.0
        words = ", and the steering diode's share" if self._is_steered else ""
        voltage = self.driver.off_voltage + self.driver.sink_drop + shift
        return Given(voltage, "driver: off-state rail and its drop" + words)

    @property
    def on_resistance(self) -> Given:
        """Of the gate path at turn-on [ohm]."""
        parts = self.on_path * self.cell.pull_down_share(self.on_path) + self.mosfet.internal_gate_resistance
        return Given(parts, f"driver + gate_resistance{self._beside_pull_down} + mosfet")

    @property
    def off_resistance(self) -> Given:
        """Of the gate path at turn-off [ohm]."""
        words = "gate_resistance beside turn_off_gate_resistance" if self._is_steered else "gate_resistance"
        parts = (
            self.off_path * self.cell.pull_down_share(self.off_path) + self.mosfet.internal_gate_resistance
        )
        return Given(parts, f"driver + {words}{self._beside_pull_down} + mosfet")

    @property
    def on_path(self) -> float:
        """Of driver and gate resistor at turn-on [ohm]."""
        return self.driver.source_resistance + self.cell.gate_resistance

    @property
    def off_path(self) -> float:
        """Of driver, gate resistor and what lies beside it at turn-off [ohm]."""
        resistor = self.cell.gate_resistance
        if self._is_steered:
            resistor *= self._bypass / (resistor + self._bypass)
        return self.driver.sink_resistance + resistor

    @property
    def source_limit(self) -> Given:
        """Largest current out of the driver [A]."""
        return _limit(self.driver.source_current_limit, "driver.source_current_limit")

    @property
    def sink_limit(self) -> Given:
        """Largest current into the driver [A]."""
        return _limit(self.driver.sink_current_limit, "driver.sink_current_limit")

    @property
    def gate_inductance(self) -> Given:
        """Of the gate loop [H]."""
        parts = self.cell.gate_inductance + self.mosfet.gate_inductance + self.source_inductance.value
        return Given(parts, "gate_inductance + mosfet + what it shares with the power loop")

    @property
    def source_inductance(self) -> Given:
        """Shared by gate and power loop [H]."""
        parts = self.cell.common_source_inductance + self.mosfet.source_inductance
        return Given(parts, "common_source_inductance + mosfet.source_inductance")

    # Channel

    @property
    def threshold(self) -> Given:
        """[V]."""
        return Given(float(self.channel.threshold_voltage), "model, at its junction temperature")

    @cached_property
    def plateau(self) -> Given:
        """Gate voltage that carries the current in saturation [V]."""
        voltage = static_figures.plateau_voltage(
            self.mosfet, self.current.value, junction_temperature=self._temperature
        )
        return Given(float(voltage), "model: saturated at the load current")

    @property
    def transconductance(self) -> Given:
        """Chord from the threshold to the plateau [S]."""
        chord = self.current.value / (self.plateau.value - self.threshold.value)
        return Given(chord, "I/(V_PL − V_TH)")

    @property
    def on_state_resistance(self) -> Given:
        """v_DS over the current in the on-state [ohm]."""
        resistance = static_figures.on_resistance(
            self.mosfet, self.on_rail.value, self.current.value, junction_temperature=self._temperature
        )
        return Given(float(resistance), "model, at its junction temperature")

    # Capacitances and charges

    @property
    def off_input_capacitance(self) -> Given:
        """C_ISS with the drain at the bus [F]."""
        return self._capacitance("ciss", self.bus.value)

    @property
    def on_input_capacitance(self) -> Given:
        """C_ISS in the on-state [F]."""
        on = float(self.mosfet.capacitances(self.on_rail.value, 0.0)["ciss"])
        return Given(on, "model: in the on-state, v_DS = 0")

    @property
    def miller_capacitance(self) -> Given:
        """C_GD with the drain at the bus [F]."""
        return self._capacitance("crss", self.bus.value)

    @property
    def output_capacitance(self) -> Given:
        """C_OSS with the drain at the bus [F]."""
        return self._capacitance("coss", self.bus.value)

    @property
    def half_way_drain_capacitance(self) -> Given:
        """C_OSS and the freewheel diode's, both at half the bus [F]."""
        half = 0.5 * self.bus.value
        both = float(self.mosfet.capacitances(0.0, half)["coss"]) + self._diode(_core.capacitance, half)
        return Given(both, "model: C_OSS and the diode's at half the bus")

    @property
    def half_way_miller_capacitance(self) -> Given:
        """C_GD at half the bus [F]."""
        return self._capacitance("crss", 0.5 * self.bus.value)

    @cached_property
    def _charges(self) -> GateChargeFigures | None:
        try:
            curve = gate_charge_curve(
                self.mosfet,
                drain_voltage=self.bus.value,
                drain_current=self.current.value,
                gate_voltage=self.on_rail.value,
                junction_temperature=self._temperature,
            )
        except InputError:
            return None  # the channel does not carry the current, so there is no plateau
        return gate_charge_figures(curve)

    @property
    def transition_charge(self) -> Given:
        """Of C_GD while the drain moves between 10 % and 90 % of the bus [C]."""
        bus = self.bus.value
        return Given(
            self._miller_charge(0.1 * bus, 0.9 * bus), "model: C_RSS curve from 10 to 90 % of the bus"
        )

    @property
    def fall_charge(self) -> Given:
        """Of C_GD while the drain falls from the bus to 10 % of it [C]."""
        bus = self.bus.value
        return Given(self._miller_charge(0.1 * bus, bus), "model: C_RSS curve from the bus to 10 % of it")

    @property
    def let_go_charge(self) -> Given:
        """Of C_GD while the drain falls from the bus to 90 % of it [C]."""
        bus = self.bus.value
        return Given(self._miller_charge(0.9 * bus, bus), "model: C_RSS curve from the bus to 90 % of it")

    @property
    def take_off_charge(self) -> Given:
        """Of C_GD while the drain rises from its on-state to 10 % of the bus [C]."""
        on_voltage = self.on_state_resistance.value * self.current.value
        charge = self._miller_charge(on_voltage, 0.1 * self.bus.value)
        return Given(charge, "model: C_RSS curve from the on-state to 10 % of the bus")

    @property
    def gate_drain_charge(self) -> Given:
        """Q_GD [C]."""
        value = self._charges.gate_drain if self._charges else math.nan
        return Given(value, "model: gate charge curve, JESD24-2")

    def gate_charge_inputs(self) -> dict[str, Given]:
        """Of the formula for the gate charge, without the rails."""
        return {
            "input_capacitance": self.off_input_capacitance,
            "plateau": self.plateau,
            "charge": self.gate_drain_charge,
            "on_input_capacitance": self.on_input_capacitance,
        }

    @property
    def diode_charge(self) -> Given:
        """Of the freewheel diode's junction from 0 to the bus [C]."""
        return Given(self._diode(_core.charge, self.bus.value), "model: diode capacitance up to the bus")

    # Power loop

    @property
    def loop_inductance(self) -> Given:
        """Between the bus source and the MOSFET's pins [H]."""
        words = "loop + common source + freewheel diode + bulk capacitor or supply"
        return Given(self.cell.wiring_inductance, words)

    @property
    def ring_inductance(self) -> Given:
        """Of the whole loop in which C_OSS rings [H]."""
        return Given(self.cell.commutation_inductance, f"{self.loop_inductance.origin} + mosfet")

    @property
    def ring_resistance(self) -> Given:
        """Of that loop [ohm]."""
        cell = self.cell
        parts = cell.loop_resistance + self._drift_resistance
        parts += cell.freewheel.resistance if cell.freewheel else 0.0
        parts += cell.bus.bulk_resistance if cell.bus.bulk_capacitance else cell.bus.resistance
        return Given(parts, "loop + mosfet.drift_resistance + freewheel diode + bulk capacitor or supply")

    def _divided(self, rail: Given, output_resistance: float) -> Given:
        share = self.cell.pull_down_share(output_resistance + self.cell.gate_resistance)
        words = "" if self.cell.pull_down_resistance is None else ", divided by the pull-down resistor"
        return Given(rail.value * share, f"{rail.origin}{words}")

    def seen_by_driver(self, other_rail: Given, gate_path: float) -> tuple[Given, Given]:
        """What a driver at its edge works against: the other rail [V] and the resistance [ohm].

        The die still holds the other rail; behind its gate lead lies the pull-down resistor across it.

        Args:
            other_rail: from which the gate comes.
            gate_path: of driver and gate resistor [ohm].
        """
        share = self.cell.pull_down_share(self.mosfet.internal_gate_resistance)
        resistance = gate_path + share * self.mosfet.internal_gate_resistance
        words = self._beside_pull_down
        return (
            Given(share * other_rail.value, f"{other_rail.origin}{words}"),
            Given(resistance, f"driver + gate resistor + mosfet{words}"),
        )

    @property
    def _beside_pull_down(self) -> str:
        return "" if self.cell.pull_down_resistance is None else " beside pull_down_resistance"

    @property
    def _is_steered(self) -> bool:
        return self.cell.turn_off_gate_resistance is not None and self.cell.gate_resistance > 0.0

    @property
    def _bypass(self) -> float:
        """Resistance of the steering branch [ohm]."""
        return (self.cell.turn_off_gate_resistance or 0.0) + BARE_DIODE_RESISTANCE

    def _miller_charge(self, begin: float, end: float) -> float:
        """Of C_GD between two drain voltages [V] with the gate on the plateau [C]."""
        ends = np.array([begin, end]) - self.plateau.value
        low, high = sum_over(self.mosfet.parallel_laws("gate_drain"), _core.charge, ends)
        return float(high - low)

    def _capacitance(self, name: str, drain_voltage: float) -> Given:
        value = float(self.mosfet.capacitances(0.0, drain_voltage)[name])
        return Given(value, f"model: v_GS = 0, v_DS = {drain_voltage:g} V")

    def _diode(self, quantity: Any, voltage: float) -> float:
        if self.cell.freewheel is None:
            return 0.0
        return float(np.asarray(sum_over([self.cell.freewheel.capacitance.to_core()], quantity, voltage)))


def _limit(limit: float | None, origin: str) -> Given:
    return Given(math.inf, "no limit") if limit is None else Given(limit, origin)
