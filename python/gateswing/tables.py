"""Aligned text tables and plain HTML tables, without any dependency."""

from __future__ import annotations

import html
from collections.abc import Iterable, Sequence
from typing import NamedTuple

__all__ = ["Section", "html_page", "html_table", "text_page", "text_table"]

Row = Sequence[str]


class Section(NamedTuple):
    """A table and what stands above it; `right_aligned` as for :func:`text_table`."""

    title: str
    rows: Sequence[Row]
    header: Row | None = None
    right_aligned: frozenset[int] = frozenset({1})


def text_page(sections: Iterable[Section], notes: Iterable[str] = ()) -> str:
    """Sections and notes below each other, with an empty line between."""
    parts = [
        part
        for title, rows, header, right_aligned in sections
        for part in (title, text_table(rows, header, right_aligned) if rows else "")
    ]
    return "\n\n".join(part for part in (*parts, *notes) if part)


def html_page(sections: Iterable[Section], notes: Iterable[str] = ()) -> str:
    """The same as HTML; a section without rows is its title alone."""
    parts = [
        html_table(rows, header, title) if rows else f"<p>{html.escape(title)}</p>"
        for title, rows, header, _ in sections
    ]
    return "".join([*parts, *(f"<p>{html.escape(note)}</p>" for note in notes)])


def text_table(
    rows: Iterable[Row], header: Row | None = None, right_aligned: frozenset[int] = frozenset({1})
) -> str:
    """Columns padded to their widest cell, two spaces apart; `right_aligned` lists columns by index."""
    body = [list(row) for row in rows]
    everything = [list(header), *body] if header else body
    if not everything:
        return ""
    widths = [max(len(row[column]) for row in everything) for column in range(len(everything[0]))]

    def line(row: Row) -> str:
        cells = [
            cell.rjust(width) if column in right_aligned else cell.ljust(width)
            for column, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        return "  ".join(cells).rstrip()

    lines = [line(row) for row in everything]
    if header:
        lines.insert(1, "  ".join("-" * width for width in widths))
    return "\n".join(lines)


def html_table(rows: Iterable[Row], header: Row | None = None, caption: str = "") -> str:
    """Build a table with a caption; every text is escaped."""
    parts = ["<table>"]
    if caption:
        parts.append(f"<caption>{html.escape(caption)}</caption>")
    if header:
        parts.append("<tr>" + "".join(f"<th>{html.escape(cell)}</th>" for cell in header) + "</tr>")
    for row in rows:
        cells = "".join(f'<td style="text-align:left">{html.escape(cell)}</td>' for cell in row)
        parts.append(f"<tr>{cells}</tr>")
    return "".join([*parts, "</table>"])
