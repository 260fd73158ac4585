"""The Python of a page: run from top to bottom in one namespace, and shown with what it prints and draws.

A block between fences named ``python`` is run; what it prints stands below it in the built page. A block that
draws has the line ``![what the picture shows](picture)`` behind it. A test builds the site, so no page
can hold code that does not work.
"""

from __future__ import annotations

import contextlib
import io
import os
import re
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from matplotlib import pyplot as plt
from matplotlib.figure import Figure

__all__ = ["PageError", "blocks", "executed", "setup"]

_BLOCK = re.compile(
    r"^```python\n(?P<code>.*?)^```\n(?P<mark>\n!\[(?P<alt>[^\]]+)\]\(picture\)\n)?", re.MULTILINE | re.DOTALL
)

# Keeps one figure of a page and says how the page names it.
Keep = Callable[[Figure, int], str]


class PageError(Exception):
    """A block of a page does not do what the page says."""


def blocks(text: str) -> list[str]:
    """The code of every block of a page."""
    return [match["code"] for match in _BLOCK.finditer(text)]


def executed(text: str, page: str, keep: Keep, names: dict[str, Any] | None = None) -> str:
    """The page with each block followed by what it printed and drew.

    Args:
        text: of the page, in Markdown.
        page: its name, for messages.
        keep: what becomes of a figure.
        names: the namespace to run in; left out: one of its own.

    Raises:
        PageError: a block draws without its picture being announced, or the reverse.
        Exception: whatever a block raises.
    """
    names = {"__name__": page} if names is None else names
    number = 0

    def shown(match: re.Match[str]) -> str:
        nonlocal number
        number += 1
        line = text.count("\n", 0, match.start()) + 2
        printed = _run(match["code"], f"{page}, block at line {line}", names, line - 1)
        parts = [f"```python\n{match['code']}```\n"]
        if printed:
            parts.append(f"```{{code-block}} text\n:class: printed\n\n{printed}```\n")
        figures = [plt.figure(one) for one in plt.get_fignums()]
        if (match["alt"] is not None) != (len(figures) == 1):
            raise PageError(f"{page}, line {line}: {len(figures)} figures, picture announced: {match['alt']}")
        if figures:
            parts.append(f"![{match['alt']}]({keep(figures[0], number)})\n")
            plt.close("all")
        return "\n".join(parts)

    with _quietly():
        return _BLOCK.sub(shown, text)


def _run(code: str, name: str, names: dict[str, Any], lines_before: int) -> str:
    """What the code prints. Lines of a traceback are those of the page."""
    output = io.StringIO()
    with contextlib.redirect_stdout(output):
        exec(compile("\n" * lines_before + code, name, "exec"), names)
    printed = output.getvalue()
    return printed if printed.endswith("\n") or not printed else f"{printed}\n"


@contextlib.contextmanager
def _quietly() -> Iterator[None]:
    """Without a display; a warning is an error, but for what is unusual about an input: answers print it."""
    from gateswing import InputWarning

    plt.close("all")
    plt.switch_backend("agg")
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        warnings.simplefilter("ignore", InputWarning)
        yield


def setup(app: Any) -> dict[str, Any]:
    """Run the pages of a site as they are read."""
    app.connect("source-read", _read)
    return {"parallel_read_safe": True}


def _read(app: Any, page: str, source: list[str]) -> None:
    if "```python\n" not in source[0]:
        return
    folder = Path(app.doctreedir) / "pictures"
    folder.mkdir(parents=True, exist_ok=True)
    beside = Path(app.srcdir) / Path(page).parent

    def keep(figure: Figure, number: int) -> str:
        path = folder / f"{page.replace('/', '-')}-{number}.png"
        figure.savefig(path, dpi=130)
        return os.path.relpath(path, beside)

    work = Path(app.doctreedir) / "work" / page
    work.mkdir(parents=True, exist_ok=True)
    with contextlib.chdir(work):
        source[0] = executed(source[0], page, keep)
