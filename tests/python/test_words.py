"""What is said to somebody who brings the wrong kind of thing, and where the right one is."""

import subprocess
import sys
from collections.abc import Callable
from typing import Any

import pytest
import tomli_w

import gateswing as gs
from gateswing.verdict import quick_check


def low_side() -> gs.LowSideCell:
    """An invented stage of library parts."""
    return gs.LowSideCell(
        bus="24 V",
        mosfet="standard-60V",
        driver="driver-ic-weak",
        gate_resistance="22 ohm",
        load={"resistance": "6 ohm", "inductance": "200 uH"},
        freewheel="schottky-60V",
    )


def bridge() -> gs.HalfBridgeCell:
    """An invented half bridge of library parts."""
    switch = gs.BridgeSwitch(mosfet="standard-100V", driver="driver-ic-strong", gate_resistance="4.7 ohm")
    return gs.HalfBridgeCell(bus="48 V", high=switch, low=switch)


PERIOD: dict[str, Any] = {"frequency": "20 kHz", "duty": 0.5}
OPERATION = gs.Operation(**PERIOD)


@pytest.mark.parametrize(
    "study",
    [
        lambda cell: gs.operating_point(cell, **PERIOD),
        lambda cell: gs.double_pulse(cell, current="5 A"),
        lambda cell: gs.inductive_turn_off(cell, current="5 A"),
        lambda cell: gs.sweep(cell, frequency=[20e3], duty=[0.5]),
    ],
)
def test_a_bridge_is_sent_to_its_own_studies(study: Callable[[Any], object]) -> None:
    with pytest.raises(
        gs.InputError, match=r"cell: not a LowSideCell but .*HalfBridgeCell.*half_bridge_point"
    ):
        study(bridge())


@pytest.mark.parametrize(
    "study",
    [
        lambda cell: gs.half_bridge_point(cell, dead_time="80 ns", **PERIOD),
        lambda cell: gs.dead_time_losses(cell, dead_time=["80 ns"], **PERIOD),
        lambda cell: gs.half_bridge_edges(cell, current="5 A", dead_time="80 ns"),
        lambda cell: gs.dead_time_sweep(cell, current=[5.0], dead_time=[80e-9]),
    ],
)
def test_a_low_side_cell_is_sent_to_its_own_studies(study: Callable[[Any], object]) -> None:
    with pytest.raises(gs.InputError, match=r"cell: not a HalfBridgeCell but .*LowSideCell.*operating_point"):
        study(low_side())


@pytest.mark.parametrize("judge", [gs.check, quick_check])
@pytest.mark.parametrize("given", [low_side, bridge])
def test_a_verdict_needs_a_design(judge: Callable[[Any], object], given: Callable[[], object]) -> None:
    with pytest.raises(gs.InputError, match=r"design: not a Design but of the class \w+Cell"):
        judge(given())


def test_a_design_file_says_that_it_takes_no_half_bridge(tmp_path: Any) -> None:
    switch = {"mosfet": "standard-100V", "driver": "driver-ic-strong"}
    tables = {"schema": 1, "cell": {"bus": "48 V", "high": switch, "low": switch}, "operation": PERIOD}
    path = tmp_path / "bridge.toml"
    path.write_text(tomli_w.dumps(tables))
    with pytest.raises(gs.InputError, match="cell: is a half bridge") as caught:
        gs.read_design(path)
    assert len(caught.value.problems) == 1


def test_an_entry_of_a_data_sheet_is_sent_to_the_fit() -> None:
    with pytest.raises(gs.InputError) as caught:
        gs.Mosfet(breakdown_voltage="100 V", total_gate_charge="80 nC")
    (said,) = (str(one) for one in caught.value.problems if one.path == "total_gate_charge")
    assert "no such field" in said
    assert "gateswing fit" in said
    assert "part = " in said


def test_the_package_runs_as_the_command() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "gateswing", "--version"], capture_output=True, text=True, check=True
    )
    assert done.stdout == f"gateswing, version {gs.__version__}\n"
