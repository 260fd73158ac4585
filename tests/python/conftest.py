"""What several test files use."""

from importlib import resources
from pathlib import Path

import pytest

import gateswing as gs


@pytest.fixture(scope="session")
def example_path() -> Path:
    """The design file that comes with the package."""
    return Path(str(resources.files("gateswing") / "examples" / "coolant_pump.toml"))


@pytest.fixture(scope="session")
def design(example_path: Path) -> gs.Design:
    """The design of that file."""
    return gs.read_design(example_path)


@pytest.fixture(scope="session")
def cell(design: gs.Design) -> gs.LowSideCell:
    """The circuit of that file."""
    return design.cell
