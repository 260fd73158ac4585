"""The locus of both edges in the safe operating area, against the ledger and closed forms."""

from __future__ import annotations

import dataclasses
import pickle
from typing import Any

import numpy as np
import pytest

import gateswing as gs
from gateswing.limits.checks import limit_checks, not_judged
from gateswing.studies.switching_locus import _periodic_rise

LADDER = gs.FosterLadder(resistances=[0.3, 0.7], time_constants=[100e-6, 5e-3])
RATED = {"mosfet.pulsed_drain_current": "40 A", "mosfet.thermal_impedance": LADDER}


@pytest.fixture(scope="module")
def rated(design: gs.Design) -> gs.OperatingPoint:
    cell = design.cell.replace(RATED | {"junction_temperature": "80 degC"})
    return gs.operating_point(cell, frequency="50 kHz", duty=0.6, relative_tolerance=1e-5)


@pytest.fixture(scope="module")
def locus(rated: gs.OperatingPoint) -> gs.SwitchingLocus:
    return gs.switching_locus(rated)


pytestmark = pytest.mark.usefixtures("without_a_screen")


def test_the_periodic_rise_is_that_of_the_series_over_all_pulses() -> None:
    """The peak of rectangular pulses of a Foster ladder, R (1 - e^(-t/tau))/(1 - e^(-T/tau)) (textbook)."""
    period, on = 1e-3, 0.2e-3
    rises = _periodic_rise(LADDER, np.array([0.0, on, period]), np.array([10.0, 0.0]))
    assert rises[1] == pytest.approx(LADDER.repetitive_peak(10.0, on, period), rel=1e-9)
    assert rises[0] == pytest.approx(rises[-1], rel=1e-12)


def test_the_locus_holds_the_heat_of_the_channel(rated: gs.OperatingPoint, locus: gs.SwitchingLocus) -> None:
    times, first = np.unique(locus.times, return_index=True)
    power = np.trapezoid((locus.drain_voltage * locus.current)[first], times) * rated.frequency
    assert power == pytest.approx(rated.losses["channel"], rel=1e-3)
    # C_OSS goes on ringing with the loop after the channel has let go.
    off = rated.waveform.values("v_gs") < 1.0
    assert np.abs(locus.current[off]).max() < 1e-3
    assert np.abs(rated.waveform.values("i_d")[off]).max() > 0.1


@pytest.mark.filterwarnings("ignore::gateswing.InputWarning")
def test_an_avalanche_heats_the_junction_as_a_triangular_pulse() -> None:
    """Power falls from V I to nothing in L I/(V - bus); the peak is that of a triangle's (textbook)."""
    ladder = gs.FosterLadder(resistances=[0.5], time_constants=[100e-6])
    cell = gs.LowSideCell(
        bus="24 V",
        mosfet=gs.part("logic-60V-to220").replace({"thermal_impedance": ladder}),
        driver="driver-ic-5V",
        gate_resistance="10 ohm",
        load=gs.Load(resistance="10 mohm", inductance="1 mH"),
    )
    point = gs.operating_point(cell, frequency="100 Hz", duty="2 %", relative_tolerance=1e-5)
    locus = gs.switching_locus(point)
    waveform = point.waveform
    held = float(waveform.value("v_ds", 0.25e-3))
    current = float(waveform.values("i_load").max())
    expected = ladder.triangular_pulse_peak(held * current, 1e-3 * current / (held - 24.0)).rise
    begin = np.interp(0.2e-3, locus.times, locus.junction_temperature)
    assert locus.junction_temperature.max() - begin == pytest.approx(expected, rel=0.03)


def test_the_mean_temperature_is_the_one_stated(locus: gs.SwitchingLocus) -> None:
    times, first = np.unique(locus.times, return_index=True)
    temperature = locus.junction_temperature[first]
    mean = np.trapezoid(temperature, times) / (times[-1] - times[0])
    assert mean == pytest.approx(353.15, abs=1e-3)
    assert temperature.max() > 353.15 > temperature.min()


def test_the_highest_temperature_is_a_quantity(locus: gs.SwitchingLocus) -> None:
    with pytest.raises(gs.InputError, match=r"highest_temperature = 125: .* Did you mean 125 degC\?"):
        gs.switching_locus(locus.point, highest_temperature=125)
    heat = {one.bound: one for one in gs.switching_locus(locus.point, highest_temperature="125 degC").used}
    assert heat["junction temperature"].limit == pytest.approx(398.15)


def test_a_bound_is_used_by_the_largest_of_its_quantity(locus: gs.SwitchingLocus) -> None:
    used = {one.bound: one for one in locus.used}
    current = used["pulsed current"]
    assert current.share == np.abs(locus.current).max() / 40.0
    assert current.current == pytest.approx(np.abs(locus.current).max())
    assert used["drain voltage"].share == locus.drain_voltage.max() / 85.0
    heat = used["junction temperature"]
    assert heat.share == pytest.approx((locus.junction_temperature.max() - 353.15) / (423.15 - 353.15))
    shares = [one.share for one in locus.used]
    assert shares == sorted(shares, reverse=True)


def test_in_the_on_state_the_locus_lies_on_the_line_of_the_channel(locus: gs.SwitchingLocus) -> None:
    nodes = locus.edge("turn_on")
    middle = nodes[np.searchsorted(locus.times[nodes], 6e-6)]
    ratio = locus.drain_voltage[middle] / locus.current[middle]
    assert ratio == pytest.approx(locus.channel_resistance, rel=0.02)


@pytest.mark.parametrize(
    ("ratings", "bound"),
    [
        ({"mosfet.pulsed_drain_current": "7 A"}, "the rated pulsed current of 7 A"),
        (
            {"mosfet.thermal_impedance": gs.FosterLadder(resistances=[900.0], time_constants=[1e-5])},
            "pulses of heat",
        ),
    ],
)
def test_a_bound_that_is_exceeded_is_named_with_its_place(
    design: gs.Design, rated: gs.OperatingPoint, ratings: dict[str, Any], bound: str
) -> None:
    cell = rated.cell.replace(ratings)
    found = limit_checks(design.replace({"cell": cell}), dataclasses.replace(rated, cell=cell))
    check = next(one for one in found if one.name == "safe_operating_area")
    assert check.verdict == "exceeded"
    assert bound in check.sentence()
    assert check.figure > 1.0
    assert check.margin == pytest.approx(1.0 - check.figure)


def test_a_part_without_ratings_is_not_judged_and_says_so(design: gs.Design) -> None:
    assert any("safe operating area (state mosfet.pulsed" in one for one in not_judged(design))
    assert not any(
        "safe operating area" in one for one in not_judged(design.replace({"cell.mosfet": "logic-60V"}))
    )


def test_a_point_without_an_answer_has_no_locus(rated: gs.OperatingPoint, locus: gs.SwitchingLocus) -> None:
    with pytest.raises(gs.InputError, match="has no answer"):
        gs.switching_locus(dataclasses.replace(rated, status="step_limit"))
    with pytest.raises(gs.InputError, match="no such edge"):
        locus.edge("turn_over")


def test_the_picture_shows_both_edges_and_the_bounds(locus: gs.SwitchingLocus) -> None:
    (axes,) = locus.plot().axes
    labels = [line.get_label() for line in axes.get_lines()]
    assert {"turn-on", "turn-off", "on-resistance of the channel"} <= set(labels)
    texts = [text.get_text() for text in axes.texts]
    assert texts == ["pulsed current", "rated voltage"]
    assert axes.get_title(loc="left").startswith(f"{locus.used[0].share:.0%} of the safe operating area")


def test_a_locus_can_be_pickled(locus: gs.SwitchingLocus) -> None:
    assert pickle.loads(pickle.dumps(locus)).used == locus.used
