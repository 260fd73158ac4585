"""Descriptions for which a part of the library may be named instead."""

from __future__ import annotations

from typing import ClassVar

from pydantic import model_validator

from ..model import Model

__all__ = ["NamedPart", "part_or_fields"]


def part_or_fields(given: object, kind: str) -> object:
    """As :func:`gateswing.library.part_library.part_or_fields`, which is loaded only when a part is named."""
    if isinstance(given, str) or (isinstance(given, dict) and "part" in given):
        from ..library import part_library

        return part_library.part_or_fields(given, kind)
    return given


class NamedPart(Model):
    """Base of parts that may be given by name: ``"logic-60V"``, or as a table with ``part = "logic-60V"``."""

    part_kind: ClassVar[str]

    @model_validator(mode="before")
    @classmethod
    def _named(cls, given: object) -> object:
        return part_or_fields(given, cls.part_kind)
