"""The step of a converter: found on its levels whatever lies beside them, and none in computed waveforms."""

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

import gateswing as gs
from gateswing.capture.quality import converter_step, is_noisy, noise_of

Floats = NDArray[np.float64]

COUNT = 4000
TIMES: Floats = np.linspace(0.0, 1.0, COUNT)


def waveform(rng: np.random.Generator) -> Floats:
    """An edge with a ring, up and down, of 10 to 60 V."""
    swing = rng.uniform(10.0, 60.0)
    rise = np.clip((TIMES - 0.2) / rng.uniform(0.005, 0.03), 0.0, 1.0)
    fall = np.clip((TIMES - 0.7) / rng.uniform(0.005, 0.03), 0.0, 1.0)
    ring = np.where(TIMES > 0.7, np.exp(-(TIMES - 0.7) / 0.05) * np.sin((TIMES - 0.7) * 400.0), 0.0)
    return np.asarray(swing * (rise - fall + 0.2 * ring))


@pytest.mark.parametrize("case", range(8))
@pytest.mark.parametrize("noise", [0.0, 0.003, 0.02])
def test_the_step_is_that_between_levels_and_bridged_samples_change_nothing(case: int, noise: float) -> None:
    rng = np.random.default_rng([case, 5])
    clean = waveform(rng)
    noisy = clean + noise * np.ptp(clean) * rng.standard_normal(COUNT)
    step = 1.25 * float(np.ptp(clean)) / 2**8
    shown = step * np.round(noisy / step)
    assert converter_step(shown) == pytest.approx(step, rel=1e-6)
    lost = np.zeros(COUNT, dtype=bool)
    lost[rng.integers(100, COUNT - 100, 5)] = True
    bridged = np.interp(TIMES, TIMES[~lost], shown[~lost])
    bridged[lost] += rng.uniform(0.2, 0.8, lost.sum()) * step
    assert converter_step(bridged) == pytest.approx(step, rel=1e-3)
    assert noise_of(bridged) == pytest.approx(noise_of(shown), rel=0.05)
    printed = np.array([float(f"{value:.3f}") for value in shown])
    assert converter_step(printed) == pytest.approx(step, rel=2e-3)


@pytest.mark.parametrize("slope", [0.1, 0.3, 0.7, 0.95])
def test_a_slow_line_through_a_converter_is_no_computed_one(slope: float) -> None:
    line = np.append(slope * np.abs(np.arange(-400.0, 400.0)), np.zeros(3000))
    assert converter_step(0.1 * np.round(line)) == pytest.approx(0.1)


def test_few_levels_are_a_converter_too() -> None:
    levels = np.random.default_rng(3).integers(0, 5, 400)
    values: Floats = 0.4 * levels.astype(np.float64)
    values[200] = 0.6
    assert converter_step(values) == pytest.approx(0.4)


@pytest.mark.parametrize("case", range(4))
def test_print_coarser_than_the_converter_is_the_converter(case: int) -> None:
    codes = np.random.default_rng(case).integers(-60, 60, 2000)
    assert converter_step(np.array([float(f"{0.0153 * code:.2f}") for code in codes])) == pytest.approx(0.01)


def trapezoid(rng: np.random.Generator) -> Floats:
    """Lines between corners, with a plateau or without."""
    length = float(rng.choice([0.0008, 0.003, 0.01, 0.04, 0.11]))
    corners = np.cumsum([0.1, length, 0.3, length * rng.choice([1.0, 0.7]), 0.2])
    levels = [0.0, 0.0, 10.0, 10.0, 0.0, 0.0]
    return np.asarray(np.interp(TIMES, [0.0, *corners], levels))


def staircase(rng: np.random.Generator) -> Floats:
    """Rise with a plateau, as of a gate, over few or many samples."""
    length = float(rng.choice([0.0014, 0.05]))
    knees = [0.0, 0.2, 0.2 + length, 0.45, 0.45 + length, 1.0]
    return np.asarray(rng.uniform(5.0, 15.0) * np.interp(TIMES, knees, [0.0, 0.0, 0.5, 0.5, 1.0, 1.0]))


def few_samples(rng: np.random.Generator) -> Floats:
    """Edges of two samples."""
    lengths = [900, 1, 1, 2000, 1, 1, 99]
    return rng.uniform(1.0, 9.0) * np.repeat([0.0, 1.0, 2.0, 3.0, 2.0, 1.0, 0.0], lengths)


def one_sample(rng: np.random.Generator) -> Floats:
    """Edges of one sample."""
    return rng.uniform(1.0, 9.0) * np.repeat([0.0, 1.0, 3.0, 2.0, 0.0], [900, 1, 2000, 1, 99])


def uneven_levels(rng: np.random.Generator) -> Floats:
    """Values that come again, at any distance."""
    return rng.choice(rng.uniform(0.0, 5.0, 40), COUNT)


def settling(rng: np.random.Generator) -> Floats:
    """At rest, then exponential."""
    return np.where(TIMES < 0.9, 0.0, 1.0 - np.exp((0.9 - TIMES) / rng.uniform(0.01, 0.1)))


def periods(rng: np.random.Generator) -> Floats:
    """Whole periods of a sine, whose values come again and again."""
    return rng.uniform(0.1, 9.0) * np.tile(np.sin(2.0 * np.pi * np.arange(200) / 200), 20)


def ramps(rng: np.random.Generator) -> Floats:
    """Whole periods of a triangle."""
    return rng.uniform(0.1, 9.0) * np.tile(np.abs(np.arange(-50.0, 50.0)), 40)


COMPUTED: dict[str, Callable[[np.random.Generator], Floats]] = {
    "a trapezoid": trapezoid,
    "edges of two samples": few_samples,
    "edges of one sample": one_sample,
    "uneven levels": uneven_levels,
    "a trapezoid in print": lambda rng: np.round(trapezoid(rng), 3),
    "a plateau": staircase,
    "a settling": settling,
    "whole periods": periods,
    "whole ramps": ramps,
}


@pytest.mark.parametrize("case", range(6))
@pytest.mark.parametrize("make", COMPUTED.values(), ids=COMPUTED.keys())
def test_a_clean_computed_waveform_has_no_converter(
    make: Callable[[np.random.Generator], Floats], case: int
) -> None:
    values = make(np.random.default_rng([case, 9]))
    assert converter_step(values) == 0.0
    # Computed once more it differs in the last bits.
    assert converter_step(values * 3.3 / 3.3 + 1e-14) == 0.0


@pytest.mark.parametrize("case", range(4))
def test_a_clean_rise_has_no_noise(case: int) -> None:
    values = staircase(np.random.default_rng(case))
    capture = gs.Capture(1e-6 * TIMES, {"a": values}, {"a": "V"}, (0,), {}, gs.ImportReport((), ()))
    assert not is_noisy(values, capture.noise("a"))


def test_what_is_computed_is_no_noise() -> None:
    values = waveform(np.random.default_rng(2))
    assert not is_noisy(values, 0.9e-4 * float(np.ptp(values)))
    assert is_noisy(values, 1.1e-4 * float(np.ptp(values)))
