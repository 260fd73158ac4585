"""How far a sweep is: a bar where someone looks, silence where no one does, or a function of the caller's."""

from __future__ import annotations

import os
import sys
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

__all__ = ["Progress", "progress_of"]

# Called with the number of points finished and the number of all.
Progress = Callable[[int, int], None]
# A sweep that ends before this shows no bar [s].
_DELAY = 0.5


@contextmanager
def progress_of(wanted: Progress | bool | None, total: int, initial: int) -> Iterator[Progress]:
    """The function to call. For ``None`` or ``True`` it moves a bar, if tqdm is installed.

    Args:
        wanted: the caller's function; ``False``: silence; ``True``: a bar; ``None``: a bar in a terminal or a
            notebook, silence in a file, a pipe or continuous integration.
        total: number of points.
        initial: of which are there already.
    """
    if callable(wanted):
        yield wanted
        return
    bar = _bar(total, initial) if wanted or (wanted is None and _someone_looks()) else None
    if bar is None:
        yield _ignore
        return
    with bar:
        yield lambda finished, _total: bar.update(finished - bar.n)


def _ignore(finished: int, total: int) -> None:
    """No one wants to know."""


def _someone_looks() -> bool:
    if os.environ.get("CI"):
        return False
    shell = sys.modules["IPython"].get_ipython() if "IPython" in sys.modules else None
    return type(shell).__name__ == "ZMQInteractiveShell" or (sys.stderr is not None and sys.stderr.isatty())


def _bar(total: int, initial: int) -> Any:
    try:
        with warnings.catch_warnings():
            # It says so when a notebook lacks widgets, and draws a bar of text.
            warnings.simplefilter("ignore")
            from tqdm.auto import tqdm
    except ImportError:
        return None
    return tqdm(total=total, initial=initial, unit="point", desc="sweep", delay=_DELAY)
