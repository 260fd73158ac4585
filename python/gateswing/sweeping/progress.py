"""How far a sweep or a fit is: a bar where someone looks, silence where no one does, or a callback."""

from __future__ import annotations

import os
import sys
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

__all__ = ["Progress", "progress_of", "searches_of"]

# Called with the number of points finished and the number of all; of a fit, with the number of simulations
# and that of the search.
Progress = Callable[[int, int], None]
# What ends before this shows no bar [s].
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
    with _shown(wanted, total=total, initial=initial, unit="point", desc="sweep") as bar:
        yield bar if callable(bar) else lambda finished, _total: bar.update(finished - bar.n)


@contextmanager
def searches_of(wanted: Progress | bool | None, searches: int) -> Iterator[Progress]:
    """The same for a fit, of which nobody knows how many simulations it will take.

    Args:
        wanted: as of :func:`progress_of`.
        searches: most that are made.
    """
    shape = "{desc}{n_fmt} simulations in {elapsed}"
    with _shown(wanted, total=None, desc="estimate", bar_format=shape) as bar:

        def count(simulations: int, search: int) -> None:
            bar.set_description(f"estimate, search {search} of at most {searches}", refresh=False)
            bar.update(simulations - bar.n)

        yield bar if callable(bar) else count


@contextmanager
def _shown(wanted: Progress | bool | None, **settings: Any) -> Iterator[Any]:
    """A bar, or the function that is called in its place."""
    if callable(wanted):
        yield wanted
        return
    bar = _bar(settings) if wanted or (wanted is None and _someone_looks()) else None
    if bar is None:
        yield _ignore
        return
    with bar:
        yield bar


def _ignore(finished: int, total: int) -> None:
    """No one wants to know."""


def _someone_looks() -> bool:
    if os.environ.get("CI"):
        return False
    shell = sys.modules["IPython"].get_ipython() if "IPython" in sys.modules else None
    return type(shell).__name__ == "ZMQInteractiveShell" or (sys.stderr is not None and sys.stderr.isatty())


def _bar(settings: dict[str, Any]) -> Any:
    try:
        with warnings.catch_warnings():
            # It says so when a notebook lacks widgets, and draws a bar of text.
            warnings.simplefilter("ignore")
            from tqdm.auto import tqdm
    except ImportError:
        return None
    return tqdm(**settings, delay=_DELAY)
