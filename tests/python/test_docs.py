"""The pages of the documentation: all their code runs, and the reference names all that is public."""

import re
import subprocess
import sys
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


def test_the_site_builds_and_the_code_of_its_pages_runs_without_a_warning(tmp_path: Path) -> None:
    """What `./dev docs` does, which runs every block; in a process of its own, on all processors."""
    options = ["-b", "html", "-q", "-W", "--keep-going", "-j", "auto", "-d", str(tmp_path / "read")]
    built = tmp_path / "site"
    done = subprocess.run(
        [sys.executable, "-m", "sphinx", *options, str(DOCS), str(built)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    for name in WITH_CODE:
        page = (built / name).with_suffix(".html").read_text(encoding="utf-8")
        assert 'src="picture"' not in page
        assert page.count('class="highlight-python') >= len(live_code.blocks(PAGES[name]))


def test_a_page_shows_what_its_code_prints_and_draws() -> None:
    code = "from matplotlib import pyplot as plt\nplt.figure()\nprint(6 * 7)\n"
    shown = live_code.executed(f"```python\n{code}```\n\n![nothing](picture)\n", "page", no_picture)
    assert "](picture)" not in shown
    assert "42\n" in shown
    assert "![nothing](1 of 0 axes)" in shown


def test_a_warning_in_a_page_is_an_error() -> None:
    with pytest.raises(UserWarning, match="old"):
        live_code.executed("```python\nimport warnings\nwarnings.warn('old')\n```\n", "page", no_picture)


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
