"""Objects that users keep as pickles: a later version reads them, or refuses and names both versions."""

from __future__ import annotations

import dataclasses
import pickle
from collections.abc import Mapping
from typing import Any

from gateswing._core import __version__

__all__ = ["NEEDED", "PickledFields", "VERSION", "fields_of_now"]

VERSION = "gateswing version"  # key in the state of a pickle
NEEDED = object()  # stands for the default of a field that has none


def fields_of_now(owner: type, stored: Mapping[str, Any], defaults: Mapping[str, Any]) -> dict[str, Any]:
    """The fields of an object that some version has pickled, as this version has them.

    A field that has come since takes its default, which is what it was before.

    Args:
        owner: class of the object.
        stored: its fields, and under `VERSION` who wrote them; the versions up to 0.1.0 wrote no such entry.
        defaults: of every field, `NEEDED` where it has none.

    Raises:
        UnpicklingError: a field is gone, or one has come that has no default.
    """
    fields = {name: value for name, value in stored.items() if name != VERSION}
    gone = [name for name in fields if name not in defaults and not hasattr(owner, name)]
    lacking = [name for name, default in defaults.items() if default is NEEDED and name not in fields]
    if gone or lacking:
        writer = stored.get(VERSION, "0.1.0 or earlier")
        reasons = {"it lacks": lacking, "nothing is known of": gone}
        told = "; ".join(f"{words} {', '.join(names)}" for words, names in reasons.items() if names)
        raise pickle.UnpicklingError(
            f"gateswing {__version__} cannot read this {owner.__name__}, pickled by {writer}: {told}. "
            "Compute it anew; design files and stores outlast versions, pickles need not."
        )
    # In the order of this version, which decides how a description is written out.
    return {name: fields.get(name, default) for name, default in defaults.items()} | fields


class PickledFields:
    """Base of dataclasses that are kept as pickles."""

    def __getstate__(self) -> dict[str, Any]:
        return vars(self) | {VERSION: __version__}

    def __setstate__(self, state: dict[str, Any]) -> None:
        defaults = {one.name: _default(one) for one in dataclasses.fields(self)}  # type: ignore[arg-type]
        vars(self).update(fields_of_now(type(self), state, defaults))


def _default(field: dataclasses.Field[Any]) -> Any:
    if field.default is not dataclasses.MISSING:
        return field.default
    return NEEDED if field.default_factory is dataclasses.MISSING else field.default_factory()
