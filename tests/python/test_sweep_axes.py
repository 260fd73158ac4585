"""Axes of a sweep: parts by name, fields that change together, and what cannot be an axis."""

from collections.abc import Mapping

import numpy as np
import pytest
import xarray as xr

import gateswing as gs
from gateswing.sweeping.chunk import Outcome, run_chunk
from gateswing.sweeping.kinds import Point


@pytest.fixture(scope="module")
def quick(quick_cell: gs.LowSideCell) -> dict[str, object]:
    return {"cell": quick_cell, "frequency": 1e5, "duty": 0.5, "relative_tolerance": 1e-3}


def swept(quick: dict[str, object], **changes: object) -> xr.Dataset:
    return gs.sweep(**(quick | changes))  # type: ignore[arg-type]


def test_parts_are_chosen_by_name(quick: dict[str, object], quick_cell: gs.LowSideCell) -> None:
    weak = quick_cell.mosfet.replace(channel__threshold_voltage="4.5 V")
    table = swept(quick, mosfet={"usual": quick_cell.mosfet, "weak": weak}, gate_resistance=[5, 10])
    assert dict(table.sizes) == {"mosfet": 2, "gate_resistance": 2, "frequency": 1, "duty": 1}
    assert table["mosfet"].values.tolist() == ["usual", "weak"]
    assert "units" not in table["mosfet"].attrs
    alone = swept(quick | {"cell": quick_cell.replace(mosfet=weak, gate_resistance=10)})
    assert table["rise_time"].sel(mosfet="weak", gate_resistance=10).item() == alone["rise_time"].item()
    assert (table["rise_time"].sel(mosfet="weak") > table["rise_time"].sel(mosfet="usual")).all()


def test_a_field_inside_a_swept_part_can_be_an_axis_too(
    quick: dict[str, object], quick_cell: gs.LowSideCell
) -> None:
    weak = quick_cell.mosfet.replace(channel__threshold_voltage="4.5 V")
    table = swept(
        quick, mosfet={"A": quick_cell.mosfet, "B": weak}, mosfet__internal_gate_resistance=[1.0, 20.0]
    )
    both = quick_cell.replace(mosfet=weak.replace(internal_gate_resistance=20.0))
    chosen = table.sel(mosfet="B", mosfet__internal_gate_resistance=20.0)
    assert chosen["rise_time"].item() == swept(quick | {"cell": both})["rise_time"].item()


def test_a_part_may_be_left_out_by_name(quick: dict[str, object]) -> None:
    snubber = gs.Snubber(resistance="10 ohm", capacitance="1 nF")
    table = swept(quick, snubber={"none": None, "1 nF": snubber})
    loss = table["total_loss"].squeeze()
    more = (loss.sel(snubber="1 nF") - loss.sel(snubber="none")).item()
    # The capacitor's C V^2/2 is lost at turn-on; of as much at turn-off, the load takes its part.
    stored = 0.5 * 1e-9 * 48**2 * 1e5
    assert stored < more < 2 * stored


def test_zipped_fields_share_a_dimension(quick: dict[str, object], quick_cell: gs.LowSideCell) -> None:
    board = {"gate_resistance": ["5 ohm", "20 ohm"], "mosfet__drift_resistance": ["1 mohm", "9 mohm"]}
    table = swept(quick, zip_axes={"board": board})
    assert dict(table.sizes) == {"board": 2, "frequency": 1, "duty": 1}
    assert table["gate_resistance"].dims == table["mosfet__drift_resistance"].dims == ("board",)
    assert table["gate_resistance"].attrs == {"units": "ohm", "long_name": "gate resistance"}
    second = quick_cell.replace(gate_resistance=20, mosfet__drift_resistance=9e-3)
    wanted = swept(quick | {"cell": second})["total_loss"].item()
    assert table["total_loss"].isel(board=1).item() == wanted


def test_frequency_and_duty_can_be_zipped(quick: dict[str, object]) -> None:
    pairs = {"frequency": ["50 kHz", "100 kHz"], "duty": [0.3, 0.6]}
    table = swept(quick, frequency=None, duty=None, zip_axes={"mode": pairs})
    assert dict(table.sizes) == {"mode": 2}
    grid = swept(quick, frequency=["50 kHz", "100 kHz"], duty=[0.3, 0.6])
    diagonal = np.diag(grid["efficiency"].values)
    assert table["efficiency"].values.tolist() == diagonal.tolist()


def test_a_chunk_of_any_points_gives_each_its_own_answer(quick_cell: gs.LowSideCell) -> None:
    cells = [quick_cell, quick_cell.replace(gate_resistance=20), quick_cell.replace(gate_resistance=5)]
    random = np.random.default_rng(2)
    points = [
        Point(cells[random.integers(3)], random.choice([5e4, 1e5]), random.choice([0.3, 0.5, 0.7]))
        for _ in range(14)
    ]
    together = run_chunk(points, 1e-3).outcomes
    for point, outcome in zip(points, together, strict=True):
        (alone,) = run_chunk([point], 1e-3).outcomes
        assert (alone.status, alone.message) == (outcome.status, outcome.message) == ("done", alone.message)
        np.testing.assert_array_equal(alone.figures, outcome.figures)


def test_a_chunk_delivers_each_point_once_and_ends_when_its_receiver_says_so(cell: gs.LowSideCell) -> None:
    points = [Point(cell, frequency, 0.5) for frequency in np.linspace(2e5, 4e5, 300)]
    delivered: dict[int, Outcome] = {}
    calls: list[int] = []

    def receive(finished: Mapping[int, Outcome]) -> None:
        calls.append(len(finished))
        assert not delivered.keys() & finished.keys()
        delivered.update(finished)
        if delivered:
            raise RuntimeError("enough")

    partial = run_chunk(points, 1e-6, receive).outcomes
    states = [outcome.status for outcome in partial]
    assert 0 < len(delivered) <= states.count("done") < 300
    assert states.count("done") + states.count("not_run") == 300
    for place, outcome in delivered.items():
        np.testing.assert_array_equal(outcome.figures, partial[place].figures)
    seen: list[int] = []
    whole = run_chunk(points[:40], 1e-3, lambda finished: seen.extend(finished)).outcomes
    assert sorted(seen) == list(range(40))
    assert {outcome.status for outcome in whole} == {"done"}


def test_values_that_do_not_go_together_are_rows_with_a_reason(quick: dict[str, object]) -> None:
    table = swept(quick, load__constant_current={"none": None, "6 A": 6.0})
    assert table["status"].squeeze().values.tolist() == ["done", "invalid"]
    rows = gs.failed(table)
    assert rows["load__constant_current"].tolist() == ["6 A"]
    assert "excludes resistance and inductance" in rows["message"].item()
    xr.testing.assert_identical(gs.retry(table), table)
    with pytest.raises(gs.InputError, match="excludes resistance"):
        gs.point_of(table.isel(load__constant_current=1))


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"duty": None}, "duty: missing."),
        ({"zip_axes": {"a": {"gate_resistance": [1, 2], "loop_inductance": [0]}}}, "equally many"),
        ({"zip_axes": {"a": {"gate_resistance": [1]}}, "gate_resistance": [2]}, "given more than once"),
        (
            {"axes": {"gate_resistance": [1, 2, 3]}, "gate_resistance": [5]},
            "gate_resistance: given more than",
        ),
        ({"zip_axes": {"efficiency": {"gate_resistance": [1]}}}, "the name is taken"),
        ({"zip_axes": {"gate_resistance": {"gate_resistance": [1], "duty": [1]}}, "duty": None}, "taken"),
        ({"zip_axes": {"a b": {"gate_resistance": [1]}}}, "not a name for a dimension"),
        ({"zip_axes": {"a": {}}}, "zip_axes.a = {}: no fields"),
        ({"mosfet": {}}, "mosfet = []: no values"),
        ({"mosfet": {"A": 3}}, "mosfet = 3: not a Mosfet"),
        ({"mosfet": [1]}, "Give each choice a name"),
        ({"gate_resistance": {"a": "-1 ohm"}}, "gate_resistance = '-1 ohm': out of range"),
        ({"threads": 2, "executor": object()}, "threads = 2: excludes executor"),
    ],
)
def test_axes_that_cannot_be_are_named(
    quick: dict[str, object], changes: dict[str, object], words: str
) -> None:
    with pytest.raises(gs.InputError) as error:
        swept(quick, **changes)
    assert words in str(error.value)


def test_a_point_of_a_table_is_that_operating_point(
    quick: dict[str, object], quick_cell: gs.LowSideCell
) -> None:
    weak = quick_cell.mosfet.replace(channel__threshold_voltage="4.5 V")
    table = swept(quick, mosfet={"A": quick_cell.mosfet, "B": weak}, gate_resistance=[5, 10])
    chosen = table.sel(mosfet="B", gate_resistance=10)
    point = gs.point_of(chosen)
    assert point.cell == quick_cell.replace(mosfet=weak, gate_resistance=10)
    assert point.total_loss == chosen["total_loss"].item()
    waveform = point.waveform
    assert waveform.end - waveform.begin == pytest.approx(1e-5)
    with pytest.raises(ValueError, match="has 4 points; select down to one"):
        gs.point_of(table)
    with pytest.raises(gs.InputError, match="has lost this coordinate"):
        gs.point_of(chosen.drop_vars("gate_resistance"))
    with pytest.raises(gs.InputError, match="dataset: not of a sweep"):
        gs.point_of(chosen.drop_attrs())


def test_a_table_survives_zarr(
    quick: dict[str, object], quick_cell: gs.LowSideCell, tmp_path: object
) -> None:
    pytest.importorskip("zarr")
    table = swept(quick, mosfet={"A": quick_cell.mosfet}, gate_resistance=[5, 10])
    table.to_zarr(f"{tmp_path}/table.zarr", zarr_format=2)
    with xr.open_zarr(f"{tmp_path}/table.zarr") as read:
        xr.testing.assert_equal(read, table)
        assert read["overshoot"].attrs == table["overshoot"].attrs
        point = gs.point_of(read.isel(mosfet=0, gate_resistance=1))
    assert point.total_loss == table["total_loss"].isel(gate_resistance=1).item()


def test_a_table_survives_netcdf_and_becomes_a_data_frame(
    quick: dict[str, object], quick_cell: gs.LowSideCell, tmp_path: object
) -> None:
    table = swept(quick, mosfet={"A": quick_cell.mosfet}, zip_axes={"s": {"gate_resistance": [5, 10]}})
    table.to_netcdf(f"{tmp_path}/table.nc")
    with xr.open_dataset(f"{tmp_path}/table.nc") as read:
        xr.testing.assert_equal(read, table)
        assert read["overshoot"].attrs == table["overshoot"].attrs
        assert gs.point_of(read.isel(s=1)).total_loss == table["total_loss"].isel(s=1).item()
        spoilt = read.load().copy(deep=True)
        spoilt["status"][:] = "failed"
        spoilt["total_loss"][:] = np.nan
        xr.testing.assert_equal(gs.retry(spoilt), table)
    frame = table.to_dataframe()
    assert frame["gate_resistance"].tolist() == [5.0, 10.0]
    assert frame["efficiency"].tolist() == table["efficiency"].values.ravel().tolist()
