"""Design files: read, written, and refused field by field."""

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import tomli_w

import gateswing as gs
from gateswing.model import Quantity

Spoil = Callable[[str, object], dict[str, Any]]

# What the example leaves at its default.
MORE = {
    "cell.mosfet.body_diode.transit_time": "5 ns",
    "cell.mosfet.body_diode.lifetime": "50 ns",
    "cell.driver.source_drop": "0.3 V",
    "limits.margin": "12.5 %",
    "cell.load": {"constant_current": "6 A"},
}


def the_problem(data: dict[str, Any], path: str) -> gs.InputProblem:
    """The one problem that the design has, which must be about `path`."""
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


def test_a_value_out_of_range_is_named_with_its_range(
    quantity_path: str, kind: Quantity, spoil: Spoil
) -> None:
    for value in outside(kind):
        problem = the_problem(spoil(quantity_path, value), quantity_path)
        assert problem.value == repr(value)
        assert problem.reason == "out of range."
        assert problem.allowed == kind.allowed.text(kind.unit)


def test_a_wrong_unit_is_named(quantity_path: str, kind: Quantity, spoil: Spoil) -> None:
    problem = the_problem(spoil(quantity_path, "3 C"), quantity_path)
    assert problem.value == "'3 C'"
    assert "has the unit 'C'" in problem.reason
    assert problem.allowed == kind.allowed.text(kind.unit)


def test_a_value_that_is_not_finite_is_named(quantity_path: str, kind: Quantity, spoil: Spoil) -> None:
    for value in (math.nan, math.inf, -math.inf, "nan", "inf"):
        problem = the_problem(spoil(quantity_path, value), quantity_path)
        assert problem.reason == "not a finite number."
        assert problem.allowed == kind.allowed.text(kind.unit)


def test_a_missing_field_is_named(required_path: str, spoil: Spoil) -> None:
    problem = the_problem(spoil(required_path, None), required_path)
    assert problem.value is None
    assert problem.reason.startswith("missing.")
    assert problem.allowed or problem.hint


@pytest.mark.parametrize(
    "path", ["frequency", "cell.gate_resistence", "cell.mosfet.channel.threshold", "limits.x"]
)
def test_an_unknown_field_is_named(path: str, spoil: Spoil) -> None:
    assert the_problem(spoil(path, 1.0), path).reason == "no such field."


def test_problems_in_several_tables_are_reported_together(spoil: Spoil) -> None:
    data = spoil("cell.mosfet.drift_resistance", "5 F") | {"operation": {"frequency": "50 kHz", "duty": 60}}
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
def test_the_layout_must_be_one_that_is_known(schema: object, reason: str, spoil: Spoil) -> None:
    assert the_problem(spoil("schema", schema), "schema").reason.startswith(reason)


def test_a_written_design_reads_back_the_same(design: gs.Design, tmp_path: Path) -> None:
    for wanted in (design, design.replace(MORE)):
        gs.write_design(wanted, tmp_path / "design.toml")
        assert gs.read_design(tmp_path / "design.toml") == wanted


def test_a_value_is_written_in_as_few_digits_as_it_needs(design: gs.Design) -> None:
    changed = design.replace({"cell.gate_resistance": 1234.5, "cell.loop_inductance": 9e-9})
    written = changed.to_mapping()["cell"]
    assert written["gate_resistance"] == "1.2345 kohm"
    assert written["loop_inductance"] == "9 nH"


def test_a_written_value_keeps_every_digit(design: gs.Design, tmp_path: Path) -> None:
    changes = {"cell.gate_resistance": 10.0 / 3.0, "operation.frequency": 1e5 / 7.0}
    third = design.replace(changes | {"cell.mosfet.gate_drain_capacitance.floor": 0.3e-12})
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


@pytest.mark.parametrize(
    ("line", "hint"),
    [
        ("bus = 24 V", 'Line 3: put a text or a number with its unit in quotes, bus = "24 V"'),
        ("  duty = 50 %  # of the period", 'quotes, duty = "50 %"'),
        ("gate_resistance = 4k7", 'quotes, gate_resistance = "4k7"'),
        ("driver = pin-5V", 'quotes, driver = "pin-5V"'),
        ("duty = 0,5", "Line 3: write the decimal sign as a point, duty = 0.5"),
    ],
)
@pytest.mark.parametrize("end", ["\n", "\r\n", ""])
def test_a_value_without_quotes_is_shown_with_them(line: str, hint: str, end: str, tmp_path: Path) -> None:
    lines = ["schema = 1", "[cell]", line]
    (tmp_path / "design.toml").write_bytes((end or "\n").join(lines).encode() + end.encode())
    with pytest.raises(gs.InputError) as error:
        gs.read_design(tmp_path / "design.toml")
    (problem,) = error.value.problems
    assert problem.path == "file"
    assert "not TOML: " in problem.reason
    assert problem.hint.endswith(hint)


@pytest.mark.parametrize("line", ['bus = "24 V', "bus = [1, 2", "= 3", "x" * 5000 + " = 2 V", "a b = 1"])
def test_no_other_line_is_told_to_want_quotes(line: str, tmp_path: Path) -> None:
    (tmp_path / "design.toml").write_text(f"schema = 1\n{line}\n", encoding="utf-8")
    with pytest.raises(gs.InputError, match="not TOML") as error:
        gs.read_design(tmp_path / "design.toml")
    assert error.value.problems[0].hint == ""


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(gs.InputError, match=r"nowhere\.toml.*cannot be read"):
        gs.read_design(tmp_path / "nowhere.toml")


def test_numbers_without_units_are_taken_as_si(spoil: Spoil, tmp_path: Path) -> None:
    (tmp_path / "design.toml").write_text(tomli_w.dumps(spoil("cell.gate_resistance", 4.7)))
    assert gs.Design.read(tmp_path / "design.toml").cell.gate_resistance == 4.7
