"""Which limit comes first, why it does, and whether anybody stated it."""

import math
from importlib import resources
from types import SimpleNamespace
from typing import Any

import pytest

import gateswing as gs
from gateswing.limits.bridge_checks import bridge_judged
from gateswing.limits.limit_check import LimitCheck, verdict_of
from gateswing.limits.order import most_pressing_first, why_first
from gateswing.limits.verdict import quick_check


def rows(**margins: float) -> list[LimitCheck]:
    return [
        LimitCheck(name, 1.0, 1.0, "W", margin, verdict_of(margin, 0.1), "")
        for name, margin in margins.items()
    ]


def point(**shares: float) -> Any:
    """Of 1 W, by cause."""
    return SimpleNamespace(
        losses_by_cause={name.replace("_", "-"): share for name, share in shares.items()}, total_loss=1.0
    )


def order(checks: list[LimitCheck], found: Any) -> list[str]:
    return [one.name for one in most_pressing_first(checks, found)]


def test_what_is_exceeded_comes_first_and_then_the_smallest_margin() -> None:
    checks = rows(maximum_overshoot=0.3, maximum_driver_loss=-0.1, maximum_gate_voltage=0.01)
    assert order(checks, point()) == ["maximum_driver_loss", "maximum_gate_voltage", "maximum_overshoot"]
    # That its margin is put back behind a plainer limit makes no exceeded limit a marginal one.
    close = rows(maximum_overshoot=0.005, safe_operating_area=-0.01)
    assert order(close, point()) == ["safe_operating_area", "maximum_overshoot"]
    same = rows(safe_operating_area=-0.51, maximum_junction_temperature=-0.5)
    assert order(same, point())[0] == "maximum_junction_temperature"


@pytest.mark.parametrize(
    ("margins", "shares", "first", "following"),
    [
        (
            {"maximum_high_avalanche_energy": -1e9, "shoot_through_loss": -5.0, "dead_time_needed": -0.2},
            {"shoot_through": 0.3},
            "dead_time_needed",
            "shoot through loss and high avalanche energy",
        ),
        (
            {
                "maximum_low_junction_temperature": -math.inf,
                "dead_time_needed": -0.2,
                "shoot_through_loss": -9,
            },
            {"shoot_through": 0.1},
            "dead_time_needed",
            "shoot through loss and low junction temperature",
        ),
        (  # A hundredth of the losses does not make the heat.
            {"maximum_low_junction_temperature": -2.0, "dead_time_needed": -0.2, "shoot_through_loss": -0.1},
            {"shoot_through": 0.01},
            "maximum_low_junction_temperature",
            "",
        ),
        (
            {"maximum_junction_temperature": -2.0, "maximum_avalanche_energy": -0.5},
            {"avalanche": 0.5},
            "maximum_avalanche_energy",
            "junction temperature",
        ),
        (  # What heats one side leaves the other alone.
            {"maximum_low_junction_temperature": -2.0, "maximum_high_avalanche_energy": -0.5},
            {"avalanche": 0.5},
            "maximum_low_junction_temperature",
            "",
        ),
        (
            {"maximum_total_loss": -2.0, "switches_fully": -math.inf, "minimum_high_supply_voltage": -0.1},
            {},
            "minimum_high_supply_voltage",
            "switches fully and total loss",
        ),
    ],
)
def test_a_cause_leads_what_follows_from_it(
    margins: dict[str, float], shares: dict[str, float], first: str, following: str
) -> None:
    found = point(**shares)
    checks = most_pressing_first(rows(**margins), found)
    assert checks[0].name == first
    assert len(checks) == len(margins)
    why = why_first(checks, found)
    assert why.startswith(f"Of {len(margins)} limits exceeded it comes first, ")
    assert (f"since {following} may follow from it." if following else "by the largest share.") in why


def test_a_limit_that_is_exceeded_alone_needs_no_explanation() -> None:
    assert why_first(most_pressing_first(rows(maximum_overshoot=-0.1, a=0.5), point()), point()) == ""


def test_a_limit_put_before_the_safe_operating_area_is_not_said_to_be_exceeded_most() -> None:
    checks = most_pressing_first(rows(safe_operating_area=-0.51, maximum_junction_temperature=-0.5), point())
    assert why_first(checks, point()) == (
        "Of 2 limits exceeded it comes first: the safe operating area is exceeded by hardly more, and "
        "this one says it more plainly."
    )


@pytest.fixture(scope="module")
def overlapping() -> gs.BridgeVerdict:
    """Both switches of the demonstration's converter on at once, so that a junction runs away."""
    with resources.as_file(resources.files("gateswing") / "examples" / "sync_buck.toml") as path:
        bridge = gs.BridgeDesign.read(path)
    return quick_check(bridge.replace({"operation.dead_time": "-20 ns"}))


def test_overlapping_commands_lead_the_runaway_that_follows(overlapping: gs.BridgeVerdict) -> None:
    assert overlapping.point.status == "thermal_runaway"
    assert [one.name for one in overlapping.checks] == [
        "dead_time_needed", "shoot_through_loss", "maximum_high_junction_temperature",
    ]  # fmt: skip
    assert overlapping.sentence() == (
        "Exceeded: the commands overlap by 20 ns, so both MOSFETs are on at once."
    )
    why = overlapping.why_first()
    assert why.endswith("shoot through loss and high junction temperature may follow from it.")
    assert why in repr(overlapping)
    assert why in overlapping._repr_html_()
    assert overlapping.to_mapping()["why_first"] == why


def test_limits_that_nobody_stated_are_marked(design: gs.Design) -> None:
    cooled = {"ambient": "40 degC", "mosfet": {"junction_to_case": "1 K/W", "case_to_ambient": "20 K/W"}}
    verdict = quick_check(
        design.replace({"cell.cooling": cooled, "limits": gs.Limits(maximum_overshoot="20 V")})
    )
    allowed = {one.name: one.row()[2] for one in verdict.checks}
    assert allowed["maximum_overshoot"] == "at most 20 V"
    assert allowed["maximum_junction_temperature"] == "at most 150 degC (default)"
    assert allowed["maximum_duty_error"] == "at most 10 % (default)"
    assert allowed["bus_ripple"] == "at most 4.8 V (default)"
    assert allowed["maximum_avalanche_energy"] == "none (default)"
    assert allowed["maximum_drain_voltage"] == "at most 85 V (rating)"
    assert allowed["time_to_turn_on"] == "at most 12 us"
    page = gs.report(verdict).html
    assert "at most 150 degC (default)" in page
    assert "at most 150 degC (default)" in repr(verdict)
    told = {one["name"]: one["origin"] for one in verdict.to_mapping()["checks"]}
    assert (told["maximum_overshoot"], told["maximum_duty_error"]) == ("stated", "default")
    stated = quick_check(design.replace({"limits": gs.Limits(maximum_duty_error="10 %")}))
    assert {one.name: one.row()[2] for one in stated.checks}["maximum_duty_error"] == "at most 10 %"


def test_a_sentence_says_that_its_limit_is_a_default_or_a_rating(design: gs.Design) -> None:
    slow = quick_check(design.replace({"cell.cooling": None, "limits": gs.Limits()}))
    assert slow.sentence().startswith(
        "All limits held: closest is drain voltage, 62.34 V against the rating of 85 V (margin "
    )


@pytest.mark.parametrize(
    ("limits", "limit"),
    [(gs.BridgeLimits(), "at most 150 degC (default)"), (None, "at most 140 degC")],
)
def test_a_bridge_marks_its_defaults_too(
    overlapping: gs.BridgeVerdict, limits: gs.BridgeLimits | None, limit: str
) -> None:
    stated = limits or gs.BridgeLimits(maximum_junction_temperature="140 degC")
    checks = bridge_judged(overlapping.design.replace({"limits": stated}), overlapping.point)
    assert checks[-1].row()[2] == limit
