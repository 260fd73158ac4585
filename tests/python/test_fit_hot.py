"""Fits beyond a cold chip of depletion layers: temperature, superjunction, thermal ladder."""

from importlib import resources
from typing import Any

import numpy as np
import pytest

import gateswing as gs
from gateswing.datasheet import static_figures
from gateswing.datasheet.entries import sheet_of
from gateswing.datasheet.fit import fit_mosfet
from gateswing.datasheet.fit_report import MosfetFit
from gateswing.datasheet.sheet import MosfetSheet, read_sheet
from gateswing.library.part_library import part_file


@pytest.fixture(scope="module")
def sheet() -> MosfetSheet:
    """The example without gate charges, which take the longest to fit and do not depend on temperature."""
    whole = read_sheet(str(resources.files("gateswing") / "examples" / "mosfet_sheet.toml"))
    return whole.replace(gate_charge=None, output_charge=None)


def hot_figures(gate_voltages: list[float]) -> dict[str, Any]:
    """Entries at other temperatures; the values only hold their places."""
    return {
        "threshold.slope": -5e-3,
        "on_resistance_ratio": [
            {"value": 1.5, "junction_temperature": kelvin, "gate_voltage": volts, "drain_current": 20.0}
            for volts in gate_voltages
            for kelvin in (248.15, 398.15, 423.15)
        ],
        "hot_body_diode": {"voltage": 0.8, "current": 20.0, "junction_temperature": "125 degC"},
    }


def warm_part(rng: np.random.Generator) -> gs.Mosfet:
    """A part of the library with other temperature coefficients."""
    part = gs.part(str(rng.choice(["logic-60V", "standard-60V", "logic-100V", "standard-100V"])))
    return part.replace(  # type: ignore[return-value]
        {
            "temperature.threshold_slope": rng.uniform(-8e-3, -2e-3),
            "temperature.mobility_exponent": rng.uniform(1.0, 2.2),
            "temperature.drift_exponent": rng.uniform(1.5, 2.8),
            "body_diode.temperature.barrier_voltage": rng.uniform(1.0, 1.25),
        }
    )


@pytest.mark.parametrize("case", range(5))
def test_the_temperatures_of_a_model_are_found_in_its_own_sheet(case: int, sheet: MosfetSheet) -> None:
    fet = warm_part(np.random.default_rng([31, case]))
    fit = fit_mosfet(sheet_of(fet, sheet.replace(hot_figures([4.5, 10.0]))))
    print(fet, fit)
    assert max(abs(row.deviation) for row in fit.report) < 0.01
    found, wanted = fit.mosfet, fet
    for kelvin in (248.15, 348.15, 423.15):
        hot = [
            float(static_figures.on_resistance(one, 8.0, 10.0, junction_temperature=kelvin))
            for one in (found, wanted)
        ]
        assert hot[0] == pytest.approx(hot[1], rel=0.01)
        drops = [
            static_figures.source_drain_voltage(one, 5.0, junction_temperature=kelvin)
            for one in (found, wanted)
        ]
        assert drops[0] == pytest.approx(drops[1], abs=15e-3)
    assert "temperature.drift_exponent" not in fit.in_state("default")


def test_the_hot_forward_voltage_is_that_of_junction_and_channel() -> None:
    fet = gs.part("standard-100V")
    assert isinstance(fet, gs.Mosfet)
    voltage = static_figures.source_drain_voltage(fet, 10.0, junction_temperature=398.15)
    # The junction carries the current beside the channel, which is off: its carriers flood the drift region.
    junction = float(fet.body_diode_current(voltage, junction_temperature=398.15))
    channel = -float(fet.channel_current(0.0, -voltage, junction_temperature=398.15))
    assert junction + channel == pytest.approx(10.0, rel=1e-6)
    assert channel < 1e-6


def test_ratios_at_one_gate_voltage_move_both_exponents_together(sheet: MosfetSheet) -> None:
    ratio = {"value": 1.75, "junction_temperature": "125 degC"}
    fit = fit_mosfet(sheet.replace(on_resistance_ratio=ratio))
    found = fit.mosfet.temperature
    assert fit.row("on_resistance_ratio.0.value").simulated == pytest.approx(1.75, rel=1e-3)
    assert found.mobility_exponent / found.drift_exponent == pytest.approx(1.5 / 2.2)
    assert "temperature.mobility_exponent" in fit.in_state("default")
    assert "temperature.drift_exponent" in fit.in_state("fitted")


def test_the_printed_slope_of_the_breakdown_is_met(sheet: MosfetSheet) -> None:
    """0.13 V/K of 100 V: IRF540, data sheet."""
    fet = fit_mosfet(sheet.replace(breakdown_slope="0.13 V/K")).mosfet
    assert fet.temperature.breakdown_coefficient == pytest.approx(1.3e-3)
    assert fet.to_core(398.15).breakdown.knee_voltage == pytest.approx(113.0)


def test_what_a_cold_sheet_does_not_say_has_a_default_with_a_range(sheet: MosfetSheet) -> None:
    fit = fit_mosfet(sheet)
    assert fit.mosfet.temperature == gs.MosfetTemperature()
    defaults = {one.path: one for one in fit.parameters if one.state == "default"}
    for name in ("threshold_slope", "mobility_exponent", "drift_exponent", "breakdown_coefficient"):
        one = defaults[f"temperature.{name}"]
        assert one.low < one.value < one.high
        assert one.reason
    assert {f"body_diode.temperature.{name}" for name in ("barrier_voltage", "lifetime_exponent")} < set(
        defaults
    )
    assert fit.thermal is None


# Coss at 100 V, Co(tr) and Co(er) up to 520 V [F]: STW88N65M5-4, DocID 027754 rev 1, table 5; STW62N65M5,
# DocID 024837 rev 3. The other entries are from memory and only complete the sheet.
PUBLISHED = {"STW88N65M5-4": (223e-12, 778e-12, 202e-12), "STW62N65M5": (170e-12, 536e-12, 146e-12)}


def superjunction(name: str) -> MosfetFit:
    output, by_time, by_energy = PUBLISHED[name]
    return fit_mosfet(
        MosfetSheet(
            threshold={"typical": "4 V", "drain_current": "250 uA"},
            on_resistance={"value": "40 mohm", "gate_voltage": "10 V", "drain_current": "25 A"},
            input_capacitance={"value": "7 nF", "drain_voltage": "100 V"},
            output_capacitance={"value": output, "drain_voltage": "100 V"},
            reverse_capacitance={"value": "11 pF", "drain_voltage": "100 V"},
            output_charge={"time_related": by_time, "energy_related": by_energy, "drain_voltage": "520 V"},
            breakdown_voltage="650 V",
        )
    )


@pytest.mark.parametrize("name", PUBLISHED)
def test_the_fit_meets_the_published_equivalents_of_a_superjunction(name: str) -> None:
    fit = superjunction(name)
    assert fit.mosfet.drain_source_step is not None
    output, by_time, by_energy = PUBLISHED[name]
    assert float(fit.mosfet.capacitances(0.0, 100.0)["coss"]) == pytest.approx(output, rel=0.02)
    assert float(static_figures.time_related_capacitance(fit.mosfet, 520.0)) == pytest.approx(
        by_time, rel=0.02
    )
    assert float(static_figures.energy_related_capacitance(fit.mosfet, 520.0)) == pytest.approx(
        by_energy, rel=0.02
    )
    # Vdc Q = E + what the charging path loses, which is at least a third of it for any falling capacitance.
    energy, charge = (
        float(one(fit.mosfet, 520.0)) for one in (static_figures.output_energy, static_figures.output_charge)
    )
    assert energy < 0.5 * 520.0 * charge


def test_points_of_both_capacitances_find_the_step_of_both() -> None:
    sheet = part_file("standard-650V-to220").sheet
    assert sheet is not None
    fit = fit_mosfet(sheet)
    assert fit.mosfet.drain_source_step is not None
    assert fit.mosfet.gate_drain_step is not None
    assert fit.mosfet.gate_drain_step.centre == fit.mosfet.drain_source_step.centre
    assert fit.mosfet.gate_drain_step.low == pytest.approx(251e-12, rel=0.1)
    deviations = {row.path: row.deviation for row in fit.report if "capacitance" in row.path}
    assert len(deviations) == 7
    assert max(map(abs, deviations.values())) < 0.05, fit
    assert abs(fit.row("output_charge.energy").deviation) < 0.05


@pytest.mark.parametrize("name", ["standard-400V-to220", "standard-650V-planar-to220", "standard-100V"])
def test_a_part_without_a_superjunction_gets_no_step(name: str) -> None:
    sheet = part_file(name).sheet
    assert sheet is not None
    fit = fit_mosfet(sheet)
    assert fit.mosfet.drain_source_step is None
    assert fit.verdict == "good"


# Elements of a published ladder: IRLB8721PbF, figure 11 [K/W], [s].
PUBLISHED_LADDER = gs.FosterLadder(
    resistances=[0.17246, 0.786312, 1.368218], time_constants=[7.21e-5, 1.227e-3, 7.178e-3]
)


def thermal_fit(sheet: MosfetSheet, **entries: object) -> MosfetFit:
    return fit_mosfet(sheet.replace(thermal=entries))


def test_the_curve_of_a_published_ladder_gives_the_ladder(sheet: MosfetSheet) -> None:
    times = np.geomspace(1e-5, 0.1, 9)
    points = [{"time": t, "value": float(PUBLISHED_LADDER.step_response(t))} for t in times]
    fit = thermal_fit(sheet, impedance=points, junction_to_case=PUBLISHED_LADDER.total_resistance)
    assert fit.thermal is not None
    between = np.geomspace(2e-5, 1.0, 40)
    assert fit.thermal.step_response(between) == pytest.approx(
        PUBLISHED_LADDER.step_response(between), rel=0.03
    )
    rows = [row for row in fit.report if row.path.startswith("thermal.")]
    assert len(rows) == 10
    assert max(abs(row.deviation) for row in rows) < 0.03
    assert fit.to_mapping()["thermal"]["resistances"]


def test_a_resistance_alone_gets_a_default_shape_that_is_named(sheet: MosfetSheet) -> None:
    fit = thermal_fit(sheet, junction_to_case="1.2 K/W")
    assert fit.thermal is not None
    assert fit.thermal.total_resistance == pytest.approx(1.2)
    # The shape is that of the published ladder.
    scale = 1.2 / PUBLISHED_LADDER.total_resistance
    for time in (1e-4, 1e-3, 1e-2):
        expected = scale * float(PUBLISHED_LADDER.step_response(time))
        assert fit.thermal.step_response(time) == pytest.approx(expected, rel=0.05)
    assumed = [one for one in fit.parameters if one.path.startswith("thermal.time_constants")]
    assert len(assumed) == 3
    assert all(one.state == "default" and one.low < one.value < one.high for one in assumed)


def test_a_single_point_is_a_single_element(sheet: MosfetSheet) -> None:
    fit = thermal_fit(sheet, impedance={"time": "1 s", "value": "2 K/W"})
    assert fit.thermal is not None
    assert fit.thermal.step_response(1.0) == pytest.approx(2.0, rel=0.01)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (
            {"on_resistance_ratio": {"value": 1, "junction_temperature": "25 degC"}},
            "on_resistance_ratio.0.junction_temperature = 25 degC: the ratio there is 1 by definition",
        ),
        (
            {"thermal": {"junction_to_ambient": "60 K/W"}},
            "thermal.junction_to_case: missing",
        ),
        (
            {"thermal": {"impedance": [{"time": 1, "value": 2}, {"time": 1, "value": 3}]}},
            "thermal.impedance: its times do not increase",
        ),
    ],
)
def test_an_entry_that_cannot_be_used_is_named(
    sheet: MosfetSheet, change: dict[str, Any], message: str
) -> None:
    with pytest.raises(gs.InputError, match=message):
        sheet.replace(change)
