"""Packs of parts: throw-away packages found through their entry points, good ones and broken ones."""

import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

import gateswing as gs
from gateswing.library.part_packs import installed_packs

DIODE = """
schema = 1
title = "{title}"
source = "invented"
[diode]
forward_voltage = {{ typ = "0.5 V", max = "0.6 V" }}
forward_current = "3 A"
capacitance = {{ zero_bias = "400 pF" }}
"""
FUNCTION = """
def tables():
    diode = {"forward_voltage": "0.4 V", "forward_current": "1 A", "capacitance": {"zero_bias": "100 pF"}}
    good = {"schema": 1, "title": "by function", "source": "invented", "diode": diode}
    return {"small": good, "spoilt": good | {"diode": {}}}
"""

Install = Callable[..., None]


@pytest.fixture
def install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Install]:
    """Put a package with entry points on the path, as an installer leaves it behind."""
    monkeypatch.syspath_prepend(str(tmp_path))
    packages = []

    def installed(package: str, points: dict[str, str], files: dict[str, str]) -> None:
        packages.append(package)
        (tmp_path / package).mkdir()
        for name, content in files.items():
            (tmp_path / package / name).write_text(content)
        record = tmp_path / f"{package}-1.0.dist-info"
        record.mkdir()
        (record / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {package}\nVersion: 1.0\n")
        lines = [f"{name} = {value}" for name, value in points.items()]
        (record / "entry_points.txt").write_text("\n".join(["[gateswing.parts]", *lines, ""]))

    yield installed
    for package in packages:
        sys.modules.pop(package, None)


def problems_of(listed: gs.PartLibrary) -> list[str]:
    return [str(problem) for problem in listed.problems]


def test_a_module_stands_for_the_part_files_beside_it(install: Install) -> None:
    files = {
        "__init__.py": "",
        "bench-diode.toml": DIODE.format(title="of the bench"),
        "notes.txt": "no part",
    }
    install("pack_of_files", {"bench": "pack_of_files"}, files)
    assert gs.parts("diode")["bench-diode"].title == "of the bench"
    for name in ("bench-diode", "bench/bench-diode"):
        diode = gs.part(name, corner="max")
        assert isinstance(diode, gs.Diode)
        assert diode.forward_voltage == 0.6


def test_a_path_stands_for_its_folder(install: Install) -> None:
    code = "import pathlib\nfolder = pathlib.Path(__file__).parent\ntext = str(folder)\n"
    files = {"__init__.py": code, "one.toml": DIODE.format(title="by path")}
    install("pack_of_path", {"by-path": "pack_of_path:folder", "by-text": "pack_of_path:text"}, files)
    assert gs.part("by-path/one") == gs.part("by-text/one")


def test_a_function_gives_tables_and_its_spoilt_part_is_left_out(install: Install) -> None:
    install("pack_of_tables", {"tables": "pack_of_tables:tables"}, {"__init__.py": FUNCTION})
    with pytest.warns(gs.InputWarning, match="tables/spoilt: left out: diode.forward_voltage: missing"):
        listed = gs.parts()
    assert listed["small"].title == "by function"
    assert "spoilt" not in listed
    with pytest.raises(gs.InputError, match=r"tables/spoilt.diode.forward_voltage: missing"):
        gs.part("spoilt")


@pytest.mark.parametrize(
    ("value", "code", "words"),
    [
        ("pack_broken", "1/0", "ZeroDivisionError"),
        ("pack_broken:nothing", "", "AttributeError"),
        ("pack_absent", "", "ModuleNotFoundError"),
        ("pack_broken:number", "number = 3", "neither a folder of part files nor a mapping"),
        ("pack_broken:folder", "folder = '/nowhere at all'", "FileNotFoundError"),
        ("pack_broken:give", "def give(): return {'a': 3}", "neither a folder of part files nor a mapping"),
    ],
)
def test_a_broken_pack_takes_no_other_along(install: Install, value: str, code: str, words: str) -> None:
    install("pack_broken", {"broken": value}, {"__init__.py": code})
    install("pack_whole", {"whole": "pack_whole"}, {"__init__.py": "", "w.toml": DIODE.format(title="whole")})
    with pytest.warns(gs.InputWarning, match="broken: the pack cannot be loaded"):
        listed = gs.parts()
    assert listed["w"].title == "whole"
    assert "logic-60V" in listed
    assert any(words in problem for problem in problems_of(listed))
    with pytest.raises(gs.InputError, match=r"no such part.*Not searched: broken: the pack cannot be loaded"):
        gs.part("something else")


def test_names_that_clash_are_reported_and_told_apart(install: Install) -> None:
    for pack in ("pack_a", "pack_b"):
        files = {f"{name}.toml": DIODE.format(title=f"of {pack}") for name in ("same", "schottky-40V")}
        install(pack, {pack: pack}, files | {"__init__.py": ""})
    with pytest.warns(gs.InputWarning, match="several packs have it") as caught:
        listed = gs.parts()
    assert {problem.split(":")[0] for problem in problems_of(listed)} == {"same", "schottky-40V"}
    assert len(caught) == 2
    assert "same" not in listed
    assert listed["pack_a/same"].title == "of pack_a"
    with pytest.raises(gs.InputError, match=r"several packs have a part.*pack_a/same, pack_b/same"):
        gs.part("same")
    # What is installed changes no design that names a part of the library.
    assert gs.part("schottky-40V").name == "40 V, 3 A Schottky diode, SMB"
    assert gs.part("gateswing/schottky-40V") == gs.part("schottky-40V")
    assert gs.part("pack_b/schottky-40V").name == "of pack_b"


def test_a_pack_takes_no_name_of_another(install: Install) -> None:
    files = {"__init__.py": "", "x.toml": DIODE.format(title="x")}
    install("pack_first", {"taken": "pack_first"}, files)
    install("pack_second", {"taken": "pack_second", "gateswing": "pack_second"}, files)
    packs, problems = installed_packs()
    assert [pack.name for pack in packs if pack.name in ("taken", "gateswing")] == ["taken"]
    assert [problem.path for problem in problems] == ["gateswing", "taken"]
    assert "its name is taken" in problems[0].message
