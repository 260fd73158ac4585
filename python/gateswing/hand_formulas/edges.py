"""The figures of both edges of a double pulse by hand, beside the simulated ones.

The load current flows on in the freewheel diode, so a turn-on runs through delay, rise of the current, fall
of the voltage, in this order, and a turn-off back. A load without inductance has no such order: its current
follows the voltage, and the formulas for the current are left out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any, NamedTuple

from .. import _core, formulas
from ..datasheet.recovery import RecoveryParameters, recovery_figures
from ..errors import SimulationError
from ..studies.results import DoublePulse
from .circuit import HandCircuit
from .listing import Bias, Given, HandFigure, HandFormulas

__all__ = ["edge_formulas", "edge_values"]

_DELAY = Bias(
    0.7,
    1.3,
    "the driver's own edge and limit, the change of C_ISS with voltage",
    "IRF540 data sheet, Vishay doc 91021: 11 ns printed, 10.7 to 14.2 ns by hand",
)
_LONG_DELAY = Bias(0.7, 1.4, "the driver's own edge and limit, the change of C_ISS with voltage")
_CHARGE_TIME = Bias(
    0.5,
    1.5,
    "the shift of the plateau by the current of the output capacitance, a driver's smooth limit",
    "IRF540 data sheet, Vishay doc 91021: 44 ns printed, 58 to 73 ns by hand",
)
_CURRENT_TIME = Bias(
    0.6, 1.7, "the driver's own edge and limit, the bend of the transfer curve, what a snubber takes"
)
_OVERLAP = Bias(
    0.8,
    2.0,
    "C_OSS, the diode's charge, the voltage that the loop inductance takes at turn-on, the current that a"
    " snubber takes at turn-off",
    "theory tends to underestimate by 20 to 50 %: Maniktala's text, read in a stored copy",
)
_SLOPE = Bias(0.7, 1.4, "the change of the capacitances on the way, of which half-way values are taken")
_OVERSHOOT = Bias(0.5, 1.5, "the ring, and what C_OSS takes of the current meanwhile")
_PLATEAU = Bias(0.85, 1.25, "the current of the output capacitance, which the channel carries too, and theta")
_CHARGE = Bias(0.85, 1.15, "the change of C_GS around the threshold")
_PEAK_CURRENT = Bias(0.4, 1.15, "inductance and the driver's own edge, which let the gate follow meanwhile")
_GATE_CURRENT = Bias(0.6, 1.4, "the shift of the plateau, the smooth begin of a driver's limit")
_PEAK_VOLTAGE = Bias(0.9, 1.1, "the driver's own edge, the change of C_ISS on the way")
_STORED = Bias(0.8, 1.3, "that the grading is not that of an abrupt junction")
_DIODE_CHARGE = Bias(0.7, 1.3, "the change of the slope, the spread of the diode's charge over the edge")
_RING = Bias(0.85, 1.15, "damping, the change of C_OSS with the ring's own voltage")
_QUALITY = Bias(0.3, 1.3, "the channel, the diode's own resistance and the gate path")
_PULSE = Bias(0.7, 1.4, "all that the single times leave out")
_NO_COUNTERPART = Bias(0.0, math.inf, "this circuit has no device that is held off through the edge")


def edge_formulas(edges: DoublePulse) -> HandFormulas:
    """Every figure of the edges that has a hand formula.

    Raises:
        SimulationError: the run did not finish, so there is nothing to compare with.
    """
    if not edges.succeeded:
        raise SimulationError(edges.status, edges.message)
    return HandFormulas("Edges by hand", tuple(_Edges(edges).figures()))


def edge_values(edges: DoublePulse) -> dict[str, tuple[float, str, str]]:
    """Value, unit and definition of every simulated figure of both edges, by name."""
    return {
        f"{edge}_{name}": (value, part.units()[name], part.definitions()[name])
        for edge, part in (("turn_on", edges.turn_on), ("turn_off", edges.turn_off))
        for name, value in part.values().items()
    }


class _Side(NamedTuple):
    """What differs between the two edges."""

    edge: str
    at: HandCircuit
    rail: Given
    other_rail: Given
    resistance: Given
    driver_rail: Given  # without load
    driver_path: float  # of driver and gate resistor [ohm]
    limit: Given
    begin: Given  # gate voltage of the die where the delay begins
    input_capacitance: Given
    first_charge: Given  # of C_GD over the first 10 % of the drain's way
    voltage_time: str  # figures of the edge
    current_time: str
    delay_bias: Bias


def _turn_on(at: HandCircuit) -> _Side:
    return _Side(
        "turn_on",
        at,
        at.on_rail,
        at.off_rail,
        at.on_resistance,
        at.unloaded_on_rail,
        at.on_path,
        at.source_limit,
        at.turn_on_begin,
        at.off_input_capacitance,
        at.let_go_charge,
        "rise_time",
        "current_rise_time",
        _DELAY,
    )


def _turn_off(at: HandCircuit) -> _Side:
    return _Side(
        "turn_off",
        at,
        at.turn_off_rail,
        at.on_rail,
        at.off_resistance,
        at.unloaded_off_rail,
        at.off_path,
        at.sink_limit,
        at.turn_off_begin,
        at.on_input_capacitance,
        at.take_off_charge,
        "fall_time",
        "current_fall_time",
        _LONG_DELAY,
    )


class _Edges:
    """One double pulse, with the circuit at the current of each edge."""

    def __init__(self, edges: DoublePulse) -> None:
        self.edges = edges
        self.cell = edges.cell
        self.wave = edges.waveform.core
        self.values = edge_values(edges)
        self.windows = {
            "turn_on": _core.Window(0.0, edges.on_time),
            "turn_off": _core.Window(edges.on_time, edges.waveform.end),
        }
        end = edges.turn_on.drain_end
        current = edges.current if math.isnan(end) else float(edges.waveform.value("i_load", end))
        self.on, self.off = HandCircuit(self.cell, current), HandCircuit(self.cell, edges.current)

    def figures(self) -> Iterator[HandFigure]:
        """All that this circuit has."""
        for side in (_turn_on(self.on), _turn_off(self.off)):
            yield from self._times(side)
            yield from self._gate(side)
        yield from self._gate_at_turn_on()
        yield self._minimum_pulse()
        yield self._output_energy()
        if self.cell.freewheel is not None and self.cell.has_inductive_load:
            yield self._recovery_energy()
        # With a snubber the loop's current is not the MOSFET's, and its ring is of third order.
        if self.cell.snubber is None and self.off.loop_inductance.value > 0.0:
            yield from self._ring()

    def _own(self, name: str, formula: Any, bias: Bias, **inputs: Given) -> HandFigure:
        """A figure that the edge itself reports."""
        value, _, definition = self.values[name]
        return HandFigure(name, definition, value, formula, inputs, bias)

    def _times(self, side: _Side) -> Iterator[HandFigure]:
        edge, at = side.edge, side.at
        start = {
            "resistance": side.resistance,
            "input_capacitance": side.input_capacitance,
            "rail": side.rail,
            "begin": side.begin,
        }
        gate = {"gate_current": _plateau_current(side)}
        if self.cell.has_inductive_load or edge == "turn_off":
            inputs = start | gate | {"plateau": at.plateau, "charge": side.first_charge}
            yield self._own(f"{edge}_delay", formulas.edge_delay, side.delay_bias, **inputs)
        else:
            inputs = start | {"end": at.threshold}
            yield self._own(f"{edge}_delay", formulas.gate_transition_time, side.delay_bias, **inputs)
        moved = gate | {"charge": at.transition_charge}
        voltage = self._own(f"{edge}_{side.voltage_time}", formulas.charge_time, _CHARGE_TIME, **moved)
        yield voltage
        yield self._own(
            f"{edge}_maximum_voltage_slope",
            formulas.voltage_slope,
            _SLOPE,
            rail=side.rail,
            plateau=at.plateau,
            resistance=side.resistance,
            miller_capacitance=at.half_way_miller_capacitance,
            drain_capacitance=at.half_way_drain_capacitance,
            transconductance=at.transconductance,
        )
        if self.cell.has_inductive_load:
            current = self._current_time(side)
            yield current
            yield self._energy(side, current, voltage)

    def _current_time(self, side: _Side) -> HandFigure:
        at, shares = side.at, ((0.1, 0.9) if side.edge == "turn_on" else (0.9, 0.1))
        overdrive = at.plateau.value - at.threshold.value
        begin, end = (
            Given(at.threshold.value + share * overdrive, f"gate voltage at {share:.0%} of the current")
            for share in shares
        )
        first, last = (share * at.current.value for share in shares)
        found = _core.main_transition(self.wave, "i_d", first, last, self.windows[side.edge])
        inputs = {
            "resistance": side.resistance,
            "input_capacitance": at.off_input_capacitance,
            "transconductance": at.transconductance,
            "source_inductance": at.source_inductance,
            "rail": side.rail,
            "begin": begin,
            "end": end,
        }
        return HandFigure(
            f"{side.edge}_{side.current_time}",
            "i_D between 10 % and 90 % of the load current",
            found.length if found else math.nan,
            formulas.current_transition_time,
            inputs,
            _CURRENT_TIME,
        )

    def _energy(self, side: _Side, current: HandFigure, voltage: HandFigure) -> HandFigure:
        """Of ramps from end to end, of which the times by hand are the middle 80 %."""
        of_current, of_voltage = (
            Given(one.value / 0.8, f"by hand: {one.name}/0.8") for one in (current, voltage)
        )
        return self._own(
            f"{side.edge}_energy",
            formulas.overlap_energy,
            _OVERLAP,
            voltage=side.at.bus,
            current=side.at.current,
            current_time=of_current,
            voltage_time=of_voltage,
        )

    def _gate(self, side: _Side) -> Iterator[HandFigure]:
        part, wave = getattr(self.edges, side.edge), self.edges.waveform
        mean = math.nan
        if part.drain_begin < part.drain_end:
            passed = wave.integral("i_gate", part.drain_begin, part.drain_end)
            mean = abs(float(passed)) / (part.drain_end - part.drain_begin)
        path = {"rail": side.rail, "resistance": side.resistance, "limit": side.limit}
        yield HandFigure(
            f"{side.edge}_plateau_current",
            "mean gate current while v_DS moves between 10 % and 90 %",
            mean,
            formulas.plateau_current,
            path | {"plateau": side.at.plateau},
            _GATE_CURRENT,
        )
        other_rail, resistance = side.at.seen_by_driver(side.other_rail, side.driver_path)
        yield self._own(
            f"{side.edge}_peak_driver_current",
            formulas.peak_gate_current,
            _PEAK_CURRENT,
            rail=side.driver_rail,
            resistance=resistance,
            limit=side.limit,
            other_rail=other_rail,
        )

    def _gate_at_turn_on(self) -> Iterator[HandFigure]:
        at, rails = self.on, {"rail": self.on.on_rail, "other_rail": self.on.off_rail}
        factor = Given(float(at.channel.transconductance_factor), "model, at its junction temperature")
        yield self._own(
            "turn_on_plateau_voltage",
            formulas.plateau_voltage,
            _PLATEAU,
            threshold=at.threshold,
            current=at.current,
            transconductance_factor=factor,
        )
        yield self._own(
            "turn_on_gate_charge", formulas.gate_charge, _CHARGE, **rails, **at.gate_charge_inputs()
        )
        if at.gate_inductance.value > 0.0:
            loop = (at.on_resistance, at.on_input_capacitance, at.gate_inductance)
            damping = float(formulas.gate_loop_damping(*(given.value for given in loop)))
            ratio = Given(damping, "(R_G/2) √(C_ISS/L_G) of this gate loop in the on-state")
            yield self._own(
                "turn_on_peak_gate_voltage", formulas.peak_gate_voltage, _PEAK_VOLTAGE, **rails, damping=ratio
            )
        slope = Given(self.edges.turn_on.maximum_voltage_slope, "simulated: turn_on_maximum_voltage_slope")
        yield HandFigure(
            "induced_gate_voltage",
            "on a device of this kind that this turn-off path holds off, by the slope of the turn-on",
            math.nan,
            formulas.induced_gate_voltage,
            {
                "resistance": self.off.off_resistance,
                "miller_capacitance": self.off.miller_capacitance,
                "input_capacitance": self.off.off_input_capacitance,
                "slope": slope,
                "swing": self.off.bus,
            },
            _NO_COUNTERPART,
        )

    def _minimum_pulse(self) -> HandFigure:
        side, driver = _turn_on(self.on), self.cell.driver
        delay = Given(driver.turn_on_delay + 0.5 * driver.rise_time, "driver: delay and half its edge")
        inputs = {
            "delay": delay,
            "resistance": side.resistance,
            "input_capacitance": side.input_capacitance,
            "rail": side.rail,
            "other_rail": side.other_rail,
            "plateau": side.at.plateau,
            "charge": side.at.fall_charge,
            "gate_current": _plateau_current(side),
        }
        return HandFigure(
            "minimum_pulse",
            "command on until v_DS is at 10 %; a shorter one never brings the drain down",
            self.edges.turn_on.drain_end,
            formulas.minimum_pulse,
            inputs,
            _PULSE,
        )

    def _output_energy(self) -> HandFigure:
        into, through, beside = (
            _core.integral_of_product(self.wave, "v_ds", channel, self.windows["turn_off"])
            for channel in ("i_d", "i_channel", "i_body")
        )
        return HandFigure(
            "output_energy",
            "E_OSS: v_DS times the current into the die's capacitances over the record of the turn-off",
            into - through - beside,
            formulas.output_energy,
            {"output_capacitance": self.off.output_capacitance, "voltage": self.off.bus},
            _STORED,
        )

    def _recovery_energy(self) -> HandFigure:
        window, falling = self.windows["turn_on"], _core.Direction.falling
        zero = _core.first_crossing(self.wave, "i_freewheel", 0.0, falling, window)
        passed = math.nan
        if zero is not None:
            passed = -float(self.edges.waveform.integral("i_freewheel", zero, window.end))
        return HandFigure(
            "recovery_energy",
            "bus voltage times the freewheel diode's reverse charge, from its zero to the end of the record",
            self.on.bus.value * passed,
            formulas.recovery_energy,
            {"voltage": self.on.bus, "charge": self._recovered()},
            _DIODE_CHARGE,
        )

    def _recovered(self) -> Given:
        """Charge that the model's diode gives back [C], stored and of its capacitance."""
        diode, charge = self.cell.freewheel, self.on.diode_charge
        if diode is None or diode.transit_time == 0.0:
            return charge
        parameters = RecoveryParameters(diode.transit_time, diode.lifetime)
        slope = self.edges.turn_on.maximum_current_slope
        stored = recovery_figures(parameters, self.on.current.value, slope).charge
        return Given(charge.value + stored, "model: stored at the simulated slope, and its capacitance's")

    def _ring(self) -> Iterator[HandFigure]:
        at = self.off
        slope = Given(self.edges.turn_off.maximum_current_slope, "simulated: turn_off_maximum_current_slope")
        yield self._own(
            "turn_off_overshoot",
            formulas.inductive_voltage,
            _OVERSHOOT,
            inductance=at.loop_inductance,
            current_slope=slope,
        )
        circuit = {"inductance": at.ring_inductance, "capacitance": at.output_capacitance}
        yield self._own("turn_off_ring_frequency", formulas.resonance_frequency, _RING, **circuit)
        yield self._own(
            "turn_off_ring_quality",
            formulas.ring_quality,
            _QUALITY,
            **circuit,
            resistance=at.ring_resistance,
        )


def _plateau_current(side: _Side) -> Given:
    path = (side.rail, side.at.plateau, side.resistance, side.limit)
    value = float(formulas.plateau_current(*(given.value for given in path)))
    return Given(value, f"by hand: {side.edge}_plateau_current")
