"""Design files of half bridges, and the verdict on them."""

import json
from collections.abc import Callable
from importlib import resources
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tomli_w
from click.testing import CliRunner

import gateswing as gs
from gateswing.circuit_checks.drive import HOT
from gateswing.cli import _text, main
from gateswing.limits.bridge_changes import bridge_moves
from gateswing.limits.bridge_checks import bridge_limit_checks
from gateswing.limits.gate import returned_gate_voltage

EXAMPLE = Path(str(resources.files("gateswing") / "examples" / "sync_buck.toml"))


@pytest.fixture(scope="module")
def bridge() -> gs.BridgeDesign:
    return gs.BridgeDesign.read(EXAMPLE)


@pytest.fixture(scope="module")
def verdict(bridge: gs.BridgeDesign) -> gs.BridgeVerdict:
    return gs.check(bridge)


@pytest.fixture
def tables(bridge: gs.BridgeDesign) -> dict[str, Any]:
    return bridge.to_mapping()


def named(verdict: gs.BridgeVerdict, name: str) -> gs.LimitCheck:
    return next(one for one in verdict.checks if one.name == name)


def judged(bridge: gs.BridgeDesign, changes: dict[str, Any]) -> gs.BridgeVerdict:
    return gs.quick_check(bridge.replace(changes))


def test_a_bridge_is_told_by_the_name_of_its_table(bridge: gs.BridgeDesign, tmp_path: Path) -> None:
    assert gs.read_design(EXAMPLE) == bridge
    assert bridge.operation.dead_time == pytest.approx(30e-9)
    assert "invented" in bridge.note
    for wanted in (bridge, bridge.replace({"operation.active": "low", "limits.minimum_efficiency": "85 %"})):
        gs.write_design(wanted, tmp_path / "design.toml")
        assert gs.read_design(tmp_path / "design.toml") == wanted


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (lambda t: t["operation"].pop("dead_time"), r"operation\.dead_time: missing"),
        (lambda t: t["operation"].update(dead_time="30 V"), r"operation\.dead_time.*V"),
        (lambda t: t["operation"].update(dead_time="3 us"), r"operation\.dead_time.*half a period"),
        (lambda t: t["operation"].update(active="middle"), r"operation\.active.*'high' or 'low'"),
        (lambda t: t["half_bridge"].pop("load"), r"half_bridge\.load: is left out"),
        (
            lambda t: t["half_bridge"]["high"].update(gate_resistanse=1),
            r"high\.gate_resistanse.*no such",
        ),
        (lambda t: t["half_bridge"]["low"].pop("mosfet"), r"half_bridge\.low\.mosfet: missing"),
        (lambda t: t["limits"].update(maximum_overshoot="5 V"), r"limits\.maximum_overshoot.*no such field"),
        (
            lambda t: t["limits"].update(maximum_diode_temperature="100 degC"),
            r"diode_temperature: cannot",
        ),
        (lambda t: t.update(cell=t["half_bridge"]), r"cell: is a half bridge.*half_bridge"),
        (lambda t: t.update(cell=t.pop("half_bridge")), r"cell: is a half bridge.*half_bridge"),
        (
            lambda t: t.update(cell={"gate_resistance": 1}),
            r"half_bridge: stands beside a cell",
        ),
    ],
)
def test_a_wrong_file_is_refused_by_field(
    tables: dict[str, Any], spoil: Callable[[dict[str, Any]], object], words: str, tmp_path: Path
) -> None:
    spoil(tables)
    (tmp_path / "design.toml").write_text(tomli_w.dumps(tables), encoding="utf-8")
    with pytest.raises(gs.InputError, match=words):
        gs.read_design(tmp_path / "design.toml")


def test_the_example_holds_all_limits(bridge: gs.BridgeDesign, verdict: gs.BridgeVerdict) -> None:
    assert (verdict.outcome, verdict.next_change) == ("held", None)
    assert verdict.sentence().startswith("All limits held: closest is ")
    point = gs.half_bridge_point(bridge.half_bridge, **bridge.operation.model_dump())
    assert verdict.point.values() == pytest.approx(point.values(), nan_ok=True, rel=0.0)
    drain = named(verdict, "maximum_low_drain_voltage")
    assert drain.figure == point.low.peak_drain_voltage
    assert drain.limit == bridge.half_bridge.low.mosfet.rated_drain_voltage
    assert drain.margin == pytest.approx(1.0 - drain.figure / drain.limit)
    heat = named(verdict, "maximum_high_junction_temperature")
    # T = T_a + R_th P, by hand: 50 degC, 37 K/W, and the resistor on the die beside the MOSFET's own heat.
    assert heat.figure == pytest.approx(323.15 + 37.0 * point.high.loss, abs=1.0)
    assert heat.margin == pytest.approx((423.15 - heat.figure) / 100.0)
    assert named(verdict, "minimum_high_supply_voltage").limit == pytest.approx(4.0)  # the driver's lockout


def test_a_gate_is_judged_by_what_it_returns_to(verdict: gs.BridgeVerdict) -> None:
    """By a search of its own: on a dense grid, over the whole time between the commands."""
    point = verdict.point
    period, duty, gap = 1.0 / point.frequency, point.duty, point.dead_time
    for side, off, length in (
        ("high", duty * period, (1.0 - duty) * period),
        ("low", period - gap, duty * period + 2.0 * gap),
    ):
        times = (off + np.linspace(0.0, length, 40_001)) % period
        gate = point.waveform.value(f"v_gs_{side}", point.waveform.begin + times)
        check = named(verdict, f"{side}_gate_voltage_when_off")
        assert check.figure == pytest.approx(returned_gate_voltage(gate, check.limit), abs=2e-3)
        first = int(np.argmax(gate < 0.5 * check.limit))
        # The bump is the highest of the gate after its fall: nothing rests higher here.
        assert check.figure == pytest.approx(gate[first + 200 :].max(), abs=0.15)


def test_too_short_a_dead_time_is_exceeded_by_shoot_through(bridge: gs.BridgeDesign) -> None:
    short = judged(bridge, {"operation.dead_time": "0 ns"})
    gap, through = named(short, "dead_time_needed"), named(short, "shoot_through_loss")
    assert (gap.verdict, through.verdict, short.outcome) == ("exceeded", "exceeded", "exceeded")
    assert "the dead time is too short" in gap.reason
    assert short.point.shoot_through_charge > 10e-9
    assert through.figure == short.point.losses_by_cause["shoot-through"]
    stated = judged(bridge, {"operation.dead_time": "0 ns", "limits.maximum_shoot_through_charge": "1 nC"})
    charge = named(stated, "maximum_shoot_through_charge")
    assert (charge.verdict, charge.figure) == ("exceeded", stated.point.shoot_through_charge)
    overlap = judged(bridge, {"operation.dead_time": "-10 ns"})
    assert named(overlap, "dead_time_needed").margin == -np.inf


def test_a_long_loop_takes_the_drain_beyond_its_rating(bridge: gs.BridgeDesign) -> None:
    # 100 V parts on 80 V with 40 nH: an undamped loop rings to twice the bus.
    changes: dict[str, Any] = {
        "half_bridge.high.cooling": None,
        "half_bridge.low.cooling": None,
        "half_bridge.bus": "80 V",
        "half_bridge.loop_inductance": "40 nH",
        "half_bridge.low.snubber": None,
        "half_bridge.high.mosfet": "logic-100V",
        "half_bridge.low.mosfet": "logic-100V",
        "operation.duty": "10 %",
        "half_bridge.load.inductance": "15 uH",
    }
    long = judged(bridge, changes)
    drain = named(long, "maximum_low_drain_voltage")
    assert (long.outcome, drain.verdict, drain.limit) == ("exceeded", "exceeded", 100.0)
    assert "the breakdown of the MOSFET of the low side itself holds the drain at 99.7 V" in drain.reason
    avalanche = named(long, "maximum_low_avalanche_energy")
    assert avalanche.figure == pytest.approx(
        long.point.losses_of("low")["avalanche"] / long.point.frequency, rel=1e-9
    )
    assert "the MOSFET of the low side breaks down in every period" in avalanche.reason
    # Against a limit of its own the figure decides; a check of the point found costs no simulation.
    stated = bridge.replace(changes | {"limits.maximum_drain_voltage": "90 V"})
    peak = next(
        one for one in bridge_limit_checks(stated, long.point) if one.name == "maximum_low_drain_voltage"
    )
    assert (peak.figure, peak.limit, peak.verdict) == (long.point.low.peak_drain_voltage, 90.0, "exceeded")
    assert peak.margin == pytest.approx(1.0 - peak.figure / 90.0)


def test_each_side_and_the_bootstrap_are_judged(bridge: gs.BridgeDesign) -> None:
    weak = judged(bridge, {"half_bridge.bootstrap.supply_voltage": "4.6 V"})
    supply = named(weak, "minimum_high_supply_voltage")
    assert (supply.verdict, supply.figure) == ("exceeded", weak.point.high_supply_minimum)
    assert supply.figure < 4.0
    stated = {"limits.minimum_high_supply_voltage": "4.5 V", "limits.maximum_mosfet_loss": "1 W"}
    asked = judged(bridge, stated)
    assert named(asked, "minimum_high_supply_voltage").limit == 4.5
    for side in ("high", "low"):
        heat = named(asked, f"maximum_{side}_mosfet_loss")
        assert heat.figure == getattr(asked.point, side).loss
    fast = judged(bridge, {"half_bridge.low.snubber": None, "half_bridge.high.gate_resistance": "2 ohm"})
    bump = named(fast, "low_gate_voltage_when_off")
    assert bump.verdict == "exceeded"
    assert "the low side may turn on by itself" in bump.reason
    hot = fast.point.low.junction_temperature
    assert bump.limit == bridge.half_bridge.low.mosfet.lowest_threshold_voltage(hot)
    uncooled = judged(bridge, {"half_bridge.low.cooling": None})
    assert "low junction temperature (state low.cooling.mosfet)" in uncooled.not_judged
    with_diode = judged(bridge, {"half_bridge.low.cooling": None, "half_bridge.low.diode": "schottky-60V"})
    assert "low diode temperature (state low.cooling.freewheel)" in with_diode.not_judged
    assert "low diode temperature (state low.cooling.freewheel)" not in uncooled.not_judged
    threshold = bridge.half_bridge.low.mosfet.lowest_threshold_voltage(HOT)
    assert named(uncooled, "low_gate_voltage_when_off").limit == threshold
    assert "maximum_low_junction_temperature" not in {one.name for one in uncooled.checks}


def test_a_gate_that_does_not_get_up_is_named(bridge: gs.BridgeDesign) -> None:
    changes = {
        "operation.duty": "3 %",
        "half_bridge.high.gate_resistance": "220 ohm",
        "half_bridge.bootstrap": None,
    }
    late = judged(bridge, changes)
    assert late.outcome == "exceeded"
    assert named(late, "minimum_high_gate_voltage_reached").verdict == "exceeded"
    assert "the drain of the high side" in named(late, "switches_fully").reason


def test_a_junction_that_runs_away_is_the_verdict(bridge: gs.BridgeDesign) -> None:
    hot = judged(bridge, {"half_bridge.low.cooling.mosfet.case_to_ambient": "400 K/W"})
    assert hot.limiting is not None
    assert (hot.outcome, hot.limiting.name) == ("exceeded", "maximum_low_junction_temperature")


def test_the_next_change_is_simulated_and_repairs(buck: gs.HalfBridgeCell) -> None:
    operation = gs.BridgeOperation(frequency="100 kHz", duty=0.3, dead_time="20 ns")
    slow_on = buck.replace({"high.gate_resistance": "33 ohm", "high.turn_off_gate_resistance": "0.5 ohm"})
    held_off = {"low.turn_off_gate_resistance": 0.5, "low.driver.sink_resistance": 0.5}
    held_off["low.mosfet.internal_gate_resistance"] = 0.3
    design = gs.BridgeDesign(half_bridge=slow_on.replace(held_off), operation=operation)
    with pytest.warns(gs.InputWarning, match="loop_inductance: left out"):
        wrong = gs.check(design)
    change = wrong.next_change
    assert wrong.outcome == "exceeded"
    assert change is not None
    assert isinstance(change.design, gs.BridgeDesign)
    assert change.text == "dead time 20 ns to 38 ns"
    assert (change.before.name, change.after.verdict) == ("dead_time_needed", "held")
    assert change.outcome != "exceeded"
    again = gs.half_bridge_point(change.design.half_bridge, **change.design.operation.model_dump())
    assert change.total_loss_after == again.total_loss


def test_there_is_a_change_against_every_limit(verdict: gs.BridgeVerdict) -> None:
    for check in verdict.checks:
        moves = bridge_moves(verdict.design, check).others
        assert moves, check.name
        for move in moves:
            changed = move.applied(verdict.design)
            assert changed is not None
            words = move.text(verdict.design, changed)
            assert ("high side" in words) == (".high." in move.path and "cooling" not in move.path)


def test_the_command_judges_a_bridge(verdict: gs.BridgeVerdict, tmp_path: Path) -> None:
    run = CliRunner().invoke(main, ["check", str(EXAMPLE), "--json"])
    assert run.exit_code == 0
    told = json.loads(run.stdout)
    assert told.pop("file") == str(EXAMPLE)
    assert told == json.loads(json.dumps(verdict.to_mapping()))
    assert {one["name"] for one in told["checks"]} >= {"dead_time_needed", "maximum_high_drain_voltage"}
    text = _text(EXAMPLE, verdict)
    assert "dead time needed" in text
    assert "Caution: output:" in text
    page = tmp_path / "page.html"
    told_at_length = CliRunner().invoke(main, ["report", str(EXAMPLE), "--output", str(page)])
    assert told_at_length.exit_code == 0, told_at_length.output
    assert verdict.sentence() in page.read_text(encoding="utf-8")


def test_what_takes_low_side_designs_alone_says_so(bridge: gs.BridgeDesign) -> None:
    refuse: Any = gs.highest_frequency
    with pytest.raises(gs.InputError, match="half bridge there are check, report and sweep"):
        refuse(bridge)
    with pytest.raises(gs.InputError, match="BridgeDesign"):
        gs.check(bridge.half_bridge)  # type: ignore[call-overload]


@pytest.mark.parametrize("cooled", [True, False])
def test_overlapping_commands_are_taken_apart_and_not_further_together(
    tables: dict[str, Any], cooled: bool
) -> None:
    tables["operation"]["dead_time"] = "-25 ns"
    for side in ("high", "low"):
        tables["half_bridge"][side] |= {} if cooled else {"cooling": None}
    verdict = gs.check(gs.BridgeDesign.from_mapping(tables))
    if not cooled:
        overlap = named(verdict, "dead_time_needed")
        assert overlap.verdict == "exceeded"
    assert verdict.next_change is not None
    assert verdict.next_change.text == "dead time -25 ns to 25 ns"
    assert verdict.next_change.total_loss_after < verdict.point.total_loss
