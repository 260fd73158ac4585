"""Every kind of driver under one roof: the choice by ``kind``."""

from __future__ import annotations

from typing import Annotated

from pydantic import BeforeValidator

from .driver import Driver, PushPullDriver
from .kinds import of_kind
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
    return of_kind(part_or_fields(value, "driver"), DRIVER_KINDS, PushPullDriver, "driver")


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
