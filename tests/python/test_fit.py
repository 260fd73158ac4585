"""Fits to data sheets: the printed values of a real part, reports, recovery, and what cannot be fitted."""

import json
from pathlib import Path

import numpy as np
import pytest

import gateswing as gs
from gateswing.datasheet import static_figures
from gateswing.datasheet.entries import model_values, sheet_entries, sheet_of
from gateswing.datasheet.fit import fit_mosfet
from gateswing.datasheet.fit_report import MosfetFit
from gateswing.datasheet.recovery import RecoveryParameters, recovery_figures, recovery_parameters
from gateswing.datasheet.sheet import MosfetSheet, ReverseRecovery, read_sheet, write_sheet


def test_a_real_part_is_met_at_its_printed_values(irf540: MosfetFit) -> None:
    for row in irf540.report:
        tight = row.path.startswith(("on_resistance", "input_", "output_", "reverse_capacitance"))
        assert abs(row.deviation) < (0.05 if tight else 0.20), row
    assert irf540.mosfet.source_inductance == 7.5e-9


def test_what_one_point_of_a_curve_leaves_open_is_named(irf540: MosfetFit) -> None:
    # One output capacitance fixes one number of the four of its law.
    unknown = irf540.in_state("not identified")
    assert {f"drain_source_capacitance.{name}" for name in ("zero_bias", "potential", "floor")} <= set(
        unknown
    )
    assert "channel.threshold_voltage" not in unknown
    assert "The sheet does not determine: " in irf540.summary()


def test_defaults_are_listed_with_range_and_reason(irf540: MosfetFit) -> None:
    assert "body_diode.forward_voltage" in irf540.in_state("default")
    assert all(p.reason and p.low <= p.value <= p.high for p in irf540.parameters)


def test_a_figure_beyond_the_law_is_poor_and_its_parameter_at_the_bound(example_sheet: MosfetSheet) -> None:
    # No junction falls as the first power of the voltage or faster.
    steep = [{"value": "3 nF", "drain_voltage": "5 V"}, {"value": "10 pF", "drain_voltage": "50 V"}]
    sheet = example_sheet.replace(
        reverse_capacitance=steep, output_capacitance={"value": "4 nF", "drain_voltage": 5}
    )
    fit = fit_mosfet(sheet.replace(output_charge=None))
    assert fit.verdict == "poor"
    assert "gate_drain_capacitance.grading" in fit.in_state("at its bound")
    with (
        pytest.warns(gs.InputWarning, match="the fitted model has"),
        pytest.warns(gs.InputWarning, match="the two do not belong together"),
    ):
        fit.warn()


def test_a_peak_current_beside_time_and_charge_is_a_check(example_sheet: MosfetSheet) -> None:
    sheet = example_sheet.replace(reverse_recovery__peak_current="2.5 A")
    row = fit_mosfet(sheet).row("reverse_recovery.peak_current")
    assert not row.used
    assert row.cells()[4] == "no"


def test_the_report_is_a_table_in_text_html_and_json(example_fit: MosfetFit) -> None:
    assert repr(example_fit).startswith("Fit ")
    assert "gate charge, gate drain" in repr(example_fit)
    assert example_fit._repr_html_().count("<table>") == 2
    plain = json.loads(json.dumps(example_fit.to_mapping(), allow_nan=False))
    assert len(plain["report"]) == len(list(sheet_entries(example_fit.sheet)))
    assert gs.Mosfet(**plain["mosfet"]) == example_fit.mosfet


def test_a_row_that_there_is_not_is_named(example_fit: MosfetFit) -> None:
    with pytest.raises(
        gs.InputError, match=r"path = 'gate_charge\.totl': no such entry\. Allowed: threshold"
    ):
        example_fit.row("gate_charge.totl")


def test_the_convenience_is_the_fitted_model(example_sheet: MosfetSheet, example_fit: MosfetFit) -> None:
    entries = {name: getattr(example_sheet, name) for name in MosfetSheet.model_fields}
    assert gs.Mosfet.from_datasheet(**entries) == example_fit.mosfet


def test_the_forward_voltage_is_met_at_the_pins(example_fit: MosfetFit) -> None:
    fet = example_fit.mosfet
    assert static_figures.source_drain_voltage(fet, 20.0) == pytest.approx(0.9, rel=1e-6)
    # Channel and drift resistance in series beside the diode; at v_GS = 0 the channel is all but off.
    channel = -float(fet.channel_current(0.0, -0.9))
    assert float(fet.body_diode_current(0.9)) + channel == pytest.approx(20.0, rel=1e-6)


def test_the_drift_region_is_flooded_by_the_body_diode_of_a_published_part() -> None:
    """NTE2394, 500 V (NTE Electronics, data sheet, p. 2): 0.4 ohm at 7.9 A, and 1.4 V at 14 A backward.

    The on-resistance alone would drop 5.6 V at 14 A, most of it in the drift region of such a part.
    """
    fit = fit_mosfet(
        MosfetSheet(
            breakdown_voltage="500 V",
            threshold={"typical": "3 V", "drain_current": "250 uA"},
            on_resistance={"value": "0.4 ohm", "gate_voltage": "10 V", "drain_current": "7.9 A"},
            transconductance={"value": "9.3 S", "drain_current": "7.9 A"},
            input_capacitance={"value": "3 nF", "drain_voltage": "25 V"},
            output_capacitance={"value": "600 pF", "drain_voltage": "25 V"},
            reverse_capacitance={"value": "200 pF", "drain_voltage": "25 V"},
            body_diode={"voltage": "1.4 V", "current": "14 A"},
        )
    )
    assert fit.row("body_diode.voltage").simulated == pytest.approx(1.4, rel=1e-4)
    assert fit.row("on_resistance.0.value").simulated == pytest.approx(0.4, rel=0.01)
    assert fit.mosfet.drift_resistance * 14.0 > 2.8


def test_a_sheet_without_gate_charge_diode_and_recovery_is_enough(example_sheet: MosfetSheet) -> None:
    left_out = dict.fromkeys(
        ["gate_charge", "output_charge", "body_diode", "reverse_recovery", "transconductance"]
    )
    fit = fit_mosfet(example_sheet.replace(left_out))
    assert fit.verdict == "good"
    assert "body_diode.transit_time" in fit.in_state("default")
    assert "gate_drain_capacitance.ceiling_over_zero_bias" in fit.in_state("not identified")


def test_a_sheet_reads_back_as_written(example_sheet: MosfetSheet, tmp_path: Path) -> None:
    write_sheet(example_sheet, tmp_path / "sheet.toml")
    assert read_sheet(tmp_path / "sheet.toml") == example_sheet


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"threshold": {"drain_current": 1e-3}}, "threshold.typical: give minimum, typical or maximum"),
        (
            {"threshold": {"minimum": 3, "maximum": 2, "drain_current": 1e-3}},
            "minimum, typical, maximum must ascend",
        ),
        ({"output_capacitance": []}, "output_capacitance"),
        ({"input_capacitance": {"value": "2 uF", "drain_voltage": 50}}, "Did you mean 2 nF"),
        (
            {"reverse_recovery": {"charge": 1e-9, "forward_current": 1, "current_slope": "100 V/us"}},
            "slope of current in A/us",
        ),
    ],
)
def test_an_entry_that_cannot_be_used_is_named(
    example_sheet: MosfetSheet, change: dict[str, object], message: str
) -> None:
    with pytest.raises(gs.InputError, match=message):
        example_sheet.replace(change)


# Closed form of the charge-control diode, tau 100 ns, TM 25 ns, 10 A: peak, time to 25 %, charge.
ANCHORS = [(100e6, 6.4570, 92.30e-9, 337.6e-9), (500e6, 16.4164, 60.56e-9, 597.8e-9)]


@pytest.mark.parametrize(("slope", "peak", "time", "charge"), ANCHORS)
def test_the_recovery_of_known_parameters(slope: float, peak: float, time: float, charge: float) -> None:
    found = recovery_figures(RecoveryParameters(transit_time=25e-9, lifetime=100e-9), 10.0, slope)
    assert found.peak_current == pytest.approx(peak, abs=6e-5)
    assert found.time == pytest.approx(time, abs=6e-12)
    assert found.charge == pytest.approx(charge, abs=6e-11)


@pytest.mark.parametrize("pair", [("time", "charge"), ("charge", "peak_current"), ("time", "peak_current")])
@pytest.mark.parametrize(("slope", "peak", "time", "charge"), ANCHORS)
def test_two_recovery_figures_give_the_parameters(
    pair: tuple[str, str], slope: float, peak: float, time: float, charge: float
) -> None:
    given = {"peak_current": peak, "time": time, "charge": charge}
    entry = ReverseRecovery(forward_current=10.0, current_slope=slope, **{name: given[name] for name in pair})
    transit, lifetime = recovery_parameters(entry)
    assert lifetime == pytest.approx(100e-9, rel=2e-3)
    assert transit == pytest.approx(25e-9, rel=2e-3)


@pytest.mark.parametrize("name", ["time", "charge", "peak_current"])
def test_one_recovery_figure_is_met_with_the_default_softness(name: str) -> None:
    value = {"time": 90e-9, "charge": 300e-9, "peak_current": 6.0}[name]
    entry = ReverseRecovery(forward_current=10.0, current_slope=1e8, **{name: value})
    found = recovery_figures(recovery_parameters(entry), 10.0, 1e8)
    assert getattr(found, name) == pytest.approx(value, rel=1e-6)
    decay = (found.time - found.peak_current / 1e8) / np.log(4.0)
    assert decay == pytest.approx(0.5 * found.peak_current / 1e8, rel=1e-6)


def test_figures_that_no_recovery_has_together_are_refused() -> None:
    entry = ReverseRecovery(time=50e-9, charge=300e-9, forward_current=10.0, current_slope=1e8)
    with pytest.raises(gs.InputError, match="time 50 ns, charge 300 nC: no recovery"):
        recovery_parameters(entry)


def test_the_models_own_sheet_is_the_model(example_fit: MosfetFit) -> None:
    own = sheet_of(example_fit.mosfet, example_fit.sheet)
    found = model_values(example_fit.mosfet, own)
    assert all(entry.value == pytest.approx(found[entry.path], rel=1e-12) for entry in sheet_entries(own))


def test_the_output_figures_are_those_of_the_bench(example_fit: MosfetFit) -> None:
    fet = example_fit.mosfet
    found = model_values(fet, example_fit.sheet, ("output_charge",))
    assert found == pytest.approx(
        {
            "output_charge.charge": float(static_figures.output_charge(fet, 50.0)),
            "output_charge.energy": float(static_figures.output_energy(fet, 50.0)),
            "output_charge.time_related": float(static_figures.time_related_capacitance(fet, 50.0)),
            "output_charge.energy_related": float(static_figures.energy_related_capacitance(fet, 50.0)),
        }
    )
