"""Results print as tables, survive pickling, and cannot be changed."""

import dataclasses
import math
import pickle
import re
from xml.etree import ElementTree as ET

import numpy as np
import pytest

import gateswing as gs
from gateswing import _core
from gateswing.figures import format_figure
from gateswing.tables import html_table, text_table


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (33.3333e-9, "s", "33.33 ns"),
        (3.2e9, "V/s", "3.2 V/ns"),
        (0.4e9, "A/s", "0.4 A/ns"),
        (0.98421, "%", "98.42 %"),
        (7.5, "", "7.5"),
        (math.nan, "V", "-"),
    ],
)
def test_a_figure_is_written_as_the_trade_reads_it(value: float, unit: str, text: str) -> None:
    assert format_figure(value, unit) == text


def test_a_text_table_is_aligned() -> None:
    table = text_table([("a", "1"), ("long name", "10")], ("name", "n"))
    assert table.splitlines() == ["name        n", "---------  --", "a           1", "long name  10"]


def test_an_html_table_escapes_its_texts() -> None:
    table = html_table([("<b>", "&")], ("x<y",), "a & b")
    assert "&lt;b&gt;" in table
    assert "<b>" not in table
    assert "<caption>a &amp; b</caption>" in table


def test_every_figure_has_a_meaning() -> None:
    for kind in (gs.TurnOn, gs.TurnOff, gs.OperatingPoint):
        assert len(kind.units()) > 10
        assert all(kind.definitions().values())


def test_units_are_those_of_the_core() -> None:
    for ours, theirs in ((gs.TurnOn, _core.TurnOn), (gs.TurnOff, _core.TurnOff)):
        stated = {name: (getattr(theirs, name).__doc__ or "").strip("[]") for name in ours.units()}
        assert ours.units() == stated
    points = {figure.name: figure.unit for figure in _core.operating_point_figures()}
    for name, unit in gs.OperatingPoint.units().items():
        assert points[name] == {"%": "1", "": "1"}.get(unit, unit)


def test_both_edges_print_with_units_and_definitions(edges: gs.DoublePulse) -> None:
    text = repr(edges)
    assert re.search(
        r"^rise time +[\d.]+ ns  tr: v_DS from 90 % to 10 % \(IEC 60747-8\)$", text, re.MULTILINE
    )
    assert re.search(r"^overshoot +[\d.]+ V  peak v_DS at the pins above the bus$", text, re.MULTILINE)
    assert re.search(r"^energy residual +\d\.\de-\d\d ", text, re.MULTILINE)


def test_the_html_form_is_well_formed_and_says_the_same(
    edges: gs.DoublePulse, point: gs.OperatingPoint
) -> None:
    for result, rows in ((edges, edges.turn_on.rows()), (point, point.rows())):
        document = ET.fromstring(f"<body>{result._repr_html_()}</body>")
        cells = {cell.text for cell in document.iter("td")}
        for _, value, definition in rows:
            assert {value, definition} <= cells


def test_losses_are_sorted_and_leave_the_load_out(point: gs.OperatingPoint) -> None:
    powers = list(point.losses.values())
    assert powers == sorted(powers, reverse=True)
    assert "load" not in point.losses
    assert sum(powers) == pytest.approx(point.total_loss, rel=1e-3)


def test_the_causes_hold_what_the_elements_hold(point: gs.OperatingPoint) -> None:
    by_element: dict[str, float] = {}
    for loss in point.causes:
        assert loss.power == pytest.approx(loss.energy * point.frequency)
        by_element[loss.element] = by_element.get(loss.element, 0.0) + loss.power
    assert by_element == pytest.approx(point.losses, rel=1e-4, abs=1e-6)
    assert sum(point.losses_by_cause.values()) == pytest.approx(point.total_loss, rel=1e-3)
    assert "other" not in point.losses_by_cause


def test_what_the_driver_draws_at_rest_is_a_loss_and_an_input(cell: gs.LowSideCell) -> None:
    quiet = {
        "kind": "gate_driver_ic",
        "supply_voltage": 12.0,
        "source_resistance": 2.0,
        "sink_resistance": 1.0,
        "rise_time": "10 ns",
        "fall_time": "10 ns",
    }
    points = [
        gs.operating_point(
            cell.replace(driver=quiet | {"quiescent_current": current}), frequency=50e3, duty=0.25
        )
        for current in ("0 mA", "10 mA")
    ]
    assert points[1].losses_by_cause["driver at rest"] == pytest.approx(0.12)
    assert points[1].total_loss - points[0].total_loss == pytest.approx(0.12)
    assert points[1].input_power - points[0].input_power == pytest.approx(0.12)


def test_a_result_survives_pickling(edges: gs.DoublePulse, point: gs.OperatingPoint) -> None:
    for result in (edges, point):
        copy = pickle.loads(pickle.dumps(result))
        assert repr(copy) == repr(result)
        assert np.array_equal(copy.waveform.times, result.waveform.times)


def test_a_result_cannot_be_changed(edges: gs.DoublePulse) -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        edges.current = 3.0  # type: ignore[misc]
    with pytest.raises(ValueError, match="read-only"):
        edges.waveform.values("v_ds")[0] = 0.0


def test_a_failed_run_says_so_first(edges: gs.DoublePulse) -> None:
    failed = dataclasses.replace(edges, status="step_limit", message="Too many steps.")
    assert not failed.succeeded
    assert repr(failed).startswith("Too many steps.\n")
    assert "<strong>Too many steps.</strong>" in failed._repr_html_()


def test_warnings_are_kept_and_printed_with_the_result(cell: gs.LowSideCell) -> None:
    unusual = cell.replace(loop_inductance="3 uH")
    with pytest.warns(gs.InputWarning, match=r"Did you mean 3 nH\?"):
        result = gs.double_pulse(unusual)
    assert [warning.path for warning in result.warnings] == ["loop_inductance"]
    assert "warning: loop_inductance: 3 uH is unusual" in repr(result)
