"""The half bridge in Python: arguments, warnings, tables, pictures. Its physics is tested in the core."""

import math
import pickle
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import numpy as np
import pytest
import xarray as xr
from matplotlib.text import Text
from scipy.optimize import brentq  # type: ignore[import-untyped]

import gateswing as gs
from gateswing import _core
from gateswing.figures import format_figure
from gateswing.plot import plot_dead_time


@pytest.fixture(scope="module")
def bridge(cell: gs.LowSideCell) -> gs.HalfBridgeCell:
    """Two of the example's MOSFETs on its drivers, with the diode turned off faster than on."""
    one = gs.BridgeSwitch(
        mosfet=cell.mosfet, driver=cell.driver, gate_resistance="10 ohm", turn_off_gate_resistance="2 ohm"
    )
    return gs.HalfBridgeCell(bus="48 V", high=one, low=one, loop_inductance="8 nH", loop_resistance="20 mohm")


@pytest.fixture(scope="module")
def edges(bridge: gs.HalfBridgeCell) -> gs.HalfBridgeEdges:
    return gs.half_bridge_edges(bridge, current="10 A", dead_time="80 ns")


pytestmark = pytest.mark.usefixtures("without_a_screen")


def test_the_hard_side_follows_from_the_sign_of_the_current(
    bridge: gs.HalfBridgeCell, edges: gs.HalfBridgeEdges
) -> None:
    below = gs.half_bridge_edges(bridge, current="-10 A", dead_time="80 ns")
    assert (edges.active, edges.other) == ("high", "low")
    assert (below.active, below.other) == ("low", "high")
    assert below.turn_on.energy == pytest.approx(edges.turn_on.energy, rel=0.05)
    soft = gs.half_bridge_edges(bridge, current="-10 A", dead_time="80 ns", active="high")
    assert math.isnan(soft.turn_on.energy)
    assert soft.to_active.voltage_at_turn_on < 1.0 < edges.to_active.voltage_at_turn_on


def test_the_dead_time_needed_is_the_larger_of_both(edges: gs.HalfBridgeEdges) -> None:
    both = (edges.to_active.dead_time_needed, edges.from_active.dead_time_needed)
    assert edges.dead_time_needed == max(both)
    for figures in (edges.to_active, edges.from_active):
        assert figures.gate_gap == pytest.approx(figures.incoming_on - figures.outgoing_off)
        assert figures.gate_gap + figures.dead_time_needed == pytest.approx(80e-9)


def test_the_gates_cross_their_thresholds_where_the_waveform_says(edges: gs.HalfBridgeEdges) -> None:
    threshold = edges.cell.low.mosfet.channel.threshold_voltage
    falls = brentq(lambda t: edges.waveform.value("v_gs_low", t) - threshold, -80e-9, 0.0, xtol=1e-16)
    assert edges.to_active.outgoing_off == pytest.approx(falls, abs=1e-13)


def test_the_shoot_through_is_the_common_part_of_both_channels(bridge: gs.HalfBridgeCell) -> None:
    overlap = gs.half_bridge_edges(bridge, current="10 A", dead_time="0 ns")
    times = np.linspace(0.0, overlap.on_time, 200_001)
    currents = [overlap.waveform.value(f"i_channel_{side}", times) for side in ("high", "low")]
    charge = np.trapezoid(np.clip(np.minimum(*currents), 0.0, None), times)
    assert overlap.to_active.shoot_through_charge == pytest.approx(charge, rel=1e-4)
    assert overlap.to_active.gate_gap < 0.0


def test_losses_leave_out_what_is_stored_and_close_the_ledger(edges: gs.HalfBridgeEdges) -> None:
    sums = dict.fromkeys(("delivered", "dissipated", "stored"), 0.0)
    for entry in edges.ledger:
        sums[entry.kind] += entry.energy
    assert sums["delivered"] == pytest.approx(sums["dissipated"] + sums["stored"], rel=1e-5)
    assert sum(edges.losses.values()) == pytest.approx(sums["dissipated"])
    assert list(edges.losses.values()) == sorted(edges.losses.values(), reverse=True)


def test_a_load_of_its_own_may_return_to_three_places(bridge: gs.HalfBridgeCell) -> None:
    for end in ("ground", "midpoint", "bus"):
        cell = bridge.replace(load={"resistance": "1 ohm", "inductance": "100 uH"}, load_return=end)
        result = gs.half_bridge_edges(cell, current="5 A", dead_time="60 ns")
        assert result.succeeded
        assert result.waveform.value("i_load", result.waveform.begin) == pytest.approx(5.0)
    constant = bridge.replace(load={"constant_current": "7 A"})
    assert gs.half_bridge_edges(constant, dead_time="60 ns").current == pytest.approx(7.0)


@pytest.mark.parametrize(
    ("arguments", "path"),
    [
        ({"dead_time": math.nan}, "dead_time"),
        ({"dead_time": "1 V"}, "dead_time"),
        ({"dead_time": "60 ns", "current": "1 MA"}, "current"),
        ({"dead_time": "60 ns", "active": "middle"}, "active"),
        ({"dead_time": "60 ns", "on_time": -1.0}, "on_time"),
        ({"dead_time": "60 us", "on_time": "1 us"}, "cell"),
    ],
)
def test_an_argument_out_of_range_is_named(
    bridge: gs.HalfBridgeCell, arguments: dict[str, Any], path: str
) -> None:
    with pytest.raises(gs.InputError) as error:
        gs.half_bridge_edges(bridge, **arguments)
    assert error.value.problems[0].path == path


def test_a_load_that_carries_no_current_is_refused(bridge: gs.HalfBridgeCell) -> None:
    with pytest.raises(gs.InputError, match="inductance"):
        gs.half_bridge_edges(bridge.replace(load={"resistance": "5 ohm"}), dead_time="60 ns")
    with pytest.raises(gs.InputError, match=r"high\.mosfet"):
        gs.HalfBridgeCell(bus="48 V", high={"driver": {}}, low=bridge.low)


@pytest.mark.parametrize(
    ("change", "path"),
    [
        ({"low.driver.supply_voltage": "24 V"}, "low.driver.supply_voltage"),
        ({"high.driver.supply_voltage": "3 V"}, "high.driver.supply_voltage"),
        ({"loop_inductance": "5 uH"}, "loop_inductance"),
    ],
)
def test_what_is_unusual_is_said_with_its_side(
    bridge: gs.HalfBridgeCell, change: dict[str, object], path: str
) -> None:
    with pytest.warns(gs.InputWarning):
        result = gs.half_bridge_edges(bridge.replace(change), current="2 A", dead_time="60 ns")
    assert path in [warning.path for warning in result.warnings]


def test_the_result_prints_pickles_and_agrees_with_the_core(edges: gs.HalfBridgeEdges) -> None:
    stated = {
        name: (getattr(_core.Commutation, name).__doc__ or "").strip("[]") for name in gs.Commutation.units()
    }
    assert gs.Commutation.units() == stated
    assert "Commutation to the high side" in repr(edges)
    cells = {one.text for one in ET.fromstring(f"<body>{edges._repr_html_()}</body>").iter("td")}
    assert {row[1] for row in edges.to_active.rows()} <= cells
    assert repr(pickle.loads(pickle.dumps(edges))) == repr(edges)


def test_the_picture_shows_the_figures(edges: gs.HalfBridgeEdges, tmp_path: Path) -> None:
    figure = edges.plot()
    figure.savefig(tmp_path / "figure.png")
    shown = "\n".join(found.get_text() for found in figure.findobj(Text) if isinstance(found, Text))
    for value, unit in (
        (edges.to_active.gate_gap, "s"),
        (edges.from_active.dead_time_needed, "s"),
        (edges.to_active.induced_gate_voltage, "V"),
        (edges.to_active.capacitive_charge, "C"),
    ):
        assert format_figure(value, unit, 3) in shown


@pytest.fixture(scope="module")
def table(bridge: gs.HalfBridgeCell) -> xr.Dataset:
    return gs.dead_time_sweep(bridge, dead_time=["-20 ns", "20 ns", "60 ns"], current=["10 A", "-4 A"])


def test_a_sweep_holds_what_single_studies_say(bridge: gs.HalfBridgeCell, table: xr.Dataset) -> None:
    one = gs.half_bridge_edges(bridge, current="-4 A", dead_time="20 ns")
    at = table.sel(current=-4.0).isel(dead_time=1)
    for name, value in one.from_active.values().items():
        assert float(at.sel(commutation="from_active")[name]) == value
        assert table[name].attrs["units"] == gs.Commutation.units()[name]
    assert float(at["heat"]) == pytest.approx(sum(one.losses.values()))
    assert (table["status"] == "success").all()


def test_too_short_a_dead_time_costs_more_than_too_long_a_one(table: xr.Dataset, tmp_path: Path) -> None:
    at = table.sel(current=10.0)
    through = at["shoot_through_energy"].sum("commutation").to_numpy()
    diodes = at["diode_conduction_energy"].sum("commutation").to_numpy()
    assert (np.diff(through) < 0.0).all()
    assert (np.diff(diodes) > 0.0).all()
    assert through[0] > 10 * diodes[-1]
    figure = plot_dead_time(at)
    figure.savefig(tmp_path / "figure.png")
    assert figure.axes[0].get_xlabel() == "dead time (ns)"
    with pytest.raises(ValueError, match="several currents"):
        plot_dead_time(table)


def test_a_sweep_without_values_is_refused(bridge: gs.HalfBridgeCell) -> None:
    with pytest.raises(gs.InputError, match="no values"):
        gs.dead_time_sweep(bridge, dead_time=[], current=[1.0])


def test_the_drawn_threshold_is_that_of_the_hot_junction(bridge: gs.HalfBridgeCell) -> None:
    hot = bridge.replace(low__junction_temperature="125 degC")
    figure = gs.half_bridge_edges(hot, current="10 A", dead_time="80 ns", relative_tolerance=1e-4).plot()
    dotted = [np.asarray(line.get_ydata())[0] for line in figure.axes[0].lines if line.get_linestyle() == ":"]
    law: Any = hot.low.mosfet.to_core(398.15)
    assert dotted == [pytest.approx(law.channel.threshold_voltage)]
    assert dotted[0] < hot.low.mosfet.channel.threshold_voltage - 0.2
