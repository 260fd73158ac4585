"""How much driver a power MOSFET needs.

Common practice, no source: a push-pull output limited to 200 mA at 12 V switches a TO-220-class MOSFET
of about 60 nC at 2.5 A and 24 V cleanly at 100 and 200 kHz, acceptably at 500 kHz, poorly at 1 MHz, with
delays of 100 to 200 ns when the driver itself contributes part of them; an output of 10 mA does not, nor
does a logic pin of 5 V and 20 mA with a gate rated at 10 V. The part, the wiring and the drivers are
invented.
"""

from __future__ import annotations

import pytest

import gateswing as gs

# Some of these MOSFETs heat up with watts; the bounds are meant for the data of 25 degC.
pytestmark = pytest.mark.filterwarnings("ignore:junction_temperature:gateswing.InputWarning")

CLEAN, ACCEPTABLE = 0.05, 0.12  # of the period with the drain under way; common practice, no source
# The least at which a gate rated at 10 V counts as driven [V]; common practice, no source.
RATED_GATE_VOLTAGE = 8.0


def mosfet() -> gs.Mosfet:
    return gs.Mosfet(
        channel=gs.MosfetChannel(
            threshold_voltage=3.6,
            transconductance_factor=12.0,
            mobility_degradation=0.08,
            subthreshold_voltage=0.06,
        ),
        gate_source_capacitance=gs.StepCapacitance(low=1.8e-9, high=2.5e-9, centre=3.0, width=1.5),
        gate_drain_capacitance=gs.DepletionCapacitance(
            zero_bias=1.6e-9, potential=0.8, grading=0.7, floor=6e-11, ceiling=2.3e-9
        ),
        drain_source_capacitance=gs.DepletionCapacitance(
            zero_bias=1.2e-9, potential=0.8, grading=0.5, floor=5e-11, ceiling=2.4e-9
        ),
        body_diode=gs.BodyDiode(forward_voltage=0.9, forward_current=10.0, emission_voltage=0.05),
        internal_gate_resistance=2.0,
        drift_resistance=25e-3,
        gate_inductance=7e-9,
        drain_inductance=4e-9,
        source_inductance=7e-9,
        breakdown_voltage=60.0,
    )


def cell(driver: gs.PushPullDriver, gate_resistance: float = 4.7) -> gs.LowSideCell:
    return gs.LowSideCell(
        bus=gs.Supply(
            voltage=24.0, resistance=0.02, inductance=500e-9, bulk_capacitance=100e-6, bulk_resistance=0.05
        ),
        mosfet=mosfet(),
        driver=driver,
        gate_resistance=gate_resistance,
        load=gs.Load(resistance=9.6, inductance=0.2e-6),
        freewheel=gs.Diode(
            forward_voltage=0.55,
            forward_current=3.0,
            resistance=0.03,
            emission_voltage=0.03,
            capacitance=gs.DepletionCapacitance(
                zero_bias=4e-10, potential=0.5, grading=0.45, floor=1e-11, ceiling=8e-10
            ),
        ),
        loop_inductance=30e-9,
        loop_resistance=10e-3,
    )


def output(limit: float, supply: float = 12.0, resistance: float = 8.0) -> gs.PushPullDriver:
    return gs.PushPullDriver(
        supply_voltage=supply,
        source_resistance=resistance,
        sink_resistance=resistance,
        source_current_limit=limit,
        sink_current_limit=limit,
        rise_time=40e-9,
        fall_time=40e-9,
        turn_on_delay=60e-9,
        turn_off_delay=60e-9,
    )


def quality(driver: gs.PushPullDriver, frequency: float) -> str:
    """Clean, acceptable or poor, from the time the drain spends under way and the gate voltage reached."""
    point = gs.operating_point(cell(driver), frequency=frequency, duty=0.5)
    assert point.succeeded, point.message
    driven = point.maximum_gate_voltage > RATED_GATE_VOLTAGE
    switched = point.on_share > 0.25 and point.minimum_gate_voltage < 2.0
    print(
        f"{frequency / 1e3:.0f} kHz: under way {point.transition_share:.1%}, on {point.on_share:.1%}, "
        f"gate {point.minimum_gate_voltage:.2f} to {point.maximum_gate_voltage:.2f} V"
    )
    if not (driven and switched):
        return "poor"
    if point.transition_share <= CLEAN:
        return "clean"
    return "acceptable" if point.transition_share <= ACCEPTABLE else "poor"


def test_the_part_is_of_the_class_described() -> None:
    edges = gs.double_pulse(cell(output(2.0)), on_time=4e-6, off_time=4e-6)
    assert edges.turn_on.gate_charge == pytest.approx(60e-9, rel=0.1)
    assert edges.current == pytest.approx(2.5, rel=0.03)


@pytest.mark.parametrize(
    ("frequency", "expected"), [(100e3, "clean"), (200e3, "clean"), (500e3, "acceptable"), (1e6, "poor")]
)
def test_200_milliamperes_switch_up_to_some_hundred_kilohertz(frequency: float, expected: str) -> None:
    assert quality(output(0.2), frequency) == expected


def test_200_milliamperes_give_delays_of_100_to_200_nanoseconds() -> None:
    """From the logic command, so with the driver's own 60 ns: common practice, no source."""
    edges = gs.double_pulse(cell(output(0.2)))
    for edge in (edges.turn_on, edges.turn_off):
        assert 100e-9 < edge.drain_begin - edge.begin < 300e-9


@pytest.mark.parametrize("frequency", [100e3, 200e3])
def test_10_milliamperes_do_not(frequency: float) -> None:
    assert quality(output(0.01), frequency) == "poor"


@pytest.mark.filterwarnings("ignore:.*only 747 mV above the plateau")
@pytest.mark.filterwarnings("ignore:driver.supply_voltage:gateswing.InputWarning")  # that it crawls
def test_a_logic_pin_of_5_volts_and_20_milliamperes_does_not() -> None:
    """Slow, and short of the gate voltage the on-resistance is rated at: hot even when it is on."""
    pin = output(0.02, supply=5.0, resistance=40.0)
    assert quality(pin, 100e3) == "poor"
    weak = gs.operating_point(cell(pin), frequency=100e3, duty=0.5)
    strong = gs.operating_point(cell(output(1.0)), frequency=100e3, duty=0.5)
    assert weak.channel_loss > 4.0 * strong.channel_loss
