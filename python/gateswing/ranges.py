"""Values outside their usual ranges."""

from __future__ import annotations

from .errors import InputWarning
from .model import Model
from .quantities import format_quantity

__all__ = ["range_warnings"]


def range_warnings(model: Model) -> list[InputWarning]:
    """One warning for each value outside its usual range, with the likely unit slip."""
    found = []
    for path, value, kind in model.quantities():
        if kind.usual is not None and kind.is_unusual(value):
            message = (
                f"{format_quantity(value, kind.unit)} is unusual; usual is {kind.usual.text(kind.unit)}."
            )
            found.append(InputWarning(path, f"{message} {kind.slip_hint(value)}".rstrip()))
    return found
