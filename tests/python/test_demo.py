"""The demonstration prints figures and writes pictures, from data that it says are invented."""

from pathlib import Path

import pytest

from gateswing import demo


def test_the_demonstration_runs(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(demo, "FREQUENCIES", [50e3, 100e3])
    monkeypatch.setattr(demo, "DUTIES", [0.3, 0.6])
    demo.main(["--out", str(tmp_path / "new" / "folder")])
    pictures = sorted(path.name for path in (tmp_path / "new" / "folder").iterdir())
    assert pictures == ["edges.png", "efficiency.png", "gate_charge.png", "losses.png", "overshoot.png"]
    printed = capsys.readouterr().out
    for words in (
        "All data of this file are invented",
        "rise time",
        "All limits held",
        "Caution: load",
        "estimates",
    ):
        assert words in printed


def test_the_example_says_that_its_data_are_invented() -> None:
    design = demo.example_design()
    assert "invented" in design.note
    for part in (design.cell.mosfet, design.cell.driver, design.cell.freewheel):
        assert part is not None
        assert part.source == "invented"
