"""The command: verdict on standard output, reason by exit code."""

import dataclasses
import json
import math
import tomllib
from collections.abc import Callable
from importlib import resources
from pathlib import Path
from typing import Any

import pytest
import tomli_w
from click.testing import CliRunner, Result

import gateswing as gs
from gateswing.cli import _text, main
from gateswing.limits import verdict as verdicts
from gateswing.limits.verdict import quick_check
from gateswing.model import Quantity

Spoil = Callable[[str, object], dict[str, Any]]


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


@pytest.fixture
def check(tmp_path: Path) -> Callable[..., Result]:
    """Write a design of these tables to a file and check it."""

    def checked(data: dict[str, Any], *options: str) -> Result:
        (tmp_path / "design.toml").write_text(tomli_w.dumps(data))
        return run("check", tmp_path / "design.toml", *options)

    return checked


@pytest.fixture
def without_clamps(spoil: Spoil) -> Spoil:
    """The same without clamps: an example with every part takes too long to be tried in many variants."""

    def changed(path: str, value: object) -> dict[str, Any]:
        data = spoil(path, value)
        for place in ("drain_source", "drain_gate", "rcd"):
            del data["cell"][f"{place}_clamp"]
        return data

    return changed


def test_a_design_that_holds_its_limits_exits_with_0(example_path: Path) -> None:
    result = run("check", example_path)
    assert result.exit_code == 0, result.output
    lines = result.stdout.splitlines()
    assert lines[0] == "coolant_pump.toml: Coolant pump stage, 48 V, 6 A, 50 kHz"
    assert lines[2].startswith("All limits held: closest is ")
    assert "Meaning of the figures" in lines
    assert "Caution: load: breaking the path of an inductive load" in result.stdout
    assert result.stdout.rstrip().endswith("no evidence of conformity with any standard.")


def test_a_limit_exceeded_exits_with_1_and_says_what_helps(
    without_clamps: Spoil, check: Callable[..., Result]
) -> None:
    result = check(without_clamps("limits.maximum_overshoot", "0.1 V"))
    assert result.exit_code == 1
    assert result.stdout.splitlines()[2].startswith("Exceeded: overshoot, ")
    assert "\nNext change: " in result.stdout


def test_a_search_for_a_change_that_found_none_is_told(design: gs.Design) -> None:
    nothing = "None of the changes that usually help was found to help here."
    tight = quick_check(design.replace({"limits.maximum_overshoot": "0.1 V"}))
    assert nothing in _text(Path("a.toml"), tight)
    assert nothing not in _text(Path("a.toml"), quick_check(design))


def test_a_run_that_does_not_finish_exits_with_3(
    example_path: Path, point: gs.OperatingPoint, monkeypatch: pytest.MonkeyPatch
) -> None:
    failed = dataclasses.replace(point, status="step_limit", message="Too many steps.", overshoot=math.nan)
    monkeypatch.setattr(verdicts, "quiet_operating_point", lambda *_, **__: failed)
    result = run("check", example_path)
    assert result.exit_code == 3
    assert "Not judged: Too many steps." in result.stdout
    assert "xceeded" not in result.stdout


@pytest.mark.parametrize("command", ["check", "fit"])
def test_ctrl_c_exits_with_130(command: str, example_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupt(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(verdicts, "quiet_operating_point", interrupt)
    monkeypatch.setattr("gateswing.datasheet.fit.fit_mosfet", interrupt)
    path = {"check": example_path, "fit": example_path.with_name("mosfet_sheet.toml")}[command]
    assert run(command, path).exit_code == 130


def test_the_json_form_says_the_same(example_path: Path, design: gs.Design) -> None:
    result = run("check", example_path, "--json")
    assert result.exit_code == 0
    answer = json.loads(result.stdout)
    verdict = gs.check(design)
    assert answer["file"] == str(example_path)
    assert answer["outcome"] == verdict.outcome
    assert answer["limiting"] == verdict.checks[0].name
    assert [check["name"] for check in answer["checks"]] == [check.name for check in verdict.checks]
    assert answer["figures"]["efficiency"] == pytest.approx(verdict.point.efficiency, rel=1e-12)


def bad_values(kind: Quantity) -> list[object]:
    return [kind.allowed.high + abs(kind.allowed.high) + 1.0, "3 C", math.nan]


def test_a_bad_field_exits_with_2_and_is_named(
    quantity_path: str, kind: Quantity, spoil: Spoil, check: Callable[..., Result]
) -> None:
    for value in bad_values(kind):
        result = check(spoil(quantity_path, value))
        assert result.exit_code == 2
        assert result.stdout == ""
        assert f"  {quantity_path} = {value!r}: " in result.stderr
        assert f"Allowed: {kind.allowed.text(kind.unit)}." in result.stderr


def test_a_missing_field_exits_with_2_and_is_named(
    required_path: str, spoil: Spoil, check: Callable[..., Result]
) -> None:
    result = check(spoil(required_path, None))
    assert result.exit_code == 2
    assert f"  {required_path}: missing." in result.stderr


def test_bad_input_as_json_lists_the_problems(spoil: Spoil, check: Callable[..., Result]) -> None:
    result = check(spoil("cell.gate_resistance", "10 F"), "--json")
    assert result.exit_code == 2
    answer = json.loads(result.stdout)
    assert answer["outcome"] == "bad input"
    assert [problem["path"] for problem in answer["problems"]] == ["cell.gate_resistance"]


def test_a_file_that_is_not_there_exits_with_2(tmp_path: Path) -> None:
    result = run("check", tmp_path / "nowhere.toml")
    assert result.exit_code == 2
    assert "cannot be read" in result.stderr


def test_warnings_are_printed_with_the_verdict(without_clamps: Spoil, check: Callable[..., Result]) -> None:
    result = check(without_clamps("cell.gate_resistance", "0.05 ohm"))
    assert "warning: gate_resistance" in result.stdout


def test_the_version_is_printed() -> None:
    result = run("--version")
    assert result.exit_code == 0
    assert gs.__version__ in result.stdout


@pytest.fixture
def sheet_path(example_path: Path) -> Path:
    return example_path.with_name("mosfet_sheet.toml")


def test_a_sheet_is_fitted_and_its_model_goes_into_a_design(
    sheet_path: Path, example_path: Path, tmp_path: Path
) -> None:
    result = run("fit", sheet_path, "--output", tmp_path / "part.toml")
    assert result.exit_code == 0, result.output
    assert result.stdout.startswith("mosfet_sheet.toml: 100 V, 12 mohm power MOSFET\n\nFit ")
    assert "gate charge, gate drain" in result.stdout
    assert result.stdout.rstrip().endswith("no evidence of conformity with any standard.")
    part = tomllib.loads((tmp_path / "part.toml").read_text())
    design = gs.read_design(example_path).to_mapping()
    design["cell"]["mosfet"] = part["cell"]["mosfet"]
    assert gs.Design.from_mapping(design).cell.mosfet == gs.fit_mosfet(gs.read_sheet(sheet_path)).mosfet


def test_a_fit_in_json_and_one_that_is_poor(sheet_path: Path, tmp_path: Path) -> None:
    data = tomllib.loads(sheet_path.read_text())
    data["transconductance"]["value"] = "500 S"
    (tmp_path / "sheet.toml").write_text(tomli_w.dumps(data))
    result = run("fit", tmp_path / "sheet.toml", "--json")
    assert result.exit_code == 1
    assert json.loads(result.stdout)["verdict"] == "poor"


def test_a_sheet_that_cannot_be_used_or_a_model_that_cannot_be_written(
    sheet_path: Path, tmp_path: Path
) -> None:
    data = tomllib.loads(sheet_path.read_text())
    del data["threshold"], data["reverse_capacitance"]
    (tmp_path / "sheet.toml").write_text(tomli_w.dumps(data))
    result = run("fit", tmp_path / "sheet.toml")
    assert result.exit_code == 2
    assert "threshold: missing" in result.stderr
    assert "reverse_capacitance: missing" in result.stderr
    result = run("fit", sheet_path, "--output", tmp_path / "no" / "part.toml")
    assert result.exit_code == 2
    assert "cannot be written" in result.stderr


@pytest.mark.parametrize(
    ("file", "words"),
    [
        ("examples/mosfet_sheet.toml", "is a data sheet and no design"),
        ("library/parts/logic-60V.toml", "is a part and no design"),
    ],
)
def test_another_kind_of_file_is_named(file: str, words: str) -> None:
    result = run("check", str(resources.files("gateswing") / file))
    assert result.exit_code == 2
    assert words in result.stderr


COMMANDS = ("check", "compare", "estimate", "fit", "parts", "report")


def test_the_help_says_each_command_in_one_line_and_where_examples_are() -> None:
    shown = run("--help").stdout
    for command in COMMANDS:
        assert f"\n  {command} " in shown
    assert "..." not in shown.partition("Commands:")[2]
    (folder,) = (Path(line.strip()) for line in shown.splitlines() if line.strip().endswith("examples"))
    assert (folder / "coolant_pump.toml").is_file()


@pytest.mark.parametrize("command", COMMANDS)
def test_the_help_of_each_command_says_its_exit_codes(command: str) -> None:
    shown = run(command, "--help").stdout
    assert "Exit code" in shown
    assert "%Y" not in shown


def test_an_option_is_what_cannot_be_used(example_path: Path, sheet_path: Path, tmp_path: Path) -> None:
    capture = tmp_path / "scope.csv"
    capture.write_text("time,CH1,CH2\n0,1,2\n1e-9,2,3\n")
    estimate = ("estimate", example_path, capture, "--unknown")
    for arguments, words in (
        (("fit", sheet_path, "--output", tmp_path / "no" / "part.toml"), "--output = "),
        ((*estimate, "x"), "--unknown = 'x': "),
        ((*estimate, "loop_inductance=5 nH"), "--unknown loop_inductance = '5 nH': has no two ends"),
    ):
        told = run(*arguments).stderr
        assert told.startswith("The options cannot be used:\n  " + words)
        assert "coolant_pump.toml cannot" not in told
