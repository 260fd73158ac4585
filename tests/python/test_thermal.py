"""Thermal ladders against closed forms, an independent integration, and each other."""

import math
from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import quad, solve_ivp  # type: ignore[import-untyped]

import gateswing as gs
from gateswing.circuit.thermal_conversion import cauer_of_foster, foster_of_cauer

# Four elements of a real part: International Rectifier, data sheet IRLB8721PbF, figure 11. It prints 13.687
# for the first time constant in a column of seconds; the other three ascend, so microseconds must be meant.
PRINTED = (0.003454, 0.17246, 0.786312, 1.368218), (13.687, 7.21e-5, 0.001227, 0.007178)
MEANT = PRINTED[0], (13.687e-6, 7.21e-5, 0.001227, 0.007178)
# Invented, in no order.
INVENTED = (0.4, 0.02, 1.1), (30e-3, 50e-6, 2e-3)

Pairs = tuple[tuple[float, ...], tuple[float, ...]]
Course = Callable[[float], float]


def foster(pairs: Pairs) -> gs.FosterLadder:
    return gs.FosterLadder(resistances=pairs[0], time_constants=pairs[1])


def integrated(ladder: gs.CauerLadder, power: Course, breaks: list[float]) -> list[float]:
    """Rise of the junction [K] at `breaks`: the nodes' heat balances, by a library's integrator."""
    resistance, capacity = np.array(ladder.resistances), np.array(ladder.capacities)

    def slope(time: float, rise: NDArray[np.float64]) -> NDArray[np.float64]:
        flow = -np.diff(np.append(rise, 0.0)) / resistance
        fed = np.concatenate([[power(time)], flow[:-1]])
        return np.asarray((fed - flow) / capacity)

    state, rises = np.zeros(capacity.size), [0.0]
    for begin, end in pairwise(breaks):
        found = solve_ivp(slope, (begin, end), state, method="Radau", rtol=1e-9, atol=1e-10)
        state = found.y[:, -1]
        rises.append(float(state[0]))
    return rises


@pytest.mark.parametrize(
    ("time", "wanted"), [(1e-4, 0.20985), (1e-3, 0.78865), (1e-2, 1.98705), (0.1, 2.32701)]
)
def test_a_published_ladder_gives_its_impedance(time: float, wanted: float) -> None:
    # The values are the closed form with 13.687 s as printed; in microseconds that element has settled.
    assert foster(PRINTED).step_response(time) == pytest.approx(wanted, abs=6e-6)
    settled = PRINTED[0][0] * (1 - math.exp(-time / 13.687e-6))
    assert foster(MEANT).step_response(time) == pytest.approx(wanted + settled, abs=3.5e-5)


def test_a_published_ladder_ends_at_the_sum_of_its_resistances() -> None:
    assert foster(MEANT).total_resistance == pytest.approx(2.3304, abs=5e-5)
    assert foster(MEANT).step_response(10.0) == pytest.approx(2.3304, abs=5e-5)


def test_the_step_response_has_the_shape_of_the_times_and_is_zero_before_the_step() -> None:
    response = foster(INVENTED).step_response([[-1.0, 0.0, 1e-3], [1e-2, 1e-1, 1.0]])
    assert response.shape == (2, 3)
    assert response[0, 0] == response[0, 1] == 0.0
    assert isinstance(foster(INVENTED).step_response(1e-3), float)


def test_one_element_is_the_textbook_exponential() -> None:
    ladder = gs.FosterLadder(resistances=["2 K/W"], time_constants=["10 ms"])
    assert ladder.step_response(10e-3) == pytest.approx(2 * (1 - math.exp(-1)), rel=1e-14)
    cauer = ladder.to_cauer()
    assert cauer.resistances == (2.0,)
    assert cauer.capacities[0] == pytest.approx(5e-3, rel=1e-15)


def test_two_elements_become_the_ladder_of_the_hand_calculation() -> None:
    # Z = 1/(1 + s) + 1/(1 + 4 s) = (2 + 5 s)/((1 + s)(1 + 4 s)): C1 = 4/5, then
    # 1/Z - s C1 = (1 + 17/5 s)/(2 + 5 s), R1 = 5/(17/5) = 25/17, rest (9/17)/(1 + 17/5 s):
    # R2 = 9/17, R2 C2 = 17/5.
    resistances, capacities = cauer_of_foster((1.0, 1.0), (1.0, 4.0))
    assert resistances == pytest.approx((25 / 17, 9 / 17), rel=1e-15)
    assert capacities == pytest.approx((4 / 5, 289 / 45), rel=1e-15)


@pytest.mark.parametrize("count", [1, 2, 3, 4, 6, 8])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_foster_to_cauer_and_back_keeps_every_element(count: int, seed: int) -> None:
    draw = np.random.default_rng(seed)
    constants = tuple((np.geomspace(1e-6, 1e2, count) * draw.uniform(0.7, 1.4, count)).tolist())
    resistances = tuple(np.exp(draw.uniform(math.log(1e-3), math.log(10.0), count)).tolist())
    found = foster_of_cauer(*cauer_of_foster(resistances, constants))
    assert found[0] == pytest.approx(resistances, rel=1e-11), (resistances, constants)
    assert found[1] == pytest.approx(constants, rel=1e-13), (resistances, constants)


@pytest.mark.parametrize("seed", range(1, 9))
def test_cauer_to_foster_and_back_keeps_every_element(seed: int) -> None:
    draw = np.random.default_rng(seed)
    resistances = tuple(np.exp(draw.uniform(-3.0, 1.0, 5)).tolist())
    capacities = tuple((1e-6 * 20.0 ** np.arange(5) * np.exp(draw.uniform(-1.0, 1.0, 5))).tolist())
    found = cauer_of_foster(*foster_of_cauer(resistances, capacities))
    assert found[0] == pytest.approx(resistances, rel=1e-9), (resistances, capacities)
    assert found[1] == pytest.approx(capacities, rel=1e-9), (resistances, capacities)


def test_a_converted_ladder_keeps_the_whole_resistance_and_the_first_slope() -> None:
    ladder, cauer = foster(MEANT), foster(MEANT).to_cauer()
    assert sum(cauer.resistances) == pytest.approx(ladder.total_resistance, rel=1e-14)
    slopes = [r / tau for r, tau in zip(*MEANT, strict=True)]
    assert 1 / cauer.capacities[0] == pytest.approx(sum(slopes), rel=1e-14)
    assert min(cauer.resistances + cauer.capacities) > 0


def test_the_cauer_ladder_s_own_heat_balances_give_the_same_step_response() -> None:
    times = [0.0, 20e-6, 300e-6, 4e-3, 50e-3]
    rises = integrated(foster(MEANT).to_cauer(), lambda _: 1.0, times)
    assert rises == pytest.approx(foster(MEANT).step_response(times), rel=2e-7, abs=1e-12)


def test_constant_powers_between_times_superpose_step_responses() -> None:
    times, powers = [0.0, 1e-4, 1.1e-3, 1.5e-3, 40e-3], [50.0, 0.0, 120.0, 3.0]
    ladder, changes = foster(INVENTED), np.diff([0.0, *powers])
    wanted = [
        sum(
            change * ladder.step_response(time - begin)
            for change, begin in zip(changes, times[:-1], strict=True)
        )
        for time in times
    ]
    assert ladder.response(times, powers) == pytest.approx(wanted, rel=1e-12, abs=1e-13)


def test_straight_lines_of_power_give_what_the_heat_balances_give() -> None:
    times, powers = [0.0, 1e-6, 1e-4, 2e-3, 2.5e-3, 60e-3], [0.0, 80.0, 20.0, 20.0, 150.0, 0.0]
    rises = integrated(foster(INVENTED).to_cauer(), lambda time: float(np.interp(time, times, powers)), times)
    assert foster(INVENTED).response(times, powers) == pytest.approx(rises, rel=1e-6, abs=1e-9)


def test_a_ramp_gives_the_convolution_integral_whatever_the_length_of_the_steps() -> None:
    def share(age: float) -> float:
        return float(sum(r / tau * math.exp(-age / tau) for r, tau in zip(*INVENTED, strict=True)))

    wanted, _ = quad(lambda t: 1e3 * t * share(5e-3 - t), 0.0, 5e-3, epsabs=0.0, epsrel=1e-12, limit=500)
    for steps in (1, 7, 100, 20000):
        times = np.linspace(0.0, 5e-3, steps + 1)
        assert foster(INVENTED).response(times, 1e3 * times)[-1] == pytest.approx(wanted, rel=1e-11), steps


@pytest.mark.parametrize("step", [1e-9, 1e-4, 0.01, 0.09, 0.0999, 0.1001, 1.0, 30.0])
def test_a_short_ramp_keeps_its_digits(step: float) -> None:
    # 1 - (1 - exp(-x))/x as its series in rational numbers, which does not cancel.
    x = Fraction(step)
    wanted = sum(-((-x) ** k) / math.factorial(k + 1) for k in range(1, 130 if step > 1 else 25))
    ladder = gs.FosterLadder(resistances=[1.0], time_constants=[1.0])
    assert ladder.response([0.0, step], [0.0, 1.0])[-1] == pytest.approx(float(wanted), rel=1e-13)


def test_repeated_pulses_peak_at_what_many_of_them_come_to() -> None:
    ladder, on, period, pulses = foster(INVENTED), 0.4e-3, 3e-3, 200
    times = np.concatenate([[k * period, k * period + on] for k in range(pulses)])
    powers = np.resize([25.0, 0.0], times.size - 1)
    last = ladder.response(times, powers)[-1]
    assert ladder.repetitive_peak("25 W", "0.4 ms", "3 ms") == pytest.approx(last, rel=1e-7)


def test_repeated_pulses_lie_between_mean_power_and_peak_power() -> None:
    ladder = foster(INVENTED)
    assert ladder.repetitive_peak(10.0, 1e-9, 2e-9) == pytest.approx(5.0 * ladder.total_resistance, rel=1e-4)
    assert ladder.repetitive_peak(10.0, 1e-3, 1e-3) == pytest.approx(
        10.0 * ladder.total_resistance, rel=1e-14
    )
    single = ladder.single_pulse(10.0, 1e-3)
    assert single == pytest.approx(10.0 * ladder.step_response(1e-3), rel=1e-15)
    assert ladder.repetitive_peak(10.0, 1e-3, 10.0) == pytest.approx(single, rel=1e-12)


def test_a_triangular_pulse_into_a_square_root_peaks_half_way_at_0_4714() -> None:
    # The peak is (2/3) P Zth(T/2) = (sqrt(2)/3) P Zth(T) (the 2/3 rule as in Nexperia AN10273, from memory;
    # re-derived). Elements spread evenly over twelve decades make the square root to 0.1 %.
    steps = np.arange(-10, 10)
    ladder = gs.FosterLadder(resistances=(2.0**steps).tolist(), time_constants=(4.0**steps).tolist())
    peak = ladder.triangular_pulse_peak(10.0, 1.0)
    assert peak.rise / (10.0 * ladder.step_response(1.0)) == pytest.approx(math.sqrt(2) / 3, rel=2e-3)
    assert peak.rise / (10.0 * ladder.step_response(0.5)) == pytest.approx(2 / 3, rel=2e-3)
    assert peak.time == pytest.approx(0.5, rel=5e-3)


@pytest.mark.parametrize("duration", [1e-30, 1e-9, 1e-5, 1e-3, 1.0, 1e4])
def test_a_triangular_pulse_peaks_where_a_fine_record_of_it_does(duration: float) -> None:
    peak = foster(INVENTED).triangular_pulse_peak(40.0, duration)
    times = (
        np.unique(np.concatenate([np.linspace(0.0, 1.0, 20001), np.geomspace(1e-9, 1.0, 2000)])) * duration
    )
    record = foster(INVENTED).response(times, 40.0 * (1.0 - times / duration))
    assert peak.rise == pytest.approx(record.max(), rel=1e-6)
    assert peak.rise >= record.max() * (1 - 1e-12)
    assert 0.0 < peak.time <= duration


def test_a_triangular_pulse_too_short_to_cool_within_peaks_at_its_end() -> None:
    # Rounding makes the slope win up to the end here. The rise is energy over capacity.
    ladder = gs.FosterLadder(resistances=[1.3, 0.6], time_constants=["1 ms", "1 ms"])
    peak = ladder.triangular_pulse_peak(40.0, 1e-25)
    assert peak.time == 1e-25
    assert peak.rise == pytest.approx(0.5 * 40.0 * 1e-25 * (1.9 / 1e-3), rel=1e-12)


def test_time_constants_that_cannot_be_told_apart_are_joined() -> None:
    ladder = gs.FosterLadder(resistances=[1.0, 2.0, 1.0], time_constants=[1e-3, 1.00005e-3, 1e-3])
    cauer = ladder.to_cauer()
    assert len(cauer.resistances) == 1
    times = np.geomspace(1e-6, 1e-1, 200)
    difference = cauer.to_foster().step_response(times) - ladder.step_response(times)
    assert np.abs(difference).max() < 1e-9 * ladder.total_resistance


def test_a_case_on_a_heat_sink_is_the_chain_of_both() -> None:
    both = foster(MEANT).to_cauer().followed_by(gs.CauerLadder(resistances=[10.0], capacities=[50.0]))
    assert both.to_foster().total_resistance == pytest.approx(2.330444 + 10.0, rel=1e-9)
    # A short pulse does not yet know of the sink.
    early = both.to_foster().step_response(1e-4)
    assert early == pytest.approx(foster(MEANT).step_response(1e-4), rel=1e-6)


def test_a_fit_finds_the_elements_of_a_curve_that_has_them() -> None:
    times = np.geomspace(1e-6, 1.0, 60)
    fit = gs.fit_foster(times, foster(MEANT).step_response(times), 4)
    assert fit.largest_error < 1e-9
    assert fit.ladder.resistances == pytest.approx(MEANT[0], rel=1e-6)
    assert fit.ladder.time_constants == pytest.approx(MEANT[1], rel=1e-6)


def test_a_fit_with_fewer_elements_says_how_far_off_it_is() -> None:
    times = np.geomspace(1e-5, 1.0, 40)
    curve = foster(MEANT).step_response(times)
    errors = [gs.fit_foster(times, curve, order).largest_error for order in (1, 2, 3)]
    assert errors == sorted(errors, reverse=True)
    ladder = gs.fit_foster(times, curve, 2).ladder
    assert np.abs(ladder.step_response(times) / curve - 1).max() == pytest.approx(errors[1], rel=1e-9)


def test_a_fit_reads_a_curve_taken_with_the_eye() -> None:
    # Points read off within 3 %, the noise drawn.
    times = np.geomspace(1e-5, 0.3, 25)
    noise = 1 + 0.03 * np.random.default_rng(7).uniform(-1.0, 1.0, times.size)
    fit = gs.fit_foster(times, foster(MEANT).step_response(times) * noise, 4)
    assert fit.largest_error < 0.05
    between = np.geomspace(2e-5, 0.2, 60)
    assert fit.ladder.step_response(between) == pytest.approx(foster(MEANT).step_response(between), rel=0.05)


GOOD = {"resistances": [1.0, 2.0], "time_constants": ["1 ms", "20 ms"]}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"time_constants": ["1 ms"]}, "time_constants: has 1 values, but resistances has 2"),
        ({"resistances": [], "time_constants": []}, "resistances: has 0 values"),
        ({"resistances": [0.1] * 21, "time_constants": [1.0] * 21}, "1 to 20 elements"),
        ({"resistances": [1.0, "2 ohm"]}, "resistances.1 = '2 ohm': has the unit 'ohm'"),
        ({"resistances": [1.0, -2.0]}, "resistances.1 = -2.0: out of range. Allowed: above 0 K/W"),
        ({"time_constants": [0.0, 1.0]}, "time_constants.0 = 0.0: out of range"),
        ({"time_constants": [math.nan, 1.0]}, "not a finite number"),
    ],
)
def test_a_ladder_that_makes_no_sense_is_refused(change: dict[str, Any], words: str) -> None:
    with pytest.raises(gs.InputError) as caught:
        gs.FosterLadder(**(GOOD | change))
    assert words in str(caught.value)


@pytest.mark.parametrize(
    ("times", "powers", "words"),
    [
        ([0.0, 0.0, 1.0], [1.0, 1.0], "times: not a list of finite, increasing times"),
        ([0.0], [], "times: not a list"),
        ([0.0, math.inf], [1.0], "times: not a list"),
        ([0.0, 1.0, 2.0], [1.0], "3 values at the times, or 2 between them"),
        ([0.0, 1.0, 2.0], [[1.0, 1.0]], "has the shape (1, 2)"),
        ([0.0, 1.0, 2.0], [1.0, math.nan], "not finite"),
    ],
)
def test_a_course_of_power_that_makes_no_sense_is_refused(times: Any, powers: Any, words: str) -> None:
    with pytest.raises(gs.InputError) as caught:
        foster(INVENTED).response(times, powers)
    assert words in str(caught.value)


def test_arguments_out_of_range_are_refused_by_name() -> None:
    with pytest.raises(gs.InputError, match=r"on_time = 2 ms: too long\. Allowed: up to the period, 1 ms"):
        foster(INVENTED).repetitive_peak(1.0, "2 ms", "1 ms")
    with pytest.raises(gs.InputError, match=r"power = '3 A': has the unit 'A'"):
        foster(INVENTED).single_pulse("3 A", "1 ms")
    with pytest.raises(gs.InputError, match=r"duration = 0: out of range"):
        foster(INVENTED).triangular_pulse_peak(1.0, 0)


@pytest.mark.parametrize(
    ("times", "impedances", "order", "words"),
    [
        ([1e-3, 1e-2], [1.0, 2.0], 2, "order = 2: out of range. Allowed: 1 to 1, with 2 points"),
        ([1e-3, 1e-2], [1.0, -2.0], 1, "impedances: not a list of finite, positive"),
        ([0.0, 1e-2], [1.0, 2.0], 1, "times: not a list of finite, positive"),
        ([1e-2, 1e-3], [1.0, 2.0], 1, "times: does not increase"),
        ([1e-3, 1e-2], [1.0], 1, "impedances: has 1 values, but times has 2"),
    ],
)
def test_a_curve_that_makes_no_sense_is_refused(times: Any, impedances: Any, order: int, words: str) -> None:
    with pytest.raises(gs.InputError) as caught:
        gs.fit_foster(times, impedances, order)
    assert words in str(caught.value)


def test_a_ladder_prints_as_a_table_and_as_what_makes_it() -> None:
    printed = str(foster(MEANT))
    assert "172.5 mK/W" in printed
    assert "7.178 ms" in printed
    made = eval(repr(foster(MEANT)), {"FosterLadder": gs.FosterLadder})
    assert made == foster(MEANT)
    assert "uJ/K" in str(foster(MEANT).to_cauer())
