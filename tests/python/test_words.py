"""What is said to somebody who brings the wrong kind of thing, and where the right one is."""

import math
import subprocess
import sys
from collections.abc import Callable
from typing import Any

import pytest
import tomli_w

import gateswing as gs
from gateswing.limits.verdict import quick_check


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


def test_a_half_bridge_named_cell_is_sent_to_its_own_table(tmp_path: Any) -> None:
    switch = {"mosfet": "standard-100V", "driver": "driver-ic-strong"}
    tables = {"schema": 1, "cell": {"bus": "48 V", "high": switch, "low": switch}, "operation": PERIOD}
    path = tmp_path / "bridge.toml"
    path.write_text(tomli_w.dumps(tables))
    with pytest.raises(gs.InputError, match=r"cell: is a half bridge.*half_bridge") as caught:
        gs.read_design(path)
    assert len(caught.value.problems) == 1


def test_an_entry_of_a_data_sheet_is_sent_to_the_fit() -> None:
    fields = {"breakdown_voltage": "100 V", "total_gate_charge": "80 nC"}
    with pytest.raises(gs.InputError) as caught:
        gs.Mosfet(**fields)
    (said,) = (str(one) for one in caught.value.problems if one.path == "total_gate_charge")
    assert "no such field" in said
    assert "gateswing fit" in said
    assert "part = " in said


def test_a_name_that_leaves_the_side_open_gets_both() -> None:
    fields = {"supply_voltage": "12 V", "rise_time": "10 ns", "fall_time": "10 ns", "resistance": "10 ohm"}
    with pytest.raises(gs.InputError, match=r"Did you mean 'sink_resistance' or 'source_resistance'\?"):
        gs.PushPullDriver(**fields)


def test_the_package_runs_as_the_command() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "gateswing", "--version"], capture_output=True, text=True, check=True
    )
    assert done.stdout == f"gateswing, version {gs.__version__}\n"


def solenoid() -> gs.LowSideCell:
    """An invented valve on 24 V."""
    coil = gs.Solenoid(resistance="12 ohm", inductance="30 mH", pull_in_current="1.2 A", hold_current="0.5 A")
    return low_side().replace(load=coil)


def test_a_release_says_when_the_armature_lets_go() -> None:
    release = gs.inductive_turn_off(solenoid(), current="0.8 A", relative_tolerance=1e-4)
    assert "the armature lets go at 500 mA: ask with remaining = 62.5 %" in repr(release)
    held = gs.inductive_turn_off(solenoid(), current="0.8 A", remaining=0.625, relative_tolerance=1e-4)
    assert held.release_time < 0.5 * release.release_time
    assert "armature" not in repr(held)


def test_a_freewheel_diode_has_no_energy_by_hand() -> None:
    """The formula's voltage is that across the switch, which carries no current then."""
    release = gs.inductive_turn_off(solenoid(), current="0.8 A", relative_tolerance=1e-4)
    assert release.succeeded
    assert math.isnan(release.energy_by_hand)
    assert release.clamp_energy > 0.0


def test_an_avalanche_below_the_rating_is_no_plain_excess_of_the_voltage() -> None:
    cell = solenoid().replace(freewheel=None)
    design = gs.Design(cell=cell, operation=gs.Operation(frequency="5 kHz", duty=0.3))
    verdict = quick_check(design)
    (drain,) = (one for one in verdict.checks if one.name == "maximum_drain_voltage")
    assert drain.figure <= drain.limit
    assert drain.verdict == "exceeded"
    assert drain.row()[2] == "at most 60 V (rating), no avalanche"
    assert "the verdict is that of the avalanche energy" in drain.definition


def test_a_design_is_no_data_sheet(tmp_path: Any) -> None:
    path = tmp_path / "design.toml"
    gs.write_design(gs.Design(cell=low_side(), operation=OPERATION), path)
    with pytest.raises(gs.InputError, match="is a design and no data sheet") as caught:
        gs.read_sheet(path)
    assert len(caught.value.problems) == 1


def test_an_interrupted_sweep_says_that_its_store_goes_on() -> None:
    import xarray as xr

    assert "so has its store" in str(gs.SweepInterrupted(xr.Dataset()))
