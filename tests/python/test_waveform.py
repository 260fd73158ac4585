"""A waveform is exact between its nodes, and so is its integral."""

import pickle

import numpy as np
import pytest

import gateswing as gs
from gateswing import _core

STEPS = np.array([0.0, 0.1, 0.35, 0.4, 1.0])


def quartic(time: np.ndarray) -> np.ndarray:
    return np.asarray(3.0 - time + 2.0 * time**2 - 5.0 * time**3 + 4.0 * time**4)


def primitive(time: np.ndarray) -> np.ndarray:
    return np.asarray(3.0 * time - time**2 / 2 + 2.0 * time**3 / 3 - 5.0 * time**4 / 4 + 4.0 * time**5 / 5)


@pytest.fixture
def waveform() -> gs.Waveform:
    """A quartic, and a step of one volt at 0.35 s."""
    nodes = np.linspace(STEPS[:-1], STEPS[1:], 5).T
    jump = np.where(np.arange(4)[:, np.newaxis] >= 2, 1.0, 0.0) * np.ones((4, 5))
    channels = [_core.Channel("v", "V"), _core.Channel("jump", "V")]
    values = [quartic(nodes).ravel(), jump.ravel()]
    return gs.Waveform(_core.Waveform.from_nodes(channels, 4, nodes.ravel(), values))


def test_values_between_nodes_are_exact(waveform: gs.Waveform) -> None:
    times = np.linspace(0.0, 1.0, 1001)
    assert waveform.value("v", times) == pytest.approx(quartic(times), abs=1e-13)


def test_a_value_has_the_shape_of_its_times(waveform: gs.Waveform) -> None:
    assert waveform.value("v", 0.5).shape == ()
    assert waveform.value("v", np.full((2, 3), 0.5)).shape == (2, 3)


def test_at_a_jump_the_later_value_counts(waveform: gs.Waveform) -> None:
    assert waveform.value("jump", [0.3499999, 0.35, 0.36]) == pytest.approx([0.0, 1.0, 1.0], abs=1e-14)


def test_an_integral_is_exact_from_any_time_to_any_time(waveform: gs.Waveform) -> None:
    times = np.array([[0.0, 0.2], [0.35, 1.0]])
    found = waveform.integral("v", 0.22, times)
    assert found == pytest.approx(primitive(times) - primitive(np.array(0.22)), abs=1e-14)
    assert waveform.integral("jump", 0.0, 1.0) == pytest.approx(0.65, abs=1e-14)


@pytest.mark.parametrize("time", [-1e-9, 1.0 + 1e-9])
def test_outside_there_is_no_value(waveform: gs.Waveform, time: float) -> None:
    with pytest.raises(ValueError, match="outside the waveform, which covers 0 s to 1 s"):
        waveform.value("v", time)


def test_an_unknown_channel_is_named(waveform: gs.Waveform) -> None:
    with pytest.raises(ValueError, match="no channel 'w'; its channels are: v, jump"):
        waveform.values("w")


def test_a_dataset_carries_units_and_increasing_times(waveform: gs.Waveform) -> None:
    data = waveform.to_dataset()
    assert data["v"].attrs["units"] == "V"
    assert data["time"].attrs["units"] == "s"
    assert np.all(np.diff(data["time"]) > 0)
    assert data["time"].values[[0, -1]].tolist() == [0.0, 1.0]
    assert waveform.to_dataset([0.25, 0.5])["v"].values == pytest.approx(quartic(np.array([0.25, 0.5])))


def test_a_waveform_survives_pickling(waveform: gs.Waveform) -> None:
    copy = pickle.loads(pickle.dumps(waveform))
    assert np.array_equal(copy.times, waveform.times)
    assert np.array_equal(copy.values("v"), waveform.values("v"))
