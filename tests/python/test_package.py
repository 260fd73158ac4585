"""The package as a whole: what it offers, that it starts quickly, and that its front page is true."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

import gateswing as gs

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize("name", gs.__all__)
def test_every_public_name_is_there_and_documented(name: str) -> None:
    value = getattr(gs, name)
    if name != "__version__":
        assert value.__doc__
    assert name in dir(gs)


def test_an_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="no attribute 'mosfet_driver'"):
        gs.mosfet_driver  # noqa: B018


@pytest.mark.parametrize("package", ["formulas", "plot", "testing"])
def test_public_packages_need_no_import_of_their_own(package: str) -> None:
    command = f"import gateswing as gs; print(gs.{package}.__name__)"
    printed = subprocess.run([sys.executable, "-c", command], capture_output=True, text=True, check=True)
    assert printed.stdout.strip() == f"gateswing.{package}"


def test_importing_loads_nothing_heavy() -> None:
    heavy = {"matplotlib", "xarray", "pandas", "pydantic", "numpy", "scipy", "tqdm", "dask", "sqlite3"}
    command = (
        "import sys; before = set(sys.modules); import gateswing; new = set(sys.modules) - before;"
        f"print({heavy} & new, len(new))"
    )
    printed = subprocess.run(
        [sys.executable, "-c", command], capture_output=True, text=True, check=True
    ).stdout
    found, _, count = printed.strip().rpartition(" ")
    assert found == "set()"
    assert int(count) < 40


def test_an_answer_needs_no_plotting_library() -> None:
    command = (
        "import sys, gateswing as gs; from importlib import resources as r;"
        "d = gs.read_design(r.files('gateswing') / 'examples' / 'coolant_pump.toml');"
        "gs.check(d); optional = {'matplotlib', 'xarray', 'pandas', 'tqdm', 'distributed', 'sqlite3'};"
        "print(optional & set(sys.modules))"
    )
    printed = subprocess.run(
        [sys.executable, "-c", command], capture_output=True, text=True, check=True
    ).stdout
    assert printed.strip() == "set()"


def test_the_links_of_the_front_page_lead_somewhere() -> None:
    links = re.findall(r"\]\(([^)#]+)\)", (ROOT / "README.md").read_text())
    assert len(links) > 4
    assert not [link for link in links if not (ROOT / link).exists()]
