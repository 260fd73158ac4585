"""What gateswing 0.1.0 wrote: stores and pickles are read, or refused with both versions named.

The files in `earlier` are those of the sweep and the objects below, written before loads had kinds.
"""

import lzma
import pickle
import shutil
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import gateswing as gs
from gateswing.pickled import VERSION
from gateswing.sweeping.store import PointStore
from gateswing.testing import compare_waveforms, read_reference

EARLIER = Path(__file__).parent / "earlier"
# What has become of that reference, written from the simulation.
PRESENT = Path(__file__).parent.joinpath(
    "references", "test_waveform_regression", "test_the_edges_of_the_example_stay_as_they_are.csv"
)


def pickled(name: str) -> bytes:
    return lzma.decompress((EARLIER / f"{name}.pickle.xz").read_bytes())


def test_an_earlier_design_is_read_and_is_the_example(design: gs.Design) -> None:
    assert pickle.loads(pickled("design")) == design


def test_earlier_edges_are_read_with_their_waveform(quick_cell: gs.LowSideCell) -> None:
    edges = pickle.loads(pickled("double_pulse"))
    assert edges.cell == quick_cell
    now = gs.double_pulse(quick_cell, relative_tolerance=1e-3)
    assert edges.turn_off.energy == pytest.approx(now.turn_off.energy, rel=0.01)
    assert np.isfinite(edges.waveform.values("v_ds")).all()
    assert repr(edges)


def test_a_pickle_without_figures_of_today_is_refused_with_both_versions() -> None:
    words = f"gateswing {gs.__version__} .* OperatingPoint, pickled by 0.1.0 or earlier: it lacks useful_"
    with pytest.raises(pickle.UnpicklingError, match=words):
        pickle.loads(pickled("operating_point"))


def test_a_pickle_with_a_field_of_tomorrow_is_refused_with_both_versions() -> None:
    class Later(gs.Supply):
        colour: str = "red"

    later = Later(voltage="24 V")
    state: dict[str, Any] = later.__getstate__() | {VERSION: "9.9"}
    words = f"gateswing {gs.__version__} .* Supply, pickled by 9.9: nothing is known of colour"
    with pytest.raises(pickle.UnpicklingError, match=words):
        gs.Supply.__new__(gs.Supply).__setstate__(state)


def test_an_earlier_store_opens_and_a_sweep_adds_to_it(quick_cell: gs.LowSideCell, tmp_path: Path) -> None:
    path = tmp_path / "points.db"
    shutil.copy(EARLIER / "points.db", path)
    with PointStore(path) as store:
        assert len(store) == 2
    table = gs.sweep(quick_cell, frequency=[1e5], duty=[0.4, 0.5], relative_tolerance=1e-3, store=path)
    assert (table.status == "done").all()
    with PointStore(path) as store:
        assert len(store) in (2, 4)  # those of other figures stay beside those of today


def test_an_earlier_reference_has_its_rings_by_the_definitions_of_today() -> None:
    """It states first peaks, and levels over 5 % of the time whatever rings there."""
    path = EARLIER / "reference.csv"
    assert "v_ds_pin.after_edge_1.ring_peak" in path.read_text(encoding="utf-8")
    figures = read_reference(path).figures
    assert not [name for name in figures if name.endswith("ring_peak")]
    # Of 21 V at the first peak, a quarter of a cycle after the end of the transition, by e every 10.4 ns.
    amplitude = figures["v_ds_pin.after_edge_1.ring_amplitude"]
    assert amplitude.unit == "V"
    assert amplitude.value == pytest.approx(21.06 * np.exp(6.7 / 10.4), rel=0.2)
    present = PRESENT.read_text(encoding="utf-8")
    assert "# schema = 2\n" in present
    channels = ["v_gs_pin", "v_ds", "v_ds_pin", "i_d"]
    found = compare_waveforms(path, PRESENT, channels=channels)
    assert found.is_same, found


def test_a_store_of_another_layout_is_refused_with_both(tmp_path: Path) -> None:
    import sqlite3

    path = tmp_path / "points.db"
    shutil.copy(EARLIER / "points.db", path)
    database = sqlite3.connect(path)
    database.execute("PRAGMA user_version = 7")
    database.close()
    words = f"store of layout 7; gateswing {gs.__version__} reads 1"
    with pytest.raises(gs.StoreError, match=words):
        PointStore(path)
