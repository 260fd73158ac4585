"""What is left out counts as zero: said where a figure that depends on it is judged, and once for a cell."""

import re
import warnings
from collections.abc import Callable
from importlib import resources
from typing import Any

import pytest
from click.testing import CliRunner

import gateswing as gs
from gateswing.circuit_checks.left_out import left_out, left_out_of_bridge
from gateswing.cli import main
from gateswing.limits.verdict import quick_check

DAMPED = {"snubber": gs.Snubber(resistance="10 ohm", capacitance="1 nF")}


def bare_cell(**wiring: Any) -> gs.LowSideCell:
    """An invented stage of library parts without any wiring."""
    return gs.LowSideCell(
        bus="24 V",
        mosfet="logic-60V",
        driver="driver-ic-5V",
        load={"resistance": "6 ohm", "inductance": "200 uH"},
        freewheel="schottky-60V",
        **DAMPED,
        **wiring,
    )


def designed(cell: gs.LowSideCell) -> gs.Design:
    return gs.Design(cell=cell, operation=gs.Operation(frequency="50 kHz", duty=0.5))


def paths(found: Callable[[], object]) -> list[str]:
    """Of the warnings issued meanwhile."""
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always")
        found()
    return [one.message.path for one in caught if isinstance(one.message, gs.InputWarning)]


def test_wiring_that_is_left_out_is_told_in_the_verdict_and_issued() -> None:
    design = designed(bare_cell())
    verdicts: list[gs.Verdict] = []
    assert paths(lambda: verdicts.append(gs.check(design))) == ["loop_inductance", "gate_resistance"]
    (verdict,) = verdicts
    assert [one.path for one in verdict.warnings] == ["loop_inductance", "gate_resistance"]
    text = repr(verdict)
    assert "Assumed: loop_inductance: left out, so it counts as 0 H: overshoot, ringing and peak" in text
    assert "Assumed: gate_resistance: left out, so it counts as 0 ohm: nothing but the driver" in text
    assert "loop_inductance: left out, so it counts as 0 H" in gs.report(verdict).html
    assert {"loop_inductance", "gate_resistance"} == {one["path"] for one in verdict.to_mapping()["warnings"]}


def test_a_stated_zero_is_not_told_as_left_out() -> None:
    stated = bare_cell(loop_inductance="0 H", gate_resistance="0 ohm")
    told = [one.message for one in left_out(stated)]
    assert [one.split(":")[0] for one in told] == ["is 0 H", "is 0 ohm"]
    told = [one.message for one in left_out(bare_cell())]
    assert all(one.startswith("left out, so it counts as 0 ") for one in told)


def test_a_ring_that_no_board_has_asks_for_the_resistance_of_its_loop() -> None:
    wiring = {"loop_inductance": "20 nH", "gate_resistance": "4.7 ohm"}
    bare = bare_cell(**wiring).replace(snubber=None)
    verdict = quick_check(designed(bare))
    (told,) = [one.message for one in verdict.warnings if one.path == "loop_resistance"]
    quality = re.search(r"a Q of (\d+) and", told)
    assert quality, told
    assert float(quality[1]) == pytest.approx(verdict.point.turn_off.ring_quality, abs=0.5)
    for other in (bare.replace(loop_resistance="30 mohm"), bare_cell(**wiring)):
        assert "loop_resistance" not in [one.path for one in quick_check(designed(other)).warnings]


def test_it_is_issued_once_for_a_cell_and_not_by_a_study() -> None:
    cell = bare_cell()
    design = designed(cell)
    for study in (
        lambda: gs.double_pulse(cell, relative_tolerance=1e-4),
        lambda: gs.operating_point(cell, frequency="50 kHz", duty=0.5, relative_tolerance=1e-4),
    ):
        assert paths(study) == []
    choose: dict[str, Any] = {"series": "E3", "lowest": "4.7 ohm", "highest": "10 ohm"}
    choices: list[gs.GateResistanceChoice] = []
    assert paths(lambda: choices.append(gs.choose_gate_resistance(cell, **choose))) == ["loop_inductance"]
    assert repr(choices[0]).count("Assumed: loop_inductance: left out, so it counts as 0 H") == 1
    assert choices[0]._repr_html_().count("Assumed: loop_inductance") == 1
    assert paths(lambda: gs.check(design)) == []
    assert paths(lambda: gs.highest_frequency(design, lowest="40 kHz", highest="50 kHz")) == []
    assert paths(lambda: gs.check(designed(bare_cell()))) == ["loop_inductance", "gate_resistance"]


@pytest.mark.parametrize(
    "wiring",
    [
        {"loop_inductance": "5 nH"},
        {"bus": gs.Supply(voltage="24 V", inductance="1 uH")},
        {"bus": gs.Supply(voltage="24 V", bulk_capacitance="100 uF", bulk_inductance="5 nH")},
    ],
)
def test_a_loop_with_any_wiring_is_stated(wiring: dict[str, Any]) -> None:
    cell = bare_cell(gate_resistance="10 ohm").replace(wiring)
    assert quick_check(designed(cell)).warnings == ()
    cable_before_a_capacitor = cell.replace(
        {"loop_inductance": 0.0, "bus": gs.Supply(voltage="24 V", inductance="1 uH", bulk_capacitance=1e-4)}
    )
    found = quick_check(designed(cable_before_a_capacitor)).warnings
    assert [one.path for one in found] == ["loop_inductance"]


@pytest.fixture(scope="module")
def bridge() -> gs.BridgeDesign:
    with resources.as_file(resources.files("gateswing") / "examples" / "sync_buck.toml") as path:
        return gs.BridgeDesign.read(path)


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({}, {}),
        ({"loop_inductance": 0.0}, {"loop_inductance": "^is 0 H: overshoot"}),
        ({"low.gate_resistance": 0.0}, {"low.gate_resistance": "^is 0 ohm: nothing"}),
        (
            {"low.gate_resistance": 0.0, "high.gate_resistance": 0.0},
            {"high.gate_resistance and low.gate_resistance": "^is 0 ohm: nothing"},
        ),
        (
            {"load": gs.Load(resistance="1 ohm"), "output": None},
            {"load.inductance": "the load current jumps with every edge"},
        ),
        ({"load": gs.Load(resistance="1 ohm")}, {"load.inductance": "between switch node and output capac"}),
        # D V/(R + R_on) by hand, with 10.2 mohm of the MOSFET at 5 V and 25 degC: 290 A.
        ({"output": None}, {"output": "8 mohm are little beside the 10 mohm .* to about 290 A"}),
        ({"output": None, "load_return": "bus"}, {"output": "to about 1 kA"}),
        ({"output": None, "load.resistance": "0.5 ohm"}, {}),
        ({"output": None, "load": gs.Load(constant_current="5 A")}, {}),
    ],
)
def test_what_a_bridge_lacks_is_told_once(
    bridge: gs.BridgeDesign, changes: dict[str, Any], told: dict[str, str]
) -> None:
    found = left_out_of_bridge(bridge.half_bridge.replace(changes), bridge.operation)
    assert [one.path for one in found] == list(told)
    for one, words in zip(found, told.values(), strict=True):
        assert re.search(words, one.message), one.message


def test_the_verdict_on_a_bridge_tells_it(bridge: gs.BridgeDesign, tmp_path: Any) -> None:
    bare = bridge.replace({"half_bridge.loop_inductance": 0.0, "half_bridge.low.gate_resistance": 0.0})
    gs.write_design(bare, tmp_path / "bare.toml")
    run = CliRunner().invoke(main, ["check", str(tmp_path / "bare.toml")])
    assert run.stdout.count("loop_inductance: left out, so it counts as 0 H") == 1
    assert run.stdout.count("low.gate_resistance: left out, so it counts as 0 ohm") == 1
