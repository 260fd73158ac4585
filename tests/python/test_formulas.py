"""Hand formulas against the figures that handbooks, data sheets and application notes print.

Tolerances: half a unit of the last printed digit or 1 % where the source prints the same equation; the closed
forms themselves to rounding.
"""

import inspect
import math
import pickle

import numpy as np
import pytest
from scipy.integrate import solve_ivp  # type: ignore[import-untyped]
from scipy.optimize import minimize_scalar  # type: ignore[import-untyped]

from gateswing import formulas
from gateswing.formulas import Formula

EVERY = [found for found in vars(formulas).values() if isinstance(found, Formula)]


@pytest.mark.parametrize(
    ("value", "published", "tolerance"),
    [
        # TI SLUSAQ3F p. 24: two outputs, 60 nC each at 12 V, 300 kHz.
        (formulas.gate_drive_power(2 * 60e-9, 12.0, 300e3), 0.432, 1e-3),
        # TI SLUS678A p. 10: 10 nF at 12 V, 300 kHz.
        (formulas.gate_drive_power(10e-9 * 12.0, 12.0, 300e3), 0.432, 1e-3),
        # ADI ADP3654 data sheet p. 11: 120 nC at 12 V, 300 kHz, for each output.
        (formulas.gate_drive_power(120e-9, 12.0, 300e3), 0.432, 1e-3),
        # TI SLLA385A: 3.57 MHz ring with 9250 pF is critically damped by 9.64 ohm in all (its arithmetic).
        (
            formulas.critical_gate_resistance(9250e-12, formulas.ring_inductance(3.57e6, 9250e-12)),
            9.64,
            1e-3,
        ),
        # Barkhordarian, Power MOSFET Basics (from memory): 20 nC in 20 us at 1 mA, in 20 ns at 1 A.
        (formulas.required_gate_current(20e-9, 20e-6), 1e-3, 1e-9),
        (formulas.charge_time(20e-9, 1.0), 20e-9, 1e-9),
        # powerelectronictips.com, gate drivers part 2 (2025): 5 nH at 1000 A/us.
        (formulas.inductive_voltage(5e-9, 1e9), 5.0, 1e-9),
        # Rashid, 4th edition, example 4.2: 250 V, 2 V, 100 A, 1 us rise, 3 us fall, 10 kHz.
        (formulas.overlapping_ramps_energy(250.0, 2.0, 100.0, 1e-6) * 10e3, 42.33, 1e-3),
        (formulas.overlapping_ramps_energy(250.0, 0.0, 100.0, 3e-6) * 10e3, 125.0, 1e-6),
        # Hart, snubber example (from memory): 100 V, 5 A, 0.5 us, 100 kHz; without snubber 0.1 us to 100 V.
        (formulas.overlap_energy(100.0, 5.0, 0.5e-6, 0.1e-6) * 100e3, 15.0, 1e-6),
        (formulas.bypass_capacitance(5.0, 0.5e-6, 100.0), 12.5e-9, 1e-9),
        (formulas.loss_with_bypass(5.0, 0.5e-6, 12.5e-9, 100e3), 2.08, 2e-3),
        (formulas.capacitor_loss(12.5e-9, 100.0, 100e3, 0.5), 6.25, 1e-9),
        # Rashid, example 4.5: 220 V, 100 A, 3 us, 1.2 us, 10 kHz; the book goes on with a rounded 0.55 uF.
        (formulas.series_inductance(220.0, 3e-6, 100.0), 6.6e-6, 1e-9),
        (formulas.bypass_capacitance(100.0, 1.2e-6, 220.0, 1.0), 0.55e-6, 1e-2),
        (formulas.recovery_snubber_resistance(6.6e-6, 0.55e-6, 1.0), 6.93, 1e-3),
        (formulas.discharge_resistance(10e3, 0.55e-6), 60.6, 1e-3),
        (formulas.capacitor_loss(0.55e-6, 220.0, 10e3, 0.5), 133.1, 1e-3),
        # Rashid, example 17.3: 220 V, 50 uH, 20 A.
        (formulas.recovery_snubber_capacitance(50e-6, 20.0, 220.0), 0.735e-6, 1e-3),
        (formulas.recovery_snubber_resistance(50e-6, 0.735e-6), 6.6, 1e-3),
        (formulas.recovery_snubber_peak(50e-6, 0.735e-6, 6.6, 220.0, 20.0), 330.0, 5e-3),
        # Rashid, example 2.2: 135 uC at 30 A/us.
        (formulas.recovery_peak_current(135e-6, 30e6), 90.0, 1e-9),
        # Vishay IRF540 data sheet, doc 91021: 440 uH, 28 A, 25 V, breakdown 100 V.
        (formulas.clamp_energy(440e-6, 28.0, 100.0, 25.0), 0.230, 1e-3),
    ],
)
def test_a_formula_gives_the_published_figure(value: float, published: float, tolerance: float) -> None:
    assert float(value) == pytest.approx(published, rel=tolerance)


def test_the_common_source_inductance_stretches_the_current_rise() -> None:
    # Derived: 12 V, threshold 4 V, 20 S, 5 ohm, 2 nF, 20 A; 1.335 ns without and 6.677 ns with 2 nH.
    for inductance, time in ((0.0, 1.335e-9), (2e-9, 6.677e-9)):
        found = formulas.current_transition_time(5.0, 2e-9, 20.0, inductance, 12.0, 4.0, 5.0)
        assert found == pytest.approx(time, rel=5e-4)
    assert formulas.gate_transition_time(5.0, 2e-9, 12.0, 4.0, 5.0) == pytest.approx(1.335e-9, rel=5e-4)


def test_the_delay_of_a_published_part_is_met_within_thirty_per_cent() -> None:
    # Vishay IRF540, doc 91021: 1700 pF, 9.1 ohm, 10 V; plateau 5 to 6 V; prints 11 ns typically.
    found = formulas.gate_transition_time(9.1, 1700e-12, 10.0, 0.0, np.array([5.0, 6.0]))
    assert found == pytest.approx([10.7e-9, 14.2e-9], rel=1e-2)
    assert np.all(np.abs(11e-9 / found - 1.0) < 0.3)


def test_a_ramp_induces_the_voltage_of_the_closed_form_and_of_its_limits() -> None:
    # Derived: 5 ohm, 50 pF, 1.05 nF, 20 V/ns, 400 V.
    path = {"resistance": 5.0, "miller_capacitance": 50e-12, "input_capacitance": 1.05e-9}
    assert formulas.induced_gate_voltage(**path, slope=20e9, swing=400.0) == pytest.approx(4.889, rel=1e-3)
    open_gate = formulas.induced_gate_voltage(**path | {"resistance": 1e6}, slope=20e9, swing=400.0)
    assert open_gate == pytest.approx(19.05, rel=1e-3)
    slow = formulas.induced_gate_voltage(**path, slope=1e8, swing=400.0)
    assert formulas.highest_voltage_slope(slow, 5.0, 50e-12) == pytest.approx(1e8, rel=1e-9)


def test_an_underdamped_gate_overshoots_as_a_series_resonant_circuit() -> None:
    damping = formulas.gate_loop_damping(2.64, 9.25e-9, 214.9e-9)
    assert damping == pytest.approx(0.274, abs=5e-4)
    assert formulas.peak_gate_voltage(1.0, 0.0, damping) == pytest.approx(1.409, abs=1e-3)
    # The table of the step response: 72.92 % at 0.1, 16.30 % at 0.5; none from critical damping on.
    found = formulas.peak_gate_voltage(1.0, 0.0, np.array([0.1, 0.5, 1.0, 3.0])) - 1.0
    assert found == pytest.approx([0.7292, 0.1630, 0.0, 0.0], abs=5e-5)


def test_the_plateau_slope_with_a_large_output_capacitance_is_the_channel_s() -> None:
    # A channel driven by its full overdrive discharges the drain: g (V_DR - V_PL)/C_D.
    assert formulas.voltage_slope(12.0, 5.0, 1.0, 1e-15, 1e-9, 2.0) == pytest.approx(14e9, rel=1e-5)
    assert formulas.voltage_slope(12.0, 5.0, 5.0, 1e-10, 0.0, 2.0) == pytest.approx(14e9, rel=1e-9)


def test_the_gate_charge_is_that_of_the_staircase_of_constant_capacitances() -> None:
    # Q_GS = (C_GS + C_GD) V_PL, Q_GD = C_GD V_D, then both capacitances to the rail.
    plateau = formulas.plateau_voltage(3.0, 8.0, 4.0)
    assert plateau == pytest.approx(5.0)
    found = formulas.gate_charge(1.1e-9, plateau, 0.0, 0.1e-9 * 50.0, 1.1e-9, 12.0)
    assert found == pytest.approx(1e-9 * 12.0 + 0.1e-9 * (12.0 + 50.0))
    delay = formulas.edge_delay(10.0, 1.1e-9, 0.0, 12.0, plateau, 1e-9, 0.5)
    assert delay == pytest.approx(11e-9 * math.log(12.0 / 5.0) + 2e-9)


def test_a_current_limit_bounds_the_gate_current() -> None:
    assert formulas.plateau_current(12.0, 4.0, np.array([2.0, 16.0]), 1.0) == pytest.approx([1.0, 0.5])
    assert formulas.peak_gate_current(12.0, -3.0, 5.0) == pytest.approx(3.0)


def test_the_parts_of_the_gate_path_share_the_drive_power() -> None:
    shared = [
        formulas.gate_resistance_loss(60e-9, 12.0, 3e5, on, 10.0, off, 5.0)
        for on, off in ((3.0, 1.0), (5.0, 3.0), (2.0, 1.0))
    ]
    assert sum(shared) == pytest.approx(float(formulas.gate_drive_power(60e-9, 12.0, 3e5)), rel=1e-12)


def test_the_recovery_snubber_s_peak_is_that_of_the_integrated_circuit() -> None:
    inductance, capacitance, resistance, voltage, current = 50e-6, 0.735e-6, 6.6, 220.0, 20.0

    def slopes(_: float, state: np.ndarray) -> list[float]:
        return [(voltage - resistance * state[0] - state[1]) / inductance, state[0] / capacitance]

    run = solve_ivp(slopes, (0.0, 60e-6), [current, 0.0], rtol=1e-10, atol=1e-10, max_step=1e-8)
    peak = np.max(run.y[1] + resistance * run.y[0])
    found = formulas.recovery_snubber_peak(inductance, capacitance, resistance, voltage, current)
    assert found == pytest.approx(peak, rel=1e-6)


def test_the_damping_resistance_makes_the_highest_impedance_least() -> None:
    # Unit inductance and capacitance; the impedance over frequency with n in series with R across them.
    frequency = np.geomspace(0.2, 5.0, 4001)

    def highest(resistance: float, ratio: float) -> float:
        snubber = 1.0 / (resistance + 1.0 / (1j * frequency * ratio))
        admittance = 1j * frequency + 1.0 / (1j * frequency) + snubber
        return float(np.max(1.0 / np.abs(admittance)))

    for ratio in (1.0, 3.0, 10.0):
        best = minimize_scalar(highest, bounds=(0.05, 5.0), args=(ratio,), method="bounded").x
        assert formulas.damping_resistance(1.0, 1.0, ratio) == pytest.approx(best, rel=5e-3)


def test_two_rings_give_back_the_circuit_they_are_of() -> None:
    inductance, capacitance, added = 17e-9, 430e-12, 1e-9
    frequency = formulas.resonance_frequency(inductance, capacitance)
    loaded = formulas.resonance_frequency(inductance, capacitance + added)
    found = formulas.ring_capacitance(frequency, loaded, added)
    assert found == pytest.approx(capacitance, rel=1e-12)
    assert formulas.ring_inductance(frequency, found) == pytest.approx(inductance, rel=1e-12)
    # Three times the capacitance added halves the frequency.
    assert formulas.ring_capacitance(2.0, 1.0, 3.0) == pytest.approx(1.0)


def test_the_quality_of_a_ring_is_its_impedance_over_its_resistance() -> None:
    assert formulas.ring_quality(1e-6, 100e-12, 10.0) == pytest.approx(10.0)


def test_a_clamp_takes_its_charge_at_its_voltage() -> None:
    given = (1e-6, 10.0, 80.0, 48.0)
    charge = formulas.clamp_charge(*given)
    assert formulas.clamp_energy(*given) == pytest.approx(charge * 80.0)
    assert charge == pytest.approx(0.5 * 10.0 * formulas.clamp_duration(*given))


def test_the_abrupt_junction_holds_a_third_more_than_a_constant_capacitance() -> None:
    assert formulas.output_energy(1e-9, 100.0) == pytest.approx(4.0 / 3.0 * 0.5 * 1e-9 * 100.0**2)


def test_losses_and_ripples_are_those_of_sampled_waveforms() -> None:
    duty, frequency, current, ripple = 0.3, 1e5, 6.0, 2.0
    ramp = current + ripple * (np.linspace(0.0, 1.0, 20001) - 0.5)
    found = formulas.conduction_loss(0.01, duty, current, ripple)
    assert found == pytest.approx(0.01 * duty * np.mean(ramp**2), rel=1e-4)
    assert formulas.diode_conduction_loss(0.7, current, duty) == pytest.approx(0.7 * 6.0 * 0.7)
    assert formulas.ripple_current(48.0, duty, 100e-6, frequency) == pytest.approx(48 * 0.7 * 3e-6 / 100e-6)
    # A core that carries no current changes nothing; with 200 ohm, 48 V and 0.7 V step by 48.7/200 A.
    coil = (48.0, duty, 100e-6, frequency, 0.7, 0.0)
    assert formulas.ripple_current_with_core(*coil, 1e12) == pytest.approx(48 * 0.7 * 3e-6 / 100e-6)
    assert formulas.ripple_current_with_core(*coil, 200.0) == pytest.approx(
        48 * 0.7 * 3e-6 / 100e-6 + 48.7 / 200
    )
    # The source gives D I all the time, the capacitor the rest of I while the switch is on.
    lost = (1.0 - duty) * current * duty / frequency / 100e-6
    assert formulas.bus_ripple(current, duty, frequency, 100e-6, 0.0) == pytest.approx(lost)
    assert formulas.switching_loss(1e-6, 2e-6, 1e5) == pytest.approx(0.3)
    assert formulas.recovery_energy(400.0, 1e-6) == pytest.approx(400e-6)


def test_the_minimum_pulse_is_the_sum_of_its_parts() -> None:
    found = formulas.minimum_pulse(20e-9, 10.0, 2e-9, 12.0, 0.0, 4.0, 16e-9, 0.8)
    parts = formulas.gate_transition_time(10.0, 2e-9, 12.0, 0.0, 4.0) + formulas.charge_time(16e-9, 0.8)
    assert found == pytest.approx(20e-9 + parts)


@pytest.mark.parametrize("one", EVERY, ids=lambda one: one.name)
def test_a_formula_prints_every_symbol_it_takes(one: Formula[...]) -> None:
    for symbol in one.symbols.values():
        assert symbol.text in one.equation
        assert symbol.meaning
    assert one.latex
    assert one.source
    assert pickle.loads(pickle.dumps(one)) is one
    assert one.name in formulas.__all__


@pytest.mark.parametrize("one", EVERY, ids=lambda one: one.name)
def test_a_formula_takes_arrays(one: Formula[...]) -> None:
    random = np.random.default_rng(11)
    needed = list(inspect.signature(one._function).parameters)
    columns = {name: random.uniform(0.1, 0.9, 5) for name in needed}
    together = one(**columns)
    alone = [float(one(**{name: column[row] for name, column in columns.items()})) for row in range(5)]
    assert together == pytest.approx(alone, rel=1e-12, nan_ok=True)


def test_a_formula_without_a_value_gives_none() -> None:
    assert math.isnan(formulas.gate_transition_time(10.0, 1e-9, 5.0, 0.0, 6.0))
    assert math.isnan(formulas.charge_time(1e-9, 0.0))
