"""Sliders on a real notebook page: run the cell, move a slider by its keys, see the answer change.

Needs Playwright, notebook (``pip install --group browser``) and a Chromium of the system.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import chromium

for needed in ("notebook", "ipywidgets"):
    chromium.module(needed)
playwright = chromium.module("playwright.sync_api")
CHROMIUM = chromium.executable()

PICTURE = "img[alt^='Both edges']"
TRACEBACK = ".jp-OutputArea [data-mime-type='application/vnd.jupyter.stderr']"
PATIENCE = 300_000  # [ms], for a machine with much else to do
SOURCE = """\
import gateswing as gs
from importlib import resources
design = gs.read_design(str(resources.files("gateswing") / "examples" / "coolant_pump.toml"))
explorer = gs.explorer(design.cell, frequency="50 kHz", duty=0.6, limits=design.limits)
explorer"""


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Of a notebook with that one cell, on a server of this test."""
    folder = tmp_path_factory.mktemp("notebook")
    cell: dict[str, Any] = {
        "cell_type": "code",
        "execution_count": None,
        "id": "a",
        "metadata": {},
        "source": SOURCE,
    }
    kernel = {"kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"}}
    content = {"cells": [cell | {"outputs": []}], "metadata": kernel, "nbformat": 4, "nbformat_minor": 5}
    (folder / "sliders.ipynb").write_text(json.dumps(content), encoding="utf-8")
    for name in ("config", "data", "runtime"):
        (folder / name).mkdir()
    own = {f"JUPYTER_{name.upper()}_DIR": str(folder / name) for name in ("config", "data", "runtime")}
    options = ["--no-browser", "--allow-root", "--ServerApp.port=0", "--ServerApp.root_dir", str(folder)]
    server = subprocess.Popen(
        [sys.executable, "-m", "notebook", *options],
        env=os.environ | own,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        yield _address_of(folder / "runtime", server)
    finally:
        server.terminate()
        server.wait(30)


def _address_of(runtime: Path, server: subprocess.Popen[bytes]) -> str:
    """The page, once the server has written down where it listens."""
    end = time.monotonic() + PATIENCE / 1e3
    while time.monotonic() < end and server.poll() is None:
        for file in runtime.glob("jpserver-*.json"):
            found = json.loads(file.read_text(encoding="utf-8"))
            return f"{found['url']}notebooks/sliders.ipynb?token={found['token']}"
        time.sleep(0.2)
    raise RuntimeError("the notebook server did not start")


@pytest.fixture(scope="module")
def page(address: str) -> Iterator[Any]:
    """The notebook with its cell run."""
    with playwright.sync_playwright() as engine:
        # The sandbox of a browser wants rights that a container does not give; the page is our own.
        browser = engine.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        opened = browser.new_page(viewport={"width": 1200, "height": 1600})
        opened.set_default_timeout(PATIENCE)
        opened.goto(address)
        opened.locator(".jp-Notebook .cm-content").first.click()
        opened.keyboard.press("Shift+Enter")
        opened.locator(f"{PICTURE}, {TRACEBACK}").first.wait_for()
        raised = opened.locator(TRACEBACK).all_inner_texts()
        assert not raised, raised[0]
        yield opened
        browser.close()


def caption(page: Any) -> str:
    return str(page.locator(".jp-OutputArea table caption").inner_text())


def slider(page: Any, label: str) -> Any:
    return page.locator(".widget-slider", has_text=label)


def changed(page: Any, selector: str, attribute: str, before: str) -> None:
    """Wait until an attribute of an element is another."""
    script = "([selector, attribute, before]) => document.querySelector(selector)[attribute] !== before"
    page.wait_for_function(script, arg=[selector, attribute, before])


def test_the_cell_shows_four_sliders_a_picture_and_a_verdict(page: Any) -> None:
    labels = page.locator(".widget-slider .widget-label").all_inner_texts()
    assert labels == ["frequency (Hz)", "duty", "gate resistance", "driver strength"]
    values = page.locator(".widget-slider .widget-readout").all_inner_texts()
    assert values == ["50.0k", "60%", "10 ohm", "1"]
    assert caption(page).startswith("All limits held")
    assert page.locator(".jp-OutputArea img").count() == 1
    assert page.locator(PICTURE).evaluate("image => image.naturalWidth") > 600


def test_a_click_on_a_slider_changes_picture_and_verdict(page: Any) -> None:
    before, picture = caption(page), page.locator(PICTURE).evaluate("image => image.src")
    track = slider(page, "gate resistance").locator(".noUi-base").bounding_box()
    page.mouse.click(track["x"] + 0.9 * track["width"], track["y"] + track["height"] / 2)
    changed(page, PICTURE, "src", picture)
    changed(page, ".jp-OutputArea table caption", "innerText", before)
    resistance, unit = slider(page, "gate resistance").locator(".widget-readout").inner_text().split()
    assert unit == "ohm"
    assert 50.0 < float(resistance) < 200.0


def test_a_value_is_typed(page: Any) -> None:
    picture = page.locator(PICTURE).evaluate("image => image.src")
    shown = slider(page, "frequency").locator(".widget-readout")
    shown.click()
    page.keyboard.press("Control+A")
    page.keyboard.type("100000")
    page.keyboard.press("Enter")
    changed(page, PICTURE, "src", picture)
    assert shown.inner_text() == "100k"
