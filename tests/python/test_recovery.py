"""Figures of a diode's reverse recovery: published definitions and examples, and which recovery is meant."""

import math

import numpy as np
import pytest

import gateswing as gs
from gateswing.datasheet.recovery import RecoveryParameters, recovery_figures
from gateswing.measurement.recovery import measure_recovery
from straight_edges import lines


def test_recovery_definitions_on_the_charge_control_waveform() -> None:
    # Lauritzen and Ma, IEEE Transactions on Power Electronics 6(2), 1991: straight ramp, then exp(-t/tau).
    forward, slope = 10.0, 200e6
    parameters = RecoveryParameters(transit_time=40e-9, lifetime=120e-9)
    known = recovery_figures(parameters, forward, slope)
    decay = 30e-9  # of 40 ns and 120 ns
    zero, peak = forward / slope, known.peak_current / slope
    tail = np.linspace(0.0, 25 * decay, 20001)
    times = np.concatenate([[0.0, zero], zero + peak + tail])
    current = np.concatenate([[forward, 0.0], -known.peak_current * np.exp(-tail / decay)])
    found = measure_recovery(lines(times.tolist(), i_freewheel=current.tolist()))
    assert found.peak_reverse_current == pytest.approx(known.peak_current, rel=1e-12)
    assert found.time_to_quarter == pytest.approx(known.time, rel=1e-5)
    assert found.charge == pytest.approx(known.charge, rel=1e-5)
    # The lines through two points of exp(-t/tau), in closed form.
    for upper, lower, time in ((0.9, 0.25, found.time_by_90_25), (0.75, 0.5, found.time_by_75_50)):
        meets = -math.log(lower) + math.log(upper / lower) * lower / (upper - lower)
        assert time == pytest.approx(peak + decay * meets, rel=1e-5)
    assert found.triangle_charge == pytest.approx(0.5 * known.peak_current * found.time_by_75_50)
    # Only part of the charge has flowed at t_rr: the tail beyond holds a quarter of I_RM tau.
    assert found.charge - found.charge_to_quarter == pytest.approx(
        0.25 * known.peak_current * decay, rel=1e-4
    )
    assert found.softness == pytest.approx(slope / (known.peak_current / decay), rel=2e-3)


def test_the_first_recovery_is_measured_not_the_deepest() -> None:
    times = [1e-9 * t for t in range(10)]
    both = [5.0, 5.0, -1.0, 0.0, 5.0, 5.0, -3.0, 0.0, 0.0, 0.0]
    found = measure_recovery(lines(times, i_freewheel=both))
    alone = measure_recovery(lines(times[:4], i_freewheel=both[:4]))
    assert found.peak_reverse_current == 1.0
    assert found.charge == pytest.approx(0.5 * 1.0 * (1.0 + 1.0 / 6.0) * 1e-9)
    assert found.values() == pytest.approx(alone.values())
    later = measure_recovery(lines(times, i_freewheel=both), window=("3 ns", "9 ns"))
    assert later.peak_reverse_current == 3.0
    # A diode that rings about zero before it conducts has nothing to recover.
    rings = measure_recovery(lines(times, i_freewheel=[0.1, -0.1, 0.1, -0.1, 0.0, 5.0, -3.0, 0.5, 0.0, 0.0]))
    assert rings.peak_reverse_current == 3.0
    assert rings.charge == pytest.approx(0.5 * 3.0 * (3.0 / 8.0 + 3.0 / 3.5) * 1e-9)


def test_noise_is_no_recovery() -> None:
    """3 % of it on a straight ramp and exp(-t/tau), with a long time at rest before the diode conducts."""
    rng = np.random.default_rng(8)
    times = np.arange(0.0, 2e-6, 0.5e-9)
    corners = [0.0, 400e-9, 450e-9, 600e-9, 1000e-9]
    tail = -10.0 * np.exp(-(times - 1000e-9) / 100e-9)
    true = np.where(times < 1000e-9, np.interp(times, corners, [0.0, 0.0, 10.0, 10.0, -10.0]), tail)
    values = true + 0.3 * rng.standard_normal(len(times))
    found = measure_recovery(lines(times.tolist(), i_freewheel=values.tolist()))
    assert found.peak_reverse_current == pytest.approx(10.0, rel=0.07)
    assert found.rise_time == pytest.approx(200e-9, rel=0.05)
    assert found.time_to_quarter == pytest.approx(200e-9 + 100e-9 * math.log(4.0), rel=0.1)
    assert found.charge == pytest.approx(10.0 * (100e-9 + 100e-9), rel=0.02)


def test_a_window_of_a_recovery_outside_the_record_is_named() -> None:
    waveform = lines([0.0, 1e-6, 2e-6, 3e-6], i_freewheel=[1.0, -1.0, 0.0, 0.0])
    for window in ((2e-6, 5e-6), (2e-6, 1e-6), ("0 s", "1 V")):
        with pytest.raises(gs.InputError, match="window"):
            measure_recovery(waveform, window=window)
    assert measure_recovery(waveform, window=("0 s", "2.5 us")).peak_reverse_current == 1.0


def test_an_abrupt_recovery_is_the_triangle_of_the_textbook() -> None:
    # M. H. Rashid, Power Electronics, 4th edition, example 2.2: trr 3 us, di/dt 30 A/us: QRR 135 uC, IRR 90
    # A.
    waveform = lines([-1e-6, 0.0, 3e-6, 3.0001e-6, 4e-6], i_freewheel=[30.0, 0.0, -90.0, 0.0, 0.0])
    found = measure_recovery(waveform)
    assert found.peak_reverse_current == pytest.approx(90.0)
    assert found.charge == pytest.approx(135e-6, rel=1e-4)
    assert found.time_by_75_50 == pytest.approx(3e-6, rel=1e-3)
    with pytest.raises(gs.InputError, match="does not fall through zero"):
        measure_recovery(lines([0.0, 1.0], i_freewheel=[1.0, 2.0]))
