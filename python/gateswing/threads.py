"""Threads: how many to use."""

from __future__ import annotations

import os

from .errors import InputError, InputProblem

__all__ = ["thread_count"]


def thread_count(threads: int | None) -> int:
    """How many to use; left out: one for each processor.

    Raises:
        InputError: less than one.
    """
    if threads is None:
        return os.cpu_count() or 1
    if threads < 1:
        raise InputError([InputProblem("threads", repr(threads), "out of range.", "1 and more")])
    return threads
