"""A driver of any kind is part of a design: chosen by name, read, written, refused, changed, swept."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import gateswing as gs
from gateswing.circuit.drivers import DRIVER_KINDS
from gateswing.ranges import range_warnings
from gateswing.reporting.inputs import input_groups

DRIVERS: dict[str, dict[str, Any]] = tomllib.loads(
    (Path(__file__).parent / "drivers.toml").read_text(encoding="utf-8")
)


def test_there_is_an_example_of_every_kind() -> None:
    assert set(DRIVERS) | {"push_pull"} == set(DRIVER_KINDS)


@pytest.mark.parametrize("kind", DRIVERS)
def test_every_kind_is_read_written_simulated_and_unremarkable(
    design: gs.Design, kind: str, tmp_path: Path
) -> None:
    changes: dict[str, object] = {"cell.driver": DRIVERS[kind]}
    if DRIVERS[kind]["supply_voltage"] == "5 V":
        changes["cell.mosfet.channel.threshold_voltage"] = "1.6 V"
    wanted = design.replace(changes)
    gs.write_design(wanted, tmp_path / "design.toml")
    assert gs.read_design(tmp_path / "design.toml") == wanted
    assert type(wanted.cell.driver) is DRIVER_KINDS[kind]
    assert range_warnings(wanted.cell.driver) == []
    edges = gs.double_pulse(wanted.cell)
    assert edges.succeeded, edges.message
    assert edges.energy_residual < 1e-6


def test_a_driver_without_a_kind_is_push_pull(design: gs.Design) -> None:
    written = design.to_mapping()["cell"]["driver"]
    assert "kind" not in written
    assert gs.LowSideCell(**design.to_mapping()["cell"] | {"driver": written}) == design.cell
    assert design.cell.replace(driver=written | {"kind": "push_pull"}) == design.cell


@pytest.mark.parametrize(
    ("driver", "path", "words"),
    [
        ({"kind": "optocupler"}, "driver.kind", "no such kind of driver.*Did you mean 'optocoupler'?"),
        ({"kind": ["push_pull"]}, "driver.kind", "no such kind of driver"),
        (12, "driver", "not a driver, nor a table of its fields"),
        (DRIVERS["optocoupler"] | {"transfer_ratio": 200}, "driver.transfer_ratio", "Did you mean 200 %?"),
        (DRIVERS["emitter_follower"] | {"sink_drop": 1}, "driver.sink_drop", "no such field"),
        (DRIVERS["parallel_gates"] | {"count": 0}, "driver.count", "Allowed: 1 to 100"),
    ],
)
def test_a_driver_that_cannot_be_used_is_named(
    cell: gs.LowSideCell, driver: object, path: str, words: str
) -> None:
    with pytest.raises(gs.InputError, match=words) as error:
        cell.replace(driver=driver)
    assert [problem.path for problem in error.value.problems] == [path]


@pytest.mark.parametrize(
    ("driver", "path", "words"),
    [
        (
            {"supply_voltage": "12 V", "peak_source_current": 4, "peak_sink_current": 4},
            "driver.kind",
            "which has no peak_source_current, peak_sink_current. Allowed: push_pull, microcontroller_pin, ",
        ),
        ({"led_current": "10 mA"}, "driver.kind", "Write kind = 'optocoupler'."),
        ({"quiescent_current": 0}, "driver.kind", "Write kind = 'parallel_gates' or 'gate_driver_ic'."),
        ({"kind": "ic"}, "driver.kind", "Did you mean 'microcontroller_pin' or 'gate_driver_ic'?"),
        (
            DRIVERS["emitter_follower"] | {"sink_drop": 1},
            "driver.sink_drop",
            "no such field. Of kind push_pull it is one.",
        ),
        (DRIVERS["emitter_follower"] | {"gain": 9}, "driver.gain", "Did you mean 'current_gain'?"),
        (
            DRIVERS["gate_driver_ic"] | {"output_resistance": 9},
            "driver.output_resistance",
            "Did you mean 'source_resistance' or 'sink_resistance'?",
        ),
        (
            {"supply_voltage": 12, "source_resistance": 1},
            "driver.sink_resistance",
            "Without a kind a driver is push",
        ),
    ],
)
def test_what_a_kind_has_not_is_explained_by_the_kinds(
    cell: gs.LowSideCell, driver: object, path: str, words: str
) -> None:
    with pytest.raises(gs.InputError) as error:
        cell.replace(driver=driver)
    (problem,) = error.value.problems
    assert problem.path == path
    assert words in str(problem)


def test_a_driver_that_is_left_out_is_asked_for_by_class_and_by_kind(design: gs.Design) -> None:
    tables = design.to_mapping()
    del tables["cell"]["driver"]
    with pytest.raises(gs.InputError) as error:
        gs.Design.from_mapping(tables)
    (problem,) = error.value.problems
    assert problem.path == "cell.driver"
    assert "Give a PushPullDriver, MicrocontrollerPin, " in problem.hint
    assert problem.hint.endswith("a table, with kind = " + _listed(DRIVER_KINDS) + ".")


def _listed(names: Iterable[str]) -> str:
    *others, last = map(repr, names)
    return f"{', '.join(others)} or {last}"


@pytest.mark.parametrize(
    ("kind", "has_default"),
    [
        ("push_pull", True),
        ("microcontroller_pin", True),
        ("parallel_gates", True),
        ("gate_driver_ic", True),
        ("bipolar_totem_pole", False),
        ("pull_up_transistor", False),
        ("emitter_follower", False),
        ("optocoupler", False),
    ],
)
def test_edges_of_a_cmos_output_have_a_default_and_those_of_transistors_have_none(
    kind: str, has_default: bool
) -> None:
    resistances = {"supply_voltage": "12 V", "source_resistance": "5 ohm", "sink_resistance": "5 ohm"}
    fields = DRIVERS.get(kind, resistances)
    bare = {name: value for name, value in fields.items() if name not in ("rise_time", "fall_time", "kind")}
    if has_default:
        driver = DRIVER_KINDS[kind](**bare)
        assert (driver.rise_time, driver.fall_time) == (10e-9, 10e-9)
        (group,) = input_groups(driver, "driver")
        origins = {row.name: row.origin for row in group.rows}
        assert origins["rise time"] == "default"
        assert origins["kind"] == ("default" if kind == "push_pull" else "stated")
        meaning = DRIVER_KINDS[kind].quantity_of("rise_time")
        assert meaning is not None
        assert "left out: 10 ns" in meaning.doc
    else:
        with pytest.raises(gs.InputError) as error:
            DRIVER_KINDS[kind](**bare)
        assert [problem.path for problem in error.value.problems] == ["rise_time", "fall_time"]


@pytest.mark.parametrize("duty", [-0.1, 1.1, "x"])
def test_a_share_of_time_lies_between_0_and_1(duty: Any) -> None:
    with pytest.raises(gs.InputError, match="duty"):
        gs.GateDriverIC(**DRIVERS["gate_driver_ic"]).quiescent_power(duty)


@pytest.mark.parametrize(
    ("kind", "field", "values"),
    [
        ("microcontroller_pin", "source_resistance", [5.0, 50.0, 250.0]),
        ("emitter_follower", "base_resistance", [100.0, 1e3, 1e4]),
    ],
)
def test_a_field_of_a_kind_is_swept(design: gs.Design, kind: str, field: str, values: list[float]) -> None:
    """The weaker driver loses more in the channel."""
    cell = design.cell.replace(driver=DRIVERS[kind] | {"supply_voltage": "10 V"})
    table = gs.sweep(cell, frequency="20 kHz", duty=0.5, axes={f"driver.{field}": values})
    losses = np.asarray(table["channel_loss"]).ravel()
    assert all(weaker > stronger for stronger, weaker in pairwise(losses))
