"""The same cell by other hands: equations written out here, integrated by SciPy, must give the same edges.

Only the laws of the MOSFET and the diode are shared, through the functions that Python sees. Kirchhoff's
equations, the driver and the integrator are independent of the library.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import solve_ivp  # type: ignore[import-untyped]

import gateswing as gs
from gateswing import _core

Vector = NDArray[np.float64]

ON_TIME = 0.8e-6
OFF_TIME = 0.8e-6


def invented_mosfet() -> gs.Mosfet:
    return gs.Mosfet(
        channel=gs.MosfetChannel(
            threshold_voltage=3.0,
            transconductance_factor=50.0,
            mobility_degradation=0.15,
            subthreshold_voltage=0.06,
        ),
        gate_source_capacitance=gs.StepCapacitance(low=1.6e-9, high=2.0e-9, centre=2.5, width=1.0),
        gate_drain_capacitance=gs.DepletionCapacitance(
            zero_bias=8e-10, potential=0.8, grading=0.6, floor=2e-11, ceiling=1.6e-9
        ),
        drain_source_capacitance=gs.DepletionCapacitance(
            zero_bias=1.5e-9, potential=0.8, grading=0.5, floor=5e-11, ceiling=3e-9
        ),
        body_diode=gs.BodyDiode(forward_voltage=0.85, forward_current=10.0, emission_voltage=0.05),
        internal_gate_resistance=1.5,
        drift_resistance=8e-3,
        gate_inductance=4e-9,
        drain_inductance=2e-9,
        source_inductance=3e-9,
        breakdown_voltage=85.0,
    )


def invented_driver() -> gs.PushPullDriver:
    return gs.PushPullDriver(
        supply_voltage=12.0,
        source_resistance=4.0,
        sink_resistance=2.5,
        source_current_limit=0.35,
        sink_current_limit=0.5,
        rise_time=15e-9,
        fall_time=12e-9,
        turn_on_delay=20e-9,
        turn_off_delay=25e-9,
    )


def invented_cell() -> gs.LowSideCell:
    """Clamped inductive cell with every package inductance, and a driver that reaches its current limit."""
    return gs.LowSideCell(
        bus="48 V",
        mosfet=invented_mosfet(),
        driver=invented_driver(),
        gate_resistance=4.7,
        gate_inductance=5e-9,
        load=gs.Load(constant_current=8.0),
        freewheel=gs.Diode(
            forward_voltage=0.8,
            forward_current=8.0,
            resistance=0.03,
            emission_voltage=0.04,
            capacitance=gs.DepletionCapacitance(
                zero_bias=6e-10, potential=0.6, grading=0.45, floor=2e-11, ceiling=2e-9
            ),
        ),
        loop_inductance=15e-9,
        loop_resistance=0.15,
    )


@dataclass(frozen=True)
class HandWritten:
    """States: v_gs, v_ds, i_gate, i_drain, v_junction (forward voltage of the freewheel junction)."""

    cell: gs.LowSideCell
    core: Any

    def command(self, t: float) -> float:
        driver = self.cell.driver.push_pull()
        rise = driver.turn_on_delay
        fall = ON_TIME + driver.turn_off_delay
        corners = [rise, rise + driver.rise_time, fall, fall + driver.fall_time]
        return float(np.interp(t, corners, [0.0, 1.0, 1.0, 0.0]))

    def driver_output(self, t: float, gate_current: float) -> float:
        """Output voltage at which the driver gives the gate current.

        Its law i = G u / sqrt(1 + (G u / I)^2) + u / R is solved for u = share * supply - output, the
        supply's share of both conductances, by Newton's method: the law bends towards the u axis, so from
        below no step overshoots.
        """
        driver = self.cell.driver.push_pull()
        on = self.command(t)
        conductance = on / driver.source_resistance + (1.0 - on) / driver.sink_resistance
        limit = 0.35 if gate_current > 0.0 else 0.5
        u = 0.0
        for _ in range(60):
            root = math.sqrt(1.0 + (conductance * u / limit) ** 2)
            excess = gate_current - conductance * u / root - u / driver.leakage_resistance
            step = excess / (conductance / root**3 + 1.0 / driver.leakage_resistance)
            u += step
            if abs(step) < 1e-12 * (1.0 + abs(u)):
                break
        return on / driver.source_resistance / conductance * driver.supply_voltage - u

    def substrate(self, v_ds: float, i_drain: float) -> tuple[float, float]:
        """Voltage outside the drift region and current of the body diode between there and the source."""
        mosfet = self.core.mosfet
        current = 0.0
        for _ in range(60):
            voltage = v_ds + mosfet.drift_resistance * (i_drain + current)
            found = float(_core.diode_current(mosfet.body_diode, -voltage))
            emission = mosfet.body_diode.emission_voltage
            slope = mosfet.drift_resistance * (found + mosfet.body_diode.saturation_current) / emission
            step = (found - current) / (1.0 + slope)
            current += step
            if abs(step) < 1e-12 * (1.0 + abs(current)):
                break
        return v_ds + mosfet.drift_resistance * (i_drain + current), current

    def rates(self, t: float, x: Vector) -> list[float]:
        v_gs, v_ds, i_gate, i_drain, v_junction = (float(value) for value in x)
        cell, mosfet = self.cell, self.core.mosfet
        load = 8.0
        c_gs = float(_core.capacitance(mosfet.gate_source, v_gs))
        c_gd = float(_core.capacitance(mosfet.gate_drain, v_ds - v_gs))
        c_ds = float(_core.capacitance(mosfet.drain_source, v_ds))
        v_substrate, i_body = self.substrate(v_ds, i_drain)
        i_die = (
            float(_core.channel_current(mosfet.channel, v_gs, v_ds))
            + float(_core.knee_current(mosfet.breakdown, v_ds))
            - i_body
        )
        # gate node: i_gate = c_gs v_gs' + c_gd (v_gs' - v_ds'); drain node: i_drain - i_die = c_ds v_ds' +
        # c_gd (v_ds' - v_gs')
        dv = np.linalg.solve([[c_gs + c_gd, -c_gd], [-c_gd, c_ds + c_gd]], [i_gate, i_drain - i_die])
        # gate loop and power loop share the source inductance
        l_source = mosfet.source_inductance
        l_gate = cell.gate_inductance + mosfet.gate_inductance
        l_drain = cell.loop_inductance + mosfet.drain_inductance
        r_gate = cell.gate_resistance + mosfet.internal_gate_resistance
        diode = cell.freewheel
        assert diode is not None
        i_diode = load - i_drain
        v_switch = 48.0 + v_junction + diode.resistance * i_diode
        v_gate_loop = self.driver_output(t, i_gate) - r_gate * i_gate - v_gs
        v_power_loop = v_switch - cell.loop_resistance * i_drain - v_substrate
        di = np.linalg.solve(
            [[l_gate + l_source, l_source], [l_source, l_drain + l_source]], [v_gate_loop, v_power_loop]
        )
        c_j = float(_core.capacitance(self.core.freewheel.capacitance, -v_junction))
        dv_junction = (i_diode - float(_core.diode_current(self.core.freewheel.junction, v_junction))) / c_j
        return [dv[0], dv[1], di[0], di[1], dv_junction]

    def run(self, times: Vector) -> Vector:
        """States at `times` (5, n), restarted on every corner of the command."""
        driver = self.cell.driver.push_pull()
        rise = driver.turn_on_delay
        fall = ON_TIME + driver.turn_off_delay
        stops = [-1e-6, rise, rise + driver.rise_time, fall, fall + driver.fall_time, ON_TIME + OFF_TIME]
        x = np.array([0.0, 48.0, 0.0, 0.0, 0.0])
        states = np.full((5, times.size), np.nan)
        for begin, end in pairwise(stops):
            part = solve_ivp(
                self.rates, (begin, end), x, method="Radau", rtol=1e-7, atol=1e-8, dense_output=True
            )
            assert part.success, part.message
            inside = (times >= begin) & (times <= end)
            states[:, inside] = part.sol(times[inside])
            x = part.y[:, -1]
        return states


@pytest.fixture(scope="module")
def library() -> gs.DoublePulse:
    answer = gs.double_pulse(invented_cell(), on_time=ON_TIME, off_time=OFF_TIME)
    assert answer.succeeded, answer.message
    return answer


@pytest.fixture(scope="module")
def times() -> Vector:
    return np.linspace(0.0, ON_TIME + OFF_TIME, 4001)


@pytest.fixture(scope="module")
def states(times: Vector) -> Vector:
    cell = invented_cell()
    return HandWritten(cell, cell.to_core()).run(times)


@pytest.mark.parametrize(("row", "channel"), [(0, "v_gs"), (1, "v_ds"), (2, "i_gate"), (3, "i_d")])
def test_waveform_agrees_to_1e_4_of_its_span(
    library: gs.DoublePulse, times: Vector, states: Vector, row: int, channel: str
) -> None:
    ours = library.waveform.value(channel, times)
    span = np.ptp(states[row])
    assert np.max(np.abs(ours - states[row])) < 1e-4 * span


def test_switching_energies_agree_to_1e_3(library: gs.DoublePulse, times: Vector, states: Vector) -> None:
    """Energy at the pins over each event; the pins see package inductances and drift resistance."""
    cell = invented_cell()
    hand = HandWritten(cell, cell.to_core())
    power = np.empty(times.size)
    for k, t in enumerate(times):
        x = states[:, k]
        rates = hand.rates(float(t), x)
        v_pin = (
            x[1]
            + cell.mosfet.drift_resistance * x[3]
            + cell.mosfet.drain_inductance * rates[3]
            + cell.mosfet.source_inductance * (rates[2] + rates[3])
        )
        power[k] = v_pin * x[3]
    on = times <= ON_TIME
    turn_on = np.trapezoid(power[on], times[on])
    turn_off = np.trapezoid(power[~on], times[~on])
    assert library.turn_on.total_energy == pytest.approx(turn_on, rel=1e-3)
    assert library.turn_off.total_energy == pytest.approx(turn_off, rel=1e-3)
