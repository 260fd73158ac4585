"""What the installed package brings along, and what building it needs."""

import shutil
import subprocess
import sysconfig
from importlib import metadata
from pathlib import Path

import pytest

import gateswing

ROOT = Path(__file__).parents[2]
PACKAGES = sysconfig.get_path("purelib")


def configure_without_system_headers(build: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    tools = Path(sysconfig.get_path("scripts"))
    command = [str(tools / "cmake"), "-S", str(ROOT), "-B", str(build), "-DGATESWING_BUILD_TESTS=OFF"]
    command += [*arguments, "-G", "Ninja", f"-DCMAKE_MAKE_PROGRAM={tools / 'ninja'}"]
    command += [f"-DCMAKE_CXX_COMPILER={shutil.which('g++')}"]
    command += ["-DCMAKE_FIND_USE_CMAKE_SYSTEM_PATH=OFF", "-DCMAKE_FIND_USE_SYSTEM_ENVIRONMENT_PATH=OFF"]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def test_tests_run_against_the_installed_package() -> None:
    assert Path(gateswing.__file__).is_relative_to(PACKAGES)


@pytest.mark.parametrize("name", ["gateswing/py.typed", "gateswing/_core.pyi", "gateswing/__init__.py"])
def test_the_wheel_brings(name: str) -> None:
    assert name in [str(path) for path in metadata.files("gateswing") or []]


def test_the_wheel_brings_nothing_but_the_package() -> None:
    roots = {path.parts[0] for path in metadata.files("gateswing") or [] if path.parts[0] != ".."}
    assert roots == {"gateswing", f"gateswing-{gateswing.__version__}.dist-info"}


def test_the_command_is_installed() -> None:
    assert metadata.entry_points(group="console_scripts", name="gateswing")


def test_header_packages_stand_in_for_system_headers(tmp_path: Path) -> None:
    result = configure_without_system_headers(tmp_path, f"-DCMAKE_PREFIX_PATH={PACKAGES}")
    assert result.returncode == 0, result.stderr
    cache = (tmp_path / "CMakeCache.txt").read_text()
    assert f"Eigen3_DIR:PATH={PACKAGES}/cmeel.prefix" in cache
    assert f"BoostHeaders_INCLUDE_DIR:PATH={PACKAGES}/boost_headers/include" in cache


def test_without_any_headers_the_configuration_says_which_are_missing(tmp_path: Path) -> None:
    result = configure_without_system_headers(tmp_path)
    assert result.returncode != 0
    assert "Eigen3" in result.stderr
