"""The committed type stub says what the built extension offers."""

import difflib
import subprocess
import sys
from pathlib import Path

COMMITTED = Path(__file__).parents[2] / "python/gateswing/_core.pyi"


def test_the_committed_stub_is_current(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "pybind11_stubgen", "gateswing._core", "--output-dir", str(tmp_path)]
    subprocess.run(command, check=True, cwd=tmp_path)
    current = (tmp_path / "gateswing/_core.pyi").read_text().splitlines()
    difference = difflib.unified_diff(COMMITTED.read_text().splitlines(), current, "committed", "current")
    assert not list(difference), "run ./dev stubs and commit the result"
