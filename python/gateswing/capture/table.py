"""The numbers of a capture, read block by block, so that memory is bounded by the numbers themselves."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from .layout import COMMENT_LEADERS, OVERLOAD_MARKERS, Layout, cells_of, is_data, is_number
from .source import Source, bad_file

__all__ = ["Table", "read_table"]

# SCPI-1999, volume 1, 7.2.1: 9.9E37 stands for infinity and 9.91E37 for "not a number" (from memory).
_NOT_CONVERTED = 9.8e37
_MOST_LISTED = 20  # dropped lines that are listed by number


@dataclass
class Table:
    """What was read.

    Attributes:
        columns: of numbers, each of shape (rows,); NaN for a sample that the instrument could not convert.
        breaks: rows before which a line of text stood, where another segment may begin.
        dropped: numbers of lines that held no numbers, the first of them.
        dropped_count: how many there were.
    """

    columns: list[NDArray[np.float64]]
    breaks: list[int] = field(default_factory=list)
    dropped: list[int] = field(default_factory=list)
    dropped_count: int = 0


def read_table(source: Source, layout: Layout, most_samples: int) -> Table:
    """Read all numbers.

    Raises:
        InputError: a row is no row of numbers (with its line), or there are more samples than `most_samples`.
    """
    table = Table([])
    parts: list[list[NDArray[np.float64]]] = []
    rows = 0
    separator = layout.delimiter.encode() if layout.on_one_line else b"\n"
    for first, block in source.blocks(layout.first_line, separator):
        parts.append(_read_block(source.path, layout, table, rows, first, block))
        rows += len(parts[-1][0])
        if rows * len(layout.columns) > most_samples:
            raise bad_file(source.path, f"holds more than {most_samples} samples.", "Raise most_samples=.")
    if rows < 2:
        raise bad_file(source.path, "fewer than two rows of numbers.", line=layout.first_line)
    for column in range(len(layout.columns)):
        table.columns.append(np.concatenate([part[column] for part in parts]))
        for part in parts:  # not twice in memory
            part[column] = part[column][:0]
    return table


def _read_block(
    path: Path, layout: Layout, table: Table, rows: int, first: int, block: bytes
) -> list[NDArray[np.float64]]:
    """Columns of a block. Markers and stray lines are rare: looked for where the plain way fails."""
    try:
        columns = _parsed(layout, block, markers=False)
    except ValueError:  # the parser's own errors among them
        try:
            columns = _parsed(layout, block, markers=True)
        except ValueError:
            columns = _parsed_clean(path, layout, _cleaned(path, layout, table, rows, first, block), first)
    for column in columns:
        column[np.abs(column) > _NOT_CONVERTED] = np.nan
    return columns


def _parsed_clean(path: Path, layout: Layout, block: bytes, first: int) -> list[NDArray[np.float64]]:
    try:
        return _parsed(layout, block, markers=True)
    except ValueError as error:  # what reads as a number here and not there, such as quotes within a cell
        raise bad_file(path, f"somewhere below, a row is no row of numbers: {error}.", line=first) from None


def _parsed(layout: Layout, block: bytes, markers: bool) -> list[NDArray[np.float64]]:
    """Columns of numbers; a cell that is neither a number nor, if wanted, a marker is a ValueError."""
    if not block.strip():
        return [np.empty(0) for _ in layout.columns]
    import pandas as pd

    # Without a choice of columns the parser finds rows that are too long.
    every = layout.columns == tuple(range(layout.width))
    frame = pd.read_csv(
        io.BytesIO(block),
        header=None,
        sep=r"\s+" if layout.delimiter == " " else layout.delimiter,
        decimal=layout.decimal,
        dtype=np.float64,
        usecols=None if every else list(layout.columns),
        na_values=list(OVERLOAD_MARKERS) if markers else None,
        na_filter=markers,
        keep_default_na=False,
        skipinitialspace=True,
        encoding="latin-1",
        engine="c",
        low_memory=False,
    )
    if len(frame.columns) != len(layout.columns):
        raise ValueError(f"rows of {len(frame.columns)} cells")
    return [np.array(frame[name], dtype=np.float64) for name in frame.columns]


def _cleaned(path: Path, layout: Layout, table: Table, rows: int, first: int, block: bytes) -> bytes:
    """The block without lines that hold no numbers, with empty cells marked.

    Raises:
        InputError: a line holds some numbers, but not a row of them.
    """
    lines = block.decode("latin-1").splitlines()
    kept: list[str] = []
    text_before = False
    for number, line in enumerate(lines, start=first):
        cells = cells_of(line, layout.delimiter)
        whole = len(cells) > layout.columns[-1]
        if whole and is_data(_filled(cells, layout), layout.columns, layout.decimal):
            if text_before and (kept or rows):
                table.breaks.append(rows + len(kept))
            text_before = False
            picked = _filled(cells, layout)
            kept.append((" " if layout.delimiter == " " else layout.delimiter).join(picked))
            continue
        if not line.strip():
            continue
        is_cut = number == first + len(lines) - 1 and not block.endswith((b"\n", b"\r"))
        if not (is_cut or _is_text(line, cells, layout)):
            raise _not_a_row(path, layout, number, line, cells)
        text_before = True
        table.dropped_count += 1
        table.dropped += [number] if len(table.dropped) < _MOST_LISTED else []
    return ("\n".join(kept) + "\n").encode("latin-1") if kept else b""


def _filled(cells: Sequence[str], layout: Layout) -> list[str]:
    """The cells of a row of the usual width, an empty one among the numbers marked as not converted."""
    if len(cells) > layout.width or all(cells[c] == "" for c in layout.columns):
        return [""] * layout.width
    numbers = set(layout.columns)
    return ["nan" if cell == "" and c in numbers else cell for c, cell in enumerate(cells)]


def _is_text(line: str, cells: Sequence[str], layout: Layout) -> bool:
    """Whether a line is a comment or another heading, and no spoilt row."""
    if line.lstrip().startswith(COMMENT_LEADERS):
        return True
    in_columns = [cells[c] for c in layout.columns if c < len(cells)]
    return not any(is_number(cell, layout.decimal) for cell in in_columns)


def _not_a_row(path: Path, layout: Layout, line: int, text: str, cells: Sequence[str]) -> Exception:
    shown = text if len(text) <= 60 else text[:57] + "..."
    if len(cells) != layout.width:
        reason = f"{len(cells)} cells where the other rows have {layout.width}: {shown!r}."
    else:
        bad = next(cells[c] for c in layout.columns if not is_number(cells[c], layout.decimal))
        reason = f"{bad[:60]!r} is no number: {shown!r}."
    return bad_file(path, reason, "Mend or remove the line.", line)
