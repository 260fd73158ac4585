"""A design is judged by its limits, and the most pressing one comes first."""

import dataclasses
import json
import math
from collections.abc import Callable
from typing import Any

import pytest

import gateswing as gs
from gateswing.figures import format_figure
from gateswing.limits import verdict as verdicts
from gateswing.limits.checks import LimitCheck, limit_checks

Judge = Callable[..., gs.Verdict]


@pytest.fixture
def judge(design: gs.Design, point: gs.OperatingPoint, monkeypatch: pytest.MonkeyPatch) -> Judge:
    """Judge the example with some limits and some figures of its operating point changed."""

    def judged(limits: dict[str, Any], **figures: Any) -> gs.Verdict:
        changed = dataclasses.replace(point, **figures)
        monkeypatch.setattr(verdicts, "quiet_operating_point", lambda *_, **__: changed)
        return gs.check(design.replace(limits=gs.Limits(**limits)))

    return judged


def by_name(verdict: gs.Verdict) -> dict[str, LimitCheck]:
    return {check.name: check for check in verdict.checks}


def test_the_example_holds_its_limits(design: gs.Design) -> None:
    verdict = gs.check(design)
    assert verdict.outcome == "held"
    assert verdict.sentence().startswith("All limits held: closest is ")
    assert verdict.warnings == ()


def test_a_headline_says_that_hot_is_not_judged(design: gs.Design) -> None:
    """The watts are put in by hand, the rest is simulated."""
    verdict = gs.check(design)
    hot = dataclasses.replace(verdict, point=dataclasses.replace(verdict.point, channel_loss=3.94))
    assert hot.sentence().startswith(
        "All judged limits held; not judged: junction temperature, with 3.9 W in the MOSFET. Closest is "
    )
    path = {"junction_to_case": "1 K/W", "case_to_ambient": "20 K/W"}
    cooled = dataclasses.replace(
        hot, design=design.replace({"cell.cooling": {"ambient": "40 degC", "mosfet": path}})
    )
    assert cooled.sentence().startswith("All limits held: ")


@pytest.mark.parametrize(
    ("figure", "margin", "outcome"),
    [(8.0, 0.2, "held"), (9.5, 0.05, "marginal"), (10.0, 0.0, "marginal"), (12.5, -0.25, "exceeded")],
)
def test_the_margin_decides(judge: Judge, figure: float, margin: float, outcome: str) -> None:
    found = by_name(judge({"maximum_overshoot": "10 V"}, overshoot=figure))["maximum_overshoot"]
    assert found.margin == pytest.approx(margin)
    assert found.verdict == outcome


def test_the_margin_that_counts_as_marginal_can_be_chosen(judge: Judge) -> None:
    assert judge({"maximum_overshoot": "10 V", "margin": "3 %"}, overshoot=9.5).outcome == "held"


def test_an_efficiency_is_judged_by_the_loss_it_leaves(judge: Judge) -> None:
    found = by_name(judge({"minimum_efficiency": "96 %"}, efficiency=0.97))["minimum_efficiency"]
    assert found.margin == pytest.approx(0.25)
    assert (
        by_name(judge({"minimum_efficiency": "96 %"}, efficiency=0.95))["minimum_efficiency"].verdict
        == "exceeded"
    )


def test_the_ratings_of_the_mosfet_hold_without_being_stated(judge: Judge, design: gs.Design) -> None:
    found = by_name(judge({}))
    assert set(found) == {
        "switches_fully",
        "maximum_drain_voltage",
        "maximum_gate_voltage",
        "maximum_avalanche_energy",
        "maximum_duty_error",
        "time_to_turn_on",
        "time_to_turn_off",
        "negative_gate_voltage",
        "gate_voltage_when_off",
        "bus_ripple",
    }
    assert found["maximum_drain_voltage"].limit == design.cell.mosfet.breakdown_voltage
    assert found["maximum_gate_voltage"].limit == design.cell.mosfet.maximum_gate_voltage


def test_a_negative_gate_voltage_counts_like_a_positive_one(judge: Judge) -> None:
    found = by_name(judge({"maximum_gate_voltage": "15 V"}, minimum_gate_voltage=-16.0))[
        "negative_gate_voltage"
    ]
    assert found.figure == 16.0
    assert found.verdict == "exceeded"


def test_the_most_pressing_limit_comes_first_and_is_said(judge: Judge) -> None:
    verdict = judge(
        {"maximum_overshoot": "10 V", "maximum_total_loss": "1 W"}, overshoot=12.0, total_loss=3.0
    )
    assert verdict.checks[0].name == "maximum_total_loss"
    assert verdict.limiting is verdict.checks[0]
    assert verdict.sentence() == "Exceeded: total loss, 3 W against 1 W (margin -200%)."
    assert repr(verdict).startswith(verdict.sentence())


@pytest.mark.parametrize(
    ("on_share", "transition_share"),
    [(0.0, 0.3), (0.7, 0.3)],
    ids=["never on", "never off"],
)
def test_a_switch_that_never_opens_or_closes_is_the_first_reason(
    judge: Judge, on_share: float, transition_share: float
) -> None:
    verdict = judge({}, on_share=on_share, transition_share=transition_share)
    assert verdict.checks[0].name == "switches_fully"
    assert verdict.outcome == "exceeded"
    assert f"never turns {'off' if on_share else 'on'} fully" in verdict.sentence()


@pytest.mark.parametrize("status", ["step_limit", "not_periodic"])
def test_a_run_without_an_answer_is_not_judged(judge: Judge, status: str) -> None:
    verdict = judge({"maximum_overshoot": "10 V"}, status=status, message="It went wrong.")
    assert verdict.outcome == "not finished"
    assert verdict.checks == ()
    assert "It went wrong." in repr(verdict)
    mapping = verdict.to_mapping()
    assert mapping["status"] == status
    assert mapping["limiting"] is None


def test_a_driver_below_the_threshold_does_not_switch(design: gs.Design) -> None:
    weak = design.replace({"cell.driver.supply_voltage": "2.9 V"})
    with pytest.warns(gs.InputWarning, match="it never switches on"):
        verdict = gs.check(weak)
    assert verdict.checks[0].name == "switches_fully"
    assert verdict.outcome == "exceeded"


def test_a_figure_that_does_not_exist_exceeds_its_limit(judge: Judge) -> None:
    assert (
        by_name(judge({"maximum_overshoot": "10 V"}, overshoot=math.nan))["maximum_overshoot"].verdict
        == "exceeded"
    )


def test_every_limit_of_the_schema_is_judged(design: gs.Design) -> None:
    names = [name for name in gs.Limits.model_fields if name != "margin"]
    limits = {name: 400.0 if name.endswith("_temperature") else 0.5 for name in names}
    cooled = design.replace({"cell.cooling": cooling("1 K/W"), "limits": gs.Limits(**limits)})
    assert set(by_name(gs.check(cooled))) >= {*names, "switches_fully"}


def cooling(to_ambient: str) -> gs.Cooling:
    way = gs.HeatPath(junction_to_case="1.5 K/W", case_to_ambient=to_ambient)
    return gs.Cooling(ambient="40 degC", mosfet=way, freewheel=way)


def test_a_junction_is_judged_by_the_rise_that_its_limit_allows(design: gs.Design) -> None:
    cooled = design.replace(
        {
            "cell.cooling": cooling("20 K/W"),
            "limits.maximum_junction_temperature": "60 degC",
            "limits.maximum_freewheel_temperature": "90 degC",
        }
    )
    verdict = gs.check(cooled)
    found = by_name(verdict)
    junction = found["maximum_junction_temperature"]
    assert junction.figure == verdict.point.junction_temperature
    assert junction.margin == pytest.approx((333.15 - junction.figure) / 20.0)
    assert found["maximum_freewheel_temperature"].margin == pytest.approx(
        (363.15 - verdict.point.freewheel_temperature) / 50.0
    )
    unstated = gs.check(cooled.replace({"limits": gs.Limits()}))
    assert by_name(unstated)["maximum_junction_temperature"].limit == pytest.approx(423.15)


@pytest.mark.filterwarnings("ignore::gateswing.InputWarning")  # that this is hardly a cooling
def test_a_junction_that_runs_away_exceeds_its_limit(design: gs.Design) -> None:
    verdict = gs.check(design.replace({"cell.cooling": cooling("800 K/W")}))
    assert verdict.point.status == "thermal_runaway"
    assert verdict.outcome == "exceeded"
    assert "thermal runaway" in verdict.sentence()
    json.dumps(verdict.to_mapping(), allow_nan=False)


def test_an_on_time_that_the_driver_distorts_is_judged(judge: Judge, design: gs.Design) -> None:
    commanded = design.operation.duty
    found = by_name(judge({}, on_share=commanded - 0.15))["maximum_duty_error"]
    assert found.margin == pytest.approx(-0.5)
    assert by_name(judge({"maximum_duty_error": "20 %"}, on_share=commanded - 0.15))[
        "maximum_duty_error"
    ].margin == pytest.approx(0.25)


def test_a_limit_on_a_temperature_without_cooling_is_refused(design: gs.Design) -> None:
    with pytest.raises(gs.InputError, match="does not say how its mosfet is cooled"):
        design.replace({"limits.maximum_junction_temperature": "100 degC"})


def test_the_mapping_is_plain_json_even_with_figures_missing(judge: Judge) -> None:
    mapping = judge({"maximum_overshoot": "10 V"}, overshoot=math.nan).to_mapping()
    again = json.loads(json.dumps(mapping, allow_nan=False))
    assert again["outcome"] == "exceeded"
    assert again["figures"]["overshoot"] is None
    assert again["limiting"] == again["checks"][0]["name"] == "maximum_overshoot"


@pytest.mark.parametrize(
    "temperature",
    ["junction_temperature", "freewheel_temperature"],
)
def test_a_runaway_is_told_of_the_part_that_runs_away(judge: Judge, temperature: str) -> None:
    verdict = judge({}, status="thermal_runaway", message="thermal runaway", runaway=temperature)
    assert verdict.checks[0].name == f"maximum_{temperature}"
    assert "no steady value" in repr(verdict)
    assert "inf" not in repr(verdict)


@pytest.mark.filterwarnings("ignore::gateswing.InputWarning")  # that this is hardly a cooling
def test_a_runaway_is_given_a_better_heat_sink(design: gs.Design) -> None:
    way = gs.HeatPath(junction_to_case="1.5 K/W", case_to_ambient="300 K/W")
    hot = {"cell.cooling": gs.Cooling(ambient="40 degC", mosfet=way), "cell.gate_resistance": "100 ohm"}
    change = gs.check(design.replace(hot | {"limits": gs.Limits()})).next_change
    assert change is not None
    assert change.text == "case to ambient 300 K/W to 75 K/W"
    assert "then the junction temperature settles at " in change.sentence()
    assert change.after.verdict == "held"


def test_the_largest_loss_is_said(judge: Judge, point: gs.OperatingPoint) -> None:
    cause, power = next(iter(point.losses_by_cause.items()))
    said = judge({}).largest_loss()
    assert said in repr(judge({}))
    # The diode's resistance has more than a tenth of it, so both are named.
    diode, resistance = (
        format_figure(one.power, "W", 3)
        for name in ("freewheel diode", "freewheel resistance")
        for one in point.causes
        if (one.cause, one.element) == (cause, name)
    )
    total = format_figure(point.total_loss, "W", 3)
    assert said == (
        f"The largest loss is {cause}, {format_figure(power, 'W', 3)} of {total}: "
        f"freewheel diode {diode}, freewheel resistance {resistance}."
    )


def test_an_avalanche_of_rounding_is_none(judge: Judge, point: gs.OperatingPoint) -> None:
    assert point.losses_by_cause["avalanche"] > 0.0
    found = by_name(judge({}))["maximum_avalanche_energy"]
    assert found.figure == 0.0
    assert by_name(judge({"maximum_avalanche_energy": "1 uJ"}))["maximum_avalanche_energy"].figure == 0.0


def test_a_corner_of_a_part_does_not_raise_its_rating(design: gs.Design, point: gs.OperatingPoint) -> None:
    highest = gs.part("logic-60V", corner="max")
    assert isinstance(highest, gs.Mosfet)
    assert highest.breakdown_voltage > 60.0
    changed = design.replace({"cell.mosfet": highest, "limits": gs.Limits()})
    found = {one.name: one for one in limit_checks(changed, point)}
    assert found["maximum_drain_voltage"].limit == 60.0
