"""A bar where someone looks, silence where no one does."""

import io
import sys

import pytest

import gateswing as gs
from gateswing.sweeping import progress as sweep_progress


class Terminal(io.StringIO):
    """An output that says it is one."""

    def isatty(self) -> bool:
        return True


@pytest.fixture
def shown(quick_cell: gs.LowSideCell, monkeypatch: pytest.MonkeyPatch) -> "type[Shown]":
    monkeypatch.setattr(sweep_progress, "_DELAY", 0.0)
    monkeypatch.delenv("CI", raising=False)
    Shown.cell, Shown.patch = quick_cell, monkeypatch
    return Shown


class Shown:
    """What a sweep writes to an output."""

    cell: gs.LowSideCell
    patch: pytest.MonkeyPatch

    @classmethod
    def on(cls, output: io.StringIO, progress: bool | None = None) -> str:
        cls.patch.setattr(sys, "stderr", output)
        gs.sweep(cls.cell, frequency=[1e5, 1.1e5], duty=0.5, relative_tolerance=1e-3, progress=progress)
        return output.getvalue()


def test_a_terminal_gets_a_bar(shown: type[Shown]) -> None:
    assert "sweep: 100%" in shown.on(Terminal())
    assert "2/2" in shown.on(Terminal())


def test_silence_where_no_one_looks(shown: type[Shown], monkeypatch: pytest.MonkeyPatch) -> None:
    assert shown.on(io.StringIO()) == ""
    assert shown.on(Terminal(), progress=False) == ""
    assert "2/2" in shown.on(io.StringIO(), progress=True)
    monkeypatch.setenv("CI", "true")
    assert shown.on(Terminal()) == ""


def test_without_the_bar_s_library_there_is_no_bar(
    shown: type[Shown], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "tqdm.auto", None)
    assert shown.on(Terminal(), progress=True) == ""


def test_a_fit_counts_its_simulations(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sweep_progress, "_DELAY", 0.0)
    monkeypatch.delenv("CI", raising=False)
    for output, wanted, words in (
        (Terminal(), None, "search 2 of at most 4: 12 simulations in"),
        (io.StringIO(), None, ""),
    ):
        monkeypatch.setattr(sys, "stderr", output)
        with sweep_progress.searches_of(wanted, 4) as count:
            for simulations in range(1, 13):
                count(simulations, 1 + simulations // 9)
        assert words in output.getvalue()
        assert bool(words) == bool(output.getvalue())
