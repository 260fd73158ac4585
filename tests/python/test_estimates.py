"""Estimates from captures of known cells, seen with noise, steps, gains, offsets and skews.

The cells are those of fixed seeds. GATESWING_ESTIMATES=all counts over all 300 of them, which takes half an
hour, =some over 22; else there is one with each fourth unknown, and case 57.

Cases 57, 105 and 177 have next to no noise, so that every cycle of their rings counts, and once were not
explained by any search: in 57 the loop inductance is guessed twice too large, and the snubber leaves no ring
of v_DS to start from; in 105 and 177 the load current was traded for the gain of i_D, against its bound.
"""

import json
import os
import re
from pathlib import Path
from typing import NamedTuple

import matplotlib as mpl
import numpy as np
import pytest
from click.testing import CliRunner, Result
from matplotlib import pyplot as plt

import gateswing as gs
from gateswing.capture.quality import noise_of
from gateswing.cli import main
from gateswing.measurement.ringing import strongest_ring
from gateswing.studies.asking import quiet_double_pulse
from gateswing.waveforms.denoise import denoised

CASES = (7, 8, 57)
CAMPAIGN = {"all": range(300), "some": (*range(0, 300, 15), 57, 177)}.get(
    os.environ.get("GATESWING_ESTIMATES", "")
)
pytestmark = pytest.mark.filterwarnings("ignore::gateswing.InputWarning")
CHANNELS = ("v_gs_pin", "v_ds_pin", "i_d")
BOUNDS = {
    "loop_inductance": ("2 nH", "100 nH"),
    "driver.source_resistance": ("0.4 ohm", "40 ohm"),
    "driver.sink_resistance": ("0.3 ohm", "20 ohm"),
}
# Where the interval is narrower.
IDENTIFIED = {"loop_inductance": 0.05, "driver.source_resistance": 0.1, "driver.sink_resistance": 0.1}
# Of the circuit itself, seen through noise, steps, bandwidth, gains and skews; times also to one sample.
PROMISED = {
    "turn_on.delay": 0.02, "turn_on.rise_time": 0.02, "turn_on.energy": 0.03,
    "turn_off.delay": 0.02, "turn_off.fall_time": 0.02, "turn_off.energy": 0.03,
    "turn_off.overshoot": 0.03,
}  # fmt: skip
# Taken in turn as the fourth unknown.
FOURTH = (
    ("common_source_inductance", ("0.1 nH", "6 nH")),
    ("mosfet.gate_drain_capacitance", (0.4, 2.5)),
)


class Case(NamedTuple):
    """A cell, what an instrument shows of it, and what is known beforehand."""

    cell: gs.LowSideCell
    guess: gs.LowSideCell
    current: float
    unknowns: dict[str, tuple[str | float, str | float]]
    shown: gs.Waveform
    capture: gs.Capture
    probe: gs.Probe
    delays: dict[str, float]
    interval: float
    on_voltage: float

    def true(self, path: str) -> float:
        if path == "current":
            return self.current
        value = self.cell.value_at(path)
        if isinstance(value, gs.DepletionCapacitance):
            return value.zero_bias / self.guess.mosfet.gate_drain_capacitance.zero_bias
        return float(value)


def log_uniform(rng: np.random.Generator, low: float, high: float) -> float:
    return float(np.exp(rng.uniform(np.log(low), np.log(high))))


def drawn_cells(
    base: gs.LowSideCell, fourth: str, rng: np.random.Generator
) -> tuple[gs.LowSideCell, gs.LowSideCell]:
    """The cell, and what is thought of it: each unknown off by up to a factor of two."""
    common = {
        "gate_resistance": log_uniform(rng, 3.0, 15.0),
        "bus.voltage": log_uniform(rng, 24.0, 60.0),
        "snubber": base.snubber if rng.random() < 0.5 else None,
    }
    known = base.replace(common)
    truth = {
        "loop_inductance": log_uniform(rng, 6e-9, 40e-9),
        "driver.source_resistance": log_uniform(rng, 1.5, 10.0),
        "driver.sink_resistance": log_uniform(rng, 1.0, 6.0),
        "common_source_inductance": log_uniform(rng, 0.3e-9, 2e-9),
    }
    if fourth == "mosfet.gate_drain_capacitance":
        factor = log_uniform(rng, 0.7, 1.4)
        law = base.mosfet.gate_drain_capacitance
        for name in ("zero_bias", "floor", "ceiling"):
            truth[f"{fourth}.{name}"] = factor * getattr(law, name)
    else:
        known = known.replace(common_source_inductance=1e-9)
    guess = known.replace({path: truth[path] * log_uniform(rng, 0.5, 2.0) for path in BOUNDS})
    if fourth == "mosfet.gate_drain_capacitance":
        guess = guess.replace(common_source_inductance=truth["common_source_inductance"])
    return known.replace(truth), guess


def taken(
    shown: gs.Waveform, noise: float, interval: float, delays: dict[str, float], rng: np.random.Generator
) -> gs.Capture:
    """By a converter of 8 bits over 1.25 times each range, with a gain and an offset of up to 1 % each."""
    times = np.arange(shown.begin + 3e-9, shown.end - 3e-9, interval)
    values = {}
    for name in CHANNELS:
        span = float(np.ptp(shown.values(name)))
        one = rng.uniform(0.99, 1.01) * shown.value(name, times - delays.get(name, 0.0))
        one += span * (rng.uniform(-0.01, 0.01) + noise * rng.standard_normal(len(times)))
        step = 1.25 * span / 2**8
        values[name] = step * np.round(one / step)
    units = {name: shown.units[name] for name in CHANNELS}
    return gs.Capture(times, values, units, (0,), {}, gs.ImportReport((), ()))


def drawn(base: gs.LowSideCell, case: int) -> Case:
    rng = np.random.default_rng([7, case])
    fourth, bounds = FOURTH[case % 2]
    cell, guess = drawn_cells(base, fourth, rng)
    current = float(rng.uniform(4.0, 12.0))
    edges = quiet_double_pulse(cell, current=current, on_time="300 ns", off_time="250 ns")
    assert edges.succeeded, edges.message
    probe = gs.Probe(bandwidth=log_uniform(rng, 100e6, 500e6))
    shown = probe.seen(edges.waveform, CHANNELS)
    noise, interval = log_uniform(rng, 1e-3, 3e-2), float(rng.choice([0.2e-9, 0.4e-9, 0.8e-9]))
    delays = {name: float(rng.uniform(-2e-9, 2e-9)) for name in ("v_gs_pin", "i_d")}
    capture = taken(shown, noise, interval, delays, rng)
    # The ring of the turn-on is still in it, so its mean is weighted.
    weights = np.hanning(181)
    at_rest = edges.waveform.value("v_ds_pin", np.linspace(110e-9, 290e-9, 181))
    on_voltage = float(weights @ at_rest / weights.sum())
    return Case(
        cell, guess, current, {**BOUNDS, fourth: bounds}, shown, capture, probe, delays, interval,
        on_voltage,
    )  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_a_cell_is_found_in_a_capture_of_it(case: int, cell: gs.LowSideCell) -> None:
    one = drawn(cell, case)
    found = gs.estimate(one.guess, one.capture, one.unknowns, probe=one.probe)
    assert max(found.misfit.values()) < 1.3, found
    for estimate in found.estimates:
        true = one.true(estimate.path)
        # 95 % intervals: of the fixed cases none may miss by as much again.
        reach = (estimate.high / estimate.low) ** 0.5
        assert estimate.low / reach < true < estimate.high * reach, f"{estimate}\n{true}\n{found}"
    for path, most in IDENTIFIED.items():
        if found[path].relative_uncertainty < most:
            assert found[path].value == pytest.approx(one.true(path), rel=most), found
    for name, delay in one.delays.items():
        assert found.skew(name).value == pytest.approx(delay, abs=0.2e-9), found
    # As long, since a ring is not over at the end of the record, where levels are taken.
    edges = quiet_double_pulse(one.cell, current=one.current, on_time="300 ns", off_time=found.edges.off_time)
    for name, most in PROMISED.items():
        edge, _, figure = name.partition(".")
        true, fitted = getattr(edges, edge).values()[figure], found.figure(name)
        assert abs(fitted.value - true) < 2.0 * fitted.uncertainty + 1e-3 * true, (name, true, found)
        assert fitted.value == pytest.approx(true, rel=most, abs=one.interval if "energy" not in name else 0)


@pytest.fixture(scope="module")
def ringing() -> tuple[gs.LowSideCell, gs.LowSideCell, gs.Capture]:
    """A guess, a cell whose current rings a hundred times while v_DS hardly does, and its capture."""
    guess = gs.LowSideCell(
        bus="24 V", mosfet="logic-60V", driver="pin-5V", gate_resistance="100 ohm", freewheel="schottky-60V",
        load=gs.Load(constant_current="2 A"), loop_inductance="30 nH", pull_down_resistance="10 kohm",
        snubber=gs.Snubber(resistance="10 ohm", capacitance="1 nF"),
    )  # fmt: skip
    cell = guess.replace({"loop_inductance": "44 nH", "driver.sink_resistance": "18 ohm"})
    shown = quiet_double_pulse(cell, on_time="1 us", off_time="600 ns").waveform
    times = np.arange(shown.begin, shown.end, 1e-9)
    rng = np.random.default_rng(3)
    sizes = {"v_gs_pin": 0.03, "v_ds_pin": 0.1, "i_d": 0.02}
    values = {
        name: shown.value(name, times) + size * rng.standard_normal(len(times))
        for name, size in sizes.items()
    }
    units = {name: shown.units[name] for name in CHANNELS}
    return guess, cell, gs.Capture(times, values, units, (0,), {}, gs.ImportReport((), ()))


def test_a_ring_of_many_cycles_is_found_by_the_first_search(
    ringing: tuple[gs.LowSideCell, gs.LowSideCell, gs.Capture],
) -> None:
    guess, cell, capture = ringing
    unknowns = {"loop_inductance": ("5 nH", "200 nH"), "driver.sink_resistance": ("2 ohm", "100 ohm")}
    seen: list[tuple[int, int]] = []
    found = gs.estimate(
        guess, capture, unknowns, current="2 A", relative_tolerance=1e-4,
        progress=lambda simulations, search: seen.append((simulations, search)),
    )  # fmt: skip
    assert max(found.misfit.values()) < 1.3, found
    for path in unknowns:
        assert found[path].low < cell.value_at(path) < found[path].high, found
    assert seen == [(count, 1) for count in range(1, found.simulations + 1)]


@pytest.mark.parametrize("ring", [(8.0, 30e-9), (300.0, 1e-6)])
def test_a_ring_is_told_by_its_spectrum(ring: tuple[float, float]) -> None:
    cycles, decay = ring
    rng = np.random.default_rng(5)
    times = np.arange(0.0, cycles / 100e6, 1e-9)
    tail = 3.0 * np.exp(-times / (0.2 * times[-1]))
    damped = np.exp(-times / decay) * np.sin(2.0 * np.pi * 100e6 * times)
    noise = 0.03 * rng.standard_normal(len(times))
    found = strongest_ring(tail + damped + noise, 1e-9, 0.03)
    assert found is not None
    assert found.frequency == pytest.approx(100e6, rel=0.02)
    assert strongest_ring(tail + noise, 1e-9, 0.03) is None


@pytest.mark.parametrize("case", CASES)
def test_times_and_energies_are_within_their_bounds_or_say_so(case: int, cell: gs.LowSideCell) -> None:
    one = drawn(cell, case)
    traces = {name: gs.Trace(column=name, delay=one.delays.get(name, 0.0)) for name in CHANNELS}
    capture = one.capture.mapped(traces).waveform()
    bus = gs.measure_edges(one.shown)[0].bus_voltage
    models = gs.measure_edges(one.shown, bus=bus)
    edges = gs.measure_edges(capture, bus=bus, on_voltage=one.on_voltage)
    assert len(edges) == len(models) == 2
    for model, edge in zip(models, edges, strict=True):
        transition = "rise_time" if isinstance(edge, gs.MeasuredTurnOn) else "fall_time"
        for figure in ("delay", transition, "energy"):
            true, found = model.values()[figure], edge.values()[figure]
            most = 0.03 * true if figure == "energy" else max(0.02 * true, one.interval)
            said = edge.uncertainties[figure]
            assert abs(found - true) < max(most, 1.5 * said), (figure, true, edge)


@pytest.mark.skipif(CAMPAIGN is None, reason="GATESWING_ESTIMATES=all or =some")
def test_of_many_captures_the_intervals_hold_what_they_promise(cell: gs.LowSideCell) -> None:
    assert CAMPAIGN is not None
    counts: dict[str, list[bool]] = {}
    misled = []
    for case in CAMPAIGN:
        one = drawn(cell, case)
        found = gs.estimate(one.guess, one.capture, one.unknowns, probe=one.probe)
        counts.setdefault("explained", []).append(max(found.misfit.values()) < 1.3)
        if not counts["explained"][-1]:
            continue
        for each in found.estimates:
            true = one.true(each.path)
            counts.setdefault(each.path, []).append(each.low <= true <= each.high)
            most = IDENTIFIED.get(each.path, 1.0)
            if each.relative_uncertainty < most < abs(each.value / true - 1.0):
                misled.append((case, each.path))
        edges = quiet_double_pulse(
            one.cell, current=one.current, on_time="300 ns", off_time=found.edges.off_time
        )
        for name, most in PROMISED.items():
            edge, _, figure = name.partition(".")
            true, value = getattr(edges, edge).values()[figure], found.figure(name).value
            sample = one.interval if figure in ("delay", "rise_time", "fall_time") else 0.0
            counts.setdefault("figures", []).append(abs(value - true) < max(most * true, sample))
    shares = {name: float(np.mean(held)) for name, held in counts.items()}
    print(shares, misled)
    assert min(shares.values()) >= 0.9, shares
    assert not misled


@pytest.mark.parametrize("case", [8, 14])
def test_the_skew_of_a_known_cell_is_found_from_its_inductive_step(case: int, cell: gs.LowSideCell) -> None:
    one = drawn(cell, case)
    found = gs.estimate_skew(one.capture, snubber=one.cell.snubber)
    assert found.delay == pytest.approx(one.delays["i_d"], abs=1.5 * found.uncertainty), found


def test_a_capture_too_coarse_for_its_skew_is_told_what_to_do(cell: gs.LowSideCell) -> None:
    capture = drawn(cell, 3).capture
    every = max(2, int(1e-9 / (capture.times[1] - capture.times[0])))
    coarse = gs.Waveform.from_samples(
        capture.times[::every],
        {name: column[::every] for name, column in capture.values.items()},
        capture.units,
    )
    with pytest.raises(
        gs.InputError, match=r"rises within \d+ samples.*Sample faster; or, .*gateswing\.estimate"
    ):
        gs.estimate_skew(coarse)


def test_what_a_capture_cannot_tell_is_said_in_words(cell: gs.LowSideCell) -> None:
    # No capture shows when the command came: begin and length of the pulse are free.
    one = drawn(cell, 3)
    unknowns = {"driver.turn_on_delay": ("10 ns", "30 ns"), "loop_inductance": ("2 nH", "100 nH")}
    found = gs.estimate(one.cell, one.capture, unknowns, probe=one.probe, current=one.current)
    delay = found["driver.turn_on_delay"]
    assert delay.state == "not told"
    assert [delay.low, delay.high] == pytest.approx([10e-9, 30e-9])
    assert any("driver.turn_on_delay" in sentence for sentence in found.not_told)
    assert found["loop_inductance"].is_identified
    with pytest.raises(KeyError, match="gate_resistance"):
        found["gate_resistance"]
    assert found["loop_inductance"].value == pytest.approx(one.cell.loop_inductance, rel=0.01)
    assert found.cell.loop_inductance == found.values["loop_inductance"]
    assert "not told" in repr(found)
    assert "<table>" in found._repr_html_()
    assert found.to_mapping()["estimates"][1]["path"] == "loop_inductance"


def test_a_cell_that_does_not_explain_its_capture_is_a_warning(cell: gs.LowSideCell) -> None:
    one = drawn(cell, 3)
    wrong = one.cell.replace({"bus.voltage": 0.8 * one.cell.bus.voltage})
    unknowns = {"loop_inductance": ("2 nH", "100 nH")}
    found = gs.estimate(wrong, one.capture, unknowns, probe=one.probe, current=one.current, starts=1)
    assert found["loop_inductance"].state == "misfit"
    assert not found["loop_inductance"].is_identified
    assert "v_ds_pin" in {warning.path for warning in found.warnings}


def test_what_cannot_be_estimated_is_an_input_error(cell: gs.LowSideCell) -> None:
    one = drawn(cell, 3)
    good = {"loop_inductance": ("2 nH", "100 nH")}
    with pytest.raises(gs.InputError, match="no fields"):
        gs.estimate(cell, one.capture, {})
    with pytest.raises(gs.InputError, match="no such field"):
        gs.estimate(cell, one.capture, {"loop_inductanse": ("2 nH", "100 nH")})
    with pytest.raises(gs.InputError, match="must ascend"):
        gs.estimate(cell, one.capture, {"mosfet.gate_drain_capacitance": (2.0, 0.5)})
    with pytest.raises(gs.InputError, match=r"gain_error = .*out of range"):
        gs.estimate(cell, one.capture, good, gain_error="200 %")
    with pytest.raises(gs.InputError, match="a simulation, not samples"):
        gs.estimate(cell, quiet_double_pulse(one.cell, current=one.current).waveform, good)
    with pytest.raises(gs.InputError, match="no turn-on with a turn-off"):
        gs.estimate(cell, one.capture.between(0.0, "200 ns"), good)


@pytest.fixture
def files(design: gs.Design, cell: gs.LowSideCell, tmp_path: Path) -> tuple[Case, Path, Path]:
    """A case, its cell as a design file, and its capture as an instrument exports it, 10 A for each volt."""
    one = drawn(cell, 3)
    known, seen = tmp_path / "board.toml", tmp_path / "scope.csv"
    gs.write_design(design.replace(cell=one.cell), known)
    gate, drain, current = (one.capture.values[name] for name in CHANNELS)
    table = np.column_stack([one.capture.times, gate, drain, current / 10.0])
    np.savetxt(seen, table, delimiter=",", header="Time (s),CH1 (V),CH2 (V),CH3 (V)", comments="", fmt="%.9e")
    return one, known, seen


def command(*arguments: object, scale: str = "i_d=10 A") -> Result:
    names = ("v_gs_pin=CH1", "v_ds_pin=CH2", "i_d=CH3")
    given = [text for name in names for text in ("--channel", name)]
    options = [*given, "--scale", scale, *(str(one) for one in arguments)]
    return CliRunner().invoke(main, ["estimate", *options])


def test_the_command_says_what_the_function_says(files: tuple[Case, Path, Path], tmp_path: Path) -> None:
    one, known, seen = files
    picture = tmp_path / "fit.png"
    bandwidth, current = f"{one.probe.bandwidth!r} Hz", f"{one.current!r} A"
    own = ["--unknown", "loop_inductance=2 nH to 100 nH", "--bandwidth", bandwidth, "--current", current]
    with mpl.rc_context({"backend": "Agg"}):
        result = command(known, seen, *own, "--json", "--plot", picture)
    assert result.exit_code == 0, result.output
    answer = json.loads(result.stdout)
    assert (answer["design"], answer["file"]) == (str(known), str(seen))
    unknowns = {"loop_inductance": ("2 nH", "100 nH")}
    found = gs.estimate(one.cell, one.capture, unknowns, probe=one.probe, current=one.current)
    (row,) = answer["estimates"]
    assert row["value"] == pytest.approx(found["loop_inductance"].value, rel=1e-4)
    assert row["low"] < one.true("loop_inductance") < row["high"]
    assert plt.imread(picture)[..., :3].std() > 0.05
    both = [*own, "--unknown", "driver.turn_on_delay=10 ns to 30 ns", "--starts", "1"]
    result = command(known, seen, *both)
    assert result.exit_code == 1
    assert result.stdout.startswith("scope.csv, by board.toml\n\n")
    assert "The capture does not tell: driver.turn_on_delay" in result.stdout
    assert result.stdout.rstrip().endswith("no evidence of conformity with any standard.")


def test_a_wrong_scale_is_a_warning(files: tuple[Case, Path, Path]) -> None:
    one, known, seen = files
    own = ["--unknown", "loop_inductance=2 nH to 100 nH", "--current", f"{one.current!r} A"]
    result = command(known, seen, *own, "--bandwidth", f"{one.probe.bandwidth!r} Hz", scale="i_d=1 A")
    assert result.exit_code == 1
    found = re.search(r"warning: gain of i_d\W+fitted as (\S+),", result.stdout)
    assert found, result.stdout
    assert float(found[1]) == pytest.approx(0.1, rel=0.03)


def test_options_of_the_command_that_cannot_be_used_exit_with_2(
    files: tuple[Case, Path, Path], tmp_path: Path
) -> None:
    _, known, seen = files
    good = ["--unknown", "loop_inductance=2 nH to 100 nH"]
    for options, words in (
        (["--unknown", "loop_inductance"], "is not of the form NAME=VALUE"),
        (["--unknown", "loop_inductance=5 nH"], 'Write "loop_inductance=LOW to HIGH"'),
        (["--unknown", "loop_inductance=5 nH to 9 F"], "loop_inductance"),
        ([*good, "--channel", "i_d=CH9"], "CH9"),
        ([*good, "--scale", "v_gs=2"], "scale = 'v_gs': is of no --channel."),
        ([*good, "--scale", "i_d=ten A"], "scale"),
        ([*good, "--bandwidth", "fast"], "bandwidth"),
    ):
        result = command(known, seen, *options)
        assert result.exit_code == 2, result.output
        assert words in result.stderr, result.stderr
    assert command(known, tmp_path / "nowhere.csv", *good).exit_code == 2
    assert command(tmp_path / "nowhere.toml", seen, *good).exit_code == 2


def test_a_picture_that_cannot_be_drawn_exits_with_2(
    files: tuple[Case, Path, Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    one, known, seen = files
    unknowns = {"loop_inductance": ("2 nH", "100 nH")}
    found = gs.estimate(one.cell, one.capture, unknowns, current=one.current, starts=1)
    monkeypatch.setattr("gateswing.measurement.estimate.estimate", lambda *_, **__: found)
    for name, words in (("no/fit.png", "cannot be written"), ("fit.txt", "plot = ")):
        options = ["--unknown", "loop_inductance=2 nH to 100 nH", "--plot", tmp_path / name]
        with mpl.rc_context({"backend": "Agg"}):
            result = command(known, seen, *options)
        assert result.exit_code == 2, result.output
        assert words in result.stderr


def test_smoothing_keeps_what_is_no_noise() -> None:
    """A cubic comes out as it went in; a plateau in noise comes out with a tenth of it or less."""
    times = np.linspace(-1.0, 1.0, 801)
    cubic = 3.0 + times - 2.0 * times**2 + 5.0 * times**3
    assert denoised(cubic, 0.01).values == pytest.approx(cubic, abs=1e-10)
    noise = 0.05 * np.random.default_rng(3).standard_normal(len(times))
    step = np.where(times > 0.0, 10.0, 0.0)
    found = denoised(step + noise, 0.05)
    flat = np.abs(times) > 0.3
    assert np.std((found.values - step)[flat]) < 0.5 * 0.05
    assert np.abs((found.values - step)[np.abs(times) > 0.01]).max() < 4.0 * 0.05
    assert denoised(noise, 0.0).values is noise


def test_the_noise_of_quantised_samples_is_that_of_both() -> None:
    # Steps of one with noise of half a step: the variance of rounding is 1/12.
    rng = np.random.default_rng(4)
    samples = np.round(np.linspace(0.0, 30.0, 20000) + 0.5 * rng.standard_normal(20000))
    assert noise_of(samples) == pytest.approx(np.sqrt(0.5**2 + 1.0 / 12.0), rel=0.1)
