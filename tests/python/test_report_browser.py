"""A report in a browser: it draws without a complaint, asks for nothing, and zooms by mouse and by keyboard.

Needs Playwright (``pip install --group browser``) and a Chromium of the system.
"""

import re
from collections.abc import Iterator
from importlib import resources
from pathlib import Path
from typing import Any

import pytest

import chromium
import gateswing as gs

playwright = chromium.module("playwright.sync_api")
CHROMIUM = chromium.executable()

LENGTHS = {"ps": 1e-12, "ns": 1e-9, "µs": 1e-6, "ms": 1e-3}


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with playwright.sync_playwright() as engine:
        # The sandbox of a browser wants rights that a container does not give; the page is our own.
        running = engine.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield running
        running.close()


@pytest.fixture(scope="module")
def path(design: gs.Design, tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("report") / "page.html"
    gs.report(design).write(file)
    return file


@pytest.fixture
def complaints() -> list[str]:
    """What the console, the scripts and the network of the page said."""
    return []


@pytest.fixture
def page(browser: Any, path: Path, complaints: list[str]) -> Iterator[Any]:
    """The page, freshly opened on a desk's screen."""
    opened = browser.new_page(viewport={"width": 1200, "height": 900})
    opened.on("console", lambda message: complaints.append(message.text))
    opened.on("pageerror", lambda error: complaints.append(str(error)))
    opened.on("request", lambda request: complaints.append(request.url))
    opened.goto(path.as_uri())
    complaints.remove(path.as_uri())
    yield opened
    opened.close()


def shown(page: Any) -> tuple[float, float]:
    """Begin and end of the part shown [s], from the origin of the view."""
    text = page.locator("#chart-range").inner_text()
    begin, end = re.findall(r"(-?[\d.e+-]+) (ps|ns|µs|ms)", text)[:2]
    return float(begin[0]) * LENGTHS[begin[1]], float(end[0]) * LENGTHS[end[1]]


def span(page: Any) -> float:
    begin, end = shown(page)
    return end - begin


def plot_box(page: Any) -> tuple[float, float, float]:
    """Left and right end of the time axis, and the middle of the first panel, in pixels of the window."""
    plot = page.locator(".plot")
    plot.scroll_into_view_if_needed()
    box = page.locator(".plot svg > rect[fill=none]").first.bounding_box()
    return box["x"], box["x"] + box["width"], box["y"] + box["height"] / 2


def test_it_draws_without_a_complaint_and_asks_for_nothing(page: Any, complaints: list[str]) -> None:
    assert page.locator(".plot path").count() == 7
    assert page.locator("#chart").is_visible()
    page.locator(".plot").press("+")
    assert complaints == []
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


def test_the_page_of_a_half_bridge_shows_both_commutations(
    browser: Any, complaints: list[str], tmp_path: Path
) -> None:
    design = gs.read_design(Path(str(resources.files("gateswing") / "examples" / "sync_buck.toml")))
    gs.report(gs.quick_check(design)).write(tmp_path / "bridge.html")
    page = browser.new_page(viewport={"width": 1200, "height": 900})
    page.on("console", lambda message: complaints.append(message.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.goto((tmp_path / "bridge.html").as_uri())
    assert page.locator(".plot path").count() == 7  # gates, drains, channels of both sides, and the load
    for name, command in (("to the high side", "on"), ("to the low side", "off")):
        page.get_by_role("button", name=name).click()
        drawn = page.locator(".plot svg").inner_html()
        assert f'time from the command "{command}" of the high side (ns)' in drawn
        assert "gap of the gates" in drawn
        begin, end = shown(page)
        assert 20e-9 < end - begin < 500e-9
        assert begin < 60e-9 < end
    page.get_by_role("button", name="whole period").click()
    assert span(page) == pytest.approx(4e-6, rel=1e-3)
    assert complaints == []
    page.close()


def test_keys_zoom_move_and_reset(page: Any) -> None:
    plot = page.locator(".plot")
    begin, end = shown(page)
    plot.press("+")
    assert span(page) == pytest.approx((end - begin) / 2, rel=2e-3)
    assert sum(shown(page)) == pytest.approx(begin + end, rel=1e-2)
    assert "values at" in page.locator("#chart-range").inner_text()
    plot.press("ArrowRight")
    assert sum(shown(page)) == pytest.approx(begin + end + 0.2 * (end - begin), rel=1e-2)
    plot.press("-")
    assert span(page) == pytest.approx(end - begin, rel=2e-3)
    plot.press("0")
    assert shown(page) == (begin, end)


def test_it_zooms_no_farther_than_there_is_something_to_see(page: Any, point: gs.OperatingPoint) -> None:
    plot = page.locator(".plot")
    for _ in range(30):
        plot.press("-")
    assert span(page) == pytest.approx(point.waveform.end - point.waveform.begin, rel=1e-3)
    for _ in range(40):
        plot.press("+")
    assert span(page) == pytest.approx(100e-12, rel=0.05)


def test_a_drag_shows_what_was_dragged_over(page: Any) -> None:
    begin, end = shown(page)
    left, right, height = plot_box(page)
    page.mouse.move(left + 0.25 * (right - left), height)
    page.mouse.down()
    page.mouse.move(left + 0.5 * (right - left), height + 20, steps=3)
    page.mouse.up()
    length = end - begin
    assert shown(page) == pytest.approx((begin + 0.25 * length, begin + 0.5 * length), abs=0.004 * length)
    page.mouse.dblclick(left + 50, height)
    assert shown(page) == (begin, end)


def test_the_wheel_zooms_around_the_pointer_once_the_chart_has_the_focus(page: Any) -> None:
    begin, end = shown(page)
    left, right, height = plot_box(page)
    page.mouse.move(left + 0.25 * (right - left), height)
    page.mouse.wheel(0, -300)
    assert shown(page) == (begin, end)
    left, right, height = plot_box(page)
    page.mouse.click(left + 0.25 * (right - left), height)
    page.mouse.wheel(0, -300)
    page.wait_for_function(
        f"document.getElementById('chart-range').textContent.indexOf('{begin * 1e9:g}') < 0"
    )
    around, length = begin + 0.25 * (end - begin), end - begin
    assert shown(page) == pytest.approx((around - length / 8, around + 3 * length / 8), abs=0.004 * length)


def test_buttons_choose_the_part_to_show(page: Any, point: gs.OperatingPoint) -> None:
    page.get_by_role("button", name="turn-off").click()
    assert page.locator("[aria-pressed=true]").all_inner_texts() == ["turn-off"]
    assert shown(page)[0] < 0.0 < shown(page)[1]
    page.get_by_role("button", name="whole period").click()
    assert shown(page) == pytest.approx((0.0, 1.0 / point.frequency), rel=1e-3)
    page.get_by_role("button", name="zoom in").click()
    assert span(page) == pytest.approx(0.5 / point.frequency, rel=1e-3)


def test_the_whole_period_is_drawn_with_its_peak(page: Any, point: gs.OperatingPoint) -> None:
    """The highest point of the drawn line, read off the scale beside it."""
    page.get_by_role("button", name="whole period").click()
    drawn = page.locator("path[data-line='drain voltage, at the die']").get_attribute("d")
    heights = [float(pair.split(",")[1]) for pair in drawn[1:].split("L")]
    scale = [
        (float(text.get_attribute("y")) - 4, float(text.text_content()))
        for text in page.locator(".plot text[text-anchor=end]").all()
        if min(heights) - 20 < float(text.get_attribute("y")) < max(heights) + 20
    ]
    (low, bottom), (high, top) = scale[0], scale[-1]
    peak = bottom + (min(heights) - low) * (top - bottom) / (high - low)
    assert peak == pytest.approx(point.peak_drain_voltage, rel=2e-4)


def test_without_scripts_the_pictures_remain(browser: Any, path: Path) -> None:
    page = browser.new_page(java_script_enabled=False)
    page.goto(path.as_uri())
    assert not page.locator("#chart").is_visible()
    assert page.get_by_role("img").count() == 2
    assert page.get_by_role("img").first.is_visible()
    page.close()


def test_on_paper_there_is_nothing_to_click(page: Any) -> None:
    page.emulate_media(media="print")
    assert not page.locator("#chart").is_visible()
    assert not page.locator("details").is_visible()
    assert page.get_by_role("img").first.is_visible()


def test_a_foreign_script_does_not_run(browser: Any, path: Path, tmp_path: Path) -> None:
    spoilt = tmp_path / "spoilt.html"
    script = "<script>document.title = 'run'</script><img src=x onerror=\"document.title = 'run'\">"
    spoilt.write_text(path.read_text(encoding="utf-8").replace("<main>", f"<main>{script}"), encoding="utf-8")
    page = browser.new_page()
    page.goto(spoilt.as_uri())
    assert page.locator("#chart").is_visible()
    assert page.title() != "run"
    page.close()
