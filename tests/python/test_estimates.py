"""Estimates from captures of known cells, seen with noise, steps, gains, offsets and skews.

The cells are those of fixed seeds. GATESWING_ESTIMATES=all counts over all 300 of them, which takes a quarter
of an hour, =some over 23; else there is one with each fourth unknown, and cases 57 and 157.

Cases 57, 105, 157 and 177 have little noise, so that every cycle of their rings counts, and once were not
explained by any search: in 57 the loop inductance is guessed twice too large, and the snubber leaves no ring
of v_DS to start from; in the others the load current was traded for the gain of i_D, against its bound.
"""

import dataclasses
import math
import os
import re
from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest
from numpy.typing import NDArray

import gateswing as gs
from drawn_captures import CHANNELS, drawn
from gateswing.capture.quality import noise_of
from gateswing.measurement import report, suspects
from gateswing.measurement.fitted_edges import FittedEdges, fitted_edges
from gateswing.measurement.model import BenchModel
from gateswing.measurement.ringing import strongest_ring
from gateswing.measurement.suspects import Suspect, suspect_of
from gateswing.studies.asking import quiet_double_pulse
from gateswing.waveforms.denoise import denoised

CASES = (7, 8, 57, 157)
CAMPAIGN = {"all": range(300), "some": (*range(0, 300, 15), 57, 157, 177)}.get(
    os.environ.get("GATESWING_ESTIMATES", "")
)
pytestmark = pytest.mark.filterwarnings("ignore::gateswing.InputWarning")
# Where the interval is narrower.
IDENTIFIED = {"loop_inductance": 0.05, "driver.source_resistance": 0.1, "driver.sink_resistance": 0.1}
# Of the circuit itself, seen through noise, steps, bandwidth, gains and skews; times also to one sample.
PROMISED = {
    "turn_on.delay": 0.02, "turn_on.rise_time": 0.02, "turn_on.energy": 0.03,
    "turn_off.delay": 0.02, "turn_off.fall_time": 0.02, "turn_off.energy": 0.03,
    "turn_off.overshoot": 0.03,
}  # fmt: skip
WIDEST = 6.0  # times what is promised, of what is said to be open; the energy of case 157's turn-on has 5.1


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


def test_without_a_current_probe_the_voltages_tell_the_current(
    ringing: tuple[gs.LowSideCell, gs.LowSideCell, gs.Capture],
) -> None:
    _, cell, capture = ringing
    # By itself this load would draw half as much again.
    guess = cell.replace(load=gs.Load(resistance="8 ohm", inductance="1 mH"), loop_inductance="30 nH")
    voltages = capture.mapped({name: name for name in CHANNELS[:2]})
    found = gs.estimate(guess, voltages, {"loop_inductance": ("5 nH", "200 nH")}, relative_tolerance=1e-4)
    assert max(found.misfit.values()) < 1.3, found
    assert found["current"].value == pytest.approx(2.0, rel=0.03), found
    assert found["loop_inductance"].value == pytest.approx(44e-9, rel=0.02), found


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
            assert said < WIDEST * most, (figure, true, edge)


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


def fail_beside(model: BenchModel, x: NDArray[np.float64], failure: str, sides: int) -> None:
    """Let nothing be simulated that has another first number than x: on the side tried first, or on both."""
    middle = 0.5 * math.log(model.unknowns[0].low * model.unknowns[0].high)

    def simulated(at: NDArray[np.float64]) -> gs.DoublePulse:
        away = at[0] - x[0]
        if away == 0.0 or (sides == 1 and away * (middle - x[0]) < 0.0):
            return BenchModel.simulated(model, at)
        if failure == "refused":
            raise gs.InputError([gs.InputProblem("driver.sink_resistance", None, "cannot be.")])
        edges = BenchModel.simulated(model, at)
        nothing = dataclasses.replace(edges.turn_on, energy=math.nan)
        return dataclasses.replace(edges, status="step too small", turn_on=nothing)

    vars(model)["simulated"] = simulated


@pytest.mark.parametrize("failure", ["refused", "unfinished"])
def test_an_unknown_beside_which_nothing_can_be_simulated_loses_no_estimate(
    failure: str, cell: gs.LowSideCell, monkeypatch: pytest.MonkeyPatch
) -> None:
    """After the search: on one side, the other one is taken; on both, no interval is, and that is said."""
    asked = {}

    def both_failing(
        model: BenchModel, x: NDArray[np.float64], covariance: NDArray[np.float64], explained: bool
    ) -> FittedEdges:
        asked["whole"] = fitted_edges(model, x, covariance, explained)
        fail_beside(model, x, failure, sides=1)
        asked["half"] = fitted_edges(model, x, covariance, explained)
        fail_beside(model, x, failure, sides=2)
        return fitted_edges(model, x, covariance, explained)

    monkeypatch.setattr(report, "fitted_edges", both_failing)
    one = drawn(cell, 3)
    unknowns = {"driver.sink_resistance": ("0.3 ohm", "20 ohm"), "loop_inductance": ("2 nH", "100 nH")}
    found = gs.estimate(one.cell, one.capture, unknowns, probe=one.probe, current=one.current, starts=1)
    whole, half = asked["whole"], asked["half"]
    assert not whole.not_told
    assert not half.not_told
    for figure, beside, lost in zip(whole.figures, half.figures, found.figures, strict=True):
        assert figure.value == beside.value == lost.value
        assert beside.uncertainty == pytest.approx(figure.uncertainty, rel=0.1)
        assert math.isnan(lost.uncertainty)
    assert {figure["uncertainty"] for figure in found.to_mapping()["figures"]} == {None}
    (sentence,) = found.not_told
    assert sentence.startswith("No interval is known of turn-on delay, turn-on rise time, ")
    assert ": with driver.sink_resistance a little larger or smaller, the fitted cell " in sentence
    assert found["driver.sink_resistance"].is_identified


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
    loop = found["loop_inductance"]
    assert loop.state == "misfit"
    assert not loop.is_identified
    assert np.isnan([loop.low, loop.high, loop.relative_uncertainty]).all()
    assert np.isnan([one.uncertainty for one in (*found.instrument, *found.figures)]).all()
    (row,) = (line for line in repr(found).splitlines() if line.startswith("loop_inductance"))
    assert re.search(r"nH +- +misfit +2 nH to 100 nH$", row), row
    assert "±" not in repr(found)
    assert found.to_mapping()["estimates"][0]["low"] is None
    assert len(found.not_told) == 1
    assert "does not explain the capture" in found.not_told[0]
    assert "v_ds_pin" in {warning.path for warning in found.warnings}


def test_what_was_wrongly_held_fixed_is_suspected(
    ringing: tuple[gs.LowSideCell, gs.LowSideCell, gs.Capture],
) -> None:
    guess, _, capture = ringing
    unknowns = {"loop_inductance": ("5 nH", "200 nH")}
    found = gs.estimate(guess, capture, unknowns, current="2 A", starts=1, relative_tolerance=1e-4)
    (suspicion,) = (warning for warning in found.warnings if warning.path == "driver.sink_resistance")
    value = re.fullmatch(
        r"was held fixed; near (\d+) ohm it would take away about (\d+) % of the misfit. .*",
        suspicion.message,
    )
    assert value, suspicion
    assert float(value[1]) == pytest.approx(18.0, abs=0.5), suspicion
    assert float(value[2]) > 95.0, suspicion


def test_a_bound_that_leaves_the_truth_out_is_told_and_nothing_else_is_blamed(
    ringing: tuple[gs.LowSideCell, gs.LowSideCell, gs.Capture],
) -> None:
    _, cell, capture = ringing
    unknowns = {"gate_resistance": ("150 ohm", "400 ohm")}  # it is 100 ohm
    found = gs.estimate(cell, capture, unknowns, current="2 A", starts=1, relative_tolerance=1e-4)
    assert found["gate_resistance"].state == "misfit"
    assert found["gate_resistance"].is_at_bound
    told = {warning.path: warning.message for warning in found.warnings}
    assert "at its bound: widen the bounds" in told["gate_resistance"]
    assert not [message for message in told.values() if "was held fixed" in message]


def test_what_only_a_sum_tells_is_said_not_to_be_told_apart(
    ringing: tuple[gs.LowSideCell, gs.LowSideCell, gs.Capture],
) -> None:
    """Gate resistor and driver lie in series: only the time the driver takes to turn tells them apart."""
    _, cell, capture = ringing
    unknowns = {
        "gate_resistance": ("20 ohm", "500 ohm"),
        "driver.source_resistance": ("5 ohm", "100 ohm"),
        "driver.sink_resistance": ("5 ohm", "100 ohm"),
    }
    for ohms in (90.0, 110.0):
        found = gs.estimate(cell.replace(gate_resistance=ohms), capture, unknowns, current="2 A")
        assert max(found.misfit.values()) < 1.3, found
        assert {found[path].state for path in unknowns} == {"not told"}, found
        assert all(path in "".join(found.not_told) for path in unknowns)
        total = found.cell.gate_resistance + found.cell.driver.push_pull().source_resistance
        true = cell.gate_resistance + cell.driver.push_pull().source_resistance
        assert total == pytest.approx(true, rel=0.02)


def test_what_is_as_large_as_it_may_be_is_no_suspect(
    cell: gs.LowSideCell, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing is larger than 1 Mohm in the gate; the sink resistance takes all of the misfit."""
    x, residuals, jacobian = np.zeros(1), 3.0 * np.ones(50), np.zeros((50, 1))

    def with_cell(larger: gs.LowSideCell) -> SimpleNamespace:
        changed = larger.value_at("driver.sink_resistance") != cell.value_at("driver.sink_resistance")
        return SimpleNamespace(residuals=lambda _: residuals * (0.99 if changed else 1.0))

    monkeypatch.setattr(suspects, "_fitted", lambda _model, _x, one, _beyond: Suspect(one.path, "", 1.0))
    most = cell.replace(gate_resistance="1 Mohm")
    parts = {"cell": most, "unknowns": (), "with_cell": with_cell, "residuals": lambda _: residuals}
    model = cast("BenchModel", SimpleNamespace(**parts))
    found = suspect_of(model, x, jacobian)
    assert found is not None
    assert found.path == "driver.sink_resistance"


@pytest.mark.parametrize(
    ("channel", "factor", "words"),
    [("v_ds_pin", 0.1, "a tenth of .* factor of its probe left out"), ("i_d", -1.0, "it looks inverted")],
)
def test_a_probe_that_is_evidently_wrong_is_a_warning(
    channel: str, factor: float, words: str, ringing: tuple[gs.LowSideCell, gs.LowSideCell, gs.Capture]
) -> None:
    _, cell, capture = ringing
    wrong = capture.mapped(
        {**dict(zip(CHANNELS, CHANNELS, strict=True)), channel: gs.Trace(column=channel, scale=factor)}
    )
    unknowns = {"loop_inductance": ("5 nH", "200 nH")}
    found = gs.estimate(cell, wrong, unknowns, current="2 A", starts=1, relative_tolerance=1e-3)
    messages = [warning.message for warning in found.warnings if warning.path == channel]
    assert re.search(words, messages[0]), found
    right = gs.estimate(cell, capture, unknowns, current="2 A", starts=1, relative_tolerance=1e-3)
    assert not right.warnings, right


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
