"""Waveforms of the points of a sweep: each on its own time, as close as stated, with its peaks."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import xarray as xr

import gateswing as gs

BOUND = 2e-3


@pytest.fixture(scope="module")
def table(cell: gs.LowSideCell) -> xr.Dataset:
    """Three points, one of which is not done."""
    damped = cell.replace({"loop_inductance": "3 nH"})
    found = gs.sweep(damped, frequency=[1e5, 2e5, 4e5], duty=0.5, relative_tolerance=1e-3)
    found["status"][1] = "failed"
    return found


@pytest.fixture(scope="module")
def tree(table: xr.Dataset) -> xr.DataTree:
    return gs.waveforms_of(table, ["v_ds", "i_d"], bound=BOUND)


def nodes_of(tree: xr.DataTree) -> dict[str, xr.Dataset]:
    return {name: node.to_dataset() for name, node in tree["waveforms"].children.items()}


def test_each_point_with_an_answer_has_its_own_time(table: xr.Dataset, tree: xr.DataTree) -> None:
    assert tree["table"].to_dataset()["waveform"].values.ravel().tolist() == ["point_0", "", "point_2"]
    xr.testing.assert_identical(tree["table"].to_dataset().drop_vars("waveform"), table)
    nodes = nodes_of(tree)
    assert set(nodes) == {"point_0", "point_2"}
    for name, frequency in (("point_0", 1e5), ("point_2", 4e5)):
        time = nodes[name]["time"]
        assert float(time[-1] - time[0]) == pytest.approx(1.0 / frequency, rel=1e-9)
        assert nodes[name].attrs == {"frequency": frequency, "duty": 0.5}
        assert [nodes[name][channel].attrs["units"] for channel in ("v_ds", "i_d", "time")] == ["V", "A", "s"]


@pytest.mark.filterwarnings("ignore:junction_temperature:gateswing.InputWarning")  # that it gets hot
def test_the_lines_keep_their_bound_and_the_peaks(table: xr.Dataset, tree: xr.DataTree) -> None:
    for number in (0, 2):
        small = nodes_of(tree)[f"point_{number}"]
        point = table.isel(frequency=[number])
        curve = gs.point_of(point).waveform
        assert float(small["v_ds"].max()) == pytest.approx(point["peak_drain_voltage"].item(), rel=1e-9)
        times = np.linspace(curve.begin, curve.end, 20011)
        for channel in ("v_ds", "i_d"):
            exact = curve.value(channel, times)
            lines = np.interp(times, small["time"].values, small[channel].values)
            assert np.abs(lines - exact).max() <= BOUND * np.ptp(curve.values(channel))
        assert small.sizes["time"] < 0.5 * np.unique(curve.times).size


def test_the_tree_survives_netcdf_and_zarr(tree: xr.DataTree, tmp_path: Path) -> None:
    pytest.importorskip("zarr")
    tree.to_netcdf(tmp_path / "waveforms.nc")
    tree.to_zarr(tmp_path / "waveforms.zarr", zarr_format=2)
    for name, engine in (("waveforms.nc", None), ("waveforms.zarr", "zarr")):
        with xr.open_datatree(tmp_path / name, engine=engine) as read:
            xr.testing.assert_equal(read, tree)
            assert read["waveforms/point_2"].attrs == tree["waveforms/point_2"].attrs


def test_an_unknown_channel_or_bound_is_refused(table: xr.Dataset) -> None:
    with pytest.raises(gs.InputError, match=r"channels = .*no such channel.*v_ds"):
        gs.waveforms_of(table, ["v_dss"])
    with pytest.raises(gs.InputError, match="bound"):
        gs.waveforms_of(table, bound=0.0)
