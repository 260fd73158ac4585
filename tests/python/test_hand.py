"""Hand formulas beside the model: equal where their assumptions hold, a finding where they do not."""

import math
import pickle
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import numpy as np
import pytest

import gateswing as gs
from gateswing.circuit_checks.drive import commutation_slope
from gateswing.datasheet import static_figures
from gateswing.datasheet.gate_charge import gate_charge_curve, gate_charge_figures
from gateswing.hand_formulas.circuit import HandCircuit
from gateswing.hand_formulas.listing import Bias, HandFormulas

DRIVERS: dict[str, Any] = tomllib.loads((Path(__file__).parent / "drivers.toml").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def textbook() -> gs.DoublePulse:
    """A circuit of constant capacitances without inductance, a fast driver behind a large resistance."""
    constant = {"potential": 0.7, "grading": 0.5, "zero_bias": 1e-15}
    fet = gs.Mosfet(
        channel=gs.MosfetChannel(
            threshold_voltage=4.0,
            transconductance_factor=400.0,
            mobility_degradation=10.0,
            subthreshold_voltage=0.01,
        ),
        gate_source_capacitance=gs.StepCapacitance(low=2e-9, high=2e-9),
        gate_drain_capacitance=gs.DepletionCapacitance(**constant, floor=60e-12),
        drain_source_capacitance=gs.DepletionCapacitance(**constant, floor=100e-12),
        body_diode=gs.BodyDiode(forward_voltage=0.9, forward_current=10.0),
        drift_resistance=1e-3,
        breakdown_voltage=400.0,
    )
    cell = gs.LowSideCell(
        bus="100 V",
        mosfet=fet,
        driver=gs.PushPullDriver(
            supply_voltage=12.0, source_resistance=1.0, sink_resistance=1.0, rise_time=1e-10, fall_time=1e-10
        ),
        load=gs.Load(constant_current=10.0),
        freewheel=gs.Diode(
            forward_voltage=0.5,
            forward_current=10.0,
            emission_voltage=0.03,
            capacitance=gs.DepletionCapacitance(**constant, floor=50e-12),
        ),
        gate_resistance=50.0,
    )
    with pytest.warns(gs.InputWarning):
        return gs.double_pulse(cell)


@pytest.mark.parametrize(
    ("name", "tolerance"),
    [
        ("turn_on_delay", 0.02),
        ("turn_on_rise_time", 0.01),
        ("turn_on_maximum_voltage_slope", 0.01),
        ("turn_on_plateau_current", 0.02),
        ("turn_on_peak_driver_current", 0.02),
        ("turn_on_gate_charge", 0.01),
        ("turn_off_delay", 0.02),
        ("turn_off_fall_time", 0.01),
        ("turn_off_maximum_voltage_slope", 0.01),
        ("turn_off_plateau_current", 0.02),
        ("turn_off_peak_driver_current", 0.02),
        ("turn_on_energy", 0.05),
        ("turn_off_energy", 0.05),
        ("minimum_pulse", 0.05),
        ("recovery_energy", 0.01),
    ],
)
def test_where_its_assumptions_hold_a_hand_formula_is_right(
    textbook: gs.DoublePulse, name: str, tolerance: float
) -> None:
    assert textbook.hand_formulas()[name].ratio == pytest.approx(1.0, abs=tolerance)


def test_the_output_energy_of_a_constant_capacitance_is_three_quarters_of_the_formula_s(
    textbook: gs.DoublePulse,
) -> None:
    # 1/2 C V^2 against the 2/3 C V^2 of an abrupt junction; the gate swings on the plateau meanwhile.
    found = textbook.hand_formulas()["output_energy"]
    assert found.ratio == pytest.approx(0.75, rel=0.05)
    assert found.is_finding


def test_the_ring_of_a_cell_without_snubber_is_that_of_its_loop(cell: gs.LowSideCell) -> None:
    bare = gs.double_pulse(cell.replace(snubber=None)).hand_formulas()
    assert bare["turn_off_ring_frequency"].ratio == pytest.approx(1.0, abs=0.05)
    assert bare["turn_off_overshoot"].ratio == pytest.approx(1.0, abs=0.2)


def test_the_loop_closes_over_the_bulk_capacitor_or_else_the_supply(cell: gs.LowSideCell) -> None:
    bulk, supply = (
        HandCircuit(one, 6.0).loop_inductance.value
        for one in (cell, cell.replace({"bus.bulk_capacitance": 0.0, "bus.inductance": "100 nH"}))
    )
    assert bulk == pytest.approx(9e-9 + 0.5e-9 + 2e-9 + 4e-9)
    assert supply == pytest.approx(9e-9 + 0.5e-9 + 2e-9 + 100e-9)


def test_everyone_counts_the_same_loop(cell: gs.LowSideCell) -> None:
    """Hand formulas, and the slope that the loop allows a gate without resistance."""
    leads = cell.mosfet.drain_inductance + cell.mosfet.source_inductance
    assert cell.wiring_inductance == pytest.approx(9e-9 + 0.5e-9 + 2e-9 + 4e-9)
    assert cell.commutation_inductance == pytest.approx(cell.wiring_inductance + leads)
    at = HandCircuit(cell, 6.0)
    assert at.loop_inductance.value == cell.wiring_inductance
    assert at.ring_inductance.value == cell.commutation_inductance
    leads_only = {"common_source_inductance": 0.0, "mosfet.source_inductance": 0.0}
    driver = {
        "driver.source_resistance": 1e-3,
        "gate_resistance": 0.0,
        "mosfet.internal_gate_resistance": 0.0,
    }
    hard = cell.replace(leads_only | driver)
    assert commutation_slope(hard) == pytest.approx(hard.bus.voltage / hard.commutation_inductance)


def test_a_diode_that_recovers_takes_its_stored_charge_too(textbook: gs.DoublePulse) -> None:
    stored = {"freewheel.transit_time": 25e-9, "freewheel.lifetime": 100e-9}
    slow = textbook.cell.replace({**stored, "gate_resistance": 500.0})
    with pytest.warns(gs.InputWarning):
        found = gs.double_pulse(slow).hand_formulas()["recovery_energy"]
    without = textbook.hand_formulas()["recovery_energy"]
    assert found.value > 3.0 * without.value
    assert found.ratio == pytest.approx(1.0, abs=0.1)


def test_a_snubber_takes_the_formulas_away_that_do_not_know_it(edges: gs.DoublePulse) -> None:
    names = {figure.name for figure in edges.hand_formulas()}
    assert "turn_off_delay" in names
    assert not names & {"turn_off_overshoot", "turn_off_ring_frequency"}


def test_a_load_without_inductance_has_no_times_of_the_current(cell: gs.LowSideCell) -> None:
    resistive = gs.double_pulse(cell.replace(load={"resistance": "8 ohm"}))
    names = {figure.name for figure in resistive.hand_formulas()}
    assert "turn_on_rise_time" in names
    assert not any("current_rise" in name or "energy" in name for name in names - {"output_energy"})


def test_a_driver_that_never_switches_the_channel_on_has_no_times_by_hand(cell: gs.LowSideCell) -> None:
    with pytest.warns(gs.InputWarning):
        weak = gs.double_pulse(cell.replace({"driver.supply_voltage": "3 V"}))
    by_hand = weak.hand_formulas()
    assert math.isnan(by_hand["turn_on_delay"].value)
    assert not by_hand["turn_on_delay"].is_finding
    assert " nan" not in repr(by_hand)


def test_a_run_that_did_not_finish_has_nothing_to_compare_with(
    edges: gs.DoublePulse, point: gs.OperatingPoint
) -> None:
    for failed in (replace(edges, status="step_limit"), replace(point, status="step_limit")):
        with pytest.raises(gs.SimulationError, match="step_limit"):
            failed.hand_formulas()


@pytest.mark.filterwarnings("ignore::gateswing.InputWarning")  # some drive the gate low
@pytest.mark.parametrize("kind", sorted(DRIVERS))
def test_every_driver_has_its_hand_formulas(cell: gs.LowSideCell, kind: str) -> None:
    edges = gs.double_pulse(cell.replace(driver=DRIVERS[kind]), current="6 A")
    by_hand = edges.hand_formulas()
    assert math.isfinite(by_hand["turn_off_delay"].value)
    assert by_hand["turn_on_gate_charge"].ratio == pytest.approx(1.0, abs=0.15)


@pytest.mark.parametrize(
    ("name", "tolerance"),
    [
        ("gate_drive_power", 0.05),
        ("driver_loss", 0.10),
        ("internal_gate_resistance_loss", 0.15),
        ("conduction_loss", 0.12),
        ("switching_loss", 0.25),
        ("freewheel_loss", 0.05),
        ("load_current_ripple", 0.02),
        ("bus_ripple", 0.10),
    ],
)
def test_powers_and_ripples_of_the_example_are_near_those_by_hand(
    point: gs.OperatingPoint, name: str, tolerance: float
) -> None:
    assert point.hand_formulas()[name].ratio == pytest.approx(1.0, abs=tolerance)


@pytest.fixture(scope="module")
def hot(cell: gs.LowSideCell) -> gs.LowSideCell:
    """The example with a hot die."""
    return cell.replace(junction_temperature="125 degC")


def test_a_hot_die_is_hot_by_hand_too(hot: gs.LowSideCell) -> None:
    """The current does not ripple, and the edges are rare."""
    steady = hot.replace(load=gs.Load(constant_current=6.0))
    point = gs.operating_point(steady, frequency="1 kHz", duty=0.5, relative_tolerance=1e-4)
    found = point.hand_formulas()["conduction_loss"]
    assert found.ratio == pytest.approx(1.0, abs=0.05)
    assert not found.is_finding


def test_by_hand_a_die_of_another_temperature_has_its_figures_of_the_sheet(hot: gs.LowSideCell) -> None:
    fet, current, temperature = hot.mosfet, 6.0, hot.junction_temperature
    at, cold = (HandCircuit(one, current) for one in (hot, hot.replace(junction_temperature="25 degC")))
    rail = at.on_rail.value
    resistance = static_figures.on_resistance(fet, rail, current, junction_temperature=temperature)
    assert at.on_state_resistance.value == pytest.approx(float(resistance), rel=1e-12)
    plateau = static_figures.plateau_voltage(fet, current, junction_temperature=temperature)
    assert at.plateau.value == pytest.approx(float(plateau), rel=1e-12)
    drift = float(fet.to_core(temperature).drift_resistance) - fet.drift_resistance
    assert drift > 0.3 * fet.drift_resistance
    assert at.ring_resistance.value - cold.ring_resistance.value == pytest.approx(drift, rel=1e-9)


def test_the_gate_charge_of_a_hot_die_has_its_plateau(hot: gs.LowSideCell) -> None:
    """The current is one at which the plateau moves with temperature."""
    clamp = {"drain_voltage": 48.0, "drain_current": 6.0, "gate_voltage": 12.0}
    curve = gate_charge_curve(hot.mosfet, **clamp, junction_temperature=hot.junction_temperature)
    plateau = static_figures.plateau_voltage(hot.mosfet, 6.0, junction_temperature=hot.junction_temperature)
    cold = float(static_figures.plateau_voltage(hot.mosfet, 6.0))
    assert abs(cold - float(plateau)) > 0.2
    assert gate_charge_figures(curve).plateau_voltage == pytest.approx(float(plateau), abs=0.05)
    by_hand = HandCircuit(hot.replace({"bus": "48 V", "pull_down_resistance": None}), 6.0).gate_drain_charge
    assert by_hand.value == pytest.approx(gate_charge_figures(curve).gate_drain, rel=1e-9)


def test_a_negative_off_state_rail_gives_its_part_of_the_drive_power(cell: gs.LowSideCell) -> None:
    negative = cell.replace({"driver.off_voltage": "-5 V"})
    point = gs.operating_point(negative, frequency="50 kHz", duty=0.5, relative_tolerance=1e-4)
    assert point.hand_formulas()["gate_drive_power"].ratio == pytest.approx(1.0, abs=0.05)


@pytest.mark.parametrize("duty", [0.0, 1.0])
def test_without_an_edge_there_is_no_bus_ripple_to_compare(cell: gs.LowSideCell, duty: float) -> None:
    with pytest.warns(gs.InputWarning, match="duty"):
        point = gs.operating_point(cell, frequency="50 kHz", duty=duty, relative_tolerance=1e-4)
    figure = point.hand_formulas()["bus_ripple"]
    assert math.isnan(figure.simulated)
    assert not figure.is_finding


def test_a_disagreement_beyond_the_usual_bias_is_a_finding(edges: gs.DoublePulse) -> None:
    figure = edges.hand_formulas()["turn_on_gate_charge"]
    assert not figure.is_finding
    assert figure.finding() == ""
    strict = replace(figure, bias=Bias(0.2, 0.3, "everything"))
    assert strict.is_finding
    assert "is outside 0.2 to 0.3. The formula leaves out: everything." in strict.finding()
    table = HandFormulas("Strict", (strict,))
    assert table.findings == (strict,)
    assert "finding: turn on gate charge:" in repr(table)


def test_a_figure_explains_itself_with_every_value_and_its_source(edges: gs.DoublePulse) -> None:
    text = repr(edges.explain("turn_off_energy"))
    assert "IEC 60747-8" in text
    assert "E = ½ V I (t_1 + t_2)" in text
    assert "bus.voltage" in text
    assert repr(edges.explain("turn_off.energy")) == text


def test_a_figure_without_a_hand_formula_still_has_its_definition(
    edges: gs.DoublePulse, point: gs.OperatingPoint
) -> None:
    for explained, words in (
        (edges.explain("turn_on_peak_drain_current"), "at the drain pin"),
        (point.explain("efficiency"), "load power over"),
    ):
        assert words in repr(explained)
        assert "No hand formula" in repr(explained)
        assert "No hand formula" in explained._repr_html_()


def test_a_figure_that_does_not_exist_is_refused_with_those_that_do(edges: gs.DoublePulse) -> None:
    with pytest.raises(gs.InputError, match=r"turn_of_energy.*turn_off_energy"):
        edges.explain("turn_of_energy")


def test_tables_and_explanations_print_alike_in_a_notebook(edges: gs.DoublePulse) -> None:
    table = edges.hand_formulas()
    document = ET.fromstring(f"<body>{table._repr_html_()}</body>")
    cells = {cell.text for cell in document.iter("td")}
    for figure in table:
        assert set(figure.row()[:4]) <= cells
    explained = ET.fromstring(f"<body>{edges.explain('turn_off_delay')._repr_html_()}</body>")
    assert "model: saturated at the load current" in {cell.text for cell in explained.iter("td")}
    assert r"\frac" in "".join(explained.itertext())


def test_hand_formulas_survive_pickling_and_become_plain_data(edges: gs.DoublePulse) -> None:
    table = edges.hand_formulas()
    assert repr(pickle.loads(pickle.dumps(table))) == repr(table)
    plain = table["turn_on_delay"].to_mapping()
    assert plain["by_hand"] == pytest.approx(table["turn_on_delay"].value)
    assert np.isfinite([entry["value"] for entry in plain["inputs"].values()]).all()


def test_a_pull_down_divides_the_rails_and_the_resistance(cell: gs.LowSideCell) -> None:
    """The rail by hand is where the simulated gate ends, for a pull-down that takes a tenth of it."""
    divided = cell.replace(pull_down_resistance="126 ohm", turn_off_gate_resistance=None)
    with pytest.warns(gs.InputWarning, match="divides the driver's"):
        edges = gs.double_pulse(divided, on_time="2 us")
    at = HandCircuit(divided, edges.current)
    end = float(edges.waveform.value("v_gs", edges.turn_on.end))
    assert at.on_rail.value == pytest.approx(12.0 * 126.0 / (126.0 + 4.0 + 10.0))
    assert end == pytest.approx(at.on_rail.value, rel=0.01)
    assert at.on_resistance.value == pytest.approx(126.0 * 14.0 / 140.0 + 1.5)
    assert "pull_down_resistance" in at.on_resistance.origin


@pytest.mark.parametrize(
    ("name", "tolerance"),
    [("turn_on_peak_driver_current", 0.02), ("turn_off_peak_driver_current", 0.02)],
)
def test_a_driver_also_feeds_the_pull_down(textbook: gs.DoublePulse, name: str, tolerance: float) -> None:
    """By Thevenin's theorem seen from the driver: the lead of the gate beside the pull-down resistor."""
    divided = textbook.cell.replace(
        {"pull_down_resistance": "150 ohm", "mosfet.internal_gate_resistance": "100 ohm"}
    )
    with pytest.warns(gs.InputWarning):
        found = gs.double_pulse(divided).hand_formulas()[name]
    assert found.ratio == pytest.approx(1.0, abs=tolerance)


def test_the_pull_down_s_power_is_drawn_from_the_driver_s_supply(cell: gs.LowSideCell) -> None:
    divided = cell.replace(pull_down_resistance="126 ohm", turn_off_gate_resistance=None)
    with pytest.warns(gs.InputWarning, match="divides the driver's"):
        point = gs.operating_point(divided, frequency="50 kHz", duty=0.5, relative_tolerance=1e-4)
    found = point.hand_formulas()["gate_drive_power"]
    assert found.ratio == pytest.approx(1.0, abs=0.05)
    # Ohm's law: half of the time 12 V across 4, 10 and 126 ohm.
    assert found.value > 0.5 * 12.0**2 / 140.0


def test_the_conduction_of_leds_is_that_of_the_current_while_they_are_lit(cell: gs.LowSideCell) -> None:
    load = {
        "kind": "led_string",
        "count": 6,
        "forward_voltage": "3 V",
        "forward_current": "1 A",
        "resistance": "4 ohm",
    }
    point = gs.operating_point(
        cell.replace(load=load, freewheel=None), frequency="20 kHz", duty=0.25, relative_tolerance=1e-4
    )
    assert point.hand_formulas()["conduction_loss"].ratio == pytest.approx(1.0, abs=0.12)


def test_of_a_slow_half_bridge_the_hand_formulas_are_right(buck: gs.HalfBridgeCell) -> None:
    """At 5 kHz the edges count for little; a fast ring of the loop is what the formulas do not know."""
    slow = buck.replace({"load.inductance": "800 uH", "output.capacitance": "10 mF"})
    point = gs.half_bridge_point(slow, frequency="5 kHz", duty=0.3, dead_time="2 us", relative_tolerance=1e-4)
    by_hand = point.hand_formulas()
    tolerances = {
        "high_conduction_loss": 0.05,
        "low_conduction_loss": 0.05,
        "dead_time_loss": 0.15,
        "high_gate_loss": 0.1,
        "low_gate_loss": 0.1,
        "load_current_ripple": 0.02,
        "mean_load_current": 0.05,
    }
    assert {figure.name for figure in by_hand} == set(tolerances)
    for name, tolerance in tolerances.items():
        assert by_hand[name].ratio == pytest.approx(1.0, abs=tolerance), name
    told = point.explain("dead_time_loss")
    assert told.hand is not None
    assert told.hand.inputs["forward_voltage"].origin.startswith("model: body diode of the low side")
    assert point.explain("output_ripple").simulated == point.output_ripple


def test_a_switch_that_does_not_switch_has_no_figure_by_hand(buck: gs.HalfBridgeCell) -> None:
    at: dict[str, Any] = {"frequency": "100 kHz", "dead_time": "120 ns", "relative_tolerance": 1e-3}
    assert len(gs.half_bridge_point(buck, duty=0.0, **at).hand_formulas()) == 0
    with pytest.warns(gs.InputWarning, match="no on-time"):
        diodes = gs.half_bridge_point(buck, duty=0.98, **at).hand_formulas()
    names = {figure.name for figure in diodes}
    assert "high_gate_loss" in names
    assert not names & {"low_gate_loss", "low_conduction_loss"}
    assert diodes["dead_time_loss"].inputs["duty"].value == pytest.approx(0.98)


def test_a_current_that_turns_round_has_no_dead_time_loss_by_hand(buck: gs.HalfBridgeCell) -> None:
    idle = buck.replace({"output.resistance": "100 ohm"})
    point = gs.half_bridge_point(
        idle, frequency="100 kHz", duty=0.3, dead_time="120 ns", relative_tolerance=1e-3
    )
    assert point.load_current_ripple > 2.0 * point.mean_load_current
    assert "dead_time_loss" not in {figure.name for figure in point.hand_formulas()}
