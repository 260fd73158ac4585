"""Every notebook runs from top to bottom, quickly, and its own checks hold."""

import time
import warnings
from pathlib import Path

import nbformat
import pytest

with warnings.catch_warnings():
    # The messaging library below warns about its own future while it is imported.
    warnings.simplefilter("ignore")
    from nbclient import NotebookClient

NOTEBOOKS = sorted((Path(__file__).parents[2] / "notebooks").glob("*.ipynb"))
MOST_SECONDS = 60.0


def read(path: Path) -> nbformat.NotebookNode:
    notebook: nbformat.NotebookNode = nbformat.reads(path.read_text(), as_version=4)  # type: ignore[no-untyped-call]
    return notebook


def test_there_are_notebooks() -> None:
    assert NOTEBOOKS


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_a_notebook_is_committed_without_outputs(path: Path) -> None:
    assert not [cell.id for cell in read(path).cells if cell.get("outputs") or cell.get("execution_count")]


@pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::RuntimeWarning")
@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_a_notebook_runs(path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CI", "true")  # no progress bar on the error output
    notebook = read(path)
    begin = time.monotonic()
    NotebookClient(
        notebook, timeout=300, kernel_name="python3", resources={"metadata": {"path": tmp_path}}
    ).execute()
    assert time.monotonic() - begin < MOST_SECONDS
    outputs = [output for cell in notebook.cells for output in cell.get("outputs", [])]
    assert any("image/png" in output.get("data", {}) for output in outputs)
    assert not [output.text for output in outputs if output.get("name") == "stderr"]
