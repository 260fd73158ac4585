"""The half bridge in steady state, against the converter equations of the handbooks."""

import dataclasses
import math
import pickle
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from matplotlib.text import Text
from scipy.optimize import brentq  # type: ignore[import-untyped]

import gateswing as gs
from gateswing import _core
from gateswing.circuit_checks.half_bridge import dead_time_warnings
from gateswing.figures import format_figure
from gateswing.plot import plot_dead_time_losses
from gateswing.studies.bridge_point import HalfBridgeFigures, SwitchFigures

FREQUENCY, PERIOD = 100e3, 10e-6
BUS, WINDING, INDUCTANCE, LOAD = 48.0, 0.05, 40e-6, 1.2  # of the bridge in conftest.py


@pytest.fixture
def point(buck_point: gs.HalfBridgePoint) -> gs.HalfBridgePoint:
    return buck_point


pytestmark = pytest.mark.usefixtures("without_a_screen")


def on_resistance(cell: gs.HalfBridgeCell, current: float) -> float:
    """Of a switch held on, by its channel's law and drift region [ohm]."""
    mosfet, gate = cell.low.mosfet, cell.low.driver.push_pull().supply_voltage
    across = brentq(lambda v: float(mosfet.channel_current(gate, v)) - current, 0.0, 5.0)
    return float(across / current + mosfet.drift_resistance)


def test_the_output_follows_from_the_volt_seconds(buck: gs.HalfBridgeCell, point: gs.HalfBridgePoint) -> None:
    # Erickson, Maksimovic, Fundamentals of Power Electronics, chapter 3, from memory: V = D V_g less the
    # drops I (R_L + D R_on,1 + (1 - D) R_on,2), with the duty that the switch node shows.
    assert point.mean_switch_voltage == pytest.approx(
        point.output_voltage + WINDING * point.mean_load_current, rel=1e-6
    )
    current = point.mean_load_current
    on = on_resistance(buck, current)
    times = np.linspace(0.0, PERIOD, 200_001)
    node = point.waveform.value("v_switch", times)
    duty = float(np.mean(node > 0.5 * BUS))
    drops = WINDING + on + 0.02 * duty
    assert duty == pytest.approx(0.3, abs=0.01)
    assert point.output_voltage == pytest.approx(duty * BUS * LOAD / (LOAD + drops), rel=3e-3)
    assert current == pytest.approx(point.output_voltage / LOAD, rel=1e-5)


def test_the_ripple_is_that_of_the_handbook(point: gs.HalfBridgePoint) -> None:
    # V_out (1 - D) T/L, from the slope while the low side conducts, into the capacitor and its resistance.
    duty = point.output_voltage / BUS
    ripple = (point.output_voltage + WINDING * point.mean_load_current) * (1.0 - duty) * PERIOD / INDUCTANCE
    assert point.load_current_ripple == pytest.approx(ripple, rel=0.03)
    assert point.output_ripple == pytest.approx(ripple * max(2e-3, PERIOD / (8 * 100e-6)), rel=0.4)


def test_conduction_loses_the_square_of_the_trapezoid_s_rms_current(buck: gs.HalfBridgeCell) -> None:
    # I_rms^2 = share (I^2 + ripple^2/12), a trapezoid's (any handbook). At a tenth of the frequency, as the
    # ends of the edges below 10 % of the bus count as conduction too.
    slow = buck.replace({"load.inductance": 10 * INDUCTANCE, "output.capacitance": "1 mF"})
    point = gs.half_bridge_point(slow, frequency=0.1 * FREQUENCY, duty=0.3, dead_time="120 ns")
    current = point.mean_load_current
    square = current**2 + point.load_current_ripple**2 / 12.0
    assert point.rms_load_current == pytest.approx(math.sqrt(square), rel=1e-4)
    on = on_resistance(buck, current)
    for figures, losses, share in (
        (point.high, point.losses_of("high"), 0.3),
        (point.low, point.losses_of("low"), 0.7),
    ):
        assert figures.rms_current == pytest.approx(math.sqrt(share * square), rel=5e-3)
        assert losses["conduction"] == pytest.approx(share * square * on, rel=0.03)


def test_a_dead_time_costs_the_diode_s_drop_times_current_twice_a_period(buck: gs.HalfBridgeCell) -> None:
    losses = {}
    for gap in (200e-9, 300e-9):
        found = gs.half_bridge_point(buck, frequency=FREQUENCY, duty=0.3, dead_time=gap)
        losses[gap] = found.losses_of("low")["reverse conduction"]
        current = found.mean_load_current
    body = buck.low.mosfet.body_diode
    drop = body.emission_voltage * math.log(
        math.exp(body.forward_voltage / body.emission_voltage) * current / body.forward_current
    )
    expected = FREQUENCY * 2.0 * 100e-9 * drop * current
    assert losses[300e-9] - losses[200e-9] == pytest.approx(expected, rel=0.03)


def test_a_light_load_lets_the_current_reverse_and_keeps_the_voltage(buck: gs.HalfBridgeCell) -> None:
    light = buck.replace({"output.resistance": "100 ohm"})
    found = gs.half_bridge_point(light, frequency=FREQUENCY, duty=0.3, dead_time="60 ns")
    current = found.waveform.value("i_load", np.linspace(0.0, PERIOD, 2001))
    assert found.succeeded
    assert current.min() < -0.5 < 0.5 < current.max()
    assert found.output_voltage == pytest.approx(0.3 * BUS, rel=0.02)


def test_a_low_side_that_stays_off_makes_the_current_discontinuous(buck: gs.HalfBridgeCell) -> None:
    # Erickson, Maksimovic, chapter 5, from memory, with the body diode's drop v_d:
    # I = D (D + D2) T (V_g - V)/(2 L), (V_g - V) D = (V + v_d) D2.
    light = buck.replace({"output.resistance": "100 ohm"})
    duty = 0.15
    with pytest.warns(gs.InputWarning, match="leave the low side no on-time"):
        found = gs.half_bridge_point(light, frequency=FREQUENCY, duty=duty, dead_time=0.43 * PERIOD)
    assert found.succeeded
    assert found.low.maximum_gate_voltage < buck.low.mosfet.channel.threshold_voltage

    def excess(output: float) -> float:
        falling = (BUS - output) * duty / (output + 0.75)
        return duty * (duty + falling) * PERIOD * (BUS - output) / (2.0 * INDUCTANCE) - output / 100.0

    assert found.output_voltage == pytest.approx(brentq(excess, 1.0, 47.0), rel=0.04)
    assert found.output_voltage > 1.5 * duty * BUS


def test_the_low_side_lifts_a_lower_voltage_to_the_bus(buck: gs.HalfBridgeCell) -> None:
    # Boost, the same chapter 3: V_in = (1 - D) V_bus + I R, with the output as the source.
    boost = buck.replace({"output": {"voltage": "16 V"}, "load.resistance": "0.5 ohm"})
    found = gs.half_bridge_point(boost, frequency=FREQUENCY, duty=0.75, dead_time="120 ns", active="low")
    assert found.succeeded
    assert found.mean_load_current < 0.0
    resistance = 0.5 + on_resistance(buck, -found.mean_load_current)
    assert -found.mean_load_current == pytest.approx((16.0 - 0.25 * BUS) / resistance, rel=0.05)
    delivered = {entry.name: entry.power for entry in found.ledger if entry.kind == "delivered"}
    assert found.load_power == pytest.approx(-delivered["bus supply"])
    assert found.input_power == pytest.approx(-16.0 * found.mean_load_current, rel=0.05)
    assert 0.5 < found.efficiency < 1.0


def test_a_cooled_bridge_finds_the_temperatures_of_both_sides(buck: gs.HalfBridgeCell) -> None:
    way = gs.Cooling(ambient="40 degC", mosfet=gs.HeatPath(junction_to_case="8 K/W"))
    cooled = buck.replace({"high.cooling": way, "low.cooling": way})
    found = gs.half_bridge_point(cooled, frequency=FREQUENCY, duty=0.3, dead_time="120 ns")
    for side in ("high", "low"):
        switch = getattr(found, side)
        assert switch.junction_temperature - 313.15 == pytest.approx(8.0 * switch.loss, rel=0.03)
        assert math.isnan(switch.diode_temperature)
    assert 0.0 < found.thermal_gain < 1.0
    hot = cooled.replace({f"{side}.cooling.mosfet.junction_to_case": 190.0 for side in ("high", "low")})
    lost = gs.half_bridge_point(hot, frequency=FREQUENCY, duty=0.3, dead_time="120 ns")
    assert lost.status == "thermal_runaway"
    assert found.runaway == ""
    assert lost.runaway in ("high_junction_temperature", "low_junction_temperature")
    assert math.isnan(lost.high.junction_temperature)


def test_the_causes_are_the_losses(point: gs.HalfBridgePoint) -> None:
    assert sum(point.losses_by_cause.values()) == pytest.approx(point.total_loss, rel=1e-4)
    assert sum(point.losses.values()) == pytest.approx(point.total_loss, rel=1e-4)
    assert point.input_power == pytest.approx(point.load_power + point.total_loss, rel=1e-4)
    assert point.energy_residual < 1e-6
    low, high = point.losses_of("low"), point.losses_of("high")
    assert high["turn-on"] > 10.0 * abs(low["turn-on"])
    assert high["output capacitance"] > 0.0 < high["recovery"] + 1e-12
    assert "reverse conduction" in low


def test_too_short_a_dead_time_shoots_through_and_is_called_so(
    buck: gs.HalfBridgeCell, tmp_path: Path
) -> None:
    gaps = ["0 ns", "30 ns", "80 ns", "160 ns", "300 ns"]
    table = gs.dead_time_losses(buck, frequency=FREQUENCY, duty=0.3, dead_time=gaps)
    shoot = table["shoot_through_loss"].to_numpy()
    assert (table["status"] == "success").all()
    assert shoot[0] > shoot[1] > 10.0 * shoot[-1]
    assert table["shoot_through_charge"].attrs["units"] == "C"
    assert (
        table["reverse_conduction_loss"].to_numpy()[-1] > 3.0 * table["reverse_conduction_loss"].to_numpy()[2]
    )
    best = table.attrs["least_loss_dead_time"]
    assert float(table["total_loss"].sel(dead_time=best)) == float(table["total_loss"].min())
    assert 0.0 < best < 300e-9
    assert table.attrs["least_loss_is_at_end"] == 0
    alone = gs.half_bridge_point(buck, frequency=FREQUENCY, duty=0.3, dead_time="300 ns")
    assert table.attrs["dead_time_needed"] == alone.dead_time_needed
    assert float(table["total_loss"][-1]) == alone.total_loss
    figure = plot_dead_time_losses(table)
    figure.savefig(tmp_path / "figure.png")
    shown = "\n".join(found.get_text() for found in figure.findobj(Text) if isinstance(found, Text))
    assert format_figure(best, "s", 3) in shown


def test_a_least_loss_at_the_end_of_the_list_is_called_so(buck: gs.HalfBridgeCell) -> None:
    with pytest.warns(gs.InputWarning, match="end of those tried, 150 ns: a shorter one may lose less"):
        table = gs.dead_time_losses(
            buck, frequency=FREQUENCY, duty=0.3, dead_time=["150 ns", "300 ns"], relative_tolerance=1e-4
        )
    assert table.attrs["least_loss_is_at_end"] == 1
    assert dead_time_warnings([10e-9, 20e-9, 30e-9], least=20e-9, needed=15e-9) == []
    assert dead_time_warnings([20e-9], least=20e-9, needed=15e-9) == []
    assert dead_time_warnings([], least=math.nan, needed=math.nan) == []
    (longest,) = dead_time_warnings([10e-9, 20e-9], least=20e-9, needed=15e-9)
    assert "a longer one" in longest.message
    (overlapping,) = dead_time_warnings([5e-9, 8e-9, 12e-9], least=8e-9, needed=11.8e-9)
    assert "at 8 ns, lies below the 11.8 ns" in overlapping.message


@pytest.mark.parametrize(
    ("breakdown", "does"), [("49 V", "it breaks down"), ("100 V", "its drain goes above that")]
)
def test_a_drain_at_its_limit_in_every_period_is_warned_of(
    buck: gs.HalfBridgeCell, breakdown: str, does: str
) -> None:
    values = {"breakdown_voltage": breakdown, "rated_drain_voltage": "48.5 V"}
    weak = buck.replace({f"{side}.mosfet": buck.low.mosfet.replace(values) for side in ("high", "low")})
    with pytest.warns(gs.InputWarning) as caught:
        found = gs.half_bridge_point(
            weak, frequency=FREQUENCY, duty=0.3, dead_time="120 ns", relative_tolerance=1e-4
        )
    assert found.high.peak_drain_voltage > 48.5
    assert any(f"high.mosfet: rated for 48.5 V, {does} in every period" in str(one.message) for one in caught)


def test_a_drain_below_its_rating_is_not(point: gs.HalfBridgePoint) -> None:
    assert not [one for one in point.warnings if "in every period" in one.message]


@pytest.mark.filterwarnings("ignore::gateswing.InputWarning")
def test_dead_times_with_and_without_an_on_state_stand_in_one_table(buck: gs.HalfBridgeCell) -> None:
    # An on-time of 30 ns, which the dead time turns from a part of an overlap into too little to turn on.
    table = gs.dead_time_losses(
        buck, frequency=FREQUENCY, duty=3e-3, dead_time=["-40 ns", "150 ns"], relative_tolerance=1e-4
    )
    causes = [name for name in table if str(name).endswith("_loss") and name != "total_loss"]
    assert float(table["incomplete_switching_loss"].min()) == 0.0 < float(table["turn_on_loss"].max())
    added = sum(table[name] for name in causes)
    np.testing.assert_allclose(added, table["total_loss"], rtol=1e-4)


def test_a_commutation_without_a_gate_leaves_the_dead_time_unknown(point: gs.HalfBridgePoint) -> None:
    still = dataclasses.replace(point.to_active, dead_time_needed=math.nan)
    assert point.dead_time_needed > 0.0
    assert math.isnan(dataclasses.replace(point, to_active=still).dead_time_needed)
    assert math.isnan(dataclasses.replace(point, from_active=still).dead_time_needed)


def test_a_bridge_without_a_steady_state_has_no_steady_temperature(
    buck: gs.HalfBridgeCell, monkeypatch: pytest.MonkeyPatch
) -> None:
    way = gs.HeatPath(junction_to_case="2 K/W", case_to_ambient="30 K/W")
    cooled = buck.replace({"high.cooling": gs.Cooling(mosfet=way)})
    settled = gs.half_bridge_point(cooled, frequency=FREQUENCY, duty=0.3, dead_time="120 ns")
    assert settled.high.junction_temperature > 298.15

    compute = _core.half_bridge_point

    def interrupted(cell: Any, request: Any, settings: Any) -> Any:
        request.maximum_periods = 1
        return compute(cell, request, settings)

    monkeypatch.setattr(_core, "half_bridge_point", interrupted)
    found = gs.half_bridge_point(cooled, frequency=FREQUENCY, duty=0.3, dead_time="120 ns")
    assert found.status == "not_periodic"
    assert math.isnan(found.high.junction_temperature)
    assert found.high.loss > 0.0


def test_the_result_prints_pickles_and_agrees_with_the_core(point: gs.HalfBridgePoint) -> None:
    for figures, core in ((HalfBridgeFigures, _core.HalfBridgePoint), (SwitchFigures, _core.SwitchFigures)):
        units = {name: unit.replace("%", "") for name, unit in figures.units().items()}
        assert units == {name: (getattr(core, name).__doc__ or "").strip("[]") for name in units}
    text = repr(point)
    assert "Half bridge, 100 kHz, duty 30 % of the high side, dead time 120 ns" in text
    assert "Low side" in text
    cells = {one.text for one in ET.fromstring(f"<body>{point._repr_html_()}</body>").iter("td")}
    assert {row[1] for row in point.high.rows()} <= cells
    assert repr(pickle.loads(pickle.dumps(point))) == text
    shown = "\n".join(t.get_text() for t in point.plot().findobj(Text) if isinstance(t, Text))
    assert format_figure(point.losses_by_cause["conduction"], "W", 3) in shown


@pytest.mark.parametrize(
    ("arguments", "path"),
    [
        ({"frequency": math.nan}, "frequency"),
        ({"duty": 1.2}, "duty"),
        ({"dead_time": "2 V"}, "dead_time"),
        ({"dead_time": "6 us"}, "dead_time"),
        ({"dead_time": "-6 us"}, "dead_time"),
        ({"active": "both"}, "active"),
    ],
)
def test_an_argument_out_of_range_is_named(
    buck: gs.HalfBridgeCell, arguments: dict[str, Any], path: str
) -> None:
    good: dict[str, Any] = {"frequency": FREQUENCY, "duty": 0.3, "dead_time": "60 ns"}
    with pytest.raises(gs.InputError) as error:
        gs.half_bridge_point(buck, **good | arguments)
    assert error.value.problems[0].path == path


def test_parts_that_do_not_go_together_are_refused(buck: gs.HalfBridgeCell) -> None:
    with pytest.raises(gs.InputError, match="load"):
        gs.half_bridge_point(buck.replace(load=None), frequency=FREQUENCY, duty=0.3, dead_time=0.0)
    with pytest.raises(gs.InputError, match="either voltage or resistance"):
        gs.Output(voltage="5 V", resistance="1 ohm")
    for unused in ({"capacitance": "1 uF"}, {"capacitor_resistance": "1 mohm"}):
        with pytest.raises(gs.InputError, match="stiff"):
            gs.Output(voltage="5 V", **unused)
    way = gs.Cooling(freewheel=gs.HeatPath(junction_to_case="5 K/W"))
    with pytest.raises(gs.InputError, match="no anti-parallel diode"):
        buck.high.replace(cooling=way)
    with pytest.raises(gs.InputError, match="rise"):
        gs.dead_time_losses(buck, frequency=FREQUENCY, duty=0.3, dead_time=["50 ns", "20 ns"])
