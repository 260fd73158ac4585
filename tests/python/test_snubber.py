"""Preferred values, rings, snubbers and clamps."""

import math
import pickle
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from scipy.integrate import solve_ivp  # type: ignore[import-untyped]

import gateswing as gs
from gateswing.choices.clamp import size_clamp
from gateswing.choices.ring import ring_elements
from gateswing.choices.snubber import SnubberDesign, snubber_for
from gateswing.preferred import Series, preferred_value, preferred_values


@pytest.mark.parametrize(
    ("series", "decade"),
    [
        # IEC 60063, as printed in every catalogue (from memory).
        ("E3", [10, 22, 47]),
        ("E6", [10, 15, 22, 33, 47, 68]),
        ("E12", [10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82]),
    ],
)
def test_a_series_has_the_printed_values(series: Series, decade: list[float]) -> None:
    assert preferred_values(series, 10.0, 99.0).tolist() == decade


def test_the_fine_series_have_the_printed_values() -> None:
    e96 = preferred_values("E96", 100.0, 999.0)
    assert len(e96) == 96
    assert {100, 102, 105, 187, 332, 499, 681, 845, 976} <= set(e96.tolist())
    e48 = preferred_values("E48", 100.0, 999.0)
    assert len(e48) == 48
    assert set(e48.tolist()) <= set(e96.tolist())


def test_a_value_is_rounded_by_ratio_and_a_preferred_one_stays() -> None:
    assert preferred_value(5.1, "E12") == 4.7
    assert preferred_value(5.2, "E12") == 5.6
    assert preferred_value(12.4, "E6") == 15.0
    assert preferred_value(4.8e-9, "E6", "up") == 6.8e-9
    assert preferred_value(4.6e-9, "E6", "down") == 3.3e-9
    assert preferred_value("4k6", "E6", "down") == 3.3e3
    with pytest.raises(gs.InputError, match=r"low = '1 V'"):
        preferred_values("E6", "1 V", 10.0)
    with pytest.raises(
        gs.InputError, match=r"direction = 'upwards': no such direction\. Allowed: nearest, up, down"
    ):
        preferred_value(5.1, "E12", "upwards")  # type: ignore[arg-type]
    for series in ("E3", "E6", "E12", "E24", "E48", "E96"):
        for value in preferred_values(series, 1e-12, 9e-10):
            for direction in ("nearest", "up", "down"):
                assert preferred_value(value, series, direction) == value


@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
def test_what_has_no_preferred_value_is_refused(value: float) -> None:
    with pytest.raises(gs.InputError):
        preferred_value(value, "E12")


def test_a_series_that_does_not_exist_is_refused() -> None:
    with pytest.raises(gs.InputError, match=r"E7.*E3, E6"):
        preferred_value(1.0, "E7")  # type: ignore[arg-type]


def test_a_ring_is_found_from_two_frequencies() -> None:
    # 20 nH with 500 pF ring at 50.33 MHz; 1.5 nF more halve that.
    whole = 1.0 / (2.0 * math.pi * math.sqrt(20e-9 * 500e-12))
    found = ring_elements(frequency=whole, loaded_frequency=whole / 2, added_capacitance="1.5 nF")
    assert found.capacitance == pytest.approx(500e-12)
    assert found.inductance == pytest.approx(20e-9)
    assert found.frequency == pytest.approx(whole)
    assert found.impedance == pytest.approx(math.sqrt(40.0))


def test_the_errors_of_a_ring_are_those_of_frequencies_that_are_off() -> None:
    right = ring_elements(frequency=50e6, loaded_frequency=30e6, added_capacitance=1e-9)
    error = 1e-4
    off = [
        ring_elements(
            frequency=50e6 * (1 + first), loaded_frequency=30e6 * (1 + second), added_capacitance=1e-9
        )
        for first in (-error, error)
        for second in (-error, error)
    ]
    scale = error / 0.01  # right states the errors for 1 %
    for name in ("capacitance", "inductance"):
        worst = max(abs(getattr(one, name) / getattr(right, name) - 1.0) for one in off)
        assert getattr(right, f"{name}_error") * scale == pytest.approx(worst, rel=5e-3)


def test_a_ring_that_a_capacitance_speeds_up_is_refused() -> None:
    with pytest.raises(gs.InputError, match=r"loaded_frequency = 60 MHz.*below 50 MHz"):
        ring_elements(frequency="50 MHz", loaded_frequency="60 MHz", added_capacitance="1 nF")


def test_a_snubber_is_in_preferred_values_with_the_power_of_its_capacitor() -> None:
    ring = ring_elements(frequency=50e6, loaded_frequency=25e6, added_capacitance=1.5e-9)
    size = ring.snubber(voltage=90.0, frequency=115e3, capacitance_ratio=3.0)
    assert size.capacitance == pytest.approx(1.5e-9)
    # √(65/126) of the impedance for three times the capacitance.
    assert size.computed_resistance == pytest.approx(ring.impedance * math.sqrt(65.0 / 126.0))
    assert size.resistance in preferred_values("E24", 1.0, 100.0)
    assert ring.snubber(voltage=90.0, frequency=1e5, capacitance_ratio=2.2).capacitance == 1.5e-9
    assert size.power == pytest.approx(1.5e-9 * 90.0**2 * 115e3)
    assert size.snubber == gs.Snubber(resistance=size.resistance, capacitance=size.capacitance)


@pytest.fixture(scope="module")
def damped(cell: gs.LowSideCell) -> SnubberDesign:
    """The example's snubber, sized anew."""
    return snubber_for(cell, frequency="50 kHz", current="6 A")


def test_a_snubber_is_simulated_and_damps(damped: SnubberDesign) -> None:
    before, after = damped.without_snubber, damped.with_snubber
    assert damped.before.cell.snubber is None
    assert damped.after.cell.snubber == damped.size.snubber
    assert damped.ring.frequency == pytest.approx(damped.before.turn_off.ring_frequency, rel=0.05)
    assert after.overshoot < 0.8 * before.overshoot
    assert after.ring_quality < 0.1 * before.ring_quality
    assert before.snubber_energy == 0.0


def test_the_snubber_s_loss_is_near_that_of_its_capacitor(damped: SnubberDesign) -> None:
    # Edges of 10 ns are not fast against R C = 6.5 ns, so the MOSFET takes a part of it.
    assert 0.5 < damped.snubber_loss / damped.size.power < 1.0
    assert damped.added_loss == pytest.approx(
        damped.snubber_loss
        + 50e3 * (damped.with_snubber.switching_energy - damped.without_snubber.switching_energy)
    )


def test_a_snubber_design_prints_alike_everywhere(damped: SnubberDesign) -> None:
    text, document = repr(damped), ET.fromstring(f"<body>{damped._repr_html_()}</body>")
    for cell in document.iter("td"):
        assert cell.text is None or cell.text in text
    assert repr(pickle.loads(pickle.dumps(damped))) == text


def test_a_cell_without_inductance_has_nothing_to_damp(cell: gs.LowSideCell) -> None:
    bare = cell.replace(
        {
            "loop_inductance": 0.0,
            "common_source_inductance": 0.0,
            "freewheel.inductance": 0.0,
            "bus.bulk_inductance": 0.0,
            "mosfet.drain_inductance": 0.0,
            "mosfet.source_inductance": 0.0,
        }
    )
    with pytest.raises(gs.InputError, match="no inductance"):
        snubber_for(bare, frequency=50e3, current=6.0)


CLAMP = {
    "inductance": "2 uH",
    "current": "10 A",
    "bus_voltage": "48 V",
    "clamp_voltage": "80 V",
    "frequency": "20 kHz",
}


def test_a_clamp_takes_what_an_integration_of_the_circuit_says() -> None:
    size = size_clamp(**CLAMP)
    run = solve_ivp(
        lambda _, state: [(48.0 - 80.0) / 2e-6, state[0], 80.0 * state[0]],
        (0.0, 1e-3),
        [10.0, 0.0, 0.0],
        events=_current_ends,
        rtol=1e-10,
        atol=1e-14,
    )
    assert size.duration == pytest.approx(run.t[-1])
    assert size.charge == pytest.approx(run.y[1, -1])
    assert size.energy == pytest.approx(run.y[2, -1])


def _current_ends(_: float, state: np.ndarray) -> float:
    return float(state[0])


_current_ends.terminal = True  # type: ignore[attr-defined]


def test_the_resistors_of_a_clamp_take_the_charge_away_at_its_voltage() -> None:
    size = size_clamp(**CLAMP)
    assert 80.0 / size.resistance == pytest.approx(size.charge * 20e3)
    assert 80.0**2 / size.resistance == pytest.approx(size.power)
    assert 32.0**2 / size.resistance_to_bus == pytest.approx(size.power_to_bus)
    assert size.power_to_bus == pytest.approx(0.5 * 2e-6 * 10.0**2 * 20e3)
    assert size.charge / size.capacitance == pytest.approx(8.0)
    assert size.peak_power == pytest.approx(800.0)


def test_a_clamp_above_extra_low_voltage_says_that_it_can_kill() -> None:
    assert "caution: clamp_voltage: 80 V is above 60 V DC" in repr(size_clamp(**CLAMP))
    low = size_clamp(**CLAMP | {"bus_voltage": "24 V", "clamp_voltage": "50 V"})
    assert low.cautions == ()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"clamp_voltage": "48 V"}, "clamp_voltage = 48 V.*above 48 V"),
        ({"frequency": "10 MHz"}, "frequency = 10 MHz.*up to 1.6 MHz"),
        ({"ripple": 1.0}, "ripple"),
        ({"inductance": "1 V"}, "inductance"),
    ],
)
def test_an_impossible_clamp_is_refused(change: dict[str, object], words: str) -> None:
    with pytest.raises(gs.InputError, match=words):
        size_clamp(**CLAMP | change)  # type: ignore[arg-type]
