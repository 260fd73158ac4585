"""Figures of captures: closed forms of published examples, and the same answers as for the simulation."""

import copy
import dataclasses
import math
import re
from pathlib import Path

import numpy as np
import pytest

import gateswing as gs
from gateswing import _core
from gateswing.measurement.edges import MeasuredEdge, measure_edges
from gateswing.measurement.interval import IntervalEstimate
from gateswing.measurement.rest import joined, rest_level
from gateswing.measurement.skew import energy_against_skew
from gateswing.waveforms.crossings import passages
from straight_edges import hard_edges, lines

PINS = {"v_gs_pin": 12.0, "v_ds_pin": 48.0, "i_d": 10.0}


def capture_of(waveform: gs.Waveform, interval: float, noise: float = 0.0, bits: int = 0) -> gs.Capture:
    """As an instrument takes it: sampled, noise a share of full scale, quantised over 1.6 times that."""
    rng = np.random.default_rng(11)
    times = np.arange(waveform.begin, waveform.end, interval)
    values = {}
    for name, scale in PINS.items():
        one = waveform.value(name, times) + noise * scale * rng.standard_normal(len(times))
        step = 1.6 * scale / 2**bits if bits else 0.0
        values[name] = np.round(one / step) * step if step else one
    units = {name: waveform.units[name] for name in PINS}
    return gs.Capture(times, values, units, (0,), {}, gs.ImportReport((), ()))


def test_the_energies_of_a_published_example_come_out_of_an_imported_file(tmp_path: Path) -> None:
    # M. H. Rashid, Power Electronics, 4th edition, example 4.2: straight lines of voltage and current.
    # Published: Pd 3.75 mW, Pr 42.33 W, Pn 97 W (conduction), Ps 10 W, Pf 125 W.
    supply, on, current, leak, frequency = 250.0, 2.0, 100.0, 3e-3, 10e3
    corners = [0.0, 0.5, 1.5, 50.0, 55.0, 58.0]  # us: delay, rise, on for 48.5 us, storage, fall
    voltage, drain = [supply, supply, on, on, on, supply], [leak, leak, current, current, current, 0.0]
    path = tmp_path / "example.csv"
    text = "Time (us);v (V);i (A)\n" + "".join(
        f"{t:g};{v:g};{i:g}\n".replace(".", ",") for t, v, i in zip(corners, voltage, drain, strict=True)
    )
    path.write_text(text)
    waveform = gs.read_capture(path, channels={"v_ds_pin": "v", "i_d": "i"}).waveform()

    def power(begin: int, end: int) -> float:
        window = _core.Window(waveform.times[2 * begin - (begin > 0)], waveform.times[2 * end - 1])
        return frequency * _core.integral_of_product(waveform.core, "v_ds_pin", "i_d", window)

    assert power(0, 1) == pytest.approx(3.75e-3, rel=1e-9)
    assert power(1, 2) == pytest.approx(42.33, abs=0.01)
    assert power(2, 3) == pytest.approx(97.0, rel=1e-9)
    assert power(3, 4) == pytest.approx(10.0, rel=1e-9)
    # The book lets the voltage rise from zero, V I t/6; from V(sat) the closed form has V(sat) I t/3 more.
    assert power(4, 5) == pytest.approx(125.0 + frequency * on * current * 3e-6 / 3, rel=1e-9)


def test_windowed_and_full_energies_of_straight_edges() -> None:
    on, off = measure_edges(hard_edges())
    assert isinstance(on, gs.MeasuredTurnOn)
    assert isinstance(off, gs.MeasuredTurnOff)
    # One after the other: V I t/2 each. 10 % limits leave out a hundredth of each ramp (derived).
    full = 400.0 * 20.0 * (20e-9 + 30e-9) / 2
    for edge in (on, off):
        assert edge.total_energy == pytest.approx(full, rel=1e-9)
        assert edge.energy == pytest.approx(0.99 * full, rel=1e-9)
        assert edge.test_current == pytest.approx(20.0)
        assert edge.bus_voltage == pytest.approx(400.0)
        assert edge.voltage_slope == pytest.approx(400.0 / 30e-9, rel=1e-6)
    assert on.delay == pytest.approx(42e-9)  # 101 ns to 143 ns
    assert on.rise_time == pytest.approx(24e-9)
    assert off.delay == pytest.approx(12e-9)  # 1001 ns to 1013 ns
    assert off.fall_time == pytest.approx(24e-9)
    assert off.overshoot == pytest.approx(0.0, abs=1e-9)
    assert math.isnan(off.ring_frequency)


def test_a_simulation_measured_at_the_pins_has_its_own_figures(edges: gs.DoublePulse) -> None:
    # v_DS counts from its own level at rest, 0.7 V above the bus: the diode conducts.
    on, off = measure_edges(edges.waveform, bus=edges.cell.bus.voltage)
    assert on.delay == pytest.approx(edges.turn_on.delay, rel=0.01)
    assert on.energy == pytest.approx(edges.turn_on.energy, rel=2e-3)
    assert on.peak_drain_current == edges.turn_on.peak_drain_current
    assert off.energy == pytest.approx(edges.turn_off.energy, rel=2e-3)
    assert off.peak_drain_voltage_pin == edges.turn_off.peak_drain_voltage_pin  # type: ignore[union-attr]
    assert off.test_current == pytest.approx(edges.current, rel=1e-3)


@pytest.mark.parametrize(("noise", "bits"), [(0.0, 0), (0.0, 8), (0.005, 8), (0.01, 8)])
def test_a_noisy_capture_of_a_simulation_has_the_figures_of_the_simulation(
    noise: float, bits: int, edges: gs.DoublePulse
) -> None:
    capture = capture_of(edges.waveform, 0.2e-9, noise, bits)
    if noise > 0.005:
        capture = capture.smoothed("2 ns")
    waveform = capture.waveform()
    assert len(measure_edges(waveform)) == 2
    for bench, model in zip(measure_edges(waveform), measure_edges(edges.waveform), strict=True):
        table = gs.side_by_side(model=model, bench=bench)
        transition = "rise_time" if isinstance(model, gs.MeasuredTurnOn) else "fall_time"
        for figure in ("delay", transition):
            miss = abs(bench.values()[figure] - model.values()[figure])
            sample_and_a_half = 0.3e-9
            assert miss < max(0.02 * model.values()[figure], sample_and_a_half), (figure, table)
        assert abs(table.deviation("energy", "bench")) < 0.01, table
        assert abs(table.deviation("test_current", "bench")) < 0.01, table


def test_noise_moves_a_time_by_less_than_that_of_a_sample() -> None:
    """1 % of noise on 13 V/ns is 0.3 ns in a single sample; the first crossing of many is early, too."""
    straight = hard_edges()
    times = np.arange(0.0, 1.9e-6, 0.1e-9)
    rng = np.random.default_rng(5)
    errors = []
    for _ in range(20):
        noisy = straight.value("v_ds_pin", times) + 4.0 * rng.standard_normal(len(times))
        values = {"v_gs_pin": straight.value("v_gs_pin", times), "v_ds_pin": noisy}
        on, off = measure_edges(gs.Waveform.from_samples(times, values, straight.units))
        errors += [
            on.drain_begin - 143e-9,
            on.drain_end - 167e-9,
            off.drain_begin - 1013e-9,
            off.drain_end - 1037e-9,
        ]
    assert np.std(errors) < 0.15e-9
    assert abs(np.mean(errors)) < 0.05e-9


def test_figures_stand_side_by_side_with_their_definitions() -> None:
    on, off = measure_edges(hard_edges())
    bench = dataclasses.replace(on, energy=1.1 * on.energy, delay=math.nan)
    shown = repr(gs.side_by_side(model=on, bench=bench))
    assert shown.splitlines()[0].split() == ["figure", "model", "bench", "deviation", "definition"]
    assert "+10.0 %" in shown
    assert "+0.0 %" in shown
    assert gs.side_by_side(model=on, bench=bench).deviation("energy", "bench") == pytest.approx(0.1)
    assert "IEC 60747-8" in shown
    unsure = dataclasses.replace(on, uncertainties={"energy": 2e-3 * on.energy})
    (row,) = (row for row in gs.side_by_side(model=on, bench=unsure).rows() if row[0] == "energy")
    assert re.search(r"J ± .*J$", row[2]), row
    assert "±" not in row[1]
    assert "± is half of the 95 % interval by noise" in repr(gs.side_by_side(model=on, bench=unsure))
    assert "± is" not in shown
    thousand = dataclasses.replace(on, delay=1000.0 * on.delay)
    assert " 1e+03 times " in repr(gs.side_by_side(model=on, bench=thousand))
    assert "<th>bench</th>" in gs.side_by_side(model=on, bench=on)._repr_html_()
    with pytest.raises(gs.InputError, match=r"MeasuredTurnOff, MeasuredTurnOn: not two or more.*kind\.$"):
        gs.side_by_side(model=on, bench=off)


def test_the_figures_of_a_simulation_are_to_be_measured_as_well(edges: gs.DoublePulse) -> None:
    with pytest.raises(gs.InputError, match=r"Measure the simulation, too: measure_edges"):
        gs.side_by_side(model=edges.turn_on, bench=measure_edges(edges.waveform)[0])


@pytest.mark.parametrize(
    ("figure", "value", "words"),
    [
        ("bus_voltage", 40.0, "v_ds_pin shows 40 V in the off-state, a tenth of the 400 V .* left out"),
        ("bus_voltage", 4e3, "v_ds_pin shows 4 kV in the off-state, ten times the .* counted twice"),
        ("plateau_voltage_pin", 0.05, "v_gs_pin shows 50 mV on the plateau, a hundredth of"),
        ("test_current", -20.0, "i_d shows -20 A in the on-state against the 20 A .* looks inverted"),
        ("test_current", -2.0, "i_d shows -2 A .* inverted, and has a tenth of its size"),
    ],
)
def test_a_probe_that_is_evidently_wrong_is_doubted(figure: str, value: float, words: str) -> None:
    on = with_figure(measure_edges(hard_edges())[0], "plateau_voltage_pin", 5.0)
    table = gs.side_by_side(model=on, bench=with_figure(on, figure, value))
    (doubt,) = table.doubts()
    assert re.search(f"^bench: {words}", doubt), doubt
    assert f"warning: {doubt}" in repr(table)
    assert "warning: bench: " in table._repr_html_()


def with_figure(edge: MeasuredEdge, name: str, value: float) -> MeasuredEdge:
    changed = copy.copy(edge)
    object.__setattr__(changed, name, value)
    return changed


def test_other_supplies_and_currents_are_not_doubted() -> None:
    on, off = measure_edges(hard_edges())
    for name, value in (("bus_voltage", 200.0), ("test_current", 7.0), ("test_current", math.nan)):
        assert not gs.side_by_side(model=on, bench=with_figure(on, name, value)).doubts()
    assert not gs.side_by_side(model=off, bench=off).doubts()


def test_a_passage_is_counted_once_however_often_noise_crosses_the_level() -> None:
    times = np.arange(0.0, 100.0)
    wiggle = np.where(times % 2 == 0, 0.3, -0.3)
    waveform = lines(times.tolist(), v=(0.05 * (times - 50.0) + wiggle).tolist())
    everything = _core.Window(0.0, 99.0)
    assert len(passages(waveform, "v", 0.0, everything)) > 5
    (only,) = passages(waveform, "v", 0.0, everything, 0.5)
    assert only.rising
    assert only.time == pytest.approx(50.0, abs=1.0)
    assert passages(waveform, "v", 0.0, everything, 5.0) == []


def test_a_jump_is_one_passage() -> None:
    """From 10 to 0 at once, and back in a second: downwards a jump passes the upper of two levels first."""
    channel = _core.Channel("v", "V")
    for direction in (1.0, -1.0):
        values = direction * np.array([10.0, 10.0, 0.0, 0.0, 0.0, 10.0]) + 10.0
        core = _core.Waveform.from_nodes([channel], 1, np.array([0.0, 1.0, 1.0, 2.0, 2.0, 3.0]), [values])
        level = direction * 5.0 + 10.0
        for hysteresis in (0.0, 2.0):
            found = passages(gs.Waveform(core), "v", level, _core.Window(0.0, 3.0), hysteresis)
            assert found == [(1.0, direction < 0.0), (2.5, direction > 0.0)], (direction, hysteresis)


def test_edges_that_cannot_be_measured_are_input_errors_or_missing_figures() -> None:
    flat = lines([0.0, 1.0], v_gs_pin=[0, 0], v_ds_pin=[1, 1])
    assert measure_edges(flat) == ()
    with pytest.raises(gs.InputError, match=r"channel = 'v_ds': no such channel"):
        measure_edges(flat, drain="v_ds")
    with pytest.raises(gs.InputError, match="not inside the waveform"):
        measure_edges(hard_edges(), window=(-1.0, 0.0))
    (edge,) = measure_edges(hard_edges(), window=(0.0, 500e-9), current="i_none")
    assert math.isnan(edge.energy)
    assert edge.delay == pytest.approx(42e-9)


def test_windows_and_skews_of_edges_are_quantities(edges: gs.DoublePulse) -> None:
    waveform = edges.waveform
    half = 0.5 * edges.on_time
    texts = (f"{waveform.begin:.17g} s", f"{half:.17g} s")
    (edge,) = measure_edges(waveform, window=texts)
    assert edge.energy == measure_edges(waveform, window=(waveform.begin, half))[0].energy
    for window in (("0 V", "1 us"), (half, 0.0)):
        with pytest.raises(gs.InputError, match="window"):
            measure_edges(waveform, window=window)
    table = energy_against_skew(waveform, ["-1 ns", 0.0, "1 ns"])
    assert table["skew"].values.tolist() == [-1e-9, 0.0, 1e-9]
    with pytest.raises(gs.InputError, match="skews"):
        energy_against_skew(waveform, ["1 V"])


def test_a_hysteresis_is_a_share_of_a_swing() -> None:
    waveform = hard_edges()
    assert measure_edges(waveform, hysteresis="5 %") == measure_edges(waveform, hysteresis=0.05)
    for wrong, words in (
        (5.0, "hysteresis = 5.0: out of range. Allowed: 0 to 0.1. Did you mean 5 %?"),
        (-1, "hysteresis = -1: out of range."),
        (math.nan, "hysteresis = nan: not a finite number."),
        ("5 V", "hysteresis = '5 V': has the unit 'V', but this is a plain number, or a percentage."),
        ([0.05], "hysteresis = [0.05]: not a plain number, or a percentage."),
    ):
        with pytest.raises(gs.InputError, match=re.escape(words)):
            measure_edges(waveform, hysteresis=wrong)  # type: ignore[arg-type]


def test_a_level_at_rest_is_not_moved_by_a_ring_in_it() -> None:
    """Five cycles and a half of a sine: the plain mean has half a cycle left."""
    times = np.arange(0.0, 110.0)
    ring = np.exp(-times / 80.0) * np.sin(2.0 * np.pi * times / 20.0)
    level = rest_level(times, 3.0 + ring, [(0.0, 110.0)], 0.0)
    assert np.mean(ring) > 0.03
    assert level.value == pytest.approx(3.0, abs=3e-3)
    assert abs(level.value - 3.0) < 4.0 * level.spread
    assert level.weights.sum() == pytest.approx(1.0)
    assert level.weights @ (3.0 + ring) == pytest.approx(level.value)
    # Of a quiet stretch and one with a ring, the quiet one decides.
    both = rest_level(times, np.where(times < 30.0, 3.0, 3.2 + ring), [(0.0, 29.0), (30.0, 110.0)], 0.0)
    assert both.value == pytest.approx(3.0, abs=1e-6)
    assert joined([(2.0, 3.0), (0.0, 1.0), (1.0, 2.0), (5.0, 5.0)]) == [(0.0, 3.0)]


@pytest.mark.parametrize("end", [880e-9, 885e-9, 890e-9, 895e-9])
def test_the_level_of_a_ring_that_lasts_does_not_depend_on_its_end(end: float) -> None:
    """In a record without noise, too, where the last 5 % would be a fraction of a cycle."""
    times = np.arange(0.0, end, 0.5e-9)
    ring = np.where(times > 200e-9, 20.0 * np.sin(4e7 * np.pi * (times - 200e-9)), 0.0)
    drain = np.interp(times, [180e-9, 200e-9], [0.0, 48.0]) + ring
    gate = np.interp(times, [100e-9, 110e-9], [10.0, 0.0])
    units = {"v_gs_pin": "V", "v_ds_pin": "V"}
    (off,) = measure_edges(gs.Waveform.from_samples(times, {"v_gs_pin": gate, "v_ds_pin": drain}, units))
    assert off.bus_voltage == pytest.approx(48.0, abs=0.1)


@pytest.mark.parametrize(("ramp", "record"), [(300e-9, 400e-9), (600e-9, 800e-9), (20e-9, 100e-9)])
def test_the_off_state_begins_when_the_drain_has_arrived(ramp: float, record: float) -> None:
    """A light load charges the drain long after the gate; or the record ends soon after a hard edge."""
    times = np.arange(0.0, 0.2e-6 + record, 0.5e-9)
    gate = np.interp(times, [190e-9, 210e-9], [10.0, 0.0])
    drain = np.interp(times, [200e-9, 200e-9 + ramp], [0.0, 400.0])
    units = {"v_gs_pin": "V", "v_ds_pin": "V"}
    (off,) = measure_edges(gs.Waveform.from_samples(times, {"v_gs_pin": gate, "v_ds_pin": drain}, units))
    assert isinstance(off, gs.MeasuredTurnOff)
    assert off.bus_voltage == pytest.approx(400.0, rel=0.035)
    assert off.fall_time == pytest.approx(0.8 * ramp, rel=0.035)


def test_a_ring_that_grows_has_no_decay() -> None:
    times = np.arange(0.0, 2e-6, 0.5e-9)
    straight = hard_edges()
    since = np.maximum(times - 1040e-9, 0.0)
    for decay in (300e-9, -600e-9):
        swing = 20.0 * np.exp(-since / decay) * np.sin(2.0 * np.pi * 20e6 * since)
        values = {name: straight.value(name, times) for name in straight.units}
        values["v_ds_pin"] = values["v_ds_pin"] + swing
        off = measure_edges(gs.Waveform.from_samples(times, values, straight.units))[1]
        assert isinstance(off, gs.MeasuredTurnOff)
        assert off.ring_frequency == pytest.approx(20e6, rel=0.01)
        if decay > 0.0:
            assert off.ring_decay_time == pytest.approx(decay, rel=0.05)
            assert off.ring_quality == pytest.approx(np.pi * 20e6 * decay, rel=0.05)
        else:
            assert math.isnan(off.ring_decay_time)
            assert math.isnan(off.ring_quality)


def test_an_energy_whose_limit_may_not_be_reached_is_not_bounded() -> None:
    """v_DS stays at 9.7 % of the bus after the turn-on: the limit at 10 % lies within the noise of that."""
    times = np.arange(0.0, 190e-9, 0.5e-9)
    straight = hard_edges()
    values = {name: straight.value(name, times) for name in straight.units}
    noise = 1.5 * np.random.default_rng(6).standard_normal(len(times))
    values["v_ds_pin"] = 0.097 * 400.0 + 0.903 * values["v_ds_pin"] + noise
    (edge,) = measure_edges(gs.Waveform.from_samples(times, values, straight.units))
    assert edge.energy > 0.0
    assert edge.uncertainties["energy"] == math.inf
    assert math.isfinite(edge.uncertainties["total_energy"])
    (row,) = (row for row in edge.rows() if row[0] == "energy")
    assert re.fullmatch(r"[\d.]+ uJ ± ∞", row[1]), row
    assert IntervalEstimate("a", "V", 1.0, math.inf).cells() == ("a", "1 V", "± ∞")


def test_a_channel_that_stands_still_is_measured_or_named() -> None:
    straight = hard_edges()
    times = np.arange(0.0, 2e-6, 1e-9)
    values = {name: straight.value(name, times) for name in straight.units}
    for current in (0.0, 3.0):
        still = values | {"i_d": np.full(len(times), current)}
        edges = measure_edges(gs.Waveform.from_samples(times, still, straight.units))
        for edge, known in zip(edges, measure_edges(straight), strict=True):
            assert edge.current_offset == current
            assert edge.total_energy == 0.0
            assert math.isnan(edge.energy)
            assert edge.delay == pytest.approx(known.delay, rel=1e-3)
    for noise in (0.0, 0.5):
        still = values | {"v_ds_pin": noise * np.random.default_rng(2).standard_normal(len(times)) + 7.0}
        waveform = gs.Waveform.from_samples(times, still, straight.units)
        with pytest.raises(gs.InputError, match="drain = 'v_ds_pin': does not switch"):
            measure_edges(waveform, bus="400 V", on_voltage="0.1 V")
    level = rest_level(np.arange(9.0), np.zeros(9), [(0.0, 4.0), (4.5, 8.0)], 0.0)
    assert (level.value, level.spread) == (0.0, 0.0)
    assert level.weights.sum() == pytest.approx(1.0)


def test_an_offset_of_the_current_does_not_reach_the_energies(edges: gs.DoublePulse) -> None:
    """One ampere over a whole record would be 48 W times 1.2 us; total energies count, too."""
    times = np.arange(edges.waveform.begin, edges.waveform.end, 0.2e-9)
    values = {name: edges.waveform.value(name, times) for name in PINS}
    values["i_d"] = values["i_d"] + 1.0
    found = measure_edges(gs.Waveform.from_samples(times, values, edges.waveform.units))
    for bench, model in zip(found, measure_edges(edges.waveform), strict=True):
        window = _core.Window(bench.begin, bench.end)
        true = _core.integral_of_product(edges.waveform.core, "v_ds_pin", "i_d", window)
        assert bench.current_offset == pytest.approx(1.0, abs=5e-3)
        assert bench.energy == pytest.approx(model.energy, rel=5e-3)
        assert bench.total_energy == pytest.approx(true, rel=0.01)


def test_the_interval_of_an_energy_holds_noise_gains_and_skew(edges: gs.DoublePulse) -> None:
    """Each is off by one standard deviation, to all sides in turn: the energies stay inside, not by far."""
    shown = gs.Probe(bandwidth="500 MHz").seen(edges.waveform, tuple(PINS))
    times = np.arange(shown.begin + 3e-9, shown.end - 3e-9, 0.4e-9)
    models = measure_edges(shown)
    rng = np.random.default_rng(12)
    misses = []
    for by_drain, by_current, late in ((1, 1, 1), (1, 1, -1), (1, -1, 1), (-1, -1, 1), (-1, -1, -1)):
        moves = {"v_gs_pin": (0, 0), "v_ds_pin": (by_drain, 0), "i_d": (by_current, late)}
        values = {
            name: (1.0 + 0.02 * gain) * shown.value(name, times - 0.2e-9 * skew)
            + 0.01 * PINS[name] * rng.standard_normal(len(times))
            for name, (gain, skew) in moves.items()
        }
        capture = gs.Waveform.from_samples(times, values, shown.units)
        said = measure_edges(capture, gain_error=0.02, skew_error="0.2 ns")
        for bench, model in zip(said, models, strict=True):
            window = _core.Window(bench.begin, bench.end)
            total = _core.integral_of_product(shown.core, "v_ds_pin", "i_d", window)
            misses.append((bench.energy - model.energy) / bench.uncertainties["energy"])
            misses.append((bench.total_energy - total) / bench.uncertainties["total_energy"])
    assert 0.5 < np.abs(misses).max() < 1.2, misses
    # Each channel is off by 2 %: 2 sqrt(2) % of the energy, by skew v di/dt over the edge.
    for bench, alone in zip(said, measure_edges(capture), strict=True):
        added = math.sqrt(bench.uncertainties["energy"] ** 2 - alone.uncertainties["energy"] ** 2)
        assert added > 1.96 * 0.02 * math.sqrt(2.0) * bench.energy
    with pytest.raises(gs.InputError, match=r"gain_error = .*out of range"):
        measure_edges(shown, gain_error="200 %")
    with pytest.raises(gs.InputError, match=r"bus = .*24 nF"):
        measure_edges(shown, bus="24 nF")
