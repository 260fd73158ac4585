"""The bootstrap of a half bridge's high side: droop, recharge and largest duty, against hand formulas."""

import dataclasses
import math

import pytest

import gateswing as gs
from gateswing.figures import format_figure
from gateswing.studies import bootstrap_duty

FREQUENCY, PERIOD = 100e3, 10e-6
DROP = 0.4  # of the bootstrap's diode [V]


def fed(buck: gs.HalfBridgeCell, supply_voltage: float, capacitance: float) -> gs.HalfBridgeCell:
    """The bridge at a light load, with a bootstrap of 125 ohm whose diode drops about 0.4 V."""
    diode = gs.Diode(
        forward_voltage="0.4 V",
        forward_current="10 mA",
        emission_voltage="10 mV",
        capacitance=gs.DepletionCapacitance(zero_bias="20 pF"),
    )
    bootstrap = gs.Bootstrap(
        supply_voltage=supply_voltage, diode=diode, resistance="125 ohm", capacitance=capacitance
    )
    light = {"output.resistance": 60.0, "output.capacitance": 4.7e-6}
    return buck.replace(light | {"bootstrap": bootstrap})


def taken(point: gs.HalfBridgePoint) -> float:
    """Charge [C] that a period takes from the bootstrap supply."""
    assert point.cell.bootstrap is not None
    energy = next(entry.energy for entry in point.ledger if entry.name == "bootstrap supply")
    return energy / point.cell.bootstrap.supply_voltage


@pytest.mark.filterwarnings("ignore::gateswing.InputWarning")
def test_a_bootstrap_recharged_through_125_ohm_loses_the_published_three_quarters_of_a_volt(
    buck: gs.HalfBridgeCell,
) -> None:
    # ST L6388E data sheet p. 9: 30 nC through 125 ohm in 5 us drop "about 0.8 V"; 30n/5u*125 = 0.75 V. The
    # supply is chosen for these 30 nC.
    def at(voltage: float) -> gs.HalfBridgePoint:
        bridge = fed(buck, voltage, 10e-6)
        return gs.half_bridge_point(bridge, frequency=FREQUENCY, duty=0.5, dead_time="120 ns")

    charges = [taken(at(voltage)) for voltage in (8.0, 9.0)]
    voltage = 8.0 + (30e-9 - charges[0]) / (charges[1] - charges[0])
    found = at(voltage)
    assert found.succeeded
    assert taken(found) == pytest.approx(30e-9, rel=5e-3)
    assert voltage - DROP - found.high_supply_maximum == pytest.approx(0.75, rel=0.05)


@pytest.mark.filterwarnings("ignore::gateswing.InputWarning")
@pytest.mark.parametrize("duty", [0.3, 0.7])
def test_a_bootstrap_droops_as_its_hand_formulas_say(buck: gs.HalfBridgeCell, duty: float) -> None:
    capacitance = 100e-9
    bridge = fed(buck, 12.0, capacitance)
    found = gs.half_bridge_point(bridge, frequency=FREQUENCY, duty=duty, dead_time="120 ns")
    hand = gs.BootstrapSupply(supply_voltage=12.0, capacitance=capacitance, resistance=125.0, diode_drop=DROP)
    charge, off_time = taken(found), (1.0 - duty) * PERIOD
    lost = hand.recharge_loss(charge, off_time)
    assert 12.0 - DROP - found.high_supply_maximum == pytest.approx(lost, rel=0.07)
    droop = found.high_supply_maximum - found.high_supply_minimum
    assert droop == pytest.approx(charge / capacitance, rel=0.05)
    assert found.high.maximum_gate_voltage == pytest.approx(found.high_supply_minimum, abs=0.1)


@pytest.mark.filterwarnings("ignore::gateswing.InputWarning")
def test_the_largest_duty_of_a_bootstrap_keeps_just_the_voltage(buck: gs.HalfBridgeCell) -> None:
    bridge = fed(buck, 12.0, 100e-9)
    limit = gs.bootstrap_limit(bridge, frequency=FREQUENCY, dead_time="120 ns", minimum_voltage="9 V")
    assert limit.point.high_supply_minimum == pytest.approx(9.0, abs=0.03)
    assert limit.point.high_supply_minimum >= 9.0
    assert limit.maximum_duty == pytest.approx(1.0 - (limit.minimum_low_on_time + 240e-9) / PERIOD)
    assert limit.minimum_low_on_time == pytest.approx(limit.low_on_time_by_hand, rel=0.08)
    assert format_figure(limit.maximum_duty, "%") in repr(limit)
    never = gs.bootstrap_limit(bridge, frequency=FREQUENCY, dead_time="120 ns", minimum_voltage="11.9 V")
    assert math.isnan(never.maximum_duty)
    with pytest.raises(gs.InputError, match="bootstrap"):
        gs.bootstrap_limit(buck, frequency=FREQUENCY, dead_time="120 ns", minimum_voltage="9 V")
    with pytest.raises(gs.InputError, match=r"dead_time = 6 us: leaves no on-time in a period of 10 us"):
        gs.bootstrap_limit(bridge, frequency=FREQUENCY, dead_time="6 us", minimum_voltage="9 V")


def test_a_search_warns_of_its_answer_and_not_of_its_trials(
    buck: gs.HalfBridgeCell, buck_point: gs.HalfBridgePoint, monkeypatch: pytest.MonkeyPatch
) -> None:
    def tried(_: gs.HalfBridgeCell, *, duty: float, **__: object) -> gs.HalfBridgePoint:
        warned = (gs.InputWarning("bootstrap", f"of {duty:.3f}"),)
        return dataclasses.replace(
            buck_point, duty=duty, high_supply_minimum=12.0 - 4.0 * duty, warnings=warned, ledger=ledger
        )

    supply = dataclasses.replace(buck_point.ledger[0], name="bootstrap supply", energy=1e-7)
    ledger = (*buck_point.ledger, supply)
    monkeypatch.setattr(bootstrap_duty, "quiet_half_bridge_point", tried)
    with pytest.warns(gs.InputWarning) as told:
        limit = gs.bootstrap_limit(
            fed(buck, 12.0, 1e-7), frequency=1e5, dead_time="120 ns", minimum_voltage="9 V"
        )
    assert limit.maximum_duty == pytest.approx(0.75, abs=2e-3)
    assert [str(one.message) for one in told] == [f"bootstrap: of {limit.maximum_duty:.3f}"]


@pytest.mark.filterwarnings("ignore::gateswing.InputWarning")
def test_a_duty_without_a_steady_state_ends_the_search(
    buck: gs.HalfBridgeCell, buck_point: gs.HalfBridgePoint, monkeypatch: pytest.MonkeyPatch
) -> None:
    lost = dataclasses.replace(buck_point, status="unstable", message="it oscillates")
    monkeypatch.setattr(bootstrap_duty, "quiet_half_bridge_point", lambda *_, **__: lost)
    with pytest.raises(gs.SimulationError, match=r"at a duty of 97.5%: it oscillates"):
        gs.bootstrap_limit(fed(buck, 12.0, 1e-7), frequency=1e5, dead_time="120 ns", minimum_voltage="9 V")


@pytest.mark.filterwarnings("ignore::gateswing.InputWarning")
def test_what_a_driver_draws_at_rest_discharges_its_bootstrap(buck: gs.HalfBridgeCell) -> None:
    thirsty = gs.GateDriverIC(
        supply_voltage="12 V",
        peak_source_current="1.5 A",
        peak_sink_current="2 A",
        quiescent_current="5 mA",
        lockout_threshold="11 V",
        rise_time="8 ns",
        fall_time="6 ns",
    )
    bridge = fed(buck, 12.0, 1e-6).replace({"high.driver": thirsty})
    found = gs.half_bridge_point(bridge, frequency=FREQUENCY, duty=0.5, dead_time="120 ns")
    assert "lockout of 11 V: the driver would keep the high side off" in str(found.warnings[-1])
    power = found.losses["high driver at rest"]
    assert power == pytest.approx(found.high_supply_maximum**2 * 5e-3 / 12.0, rel=0.02)


def test_a_low_side_cell_has_no_bootstrap_to_ask_for(cell: gs.LowSideCell) -> None:
    with pytest.raises(gs.InputError, match="cell: not a HalfBridgeCell but of the class LowSideCell"):
        gs.bootstrap_limit(cell, frequency=1e5, dead_time=0, minimum_voltage=8)  # type: ignore[arg-type]
