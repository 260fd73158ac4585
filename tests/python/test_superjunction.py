"""A superjunction's output capacitance: one step beside a depletion layer meets the published equivalents."""

import numpy as np
import pytest
from scipy.optimize import least_squares  # type: ignore[import-untyped]

import gateswing as gs
from gateswing import _core

# (Coss at 100 V, Co(tr), Co(er)) [F] from 0 to 520 V. Sources: STW88N65M5-4, DocID 027754 rev 1, table 5;
# STW62N65M5, DocID 024837 rev 3.
PUBLISHED = {"STW88N65M5-4": (223e-12, 778e-12, 202e-12), "STW62N65M5": (170e-12, 536e-12, 146e-12)}


def laws(logarithms: np.ndarray) -> tuple[gs.DepletionCapacitance, gs.StepCapacitance]:
    zero_bias, floor, height, centre = np.exp(logarithms)
    return (
        gs.DepletionCapacitance(zero_bias=zero_bias, potential=0.8, grading=0.5, floor=floor),
        gs.StepCapacitance(low=height, high=0.0, centre=centre, width=centre / 8.0),
    )


def equivalents(logarithms: np.ndarray) -> np.ndarray:
    """Coss at 100 V, Co(tr) = Q/V and Co(er) = 2 E/V^2 at 520 V [F]."""
    cores = [law.to_core() for law in laws(logarithms)]
    capacitance = sum(float(_core.capacitance(core, 100.0)) for core in cores)
    charge = sum(float(_core.charge(core, 520.0)) for core in cores)
    energy = sum(float(_core.stored_energy(core, 520.0)) for core in cores)
    return np.array([capacitance, charge / 520.0, 2.0 * energy / 520.0**2])


@pytest.mark.parametrize("part", PUBLISHED)
def test_a_step_beside_a_depletion_layer_meets_the_published_equivalents(part: str) -> None:
    wanted = np.array(PUBLISHED[part])
    start = np.log([2e-9, 80e-12, 8e-9, 20.0])
    fit = least_squares(lambda x: np.log(equivalents(x) / wanted), start, bounds=(start - 3.0, start + 1.5))
    assert equivalents(fit.x) == pytest.approx(wanted, rel=0.02)


def test_a_depletion_layer_alone_does_not() -> None:
    # An abrupt junction's Co(tr)/Co(er) is 1.5 at most; the published ratios are 3.9 and 3.7.
    core = gs.DepletionCapacitance(zero_bias=5e-9, potential=0.8, grading=0.5).to_core()
    charge, energy = float(_core.charge(core, 520.0)), float(_core.stored_energy(core, 520.0))
    assert charge / 520.0 / (2.0 * energy / 520.0**2) < 1.5


def test_the_charging_path_loses_what_the_capacitance_does_not_store() -> None:
    # V Q = E + loss for any C(V): charged from a source through any resistance.
    for law in laws(np.log([2e-9, 80e-12, 8e-9, 20.0])):
        core = law.to_core()
        voltage = np.linspace(0.0, 400.0, 200001)
        loss = np.trapezoid((400.0 - voltage) * _core.capacitance(core, voltage), voltage)
        stored = float(_core.stored_energy(core, 400.0))
        assert 400.0 * float(_core.charge(core, 400.0)) == pytest.approx(stored + loss, rel=1e-6)
