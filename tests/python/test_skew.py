"""What a current that is late does to energies, and how late it is."""

import math
import re

import numpy as np
import pytest

import gateswing as gs
from drawn_captures import drawn
from gateswing.measurement.edges import measure_edges
from gateswing.measurement.skew import energy_against_skew
from straight_edges import hard_edges

pytestmark = pytest.mark.filterwarnings("ignore::gateswing.InputWarning")


def test_a_current_that_is_late_costs_voltage_times_current_times_skew() -> None:
    # 400 V, 20 A, 1 ns: 8 uJ (common practice; here a closed form, as the ramps do not overlap).
    found = energy_against_skew(hard_edges(), [-1e-9, 0.0, 1e-9])
    change = found.total_energy.diff("skew").values
    np.testing.assert_allclose(change[0], 8e-6, rtol=1e-3)
    np.testing.assert_allclose(change[1], -8e-6, rtol=1e-3)
    assert found.energy.attrs["units"] == "J"
    with pytest.raises(gs.InputError, match="no such channel"):
        energy_against_skew(hard_edges(), [0.0], current="i")


def test_energies_against_skew_stay_with_their_edge() -> None:
    found = energy_against_skew(hard_edges(), ["-0.3 us", 0.0, "0.2 us", "1.5 us"])
    energies, totals = found.energy.values, found.total_energy.values
    on, off = measure_edges(hard_edges())
    # Moved by -0.3 us, the current leaves the turn-on at 0.1 us out of the common record.
    assert np.isnan([energies[0, 0], totals[0, 0]]).all()
    assert totals[1, 0] == pytest.approx(400.0 * 20.0 * (30e-9 / 2 + 300e-9 + 20e-9 / 2), rel=1e-3)
    assert [energies[0, 1], energies[1, 1]] == pytest.approx([on.energy, off.energy], rel=1e-9)
    assert np.isfinite(totals[:, 1:3]).all()
    # By 1.5 us the turn-off leaves it as well, and the rest of the turn-on is whole.
    assert np.isnan([energies[1, 3], totals[1, 3]]).all()
    assert math.isfinite(totals[0, 3])
    only = energy_against_skew(hard_edges(), ["-0.3 us"])
    assert only.total_energy.values[:, 0] == pytest.approx(totals[:, 0], nan_ok=True)
    assert only.sizes == {"edge": 2, "skew": 1}


@pytest.mark.parametrize("sampled", [True, False])
def test_skews_that_leave_no_record_are_refused(sampled: bool) -> None:
    waveform = hard_edges()
    if sampled:
        times = np.arange(0.0, 2e-6 + 0.5e-9, 1e-9)
        values = {name: waveform.value(name, np.minimum(times, 2e-6)) for name in waveform.units}
        waveform = gs.Waveform.from_samples(times, values, waveform.units)
    for skew in ("2 us", "-2 us", "3 us", "-500 us"):
        words = f"skews = {skew}: leaves nothing of the record. Allowed: within 2 us to either side."
        with pytest.raises(gs.InputError, match=re.escape(words)):
            energy_against_skew(waveform, [0.0, skew])
    for skew in ("1.998 us", "-1.998 us"):
        assert np.isnan(energy_against_skew(waveform, [skew]).energy.values).all()
    with pytest.raises(gs.InputError, match=r"skews: none is given\."):
        energy_against_skew(waveform, [])
    for wrong in ("1 ns", 1e-9):
        with pytest.raises(gs.InputError, match=r"skews = .*: not a list of times\."):
            energy_against_skew(waveform, wrong)  # type: ignore[arg-type]


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


def test_without_an_inductive_step_no_delay_is_best() -> None:
    straight, times = hard_edges(), np.arange(0.0, 2e-6, 1e-9)
    values = {name: straight.value(name, times) for name in straight.units}
    with pytest.raises(gs.InputError, match="no delay within the reach is best"):
        gs.estimate_skew(gs.Waveform.from_samples(times, values, straight.units))


def test_a_delay_is_looked_for_over_samples(cell: gs.LowSideCell) -> None:
    one = drawn(cell, 8)
    words = "reach = '0.1 ns': less than two intervals of sampling."
    with pytest.raises(gs.InputError, match=re.escape(words)):
        gs.estimate_skew(one.capture, snubber=one.cell.snubber, reach="0.1 ns")
