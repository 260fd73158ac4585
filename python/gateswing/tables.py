"""Aligned text tables and plain HTML tables, without any dependency."""

from __future__ import annotations

import html
from collections.abc import Iterable, Sequence

__all__ = ["html_table", "text_table"]

Row = Sequence[str]


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
