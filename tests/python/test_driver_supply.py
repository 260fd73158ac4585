"""Driver supplies against published figures, power balances and a period-by-period march."""

import math

import pytest

import gateswing as gs


def bootstrap(capacitance: float, resistance: float = 125.0) -> gs.BootstrapSupply:
    return gs.BootstrapSupply(
        supply_voltage=15.0, capacitance=capacitance, resistance=resistance, diode_drop=0.0
    )


def test_the_average_current_rule_of_a_bootstrap_switch() -> None:
    # ST L6388E data sheet p. 9: 30 nC through 125 ohm in 5 us drops "about 0.8 V"; 30n/5u*125 = 0.75 V.
    assert bootstrap(10e-6).recharge_loss(30e-9, 5e-6) == pytest.approx(0.75, rel=0.01)


def test_the_bootstrap_s_steady_state_is_where_a_march_ends() -> None:
    supply = bootstrap(100e-9)
    charge, off_time = 30e-9, 2e-6
    lost = 0.0
    for _ in range(200):
        lost = (lost + charge / 100e-9) * math.exp(-off_time / (125.0 * 100e-9))
    assert supply.recharge_loss(charge, off_time) == pytest.approx(lost, rel=1e-9)


def test_the_minimum_off_time_reaches_just_the_voltage_asked_for() -> None:
    supply = bootstrap(220e-9, 10.0)
    off_time = supply.minimum_off_time(60e-9, 14.0)
    assert supply.lowest_voltage(60e-9, off_time) == pytest.approx(14.0, rel=1e-9)
    assert supply.minimum_off_time(60e-9, 14.9) == math.inf


@pytest.mark.parametrize("current", [0.0, 5e-3, 20e-3, 60e-3, 0.2])
def test_what_a_series_pass_supply_takes_is_what_it_gives_and_dissipates(current: float) -> None:
    supply = gs.SeriesPassSupply(input_voltage=24.0, reference_voltage=13.0, base_resistance=4700.0)
    at = supply.loading(current)
    base_current = current / supply.current_gain
    reference_power = at.dissipation["reference"]
    voltage_at_base = at.rail_voltage + supply.base_emitter_voltage
    feed = (24.0 - voltage_at_base) / 4700.0
    taken = 24.0 * (feed + current - base_current)
    assert taken == pytest.approx(at.rail_voltage * current + sum(at.dissipation.values()), rel=1e-9)
    assert reference_power >= 0.0


def test_a_series_pass_rail_is_one_base_emitter_voltage_below_its_reference() -> None:
    supply = gs.SeriesPassSupply(input_voltage=24.0, reference_voltage=13.0, base_resistance=4700.0)
    assert supply.maximum_current() == pytest.approx(50.0 * (11.0 / 4700.0 - 1e-3))
    assert supply.loading(0.9 * supply.maximum_current()).rail_voltage == pytest.approx(12.3)
    assert not supply.loading(1.1 * supply.maximum_current()).regulates


@pytest.mark.parametrize("current", [0.0, 3e-3, 9e-3, 20e-3])
def test_a_shunt_supply_sags_once_the_driver_takes_all_its_resistor_gives(current: float) -> None:
    supply = gs.ShuntSupply(input_voltage=24.0, reference_voltage=12.0, resistance=1000.0)
    at = supply.loading(current)
    assert at.rail_voltage == pytest.approx(min(12.0, 24.0 - 1000.0 * current))
    assert at.regulates == (current <= 11e-3)
    taken = 24.0 * (24.0 - at.rail_voltage) / 1000.0
    assert taken == pytest.approx(at.rail_voltage * current + sum(at.dissipation.values()), rel=1e-9)


@pytest.mark.parametrize("kind", [gs.ShuntSupply, gs.SeriesPassSupply])
def test_an_input_below_the_reference_is_refused(
    kind: type[gs.ShuntSupply] | type[gs.SeriesPassSupply],
) -> None:
    resistor = "resistance" if kind is gs.ShuntSupply else "base_resistance"
    with pytest.raises(gs.InputError, match=r"input_voltage.*above 12 V"):
        kind(input_voltage=10.0, reference_voltage=12.0, **{resistor: 1000.0})


def test_the_rail_dips_by_charge_resistance_and_inductance() -> None:
    capacitor = gs.Decoupling(capacitance="1 uF", resistance="20 mohm", inductance="2 nH")
    assert capacitor.droop(60e-9, 1.5, 50e6) == pytest.approx(0.06 + 0.03 + 0.1)
