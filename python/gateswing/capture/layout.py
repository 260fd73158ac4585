"""Where the numbers are in a capture: separator, decimal sign, first line and columns of the data.

No position is assumed. The rows at the end of the head are data if anything is, so the separator and the
decimal sign are those with which most of their cells are numbers; the data begin at the first line whose
cells in the same columns are numbers. Text in other columns is no obstacle: some instruments write their
settings beside the data.
"""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import dropwhile

from .source import Source, bad_file

__all__ = ["COMMENT_LEADERS", "OVERLOAD_MARKERS", "Layout", "cells_of", "find_layout", "is_number"]

COMMENT_LEADERS = ("#", ";", "%", "//", "!")
# What instruments write for a sample that they could not convert.
OVERLOAD_MARKERS = (
    "nan", "NaN", "NAN", "-nan", "inf", "-inf", "+inf", "Inf", "-Inf", "INF", "-INF", "****", "*****", "---",
    "--", "OL", "-OL", "OVER", "OVERFLOW", "overflow", "OVLD", "clip", "CLIP", "NULL", "N/A", "#NUM!",
)  # fmt: skip
_MARKERS = frozenset(OVERLOAD_MARKERS)
_DELIMITERS = (",", ";", "\t", " ")  # a blank stands for any run of blanks
# Only one way to read any text: else the time for a long cell would grow with its square.
_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?")
_TAIL = 200  # lines
_NUMERIC_SHARE = 0.8  # of the cells of a column of numbers, in the tail
_MOST_COLUMNS = 64  # a row with more is a record on one line
_MOST_CHANNELS = 1000  # of any instrument


@dataclass(frozen=True)
class Layout:
    """Where the numbers are.

    Attributes:
        delimiter: between cells; a blank stands for any run of blanks.
        decimal: decimal sign.
        first_line: of the data, counted from 1.
        width: cells in a row.
        columns: of numbers, counted from 0.
        on_one_line: the values follow each other on one line.
    """

    delimiter: str
    decimal: str
    first_line: int
    width: int
    columns: tuple[int, ...]
    on_one_line: bool = False


def cells_of(line: str, delimiter: str) -> list[str]:
    """Cells of a line, without surrounding blanks; quotes hold a cell together."""
    if delimiter == " ":
        return line.split()
    if '"' not in line:
        return [cell.strip() for cell in line.split(delimiter)]
    try:
        return [cell.strip() for cell in next(csv.reader([line], delimiter=delimiter, skipinitialspace=True))]
    except csv.Error:  # a cell beyond any use
        return [cell.strip() for cell in line.split(delimiter)]


def is_number(cell: str, decimal: str = ".") -> bool:
    """Whether a cell reads as a finite number."""
    if decimal != ".":
        cell = "" if "." in cell else cell.replace(decimal, ".")
    return _NUMBER.fullmatch(cell) is not None


def find_layout(
    source: Source, delimiter: str | None = None, decimal: str | None = None, first_line: int | None = None
) -> Layout:
    """Find the numbers of a file, with what is given taken as it is.

    Raises:
        InputError: there are no two rows of numbers.
    """
    lines = source.lines
    if source.is_one_line or _is_record_on_one_line(lines):
        return _one_line(source, delimiter, decimal)
    tail = [line for line in lines[-_TAIL:] if line.strip() and not _is_comment(line)]
    choices = [
        _Choice(tail, one, sign)
        for one in ([delimiter] if delimiter else _DELIMITERS)
        for sign in ([decimal] if decimal else [".", ","])
        if one != sign
    ]
    best = max(choices, key=lambda choice: choice.score, default=None)
    if best is None or not best.columns:
        raise bad_file(
            source.path,
            "no block of rows that are numbers was found.",
            "If there is one, give delimiter=, decimal= and first_line=.",
        )
    if len(best.columns) > _MOST_CHANNELS:
        reason = f"has {len(best.columns)} columns of numbers, more than {_MOST_CHANNELS}."
        raise bad_file(source.path, reason, "Are rows and columns interchanged?")
    first = first_line or _first_line(lines, best)
    if first is None:
        raise bad_file(source.path, "fewer than two rows of numbers.", "Give first_line= if there are more.")
    return Layout(best.delimiter, best.decimal, first, best.width, best.columns)


class _Choice:
    """What one separator and one decimal sign make of the tail."""

    def __init__(self, tail: Sequence[str], delimiter: str, decimal: str) -> None:
        self.delimiter, self.decimal = delimiter, decimal
        rows = [cells_of(line, delimiter) for line in tail]
        # In a short file the headings are in the tail too.
        rows = list(dropwhile(lambda row: not _is_mostly_numbers(row, decimal), rows))
        self.width = Counter(len(row) for row in rows).most_common(1)[0][0] if rows else 0
        rows = [row for row in rows if len(row) == self.width]
        self.columns = tuple(c for c in range(self.width) if _is_numeric([row[c] for row in rows], decimal))
        filled = [cell for row in rows for cell in row if cell]
        numeric = sum(is_number(row[c], decimal) or row[c] in _MARKERS for row in rows for c in self.columns)
        share = numeric / len(filled) if filled else 0.0
        # The first choices are the commoner ones; a fraction of a per cent of stray text decides nothing.
        self.score = (round(share, 2), len(rows), len(self.columns) if share > _NUMERIC_SHARE else 0)


def _is_mostly_numbers(cells: Sequence[str], decimal: str) -> bool:
    filled = [cell for cell in cells if cell]
    return 2 * sum(is_number(cell, decimal) for cell in filled) >= max(1, len(filled))


def _is_numeric(cells: Sequence[str], decimal: str) -> bool:
    filled = [cell for cell in cells if cell]
    numeric = sum(is_number(cell, decimal) for cell in filled)
    marked = sum(cell in _MARKERS for cell in filled)
    return numeric > 0 and numeric + marked >= _NUMERIC_SHARE * len(cells)


def is_data(cells: Sequence[str], columns: Sequence[int], decimal: str) -> bool:
    """Whether all cells in the columns of numbers are numbers or markers of an overload."""
    if len(cells) <= columns[-1]:
        return False
    return all(is_number(cells[c], decimal) or cells[c] in _MARKERS for c in columns)


def _first_line(lines: Sequence[str], choice: _Choice) -> int | None:
    """Number of the first of two data lines that follow each other."""
    previous = None
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            continue
        if is_data(cells_of(line, choice.delimiter), choice.columns, choice.decimal):
            if previous is not None:
                return previous
            previous = number
        else:
            previous = None
    return None


def _is_comment(line: str) -> bool:
    return line.lstrip().startswith(COMMENT_LEADERS)


def _is_record_on_one_line(lines: Sequence[str]) -> bool:
    filled = [line for line in lines[:3] if line.strip()]
    if len(filled) != 1 or any(line.strip() for line in lines[3:]):
        return False
    return max(filled[0].count(one) for one in _DELIMITERS) > _MOST_COLUMNS


def _one_line(source: Source, delimiter: str | None, decimal: str | None) -> Layout:
    start = source.start_of_line(4000)
    for one in [delimiter] if delimiter else _DELIMITERS:
        for sign in [decimal] if decimal else [".", ","]:
            cells = [cell for cell in cells_of(start, one)[:-1] if cell] if one != sign else []
            if len(cells) > 1 and all(is_number(cell, sign) for cell in cells):
                return Layout(one, sign, 1, 1, (0,), on_one_line=True)
    raise bad_file(source.path, "too long for a row of numbers, and not a record on one line.", line=1)
