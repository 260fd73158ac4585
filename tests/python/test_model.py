"""Descriptions are immutable, picklable, and can be changed field by field."""

import pickle
from typing import Any

import pytest

import gateswing as gs


def problem(error: pytest.ExceptionInfo[gs.InputError]) -> gs.InputProblem:
    assert len(error.value.problems) == 1, error.value
    return error.value.problems[0]


def test_a_bus_voltage_stands_for_a_source_without_impedance(cell: gs.LowSideCell) -> None:
    assert cell.replace(bus="24 V").bus == gs.Supply(voltage=24.0)
    assert cell.replace(bus=24).bus == gs.Supply(voltage=24.0)


def test_a_field_deep_inside_is_replaced_and_nothing_else(cell: gs.LowSideCell) -> None:
    changed = cell.replace({"mosfet.channel.threshold_voltage": "2.5 V"})
    before, after = dict_of(cell), dict_of(changed)
    assert {path for path in before if before[path] != after[path]} == {"mosfet.channel.threshold_voltage"}
    assert after["mosfet.channel.threshold_voltage"] == 2.5
    assert changed == cell.replace(mosfet__channel__threshold_voltage=2.5)


def test_a_field_given_in_both_ways_is_refused(cell: gs.LowSideCell) -> None:
    with pytest.raises(gs.InputError, match=r"bus\.voltage: given more than once\."):
        cell.replace({"bus.voltage": 12}, bus__voltage=24)


def dict_of(model: gs.LowSideCell) -> dict[str, float]:
    return {path: value for path, value, _ in model.quantities()}


def test_fields_are_read_by_path(cell: gs.LowSideCell) -> None:
    assert cell.value_at("mosfet.channel.threshold_voltage") == cell.mosfet.channel.threshold_voltage
    with pytest.raises(gs.InputError) as error:
        cell.value_at("mosfet.chanel.threshold_voltage")
    assert str(problem(error)) == "mosfet.chanel: no such field. Did you mean 'channel'?"


@pytest.mark.parametrize(
    ("change", "path", "words"),
    [
        ({"mosfet.chanel.threshold_voltage": 3}, "mosfet.chanel", "Did you mean 'channel'?"),
        ({"gate_resistence": 3}, "gate_resistence", "Did you mean 'gate_resistance'?"),
        ({"load.zzz": 3}, "load.zzz", "Known fields: resistance, inductance, constant_current."),
        ({"gate_resistance.x": 3}, "gate_resistance", "has no fields"),
        ({"mosfet.drift_resistance": "5 F"}, "mosfet.drift_resistance", "has the unit 'F'"),
        (
            {"mosfet.gate_drain_capacitance.ceiling": "1 pF"},
            "mosfet.gate_drain_capacitance.ceiling",
            "above 900 pF",
        ),
        ({"load.constant_current": "6 A"}, "load.constant_current", "excludes resistance and inductance"),
        ({"load": {}}, "load", "a load of nothing shorts the supply"),
        ({"mosfet": 3}, "mosfet", "not a Mosfet, nor a table of its fields"),
        ({"mosfet.name": 3}, "mosfet.name", "should be a valid string"),
    ],
)
def test_a_change_that_cannot_be_made_is_named(
    cell: gs.LowSideCell, change: dict[str, object], path: str, words: str
) -> None:
    with pytest.raises(gs.InputError) as error:
        cell.replace(change)
    assert problem(error).path == path
    assert words in str(error.value)


def test_a_part_left_out_cannot_be_changed_inside(cell: gs.LowSideCell) -> None:
    with pytest.raises(gs.InputError, match=r"snubber: left out.*Give snubber as a whole"):
        cell.replace(snubber=None).replace(snubber__resistance=3)


def test_all_problems_are_reported_at_once() -> None:
    given = {"supply_voltage": "12 A", "source_resistance": -1, "rise_tim": "8 ns"}
    with pytest.raises(gs.InputError) as error:
        gs.PushPullDriver(**given)
    assert {problem.path for problem in error.value.problems} == {
        "supply_voltage", "source_resistance", "sink_resistance", "rise_tim",
    }  # fmt: skip


def test_a_description_cannot_be_changed_in_place(cell: gs.LowSideCell) -> None:
    with pytest.raises(Exception, match="frozen"):
        cell.gate_resistance = 3.0  # type: ignore[misc]


def test_a_description_survives_pickling(cell: gs.LowSideCell) -> None:
    assert pickle.loads(pickle.dumps(cell)) == cell


def test_an_error_survives_pickling() -> None:
    with pytest.raises(gs.InputError) as error:
        gs.Load()
    copy = pickle.loads(pickle.dumps(error.value))
    assert copy.problems == error.value.problems
    assert str(copy) == str(error.value)


def test_the_text_form_is_what_was_given() -> None:
    load = gs.Load(resistance="4.7 ohm", inductance="33 uH")
    assert repr(load) == "Load(resistance='4.7 ohm', inductance='33 uH')"
    assert eval(repr(load), {"Load": gs.Load}) == load


def test_the_schema_says_unit_range_and_meaning() -> None:
    described = gs.LowSideCell.model_json_schema()["properties"]["gate_resistance"]
    assert described["unit"] == "ohm"
    assert described["allowed"] == "0 ohm to 1 Mohm"
    assert described["usual"] == "100 mohm to 10 kohm"
    assert described["description"] == "Resistor between driver and gate pin."


def test_a_missing_part_is_asked_for_in_good_english(mapping: dict[str, Any]) -> None:
    with pytest.raises(gs.InputError, match="Give an Operation: frequency, duty"):
        gs.Design.from_mapping({name: value for name, value in mapping.items() if name != "operation"})
    with pytest.raises(gs.InputError, match="Give a LowSideCell: "):
        gs.Design.from_mapping({"schema": 1, "operation": mapping["operation"]})
