"""Every kind of driver against the formula its owner would write down, and as part of a design.

Unless a test names another source, the formulas are the textbook's laws of resistor, capacitor and ideal
transistor, and the data are invented.
"""

from __future__ import annotations

import math
import tomllib
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp  # type: ignore[import-untyped]

import gateswing as gs
from gateswing.circuit.driver import Driver
from gateswing.circuit.drivers import DRIVER_KINDS
from gateswing.circuit_checks.low_side import design_warnings

DRIVERS: dict[str, dict[str, Any]] = tomllib.loads(
    (Path(__file__).parent / "drivers.toml").read_text(encoding="utf-8")
)
GATE_CAPACITANCE = 10e-9
EDGE = 1e-9  # [s], short against every RC below
TIMES = {"rise_time": EDGE, "fall_time": EDGE}


def capacitor_cell(driver: Driver, gate_resistance: float = 0.0) -> gs.LowSideCell:
    """A MOSFET that is a constant gate capacitance and never conducts."""
    little = gs.DepletionCapacitance(zero_bias=1e-15, potential=0.8, grading=0.5, floor=1e-16)
    mosfet = gs.Mosfet(
        channel=gs.MosfetChannel(
            threshold_voltage=19.0, transconductance_factor=1.0, mobility_degradation=0.1
        ),
        gate_source_capacitance=gs.StepCapacitance(
            low=GATE_CAPACITANCE, high=GATE_CAPACITANCE, centre=3.0, width=1.0
        ),
        gate_drain_capacitance=little,
        drain_source_capacitance=little,
        body_diode=gs.BodyDiode(forward_voltage=0.9, forward_current=10.0),
        internal_gate_resistance=1.0,
        drift_resistance=0.1,
        breakdown_voltage=60.0,
    )
    return gs.LowSideCell(
        bus=1.0, mosfet=mosfet, driver=driver, load=gs.Load(resistance=1e3), gate_resistance=gate_resistance
    )


@pytest.fixture(autouse=True)
def without_warnings() -> Iterator[None]:
    """The capacitor that poses as a MOSFET never switches on, which is warned of each time."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", gs.InputWarning)
        yield


def gate(driver: Driver, on_time: float, off_time: float) -> Callable[[Any], Any]:
    """Gate voltage over time, the command "on" at zero and "off" at `on_time`."""
    found = gs.double_pulse(capacitor_cell(driver), on_time=on_time, off_time=off_time)
    assert found.succeeded, found.message
    return lambda time: found.waveform.value("v_gs", time)


def of_kind(kind: str, **changes: object) -> Driver:
    return DRIVER_KINDS[kind](**DRIVERS[kind] | changes)


def crossing(v_gs: Callable[[Any], Any], level: float, begin: float, end: float) -> float:
    """First time at which the voltage is at the other side of the level than at the begin [s]."""
    time = np.linspace(begin, end, 20001)
    above = v_gs(time) > level
    assert above.any()
    assert not above.all()
    return float(time[np.argmax(above != above[0])])


def lowest_and_highest(driver: Driver) -> tuple[float, float]:
    """Gate voltage at the end of 3 us each way: ten time constants, and far less than the leakage takes."""
    on, off = 3e-6, 3e-6
    v_gs = gate(driver, on, off)
    return float(v_gs(on + off)), float(v_gs(on))


# A pin and gates in parallel ----------------------------------------------------------------------------


def test_a_pin_gives_its_resistance_up_to_its_limit() -> None:
    """V_OH = V - R I in the linear range; short-circuit current (V/R)/sqrt(1 + (V/(R L))^2)."""
    pin = of_kind("microcontroller_pin", source_current_limit="40 mA").push_pull()
    linear = of_kind("microcontroller_pin").push_pull()
    assert linear.output_current(5.0 - 30.0 * 0.01, on=True) == pytest.approx(0.01, rel=1e-3)
    assert linear.output_current(25.0 * 0.01, on=False) == pytest.approx(-0.01, rel=1e-3)
    ratio = 5.0 / 30.0 / 0.04
    assert pin.output_current(0.0, on=True) == pytest.approx(0.04 * ratio / math.hypot(1.0, ratio), rel=2e-3)


def test_gates_in_parallel_are_one_gate_of_the_nth_resistance() -> None:
    limits = {"source_current_limit": 0.02, "sink_current_limit": 0.025}
    one = of_kind("parallel_gates", count=1, **limits).push_pull()
    six = of_kind("parallel_gates", count=6, **limits).push_pull()
    voltage = np.linspace(0.0, 5.0, 11)
    for on in (True, False):
        # Each output leaks through 100 kohm, so six gates in one leak five times too little: 0.25 mA at most.
        difference = six.output_current(voltage, on=on) - 6.0 * one.output_current(voltage, on=on)
        assert np.abs(difference).max() < 5.01 * 5.0 / 100e3
    assert six.source_resistance == pytest.approx(30.0 / 6.0)
    assert six.sink_current_limit == pytest.approx(6 * 0.025)


@pytest.mark.parametrize("count", [2.5, 1.01])
def test_gates_are_counted_in_whole_numbers(count: float) -> None:
    with pytest.raises(gs.InputError, match=r"count = .*: not a whole number\. Allowed: 1 to 100\."):
        of_kind("parallel_gates", count=count)


# A gate-driver IC ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("resistance", [None, 1.0, 2.5])
def test_an_ic_gives_its_peak_current_into_a_short_circuit(resistance: float | None) -> None:
    ic = gs.GateDriverIC(
        supply_voltage=12,
        source_resistance=resistance,
        sink_resistance=resistance,
        peak_source_current=4,
        peak_sink_current=3.5,
        **TIMES,
    ).push_pull()
    assert ic.output_current(0.0, on=True) == pytest.approx(4.0, rel=1e-3)
    assert ic.output_current(12.0, on=False) == pytest.approx(-3.5, rel=1e-3)
    if resistance is not None:
        assert ic.source_resistance == resistance


def test_an_ic_takes_a_resistance_or_a_peak_current_for_each_side() -> None:
    with pytest.raises(gs.InputError) as error:
        gs.GateDriverIC(supply_voltage=12, **TIMES)
    assert [problem.path for problem in error.value.problems] == ["source_resistance", "sink_resistance"]


def test_a_peak_that_the_resistance_forbids_is_said(cell: gs.LowSideCell) -> None:
    """12 V over 30 ohm is 0.4 A."""
    changed = cell.replace(driver=of_kind("gate_driver_ic", peak_source_current="4 A"))
    (warning,) = design_warnings(changed)
    assert warning.path == "driver.peak_source_current"
    assert "allows only 400 mA" in str(warning)
    assert changed.driver.push_pull().source_current_limit is None


def test_below_its_lockout_an_ic_stays_low_and_says_so(cell: gs.LowSideCell) -> None:
    locked = of_kind("gate_driver_ic", supply_voltage="7.9 V", lockout_threshold="8 V")
    (warning,) = design_warnings(cell.replace(driver=locked))
    assert warning.path == "driver.supply_voltage"
    assert "7.9 V is below the driver's undervoltage lockout of 8 V: it never switches on" in str(warning)
    assert abs(lowest_and_highest(locked)[1]) < 0.01
    above = locked.replace(supply_voltage="8 V")
    assert design_warnings(cell.replace(driver=above)) == []
    assert lowest_and_highest(above)[1] == pytest.approx(8.0, rel=1e-3)


@pytest.mark.parametrize("kind", ["gate_driver_ic", "parallel_gates"])
def test_a_logic_level_below_the_input_threshold_is_said(cell: gs.LowSideCell, kind: str) -> None:
    levels = {"input_threshold": "3.5 V", "logic_level": "3.3 V", "supply_voltage": "10 V"}
    (warning,) = design_warnings(cell.replace(driver=of_kind(kind, **levels)))
    assert warning.path == "driver.logic_level"
    assert "3.3 V is below the driver's input threshold of 3.5 V" in str(warning)
    assert design_warnings(cell.replace(driver=of_kind(kind, **levels | {"logic_level": "3.5 V"}))) == []


def test_the_quiescent_power_of_a_published_ic() -> None:
    """14.4 mW for 1.2 mA at 12 V: Analog Devices, ADP3654 data sheet, rev. 0, p. 11."""
    ic = of_kind("gate_driver_ic", quiescent_current="1.2 mA")
    assert ic.quiescent_power(0.3) == pytest.approx(14.4e-3)


def test_a_published_gate_power() -> None:
    """0.432 W for 10 nF, 12 V, 300 kHz (C V^2 f): Texas Instruments, SLUS678A, p. 10.

    During its edge the output takes part of the charge from the lower rail, hence the steep one.
    """
    steep = {"rise_time": 0.1e-9, "fall_time": 0.1e-9}
    ic = gs.GateDriverIC(supply_voltage=12, peak_source_current=4, peak_sink_current=4, **steep)
    point = gs.operating_point(capacitor_cell(ic, gate_resistance=2.0), frequency="300 kHz", duty=0.5)
    gate_loop = ("driver", "gate resistor", "gate lead resistance")
    assert sum(point.losses[name] for name in gate_loop) == pytest.approx(0.432, rel=2e-3)


@pytest.mark.parametrize(
    ("thermal_resistance", "rise", "junction"), [(59.0, 51.8, 136.8), (43.0, 37.7, 122.7)]
)
def test_the_junction_temperature_of_a_published_ic(
    thermal_resistance: float, rise: float, junction: float
) -> None:
    """Two gates of 120 nC at 12 V and 300 kHz, 1.2 mA at rest, 85 degrees Celsius around: ADP3654, p. 11.

    Analog Devices, data sheet rev. 0. Without gate resistance the driver takes the whole 878.4 mW.
    """
    steep = {"rise_time": 0.1e-9, "fall_time": 0.1e-9}
    ic = gs.GateDriverIC(
        supply_voltage=12, peak_source_current=8, peak_sink_current=8, quiescent_current="1.2 mA", **steep
    )
    cell = capacitor_cell(ic)
    both = cell.mosfet.gate_source_capacitance.replace(low=20e-9, high=20e-9)
    cell = cell.replace(mosfet__gate_source_capacitance=both, mosfet__internal_gate_resistance=0.0)
    losses = gs.operating_point(cell, frequency="300 kHz", duty=0.5).losses
    found = losses["driver"] + losses["driver at rest"]
    assert found == pytest.approx(878.4e-3, rel=2e-3)
    assert thermal_resistance * found == pytest.approx(rise, abs=0.1)
    assert 85.0 + thermal_resistance * found == pytest.approx(junction, abs=0.1)


@pytest.mark.parametrize(("limit", "follows"), [(None, True), ("0.3 A", False)])
def test_a_linear_driver_shares_the_loss_as_its_resistance_a_limited_one_takes_more(
    cell: gs.LowSideCell, limit: str | None, follows: bool
) -> None:
    """Series resistances carry one current: each takes R_i/sum(R), whatever the gate's capacitance does."""
    pin = of_kind(
        "microcontroller_pin",
        supply_voltage="10 V",
        source_resistance="4 ohm",
        sink_resistance="4 ohm",
        source_current_limit=limit,
        sink_current_limit=limit,
    )
    loop = cell.replace(driver=pin, turn_off_gate_resistance=None, pull_down_resistance=None)
    energy = {entry.name: entry.energy for entry in gs.double_pulse(loop).ledger}
    resistance = {"driver": 4.0, "gate resistor": 10.0, "gate lead resistance": 1.5}
    total = sum(energy[name] for name in resistance)
    shares = {name: energy[name] / total for name in resistance}
    wanted = {name: value / 15.5 for name, value in resistance.items()}
    if follows:
        assert shares == pytest.approx(wanted, rel=2e-3)
    else:
        assert shares["driver"] > 1.5 * wanted["driver"]


# Transistors --------------------------------------------------------------------------------------------


def test_a_totem_pole_stops_short_of_the_rails() -> None:
    low, high = lowest_and_highest(of_kind("bipolar_totem_pole", low_side_drop="0.5 V"))
    assert high == pytest.approx(12.0 - 1.5, abs=0.2)
    assert low == pytest.approx(0.5, abs=0.2)


def test_a_totem_pole_at_its_limits_charges_with_constant_current() -> None:
    """dv/dt = I/C, other each way."""
    stage = of_kind(
        "bipolar_totem_pole",
        source_resistance=0.5,
        sink_resistance=0.5,
        source_current_limit="50 mA",
        sink_current_limit="100 mA",
    )
    v_gs = gate(stage, 10e-6, 10e-6)
    rise = (v_gs(1.2e-6) - v_gs(0.7e-6)) / 0.5e-6
    fall = (v_gs(10.4e-6) - v_gs(10.2e-6)) / 0.2e-6
    assert rise == pytest.approx(0.05 / GATE_CAPACITANCE, rel=5e-3)
    assert fall == pytest.approx(-0.10 / GATE_CAPACITANCE, rel=5e-3)


@pytest.mark.parametrize("kind", ["bipolar_totem_pole", "pull_up_transistor"])
def test_storage_delays_the_rise_alone(kind: str) -> None:
    delays = {"turn_on_delay": "100 ns", "turn_off_delay": "50 ns"}
    prompt, stored = (of_kind(kind, **delays, storage_time=time).push_pull() for time in (0.0, "300 ns"))
    assert stored.turn_on_delay - prompt.turn_on_delay == pytest.approx(300e-9)
    assert stored.turn_off_delay == prompt.turn_off_delay == 50e-9


def test_each_state_of_a_totem_pole_draws_its_own_current() -> None:
    stage = of_kind("bipolar_totem_pole", high_state_current="2 mA", low_state_current="5 mA")
    assert stage.quiescent_power(0.25) == pytest.approx(12.0 * (0.25 * 2e-3 + 0.75 * 5e-3))


@pytest.mark.parametrize("rise_time", [1e-9, 100e-9])
def test_a_pull_up_charges_the_gate_exponentially(rise_time: float) -> None:
    """Gate voltage V (1 - exp(-t/(R C))), from the middle of the transistor's own edge; R is 1001 ohm."""
    v_gs = gate(of_kind("pull_up_transistor", rise_time=rise_time), 60e-6, 1e-6)
    time = np.array([2e-6, 5e-6, 10e-6, 30e-6, 60e-6])
    wanted = 12.0 * (1.0 - np.exp(-(time - 0.5 * rise_time) / (1001.0 * GATE_CAPACITANCE)))
    assert v_gs(time) == pytest.approx(wanted, rel=1e-2)


def test_a_weak_source_gets_nothing_from_a_strong_sink_that_lets_go() -> None:
    """C v' = a (V - v)/R_1 - (1 - a) v/R_2 by scipy's integrator, a rising from 0 to 1 within 2 us."""
    weak, strong, edge = 1e3, 1.0, 2e-6
    driver = gs.PushPullDriver(
        supply_voltage=12.0,
        source_resistance=weak,
        sink_resistance=strong,
        rise_time=edge,
        fall_time=EDGE,
        leakage_resistance=1e9,
    )
    time = np.array([1e-6, 1.9e-6, 2.5e-6, 5e-6, 20e-6])
    v_gs = gate(driver, 30e-6, 1e-6)

    def slope(t: float, v: Any) -> Any:
        a = min(t / edge, 1.0)
        # One ohm of the gate lead lies behind either side.
        conductance = a / weak + (1.0 - a) / strong
        return (a / weak * 12.0 - conductance * v) / (1.0 + conductance) / GATE_CAPACITANCE

    wanted = solve_ivp(slope, (0.0, 30e-6), [0.0], "Radau", time, rtol=1e-9, atol=1e-12, max_step=1e-8).y[0]
    assert v_gs(time) == pytest.approx(wanted, abs=1e-3)


@pytest.mark.parametrize("collector_current", [12.5e-3, 15e-3, 30e-3, 300e-3])
def test_a_pull_up_transistor_discharges_the_gate_in_its_time(collector_current: float) -> None:
    """C dv/dt = -(beta I_B - (V - v)/R), so t = R C ln(I/(I - (V - v)/R)): exact at the end of the swing.

    The time to 0.5 V counts; the bend of the constant limit into saturation costs some of it.
    """
    driver = of_kind("pull_up_transistor", base_current=collector_current / 100.0)
    v_gs = gate(driver, 150e-6, 50e-6)
    begin, resistance, level = 150e-6, 1e3, 0.5
    end = crossing(v_gs, level, begin, begin + 50e-6)
    ratio = (12.0 - level) / resistance / collector_current
    wanted = -resistance * GATE_CAPACITANCE * math.log1p(-ratio)
    assert end - begin == pytest.approx(wanted, rel=0.15)


def test_a_pull_up_draws_its_static_current_while_low() -> None:
    """(V - V_sat)/R from V for the share of time that it is low."""
    driver = of_kind("pull_up_transistor")
    assert driver.quiescent_power(0.25) == pytest.approx(0.75 * 12.0 * 11.8e-3)


def test_a_transistor_weaker_than_its_pull_up_is_refused() -> None:
    with pytest.raises(gs.InputError, match=r"base_current: the transistor conducts 10 mA.*11\.8 mA"):
        of_kind("pull_up_transistor", base_current="100 uA")


def test_an_emitter_follower_ends_one_junction_short_of_either_rail() -> None:
    low, high = lowest_and_highest(of_kind("emitter_follower"))
    assert high == pytest.approx(12.0 - 0.7, abs=0.2)
    assert low == pytest.approx(0.7, abs=0.2)


def test_an_emitter_follower_divides_the_base_resistance_by_its_gain() -> None:
    """R_B/(beta + 1) + R_E behind the junction; beta + 1 times the base current at the limit."""
    driver = of_kind("emitter_follower", emitter_resistance="2 ohm")
    given = driver.push_pull().output_current(12.0 - 0.7 - 12.0 * 0.2, on=True)
    assert given == pytest.approx(0.2, rel=2e-3)
    limited = driver.replace(base_current_limit="2 mA").push_pull()
    assert limited.source_current_limit == limited.sink_current_limit == pytest.approx(0.2)
    assert (
        driver.replace(base_current_limit="2 mA", current_limit="0.1 A").push_pull().sink_current_limit == 0.1
    )


def test_an_optocoupler_is_slow_and_unequal() -> None:
    """Off: v = V exp(-t/(R C)) from the middle of its edge. On: full swing in the time of k I_F - v/R."""
    driver = of_kind(
        "optocoupler", turn_on_delay="3 us", turn_off_delay="8 us", fall_time="1 us", rise_time="1 us"
    )
    on = 80e-6
    v_gs = gate(driver, on, 200e-6)
    assert abs(v_gs(3e-6)) < 0.05
    assert v_gs(on + 8e-6) == pytest.approx(v_gs(on), abs=0.05)
    after = np.array([20e-6, 60e-6, 120e-6])
    decay = np.exp(-after / (4701.0 * GATE_CAPACITANCE))
    assert v_gs(on + 8.5e-6 + after) == pytest.approx(float(v_gs(on)) * decay, rel=2e-2)
    end = crossing(v_gs, 11.0, 4e-6, on) - 3.5e-6
    wanted = -4700.0 * GATE_CAPACITANCE * math.log1p(-11.0 / (4700.0 * 10e-3))
    assert end == pytest.approx(wanted, rel=0.1)


def test_an_optocoupler_draws_power_while_lit() -> None:
    wanted = 12.0 * 11.8 / 4700.0 + 1.2 * 10e-3
    assert of_kind("optocoupler").quiescent_power(0.5) == pytest.approx(0.5 * wanted)


def test_an_optocoupler_too_weak_for_its_load_is_refused() -> None:
    with pytest.raises(gs.InputError, match=r"led_current: the transistor conducts 2 mA.*2\.511 mA"):
        of_kind("optocoupler", transfer_ratio="20 %")
