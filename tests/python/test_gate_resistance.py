"""The choice of gate resistances: what is tried, what the limits leave, which value is taken and why."""

import dataclasses
import math
import pickle
from itertools import combinations
from typing import Any
from xml.etree import ElementTree as ET

import matplotlib as mpl
import numpy as np
import pytest
from matplotlib import pyplot as plt

import gateswing as gs
from gateswing.choices.gate_resistance import _choice
from gateswing.choices.knee import knee_of
from gateswing.choices.resistance_words import reason_of

LIMITS = gs.EdgeLimits(maximum_overshoot="16 V", maximum_voltage_slope="6 V/ns")


@pytest.fixture(scope="module")
def bare(cell: gs.LowSideCell) -> gs.LowSideCell:
    """The example with a snubber too small to hide the overshoot."""
    return cell.replace(snubber=gs.Snubber(resistance="10 ohm", capacitance="220 pF"))


@pytest.fixture(scope="module")
def choice(bare: gs.LowSideCell) -> gs.GateResistanceChoice:
    """Of both resistances of the example."""
    return gs.choose_gate_resistance(bare, current="6 A", limits=LIMITS, series="E6")


def test_each_edge_gets_the_value_of_least_energy_that_holds_its_limits(
    choice: gs.GateResistanceChoice,
) -> None:
    assert choice.succeeded
    on, off = choice.curves
    assert (on.field, off.field) == ("gate_resistance", "turn_off_gate_resistance")
    for curve in choice.curves:
        assert curve.chosen is not None
        assert curve.feasible[curve.chosen]
        assert curve.energy[curve.chosen] == curve.energy[curve.feasible].min()
        assert not curve.feasible[curve.chosen - 1]


def test_the_chosen_values_are_those_of_a_double_pulse_of_the_chosen_cell(
    choice: gs.GateResistanceChoice,
) -> None:
    on, off = choice.curves
    assert choice.cell.gate_resistance == on.resistance
    assert choice.cell.turn_off_gate_resistance == off.resistance
    edges = gs.double_pulse(choice.cell, current="6 A")
    assert off.chosen is not None
    assert edges.turn_off.overshoot == pytest.approx(off.stress[off.chosen], rel=1e-9)
    assert edges.turn_off.overshoot <= 16.0
    assert max(edges.turn_on.maximum_voltage_slope, edges.turn_off.maximum_voltage_slope) <= 6e9
    # The turn-on, chosen before, hardly notices the turn-off branch.
    assert on.chosen is not None
    assert edges.turn_on.energy == pytest.approx(on.energy[on.chosen], rel=1e-2)


def test_the_reason_names_the_limit_that_the_next_value_would_exceed(choice: gs.GateResistanceChoice) -> None:
    on, off = choice.curves
    assert on.reason.startswith("15 ohm, of least energy of those that hold all limits; 10 ohm has a voltage")
    assert on.reason.endswith("against 6 V/ns.")
    assert "overshoot of" in off.reason
    assert off.reason.endswith("against 16 V.")


def test_the_whole_curve_becomes_a_dataset(choice: gs.GateResistanceChoice) -> None:
    off = choice.curves[1]
    table = off.to_dataset()
    assert table["turn_off_energy"].attrs["units"] == "J"
    assert "IEC 60747-8" in table["turn_off_energy"].attrs["description"]
    assert np.array_equal(table["turn_off_energy"], off.energy)
    at = table.sel(turn_off_gate_resistance=off.resistance)
    assert float(at["turn_off_ring_quality"]) > 0.0


def test_slower_is_gentler_and_costs_energy(choice: gs.GateResistanceChoice) -> None:
    for curve in choice.curves:
        assert np.all(np.diff(curve.energy) > 0.0)
        assert curve.stress[-1] < curve.stress[0]


def test_one_resistance_serves_both_edges_where_there_is_no_steering_diode(bare: gs.LowSideCell) -> None:
    single = bare.replace(turn_off_gate_resistance=None)
    (curve,) = gs.choose_gate_resistance(single, current=6.0, limits=LIMITS, series="E3").curves
    assert curve.edge == "both"
    names = {limit.name for limit in curve.limits}
    assert {"voltage slope at turn-on", "voltage slope at turn-off", "overshoot"} <= names
    pulse = gs.double_pulse(single.replace(gate_resistance=curve.resistance), current=6.0)
    assert curve.chosen is not None
    assert curve.energy[curve.chosen] == pytest.approx(pulse.turn_on.energy + pulse.turn_off.energy)


def test_without_a_limit_in_the_way_the_fastest_is_taken_and_the_knee_named(bare: gs.LowSideCell) -> None:
    on, _ = gs.choose_gate_resistance(bare, current=6.0, series="E3", lowest=2.2).curves
    assert on.chosen == 0
    assert "no limit stands against it. The knee of the trade-off curve is at" in on.reason


def test_the_knee_is_taken_when_it_is_asked_for(bare: gs.LowSideCell) -> None:
    on, _ = gs.choose_gate_resistance(bare, current=6.0, series="E3", aim="knee").curves
    assert on.chosen == on.knee is not None
    assert "is the knee of the trade-off curve" in on.reason
    slow = gs.EdgeLimits(maximum_voltage_slope=0.9 * on.stress[on.knee])
    kept, _ = gs.choose_gate_resistance(bare, current=6.0, limits=slow, series="E3", aim="knee").curves
    assert kept.chosen is not None
    assert kept.resistance == kept.resistances[kept.feasible].min() > on.resistance
    assert "closest to the knee of those that hold all limits; " in kept.reason


def test_limits_that_no_value_holds_leave_the_cell_as_it_is(bare: gs.LowSideCell) -> None:
    strict = gs.EdgeLimits(maximum_overshoot="0.1 V", maximum_voltage_slope="0.1 V/ns")
    found = gs.choose_gate_resistance(bare, current=6.0, limits=strict, series="E3", highest=22.0)
    assert not found.succeeded
    assert found.cell == bare
    assert (
        "no value from 1 ohm to 22 ohm holds all limits; closest is 22 ohm, with a" in found.curves[0].reason
    )
    assert np.isnan(found.curves[0].resistance)


def test_further_limits_are_the_caller_s_own(bare: gs.LowSideCell) -> None:
    current = gs.EdgeLimit("peak driver current", "turn_on", peak_driver_current, 0.5, "A")
    on, off = gs.choose_gate_resistance(
        bare, current=6.0, series="E6", further_limits=[current], lowest=10.0, highest=47.0
    ).curves
    assert "peak driver current" in on.reason
    assert current not in off.limits
    assert on.chosen is not None
    column = on.figures[on.limits.index(current)]
    assert column[on.chosen] <= 0.5 < column[on.chosen - 1]


def test_the_gate_voltage_counts_whichever_sign_it_has(bare: gs.LowSideCell) -> None:
    limits = {limit.name: limit for limit in gs.EdgeLimits().of(bare)}
    edges = gs.double_pulse(bare.replace({"driver.off_voltage": "-5 V"}), current=6.0)
    assert limits["gate voltage at turn-on"].figure(edges) == pytest.approx(12.0, rel=0.05)
    assert limits["gate voltage at turn-off"].figure(edges) == pytest.approx(5.0, rel=0.1)
    assert limits["gate voltage at turn-off"].limit == bare.mosfet.maximum_gate_voltage


def peak_driver_current(pulse: gs.DoublePulse) -> float:
    return pulse.turn_on.peak_driver_current


def test_the_rated_drain_voltage_is_the_limit_where_the_part_states_it(bare: gs.LowSideCell) -> None:
    def limit(cell: gs.LowSideCell, **stated: str) -> float:
        return next(one.limit for one in gs.EdgeLimits(**stated).of(cell) if one.name == "drain voltage")

    rated = bare.replace(mosfet__rated_drain_voltage="40 V")
    assert limit(bare) == bare.mosfet.breakdown_voltage
    assert limit(rated) == 40.0
    assert limit(rated, maximum_drain_voltage="45 V") == 45.0


def test_the_number_of_threads_does_not_change_the_numbers(bare: gs.LowSideCell) -> None:
    one, many = (
        gs.choose_gate_resistance(bare, current=6.0, series="E3", highest=22.0, threads=threads)
        for threads in (1, 5)
    )
    for first, second in zip(one.curves, many.curves, strict=True):
        assert np.array_equal(first.energy, second.energy)
        assert np.array_equal(first.figures, second.figures)


def test_a_warning_is_issued_once(bare: gs.LowSideCell) -> None:
    with pytest.warns(gs.InputWarning) as caught:
        gs.choose_gate_resistance(bare.replace(loop_inductance="3 uH"), current=6.0, series="E3", lowest=22.0)
    assert len(caught) == 1


def test_the_knee_of_a_hyperbola_is_where_its_scaled_slope_is_that_of_the_chord() -> None:
    energy = np.linspace(1.0, 9.0, 801)
    found = knee_of(energy, 1.0 / energy)
    assert found is not None
    assert energy[found] == pytest.approx(3.0, abs=0.011)
    assert knee_of(energy, -energy) is None
    assert knee_of(energy, energy**2) is None
    assert knee_of(energy[:2], energy[:2][::-1]) is None


def test_a_value_without_an_energy_is_no_choice() -> None:
    energy, feasible = np.array([1.0, 2.0, 3.0]), np.array([False, True, True])
    assert _choice(energy, feasible, 0, "knee") == 1
    assert _choice(energy, feasible, None, "knee") == 1
    assert _choice(energy, ~feasible & False, 0, "energy") is None


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"lowest": -1.0}, "lowest = -1.0"),
        ({"lowest": 1.1, "highest": 1.15}, "no value of E6"),
        ({"lowest": 10.0, "highest": 1.0}, "no range"),
        ({"threads": 0}, "threads = 0"),
        ({"series": "E5"}, "E5"),
        ({"aim": "kne"}, "aim = .kne.: no such aim. Allowed: energy, knee"),
    ],
)
def test_what_cannot_be_tried_is_refused(bare: gs.LowSideCell, change: dict[str, Any], words: str) -> None:
    with pytest.raises(gs.InputError, match=words):
        gs.choose_gate_resistance(bare, **dict[str, Any](current=6.0, series="E6") | change)


@pytest.mark.parametrize("limit", [0.0, -1.0, float("nan"), float("inf")])
def test_a_limit_that_limits_nothing_is_refused(limit: float) -> None:
    with pytest.raises(gs.InputError, match="limit of the peak driver current"):
        gs.EdgeLimit("peak driver current", "turn_on", peak_driver_current, limit, "A")


def test_a_slope_is_given_as_the_trade_writes_it() -> None:
    limits = gs.EdgeLimits(maximum_voltage_slope="20 V/ns", maximum_current_slope="300 A/us")
    assert limits.maximum_voltage_slope == 20e9
    assert limits.maximum_current_slope == 3e8
    with pytest.raises(gs.InputError, match="a slope of voltage in V/ns"):
        gs.EdgeLimits(maximum_voltage_slope="20 A/us")


def test_a_choice_prints_alike_everywhere_and_survives_pickling(choice: gs.GateResistanceChoice) -> None:
    text = repr(choice)
    document = ET.fromstring(f"<body>{choice._repr_html_()}</body>")
    assert "chosen" in text
    for cell in document.iter("td"):
        assert cell.text is None or cell.text in text
    assert repr(pickle.loads(pickle.dumps(choice))) == text


def test_a_choice_is_drawn_with_its_points_and_limits(choice: gs.GateResistanceChoice) -> None:
    with mpl.rc_context({"backend": "Agg"}):
        figure = choice.plot()
        top, bottom = figure.axes[0], figure.axes[2]
        drawn = np.concatenate([line.get_xdata() for line in top.lines])
        assert set(1e6 * choice.curves[0].energy) <= set(drawn)
        labels = [str(line.get_label()) for line in bottom.lines]
        assert "voltage slope at turn-on, 6 V/ns" in labels
        figure.draw_without_rendering()
        boxes = [text.get_window_extent() for text in figure.axes[1].texts]
        assert len(boxes) > 2
        assert not any(one.overlaps(other) for one, other in combinations(boxes, 2))
        plt.close(figure)


def test_limits_of_a_design_are_not_those_of_edges(quick_cell: gs.LowSideCell) -> None:
    limits: Any = gs.Limits(maximum_overshoot="10 V")
    with pytest.raises(gs.InputError, match="limits: not an EdgeLimits but of the class Limits"):
        gs.choose_gate_resistance(quick_cell, limits=limits)


def made_up(curve: gs.ResistanceCurve, energy: list[float], shares: list[float]) -> gs.ResistanceCurve:
    """Of one limit, with energies [uJ] and shares of the limit that are put in by hand."""
    limits = (gs.EdgeLimit("overshoot", "turn_off", lambda _: 0.0, 1.0, "V"),)
    amount = len(energy)
    feasible = (np.array(shares) <= 1.0) & np.isfinite(energy)
    draft = dataclasses.replace(
        curve, resistances=np.arange(10.0, 10.0 * amount + 1.0, 10.0), turn_on=curve.turn_on[:amount],
        turn_off=curve.turn_off[:amount], energy=1e-6 * np.array(energy), stress=np.array(shares),
        limits=limits, figures=np.array([shares]), knee=None,
        chosen=_choice(np.array(energy), feasible, None, "energy"),
    )  # fmt: skip
    return dataclasses.replace(draft, reason=reason_of(draft, "energy"))


def test_a_best_value_at_the_end_of_the_range_says_how_to_widen_it(
    choice: gs.GateResistanceChoice,
) -> None:
    curve = choice.curves[0]
    assert curve.notes == ()
    free = made_up(curve, [1.0, 2.0, 3.0], [0.9, 0.8, 0.7])
    assert "10 ohm is the lowest value tried: a lower one may lose less; lowest widens" in repr(free)
    late = made_up(curve, [1.0, 2.0, 3.0], [1.9, 1.8, 0.7])
    (said,) = late.notes
    assert said.startswith("30 ohm is the highest value tried: a higher one holds them by more; highest")
    (said,) = made_up(curve, [1.0, 2.0, 3.0], [1.9, 1.8, 1.7]).notes
    assert said.startswith("30 ohm is the highest value tried: a higher one may hold the limits; highest")
    (said,) = made_up(curve, [1.0, 2.0, 3.0], [1.2, 1.8, 1.7]).notes
    assert said.startswith("10 ohm is the lowest value tried: a lower one may hold the limits")
    assert made_up(curve, [1.0, 2.0, 3.0], [1.9, 0.8, 0.7]).notes == ()


def test_a_curve_that_goes_both_ways_is_told(choice: gs.GateResistanceChoice) -> None:
    curve = choice.curves[0]
    gap = made_up(curve, [1.0, 2.0, 3.0, 4.0, 5.0], [1.1, 0.9, 1.1, 0.9, 0.8])
    assert gap.notes == ("Values below and above hold all limits, but not these between them: 30 ohm.",)
    falls = made_up(curve, [1.0, 3.0, 2.0, 4.0], [1.2, 0.9, 0.8, 0.7])
    assert falls.resistance == 30.0
    unsteady, also = falls.notes
    assert unsteady.startswith("The energy does not rise steadily with the resistance: 20 ohm takes 3 uJ, 30")
    assert also == "20 ohm holds all limits too."


def test_a_value_without_an_energy_says_why(choice: gs.GateResistanceChoice) -> None:
    curve = choice.curves[0]
    some = made_up(curve, [1.0, 2.0, math.nan], [1.2, 0.9, 0.8])
    assert [row[1] for row in some.rows()] == ["1 uJ", "2 uJ", "none"]
    assert [row[4] for row in some.rows()] == ["exceeded", "held", "not switched"]
    assert "the MOSFET does not switch fully there" in some.notes[-1]
    none = made_up(curve, [math.nan] * 3, [0.9, 0.8, 0.7])
    assert none.reason.startswith("no value from 10 ohm to 30 ohm switches the MOSFET fully")
    assert none.notes == ()
    assert " - " not in repr(none)
