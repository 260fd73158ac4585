"""A report is one page that needs nothing else, says what the verdict says, and takes no text for markup."""

import base64
import dataclasses
import datetime as dt
import hashlib
import json
import math
import re
from importlib import resources
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

import gateswing as gs
from gateswing import _core
from gateswing.cli import main
from gateswing.figures import format_figure
from gateswing.limits import verdict as verdicts
from gateswing.plot import style
from gateswing.reporting import page as pages
from gateswing.reporting.inputs import input_groups
from gateswing.waveforms.waveform import Waveform
from html_page import Page

HOSTILE = "</script><script>document.title='x'</script>\"'><img src=x onerror=alert(1)>&amp; $x^$ {{ 7*7 }}"


@pytest.fixture(scope="module")
def verdict(design: gs.Design, point: gs.OperatingPoint) -> gs.Verdict:
    """That of the example, judged once."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(verdicts, "quiet_operating_point", lambda *_, **__: point)
        return gs.check(design)


@pytest.fixture(scope="module")
def html(verdict: gs.Verdict) -> str:
    return gs.report(verdict, date=dt.date(2026, 2, 3)).html


@pytest.fixture(scope="module")
def page(html: str) -> Page:
    return Page(html)


@pytest.fixture(scope="module")
def bridge_verdict() -> gs.BridgeVerdict:
    """That of the half bridge that comes with the package."""
    return gs.quick_check(gs.BridgeDesign.read(resources.files("gateswing") / "examples" / "sync_buck.toml"))


@pytest.fixture(scope="module")
def bridge_page(bridge_verdict: gs.BridgeVerdict) -> Page:
    return Page(gs.report(bridge_verdict).html)


@pytest.fixture
def without_pictures(monkeypatch: pytest.MonkeyPatch) -> None:
    """Spare drawing them."""
    for name in ("edges_picture", "losses_picture", "chart_data"):
        monkeypatch.setattr(pages, name, lambda _: None)


def changed(verdict: gs.Verdict, **figures: Any) -> gs.Verdict:
    """The verdict with some figures of its operating point changed."""
    return dataclasses.replace(verdict, point=dataclasses.replace(verdict.point, **figures))


def test_the_verdict_comes_first(page: Page, verdict: gs.Verdict) -> None:
    text = page.text()
    title = verdict.design.title
    assert text.startswith(f"{title}: held {title} {verdict.sentence()} Figures are estimates")


def test_limits_and_figures_are_there_with_their_meaning(page: Page, verdict: gs.Verdict) -> None:
    text = page.text()
    for check in verdict.checks:
        shown = " ".join(cell for cell in check.row() if cell)
        assert f"{shown} {check.definition}" in text
    point = verdict.point
    for row in [*point.rows(), *point.turn_on.rows(), *point.turn_off.rows()]:
        assert " ".join(row) in text
    for caution in verdict.cautions:
        assert f"Caution. {caution}" in text


def test_losses_hand_formulas_and_trust_are_there(page: Page, verdict: gs.Verdict) -> None:
    text = page.text()
    for cause in list(verdict.point.losses_by_cause)[:8]:
        assert f" {cause} {format_figure(verdict.point.losses_by_cause[cause], 'W')} " in text
    for figure in verdict.point.hand_formulas():
        assert " ".join(cell for cell in figure.row() if cell) in text
        assert figure.formula.equation in text
    assert f"energy residual {verdict.point.energy_residual:.1e}" in text
    assert "relative tolerance of a step of the integrator 1e-06" in text
    assert "date 2026-02-03" in text
    assert f"gateswing {gs.__version__}" in text


def test_a_half_bridge_has_the_same_page(bridge_page: Page, bridge_verdict: gs.BridgeVerdict) -> None:
    text, point = bridge_page.text(), bridge_verdict.point
    for check in bridge_verdict.checks:
        assert f"{' '.join(cell for cell in check.row() if cell)} {check.definition}" in text
    parts = (point.high, point.low, point.turn_on, point.turn_off, point.to_active, point.from_active)
    for row in [*point.rows(), *(row for part in parts for row in part.rows())]:
        assert " ".join(row) in text
    assert "Commutation to the low side of that period" in text
    for figure in point.hand_formulas():
        assert " ".join(cell for cell in figure.row() if cell) in text
    rows = {f"{group.path}.{row.name}" for group in input_groups(bridge_verdict.design) for row in group.rows}
    assert {"half_bridge.high.gate resistance", "half_bridge.low.cooling.mosfet.junction to case"} <= rows
    assert "half_bridge.bootstrap capacitance 100 nF stated 1 nF to 100 uF" in re.sub(
        r"half_bridge\.bootstrap (?!capacitance).*? (?=capacitance)", "half_bridge.bootstrap ", text
    )
    titles = [words for tag, words in bridge_page.texts if tag == "title"][1:]
    gap = format_figure(point.to_active.gate_gap, "s", 3)
    assert f"To the high side: gap of the gates {gap}, dead time needed " in titles[0]
    assert titles[1].startswith("Losses by cause: conduction ")
    assert bridge_page.script()


def test_every_input_is_there_with_its_range_and_origin(page: Page, design: gs.Design) -> None:
    text = page.text()
    rows = {f"{group.path}.{row.name}": row for group in input_groups(design) for row in group.rows}
    for path, _, kind in design.quantities():
        owner, _, name = path.rpartition(".")
        row = rows[f"{owner}.{name.replace('_', ' ')}"]
        assert row.meaning == kind.doc
        assert f"{row.name} {row.value} {row.origin} {row.usual} {row.meaning}" in text
    assert rows["cell.gate resistance"][1:4] == ("10 ohm", "100 mohm to 10 kohm", "stated")
    assert rows["cell.driver.leakage resistance"].origin == "default"
    assert rows["limits.maximum avalanche energy"].origin == "left out"


def test_a_screen_reader_finds_its_way(page: Page, point: gs.OperatingPoint) -> None:
    assert page.all_of("html") == [{"lang": "en"}]
    levels = [int(tag[1]) for tag, _ in page.elements if re.fullmatch(r"h\d", tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(later <= earlier + 1 for earlier, later in pairwise(levels))
    ids = [attributes["id"] for _, attributes in page.elements if "id" in attributes]
    assert len(ids) == len(set(ids))
    for svg in page.all_of("svg"):
        assert svg.get("aria-hidden") == "true" or svg["aria-labelledby"] in ids
    titles = [text for tag, text in page.texts if tag == "title"][1:]
    assert len(titles) == 2
    delay, rise = (format_figure(time, "s", 3) for time in (point.turn_on.delay, point.turn_on.rise_time))
    assert f"Turn-on: delay {delay}, rise time {rise}." in titles[0]
    assert titles[1].startswith("Losses by cause: freewheel conduction 1.59 W, ")
    assert len(page.all_of("caption")) == len(page.all_of("table"))
    assert all("scope" in cell for cell in page.all_of("th"))


def test_pictures_refer_to_what_they_hold(page: Page) -> None:
    ids = {attributes["id"] for _, attributes in page.elements if "id" in attributes}
    used = {
        name
        for _, attributes in page.elements
        for key, value in attributes.items()
        if key == "href" or "url(" in value
        for name in re.findall(r"#([\w.-]+)", value)
    }
    assert len(used) > 10
    assert used <= ids


def test_nothing_is_loaded_and_no_other_script_may_run(page: Page, html: str) -> None:
    assert not {"src", "srcset", "action", "data", "poster"} & {
        key for _, attributes in page.elements for key in attributes
    }
    assert all(attributes.get("href", "#").startswith("#") for _, attributes in page.elements)
    assert "://" not in html
    assert not re.search(r"@import|url\((?!#)", html)
    digest = base64.b64encode(hashlib.sha256(page.script().encode()).digest()).decode()
    policy = next(meta["content"] for meta in page.all_of("meta") if "http-equiv" in meta)
    assert policy.startswith("default-src 'none'; ")
    assert f"script-src 'sha256-{digest}';" in policy


def test_the_page_is_small_and_the_same_each_time(verdict: gs.Verdict, html: str) -> None:
    assert len(html.encode()) < 400_000
    assert gs.report(verdict, date=dt.date(2026, 2, 3)).html == html
    assert "date not stated" in Page(gs.report(verdict).html).text()


@pytest.mark.usefixtures("judged", "without_pictures")
def test_a_design_is_judged_first(design: gs.Design, tmp_path: Path) -> None:
    found = gs.report(design)
    assert found.verdict.outcome == "held"
    found.write(tmp_path / "page.html")
    assert (tmp_path / "page.html").read_bytes() == found.html.encode()
    assert repr(found).endswith(found.verdict.sentence())


def every_text(value: Any) -> Any:
    """Nested tables with every free text made hostile."""
    if isinstance(value, dict):
        return {key: HOSTILE if key in ("name", "source", "title", "note") else every_text(item)
                for key, item in value.items()}  # fmt: skip
    return value


def test_text_of_a_design_file_stays_text(verdict: gs.Verdict, page: Page) -> None:
    hostile = gs.Design.from_mapping(every_text(verdict.design.to_mapping()))
    assert hostile.cell.mosfet.name == HOSTILE
    point = dataclasses.replace(
        verdict.point,
        cell=hostile.cell,
        message=HOSTILE,
        status="not_periodic",
        warnings=(gs.InputWarning(HOSTILE, HOSTILE),),
    )
    found = dataclasses.replace(verdict, design=hostile, point=point, warnings=point.warnings, checks=())
    spoilt = Page(gs.report(found).html)
    assert [tag for tag, _ in spoilt.elements].count("script") == 2
    assert not spoilt.all_of("img")
    assert not [key for _, attributes in spoilt.elements for key in attributes if key.startswith("on")]
    assert spoilt.script() == page.script()
    assert spoilt.text("h1") == HOSTILE
    assert spoilt.text("strong").startswith(f"Not judged: {HOSTILE}")
    assert spoilt.text("td").count(HOSTILE) == 6  # name and source of MOSFET, driver and diode
    assert spoilt.text("li").count(HOSTILE) == 2


def test_data_for_the_script_cannot_end_it(verdict: gs.Verdict, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        pages, "chart_data", lambda _: {"closeness": 0.0, "parts": 0, "panels": [], "x": HOSTILE}
    )
    monkeypatch.setattr(pages, "losses_picture", lambda _: None)
    found = Page(gs.report(verdict).html)
    data = next(text for tag, text in found.texts if tag == "script")
    assert json.loads(data)["x"] == HOSTILE


@pytest.mark.usefixtures("without_pictures")
def test_a_limit_exceeded_is_told_with_reason_and_next_change(verdict: gs.Verdict, page: Page) -> None:
    first = dataclasses.replace(
        verdict.checks[0], verdict="exceeded", reason="the drain breaks through at every turn-off."
    )
    change = gs.Change("gate resistance 10 ohm to 20 ohm", verdict.design, (first,), verdict.checks, 2.0, 2.1)
    found = dataclasses.replace(verdict, checks=(first, *verdict.checks[1:]), next_change=change)
    text = Page(gs.report(found).html).text()
    assert "Exceeded: the drain breaks through at every turn-off. Next change, simulated: gate resis" in text
    assert "v_DS at the die. The drain breaks through" in text
    without = Page(gs.report(dataclasses.replace(found, next_change=None)).html).text()
    assert "None of the changes that usually help was found to help here." in without
    assert "Next change" not in page.text()
    runaway = changed(dataclasses.replace(found, next_change=None), status="thermal_runaway")
    assert "None of the changes" not in Page(gs.report(runaway).html).text()  # for none was tried


@pytest.mark.usefixtures("without_pictures")
def test_findings_are_told(verdict: gs.Verdict) -> None:
    """With a turn-on energy far too small the formula gives too little: the simulated loss is a finding."""
    edge = dataclasses.replace(verdict.point.turn_on, energy=1e-9)
    found = changed(verdict, turn_on=edge)
    (finding, *_) = found.point.hand_formulas().findings
    assert f"Finding. {finding.finding()}" in Page(gs.report(found).html).text()


def test_a_run_without_an_answer_has_a_page(verdict: gs.Verdict) -> None:
    figures = dict.fromkeys(gs.OperatingPoint.units(), math.nan)
    edges = {
        name: dataclasses.replace(
            getattr(verdict.point, name),
            **dict.fromkeys((one.name for one in dataclasses.fields(getattr(verdict.point, name))), math.nan),
        )
        for name in ("turn_on", "turn_off")
    }
    failed = changed(
        verdict, status="step_limit", message="Too many steps.", causes=(), ledger=(), **figures, **edges
    )
    stopped = _core.Waveform.from_nodes([_core.Channel("v_gs", "V")], 4, [], [[]])
    empty = Page(gs.report(dataclasses.replace(changed(failed, waveform=Waveform(stopped)), checks=())).html)
    assert not empty.all_of("svg")
    assert len(empty.all_of("script")) == 0
    found = Page(gs.report(dataclasses.replace(failed, checks=())).html)
    assert "Not judged: Too many steps." in found.text()
    assert "the drain does not change its level" in found.text("title")
    headings = found.text("h2")
    assert "Assumptions" in headings
    for missing in ("Limits", "Losses by cause", "By hand"):
        assert missing not in headings


def luminance(color: str) -> float:
    """Relative luminance of a colour, as WCAG 2.2 defines it."""
    parts = [int(color[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(text: str, ground: str) -> float:
    light, dark = sorted((luminance(text), luminance(ground)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_text_stands_out_from_its_ground(html: str, bridge_verdict: gs.BridgeVerdict) -> None:
    """4.5 to 1, as criterion 1.4.3 of WCAG 2.2 asks for."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)  # from memory, a known edge case
    for name in ("BLACK", "ORANGE", "SKY", "GREEN", "BLUE", "VERMILLION", "PURPLE", "GREY"):
        color = getattr(style, name)
        assert contrast(style.ink(color), "#ffffff") >= 4.5
        assert style.ink(color) == color.lower() or contrast(style.ink(color), "#ffffff") < 4.8
    css = html[html.index("<style>") : html.index("</style>")]
    pairs = re.findall(r"background: (#\w{3,6}); color: (#\w{3,6})", css)
    assert len(pairs) == 6
    for ground, text in pairs:
        assert contrast(full(text), full(ground)) >= 4.5, (text, ground)
    both = html + gs.report(bridge_verdict).html
    for svg in re.findall(r"<svg .*?</svg>", both, re.DOTALL):
        for tag in re.findall(r"<text[^>]*>", svg):
            found = re.search(r"fill: (#\w{6})", tag)
            assert found is None or contrast(found[1], "#ffffff") >= 4.5, tag


def full(color: str) -> str:
    return color if len(color) == 7 else "#" + "".join(2 * digit for digit in color[1:])


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


@pytest.fixture
def judged(monkeypatch: pytest.MonkeyPatch, point: gs.OperatingPoint) -> None:
    """Spare the simulation of the example."""
    monkeypatch.setattr(verdicts, "quiet_operating_point", lambda *_, **__: point)


@pytest.mark.usefixtures("judged")
def test_the_command_writes_the_page(example_path: Path, tmp_path: Path, html: str) -> None:
    path = tmp_path / "page.html"
    result = run("report", example_path, "--output", path, "--date", "2026-02-03")
    assert result.exit_code == 0, result.output
    assert result.stdout.startswith("coolant_pump.toml: All limits held: ")
    assert result.stdout.endswith(f"\nwrote {path}\n")
    assert path.read_text(encoding="utf-8") == html


@pytest.mark.usefixtures("judged", "without_pictures")
def test_the_page_is_named_after_the_design(
    example_path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run("report", example_path).exit_code == 0
    text = Page((tmp_path / "coolant_pump.html").read_text(encoding="utf-8")).text()
    assert f"date {dt.date.today().isoformat()}" in text


@pytest.mark.usefixtures("without_pictures")
def test_the_command_exits_as_check_does(
    example_path: Path, tmp_path: Path, point: gs.OperatingPoint, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "page.html"
    for change, code in (
        ({"overshoot": 99.0}, 1),
        ({"status": "not_periodic", "message": "Not there yet."}, 3),
    ):
        answer = dataclasses.replace(point, **change)
        monkeypatch.setattr(verdicts, "quiet_operating_point", lambda *_, answer=answer, **__: answer)
        path.unlink(missing_ok=True)
        assert run("report", example_path, "--output", path).exit_code == code
        assert path.is_file()
    result = run("report", tmp_path / "nowhere.toml", "--output", tmp_path / "none.html")
    assert result.exit_code == 2
    assert not (tmp_path / "none.html").exists()
    result = run("report", example_path, "--output", tmp_path / "no" / "page.html")
    assert result.exit_code == 2
    assert "cannot be written" in result.stderr


@pytest.mark.usefixtures("judged")
def test_the_page_does_not_replace_the_design(example_path: Path, tmp_path: Path) -> None:
    path = tmp_path / "design.html"
    path.write_bytes(example_path.read_bytes())
    result = run("report", path, "--output", path)
    assert result.exit_code == 2
    assert "is the design file itself" in result.stderr
    assert path.read_bytes() == example_path.read_bytes()
