"""A MOSFET above its load with a driver on ground: against the square law's closed form, and in words."""

import math

import pytest

import gateswing as gs


@pytest.fixture(scope="module")
def square_law() -> gs.Mosfet:
    """Almost i = K/2 (v_GS - V_th)^2 in saturation, without drift resistance."""
    capacitance = {"zero_bias": "1 nF", "potential": 0.7, "grading": 0.5, "floor": "10 pF"}
    return gs.Mosfet(
        channel=gs.MosfetChannel(
            threshold_voltage=2.0,
            transconductance_factor=20.0,
            mobility_degradation=0.0,
            subthreshold_voltage=1e-3,
        ),
        gate_source_capacitance=gs.StepCapacitance(low="1 nF", high="1 nF"),
        gate_drain_capacitance=gs.DepletionCapacitance(**capacitance),
        drain_source_capacitance=gs.DepletionCapacitance(**capacitance),
        body_diode=gs.BodyDiode(forward_voltage=0.9, forward_current=10.0),
        drift_resistance=0.0,
        breakdown_voltage=60.0,
    )


def test_a_resistor_below_the_source_leaves_the_gate_what_the_square_law_needs(square_law: gs.Mosfet) -> None:
    """K/2 u^2 = (V - V_th - u)/R with u = v_GS - V_th: u = (sqrt(1 + 2 K R (V - V_th)) - 1)/(K R)."""
    with pytest.warns(gs.TopologyWarning, match="the source rises with the load"):
        found = gs.source_follower(
            square_law, bus_voltage="24 V", drive_voltage="12 V", load=gs.Load(resistance="4 ohm")
        )
    product = 20.0 * 4.0
    overdrive = (math.sqrt(1 + 2 * product * (12 - 2)) - 1) / product
    current = (12 - 2 - overdrive) / 4
    assert found.gate_source_voltage == pytest.approx(2 + overdrive, rel=1e-4)
    assert found.current == pytest.approx(current, rel=1e-4)
    assert found.source_voltage == pytest.approx(4 * current, rel=1e-4)
    assert found.power == pytest.approx((24 - 4 * current) * current, rel=1e-4)
    # As a switch: 1/(K (V - V_th)) of on-resistance, 5 mohm, where the voltage left is small.
    switched = 24 / (4 + 1 / (20 * 10))
    assert found.power_as_switch == pytest.approx(switched**2 / 200, rel=0.01)
    assert found.drive_needed == pytest.approx(24 + 12, rel=0.01)


def test_a_drive_far_above_the_bus_makes_it_a_switch(
    square_law: gs.Mosfet, recwarn: pytest.WarningsRecorder
) -> None:
    found = gs.source_follower(
        square_law, bus_voltage="24 V", drive_voltage="36 V", load={"resistance": "4 ohm"}
    )
    assert not found.is_linear
    # 12 V are left, so 1/(K (12 V - V_th)) of on-resistance.
    assert found.gate_source_voltage == pytest.approx(12.0, abs=0.1)
    assert found.power == pytest.approx(found.current**2 / 200, rel=0.01)
    assert not recwarn.list


def test_a_motor_that_runs_takes_the_gate_s_voltage_too(square_law: gs.Mosfet) -> None:
    motor = {"kind": "motor", "resistance": "1 ohm", "inductance": "1 mH"}
    with pytest.warns(gs.TopologyWarning):
        still, runs = (
            gs.source_follower(
                square_law, bus_voltage=24, drive_voltage=12, load=motor | {"back_emf": back_emf}
            )
            for back_emf in ("0 V", "9 V")
        )
    assert runs.current < 0.2 * still.current
    assert runs.source_voltage == pytest.approx(9.0 + 1.0 * runs.current, rel=1e-6)


@pytest.mark.filterwarnings("ignore::gateswing.TopologyWarning")
def test_a_part_may_be_named() -> None:
    fet = gs.part("logic-60V")
    assert isinstance(fet, gs.Mosfet)
    named, given = (
        gs.source_follower(one, bus_voltage=24, drive_voltage=5, load={"resistance": "8 ohm"})
        for one in ("logic-60V", fet)
    )
    assert named == given
    with pytest.raises(gs.InputError, match="mosfet"):
        gs.source_follower("no-such", bus_voltage=24, drive_voltage=5, load={"resistance": "8 ohm"})


def test_a_load_without_a_voltage_of_its_own_is_refused(square_law: gs.Mosfet) -> None:
    for load in (gs.Load(constant_current=2.0), gs.Load(inductance=1e-3)):
        with pytest.raises(gs.InputError, match="a load with a resistance"):
            gs.source_follower(square_law, bus_voltage=24, drive_voltage=12, load=load)
    with pytest.raises(gs.InputError, match=r"drive_voltage.*out of range"):
        gs.source_follower(square_law, bus_voltage=24, drive_voltage=-1, load=gs.Load(resistance=4))
