"""The core's waveform and measures as Python sees them: views, shapes, pickles, None and errors."""

import gc
import math
import pickle
from pathlib import Path

import numpy as np
import pytest

from gateswing import _core

TIMES = np.linspace(0.0, 10.0, 501)
WHOLE = _core.Window(0.0, 10.0)


def captured() -> _core.Waveform:
    """Two channels as a capture would bring them."""
    channels = [_core.Channel("v", "V"), _core.Channel("i", "A")]
    return _core.Waveform.from_samples(channels, TIMES, [np.sin(TIMES), np.cos(TIMES)])


def test_channels_carry_name_and_unit() -> None:
    waveform = captured()
    assert [(channel.name, channel.unit) for channel in waveform.channels] == [("v", "V"), ("i", "A")]
    assert (waveform.degree, waveform.steps, waveform.begin, waveform.end) == (1, 500, 0.0, 10.0)


def test_times_and_values_are_read_only_views_that_outlive_the_name_of_their_waveform() -> None:
    waveform = captured()
    times, values = waveform.times, waveform.values("i")
    assert np.shares_memory(values, waveform.values("i"))
    assert not times.flags.writeable
    assert not values.flags.writeable
    assert not values.flags.owndata
    del waveform
    gc.collect()
    np.testing.assert_allclose(values, np.cos(times))


def test_value_and_derivative_take_any_shape() -> None:
    waveform = captured()
    assert isinstance(waveform.value("v", 1.0), float)
    assert waveform.value("v", TIMES[50]) == pytest.approx(math.sin(TIMES[50]), abs=1e-15)
    grid = np.array([[0.5, 1.5, 2.5], [3.5, 4.5, 5.5]])
    np.testing.assert_allclose(waveform.value("v", grid), np.sin(grid), atol=1e-4)
    np.testing.assert_allclose(waveform.derivative("v", grid + 0.01), np.cos(grid + 0.01), atol=1e-4)
    np.testing.assert_array_equal(waveform.resample("v", grid[0]), waveform.value("v", grid[0]))


def test_errors_are_value_errors_in_words() -> None:
    waveform = captured()
    with pytest.raises(ValueError, match="no channel 'x'; its channels are: v, i"):
        waveform.values("x")
    with pytest.raises(ValueError, match="outside the waveform"):
        waveform.value("v", 10.5)
    with pytest.raises(ValueError, match="channel 'v' has 2 values for 501 times"):
        _core.Waveform.from_samples([_core.Channel("v", "V")], TIMES, [np.zeros(2)])
    with pytest.raises(ValueError, match="must run forwards inside the waveform"):
        _core.maximum(waveform, "v", _core.Window(-1.0, 2.0))


def test_a_waveform_survives_pickle_text_and_rebuilding(tmp_path: Path) -> None:
    waveform = captured()
    assert pickle.loads(pickle.dumps(waveform)) == waveform
    waveform.write_csv(tmp_path / "capture.csv")
    assert _core.Waveform.read_csv(tmp_path / "capture.csv") == waveform
    values = [waveform.values(channel.name) for channel in waveform.channels]
    assert _core.Waveform.from_nodes(waveform.channels, 1, waveform.times, values) == waveform
    with pytest.raises(RuntimeError, match="cannot read"):
        _core.Waveform.read_csv(tmp_path / "missing.csv")


def test_measures_of_one_channel() -> None:
    waveform = captured()
    assert _core.maximum(waveform, "v", WHOLE).value == pytest.approx(1.0, abs=1e-4)
    assert _core.minimum(waveform, "i", WHOLE).time == pytest.approx(math.pi, abs=0.01)
    assert _core.maximum_slope(waveform, "v", WHOLE).value == pytest.approx(1.0, abs=1e-4)
    assert _core.minimum_slope(waveform, "v", WHOLE).value == pytest.approx(-1.0, abs=1e-4)
    assert _core.steepest_slope(waveform, "i", WHOLE).value == pytest.approx(-1.0, abs=1e-4)
    assert _core.integral(waveform, "i", WHOLE) == pytest.approx(math.sin(10.0), abs=1e-4)
    average = _core.mean(waveform, "v", _core.whole(waveform))
    assert average == pytest.approx((1 - math.cos(10.0)) / 10.0, abs=1e-4)
    squared = _core.integral_of_product(waveform, "v", "v", WHOLE)
    assert squared == pytest.approx(5.0 - math.sin(20.0) / 4.0, abs=1e-3)
    assert _core.root_mean_square(waveform, "v", WHOLE) == pytest.approx(math.sqrt(squared / 10.0))
    product = _core.integral_of_product(waveform, "v", "i", WHOLE)
    assert product == pytest.approx(math.sin(10.0) ** 2 / 2.0, abs=1e-3)
    assert _core.overshoot(waveform, "v", 0.0, 0.8, WHOLE).fraction == pytest.approx(0.25, abs=1e-3)
    assert _core.plateau(waveform, "v", _core.Window(1.0, 2.0)).voltage == pytest.approx(1.0, abs=1e-3)


def test_crossings_and_rings() -> None:
    waveform = captured()
    found = _core.crossings(waveform, "v", 0.5, _core.clipped(waveform, _core.Window(-1.0, 4.0)))
    assert [crossing.direction for crossing in found] == [_core.Direction.rising, _core.Direction.falling]
    assert found[0].time == pytest.approx(math.pi / 6.0, abs=1e-4)
    rising = _core.Direction.rising
    assert _core.first_crossing(waveform, "v", 0.5, rising, WHOLE) == found[0].time
    assert _core.last_crossing(waveform, "v", 0.5, rising, WHOLE) == pytest.approx(math.pi * 13 / 6, abs=1e-4)
    assert _core.first_crossing(waveform, "v", 1.5, rising, WHOLE) is None
    transition = _core.main_transition(waveform, "i", 0.8, -0.8, WHOLE)
    assert transition is not None
    assert transition.length == pytest.approx(2.0 * math.asin(0.8), abs=1e-3)
    assert _core.settling_time(waveform, "v", 0.0, 2.0, WHOLE) == 0.0
    ring = _core.ring(waveform, "v", 0.0, 0.1, WHOLE)
    assert ring is not None
    assert ring.half_cycles == 3
    assert ring.frequency == pytest.approx(0.5 / math.pi, rel=1e-3)
    assert ring.quality == pytest.approx(math.pi * ring.frequency * ring.decay_time)
    assert _core.ring(waveform, "v", 0.0, 1.1, WHOLE) is None


def test_edges() -> None:
    times = [0.0, 1.0, 2.0, 3.0, 4.0, 5.0]
    gate = [0.0, 0.0, 5.0, 5.0, 10.0, 10.0]
    drain = [40.0, 40.0, 40.0, 0.0, 0.0, 0.0]
    current = [0.0, 0.0, 2.0, 2.0, 2.0, 2.0]
    channels = [_core.Channel("g", "V"), _core.Channel("d", "V"), _core.Channel("i", "A")]
    waveform = _core.Waveform.from_samples(channels, times, [gate, drain, current])
    levels = _core.Levels(0.0, 10.0), _core.Levels(0.0, 40.0)
    everything = _core.whole(waveform)
    edge = _core.turn_on_times(waveform, "g", levels[0], "d", levels[1], everything)
    assert edge.delay == pytest.approx(0.9)
    assert edge.transition == pytest.approx(0.8)
    assert edge.total == pytest.approx(1.7)
    missing = _core.turn_off_times(waveform, "g", levels[0], "d", levels[1], everything)
    assert (missing.gate, missing.drain, missing.delay, missing.transition, missing.total) == (None,) * 5
    limits = _core.EnergyLimits(voltage=40.0, current=2.0, voltage_fraction=0.1, current_fraction=0.1)
    window = _core.turn_on_energy_window(waveform, "d", "i", limits, everything)
    assert window is not None
    assert window.begin == pytest.approx(1.1)
    assert window.end == pytest.approx(2.9)
    assert _core.turn_on_energy(waveform, "d", "i", limits, everything) == pytest.approx(0.99 * 80.0)
    assert _core.turn_off_energy_window(waveform, "d", "i", limits, everything) is None
    assert _core.turn_off_energy(waveform, "d", "i", limits, everything) is None
    assert pickle.loads(pickle.dumps(edge)) == edge
