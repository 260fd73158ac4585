"""Sliders show what a function returns, and move the design that it is asked about."""

from __future__ import annotations

import math
import sys

import pytest

import gateswing as gs

pytest.importorskip("ipywidgets")


@pytest.fixture(scope="module")
def explorer(design: gs.Design) -> gs.Explorer:
    return gs.explorer(design.cell, frequency="50 kHz", duty="60 %", limits=design.limits)


def shown(explorer: gs.Explorer) -> tuple[str, str]:
    """Picture and text."""
    picture, text = explorer.widget.children[-2:]
    return picture.value, text.value


def verdict_of(explorer: gs.Explorer) -> gs.Verdict:
    assert explorer.verdict is not None
    return explorer.verdict


def test_a_quick_check_agrees_with_the_whole_one(design: gs.Design) -> None:
    quick, whole = gs.quick_check(design), gs.check(design)
    assert quick.outcome == whole.outcome
    assert [one.name for one in quick.checks] == [one.name for one in whole.checks]
    for name in ("total_loss", "efficiency", "peak_drain_voltage", "overshoot", "driver_loss"):
        assert getattr(quick.point, name) == pytest.approx(getattr(whole.point, name), rel=1e-3)
    assert quick.point.stats.steps < 0.6 * whole.point.stats.steps


def test_a_quick_check_keeps_warnings_to_itself(design: gs.Design) -> None:
    """Elsewhere in the tests a warning is an error."""
    quick = gs.quick_check(design.replace({"cell.driver.turn_on_delay": "3 us"}))
    assert quick.warnings


def test_it_starts_with_the_given_design_and_shows_the_functions_answer(
    explorer: gs.Explorer, design: gs.Design
) -> None:
    given = gs.Design(
        cell=design.cell, operation=gs.Operation(frequency="50 kHz", duty=0.6), limits=design.limits
    )
    assert explorer.design == given
    verdict = gs.quick_check(explorer.design)
    assert verdict_of(explorer).to_mapping() == verdict.to_mapping()
    picture, text = shown(explorer)
    assert verdict.sentence() in text
    assert f'alt="Both edges and the losses by cause. {verdict.sentence()}"' in picture
    assert "data:image/png;base64,iVBOR" in picture


def test_each_slider_moves_its_quantity(explorer: gs.Explorer) -> None:
    before, picture = verdict_of(explorer).point, shown(explorer)[0]
    sliders = explorer.sliders
    sliders["frequency"].value = 1e5
    # The gate takes its charge from the driver's supply once a period.
    twice = verdict_of(explorer).point.losses_by_cause["gate"]
    assert twice == pytest.approx(2.0 * before.losses_by_cause["gate"], rel=0.05)
    sliders["duty"].value = 0.3
    assert explorer.design.operation == gs.Operation(frequency=1e5, duty=0.3)
    # A resistive load behind a choke takes the mean of the voltage.
    ratio = verdict_of(explorer).point.mean_load_current / before.mean_load_current
    assert ratio == pytest.approx(0.5, rel=0.1)
    sliders["gate_resistance"].value = 47.0
    assert explorer.design.cell.gate_resistance == 47.0
    slow = verdict_of(explorer).point.turn_on
    assert slow.delay > 1.5 * before.turn_on.delay
    sliders["driver_strength"].value = 0.125
    assert verdict_of(explorer).point.turn_on.delay > slow.delay
    assert shown(explorer)[0] != picture


def test_strength_is_resistance_and_limit(design: gs.Design) -> None:
    output = design.cell.driver.push_pull()
    strong = output.stronger(2.0)
    assert strong.source_resistance == output.source_resistance / 2.0
    assert strong.sink_current_limit == pytest.approx(2.0 * (output.sink_current_limit or 0.0))
    assert strong.rise_time == output.rise_time


@pytest.mark.parametrize(
    ("name", "change"),
    [
        ("driver-ic-weak", {"quiescent_current": "20 mA"}),
        ("totem-pole-12V", {"high_state_current": "3 mA", "low_state_current": "5 mA"}),
    ],
)
def test_a_stronger_driver_draws_as_much_at_rest(
    cell: gs.LowSideCell, name: str, change: dict[str, str]
) -> None:
    driver = cell.replace(driver=name).driver.replace(change)
    strong = driver.push_pull().stronger(2.0)
    assert strong.on_state_power == driver.on_state_power > 0.0
    assert strong.off_state_power == driver.off_state_power > 0.0


def test_a_design_that_cannot_be_is_refused_in_words_until_the_slider_goes_back(design: gs.Design) -> None:
    strong = design.cell.driver.push_pull().replace(source_current_limit="60 A")
    explorer = gs.explorer(design.cell.replace(driver=strong))
    explorer.sliders["driver_strength"].value = 8.0
    assert explorer.verdict is None
    picture, text = shown(explorer)
    assert picture == ""
    assert "source_current_limit" in text
    explorer.sliders["driver_strength"].value = 1.0
    assert verdict_of(explorer).checks


def test_what_no_slider_moved_stays_as_given(design: gs.Design) -> None:
    """A gate resistance that is no preferred value, a driver described in its own quantities."""
    cell = design.cell.replace(gate_resistance=0.0, driver=gs.part("driver-ic-weak"))
    explorer = gs.explorer(cell, frequency="70 kHz", duty=0.445)
    assert explorer.design.cell == cell
    assert explorer.sliders["gate_resistance"].value == 0.0
    # Pages move a slider to a step.
    for name, at in (("frequency", math.log10(7e4)), ("duty", 0.445)):
        slider = explorer.sliders[name]
        steps = (at - slider.min) / slider.step
        assert steps == pytest.approx(round(steps), abs=1e-6)


def test_what_it_needs_is_said(design: gs.Design, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "ipywidgets", None)
    with pytest.raises(ImportError, match=r"gateswing\[notebook\]"):
        gs.explorer(design.cell)
