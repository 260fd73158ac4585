"""What several test files use."""

import copy
from collections.abc import Callable, Iterator
from importlib import resources
from pathlib import Path
from typing import Any

import pytest

import gateswing as gs
from gateswing.model import Model, Quantity, model_in

Spoil = Callable[[str, object], dict[str, Any]]


def fields(model: type[Model], prefix: str = "") -> Iterator[tuple[str, type[Model], str, Quantity | None]]:
    """Every field of the schema: dotted path, owner, name, and its quantity if it is one."""
    for name, field in model.model_fields.items():
        below = model_in(field.annotation)
        if below:
            yield from fields(below, f"{prefix}{name}.")
        yield f"{prefix}{name}", model, name, model.quantity_of(name)


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Run a test once for each field of the design file, so that none is forgotten.

    ``quantity_path`` and ``kind`` go through the quantities, ``required_path`` through what must be there.
    """
    if "quantity_path" in metafunc.fixturenames:
        found = [(path, kind) for path, _, _, kind in fields(gs.Design) if kind]
        metafunc.parametrize(("quantity_path", "kind"), found, ids=[path for path, _ in found])
    if "required_path" in metafunc.fixturenames:
        needed = [
            path for path, model, name, _ in fields(gs.Design) if model.model_fields[name].is_required()
        ]
        metafunc.parametrize("required_path", needed)


@pytest.fixture(scope="session")
def example_path() -> Path:
    """The design file that comes with the package."""
    return Path(str(resources.files("gateswing") / "examples" / "coolant_pump.toml"))


@pytest.fixture(scope="session")
def design(example_path: Path) -> gs.Design:
    """The design of that file."""
    return gs.read_design(example_path)


@pytest.fixture(scope="session")
def mapping(design: gs.Design) -> dict[str, Any]:
    """The nested tables of that file, with the parts it leaves out added; not to be changed."""
    step = gs.StepCapacitance(low="1 nF", high="10 pF", centre="20 V")
    steps = {f"cell.mosfet.{place}_step": step for place in ("gate_drain", "drain_source")}
    return design.replace(steps).to_mapping()


@pytest.fixture
def spoil(mapping: dict[str, Any]) -> Spoil:
    """Make the tables of the example with one field changed, or left out for ``None``."""

    def changed(path: str, value: object) -> dict[str, Any]:
        data = copy.deepcopy(mapping)
        if path == "cell.load.constant_current":
            data["cell"]["load"] = {}
        put(data, path, value)
        return data

    return changed


def put(data: dict[str, Any], path: str, value: object) -> None:
    """Set a field deep inside nested tables, or delete it for ``None``."""
    *parts, last = path.split(".")
    for part in parts:
        data = data.setdefault(part, {})
    if value is None:
        del data[last]
    else:
        data[last] = value


@pytest.fixture(scope="session")
def cell(design: gs.Design) -> gs.LowSideCell:
    """The circuit of that file."""
    return design.cell


@pytest.fixture(scope="session")
def edges(cell: gs.LowSideCell) -> gs.DoublePulse:
    """Both edges of that circuit."""
    return gs.double_pulse(cell)


@pytest.fixture(scope="session")
def point(design: gs.Design) -> gs.OperatingPoint:
    """The operating point of that design."""
    return gs.operating_point(design.cell, frequency=design.operation.frequency, duty=design.operation.duty)
