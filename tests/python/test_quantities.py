"""Text with units is read as SI numbers, and what cannot be meant is refused with a reason."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gateswing.quantities import Interval, QuantityError, QuantityKind, format_quantity, parse_quantity

ANYTHING = Interval(-math.inf, math.inf)


def kind(unit: str, allowed: Interval = ANYTHING, usual: Interval | None = None) -> QuantityKind:
    return QuantityKind(unit, "A field.", allowed, usual)


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("24 V", "V", 24.0),
        ("24V", "V", 24.0),
        ("24", "V", 24.0),
        ("-5 V", "V", -5.0),
        (".5 V", "V", 0.5),
        ("3.3 volts", "V", 3.3),
        ("4.7 kohm", "ohm", 4700.0),
        ("4k7", "ohm", 4700.0),
        ("4K7 ohm", "ohm", 4700.0),
        ("2R2", "ohm", 2.2),
        ("1M5", "ohm", 1.5e6),
        ("100 mohm", "ohm", 0.1),
        ("10 \u03a9", "ohm", 10.0),
        ("10 \u2126", "ohm", 10.0),
        ("10 nH", "H", 10e-9),
        ("3.3 uF", "F", 3.3e-6),
        ("3.3 \u00b5F", "F", 3.3e-6),
        ("3.3 \u03bcF", "F", 3.3e-6),
        ("470p", "F", 470e-12),
        ("1e-9 F", "F", 1e-9),
        ("100 kHz", "Hz", 1e5),
        ("15 ns", "s", 15e-9),
        ("1.2 K/W", "K/W", 1.2),
        ("1.2K/W", "K/W", 1.2),
        ("3.5 mK/W", "K/W", 3.5e-3),
        ("62 \u00b0C/W", "K/W", 62.0),
        ("62 C/W", "K/W", 62.0),
        ("62 degC/W", "K/W", 62.0),
        ("50", "K/W", 50.0),
        ("2 mJ/K", "J/K", 2e-3),
        ("20 A/V^2", "A/V^2", 20.0),
        ("500 mA/V^2", "A/V^2", 0.5),
        ("0.1 /V", "1/V", 0.1),
        ("0.1 1/V", "1/V", 0.1),
        ("0.1/V", "1/V", 0.1),
        ("21/V", "1/V", 21.0),
        ("0.1", "1/V", 0.1),
        ("125 degC", "K", 398.15),
        ("-40 \u00b0C", "K", 233.15),
        ("298.15 K", "K", 298.15),
        ("300", "K", 300.0),
        ("-6 mV/K", "V/K", -6e-3),
        ("-6 mV/degC", "V/K", -6e-3),
        ("0.13 V/°C", "V/K", 0.13),
        ("1.1e-3 /K", "1/K", 1.1e-3),
        ("45 S", "S", 45.0),
        ("8.7 A/V", "S", 8.7),
        ("100 A/us", "A/s", 1e8),
        ("1.5 A/ns", "A/s", 1.5e9),
        ("1e8 A/s", "A/s", 1e8),
        ("50 %", "", 0.5),
        ("50%", "", 0.5),
        ("0.5", "", 0.5),
        (7, "V", 7.0),
        (7.5, "V", 7.5),
    ],
)
def test_a_quantity_is_read(text: object, unit: str, value: float) -> None:
    assert parse_quantity(text, kind(unit)) == pytest.approx(value, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "unit", "reason"),
    [
        ("10 nF", "ohm", "has the unit 'F'"),
        ("24 v", "V", "Did you mean 'V'?"),
        ("5 a", "A", "Did you mean 'A'?"),
        ("5 f", "F", "Did you mean 'F'?"),
        ("1 K/W", "ohm", "has the unit 'K/W'"),
        ("1 K", "K/W", "has the unit"),
        ("1 W/K", "K/W", "has the unit 'W/K'"),
        ("1 J", "J/K", "has the unit 'J'"),
        ("5 A", "A/V^2", "has the unit 'A'"),
        ("50 %", "V", "has the unit '%'"),
        ("1 minute", "s", "has the unit"),
        ("4,7 kohm", "ohm", "has a comma"),
        ("1,000 V", "V", "has a comma"),
        ("", "V", "not a voltage in V"),
        ("lots", "V", "not a voltage in V"),
        ("V", "V", "not a voltage in V"),
        ("nan", "V", "not a finite number"),
        ("inf V", "V", "not a finite number"),
        ("1e400", "V", "not a finite number"),
        (math.nan, "V", "not a finite number"),
        (-math.inf, "V", "not a finite number"),
        (None, "V", "not a voltage in V"),
        (True, "V", "not a voltage in V"),
        ([1.0], "V", "not a voltage in V"),
        (1j, "V", "not a voltage in V"),
    ],
)
def test_what_is_no_such_quantity_is_refused(text: object, unit: str, reason: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse_quantity(text, kind(unit))
    assert reason in str(caught.value)
    assert "Allowed: " in str(caught.value)


@pytest.mark.parametrize(
    ("value", "unit", "usual", "hint"),
    [
        (3.3, "F", Interval(5e-12, 50e-9), "Did you mean 3.3 nF?"),
        (3.3, "F", Interval(1e-12, 1e-6), "Did you mean 3.3 nF?"),
        ("3.3 uF", "F", Interval(5e-12, 50e-9), "Did you mean 3.3 nF?"),
        (12.0, "ohm", Interval(0.1e-3, 1.0), "Did you mean 12 mohm?"),
        (25.0, "H", Interval(1e-9, 1e-6), "Did you mean 25 nH?"),
        (50.0, "", Interval(0.0, 1.0), "Did you mean 50 %?"),
        (800.0, "K/W", Interval(0.0, 200.0), "Did you mean 800 mK/W?"),  # and not uK/W
    ],
)
def test_a_unit_slip_is_guessed(value: object, unit: str, usual: Interval, hint: str) -> None:
    with pytest.raises(QuantityError, match="out of range") as caught:
        parse_quantity(value, kind(unit, usual, usual))
    assert caught.value.hint == hint


def test_no_hint_is_given_where_no_slip_leads_into_the_usual_range() -> None:
    with pytest.raises(QuantityError) as caught:
        parse_quantity("-5 V", kind("V", Interval(0.0, 60.0), Interval(2.0, 20.0)))
    assert caught.value.hint == ""


@pytest.mark.parametrize(
    ("interval", "inside", "outside"),
    [
        (Interval(0.0, 1.0), [0.0, 0.5, 1.0], [-1e-9, 1.0 + 1e-9]),
        (Interval(0.0, 1.0, low_open=True), [1e-9, 1.0], [0.0]),
        (Interval(0.0, 1.0, high_open=True), [0.0], [1.0]),
    ],
)
def test_an_interval_holds_its_closed_ends_only(
    interval: Interval, inside: list[float], outside: list[float]
) -> None:
    assert all(value in interval for value in inside)
    assert not any(value in interval for value in outside)
    assert math.nan not in interval


def test_an_interval_says_which_ends_it_holds() -> None:
    assert Interval(0.0, 1e4).text("ohm") == "0 ohm to 10 kohm"
    assert Interval(0.0, 1e4, low_open=True).text("ohm") == "above 0 ohm, up to 10 kohm"
    assert Interval(0.0, 1.0, high_open=True).text("") == "from 0, below 1"


def test_zero_stands_for_left_out_and_is_never_unusual() -> None:
    inductance = kind("H", Interval(0.0, 1.0), Interval(1e-9, 1e-6))
    assert not inductance.is_unusual(0.0)
    assert inductance.is_unusual(1e-12)
    assert not inductance.is_unusual(1e-8)


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (4700.0, "ohm", "4.7 kohm"),
        (33e-9, "s", "33 ns"),
        (0.0, "V", "0 V"),
        (0.1, "1/V", "0.1 1/V"),
        (0.25, "", "0.25"),
    ],
)
def test_a_quantity_is_written_with_a_prefix(value: float, unit: str, text: str) -> None:
    assert format_quantity(value, unit) == text


@settings(derandomize=True, max_examples=300)
@given(
    st.floats(1e-12, 1e9),
    st.sampled_from(["V", "A", "ohm", "F", "H", "s", "Hz", "A/V^2", "1/V", "K/W", "J/K"]),
)
def test_a_written_quantity_reads_back(value: float, unit: str) -> None:
    assert parse_quantity(format_quantity(value, unit, 15), kind(unit)) == pytest.approx(value, rel=1e-13)


def test_a_temperature_in_bare_degrees_celsius_is_refused_with_a_hint() -> None:
    junction = kind("K", Interval(173.15, 573.15), Interval(218.15, 448.15))
    with pytest.raises(QuantityError, match="Did you mean 125 degC"):
        parse_quantity(125, junction)
    with pytest.raises(QuantityError, match='Did you mean "125 degC"'):
        parse_quantity("125 C", junction)


@pytest.mark.parametrize("text", ["hot", "1.2.3 degC", "degC", ""])
def test_what_is_no_temperature_is_refused(text: str) -> None:
    with pytest.raises(QuantityError):
        parse_quantity(text, kind("K"))


def test_temperatures_are_written_in_degrees_celsius() -> None:
    assert format_quantity(398.15, "K") == "125 degC"
    assert Interval(173.15, 573.15).text("K") == "-100 degC to 300 degC"
