"""The figures of both edges of a double pulse by hand, beside the simulated ones.

The load current flows on in the freewheel diode, so a turn-on runs through delay, rise of the current, fall of
the voltage, in this order, and a turn-off back. A load without inductance has no such order: its current
follows the voltage, and the formulas for the current are left out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from . import _core, formulas
from .hand import Bias, Given, HandFigure, HandFormulas
from .hand_circuit import HandCircuit
from .recovery import RecoveryParameters, recovery_figures
from .results import DoublePulse

__all__ = ["edge_formulas", "edge_values"]

_DELAY = Bias(
    0.7,
    1.3,
    "the driver's own edge, the change of C_ISS with voltage",
    "IRF540 data sheet, Vishay doc 91021: 11 ns printed, 10.7 to 14.2 ns by hand",
)
_LONG_DELAY = Bias(0.7, 1.4, "the driver's own edge and the smooth begin of its limit, the change of C_ISS")
_CHARGE_TIME = Bias(
    0.5,
    1.5,
    "the shift of the plateau by the current of the output capacitance, a driver's smooth limit",
    "IRF540 data sheet, Vishay doc 91021: 44 ns printed, 58 to 73 ns by hand",
)
_CURRENT_TIME = Bias(0.6, 1.7, "the driver's own edge, the bend of the transfer curve, what a snubber takes")
_OVERLAP = Bias(
    0.8,
    2.0,
    "C_OSS, the diode's charge, the voltage that the loop inductance takes at turn-on, the current that a snubber"
    " takes at turn-off",
    "theory tends to underestimate by 20 to 50 %: Maniktala's text, read in a stored copy",
)
_SLOPE = Bias(
    0.7, 1.4, "the change of the capacitances on the way; half-way values stand for the steepest point"
)
_OVERSHOOT = Bias(0.5, 1.5, "the ring, and what C_OSS takes of the current meanwhile")
_PLATEAU = Bias(0.85, 1.25, "the current of the output capacitance, which the channel carries too, and theta")
_CHARGE = Bias(0.85, 1.15, "the change of C_GS around the threshold")
_PEAK_CURRENT = Bias(0.4, 1.15, "inductance and the driver's own edge, which let the gate follow meanwhile")
_GATE_CURRENT = Bias(0.6, 1.4, "the shift of the plateau, the smooth begin of a driver's limit")
_PEAK_VOLTAGE = Bias(0.9, 1.1, "the driver's own edge, the change of C_ISS on the way")
_STORED = Bias(0.8, 1.3, "that the grading is not that of an abrupt junction")
_DIODE_CHARGE = Bias(0.7, 1.3, "the change of the slope, the spread of the diode's charge over the edge")
_PEAK_DRAIN = Bias(0.8, 1.4, "the charge of the capacitances at the drain node, the ring")
_RING = Bias(0.85, 1.15, "damping, the change of C_OSS with the ring's own voltage")
_QUALITY = Bias(0.3, 1.3, "the channel, the diode's own resistance and the gate path")
_PULSE = Bias(0.7, 1.4, "all that the single times leave out")
_NO_COUNTERPART = Bias(0.0, math.inf, "this circuit has no device that is held off through the edge")


def edge_formulas(edges: DoublePulse) -> HandFormulas:
    """Every figure of the edges that has a hand formula."""
    return HandFormulas("Edges by hand", tuple(_Edges(edges).figures()))


def edge_values(edges: DoublePulse) -> dict[str, tuple[float, str, str]]:
    """Value, unit and definition of every simulated figure of both edges, by name."""
    return {
        f"{edge}_{name}": (value, part.units()[name], part.definitions()[name])
        for edge, part in (("turn_on", edges.turn_on), ("turn_off", edges.turn_off))
        for name, value in part.values().items()
    }


class _Edges:
    """One double pulse, with the circuit at the current of each edge."""

    def __init__(self, edges: DoublePulse) -> None:
        self.edges = edges
        self.wave = edges.waveform.core
        self.values = edge_values(edges)
        self.turn_on = _core.Window(0.0, edges.on_time)
        self.turn_off = _core.Window(edges.on_time, edges.waveform.end)
        end = edges.turn_on.drain_end
        current = edges.current if math.isnan(end) else float(edges.waveform.value("i_load", end))
        self.on, self.off = HandCircuit(edges.cell, current), HandCircuit(edges.cell, edges.current)

    def figures(self) -> Iterator[HandFigure]:
        yield from self._turn_on()
        yield from self._turn_off()
        yield from self._gate()
        yield from self._stored()
        # With a snubber the loop's current is not the MOSFET's, and its ring is of third order.
        if self.edges.cell.snubber is None and self.off.loop_inductance.value > 0.0:
            yield from self._ring()

    def _own(self, name: str, formula: Any, bias: Bias, **inputs: Given) -> HandFigure:
        """A figure that the edge itself reports."""
        value, _, definition = self.values[name]
        return HandFigure(name, definition, value, formula, inputs, bias)

    def _turn_on(self) -> Iterator[HandFigure]:
        at = self.on
        path = {"resistance": at.on_resistance, "input_capacitance": at.off_input_capacitance}
        current = self._gate_current(at, at.on_rail, at.on_resistance, at.source_limit)
        start = {**path, "rail": at.on_rail, "begin": at.turn_on_begin}
        if self.edges.cell.has_inductive_load:
            yield self._own("turn_on_delay", formulas.edge_delay, _DELAY, **start, plateau=at.plateau,
                            charge=at.let_go_charge, gate_current=current)  # fmt: skip
        else:
            yield self._own("turn_on_delay", formulas.gate_transition_time, _DELAY, **start, end=at.threshold)
        voltage_time = {"charge": at.transition_charge, "gate_current": current}
        yield self._own("turn_on_rise_time", formulas.charge_time, _CHARGE_TIME, **voltage_time)
        yield self._own("turn_on_maximum_voltage_slope", formulas.voltage_slope, _SLOPE,
                        **self._slope(at, at.on_rail, at.on_resistance))  # fmt: skip
        if self.edges.cell.has_inductive_load:
            rise = self._current_time(
                at, path, at.on_rail, (0.1, 0.9), "turn_on_current_rise_time", "i_D rises"
            )
            yield rise
            yield self._energy("turn_on_energy", at, rise, voltage_time)
        driver = self.edges.cell.driver
        delay = Given(driver.turn_on_delay + 0.5 * driver.rise_time, "driver: delay and half its edge")
        yield HandFigure(
            "minimum_pulse",
            "command on until v_DS is at 10 %; a shorter one never brings the drain down",
            self.edges.turn_on.drain_end,
            formulas.minimum_pulse,
            {**path, "delay": delay, "rail": at.on_rail, "other_rail": at.off_rail, "plateau": at.plateau,
             "charge": at.gate_drain_charge, "gate_current": current},
            _PULSE,
        )  # fmt: skip

    def _turn_off(self) -> Iterator[HandFigure]:
        at = self.off
        current = self._gate_current(at, at.turn_off_rail, at.off_resistance, at.sink_limit)
        yield self._own("turn_off_delay", formulas.edge_delay, _LONG_DELAY, resistance=at.off_resistance,
                        input_capacitance=at.on_input_capacitance, rail=at.turn_off_rail,
                        begin=at.turn_off_begin, plateau=at.plateau, charge=at.take_off_charge,
                        gate_current=current)  # fmt: skip
        voltage_time = {"charge": at.transition_charge, "gate_current": current}
        yield self._own("turn_off_fall_time", formulas.charge_time, _CHARGE_TIME, **voltage_time)
        yield self._own("turn_off_maximum_voltage_slope", formulas.voltage_slope, _SLOPE,
                        **self._slope(at, at.turn_off_rail, at.off_resistance))  # fmt: skip
        if not self.edges.cell.has_inductive_load:
            return
        path = {"resistance": at.off_resistance, "input_capacitance": at.off_input_capacitance}
        fall = self._current_time(
            at, path, at.turn_off_rail, (0.9, 0.1), "turn_off_current_fall_time", "i_D falls"
        )
        yield fall
        yield self._energy("turn_off_energy", at, fall, voltage_time)

    def _gate(self) -> Iterator[HandFigure]:
        on, off = self.on, self.off
        factor = Given(float(on.channel.transconductance_factor), "model, at its junction temperature")
        yield self._own("turn_on_plateau_voltage", formulas.plateau_voltage, _PLATEAU, threshold=on.threshold,
                        current=on.current, transconductance_factor=factor)  # fmt: skip
        yield self._own("turn_on_gate_charge", formulas.gate_charge, _CHARGE,
                        input_capacitance=on.off_input_capacitance, plateau=on.plateau, other_rail=on.off_rail,
                        charge=on.gate_drain_charge, on_input_capacitance=on.on_input_capacitance,
                        rail=on.on_rail)  # fmt: skip
        yield self._current_on_plateau("turn_on", on, on.on_rail, on.on_resistance, on.source_limit)
        yield self._current_on_plateau("turn_off", off, off.turn_off_rail, off.off_resistance, off.sink_limit)
        yield self._own("turn_on_peak_driver_current", formulas.peak_gate_current, _PEAK_CURRENT, rail=on.on_rail,
                        other_rail=on.off_rail, resistance=on.on_resistance, limit=on.source_limit)  # fmt: skip
        yield self._own("turn_off_peak_driver_current", formulas.peak_gate_current, _PEAK_CURRENT,
                        rail=off.turn_off_rail, other_rail=off.on_rail, resistance=off.off_resistance,
                        limit=off.sink_limit)  # fmt: skip
        if on.gate_inductance.value > 0.0:
            damping = formulas.gate_loop_damping(
                on.on_resistance.value, on.on_input_capacitance.value, on.gate_inductance.value
            )
            ratio = Given(float(damping), "(R_G/2) √(C_ISS/L_G) of this gate loop in the on-state")
            yield self._own("turn_on_peak_gate_voltage", formulas.peak_gate_voltage, _PEAK_VOLTAGE,
                            rail=on.on_rail, other_rail=on.off_rail, damping=ratio)  # fmt: skip
        slope = Given(self.edges.turn_on.maximum_voltage_slope, "simulated: turn_on_maximum_voltage_slope")
        yield HandFigure(
            "induced_gate_voltage",
            "on the gate of a device of this kind, held off through this turn-off path, by the slope of the turn-on",
            math.nan,
            formulas.induced_gate_voltage,
            {"resistance": off.off_resistance, "miller_capacitance": off.miller_capacitance,
             "input_capacitance": off.off_input_capacitance, "slope": slope, "swing": off.bus},
            _NO_COUNTERPART,
        )  # fmt: skip

    def _stored(self) -> Iterator[HandFigure]:
        yield HandFigure(
            "output_energy",
            "E_OSS: v_DS times the current into the die's capacitances over the record of the turn-off",
            self._stored_energy(),
            formulas.output_energy,
            {"output_capacitance": self.off.output_capacitance, "voltage": self.off.bus},
            _STORED,
        )
        if self.edges.cell.freewheel is None or not self.edges.cell.has_inductive_load:
            return
        charge = self._recovered()
        yield HandFigure(
            "recovery_energy",
            "bus voltage times the reverse charge of the freewheel diode, from its zero to the end of the record",
            self.on.bus.value * self._reverse_charge(),
            formulas.recovery_energy,
            {"voltage": self.on.bus, "charge": charge},
            _DIODE_CHARGE,
        )

    def _ring(self) -> Iterator[HandFigure]:
        at = self.off
        slope = Given(self.edges.turn_off.maximum_current_slope, "simulated: turn_off_maximum_current_slope")
        yield self._own("turn_off_overshoot", formulas.inductive_voltage, _OVERSHOOT,
                        inductance=at.loop_inductance, current_slope=slope)  # fmt: skip
        circuit = {"inductance": at.ring_inductance, "capacitance": at.output_capacitance}
        yield self._own("turn_off_ring_frequency", formulas.resonance_frequency, _RING, **circuit)
        yield self._own("turn_off_ring_quality", formulas.ring_quality, _QUALITY, **circuit,
                        resistance=at.ring_resistance)  # fmt: skip

    def _current_on_plateau(
        self, edge: str, at: HandCircuit, rail: Given, resistance: Given, limit: Given
    ) -> HandFigure:
        part = getattr(self.edges, edge)
        mean = math.nan
        if part.drain_begin < part.drain_end:
            window = _core.Window(part.drain_begin, part.drain_end)
            mean = abs(_core.integral(self.wave, "i_gate", window)) / window.length
        inputs = {"rail": rail, "plateau": at.plateau, "resistance": resistance, "limit": limit}
        definition = "mean gate current while v_DS moves between 10 % and 90 %"
        name = f"{edge}_plateau_current"
        return HandFigure(name, definition, mean, formulas.plateau_current, inputs, _GATE_CURRENT)

    def _gate_current(self, at: HandCircuit, rail: Given, resistance: Given, limit: Given) -> Given:
        value = formulas.plateau_current(rail.value, at.plateau.value, resistance.value, limit.value)
        return Given(float(value), "by hand: plateau_current")

    def _slope(self, at: HandCircuit, rail: Given, resistance: Given) -> dict[str, Given]:
        return {
            "rail": rail,
            "plateau": at.plateau,
            "resistance": resistance,
            "miller_capacitance": at.half_way_miller_capacitance,
            "drain_capacitance": at.half_way_drain_capacitance,
            "transconductance": at.transconductance,
        }

    def _current_time(
        self,
        at: HandCircuit,
        path: dict[str, Given],
        rail: Given,
        shares: tuple[float, float],
        name: str,
        words: str,
    ) -> HandFigure:
        """Time between two shares of the load current, by hand and in the waveform."""
        overdrive = at.plateau.value - at.threshold.value
        ends = [Given(at.threshold.value + share * overdrive, f"gate voltage at {share:.0%} of the current")
                for share in shares]  # fmt: skip
        window = self.turn_on if shares[0] < shares[1] else self.turn_off
        found = _core.main_transition(
            self.wave, "i_d", *(share * at.current.value for share in shares), window
        )
        inputs = {**path, "transconductance": at.transconductance, "source_inductance": at.source_inductance,
                  "rail": rail, "begin": ends[0], "end": ends[1]}  # fmt: skip
        definition = f"{words} between 10 % and 90 % of the load current"
        time = found.length if found else math.nan
        return HandFigure(name, definition, time, formulas.current_transition_time, inputs, _CURRENT_TIME)

    def _energy(
        self, name: str, at: HandCircuit, current: HandFigure, voltage_time: dict[str, Given]
    ) -> HandFigure:
        """Ramps from end to end, of which the times by hand are the middle 80 %."""
        duration = float(formulas.charge_time(**{key: given.value for key, given in voltage_time.items()}))
        of_current = Given(current.value / 0.8, f"by hand: {current.name}/0.8")
        of_voltage = Given(duration / 0.8, "by hand: 10 to 90 % of v_DS from charge/0.8")
        return self._own(name, formulas.overlap_energy, _OVERLAP, voltage=at.bus, current=at.current,
                         current_time=of_current, voltage_time=of_voltage)  # fmt: skip

    def _stored_energy(self) -> float:
        """Integral of v_DS over the current that no conducting part of the die carries [J]."""
        into, through, beside = (
            _core.integral_of_product(self.wave, "v_ds", channel, self.turn_off)
            for channel in ("i_d", "i_channel", "i_body")
        )
        return float(into - through - beside)

    def _recovered(self) -> Given:
        """Charge that the model's diode gives back [C], stored and of its capacitance."""
        diode, charge = self.edges.cell.freewheel, self.on.diode_charge
        if diode is None or diode.transit_time == 0.0:
            return charge
        parameters = RecoveryParameters(diode.transit_time, diode.lifetime)
        slope = self.edges.turn_on.maximum_current_slope
        stored = recovery_figures(parameters, self.on.current.value, slope).charge
        return Given(
            charge.value + stored, "model: Lauritzen's diode at the simulated slope, and its capacitance"
        )

    def _reverse_charge(self) -> float:
        """Charge out of the freewheel diode from its first zero to the end of the turn-on [C]."""
        falling = _core.Direction.falling
        first = _core.first_crossing(self.wave, "i_freewheel", 0.0, falling, self.turn_on)
        if first is None:
            return math.nan
        return -float(_core.integral(self.wave, "i_freewheel", _core.Window(first, self.turn_on.end)))
