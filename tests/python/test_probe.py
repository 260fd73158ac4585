"""What a probe shows: rules of the trade, closed forms, and an integration of the same equations by SciPy."""

import math
import warnings

import numpy as np
import pytest
from scipy import signal  # type: ignore[import-untyped]

import gateswing as gs
from gateswing import _core
from gateswing.waveforms.crossings import transition

LEAD = {"capacitance": "12 pF", "ground_lead_inductance": "100 nH"}  # 10 cm


def step(rise: float, end: float = 100e-9) -> gs.Waveform:
    """From 0 V to 1 V in a straight line from 20 ns on."""
    return gs.Waveform.from_samples([0.0, 20e-9, 20e-9 + rise, end], {"v": [0, 0, 1, 1]}, {"v": "V"})


def quietly(probe: gs.Probe, waveform: gs.Waveform) -> gs.Waveform:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return probe.seen(waveform)


def rise_time(waveform: gs.Waveform) -> float:
    found = transition(waveform, "v", (0.1, 0.9), _core.whole(waveform.core))
    assert found is not None
    return found.length


def test_a_step_is_shown_with_the_rise_time_of_the_instrument() -> None:
    # 0.35/BW, instrument guides; 100 MHz: 3.5 ns.
    probe = gs.Probe(bandwidth="100 MHz", response="first order")
    assert probe.rise_time == pytest.approx(3.5e-9, rel=2e-3)
    assert rise_time(quietly(probe, step(1e-13))) == pytest.approx(probe.rise_time, rel=1e-3)
    gaussian = gs.Probe(bandwidth="100 MHz")
    assert gaussian.rise_time == pytest.approx(3.39e-9, rel=2e-3)
    assert rise_time(quietly(gaussian, step(1e-13))) == pytest.approx(gaussian.rise_time, rel=1e-3)


def test_rise_times_add_as_squares_for_gaussian_edges() -> None:
    # An edge shown as 5 ns on an instrument of 3.5 ns is one of 3.6 ns (root of the difference of squares,
    # exact here).
    true = math.sqrt(5.0**2 - 3.5**2) * 1e-9
    edge = quietly(gs.Probe(bandwidth=0.33947 / true), step(1e-13))
    assert rise_time(edge) == pytest.approx(3.57e-9, rel=2e-3)
    assert rise_time(quietly(gs.Probe(bandwidth=0.33947 / 3.5e-9), edge)) == pytest.approx(5e-9, rel=2e-3)


@pytest.mark.parametrize(
    ("inductance", "frequency"), [("100 nH", 145e6), ("150 nH", 119e6), ("10 nH", 460e6)]
)
def test_a_ground_lead_rings_with_the_probe(inductance: str, frequency: float) -> None:
    # 12 pF with 10 cm, 15 cm and 1 cm at 1 nH/mm (common practice, no source): 145, 119, 460 MHz, computed.
    probe = gs.Probe(
        bandwidth="2 GHz", capacitance="12 pF", ground_lead_inductance=inductance, damping_resistance="5 ohm"
    )
    assert probe.resonance == pytest.approx(frequency, rel=5e-3)
    shown = quietly(probe, step(0.1e-9))
    ring = _core.ring(shown.core, "v", 1.0, 0.02, _core.Window(21e-9, 100e-9))
    assert ring is not None
    assert ring.frequency == pytest.approx(probe.resonance, rel=0.01)
    assert ring.quality == pytest.approx(probe.quality, rel=0.03)


def test_the_response_is_that_of_an_independent_integration() -> None:
    probe = gs.Probe(bandwidth="300 MHz", response="first order", **LEAD)
    waveform = step(2e-9)
    shown = quietly(probe, waveform)
    times = np.linspace(0.0, 100e-9, 20001)
    tip = signal.TransferFunction([1.0], [100e-9 * 12e-12, 20.0 * 12e-12, 1.0])
    instrument = signal.TransferFunction([1.0], [1.0 / (2.0 * math.pi * 300e6), 1.0])
    at_tip = signal.lsim(tip, waveform.value("v", times), times)[1]
    expected = signal.lsim(instrument, at_tip, times)[1]
    np.testing.assert_allclose(shown.value("v", times), expected, atol=2e-3)


@pytest.mark.parametrize("response", ["gaussian", "first order"])
def test_a_sine_is_shown_with_the_gain(response: str) -> None:
    probe = gs.Probe(bandwidth="100 MHz", response=response, **LEAD)
    assert gs.Probe(bandwidth="100 MHz", response=response).gain("100 MHz") == pytest.approx(math.sqrt(0.5))
    times = np.linspace(0.0, 1e-6, 200001)
    sine = gs.Waveform.from_samples(times, {"v": np.sin(2 * math.pi * 80e6 * times)}, {"v": "V"})
    settled = _core.Window(0.5e-6, 0.9e-6)
    peak = _core.maximum(quietly(probe, sine).core, "v", settled).value
    assert peak == pytest.approx(probe.gain("80 MHz"), rel=3e-3)


def test_an_edge_too_fast_for_the_instrument_is_said() -> None:
    probe = gs.Probe(bandwidth="100 MHz", response="first order")
    assert probe.warnings(step(14e-9)) == []
    with pytest.warns(
        gs.InputWarning, match=r"v: its fastest edge takes about 4 ns, the probe 3.5 ns by itself"
    ):
        probe.seen(step(5e-9))


def test_a_ring_is_judged() -> None:
    probe = gs.Probe(bandwidth="350 MHz", **LEAD)
    assert probe.judge_ring("150 MHz").verdict == "probe"
    assert "145 MHz" in repr(probe.judge_ring("150 MHz"))
    assert probe.judge_ring("40 MHz").verdict == "circuit"
    assert probe.judge_ring("600 MHz").verdict == "hidden"
    assert gs.Probe(bandwidth="350 MHz").judge_ring("150 MHz").verdict == "circuit"


def test_currents_stay_as_they_are_and_the_ring_of_a_cell_is_shown(edges: gs.DoublePulse) -> None:
    probe = gs.Probe(bandwidth="500 MHz", **LEAD)
    shown = quietly(probe, edges.waveform)
    times = np.linspace(edges.waveform.begin, edges.waveform.end, 999)
    np.testing.assert_allclose(shown.value("i_load", times), edges.waveform.value("i_load", times), atol=2e-3)
    assert np.abs(shown.value("v_ds_pin", times) - edges.waveform.value("v_ds_pin", times)).max() > 1.0


def test_loading_slows_the_drain(cell: gs.LowSideCell, edges: gs.DoublePulse) -> None:
    probe = gs.Probe(bandwidth="100 MHz", capacitance="150 pF")
    loaded = gs.double_pulse(probe.loaded(cell))
    # The snubber's 1 nF is there already; 150 pF more slow the rise by some per cent.
    assert 1.01 < loaded.turn_off.fall_time / edges.turn_off.fall_time < 1.2
    at_gate = probe.loaded(cell, "v_gs_pin").mosfet.gate_source_capacitance
    assert at_gate.low == pytest.approx(cell.mosfet.gate_source_capacitance.low + 150e-12)
    assert at_gate.high == pytest.approx(cell.mosfet.gate_source_capacitance.high + 150e-12)
    with pytest.raises(gs.InputError, match="cannot be loaded"):
        probe.loaded(cell, "i_d")


def test_what_cannot_be_seen_is_an_input_error() -> None:
    probe = gs.Probe(bandwidth="100 MHz")
    with pytest.raises(gs.InputError, match="no such channel"):
        probe.seen(step(1e-9), ["w"])
    with pytest.raises(gs.InputError, match="Show a part of it"):
        probe.seen(step(1e-9, end=1.0))
    with pytest.raises(gs.InputError, match="bandwidth"):
        gs.Probe(bandwidth="100 mHz")


def test_a_ring_beyond_the_bandwidth_is_said_to_be_beyond_it() -> None:
    probe = gs.Probe(bandwidth="20 MHz")
    assert "15 MHz is within the instrument's bandwidth" in str(probe.judge_ring("15 MHz"))
    assert "25 MHz is beyond the instrument's bandwidth" in str(probe.judge_ring("25 MHz"))
