"""What the lines above and beside the numbers of a capture say: names, units, settings of the instrument."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from .layout import COMMENT_LEADERS, Layout, cells_of, is_number

__all__ = ["INDEX_NAME", "Heading", "read_heading", "unit_in", "unit_of"]

# Spelling to SI unit and factor. Upper and lower case matter for prefixes alone, see unit_of.
_UNITS = {
    "v": "V", "volt": "V", "volts": "V", "a": "A", "amp": "A", "amps": "A", "ampere": "A", "amperes": "A",
    "s": "s", "sec": "s", "second": "s", "seconds": "s", "w": "W", "watt": "W", "watts": "W", "ohm": "ohm",
}  # fmt: skip
_PREFIXES = {
    "p": 1e-12, "n": 1e-9, "u": 1e-6, "µ": 1e-6, "μ": 1e-6, "m": 1e-3, "k": 1e3,
    "pico": 1e-12, "nano": 1e-9, "micro": 1e-6, "milli": 1e-3, "kilo": 1e3,
}  # fmt: skip
# Of a sample rate, the prefix cut off; also in small letters.
_PER_SECOND = re.compile(r"(hz|hertz|(s|sa|samples?|pts|points)/(s|sec|second)|sa?ps)", re.IGNORECASE)
_RATE_PREFIXES = {"k": 1e3, "K": 1e3, "M": 1e6, "G": 1e9, "T": 1e12, "kilo": 1e3, "mega": 1e6, "giga": 1e9}
_UNIT_IN_NAME = re.compile(r"^(.*?)\s*(?:\(([^()]*)\)|\[([^\[\]]*)\]|(?<=\S)\s*/\s*(\w+))$")
# Settings that the time axis needs, by their key in letters alone.
_INCREMENT = re.compile(
    r"(sample|sampling|x|time|horizontal|h)?(interval|increment|incr?|resolution|period|step)|dt|deltat|xdelta"
)
_RATE = re.compile(r"sampl(e|ing)(rate|frequency)|fs")
_START = re.compile(r"(x|time|horizontal)?(start|origin|org|zero)|firstpointtime|starttime|xoffset")
_TIME_UNIT = re.compile(r"(horizontal|x|time)units?")
_VALUE_UNIT = re.compile(r"(vertical|y|channel)units?")
INDEX_NAME = re.compile(r"(index|sequence|points?|samples?|no\.?|n|#)", re.IGNORECASE)
_VALUE = re.compile(r"([+-]?(?:\d+(?:[.,]\d*)?|\.\d+)(?:[eE][+-]?\d+)?)\s*([^\d\s]\S*)?$")
_LONGEST_NAME = 200  # characters of what can name anything; patterns take the square of that
_MOST_BESIDE = 200  # rows in which settings beside the data are looked for


@dataclass
class Heading:
    """What the text of a file says.

    Attributes:
        names: of the columns of numbers; empty where none are given.
        units: as written, one for each column; empty where none is given.
        name_line, unit_line: where they stand, counted from 1; 0 for nowhere.
        settings: every pair of key and value, as written.
        increment, start: of the time axis, as written, in SI units [s]; ``None`` where not given.
        time_unit: of the time axis, as written, known or not; empty where not given.
    """

    names: list[str]
    units: list[str]
    name_line: int = 0
    unit_line: int = 0
    settings: dict[str, str] = field(default_factory=dict)
    increment: float | None = None
    start: float | None = None
    time_unit: str = ""


def unit_of(text: str) -> tuple[str, float] | None:
    """SI unit and factor of a spelling such as ``Volt``, ``ms`` or ``mV``; None for what is no known unit."""
    word = text.strip().strip("()[]").strip()
    if word.lower() in _UNITS:
        return _UNITS[word.lower()], 1.0
    for prefix, factor in _PREFIXES.items():
        rest = word[len(prefix) :]
        if word.startswith(prefix) and rest.lower() in _UNITS:
            return _UNITS[rest.lower()], factor
    return None


def read_heading(lines: Sequence[str], layout: Layout) -> Heading:
    """Read the lines above the data, and the cells beside them."""
    above = [
        (number, _without_leader(line))
        for number, line in enumerate(lines[: layout.first_line - 1], start=1)
        if line.strip()
    ]
    rows = [(number, cells_of(line, layout.delimiter)) for number, line in above if line]
    heading = Heading([""] * len(layout.columns), [""] * len(layout.columns))
    used = _names(heading, rows, layout)
    for number, line in above:
        if number not in used:
            heading.settings.update(_pairs(line, layout))
    heading.settings.update(_beside(lines, layout))
    _settle(heading)
    return heading


def _without_leader(line: str) -> str:
    text = line.strip()
    for leader in COMMENT_LEADERS:
        if text.startswith(leader):
            return text.lstrip(leader).strip()
    return text


def _names(heading: Heading, rows: Sequence[tuple[int, list[str]]], layout: Layout) -> set[int]:
    """Take names and units from the last rows above the data; the numbers of the lines used."""
    candidates = [(number, cells) for number, cells in rows[-3:] if _heads(cells, layout)]
    used: set[int] = set()
    for number, cells in reversed(candidates):
        picked = [cells[c] for c in layout.columns]
        if not used and any(is_number(cell, layout.decimal) for cell in picked):
            break  # a setting; only above a row of units a number names a channel: "x-axis,1,2"
        if not used and _are_units(picked):
            heading.units, heading.unit_line = [_unit_text(cell) for cell in picked], number
            used.add(number)
            _extra(heading, cells, rows, number, layout)
            continue
        heading.name_line = number
        used.add(number)
        for index, cell in enumerate(picked):
            heading.names[index], unit = _split_unit(cell)
            heading.units[index] = heading.units[index] or unit
        break
    return used


def _heads(cells: Sequence[str], layout: Layout) -> bool:
    """Whether a row can name the columns: text above every one of them, and no setting of its own."""
    if len(cells) <= layout.columns[-1] or (len(layout.columns) == 1 and len(cells) > layout.width):
        return False
    picked = [cells[c] for c in layout.columns]
    # Of one column that has no time a short number names a channel: "x-axis,1,2".
    return (
        picked[0] != ""
        and not is_number(picked[0], layout.decimal)
        and all(picked)
        and not _is_setting(cells)
    )


def _is_setting(cells: Sequence[str]) -> bool:
    key = _letters(cells[0])
    known = (_INCREMENT, _RATE, _START, _TIME_UNIT, _VALUE_UNIT)
    return len(cells) <= 3 and any(pattern.fullmatch(key) for pattern in known)


def _are_units(cells: Sequence[str]) -> bool:
    # The first names no unit where it is an index: "Sequence,Volt,Volt".
    rest = cells[1:] if len(cells) > 1 and INDEX_NAME.fullmatch(cells[0]) else cells
    return all(unit_of(cell) is not None for cell in rest)


def _unit_text(cell: str) -> str:
    return cell.strip("()[] ") if unit_of(cell) else ""


def unit_in(name: str) -> str:
    """What stands in a name where a unit does, known or not: in brackets at its end, or behind a slash."""
    return _split(name)[1]


def _split(name: str) -> tuple[str, str]:
    match = _UNIT_IN_NAME.match(name) if len(name) <= _LONGEST_NAME else None
    if match is None:
        return name, ""
    return match[1], next(group for group in match.groups()[1:] if group is not None)


def _split_unit(cell: str) -> tuple[str, str]:
    """Name and unit; what is no known unit stays with the name."""
    name, unit = _split(cell)
    return (name, unit) if unit_of(unit) else (cell, "")


def _extra(
    heading: Heading,
    cells: Sequence[str],
    rows: Sequence[tuple[int, list[str]]],
    line: int,
    layout: Layout,
) -> None:
    """Settings in the row of units, named in the row above.

    ``X,CH1,Start,Increment`` over ``Sequence,Volt,-1e-3,1e-6``.
    """
    above = [row for number, row in rows if number < line]
    if not above:
        return
    for key, value in list(zip(above[-1], cells, strict=False))[layout.columns[-1] + 1 :]:
        if key and value:
            heading.settings[key] = value


def _pairs(line: str, layout: Layout) -> Iterator[tuple[str, str]]:
    """Key and value of a line, whatever separates them."""
    cells = [cell for cell in cells_of(line, layout.delimiter) if cell]
    if len(cells) > 1 and layout.delimiter != " ":
        yield cells[0].rstrip(":="), f"{layout.delimiter} ".join(cells[1:])
        return
    for sign in (":", "=", "\t", ","):
        key, found, value = line.partition(sign)
        if found and value.strip():
            yield key.strip(), value.strip()
            return
    yield line[:_LONGEST_NAME], ""


def _beside(lines: Sequence[str], layout: Layout) -> Iterator[tuple[str, str]]:
    """Pairs in the columns without numbers, as ``Sample Interval,4e-10,,-1.2e-6,0.04``."""
    others = [c for c in range(layout.width) if c not in layout.columns]
    if len(others) < 2 or layout.on_one_line:
        return
    for line in lines[layout.first_line - 1 :][:_MOST_BESIDE]:
        cells = cells_of(line, layout.delimiter)
        if len(cells) == layout.width and cells[others[0]]:
            yield cells[others[0]].rstrip(":="), cells[others[1]]


def _letters(key: str) -> str:
    return re.sub(r"\([^)]*\)|\[[^\]]*\]|[^a-z]", "", key[:_LONGEST_NAME].lower())


def _settle(heading: Heading) -> None:
    """Read the settings that the axes need."""
    for key, text in heading.settings.items():
        letters = _letters(key)
        if _RATE.fullmatch(letters):
            rate = _number(key, text, _rate_factor)
            heading.increment = 1.0 / rate if rate else heading.increment
        elif _INCREMENT.fullmatch(letters):
            interval = _number(key, text, _time_factor)
            heading.increment = interval if heading.increment is None else heading.increment
        elif _START.fullmatch(letters):
            heading.start = _number(key, text, _time_factor) if heading.start is None else heading.start
        elif _TIME_UNIT.fullmatch(letters):
            heading.time_unit = heading.time_unit or text
        elif _VALUE_UNIT.fullmatch(letters):
            _take_value_units(heading, text)


def _take_value_units(heading: Heading, text: str) -> None:
    """Of the last column, or of each but the time's: ``Vertical Units,V,V,A``."""
    cells = [cell.strip() for cell in re.split(r"[;\t]|, ", text.strip())]
    if len(cells) not in (1, len(heading.units) - 1) or not all(unit_of(cell) for cell in cells):
        return
    for place, cell in enumerate(cells, len(heading.units) - len(cells)):
        heading.units[place] = heading.units[place] or cell


def _number(key: str, text: str, factor_of: Callable[[str], float | None]) -> float | None:
    """A setting in SI units, the first of several; None for what is no number, or in an unknown unit.

    The unit stands behind the number, in the next cell, or in the key: ``Sample Interval (ns)``. Without one
    it is SI.
    """
    first, *others = (cell.strip() for cell in re.split(r"[;\t]|, ", text.strip()))
    match = _VALUE.match(first)
    if match is None:
        return None
    elsewhere = [*others[:1], *re.findall(r"[(\[]([^()\[\]]*)[)\]]", key[:_LONGEST_NAME])]
    unit = match[2] or next((one for one in elsewhere if factor_of(one) is not None), "")
    factor = factor_of(unit) if unit else 1.0
    return None if factor is None else float(match[1].replace(",", ".")) * factor


def _time_factor(unit: str) -> float | None:
    known = unit_of(unit)
    return known[1] if known and known[0] == "s" else None


def _rate_factor(unit: str) -> float | None:
    """Hertz in a unit of sample rates such as ``GS/s``, ``MSa/s``, ``kHz`` or ``MSps``."""
    if _PER_SECOND.fullmatch(unit):
        return 1.0
    for prefix, factor in _RATE_PREFIXES.items():
        if unit.startswith(prefix) and _PER_SECOND.fullmatch(unit[len(prefix) :].strip()):
            return factor
    return None
