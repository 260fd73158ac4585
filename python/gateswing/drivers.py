"""Every kind of driver under one roof: the choice by ``kind``."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from typing import Annotated

from pydantic import BeforeValidator

from .driver import Driver, PushPullDriver
from .errors import InputError, InputProblem
from .logic_drivers import GateDriverIC, MicrocontrollerPin, ParallelGates
from .named_part import part_or_fields
from .transistor_drivers import BipolarTotemPole, EmitterFollower, OptocouplerDriver, PullUpTransistor

__all__ = ["DRIVER_KINDS", "AnyDriver", "driver_from"]

_CLASSES: tuple[type[Driver], ...] = (
    PushPullDriver,
    MicrocontrollerPin,
    ParallelGates,
    GateDriverIC,
    BipolarTotemPole,
    PullUpTransistor,
    EmitterFollower,
    OptocouplerDriver,
)
# The class of each kind, by the text that a design file gives.
DRIVER_KINDS: dict[str, type[Driver]] = {one.model_fields["kind"].default: one for one in _CLASSES}


def driver_from(value: object) -> Driver:
    """A driver as it is, by its name in the part library, or a table of its fields.

    Without a kind it is a push-pull driver.
    """
    value = part_or_fields(value, "driver")
    if isinstance(value, Driver):
        return value
    if not isinstance(value, Mapping):
        raise InputError([InputProblem("", repr(value), "not a driver, nor a table of its fields.")])
    kind = value.get("kind", "push_pull")
    if not isinstance(kind, str) or kind not in DRIVER_KINDS:
        close = difflib.get_close_matches(str(kind), DRIVER_KINDS, n=1)
        hint = f"Did you mean {close[0]!r}?" if close else ""
        reason = "no such kind of driver."
        raise InputError([InputProblem("kind", repr(kind), reason, ", ".join(DRIVER_KINDS), hint)])
    return DRIVER_KINDS[kind](**value)


AnyDriver = Annotated[
    PushPullDriver
    | MicrocontrollerPin
    | ParallelGates
    | GateDriverIC
    | BipolarTotemPole
    | PullUpTransistor
    | EmitterFollower
    | OptocouplerDriver,
    BeforeValidator(driver_from),
]
