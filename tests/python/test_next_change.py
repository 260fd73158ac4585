"""The next change is simulated, not guessed: what it promises is what the changed design does."""

import dataclasses
import math

import pytest

import gateswing as gs
from gateswing.limits.change import Change
from gateswing.limits.checks import LimitCheck, limit_checks
from gateswing.limits.helpful_changes import helpful_moves
from gateswing.limits.limit_check import verdict_of
from gateswing.limits.next_change import Trials, _repaired, moves_of, next_change

# The designs are chosen to be bad; that they are warned about is tested elsewhere.
pytestmark = pytest.mark.filterwarnings("ignore::gateswing.InputWarning")

PIN = {
    "kind": "microcontroller_pin",
    "supply_voltage": "3.3 V",
    "source_resistance": "30 ohm",
    "sink_resistance": "25 ohm",
    "rise_time": "10 ns",
    "fall_time": "10 ns",
}


def changed(design: gs.Design) -> tuple[gs.Verdict, Change]:
    verdict = gs.check(design)
    assert verdict.next_change is not None
    return verdict, verdict.next_change


def test_a_design_that_holds_its_limits_needs_no_change(design: gs.Design) -> None:
    assert gs.check(design).next_change is None


def test_the_effect_is_that_of_the_changed_design(design: gs.Design) -> None:
    verdict, change = changed(design.replace({"limits.maximum_overshoot": "13 V"}))
    assert isinstance(change.design, gs.Design)
    again = gs.operating_point(
        change.design.cell, frequency=change.design.operation.frequency, duty=change.design.operation.duty
    )
    assert change.after.figure == again.overshoot < change.before.figure == verdict.point.overshoot
    assert change.total_loss_after == again.total_loss
    assert change.outcome in {"held", "marginal"}
    assert change.text in change.sentence()


def test_a_resistor_is_preferred_to_a_lower_frequency(design: gs.Design) -> None:
    pin = PIN | {"supply_voltage": "5 V"}
    slow = {
        "cell.driver": pin,
        "cell.gate_resistance": "1 kohm",
        "cell.turn_off_gate_resistance": None,
        "operation.frequency": "20 kHz",
    }
    verdict, change = changed(design.replace(slow))
    assert verdict.limiting is not None
    assert verdict.limiting.name == "maximum_channel_loss"
    assert change.text.startswith("gate resistance 1 kohm to ")
    assert change.outcome == "held"


def test_a_pin_below_the_plateau_is_told_so_and_given_a_driver_or_another_part(design: gs.Design) -> None:
    low = design.replace({"cell.driver": PIN, "cell.gate_resistance": "100 ohm"})
    verdict, change = changed(low)
    assert verdict.limiting is not None
    reason = verdict.limiting.reason
    assert "its gate needs 3.58 V to carry the load's 6.7 A, and the driver gives it only 3.29 V" in reason
    # A pin's supply is what it is, and so is its strength.
    offered = {move.path for move in helpful_moves(low, "switches_fully")}
    assert not offered & {"cell.driver.supply_voltage", ""}
    assert {"cell.driver", "cell.mosfet"} <= offered
    assert change.text.startswith(("a gate driver for ", "a logic-level MOSFET "))
    assert change.after.verdict == "held"


def test_an_avalanche_at_every_turn_off_is_named_or_judged(design: gs.Design) -> None:
    wired = design.replace(
        {
            "cell.bus": "48 V",
            "cell.snubber": None,
            "cell.loop_inductance": "1 uH",
            "cell.loop_resistance": "0.3 ohm",  # ends the ring early
            "cell.load": {"constant_current": "18 A"},
            "limits": gs.Limits(),
        }
    )
    verdict, change = changed(wired)
    first = verdict.limiting
    assert first is not None
    assert first.name == "maximum_avalanche_energy"
    assert (
        "the MOSFET breaks down at every turn-off, because the 1.01 uH of the wiring hold"
        in verdict.sentence()
    )
    # L I^2/2 V_BR/(V_BR - V_bus), the formula of JESD24-5 with the wiring as the load. The drain-source
    # capacitance takes a part of it first.
    breakdown = design.cell.mosfet.breakdown_voltage
    assert first.figure == pytest.approx(0.5 * 1e-6 * 18.0**2 * breakdown / (breakdown - 48.0), rel=0.2)
    assert change.after.figure < first.figure
    allowed = wired.replace({"limits.maximum_avalanche_energy": "1 mJ"})
    check = next(one for one in limit_checks(allowed, verdict.point) if one.name == first.name)
    assert check.verdict == "held"
    assert check.margin == pytest.approx(1.0 - first.figure / 1e-3)


def test_a_missing_freewheel_diode_is_the_first_thing_to_add(design: gs.Design) -> None:
    verdict, change = changed(
        design.replace({"cell.freewheel": None, "cell.load.inductance": "10 uH", "limits": gs.Limits()})
    )
    assert verdict.limiting is not None
    assert "because the load has no freewheel diode or clamp" in verdict.limiting.reason
    assert change.text == "a freewheel diode (schottky-100V) across the load"
    assert change.after.verdict == "held"


def test_a_row_that_stays_marginal_does_not_drive_the_change_on(design: gs.Design) -> None:
    """The loss is made up as proportional to the frequency, so that only the search is tested.

    6 W against 4 W: one step down in frequency does it; the driver's current stays as close as it was.
    """
    close = design.replace({"cell.driver.rated_current": "1.45 A", "limits.maximum_total_loss": "4 W"})
    point = gs.operating_point(close.cell, frequency="50 kHz", duty=0.6)

    def simulate(changed: gs.Design, _: float) -> gs.OperatingPoint:
        return dataclasses.replace(point, total_loss=6.0 * changed.operation.frequency / 50e3)

    checks = limit_checks(close, simulate(close, 0.0))
    assert [one.name for one in checks if one.verdict == "marginal"] == ["driver_current"]
    trials = Trials(simulate, limit_checks, limit_checks, moves_of)
    change = next_change(close, simulate(close, 0.0), checks, trials, 0.0)
    assert change is not None
    assert change.sentence() == (
        "frequency 50 kHz to 25 kHz: total loss 6 W to 3 W; no limit exceeded, closest driver current."
    )


def test_what_takes_more_effort_than_a_change_that_repairs_all_is_not_tried(design: gs.Design) -> None:
    """The loss is made up: the gate resistor makes all of it."""
    lossy = design.replace({"limits": gs.Limits(maximum_total_loss="4 W")})
    point = gs.operating_point(lossy.cell, frequency="50 kHz", duty=0.6)
    tried: list[gs.Design] = []

    def simulate(changed: gs.Design, _: float) -> gs.OperatingPoint:
        tried.append(changed)
        return dataclasses.replace(point, total_loss=6.0 * changed.cell.gate_resistance / 10.0)

    checks = limit_checks(lossy, simulate(lossy, 0.0))
    trials = Trials(simulate, limit_checks, limit_checks, moves_of)
    change = next_change(lossy, simulate(lossy, 0.0), checks, trials, 0.0)
    assert change is not None
    assert change.text == "gate resistance 10 ohm to 4.7 ohm"
    assert {one.operation.frequency for one in tried} == {50e3}
    assert all(one.cell.mosfet == lossy.cell.mosfet for one in tried)
    assert {one.cell.driver.supply_voltage for one in tried} == {12.0}


def test_a_change_does_not_claim_limits_that_nobody_judged(design: gs.Design) -> None:
    """Without a cooling nothing is known of the junction; again the loss is made up."""
    hot = design.replace({"cell.cooling": None, "limits": gs.Limits(maximum_total_loss="4 W")})
    point = gs.operating_point(hot.cell, frequency="50 kHz", duty=0.6)

    def simulate(changed: gs.Design, _: float) -> gs.OperatingPoint:
        return dataclasses.replace(point, total_loss=6.0 * (changed.operation.frequency / 50e3) ** 2)

    trials = Trials(simulate, limit_checks, limit_checks, moves_of)
    change = next_change(hot, simulate(hot, 0.0), limit_checks(hot, simulate(hot, 0.0)), trials, 0.0)
    assert change is not None
    assert change.sentence().endswith("all judged limits held, the junction temperature not judged.")
    assert dataclasses.replace(change, total_loss_after=0.5).sentence().endswith("; all limits held.")


def test_a_change_prints_what_changes_and_not_the_whole_design(design: gs.Design) -> None:
    def row(name: str, figure: float, limit: float) -> LimitCheck:
        margin = 1.0 - figure / limit
        return LimitCheck(name, figure, limit, "V", margin, verdict_of(margin, 0.1), "", origin="stated")

    before = (row("maximum_overshoot", 13.6, 13.0), row("maximum_drain_voltage", 62.0, 80.0))
    then = (row("maximum_gate_voltage", 15.5, 16.0), row("maximum_overshoot", 11.1, 13.0))
    change = Change("gate resistance 10 ohm to 22 ohm", design, before, then, 2.43, 2.56)
    assert repr(change).splitlines() == [
        "Next change: gate resistance 10 ohm to 22 ohm",
        "",
        "figure               now    then  allowed       verdict",
        "------------  ----------  ------  ------------  ----------------",
        "overshoot         13.6 V  11.1 V  at most 13 V  exceeded to held",
        "gate voltage  not judged  15.5 V  at most 16 V  marginal",
        "total loss        2.43 W  2.56 W",
        "",
        "No limit exceeded, closest gate voltage.",
    ]
    assert str(change) == repr(change)
    assert "PushPull" not in change._repr_html_()
    assert "exceeded to held" in change._repr_html_()


def test_a_limit_that_is_gone_is_not_called_held(design: gs.Design) -> None:
    gone = LimitCheck("driver_current", 0.03, 0.025, "A", -0.2, "exceeded", "", origin="rating")
    held = LimitCheck("maximum_overshoot", 8.0, 13.0, "V", 0.38, "held", "")
    change = Change("a driver", design, (gone, held), (held,), 0.5, 0.5)
    assert change.rows()[0] == (
        "driver current", "30 mA", "not judged", "at most 25 mA (rating)", "exceeded",
    )  # fmt: skip
    assert change.sentence().startswith("a driver: then the driver current needs no judging any more, total")


def test_what_ran_away_is_told_to_have_settled(design: gs.Design) -> None:
    def row(name: str, figure: float, unit: str, verdict: str) -> LimitCheck:
        return LimitCheck(name, figure, 423.15, unit, -1.0 if verdict == "exceeded" else 1.0, verdict, "")

    hot, gap = "maximum_high_junction_temperature", "dead_time_needed"
    before = row(gap, math.nan, "s", "exceeded"), row(hot, math.inf, "K", "exceeded")
    then = row(gap, 10e-9, "s", "held"), row(hot, 363.15, "K", "held")
    cooled = {"ambient": "40 degC", "mosfet": {"junction_to_case": "1 K/W"}}
    change = Change("a", design.replace({"cell.cooling": cooled}), before, then, 12.0, 3.0)
    assert change.sentence() == (
        "a: then the dead time needed is 10 ns, high junction temperature settled at 90 degC, "
        "total loss 12 W to 3 W; all limits held."
    )


@pytest.mark.parametrize(
    ("before", "after", "repaired"),
    [
        ({"a": -0.5}, {"a": 0.2}, 3),
        ({"a": -0.5}, {"a": 0.05}, 2),
        ({"a": -0.5, "b": 0.05}, {"a": 0.2, "b": 0.01}, 3),
        ({"a": -0.5, "b": -0.1}, {"a": 0.2, "b": -0.1}, 1),
        ({"a": -0.5, "b": 0.05}, {"a": 0.2, "b": -0.01}, 0),
        ({"a": -0.5}, {"a": 0.2, "b": -0.6}, None),
        ({"a": -0.5}, {"a": -0.4}, 0),
        ({"a": -0.5}, {"a": -0.49}, None),
        ({"a": -math.inf}, {"a": -3.0}, 0),
        ({"a": 0.01}, {"a": 0.03}, None),
        ({"a": 0.01, "b": 0.05}, {"a": 0.2, "b": 0.04}, 3),
        ({"a": 0.01, "b": 0.2}, {"a": 0.2, "b": 0.05}, None),
    ],
)
def test_how_much_a_change_repairs(
    design: gs.Design, before: dict[str, float], after: dict[str, float], repaired: int | None
) -> None:
    """Margins of the limits a and b before and after; what is told of them is worked out by hand."""

    def rows(margins: dict[str, float]) -> tuple[LimitCheck, ...]:
        return tuple(
            LimitCheck(name, 1.0, 1.0, "W", margin, verdict_of(margin, 0.1), "")
            for name, margin in sorted(margins.items(), key=lambda one: one[1])
        )

    first, then = rows(before), rows(after)
    assert _repaired(first, Change("", design, first, then, 1.0, 1.0)) == repaired


@pytest.mark.filterwarnings("ignore::gateswing.InputWarning")
@pytest.mark.parametrize("resistance", ["120 ohm", "150 ohm"])
def test_a_gate_resistor_that_is_far_too_large_is_what_changes(resistance: str) -> None:
    """Whether the MOSFET runs away in heat (120) or does not switch at all (150)."""
    path = gs.HeatPath(junction_to_case="1.2 K/W", case_to_ambient="30 K/W")
    cell = gs.LowSideCell(
        bus="36 V", mosfet="standard-100V-to220", driver="driver-ic-weak", gate_resistance=resistance,
        pull_down_resistance="22 kohm", load=gs.Load(resistance="7 ohm", inductance="2 mH"),
        freewheel="schottky-100V-to220", loop_inductance="40 nH", loop_resistance="10 mohm",
        gate_inductance="15 nH", cooling=gs.Cooling(ambient="40 degC", mosfet=path),
    )  # fmt: skip
    operation = gs.Operation(frequency="200 kHz", duty="70 %")
    limits = gs.Limits(minimum_efficiency="96 %")
    change = gs.check(gs.Design(cell=cell, operation=operation, limits=limits)).next_change
    assert change is not None
    assert change.text.startswith(f"gate resistance {resistance} to ")
    assert change.outcome == "held", change
