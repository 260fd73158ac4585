"""Junction temperature and recovery: the laws' closed forms, and what they do to an edge."""

import numpy as np
import pytest

import gateswing as gs

HOT = 398.15
COLD = 298.15


def on_resistance(mosfet: gs.Mosfet, temperature: float) -> float:
    """R_DS(on) [ohm] at v_GS = 10 V and a small v_DS: channel and drift resistance in series."""
    v_ds = 0.01
    current = float(mosfet.channel_current(10.0, v_ds, junction_temperature=temperature))
    return v_ds / current + float(mosfet.to_core(temperature).drift_resistance)


def recovering(cell: gs.LowSideCell) -> gs.LowSideCell:
    return cell.replace({"freewheel.transit_time": "10 ns", "freewheel.lifetime": "40 ns"})


def test_parts_are_stated_at_25_degrees_celsius(cell: gs.LowSideCell) -> None:
    assert cell.junction_temperature == COLD
    assert cell.mosfet.to_core() == cell.mosfet.to_core(COLD)


def test_the_on_resistance_grows_to_1_4_to_2_2_times_at_125_degrees(cell: gs.LowSideCell) -> None:
    # Range of data-sheet curves: trade knowledge, no source.
    ratio = on_resistance(cell.mosfet, HOT) / on_resistance(cell.mosfet, COLD)
    assert 1.4 < ratio < 2.2


def test_the_channel_has_a_zero_temperature_coefficient_point(cell: gs.LowSideCell) -> None:
    gate = np.linspace(2.0, 12.0, 1001)
    difference = cell.mosfet.channel_current(
        gate, 20.0, junction_temperature=HOT
    ) - cell.mosfet.channel_current(gate, 20.0, junction_temperature=COLD)
    assert difference[0] > 0.0
    assert difference[-1] < 0.0
    assert np.count_nonzero(np.diff(np.sign(difference))) == 1


def test_a_body_diode_drops_1_to_2_5_millivolt_less_for_each_kelvin(cell: gs.LowSideCell) -> None:
    # Common practice, no source: about -2 mV/K for silicon.
    voltage = np.linspace(0.2, 1.2, 2001)
    drop = [
        np.interp(1.0, cell.mosfet.body_diode_current(voltage, junction_temperature=at), voltage)
        for at in (COLD, HOT)
    ]
    assert -2.5e-3 < (drop[1] - drop[0]) / (HOT - COLD) < -1e-3


def test_a_hot_mosfet_turns_on_sooner_and_off_later(cell: gs.LowSideCell) -> None:
    cold = gs.double_pulse(cell)
    hot = gs.double_pulse(cell.replace(junction_temperature="125 degC"))
    assert hot.turn_on.delay < cold.turn_on.delay
    assert hot.turn_off.delay > cold.turn_off.delay


def test_recovery_adds_to_current_and_energy_of_the_turn_on(cell: gs.LowSideCell) -> None:
    without = gs.double_pulse(cell, current="6 A", on_time="1 us")
    with_recovery = gs.double_pulse(recovering(cell), current="6 A", on_time="1 us")
    assert with_recovery.energy_residual < 1e-6
    assert with_recovery.turn_on.peak_drain_current > without.turn_on.peak_drain_current + 1.0
    assert with_recovery.turn_on.energy > without.turn_on.energy


def test_a_diode_that_recovers_begins_with_the_charge_of_the_load_current(cell: gs.LowSideCell) -> None:
    edges = gs.double_pulse(recovering(cell), current="6 A")
    begin = float(edges.waveform.value("i_freewheel", edges.waveform.times[0]))
    assert begin == pytest.approx(6.0, rel=1e-3)


@pytest.mark.parametrize("part", ["freewheel", "mosfet.body_diode"])
@pytest.mark.parametrize("missing", ["transit_time", "lifetime"])
def test_recovery_takes_both_of_its_times(cell: gs.LowSideCell, part: str, missing: str) -> None:
    given = {"transit_time": "lifetime", "lifetime": "transit_time"}[missing]
    with pytest.raises(gs.InputError, match=f"{part}.{missing}"):
        cell.replace({f"{part}.{given}": "20 ns"})


def test_a_step_of_a_superjunction_adds_to_its_capacitance(cell: gs.LowSideCell) -> None:
    step = gs.StepCapacitance(low="3 nF", high=0.0, centre=20.0, width=2.0)
    plain = cell.mosfet.capacitances(0.0, [0.0, 20.0, 70.0])
    stepped = cell.mosfet.replace(drain_source_step=step).capacitances(0.0, [0.0, 20.0, 70.0])
    added = stepped["coss"] - plain["coss"]
    assert added == pytest.approx(3e-9 / 2 * (1 - np.array([-10, 0, 25]) / np.sqrt([101, 1, 626])), rel=1e-9)


def test_a_forward_voltage_below_the_drop_of_the_series_resistance_is_refused(cell: gs.LowSideCell) -> None:
    with pytest.raises(gs.InputError, match=r"freewheel\.forward_voltage.*above 8 V"):
        cell.replace({"freewheel.resistance": "1 ohm"})


def test_a_forward_voltage_beyond_the_exponential_is_refused(cell: gs.LowSideCell) -> None:
    with pytest.raises(gs.InputError, match=r"emission_voltage.*above 77\.78 mV"):
        cell.replace({"mosfet.body_diode.forward_voltage": "3.5 V"})


@pytest.mark.filterwarnings("ignore::gateswing.InputWarning")
def test_what_a_hot_body_diode_leaks_is_no_conduction() -> None:
    """I_S times the mean of v_DS: Shockley's law of a diode that blocks, at 300 degrees Celsius."""
    hot = 573.15
    cell = gs.LowSideCell(
        bus="24 V",
        mosfet="standard-60V",
        driver="driver-ic-strong",
        gate_resistance="10 ohm",
        load=gs.Load(resistance="8 ohm"),
        loop_inductance="10 nH",
        junction_temperature=hot,
    )
    point = gs.operating_point(cell, frequency="50 kHz", duty=0.5, relative_tolerance=1e-4)
    wave = point.waveform
    mean = float(wave.integral("v_ds", wave.begin, wave.end)) * point.frequency
    leaked = cell.mosfet.to_core(hot).body_diode.saturation_current * mean
    assert leaked > 0.1
    assert point.losses_by_cause["leakage"] == pytest.approx(leaked, rel=5e-3)
    assert point.losses_by_cause["reverse conduction"] < 1e-6 * leaked
