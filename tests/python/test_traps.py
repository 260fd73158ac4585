"""Traps of data sheets, drives and operation: each is said on a case made for it, and not on a sane one.

The traps are those of the trade, no source.
"""

import math
import re
import warnings
from importlib import resources
from typing import Any

import numpy as np
import pytest

import gateswing as gs
from gateswing.circuit_checks.drive import (
    avalanche_energy,
    commutation_slope,
    heat_warnings,
    highest_current,
    load_current,
    on_voltage,
    plateau,
)
from gateswing.circuit_checks.low_side import design_warnings, operation_warnings
from gateswing.circuit_checks.sheet import sheet_warnings
from gateswing.datasheet.static_figures import plateau_voltage
from gateswing.limits.verdict import quick_check
from gateswing.ranges import range_warnings

SHEET = gs.read_sheet(str(resources.files("gateswing") / "examples" / "mosfet_sheet.toml"))


def usual(**changes: Any) -> gs.LowSideCell:
    """An invented low-side stage of library parts about which there is nothing to say."""
    fields: dict[str, Any] = {
        "bus": "24 V",
        "mosfet": "standard-60V",
        "driver": "driver-ic-weak",
        "gate_resistance": "22 ohm",
        "load": {"resistance": "6 ohm", "inductance": "200 uH"},
        "freewheel": "schottky-60V",
        "loop_inductance": "20 nH",
        "pull_down_resistance": "47 kohm",
    }
    return gs.LowSideCell(**fields | changes)


OPERATION = gs.Operation(frequency="20 kHz", duty=0.5)


def test_there_is_nothing_to_say_about_a_sane_sheet() -> None:
    assert sheet_warnings(SHEET) == []


def test_a_value_in_a_list_of_a_sheet_is_checked_too() -> None:
    """Entries of one kind at several conditions, and the elements of a thermal impedance."""
    (first, *others) = SHEET.on_resistance
    odd = SHEET.replace(on_resistance=[first.replace(value="50 ohm"), *others])
    found = [str(warning) for warning in sheet_warnings(odd)]
    assert any(text.startswith("on_resistance.0.value: 50 ohm is unusual") for text in found), found
    ladder = gs.FosterLadder(resistances=["0.5 K/W", "500 K/W"], time_constants=["1 ms", "10 ms"])
    cell = usual().replace({"mosfet.thermal_impedance": ladder})
    (warning,) = range_warnings(cell)
    assert warning.path == "mosfet.thermal_impedance.resistances.1"
    assert "500 K/W is unusual" in warning.message


def test_there_is_nothing_to_say_about_a_sane_cell() -> None:
    assert design_warnings(usual()) == []
    assert operation_warnings(usual(), OPERATION) == []
    assert sheet_warnings(SHEET.replace(reverse_recovery=None), usual()) == []


CRSS = [
    {"value": "400 pF", "drain_voltage": "1 V"},
    {"value": "150 pF", "drain_voltage": "10 V"},
    {"value": "60 pF", "drain_voltage": "50 V"},
]


@pytest.mark.parametrize(
    ("change", "path", "words"),
    [
        ({"gate_charge": None}, "gate_charge", "the Miller charge, .* may be off by a factor of two"),
        ({"gate_charge.total": "17 nC"}, "gate_charge.total", "is 18.5 nC, more than Q_G of 17 nC"),
        (
            {"gate_charge.gate_drain": "20 nC", "reverse_capacitance": CRSS},
            "gate_charge.gate_drain",
            "Q_GD is 20 nC, but C_rss integrated up to 50 V gives at most 9.8 nC",
        ),
        (
            {"gate_charge.gate_drain": "2 nC"},
            "gate_charge.gate_drain",
            r"over its printed voltages alone takes [34](\.\d+)? nC, Q_GD is 2 nC",
        ),
        (
            {
                "reverse_capacitance": {"value": "430 pF", "drain_voltage": "50 V"},
                "gate_charge.gate_drain": None,
            },
            "reverse_capacitance.0.value",
            "C_rss of 430 pF is part of C_oss and cannot exceed its 420 pF",
        ),
        (
            {
                "reverse_capacitance": {"value": "2.5 nF", "drain_voltage": "50 V"},
                "output_capacitance": {"value": "3 nF", "drain_voltage": "50 V"},
                "output_charge": None,
                "gate_charge.gate_drain": None,
            },
            "reverse_capacitance.0.value",
            "C_rss of 2.5 nF is part of C_iss and cannot exceed its 2.4 nF",
        ),
        ({"maximum_gate_voltage": "8 V"}, "on_resistance.0.gate_voltage", "tested at 10 V, above the rated"),
        (
            {"gate_charge.plateau_voltage": "2 V"},
            "gate_charge.plateau_voltage",
            "plateau of 2 V lies below",
        ),
        (
            {"input_capacitance": {"value": "2.4 pF", "drain_voltage": "50 V"}},
            "input_capacitance.0.value",
            "charged to 10 V takes 24 pC, but Q_G is 34 nC: .* factor of 1000",
        ),
        (
            {"output_charge.charge": "9 uC"},
            "output_charge.charge",
            "9 uC, but C_oss .* 21 nC .* factor of 1000",
        ),
        (
            {"on_resistance": {"value": "12 ohm", "gate_voltage": "10 V", "drain_current": "20 A"}},
            "on_resistance.0.value",
            "12 ohm at 20 A would drop 240 V: check mohm and ohm",
        ),
        (
            {"on_resistance_ratio": {"value": 0.6, "junction_temperature": "125 degC"}},
            "on_resistance_ratio.0.value",
            "0.6 at 125 degC: the on-resistance of a MOSFET grows",
        ),
        (
            {"thermal": {"junction_to_case": "62 K/W", "junction_to_ambient": "1.2 K/W"}},
            "thermal.junction_to_case",
            "62 K/W to the case exceeds 1.2 K/W to ambient",
        ),
        (
            {"reverse_recovery.time": "48 us"},
            "reverse_recovery.time",
            "Did you mean 48 ns?",
        ),
    ],
)
def test_a_trap_of_a_sheet_is_said(change: dict[str, Any], path: str, words: str) -> None:
    assert_said(sheet_warnings(SHEET.replace(change)), path, words)


def assert_said(found: list[gs.InputWarning], path: str, words: str) -> None:
    said = [warning.message for warning in found if warning.path == path]
    assert any(re.search(words, message) for message in said), found


@pytest.mark.parametrize(
    ("sheet", "cell", "path", "words"),
    [
        (
            {},
            {"driver": "pin-5V"},
            "threshold",
            "up to 3.8 V is where 250 uA begin to flow, not where the MOSFET is on",
        ),
        (
            {},
            {"driver": "pin-5V"},
            "on_resistance",
            "printed at 6 V and above, but the driver",
        ),
        (
            {},
            {"junction_temperature": "110 degC"},
            "on_resistance_ratio",
            "the on-resistance at 110 degC rests on",
        ),
        ({}, {}, "reverse_recovery.current_slope", "measured at 100 A/us, this cell commutates at about"),
        (
            {
                "avalanche": {
                    "energy": "80 mJ",
                    "current": "20 A",
                    "inductance": "0.2 mH",
                    "supply_voltage": "25 V",
                }
            },
            {"freewheel": None},
            "avalanche.energy",
            "80 mJ is for one pulse .* every turn-off of this cell leaves 2.67 mJ",
        ),
    ],
)
def test_what_a_sheet_does_not_cover_is_said(
    sheet: dict[str, Any], cell: dict[str, Any], path: str, words: str
) -> None:
    changed, circuit = SHEET.replace(sheet), usual(**cell)
    assert_said(sheet_warnings(changed, circuit), path, words)
    assert path not in {warning.path for warning in sheet_warnings(changed)}


@pytest.mark.parametrize(
    ("change", "path", "words"),
    [
        (
            {"driver": {"part": "pin-5V", "supply_voltage": "3.6 V"}},
            "driver.supply_voltage",
            "never switches on fully",
        ),
        (
            {"driver": {"part": "driver-ic-5V", "supply_voltage": "4.1 V"}},
            "driver.supply_voltage",
            "the turn-on crawls while the turn-off does not",
        ),
        (
            {"driver": "driver-ic-5V", "mosfet": "logic-60V-to220"},
            "driver.supply_voltage",
            r"with 5 V on the gate the on-resistance is 3\d(\.\d)? mohm, not the 2\d(\.\d)? mohm of 10 V",
        ),
        (
            {"driver.supply_voltage": "18 V"},
            "driver.supply_voltage",
            "leaves 2 V to the rated",
        ),
        ({"pull_down_resistance": "220 ohm"}, "pull_down_resistance", "down to 10.3 V at the gate"),
        (
            {"driver": "emitter-follower-12V", "mosfet": "logic-60V"},
            "driver",
            "rests at 700 mV when off; at 125 degC the MOSFET begins to conduct at 1.",
        ),
        (
            {"freewheel": {"part": "standard-1000V", "transit_time": 0, "lifetime": 0}},
            "freewheel",
            "a silicon diode for 1 kV stores charge, but no recovery is given",
        ),
    ],
)
def test_a_trap_of_the_drive_is_said(change: dict[str, Any], path: str, words: str) -> None:
    (warning,) = design_warnings(usual().replace(change))
    assert warning.path == path
    assert_said([warning], path, words)


def test_an_avalanche_at_every_turn_off_is_said_with_its_power() -> None:
    cell = usual(freewheel=None)
    (warning,) = operation_warnings(cell, OPERATION)
    assert warning.path == "freewheel"
    # 1/2 L I^2 BV/(BV - V): 200 uH, 4 A, 60 V, 24 V; the 4 A reach 2.11 A within 25 us from rest.
    assert avalanche_energy(cell, 4.0) == pytest.approx(0.5 * 200e-6 * 16.0 * 60.0 / 36.0)
    assert "leaves about 742 uJ" in warning.message
    assert "at 20 kHz about 14.8 W" in warning.message


def test_the_avalanche_energy_is_that_of_the_published_rating() -> None:
    """IRF540: 440 uH, 28 A, 25 V, 100 V give 230 mJ (Vishay document 91021)."""
    fet = gs.part("standard-100V")
    cell = usual(bus="25 V", mosfet=fet, load={"resistance": "0.9 ohm", "inductance": "440 uH"})
    assert avalanche_energy(cell, 28.0) == pytest.approx(230e-3, rel=1e-3)


def test_a_junction_that_cannot_stay_at_25_degrees_is_said() -> None:
    cell = usual(mosfet="standard-60V-to220")
    (warning,) = heat_warnings(cell, 2.2, 10.0)
    assert warning.path == "junction_temperature"
    assert "the MOSFET turns 2.2 W into heat, but it is simulated at 25 degC" in warning.message
    assert "at 125 degC its on-resistance is 1.7 times" in warning.message
    assert "times" not in heat_warnings(cell, 2.2, 0.0)[0].message  # there is no current to compare at
    cooled = {"ambient": "40 degC", "mosfet": {"junction_to_case": "2 K/W", "case_to_ambient": "30 K/W"}}
    for known in ({"junction_temperature": "100 degC"}, {"cooling": cooled}):
        assert heat_warnings(cell.replace(known), 2.2, 10.0) == []
    for little in (0.9, math.nan):  # nothing simulated is no heat
        assert heat_warnings(cell, little, 10.0) == []


def test_the_heat_of_slow_edges_counts_for_the_junction_as_that_of_conduction_does() -> None:
    """Two edges of V I t/2 each, 24 V and 3.7 A over some microseconds at 20 kHz: watts."""
    cell = usual(driver="pin-5V", mosfet="logic-60V", gate_resistance="2.2 kohm", freewheel="schottky-60V")
    operation = gs.Operation(frequency="20 kHz", duty=0.6)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", gs.InputWarning)
        verdict = gs.quick_check(gs.Design(cell=cell, operation=operation))
    point = verdict.point
    assert point.losses_by_cause["conduction"] < 1.0 < point.channel_loss
    assert [one.path for one in point.warnings if "simulated at 25 degC" in one.message] == [
        "junction_temperature"
    ]


def test_a_duty_of_one_is_still_said() -> None:
    (warning,) = operation_warnings(usual(), gs.Operation(frequency="20 kHz", duty=1.0))
    assert warning.path == "duty"


@pytest.mark.parametrize(
    "change",
    [
        {},
        {"gate_resistance": "100 ohm"},
        {"gate_resistance": "5 ohm", "mosfet": "standard-60V-to220"},
        {"gate_resistance": 0, "driver": "driver-ic-strong", "loop_inductance": "100 nH"},
    ],
)
def test_the_estimate_of_the_commutation_is_that_of_the_simulation(change: dict[str, Any]) -> None:
    """Within a factor of two, as an estimate with constant capacitance and transconductance may be off."""
    cell = usual(**change)
    edges = gs.double_pulse(cell)
    ratio = (commutation_slope(cell) or np.nan) / edges.turn_on.maximum_current_slope
    assert 0.5 < ratio < 2.0


def test_a_common_source_inductance_slows_the_commutation_by_its_share() -> None:
    """R C_iss + g L_S stands where R C_iss stood: 1/slope grows by L_S over the drive above the plateau."""
    without = usual(loop_inductance=0)
    slowed = without.replace(common_source_inductance="4 nH")
    slope, slower = (commutation_slope(cell) or np.nan for cell in (without, slowed))
    excess = on_voltage(without) - float(plateau_voltage(without.mosfet, 24.0 / 6.0))
    assert 1.0 / slower - 1.0 / slope == pytest.approx(4e-9 / excess, rel=1e-9)


def test_the_traps_of_a_sheet_come_with_its_fit() -> None:
    fit = gs.fit_mosfet(SHEET.replace(gate_charge=None, output_charge=None))
    assert [warning.path for warning in fit.warnings] == ["gate_charge"]
    assert fit.to_mapping()["warnings"][0]["path"] == "gate_charge"
    assert "\nwarning: gate_charge: left out: " in repr(fit)
    with pytest.warns(gs.InputWarning, match="may be off by a factor of two"):
        fit.warn()


def test_a_hot_cell_is_judged_by_its_hot_plateau_and_the_whole_loop() -> None:
    cold, hot = (
        usual(loop_resistance="2 ohm"),
        usual(loop_resistance="2 ohm", junction_temperature="150 degC"),
    )
    assert load_current(hot) == pytest.approx(24.0 / 8.0)
    plateaus = [plateau(cell, 3.0) for cell in (cold, hot)]
    assert plateaus[1] == pytest.approx(
        float(plateau_voltage(hot.mosfet, 3.0, junction_temperature=hot.junction_temperature))
    )
    assert plateaus[1] < plateaus[0] - 0.3


def motor(**load: Any) -> gs.LowSideCell:
    """An invented motor behind a pin of 3.3 V, whose drive is ample at 70 % duty and scarce at full duty."""
    winding = {"kind": "motor", "resistance": "1 ohm", "inductance": "500 uH", "back_emf": "12 V"}
    return usual(
        mosfet="logic-60V",
        driver="pin-3V3",
        gate_resistance="1 kohm",
        load=winding | load,
        pull_down_resistance="10 kohm",
    )


def test_a_warning_that_knows_the_operation_takes_its_current() -> None:
    """R-L-E circuit at 70 % duty: a mean of (D V - (1 - D) V_F - E)/R and half a ripple, not 12 A."""
    cell, operation = motor(), gs.Operation(frequency="20 kHz", duty=0.7)
    current = highest_current(cell, operation)
    point = quick_check(gs.Design(cell=cell, operation=operation)).point
    simulated = float(np.max(point.waveform.values("i_load")))
    assert current is not None
    # The edges of so slow a gate take part of the on-time.
    assert simulated < current < 1.25 * simulated
    assert not [one for one in point.warnings if "12 A" in one.message]
    (alone,) = (one for one in design_warnings(cell) if "above the plateau" in one.message)
    assert "at the load's 12 A at 100 % duty" in alone.message


def test_a_current_that_starts_from_rest_is_that_of_its_exponential() -> None:
    cell = usual(freewheel=None, load={"resistance": "40 ohm", "inductance": "60 mH"})
    current = highest_current(cell, gs.Operation(frequency="5 kHz", duty=0.2))
    assert current == pytest.approx(24.0 / 40.0 * (1.0 - np.exp(-0.2 / 5e3 * 40.0 / 60e-3)))


def test_a_back_emf_above_the_bus_is_the_cause_told() -> None:
    design = gs.Design(cell=motor(back_emf="30 V"), operation=gs.Operation(frequency="20 kHz", duty=0.7))
    (check,) = (one for one in quick_check(design).checks if one.name == "switches_fully")
    assert "back-EMF of 30 V is not below it" in check.reason
