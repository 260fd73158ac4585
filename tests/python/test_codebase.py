"""The rules of the code base that no compiler or linter checks."""

import ast
import json
import re
import tomllib
from importlib import metadata
from pathlib import Path

import lizard
import pytest

import gateswing
import gateswing._core

ROOT = Path(__file__).parents[2]
STAGES = ["device", "network", "integrate", "lanes", "waveform", "simulate", "measure", "study"]
# Of python/gateswing, besides the modules that lie beside them.
PACKAGES = [
    "formulas", "waveforms", "circuit", "capture", "datasheet", "circuit_checks", "library", "studies",
    "limits", "hand_formulas", "test_bench", "sweeping", "tolerance", "choices", "measurement", "testing",
    "plot", "reporting",
]  # fmt: skip
MOST_FILE_LINES = 400
MOST_FUNCTION_LINES = 40
FOLDERS = ["cpp", "python", "tests", "docs"]
BUILD_FILES = ["**/CMakeLists.txt", "cpp/cmake/*", "CMakePresets.json", "pyproject.toml", "dev"]


def sources(*suffixes: str, below: list[str] = FOLDERS) -> list[Path]:
    found = (path for folder in below for path in (ROOT / folder).rglob("*"))
    return sorted(path for path in found if path.suffix in suffixes and path.is_file())


def containing(pattern: str, paths: list[Path]) -> list[Path]:
    return [path for path in paths if re.search(pattern, path.read_text())]


def build_files() -> list[Path]:
    found = {path for pattern in BUILD_FILES for path in ROOT.glob(pattern)}
    return sorted(path for path in found if path.relative_to(ROOT).parts[0] not in ("build", ".venv"))


def test_the_checks_see_the_code() -> None:
    assert len(sources(".h", ".cpp")) > 50
    assert len(sources(".py")) > 10
    assert len(build_files()) > 10


@pytest.mark.parametrize("stage", STAGES)
def test_a_stage_includes_only_itself_and_stages_to_its_left(stage: str) -> None:
    allowed = STAGES[: STAGES.index(stage) + 1]
    wrong = [
        f"{path.relative_to(ROOT)} includes {used}"
        for path in sources(".h", ".cpp", below=[f"cpp/gateswing/{stage}"])
        for used in re.findall(r'#\s*include\s*[<"]gateswing/(\w+)/', path.read_text())
        if used not in allowed
    ]
    assert not wrong


def imported_packages(path: Path) -> set[str]:
    """Packages of gateswing that a module imports as it is imported itself, not later in a function."""
    package = path.relative_to(ROOT / "python/gateswing").parts[:-1]
    found = set()
    for node in ast.parse(path.read_text()).body:
        if isinstance(node, ast.ImportFrom) and node.level:
            base = (*package[: len(package) - node.level + 1], *(node.module or "").split("."))
            found |= {base[0]} if base[0] else {name.name for name in node.names}
    return found & set(PACKAGES)


@pytest.mark.parametrize("package", PACKAGES)
def test_a_package_imports_only_packages_to_its_left(package: str) -> None:
    allowed = PACKAGES[: PACKAGES.index(package) + 1]
    modules = sources(".py", below=[f"python/gateswing/{package}"])
    assert modules
    assert not {path.name: wrong for path in modules if (wrong := imported_packages(path) - set(allowed))}


def test_every_package_has_its_place() -> None:
    folders = {path.parent.name for path in (ROOT / "python/gateswing").glob("*/__init__.py")}
    assert folders == set(PACKAGES)


def test_the_core_knows_no_python() -> None:
    assert not containing(r"pybind11|Python\.h", sources(".h", ".cpp", below=["cpp"]))


@pytest.mark.parametrize("stage", STAGES)
def test_the_namespace_is_the_folder(stage: str) -> None:
    for path in sources(".h", ".cpp", below=[f"cpp/gateswing/{stage}"]):
        opened = re.findall(r"^\s*(?:inline\s+)?namespace\s+(gateswing\S*)", path.read_text(), re.MULTILINE)
        wanted = f"gateswing::{stage}"
        assert opened, f"{path} opens no namespace {wanted}"
        assert all(name == wanted or name.startswith(f"{wanted}::") for name in opened), path


def test_a_header_is_included_once() -> None:
    assert not [path for path in sources(".h") if path.read_text().count("#pragma once\n") != 1]


def test_a_header_or_a_source_without_one_starts_by_saying_what_it_holds() -> None:
    alone = [path for path in sources(".cpp") if not path.with_suffix(".h").is_file()]
    assert not [path for path in sources(".h") + alone if not path.read_text().startswith("// ")]


def test_files_are_short() -> None:
    lengths = {path: len(path.read_text().splitlines()) for path in sources(".h", ".cpp", ".py")}
    assert not {path: lines for path, lines in lengths.items() if lines >= MOST_FILE_LINES}


def test_cpp_functions_are_short() -> None:
    files = lizard.analyze_files([str(path) for path in sources(".h", ".cpp")])
    functions = [(f.filename, f.start_line, f.name, f.length) for file in files for f in file.function_list]
    assert not [function for function in functions if function[-1] >= MOST_FUNCTION_LINES]


def test_python_functions_are_short() -> None:
    functions = [
        (path, node.lineno, node.name, code_lines(node))
        for path in sources(".py")
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    ]
    assert not [function for function in functions if function[-1] >= MOST_FUNCTION_LINES]


def code_lines(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines from the `def` to the end, the docstring not counted."""
    first = function.body[0]
    documented = ast.get_docstring(function) is not None
    docstring = (first.end_lineno or 0) - first.lineno + 1 if documented else 0
    return (function.end_lineno or 0) - function.lineno + 1 - docstring


def test_no_flag_changes_the_arithmetic_or_needs_one_machine() -> None:
    flags = r"fast-math|-Ofast|-march=native|-mtune=native|unsafe-math"
    assert not containing(flags, build_files() + sources(".h", ".cpp"))


def test_no_file_names_a_place_on_one_machine() -> None:
    files = build_files() + sources(".h", ".cpp", ".py", ".toml", ".md") + sorted(ROOT.glob("*.md"))
    assert not containing(r"(?<![\w.])/(?:root|home|work|tmp)/\w", files)


def test_all_parts_say_the_same_version() -> None:
    stated = re.search(r"project\(gateswing VERSION ([0-9.]+)", (ROOT / "CMakeLists.txt").read_text())
    assert stated
    assert stated[1] == gateswing._core.__version__ == gateswing.__version__ == metadata.version("gateswing")


def test_a_build_without_isolation_has_what_an_isolated_one_gets() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())
    assert set(project["build-system"]["requires"]) <= set(project["dependency-groups"]["build"])


def test_every_stage_has_its_place_in_each_tree() -> None:
    for stage in STAGES:
        assert (ROOT / "cpp/gateswing" / stage / "CMakeLists.txt").is_file()
        assert (ROOT / "tests/cpp" / stage / "CMakeLists.txt").is_file()


def test_every_preset_to_build_can_be_run_as_one_command() -> None:
    presets = json.loads((ROOT / "CMakePresets.json").read_text())
    names = {preset["name"] for preset in presets["configurePresets"] if not preset.get("hidden")}
    assert names == {preset["name"] for preset in presets["workflowPresets"]}
