"""Maps over any two axes of a sweep."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import xarray as xr
from matplotlib.contour import QuadContourSet

import gateswing as gs
from drawn import assert_drawn, texts
from gateswing.plot import plot_map

pytestmark = pytest.mark.usefixtures("without_a_screen")


@pytest.fixture
def wide() -> xr.Dataset:
    """A loss over four axes, one of them of several fields, one of names, one of a single value."""
    axes = {
        "mosfet": (["small", "large"], {"long_name": "mosfet"}),
        "board": None,
        "gate_resistance": ([22.0, 1.0, 4.7], {"units": "ohm", "long_name": "gate resistance"}),
        "duty": ([0.5], {"units": "1", "long_name": "duty"}),
    }
    coords: dict[str, Any] = {name: (name, *of) for name, of in axes.items() if of}
    coords["loop_inductance"] = ("board", [5e-9, 2e-8], {"units": "H", "long_name": "loop inductance"})
    coords["junction_temperature"] = ("board", [298.15, 398.15], {"units": "K", "long_name": "temperature"})
    loss = np.arange(12.0).reshape(2, 2, 3, 1)
    attributes = {"units": "W", "long_name": "total loss"}
    return xr.Dataset({"total_loss": (tuple(axes), loss, attributes)}, coords=coords)


def test_a_map_is_of_any_two_axes(wide: xr.Dataset, tmp_path: Path) -> None:
    figure = plot_map(wide.isel(mosfet=0), "total_loss", x="gate_resistance", y="loop_inductance")
    assert_drawn(figure, tmp_path)
    shown = texts(figure)
    for words in ("gate resistance", "loop inductance", "total loss (W)", "2 ohm", "10 nH"):
        assert words in shown
    axes = figure.axes[0]
    assert (axes.get_xscale(), axes.get_yscale()) == ("log", "linear")
    assert axes.get_xlim() == pytest.approx((1.0, 22.0))
    # The values of this table grow from 0 to 5 in the order of its axes: at 22 ohm and 5 nH there is a 0.
    (filled, *_) = [found for found in axes.collections if isinstance(found, QuadContourSet)]
    assert np.asarray(filled.levels)[0] == 0.0
    lowest = np.concatenate([path.vertices for path in filled.get_paths()[:1]])
    assert lowest[:, 0].max() == pytest.approx(22.0)
    assert lowest[:, 1].min() == pytest.approx(5e-9)


def test_left_out_the_axes_are_the_only_two_of_several_values(wide: xr.Dataset) -> None:
    one = wide.isel(mosfet=0, board=[1]).assign_coords(duty=[0.5])
    both = xr.concat([one, one.assign_coords(duty=[0.7]) + 1.0], "duty", combine_attrs="override")
    both["total_loss"].attrs = wide["total_loss"].attrs
    axes = plot_map(both, "total_loss").axes[0]
    assert (axes.get_xlabel(), axes.get_ylabel()) == ("gate resistance", "duty cycle")
    turned = plot_map(both, "total_loss", x="duty").axes[0]
    assert (turned.get_xlabel(), turned.get_ylabel()) == ("duty cycle", "gate resistance")


def test_maps_with_the_same_levels_have_the_same_colours(wide: xr.Dataset) -> None:
    colours, levels = [], []
    for factor in (1.0, 3.0):
        more = wide.assign(total_loss=(factor * wide["total_loss"]).assign_attrs(wide["total_loss"].attrs))
        axes = plot_map(more.isel(mosfet=0), "total_loss", levels=[4, 2, 8], x="gate_resistance",
                        y="loop_inductance").axes[0]  # fmt: skip
        filled, lines = [found for found in axes.collections if isinstance(found, QuadContourSet)]
        levels.append(np.asarray(lines.levels).tolist())
        colours.append(filled.to_rgba(np.array([3.0, 6.0])).tolist())
        assert filled.extend == "both"
    assert levels == [[2.0, 4.0, 8.0]] * 2
    assert colours[0] == colours[1]


def test_computed_points_are_marked_and_those_that_are_not_done_crossed(wide: xr.Dataset) -> None:
    table = wide.isel(mosfet=0).copy(deep=True)
    loss = table["total_loss"]
    first = dict.fromkeys(loss.dims, 0)
    loss[first] = loss[first | {"gate_resistance": 1}] = np.nan
    table["status"] = (loss.dims, np.full(loss.shape, "done", dtype=object))
    table["status"][first] = "failed"  # the other has no such figure
    axes = plot_map(table, "total_loss", x="gate_resistance", y="loop_inductance").axes[0]
    marks = {str(line.get_marker()): len(np.asarray(line.get_xdata())) for line in axes.lines}
    assert marks == {".": loss.size - 2, "x": 1}


def test_temperatures_are_drawn_in_degrees_celsius(wide: xr.Dataset) -> None:
    axes = plot_map(wide.isel(mosfet=0), "total_loss", y="junction_temperature", x="gate_resistance").axes[0]
    assert axes.get_ylabel() == "temperature (degC)"
    assert axes.get_ylim() == pytest.approx((25.0, 125.0))


@pytest.mark.parametrize(
    ("select", "given", "words"),
    [
        ({}, {}, r"mosfet \(2\), board \(2\), gate_resistance \(3\)\. Select .*dataset\.isel\(mosfet=0\)"),
        ({}, {"x": "gate_resistance", "y": "loop_inductance"}, r"dataset\.isel\(mosfet=0\)"),
        ({"board": 0}, {}, r"x = 'mosfet': holds names, not numbers.*dataset\.isel\(mosfet=0\)"),
        ({"mosfet": 0}, {}, r"x = 'board': several fields change.*x='loop_inductance'"),
        ({"mosfet": 0}, {"y": "loop"}, r"y = 'loop': no such axis.*loop_inductance"),
        ({"mosfet": 0}, {"x": "duty"}, r"axis duty has one value only.*Name another axis: board, gate_res"),
        ({"mosfet": 0, "board": 0}, {"x": "duty"}, r"axis duty has one value only.*another axis: gate_res"),
        (
            {"mosfet": 0},
            {"x": "gate_resistance", "y": "gate_resistance"},
            r"y = .*the same axis as x.*another",
        ),
        ({"mosfet": 0, "board": 0}, {}, r"a map needs two axes of several values; there are: gate_resist"),
    ],
)
def test_a_map_that_cannot_be_says_what_to_select(
    wide: xr.Dataset, select: dict[str, int], given: dict[str, str], words: str
) -> None:
    with pytest.raises(gs.InputError, match=words):
        plot_map(wide.isel(select), "total_loss", **given)  # type: ignore[arg-type]
    with pytest.raises(gs.InputError, match="Did you mean 'total_loss'"):
        plot_map(wide, "totalloss")


@pytest.mark.parametrize("levels", [[], [0.5], [1.0, 1.0], [1.0, np.nan], 0.5, 1, "many"])
def test_too_few_levels_are_refused(wide: xr.Dataset, levels: Any) -> None:
    axes = {"x": "gate_resistance", "y": "loop_inductance"}
    with pytest.raises(gs.InputError, match=r"levels.*two of them at least.*levels=10"):
        plot_map(wide.isel(mosfet=0), "total_loss", levels=levels, **axes)  # type: ignore[arg-type]


def test_a_count_of_levels_may_be_one_of_numpy(wide: xr.Dataset) -> None:
    levels: Any = np.int64(5)
    axes = plot_map(
        wide.isel(mosfet=0), "total_loss", levels=levels, x="gate_resistance", y="loop_inductance"
    ).axes[0]
    filled = next(found for found in axes.collections if isinstance(found, QuadContourSet))
    assert np.asarray(filled.levels).tolist() == [0.0, 1.0, 2.0, 3.0, 4.0, 5.0]
