"""The release of an inductive load in Python: arguments, warnings, tables, pictures. Physics: in the core."""

import math
import pickle
import warnings
from pathlib import Path
from typing import Any

import pytest
from matplotlib.text import Text

import gateswing as gs
from gateswing import _core
from gateswing.circuit_checks.low_side import design_warnings
from gateswing.figures import format_figure
from gateswing.studies.inductive_turn_off import ReleaseFigures


@pytest.fixture(scope="module")
def valve(cell: gs.LowSideCell) -> gs.LowSideCell:
    """An invented valve of 20 ohm and 40 mH on 12 V, clamped by a zener of 40 V across the switch."""
    return cell.replace(
        bus="12 V",
        load={"resistance": "20 ohm", "inductance": "40 mH"},
        freewheel=None,
        drain_source_clamp={"voltage": "40 V", "resistance": "1 ohm", "capacitance": "200 pF"},
    )


@pytest.fixture(scope="module")
def release(valve: gs.LowSideCell) -> gs.InductiveTurnOff:
    return gs.inductive_turn_off(valve, current="0.6 A")


pytestmark = pytest.mark.usefixtures("without_a_screen")


def test_the_zener_releases_the_valve_as_by_hand(release: gs.InductiveTurnOff) -> None:
    # (L/R) ln((1 + r)/(1 + r/10)), r = R I/(V - bus); textbook.
    ratio = 20.0 * 0.6 / 28.0
    assert release.release_time == pytest.approx(2e-3 * math.log((1 + ratio) / (1 + 0.1 * ratio)), rel=0.02)
    assert release.release_time_by_hand == pytest.approx(release.release_time, rel=0.02)
    taken = release.breakdown_energy + release.channel_energy + release.clamp_energy
    assert taken == pytest.approx(release.energy_by_hand, rel=0.03)
    assert release.clamp_energy > 0.9 * taken


def test_the_heat_in_a_load_is_that_of_all_its_elements(valve: gs.LowSideCell) -> None:
    coil = gs.Solenoid(resistance="20 ohm", inductance="40 mH", core_resistance="300 ohm")
    result = gs.inductive_turn_off(valve.replace(load=coil), current="0.6 A")
    parts = [one for one in result.ledger if one.kind == "dissipated" and one.name.startswith("load")]
    assert len(parts) == 2
    assert result.load_energy == pytest.approx(sum(one.energy for one in parts))


def test_a_cell_without_any_path_goes_into_breakdown_with_a_warning(valve: gs.LowSideCell) -> None:
    bare = valve.replace(drain_source_clamp=None)
    with pytest.warns(gs.TopologyWarning, match="breakdown at every turn-off"):
        result = gs.inductive_turn_off(bare, current="0.6 A")
    assert result.breakdown_energy > 0.9 * result.energy_by_hand
    assert result.peak_drain_voltage > 0.95 * bare.mosfet.breakdown_voltage


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"drain_source_clamp.voltage": "100 V"}, "breaks down first"),
        ({"drain_source_clamp.voltage": "11 V"}, "conducts whenever"),
    ],
)
def test_a_clamp_at_the_wrong_voltage_is_said(
    valve: gs.LowSideCell, change: dict[str, object], words: str
) -> None:
    (warning,) = design_warnings(valve.replace(change))
    assert isinstance(warning, gs.TopologyWarning)
    assert (warning.path, words in str(warning)) == ("drain_source_clamp", True)


def test_a_clamped_load_needs_no_freewheel_diode(valve: gs.LowSideCell, cell: gs.LowSideCell) -> None:
    assert design_warnings(valve) == []
    rcd = gs.RcdClamp(diode=cell.freewheel, resistance="1 kohm", capacitance="100 nF")
    assert design_warnings(valve.replace(drain_source_clamp=None, rcd_clamp=rcd)) == []


def test_each_clamp_is_an_element_of_the_ledger(valve: gs.LowSideCell, cell: gs.LowSideCell) -> None:
    zener = valve.drain_source_clamp
    rcd = gs.RcdClamp(diode=cell.freewheel, resistance="1 kohm", capacitance="10 uF")
    clamps = {"drain-source clamp": zener, "drain-gate clamp": zener, "clamp resistor": rcd}
    fields = ("drain_source_clamp", "drain_gate_clamp", "rcd_clamp")
    for (element, clamp), field in zip(clamps.items(), fields, strict=True):
        one = valve.replace({"drain_source_clamp": None, field: clamp})
        result = gs.inductive_turn_off(one, current="0.6 A", remaining=0.5)
        assert {entry.name: entry.energy for entry in result.ledger}[element] > 1e-6
        assert result.peak_drain_voltage < 60.0


def test_a_clamped_cell_runs_periodically_and_its_clamp_is_a_cause(valve: gs.LowSideCell) -> None:
    fast = valve.replace(load={"resistance": "20 ohm", "inductance": "20 uH"})
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", gs.InputWarning)
        point = gs.operating_point(fast, frequency="50 kHz", duty=0.5)
    assert point.losses_by_cause["clamp"] == pytest.approx(point.losses["drain-source clamp"], rel=1e-6)
    assert "other" not in point.losses_by_cause
    assert point.energy_residual < 1e-6


@pytest.mark.parametrize(
    ("arguments", "path"),
    [
        ({"current": 0.0}, "current"),
        ({"current": "1 V"}, "current"),
        ({"current": 1.0, "remaining": 1.0}, "remaining"),
        ({"current": 1.0, "remaining": "0 %"}, "remaining"),
    ],
)
def test_an_argument_out_of_range_is_named(
    valve: gs.LowSideCell, arguments: dict[str, Any], path: str
) -> None:
    with pytest.raises(gs.InputError) as error:
        gs.inductive_turn_off(valve, **arguments)
    assert error.value.problems[0].path == path


def test_the_result_prints_pickles_and_agrees_with_the_core(release: gs.InductiveTurnOff) -> None:
    stated = {
        name: (getattr(_core.InductiveTurnOff, name).__doc__ or "").strip("[]")
        for name in ReleaseFigures.units()
    }
    assert ReleaseFigures.units() == stated
    assert "Release from 600 mA to 10 % of it" in repr(release)
    assert repr(pickle.loads(pickle.dumps(release))) == repr(release)


def test_the_picture_shows_the_figures(release: gs.InductiveTurnOff, tmp_path: Path) -> None:
    figure = release.plot()
    figure.savefig(tmp_path / "figure.png")
    shown = "\n".join(found.get_text() for found in figure.findobj(Text) if isinstance(found, Text))
    for value, unit in (
        (release.release_time, "s"),
        (release.clamp_energy, "J"),
        (release.plateau_voltage, "V"),
    ):
        assert format_figure(value, unit, 3) in shown


@pytest.mark.filterwarnings("ignore::gateswing.InputWarning")
def test_a_current_that_does_not_die_is_no_success(valve: gs.LowSideCell) -> None:
    # A bus above the clamp feeds the load for ever.
    fed = gs.inductive_turn_off(
        valve.replace({"bus": "24 V", "drain_source_clamp.voltage": "11 V"}), current="0.6 A"
    )
    assert fed.status == "not_released"
    assert not fed.succeeded
    assert math.isnan(fed.release_time)
    assert "has not died" in repr(fed)
