"""The virtual bench: simulated tests against closed forms, and predictions of real parts that no fit used."""

import dataclasses
import json
import math
import signal
from importlib import resources
from typing import Any
from unittest import mock

import numpy as np
import pytest
from click.testing import CliRunner

import gateswing as gs
from gateswing import _core
from gateswing.cli import main
from gateswing.core import fill
from gateswing.datasheet import static_figures
from gateswing.datasheet.gate_charge import gate_charge_curve, gate_charge_figures
from gateswing.datasheet.sheet import SwitchingEntry
from gateswing.plot import plot_bench
from gateswing.test_bench.virtual_bench import switching_cell

SHEET = str(resources.files("gateswing") / "examples" / "mosfet_sheet.toml")


@pytest.fixture(scope="module")
def bench(example_fit: gs.MosfetFit) -> gs.BenchReport:
    return gs.virtual_bench(example_fit)


@pytest.fixture(scope="module")
def irf540_bench(irf540: gs.MosfetFit) -> gs.BenchReport:
    return gs.virtual_bench(irf540)


def test_what_the_core_refuses_of_a_part_test_is_an_input_error(example_fit: gs.MosfetFit) -> None:
    mosfet = example_fit.mosfet
    with pytest.raises(
        gs.InputError, match=r"^circuit: element 'supply': the voltage \[V\] must be below 90 %"
    ):
        gs.avalanche_test(mosfet, current=15, inductance="100 uH", supply_voltage=150)
    for question, ask in (
        ("gate_charge_test", lambda: gs.gate_charge_test(
            mosfet, drain_voltage=50, drain_current=10, gate_voltage=10)),
        ("recovery_test", lambda: gs.recovery_test(
            mosfet, forward_current=10, current_slope="100 A/us", reverse_voltage=20)),
    ):  # fmt: skip
        with (
            mock.patch.object(_core, question, side_effect=ValueError("no such circuit")),
            pytest.raises(gs.InputError, match=r"^circuit: no such circuit"),
        ):
            ask()


def test_the_switching_times_of_a_real_part_are_predicted_from_its_other_figures(
    irf540_bench: gs.BenchReport,
) -> None:
    # Tolerances: maximum charges against typical times, unknown plateau and generator; the sheet gives the
    # internal gate resistance as 0.5 to 3.6 ohm, here it is 0.
    for name, most in (
        ("turn_on_delay", 0.3),
        ("rise_time", 0.5),
        ("turn_off_delay", 0.5),
        ("fall_time", 0.5),
    ):
        row = irf540_bench.row(f"switching.0.{name}")
        assert not row.used
        assert abs(row.deviation) < most, row


def test_the_avalanche_energy_of_a_real_part_is_met(irf540_bench: gs.BenchReport) -> None:
    # The rating is the formula's value at 100 V; the model's breakdown voltage varies a little with current.
    assert irf540_bench.row("avalanche.energy").deviation == pytest.approx(0.0, abs=0.01)


@pytest.fixture(scope="module")
def csd18540() -> gs.BenchReport:
    """TI document ZHCSCO6B; threshold voltage, on-resistances and their conditions are from memory."""
    sheet = gs.MosfetSheet(
        threshold={"typical": "1.8 V", "drain_current": "250 uA"},
        on_resistance=[
            {"value": "1.8 mohm", "gate_voltage": "10 V", "drain_current": "28 A"},
            {"value": "2.6 mohm", "gate_voltage": "4.5 V", "drain_current": "28 A"},
        ],
        input_capacitance={"value": "3250 pF", "drain_voltage": "30 V"},
        output_capacitance={"value": "622 pF", "drain_voltage": "30 V"},
        reverse_capacitance={"value": "15 pF", "drain_voltage": "30 V"},
        gate_charge={
            "total": "41 nC",
            "threshold": "6.3 nC",
            "gate_source": "8.8 nC",
            "gate_drain": "6.7 nC",
            "drain_voltage": "30 V",
            "drain_current": "28 A",
            "gate_voltage": "10 V",
        },
        output_charge={"charge": "83 nC", "drain_voltage": "30 V"},
        switching={
            "turn_on_delay": "6 ns",
            "rise_time": "9 ns",
            "turn_off_delay": "20 ns",
            "fall_time": "3 ns",
            "drain_voltage": "30 V",
            "drain_current": "28 A",
            "gate_voltage": "10 V",
            "gate_resistance": "0 ohm",
        },
        internal_gate_resistance="0.8 ohm",
        breakdown_voltage="60 V",
    )
    return gs.virtual_bench(gs.fit_mosfet(sheet.replace(gate_charge__threshold=None)), sheet)


def test_the_threshold_charge_of_a_real_part_is_predicted(csd18540: gs.BenchReport) -> None:
    row = csd18540.row("gate_charge.threshold")
    assert not row.used
    assert abs(row.deviation) < 0.10, row


def test_without_a_gate_resistor_the_bench_is_no_slower_than_the_sheet(csd18540: gs.BenchReport) -> None:
    # With R_G = 0 the generator and the wiring of the maker's tester decide; the bench has neither, so its
    # times are a lower bound.
    for name in ("turn_on_delay", "rise_time", "turn_off_delay", "fall_time"):
        row = csd18540.row(f"switching.0.{name}")
        assert 0.0 < row.simulated < 1.1 * row.given, row


def test_the_gate_charge_in_time_is_the_quasi_static_one(example_fit: gs.MosfetFit) -> None:
    for voltage, current, gate in ((50.0, 20.0, 10.0), (80.0, 0.2, 8.0), (12.0, 60.0, 12.0)):
        conditions = {"drain_voltage": voltage, "drain_current": current, "gate_voltage": gate}
        found = gs.gate_charge_test(example_fit.mosfet, **conditions)
        expected = gate_charge_figures(gate_charge_curve(example_fit.mosfet, **conditions))
        for name, value in expected._asdict().items():
            assert getattr(found, name) == pytest.approx(value, rel=3e-4 if name == "gate_drain" else 1e-4), (
                conditions,
                name,
            )
        assert found.energy_residual < 1e-6


def test_the_gate_charges_follow_each_other(bench: gs.BenchReport) -> None:
    # So Q_sw = Q_gs - Q_g(th) + Q_gd, as data sheets have it (BSC093N04LS G, rev. 2.1, page 3), is positive.
    test = bench.gate_charge
    assert test is not None
    assert 0.0 < test.threshold < test.gate_source < test.gate_source + test.gate_drain < test.total


@pytest.mark.parametrize(
    ("slope", "peak", "time", "charge"),
    [(100e6, 6.4570, 92.30e-9, 337.6e-9), (500e6, 16.4164, 60.56e-9, 597.8e-9)],
)
def test_a_freewheel_diode_recovers_as_its_closed_form(
    slope: float, peak: float, time: float, charge: float
) -> None:
    # Lauritzen and Ma (1991), tau 100 ns, TM 25 ns, 10 A; see recovery.py.
    diode = gs.Diode(
        forward_voltage=0.9,
        forward_current=10.0,
        transit_time="25 ns",
        lifetime="100 ns",
        capacitance=gs.DepletionCapacitance(zero_bias=1e-15),
    )
    found = gs.recovery_test(diode, forward_current=10.0, current_slope=slope, reverse_voltage=1.0)
    assert found.peak_current == pytest.approx(peak, rel=5e-3)
    assert found.time == pytest.approx(time, rel=5e-3)
    assert found.charge == pytest.approx(charge, rel=5e-3)


def test_the_output_capacitance_adds_its_charge_to_the_recovered_one(example_fit: gs.MosfetFit) -> None:
    # JEDEC dictionary, "recovered charge" (JESD282-B): it holds the capacitive charge.
    conditions: dict[str, Any] = {"forward_current": 20.0, "current_slope": 100e6}
    low, high = (
        gs.recovery_test(example_fit.mosfet, **conditions, reverse_voltage=voltage).charge
        for voltage in (1.0, 50.0)
    )
    added = static_figures.output_charge(example_fit.mosfet, np.array([1.0, 50.0]))
    assert high - low == pytest.approx(added[1] - added[0], rel=0.05)


def test_the_avalanche_takes_what_choke_and_supply_give(example_fit: gs.MosfetFit) -> None:
    # Energy balance: the choke's energy and what the supply adds meanwhile, V_DD times the charge.
    found = gs.avalanche_test(example_fit.mosfet, current=15.0, inductance="100 uH", supply_voltage=25.0)
    supplied = 25.0 * 0.5 * found.current * found.time_in_avalanche
    assert found.energy == pytest.approx(0.5 * 100e-6 * found.current**2 + supplied, rel=5e-3)
    assert found.peak_voltage == pytest.approx(100.0, rel=0.02)


def test_a_signal_stops_the_test_of_a_part_while_it_runs(example_fit: gs.MosfetFit) -> None:
    # Seconds of steps. Signals of which none is answered meanwhile become one afterwards.
    circuit = fill(
        _core.AvalancheCircuit(),
        mosfet=example_fit.mosfet.to_core(),
        current=15.0,
        inductance=1.0,
        supply_voltage=25.0,
        gate_voltage=10.0,
        gate_resistance=25.0,
        fall_time=10e-9,
    )
    settings = fill(_core.Settings(), relative_tolerance=1e-14)
    signals: list[int] = []

    def answer(number: int, _frame: object) -> None:
        signals.append(number)
        if len(signals) == 2:
            raise TimeoutError("time is up")

    before = signal.signal(signal.SIGALRM, answer)
    signal.setitimer(signal.ITIMER_REAL, 0.05, 0.05)
    try:
        with pytest.raises(TimeoutError, match="time is up"):
            _core.avalanche_test(circuit, settings)
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0.0)
        signal.signal(signal.SIGALRM, before)


def test_resistive_and_clamped_energies_are_those_of_straight_crossings(example_fit: gs.MosfetFit) -> None:
    # Straight lines that cross at once take V I t/6, one after the other V I t/2 (Rashid, Power Electronics);
    # t from 10 to 90 % is 0.8 of the whole.
    condition = {"drain_voltage": 50.0, "drain_current": 20.0, "gate_voltage": 10.0, "gate_resistance": 22.0}
    sheet = example_fit.sheet.replace(switching=[condition, condition | {"load": "inductive"}])
    resistive, inductive = gs.virtual_bench(example_fit, sheet).switching
    length = resistive.turn_off.fall_time / 0.8
    assert resistive.turn_off.energy == pytest.approx(50.0 * 20.0 * length / 6.0, rel=0.2)
    assert inductive.turn_off.energy > 2.0 * resistive.turn_off.energy
    assert inductive.turn_on.energy > 2.0 * resistive.turn_on.energy


def test_a_recovering_second_part_makes_the_clamped_turn_on_dearer(example_fit: gs.MosfetFit) -> None:
    entry = SwitchingEntry(
        drain_voltage=50.0, drain_current=20.0, gate_voltage=10.0, gate_resistance=22.0, load="inductive"
    )
    fast = gs.Diode(
        forward_voltage=0.9,
        forward_current=20.0,
        capacitance=example_fit.mosfet.drain_source_capacitance,
    )
    slow, quick = (
        gs.double_pulse(switching_cell(example_fit.mosfet, entry, diode)) for diode in (None, fast)
    )
    assert slow.turn_on.peak_drain_current > 1.05 * quick.turn_on.peak_drain_current
    assert slow.turn_on.energy > quick.turn_on.energy


def test_the_report_tells_what_the_fit_used_from_what_tests_it(bench: gs.BenchReport) -> None:
    assert bench.row("gate_charge.total").used
    assert bench.row("gate_charge.total").cells()[6] == "time domain"
    assert bench.row("threshold.typical").cells()[6] == "closed form"
    assert not bench.row("avalanche.energy").used
    assert not bench.row("switching.0.rise_time").used
    assert bench.row("switching.0.turn_on_energy").verdict == "not given"
    assert bench.summary().startswith("Bench: ")
    assert "condition" in repr(bench)
    assert repr(bench).endswith("no evidence of conformity with any standard.")
    assert "<table>" in bench._repr_html_()
    with pytest.raises(dataclasses.FrozenInstanceError):
        bench.report = ()  # type: ignore[misc]


def test_without_a_sheet_the_simulation_is_held_against_the_closed_forms(example_fit: gs.MosfetFit) -> None:
    found = gs.virtual_bench(example_fit.mosfet)
    assert not any(row.used for row in found.report)
    for name in ("total", "gate_source", "gate_drain", "plateau_voltage"):
        assert abs(found.row(f"gate_charge.{name}").deviation) < 5e-4
    assert math.isnan(found.row("switching.0.rise_time").given)
    assert found.row("switching.0.rise_time").simulated > 0.0


def test_a_test_that_cannot_be_run_is_a_warning_and_the_others_stay(example_fit: gs.MosfetFit) -> None:
    impossible = {"current": 10.0, "inductance": 1e-4, "supply_voltage": 150.0}
    found = gs.virtual_bench(example_fit, example_fit.sheet.replace(avalanche=impossible))
    assert found.avalanche is None
    assert [warning.path for warning in found.warnings] == ["avalanche"]
    assert [one["path"] for one in found.to_mapping()["warnings"]] == ["avalanche"]
    assert {one["path"] for one in found.to_mapping()["cautions"]} == {"drain_voltage", "avalanche"}
    assert found.row("gate_charge.total").verdict == "good"
    with pytest.raises(gs.InputError, match="relative_tolerance"):
        gs.virtual_bench(example_fit, relative_tolerance=1.0)


def test_the_hazards_of_the_real_bench_are_named(irf540_bench: gs.BenchReport) -> None:
    assert [caution.path for caution in irf540_bench.cautions] == ["drain_voltage", "avalanche"]
    assert "170 mJ" in str(irf540_bench.cautions[1])


@pytest.mark.parametrize(
    ("name", "value"), [("drain_voltage", -1.0), ("drain_current", "10 V"), ("gate_current", 0.0)]
)
def test_a_condition_out_of_range_is_named(example_fit: gs.MosfetFit, name: str, value: object) -> None:
    conditions: dict[str, Any] = {"drain_voltage": 50.0, "drain_current": 20.0, "gate_voltage": 10.0}
    with pytest.raises(gs.InputError, match=name):
        gs.gate_charge_test(example_fit.mosfet, **(conditions | {name: value}))


def test_the_plot_shows_the_standard_curves_with_the_sheets_points(irf540_bench: gs.BenchReport) -> None:
    figure = plot_bench(irf540_bench)
    titles = [axes.get_title(loc="left") for axes in figure.axes]
    assert len([title for title in titles if title]) == 8
    turn_on = next(axes for axes in figure.axes if axes.get_title(loc="left").startswith("Turn-on"))
    printed = turn_on.lines[-1].get_xydata()
    assert np.asarray(printed) == pytest.approx(np.array([[11.0, 90.0], [55.0, 10.0]]))
    recovery = next(axes for axes in figure.axes if axes.get_title(loc="left").startswith("Reverse"))
    time, current = np.asarray(recovery.lines[1].get_xydata())[0]
    assert (time, irf540_bench.recovery is not None) == (pytest.approx(180.0), True)
    assert current < -1.0


def test_a_panel_without_a_test_says_so(example_fit: gs.MosfetFit) -> None:
    bench = gs.virtual_bench(example_fit, example_fit.sheet.replace(switching=()))
    empty = [
        axes for axes in plot_bench(bench).axes if [text.get_text() for text in axes.texts] == ["not tested"]
    ]
    assert [axes.get_title(loc="left") for axes in empty] == ["Turn-on", "Turn-off"]


def test_the_command_prints_the_bench_after_the_fit(
    example_fit: gs.MosfetFit, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("gateswing.datasheet.fit.fit_mosfet", lambda _: example_fit)
    runner = CliRunner()
    text = runner.invoke(main, ["fit", SHEET, "--bench"])
    assert text.exit_code == 0
    assert "Bench: " in text.output
    assert "time domain" in text.output
    data = json.loads(runner.invoke(main, ["fit", SHEET, "--bench", "--json"]).output)
    assert {"summary", "report", "warnings", "cautions"} == set(data["bench"])
    assert "Bench: " not in runner.invoke(main, ["fit", SHEET]).output
