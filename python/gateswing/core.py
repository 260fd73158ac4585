"""The border to the C++ core: its structures filled by name."""

from __future__ import annotations

from typing import TypeVar

__all__ = ["fill"]

Structure = TypeVar("Structure")


def fill(structure: Structure, **members: object) -> Structure:
    """Set members of a core structure and return it; a member that it does not have is an error."""
    for name, value in members.items():
        if not hasattr(structure, name):
            raise AttributeError(f"{type(structure).__name__} of the core has no member {name!r}")
        setattr(structure, name, value)
    return structure
