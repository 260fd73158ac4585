"""A thousand drawn operating points: each becomes periodic, its ledger closed, or says why it does not.

GATESWING_OPERATING_POINTS=all runs all of them, for some twenty minutes of one processor, else a few.
"""

import os

import pytest

import gateswing as gs
from random_operating_points import drawn_point

ALL = range(1000)
CASES = ALL if os.environ.get("GATESWING_OPERATING_POINTS") == "all" else ALL[::80]
TOLERANCE = 1e-5

# Answers that name what keeps the cell from a steady state that could be used.
NAMED = ("thermal_runaway", "unstable", "ringing")
# Without an answer, and why.
UNANSWERED: dict[int, str] = {}

# Below this share of what bus and load could do, nothing flows that could balance.
NOTHING = 1e-6


def test_few_points_are_without_an_answer() -> None:
    assert len(UNANSWERED) < len(ALL) / 100


@pytest.mark.filterwarnings("ignore::gateswing.InputWarning")
@pytest.mark.parametrize("case", CASES)
def test_a_drawn_point_is_periodic_or_says_why_not(case: int) -> None:
    cell, frequency, duty = drawn_point(case)
    point = gs.operating_point(cell, frequency=frequency, duty=duty, relative_tolerance=TOLERANCE)
    shown = f"{frequency:.6g} Hz, duty {duty:.4g}, {cell!r}\n{point!r}"
    if not point.succeeded:
        assert point.status in NAMED or case in UNANSWERED, shown
        assert point.message, shown
        return
    assert point.periodicity_residual < 1e-3, shown
    lost = sum(point.losses.values())
    if lost < NOTHING * cell.bus.voltage * point.peak_drain_current:
        return
    assert point.energy_residual < 1e-4, shown
    assert sum(point.losses_by_cause.values()) == pytest.approx(lost, rel=1e-4), shown
