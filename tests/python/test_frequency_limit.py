"""The highest frequency for each limit is where its margin crosses zero, and no answer is not held."""

import math

import numpy as np
import pytest
from matplotlib.text import Annotation

import gateswing as gs
from gateswing.choices.frequency_limit import FrequencyLimit, HighestFrequency, _Search
from gateswing.limits.checks import limit_checks
from gateswing.limits.limit_check import LimitCheck


def margin_at(design: gs.Design, name: str, frequency: float) -> float:
    point = gs.operating_point(design.cell, frequency=frequency, duty=design.operation.duty)
    return next(check.margin for check in limit_checks(design, point) if check.name == name)


@pytest.mark.filterwarnings("ignore:junction_temperature:gateswing.InputWarning")  # that it gets hot
def test_a_limit_is_held_just_below_its_frequency_and_not_just_above(design: gs.Design) -> None:
    found = gs.highest_frequency(design, lowest="200 kHz", highest="2 MHz")
    first = found.limiting
    assert 200e3 < found.frequency < 2e6
    assert margin_at(design, first.check.name, found.frequency) >= 0.0
    assert margin_at(design, first.check.name, found.frequency * 1.02) < 0.0
    assert [one.frequency for one in found.limits] == sorted(one.frequency for one in found.limits)
    assert found.sentence().startswith("Up to ")
    axes = found.plot().axes[0]
    assert axes.get_xlabel() == "switching frequency"
    names = [text for text in axes.texts if isinstance(text, Annotation)]
    heights = sorted(text.xy[1] for text in names)
    assert np.diff(heights).min() > 0.08  # so that no two names overlap
    assert heights[-1] <= 1.0
    assert any(text.get_text().endswith("more above 90%") for text in names)


def test_a_colour_that_comes_back_is_dashed(design: gs.Design) -> None:
    """Eight limits far from what is held everywhere, and seven colours."""
    rows = [
        tuple(LimitCheck(f"limit_{place}", 1.0, 2.0, "V", 0.1 * place, "held", "") for place in range(8))
        for _ in range(2)
    ]
    limits = tuple(FrequencyLimit(check, math.inf) for check in rows[0])
    axes = HighestFrequency(design, limits, (1e4, 1e5), tuple(rows)).plot().axes[0]
    drawn = {(line.get_color(), line.get_linestyle()) for line in axes.lines[:8]}
    assert len(drawn) == 8
    assert [line.get_linestyle() for line in axes.lines[:8]] == ["-"] * 7 + ["--"]
    assert "limit 7 (dashed)" in [text.get_text() for text in axes.texts]


class HeldUpTo(_Search):
    """A design whose only limit is held up to one frequency [Hz]; it notes what it is asked for."""

    def __init__(self, highest: float) -> None:
        self.highest = highest
        self.asked: list[float] = []

    def checks(self, frequency: float) -> tuple[LimitCheck, ...]:
        self.asked.append(frequency)
        margin = 1.0 if frequency <= self.highest else -1.0
        return (LimitCheck("limit", frequency, self.highest, "Hz", margin, "", ""),)


@pytest.mark.parametrize("held", np.geomspace(1e3, 5e6, 20).tolist())
def test_the_crossing_lies_between_a_frequency_that_holds_and_the_next(held: float) -> None:
    """Also where the limit ends with the last bit of a frequency of the coarse search."""
    next_one = 10.0**0.2 * held
    for highest in (held, math.sqrt(held * next_one), math.nextafter(next_one, 0.0)):
        search = HeldUpTo(highest)
        found = search.limit("limit", [held, next_one])
        assert found.frequency <= highest < 1.005 * found.frequency
        assert found.check.margin == 1.0
        # The ends are simulated already: nothing next to them is asked for again.
        assert not [
            one for one in search.asked for end in (held, next_one) if 0.0 < abs(one / end - 1.0) < 1e-9
        ]


def test_what_every_frequency_holds_or_none_is_said(design: gs.Design) -> None:
    some = {"limits.maximum_overshoot": "1 V", "limits.maximum_driver_loss": "5 W"}
    found = gs.highest_frequency(design.replace(some), lowest="100 kHz", highest="300 kHz")
    by_name = {one.check.name: one.frequency for one in found.limits}
    assert by_name["maximum_overshoot"] == 0.0
    assert math.isinf(by_name["maximum_driver_loss"])
    assert found.sentence().startswith("No frequency holds all limits: overshoot")


@pytest.mark.filterwarnings("ignore::gateswing.InputWarning")
def test_a_frequency_at_which_a_junction_runs_away_is_not_held(design: gs.Design) -> None:
    way = gs.HeatPath(junction_to_case="800 K/W")
    hot = design.replace({"cell.cooling": gs.Cooling(ambient="40 degC", mosfet=way)})
    found = gs.highest_frequency(hot, lowest="50 kHz", highest="200 kHz")
    assert found.frequency == 0.0
    assert "thermal runaway" in found.sentence()


def test_ends_in_the_wrong_order_are_refused(design: gs.Design) -> None:
    with pytest.raises(gs.InputError, match="not above the lowest"):
        gs.highest_frequency(design, lowest="1 MHz", highest="10 kHz")
