"""A sweep of half bridges: the table, the store and the retry of a low-side sweep, over the dead time too."""

import dataclasses
import multiprocessing
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import xarray as xr

import gateswing as gs
from gateswing import _core
from gateswing.studies.bridge_point import HalfBridgeFigures, SwitchFigures
from gateswing.sweeping.store import PointStore

GRID: dict[str, Any] = {
    "frequency": ["100 kHz"],
    "duty": [0.3, 0.5],
    "dead_time": ["60 ns", "120 ns"],
    "high__gate_resistance": [4.7, 10.0],
    "relative_tolerance": 1e-3,
}
NARROW: dict[str, Any] = {"frequency": 1e5, "duty": 0.3, "dead_time": "120 ns"}
CHOICE: dict[str, Any] = {"frequency": 1e5, "duty": 0.3, "dead_time": 120e-9, "high__gate_resistance": 4.7}


@pytest.fixture(scope="module")
def table(buck: gs.HalfBridgeCell) -> xr.Dataset:
    return gs.sweep(buck, **GRID)


def figures_of(point: gs.HalfBridgePoint) -> dict[str, float]:
    """All of a point that a sweep keeps too, under its names."""
    found = point.values()
    for name in ("high", "low", "to_active", "from_active"):
        found |= {f"{name}_{key}": value for key, value in getattr(point, name).values().items()}
    return found | {"dead_time_needed": point.dead_time_needed, "energy_residual": point.energy_residual}


def test_every_point_is_the_half_bridge_point_to_the_last_bit(
    buck: gs.HalfBridgeCell, table: xr.Dataset
) -> None:
    assert dict(table.sizes) == {"high__gate_resistance": 2, "frequency": 1, "duty": 2, "dead_time": 2}
    assert (table["status"] == "done").all()
    assert table["dead_time"].attrs["units"] == "s"
    for gap in (60e-9, 120e-9):
        alone = gs.half_bridge_point(
            buck, frequency=1e5, duty=0.3, dead_time=gap, relative_tolerance=GRID["relative_tolerance"]
        )
        row = table.sel(CHOICE | {"dead_time": gap})
        for name, value in figures_of(alone).items():
            if name in table:
                np.testing.assert_array_equal(row[name].item(), value, err_msg=name)
        by_cause = {name: power for name, power in alone.losses_by_cause.items() if power}
        for cause, power in by_cause.items():
            name = {"freewheel conduction": "freewheel"}.get(cause, cause).replace("-", "_").replace(" ", "_")
            assert row[f"{name}_loss"].item() == pytest.approx(power, rel=1e-12), cause


def test_the_powers_of_every_point_balance(table: xr.Dataset) -> None:
    # Energy is conserved: what comes in leaves as load power and as losses, which the causes divide up.
    left = table["input_power"] - table["load_power"] - table["total_loss"]
    assert float(abs(left / table["input_power"]).max()) < 1e-4
    causes = [name for name in table if str(name).endswith("_loss") and name != "total_loss"]
    sides = {f"{side}_{loss}" for side in ("high", "low") for loss in ("loss", "diode_loss", "driver_loss")}
    total = sum(table[name] for name in causes if name not in sides)
    assert float(abs(total / table["total_loss"] - 1.0).max()) < 1e-3


def test_names_and_units_are_those_of_the_answer() -> None:
    swept = {figure.name: figure.unit for figure in _core.half_bridge_point_figures()}
    alike = {"": "1", "%": "1"}
    for name, unit in HalfBridgeFigures.units().items():
        assert swept[name] == alike.get(unit, unit)
    for side in ("high", "low"):
        for name, unit in SwitchFigures.units().items():
            assert swept[f"{side}_{name}"] == unit
    commutation = {field.name for field in dataclasses.fields(gs.Commutation)} - {
        "outgoing_off",
        "incoming_on",
    }
    for name in commutation:
        assert swept[f"to_active_{name}"] == swept[f"from_active_{name}"] == gs.Commutation.units()[name]


def test_a_store_knows_a_bridge_by_dead_time_and_active_switch(
    buck: gs.HalfBridgeCell, table: xr.Dataset, tmp_path: Path
) -> None:
    path = tmp_path / "points.db"
    small = GRID | {"duty": 0.3, "high__gate_resistance": 4.7}
    first = gs.sweep(buck, **small, store=path)
    cost = gs.sweep_cost(buck, **small, store=path)
    assert (cost.points, cost.stored) == (2, 2)
    assert gs.sweep_cost(buck, **small | {"dead_time": ["60 ns", "90 ns"]}, store=path, samples=1).stored == 1
    assert gs.sweep_cost(buck, **small, active="low", store=path, samples=1).stored == 0
    renamed = buck.replace({"high.mosfet.name": "another name"})
    assert gs.sweep_cost(renamed, **small, store=path).stored == 2
    stronger = buck.replace({"low.driver": buck.low.driver.push_pull().stronger(2.0)})
    assert gs.sweep_cost(stronger, **small, store=path, samples=1).stored == 0
    xr.testing.assert_equal(first.squeeze(), table.sel(duty=0.3, high__gate_resistance=4.7).squeeze())
    with PointStore(path) as kept:
        assert len(kept) == 2


def test_a_point_comes_back_out_of_the_table(buck: gs.HalfBridgeCell, table: xr.Dataset) -> None:
    chosen = table.sel(CHOICE)
    point = gs.point_of(chosen)
    assert isinstance(point, gs.HalfBridgePoint)
    assert (point.dead_time, point.active, point.cell.high.gate_resistance) == (120e-9, "high", 4.7)
    assert point.total_loss == chosen["total_loss"]
    tree = gs.waveforms_of(table.sel(CHOICE | {"dead_time": [120e-9]}))
    waveform = tree["waveforms/point_0"].to_dataset()
    assert set(waveform) == {"v_switch", "v_gs_high", "v_gs_low", "i_load"}
    boost = gs.sweep(
        buck, frequency=1e5, duty=0.7, dead_time="120 ns", active="low", relative_tolerance=1e-3
    ).squeeze()
    back = gs.point_of(boost)
    assert isinstance(back, gs.HalfBridgePoint)
    assert back.active == "low"
    assert back.total_loss == boost["total_loss"]


def test_what_does_not_go_together_is_a_point_of_its_own(buck: gs.HalfBridgeCell) -> None:
    table = gs.sweep(
        buck, frequency=1e5, duty=0.3, dead_time=["120 ns", "6 us"], progress=False, relative_tolerance=1e-3
    ).squeeze()
    assert table["status"].values.tolist() == ["done", "invalid"]
    assert "dead time" in table["message"].values[1]
    again = gs.retry(table, relative_tolerance=1e-3)
    assert again["status"].values.tolist() == ["done", "invalid"]
    lost = table.copy(deep=True)
    lost["status"].values[0] = "lost"
    lost["efficiency"].values[0] = np.nan
    assert gs.retry(lost)["efficiency"].values[0] == table["efficiency"].values[0]


def test_another_process_gives_the_same_table(buck: gs.HalfBridgeCell, table: xr.Dataset) -> None:
    class OwnDriver(gs.PushPullDriver):
        """Of a class that no other process can import."""

    driver = OwnDriver(**{name: getattr(buck.low.driver, name) for name in gs.PushPullDriver.model_fields})
    with ProcessPoolExecutor(1, multiprocessing.get_context("spawn")) as pool:
        there = gs.sweep(buck.replace({"low.driver": driver}), **GRID, executor=pool)
    xr.testing.assert_equal(there, table)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"dead_time": None}, "dead_time: missing"),
        ({"dead_time": "2 ms"}, "dead_time"),
        ({"active": "middle"}, "no such switch"),
        ({"gate_resistance": [1.0]}, "no such field"),
    ],
)
def test_a_bridge_is_refused_by_field(buck: gs.HalfBridgeCell, changes: dict[str, Any], message: str) -> None:
    with pytest.raises(gs.InputError, match=message):
        gs.sweep(buck, **NARROW | changes)


def test_a_low_side_cell_has_no_dead_time(quick_cell: gs.LowSideCell, buck: gs.HalfBridgeCell) -> None:
    with pytest.raises(gs.InputError, match=r"dead_time: a low-side cell has none"):
        gs.sweep(quick_cell, frequency=1e5, duty=0.5, dead_time="100 ns")
    with pytest.raises(gs.InputError, match=r"active: a low-side cell has none"):
        gs.sweep(quick_cell, frequency=1e5, duty=0.5, active="high")
    with pytest.raises(gs.InputError, match="neither a LowSideCell nor a HalfBridgeCell"):
        gs.sweep(buck.high, frequency=1e5, duty=0.5)  # type: ignore[arg-type]
