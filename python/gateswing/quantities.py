"""Numbers with units: text such as "4.7 kohm" to SI floats, ranges, and guesses at unit slips."""

from __future__ import annotations

import math
import numbers
import re
from collections.abc import Iterable
from dataclasses import dataclass

from quantiphy import InvalidNumber
from quantiphy import Quantity as _Parser

__all__ = [
    "ZERO_CELSIUS",
    "Interval",
    "QuantityError",
    "QuantityKind",
    "common_numbers",
    "format_quantity",
    "parse_quantity",
]


class _Number(_Parser):
    """Own class, so that our preferences leave other users of the parser alone."""


# Without femto and atto, "5 f" and "5 a" are wrong units, not tiny numbers. K is kilo, as in "10 Kohm".
_Number.set_prefs(input_sf="TGMkKmu\u00b5\u03bcnp")

_SPELLINGS = {
    "V": ("V", "volt", "volts"),
    "A": ("A", "amp", "amps", "ampere", "amperes"),
    "ohm": ("ohm", "ohms", "Ohm", "Ohms", "\u03a9", "\u2126", "R"),
    "F": ("F", "farad", "farads"),
    "H": ("H", "henry", "henries"),
    "s": ("s", "sec", "second", "seconds"),
    "Hz": ("Hz", "hertz"),
    "W": ("W", "watt", "watts"),
    "K/W": ("K/W",),
    "J": ("J", "joule", "joules"),
    "J/K": ("J/K",),
    "C": ("C", "coulomb", "coulombs"),
    "S": ("S", "siemens", "A/V"),
    "A/s": ("A/s",),
    "V/s": ("V/s",),
    "A/V^2": ("A/V^2", "A/V²", "A/V2"),
    "1/V": ("/V", "1/V"),
    "K": ("K", "kelvin"),
    "V/K": ("V/K",),
    "1/K": ("/K", "1/K"),
    "": ("",),
}
_QUANTITY_NAMES = {
    "V": "a voltage in V",
    "A": "a current in A",
    "ohm": "a resistance in ohm",
    "F": "a capacitance in F",
    "H": "an inductance in H",
    "s": "a time in s",
    "Hz": "a frequency in Hz",
    "W": "a power in W",
    "K/W": "a thermal resistance in K/W",
    "J": "an energy in J",
    "J/K": "a heat capacity in J/K",
    "C": "a charge in C",
    "S": "a conductance in S",
    "A/s": "a slope of current in A/us",
    "V/s": "a slope of voltage in V/ns",
    "A/V^2": "a number in A/V^2",
    "1/V": "a number in 1/V",
    "K": "a temperature in K or degC",
    "V/K": "a number in V/K",
    "1/K": "a number in 1/K",
    "": "a plain number, or a percentage",
}
# "°C/W" is what many data sheets write. Read as degC/W, since K alone would be taken for kilo.
_PER_WATT = re.compile(r"(?:K|C|degC|\u00b0C)\s*/\s*W$")
# "4k7" and "2R2": the prefix letter, or R for none, stands where the decimal point would.
_LETTER_AS_POINT = re.compile(r"^([+-]?\d+)([RTGMkKmu\u00b5\u03bcnp])(\d+)(\s*[^\d\s].*)?$")
_CELSIUS = ("degC", "\u00b0C", "celsius")
ZERO_CELSIUS = 273.15  # [K]
_TEMPERATURE = re.compile(r"([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?|[+-]?(?:nan|inf))\s*(\S*)")
# Slopes are printed per microsecond or nanosecond, for which the unit has no prefix.
_PER_TIME = {f"{unit}/{time}": scale for unit in "AV"
             for time, scale in (("us", 1e6), ("µs", 1e6), ("μs", 1e6), ("ns", 1e9))}  # fmt: skip
_LONGEST_TEXT = 100  # characters of a number with its unit
_SLIP_FACTORS = (1e-12, 1e-9, 1e-6, 1e-3, 1e3, 1e6, 1e9, 1e12)
# Nobody writes a thermal resistance in uK/W.
_PREFIXES_USED = {"K/W": (1e-3, 1e3)}


@dataclass(frozen=True)
class Interval:
    """A range of values in SI units, each end included or not.

    Attributes:
        low, high: the ends.
        low_open, high_open: whether that end itself is outside.
    """

    low: float
    high: float
    low_open: bool = False
    high_open: bool = False

    def __contains__(self, value: float) -> bool:
        above = value > self.low if self.low_open else value >= self.low
        below = value < self.high if self.high_open else value <= self.high
        return above and below

    def text(self, unit: str) -> str:
        """The range in words, for example ``above 0 ohm, up to 10 kohm``."""
        low, high = format_quantity(self.low, unit), format_quantity(self.high, unit)
        if not (self.low_open or self.high_open):
            return f"{low} to {high}"
        return (
            f"{'above' if self.low_open else 'from'} {low}, {'below' if self.high_open else 'up to'} {high}"
        )


@dataclass(frozen=True)
class QuantityKind:
    """What a field holds.

    Attributes:
        unit: SI unit; ``""`` for a plain number, which may be written as a percentage.
        doc: the meaning, in a sentence.
        allowed: values outside are refused.
        usual: values outside are accepted with a warning; ``None`` when anything allowed is usual.
    """

    unit: str
    doc: str
    allowed: Interval
    usual: Interval | None = None

    def is_unusual(self, value: float) -> bool:
        """Whether `value` deserves a warning. Zero is what a left-out element has, so zero never does."""
        return self.usual is not None and value != 0.0 and value not in self.usual

    def slip_hint(self, value: float) -> str:
        """A question naming the nearest usual value a unit slip away from `value`, or an empty text."""
        usual = self.usual or self.allowed
        if self.unit == "K":
            return f"Did you mean {value:g} degC?" if value + ZERO_CELSIUS in usual else ""
        if self.unit == "":
            return f"Did you mean {value:g} %?" if value / 100 in usual and value > 1 else ""
        factors = _PREFIXES_USED.get(self.unit, _SLIP_FACTORS)
        slips = (value * factor for factor in factors)
        candidates = [slip for slip in slips if slip in usual and slip != 0.0]
        if not candidates:
            return ""
        smallest = max(usual.low, usual.high * 1e-9)
        middle = math.sqrt(abs(smallest * usual.high)) or 1.0
        nearest = min(candidates, key=lambda candidate: abs(math.log(abs(candidate) / middle)))
        return f"Did you mean {format_quantity(nearest, self.unit)}?"


class QuantityError(ValueError):
    """A value that is not a quantity of the wanted kind."""

    def __init__(self, value: object, reason: str, kind: QuantityKind, hint: str = "") -> None:
        self.value = value
        self.reason = reason
        self.allowed = kind.allowed.text(kind.unit)
        self.hint = hint
        super().__init__(f"{reason} Allowed: {self.allowed}. {hint}".rstrip())


def format_quantity(value: float, unit: str, digits: int = 4) -> str:
    """`value` with `unit`, an SI prefix and at most `digits` significant digits: ``4.7 kohm``, ``33 ns``.

    Plain numbers and units with a denominator are written without a prefix, temperatures in degrees Celsius.
    """
    if not math.isfinite(value):
        return f"{value} {unit}".rstrip()
    if unit == "K":
        return f"{value - ZERO_CELSIUS:.{digits}g} degC"
    if unit == "V/s":
        return f"{value / _PER_TIME['V/ns']:.{digits}g} V/ns"
    if unit == "A/s":
        return f"{value / _PER_TIME['A/us']:.{digits}g} A/us"
    if unit in ("", "1/V", "A/V^2", "V/K", "1/K"):
        return f"{value:.{digits}g} {unit}".rstrip()
    return str(_Number(value, unit).render(prec=digits - 1))


def _split(text: str) -> tuple[float, str]:
    """Number and unit of `text`; raises InvalidNumber."""
    per_watt = _PER_WATT.search(text)
    if per_watt:
        return float(_Number(f"{text[: per_watt.start()]}degC/W")), "K/W"
    quotient = re.fullmatch(r"(.*?)(?:\s+1|^1)?\s*/\s*(V|K|degC|\u00b0C)", text)
    if quotient and "A" not in quotient[1]:
        number, unit = _split(quotient[1])
        return number, f"{unit}/{'V' if quotient[2] == 'V' else 'K'}"
    code = _LETTER_AS_POINT.match(text)
    if code:
        prefix = "" if code[2] == "R" else code[2]
        # "2R2" says ohm by itself; "4k7" leaves the unit open.
        text = f"{code[1]}.{code[3]} {prefix}{(code[4] or '').strip() or ('ohm' if code[2] == 'R' else '')}"
    number = _Number(text)
    return float(number), str(number.units)


def _parse_temperature(text: str, kind: QuantityKind) -> float:
    """Kelvin, for which K is no prefix, or degrees Celsius."""
    match = _TEMPERATURE.fullmatch(text.strip())
    if match is None:
        raise QuantityError(text, f"not {_QUANTITY_NAMES['K']}.", kind, 'Write it like "125 degC".')
    number, unit = float(match[1]), match[2]
    if unit in _CELSIUS:
        return number + ZERO_CELSIUS
    if unit and unit not in _SPELLINGS["K"]:
        reason = f"has the unit {unit!r}, but this is {_QUANTITY_NAMES['K']}."
        raise QuantityError(text, reason, kind, f'Did you mean "{match[1]} degC"?' if unit == "C" else "")
    return number


def _parse_text(text: str, kind: QuantityKind) -> float:
    if len(text) > _LONGEST_TEXT:
        raise QuantityError(text, f"not {_QUANTITY_NAMES[kind.unit]}.", kind, _example(kind))
    if "," in text:
        raise QuantityError(text, "has a comma.", kind, "Write a decimal point and no thousands separator.")
    if kind.unit == "K":
        return _parse_temperature(text, kind)
    if kind.unit == "K/W" and re.search(r"(?<!/)K\s*$", text):
        reason = f"has the unit 'K', but this is {_QUANTITY_NAMES['K/W']}."
        raise QuantityError(text, reason, kind, "A bare K could be kelvin or kilo.")
    try:
        number, unit = _split(text.strip())
    except InvalidNumber:
        reason = f"not {_QUANTITY_NAMES[kind.unit]}."
        raise QuantityError(text, reason, kind, _example(kind)) from None
    if unit == "" or unit in _SPELLINGS[kind.unit]:
        return number
    if unit == "%" and kind.unit == "":
        return number / 100
    if unit in _PER_TIME and kind.unit == f"{unit[0]}/s":
        return number * _PER_TIME[unit]
    reason = f"has the unit {unit!r}, but this is {_QUANTITY_NAMES[kind.unit]}."
    raise QuantityError(text, reason, kind, _unit_hint(unit, kind.unit))


def _unit_hint(unit: str, wanted: str) -> str:
    same_letters = [known for known in _SPELLINGS[wanted] if known and known.lower() == unit.lower()]
    return f"Did you mean {same_letters[0]!r}? Upper and lower case matter." if same_letters else ""


def _example(kind: QuantityKind) -> str:
    usual = kind.usual or kind.allowed
    if kind.unit == "":
        return 'Write it as 0.5 or "50 %".'
    middle = math.sqrt(max(usual.low, usual.high * 1e-3) * usual.high) if usual.high > 0 else usual.low
    return f'Write it like "{format_quantity(middle, kind.unit, digits=1)}".'


def _as_float(value: numbers.Real) -> float:
    try:
        return float(value)
    except OverflowError:  # an integer beyond all floats
        return math.inf


def parse_quantity(value: object, kind: QuantityKind) -> float:
    """`value` as a float in the SI unit of `kind`.

    Takes numbers (in SI units) and text with or without a unit: ``"4.7 kohm"``, ``"4k7"``, ``"50 %"``.

    Raises:
        QuantityError: not a number, NaN or infinite, of another unit, or outside ``kind.allowed``.
    """
    if isinstance(value, str):
        number = _parse_text(value, kind)
    elif isinstance(value, bool) or not isinstance(value, numbers.Real):
        raise QuantityError(value, f"not {_QUANTITY_NAMES[kind.unit]}.", kind, _example(kind))
    else:
        number = _as_float(value)
    if not math.isfinite(number):
        raise QuantityError(value, "not a finite number.", kind)
    if number not in kind.allowed:
        raise QuantityError(value, "out of range.", kind, kind.slip_hint(number))
    return number


def common_numbers(values: Iterable[object]) -> list[float] | None:
    """Values of a field that is not known yet, in an SI unit that fits them all; ``None`` where none does."""
    given, anything = list(values), Interval(-math.inf, math.inf)
    for unit in _SPELLINGS:
        try:
            return [parse_quantity(one, QuantityKind(unit, "", anything)) for one in given]
        except QuantityError:
            continue
    return None
