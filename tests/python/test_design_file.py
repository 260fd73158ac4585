"""Design files: read, written, and refused field by field."""

import copy
import math
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import tomli_w

import gateswing as gs
from gateswing.model import Model, Quantity, model_in

# Everything optional is filled in, so that every field of the schema can be spoilt.
EXTRA = {
    "cell.bus.bulk_inductance": "4 nH",
    "cell.mosfet.body_diode.transit_time": "5 ns",
    "cell.mosfet.body_diode.lifetime": "50 ns",
    "limits.margin": "10 %",
}


def fields(model: type[Model], prefix: str = "") -> Iterator[tuple[str, type[Model], str, Quantity | None]]:
    """Every field of the schema: dotted path, owner, name, and its quantity if it is one."""
    for name, field in model.model_fields.items():
        below = model_in(field.annotation)
        if below:
            yield from fields(below, f"{prefix}{name}.")
        yield f"{prefix}{name}", model, name, model.quantity_of(name)


FIELDS = list(fields(gs.Design))
QUANTITIES = [(path, kind) for path, _, _, kind in FIELDS if kind]
REQUIRED = [path for path, model, name, _ in FIELDS if model.model_fields[name].is_required()]


@pytest.fixture(scope="module")
def mapping(design: gs.Design) -> dict[str, Any]:
    return design.to_mapping()


@pytest.fixture
def data(mapping: dict[str, Any]) -> dict[str, Any]:
    return copy.deepcopy(mapping)


def put(data: dict[str, Any], path: str, value: object) -> None:
    *parts, last = path.split(".")
    for part in parts:
        data = data.setdefault(part, {})
    if value is None:
        del data[last]
    else:
        data[last] = value


def spoilt(data: dict[str, Any], path: str, value: object) -> gs.InputProblem:
    """The one problem that the design has once `path` is set to `value`."""
    if path.startswith("cell.load.constant_current"):
        put(data, "cell.load", {})
    put(data, path, value)
    with pytest.raises(gs.InputError) as error:
        gs.Design.from_mapping(data)
    assert [problem.path for problem in error.value.problems] == [path], error.value
    return error.value.problems[0]


def outside(kind: Quantity) -> list[float]:
    """Values just and far beyond both ends."""
    low, high = kind.allowed.low, kind.allowed.high
    beyond = [low - abs(low or 1.0), high + abs(high or 1.0), 1e6 * (high or 1.0)]
    ends = [
        end for end, excluded in ((low, kind.allowed.low_open), (high, kind.allowed.high_open)) if excluded
    ]
    return beyond + ends


def test_the_schema_is_covered() -> None:
    assert len(QUANTITIES) > 70
    assert {"cell.mosfet.channel.threshold_voltage", "cell.snubber.capacitance", "operation.duty"} <= {
        path for path, _ in QUANTITIES
    }


@pytest.mark.parametrize(("path", "kind"), QUANTITIES)
def test_a_value_out_of_range_is_named_with_its_range(
    path: str, kind: Quantity, data: dict[str, Any]
) -> None:
    for value in outside(kind):
        problem = spoilt(copy.deepcopy(data), path, value)
        assert problem.value == repr(value)
        assert problem.reason == "out of range."
        assert problem.allowed == kind.allowed.text(kind.unit)


@pytest.mark.parametrize(("path", "kind"), QUANTITIES)
def test_a_wrong_unit_is_named(path: str, kind: Quantity, data: dict[str, Any]) -> None:
    problem = spoilt(data, path, "3 C")
    assert problem.value == "'3 C'"
    assert "has the unit 'C'" in problem.reason
    assert problem.allowed == kind.allowed.text(kind.unit)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, "nan", "inf"])
@pytest.mark.parametrize(("path", "kind"), QUANTITIES)
def test_a_value_that_is_not_finite_is_named(
    path: str, kind: Quantity, value: object, data: dict[str, Any]
) -> None:
    problem = spoilt(data, path, value)
    assert problem.reason == "not a finite number."
    assert problem.allowed == kind.allowed.text(kind.unit)


@pytest.mark.parametrize("path", REQUIRED)
def test_a_missing_field_is_named(path: str, data: dict[str, Any]) -> None:
    problem = spoilt(data, path, None)
    assert problem.value is None
    assert problem.reason.startswith("missing.")
    assert problem.allowed or problem.hint


@pytest.mark.parametrize(
    "path", ["frequency", "cell.gate_resistence", "cell.mosfet.channel.threshold", "limits.x"]
)
def test_an_unknown_field_is_named(path: str, data: dict[str, Any]) -> None:
    assert spoilt(data, path, 1.0).reason == "no such field."


def test_problems_in_several_tables_are_reported_together(data: dict[str, Any]) -> None:
    put(data, "cell.mosfet.drift_resistance", "5 F")
    put(data, "operation.duty", 60)
    with pytest.raises(gs.InputError) as error:
        gs.Design.from_mapping(data)
    assert [problem.path for problem in error.value.problems] == [
        "cell.mosfet.drift_resistance",
        "operation.duty",
    ]
    assert "Did you mean 60 %?" in str(error.value)


@pytest.mark.parametrize(
    ("schema", "reason"), [(None, "missing."), (2, "unknown version"), ("1", "unknown version")]
)
def test_the_layout_must_be_one_that_is_known(schema: object, reason: str, data: dict[str, Any]) -> None:
    put(data, "schema", schema)
    with pytest.raises(gs.InputError, match=re.escape(reason)) as error:
        gs.Design.from_mapping(data)
    assert error.value.problems[0].path == "schema"


def test_a_written_design_reads_back_the_same(
    design: gs.Design, data: dict[str, Any], tmp_path: Path
) -> None:
    for path, value in EXTRA.items():
        put(data, path, value)
    full = gs.Design.from_mapping(data)
    for wanted in (design, full):
        gs.write_design(wanted, tmp_path / "design.toml")
        assert gs.read_design(tmp_path / "design.toml") == wanted


def test_a_written_value_keeps_every_digit(design: gs.Design, tmp_path: Path) -> None:
    third = design.replace({"cell.gate_resistance": 10.0 / 3.0, "operation.frequency": 1e5 / 7.0})
    gs.write_design(third, tmp_path / "design.toml")
    assert gs.read_design(tmp_path / "design.toml") == third


@pytest.mark.parametrize(
    ("content", "words"),
    [(b"schema = ", "not TOML"), (b"\xff\xfe", "not text in UTF-8"), (b"schema = 1", "cell: missing")],
)
def test_a_file_that_is_no_design_is_refused(content: bytes, words: str, tmp_path: Path) -> None:
    (tmp_path / "design.toml").write_bytes(content)
    with pytest.raises(gs.InputError, match=words):
        gs.read_design(tmp_path / "design.toml")


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(gs.InputError, match=r"nowhere\.toml.*cannot be read"):
        gs.read_design(tmp_path / "nowhere.toml")


def test_numbers_without_units_are_taken_as_si(data: dict[str, Any], tmp_path: Path) -> None:
    put(data, "cell.gate_resistance", 4.7)
    (tmp_path / "design.toml").write_text(tomli_w.dumps(data))
    assert gs.read_design(tmp_path / "design.toml").cell.gate_resistance == 4.7
