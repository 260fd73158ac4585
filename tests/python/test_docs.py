"""The pages of the documentation: all their code runs, and the reference names all that is public."""

import re
from pathlib import Path

import pytest
from matplotlib.figure import Figure

import gateswing as gs
import live_code

DOCS = Path(__file__).parents[2] / "docs"
PAGES = {str(path.relative_to(DOCS)): path.read_text(encoding="utf-8") for path in sorted(DOCS.rglob("*.md"))}
WITH_CODE = [name for name, text in PAGES.items() if live_code.blocks(text)]


def no_picture(figure: Figure, number: int) -> str:
    """Pictures are drawn and thrown away; the built page has them."""
    return f"{number} of {len(figure.axes)} axes"


def test_there_is_code_to_run() -> None:
    assert len(WITH_CODE) > 10
    assert sum(len(live_code.blocks(PAGES[name])) for name in WITH_CODE) > 60


@pytest.mark.parametrize("name", WITH_CODE)
def test_the_code_of_a_page_runs(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    shown = live_code.executed(PAGES[name], name, no_picture)
    assert "](picture)" not in shown
    assert len(shown) > len(PAGES[name])


def test_a_block_that_draws_without_a_word_is_refused() -> None:
    page = "```python\nfrom matplotlib import pyplot as plt\nplt.figure()\n```\n"
    with pytest.raises(live_code.PageError, match="page, line 2: 1 figures"):
        live_code.executed(page, "page", no_picture)


def test_a_picture_that_nothing_draws_is_refused() -> None:
    with pytest.raises(live_code.PageError, match="announced: nothing"):
        live_code.executed("```python\nx = 1\n```\n\n![nothing](picture)\n", "page", no_picture)


def test_the_reference_names_all_that_is_public() -> None:
    reference = "\n".join(text for name, text in PAGES.items() if name.startswith("reference/python/"))
    named = re.findall(r"^\.\. auto(?:class|function):: (\w+)$", reference, re.MULTILINE)
    assert sorted(named) == sorted(set(gs.__all__) - {"__version__"})


def test_every_page_is_in_a_table_of_contents() -> None:
    listed = {"index.md"}
    for name, text in PAGES.items():
        for entries in re.findall(r"^```\{toctree\}\n(.*?)^```", text, re.MULTILINE | re.DOTALL):
            folder = Path(name).parent
            listed |= {
                str(folder / f"{entry}.md") for entry in entries.split("\n") if entry and entry[0] != ":"
            }
    assert listed == set(PAGES)
