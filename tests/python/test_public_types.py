"""What public functions return, and what its attributes and methods give, are public names too."""

from __future__ import annotations

import inspect
import pkgutil
import sys
import typing
from collections.abc import Callable, Iterator
from importlib import import_module
from typing import Any

import pandas as pd
import xarray as xr
from matplotlib.axes import Axes
from matplotlib.figure import Figure

import gateswing as gs

PUBLIC = {getattr(package, name) for package in (gs, gs.plot, gs.testing, gs.formulas)
          for name in package.__all__ if name != "__version__"}  # fmt: skip
# The options of a sweep as they were given, which an objective hands on.
NOT_FOR_USERS = {"SweepJob"}


def every_class() -> dict[str, Any]:
    """The package's classes by name, for annotations whose names are imported for type checkers alone."""
    found: dict[str, Any] = {}
    for module in pkgutil.walk_packages(gs.__path__, "gateswing."):
        if module.name.rpartition(".")[2] not in ("__main__", "demo", "cli"):
            found |= {
                name: one for name, one in vars(import_module(module.name)).items() if inspect.isclass(one)
            }
    return found | {"xr": xr, "pd": pd, "Axes": Axes, "Figure": Figure}


NAMES = every_class()


def hints(of: Any) -> dict[str, Any]:
    """Annotations of a class or function, as its own module understands them."""
    return typing.get_type_hints(of, localns=NAMES | vars(sys.modules[of.__module__]))


def is_ours(one: Any) -> bool:
    """Whether it is of the package, and not of the core, whose objects no user meets by name."""
    return one.__module__.startswith("gateswing.") and "_core" not in one.__module__


def classes_in(annotation: Any) -> Iterator[type]:
    """The package's own classes that an annotation names."""
    inner = typing.get_args(annotation)
    if inspect.isclass(annotation) and not inner and is_ours(annotation):
        yield annotation
    for part in inner:
        yield from classes_in(part)


def returned(function: Callable[..., Any]) -> Iterator[type]:
    return classes_in(hints(function).get("return"))


def given_by(owner: type) -> Iterator[tuple[str, type]]:
    """What attributes and methods of a class give, with their names."""
    for name, hint in hints(owner).items():
        if not name.startswith("_") and typing.get_origin(hint) is not typing.ClassVar:
            yield from ((name, one) for one in classes_in(hint))
    for name, member in inspect.getmembers_static(owner):
        function = getattr(member, "fget", None) or getattr(member, "__func__", member)
        if not name.startswith("_") and inspect.isfunction(function) and is_ours(function):
            yield from ((name, one) for one in returned(function))


def reached() -> dict[type, str]:
    """Every class that one comes to from public names, with where from."""
    found = {one: "" for one in PUBLIC if inspect.isclass(one)}
    for function in filter(inspect.isfunction, PUBLIC):
        found |= {one: function.__name__ for one in returned(function) if one not in found}
    todo = list(found)
    while todo:
        owner = todo.pop()
        if owner.__name__ in NOT_FOR_USERS or not is_ours(owner):
            continue
        for name, one in given_by(owner):
            if one not in found:
                found[one] = f"{owner.__name__}.{name}"
                todo.append(one)
    return found


def test_what_one_gets_has_a_public_name() -> None:
    unnamed = {f"{place} gives {one.__name__}" for one, place in reached().items()
               if one not in PUBLIC and one.__name__ not in NOT_FOR_USERS}  # fmt: skip
    assert unnamed == set()


def test_the_search_reaches_what_results_hold() -> None:
    names = {one.__name__ for one in reached()}
    assert {"YieldEntry", "Distribution", "Explanation", "FitRow", "Driver", "SwitchFigures"} <= names
    assert "SweepJob" in names
