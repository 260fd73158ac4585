"""Unusual values, surprising combinations and hazards are said in words."""

import warnings
from collections.abc import Callable
from typing import Any

import pytest

import gateswing as gs
from gateswing.cautions import safety_cautions
from gateswing.circuit_checks.half_bridge import bridge_warnings
from gateswing.circuit_checks.low_side import design_warnings, headroom_warnings
from gateswing.errors import issue
from gateswing.ranges import range_warnings


def test_the_example_is_unremarkable(cell: gs.LowSideCell) -> None:
    assert range_warnings(cell) == []
    assert design_warnings(cell) == []


@pytest.mark.parametrize(
    ("change", "path", "words"),
    [
        ({"loop_inductance": "5 uH"}, "loop_inductance", "Did you mean 5 nH?"),
        ({"mosfet.drift_resistance": "12 ohm"}, "mosfet.drift_resistance", "Did you mean 12 mohm?"),
        ({"bus.voltage": "0.5 V"}, "bus.voltage", "500 mV is unusual; usual is 1 V to 600 V."),
    ],
)
def test_an_unusual_value_is_said(
    cell: gs.LowSideCell, change: dict[str, object], path: str, words: str
) -> None:
    (warning,) = range_warnings(cell.replace(change))
    assert warning.path == path
    assert words in str(warning)


@pytest.mark.parametrize(
    ("change", "path", "words"),
    [
        (
            {"driver.supply_voltage": "24 V"},
            "driver.supply_voltage",
            "exceeds the MOSFET's rated gate voltage of 20 V",
        ),
        ({"driver.off_voltage": "-24 V"}, "driver.off_voltage", "-24 V exceeds"),
        ({"driver.supply_voltage": "3 V"}, "driver.supply_voltage", "it never switches on"),
        ({"driver.source_drop": "9.5 V"}, "driver.supply_voltage", "it never switches on"),
        ({"freewheel": None}, "freewheel", "an inductive load without a freewheel diode or a clamp"),
        ({"bus.voltage": "75 V"}, "bus.voltage", "less than 20 % below the breakdown voltage of 85 V"),
        (
            {"freewheel.repetitive_peak_reverse_voltage": "40 V"},
            "freewheel",
            "exceeds the diode's rated reverse",
        ),
    ],
)
def test_a_surprising_combination_is_said(
    cell: gs.LowSideCell, change: dict[str, object], path: str, words: str
) -> None:
    (warning,) = design_warnings(cell.replace(change))
    assert warning.path == path
    assert words in str(warning)


def test_a_resistive_load_needs_no_freewheel_diode(cell: gs.LowSideCell) -> None:
    assert design_warnings(cell.replace(freewheel=None, load={"resistance": "8 ohm"})) == []


def test_an_inductive_load_is_a_hazard_of_the_example(cell: gs.LowSideCell) -> None:
    assert [caution.path for caution in safety_cautions(cell)] == ["load"]


@pytest.mark.parametrize(
    ("change", "path", "words"),
    [
        ({"bus.voltage": "61 V"}, "bus.voltage", "above 60 V DC"),
        ({"bus.bulk_capacitance": "1 mF"}, "bus.bulk_capacitance", "keeps 1.2 J"),
    ],
)
def test_a_hazard_is_said(cell: gs.LowSideCell, change: dict[str, object], path: str, words: str) -> None:
    found = {caution.path: str(caution) for caution in safety_cautions(cell.replace(change))}
    assert words in found[path]


def test_a_hot_part_is_a_hazard(cell: gs.LowSideCell) -> None:
    assert not any("heat" in str(caution) for caution in safety_cautions(cell, ("channel", 0.9)))
    assert any(
        "the channel turns 1.3 W into heat" in str(caution)
        for caution in safety_cautions(cell, ("channel", 1.3))
    )


def test_a_warning_points_to_the_line_that_called_the_package(cell: gs.LowSideCell) -> None:
    odd = cell.replace(gate_resistance="50 mohm", loop_inductance="25 nH", snubber=None)
    design = gs.Design(cell=odd, operation={"frequency": "100 kHz", "duty": 0.5})
    at: dict[str, Any] = {"frequency": 1e5, "duty": 0.5, "relative_tolerance": 1e-3}
    questions: dict[str, Callable[[], object]] = {
        "double_pulse": lambda: gs.double_pulse(odd),
        "snubber_for": lambda: gs.snubber_for(odd, frequency=1e5),
        "report": lambda: gs.report(design),
        "sweep": lambda: gs.sweep(odd, **at),
        "sweep_cost": lambda: gs.sweep_cost(odd, **at, samples=1),
        "monte_carlo": lambda: gs.monte_carlo(odd, {"bus.voltage": gs.Spread(tolerance=0.01)}, 2, **at),
        "objective": lambda: gs.objective(odd, vary={"bus.voltage": (23, 25)}, **at),
    }
    for name, ask in questions.items():
        with warnings.catch_warnings(record=True) as caught:
            warnings.simplefilter("always")
            ask()
        found = [one for one in caught if isinstance(one.message, gs.InputWarning)]
        assert {one.message.path for one in found if isinstance(one.message, gs.InputWarning)}, name
        assert {one.filename for one in found} == {__file__}, name


def test_a_warning_is_printed_once_however_often_it_is_issued() -> None:
    warning = gs.InputWarning("gate_resistance", "strange.")
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("default")
        for _ in range(3):
            issue([warning])
    assert [str(one.message) for one in caught] == ["gate_resistance: strange."]


@pytest.mark.parametrize(
    ("bus", "rated", "words"),
    [
        (36.0, None, None),
        (48.0, None, "48 V leaves less than 20 % below the breakdown voltage of 60 V."),
        (61.0, None, "61 V is above the breakdown voltage of 60 V: the MOSFET cannot block it."),
        (36.0, 40.0, "36 V leaves less than 20 % below the rated drain voltage of 40 V."),
        (42.0, 40.0, "42 V is above the rated drain voltage of 40 V."),
        (61.0, 40.0, "61 V is above the breakdown voltage of 60 V: the MOSFET cannot block it."),
    ],
)
def test_headroom_counts_from_the_rated_drain_voltage(
    cell: gs.LowSideCell, bus: float, rated: float | None, words: str | None
) -> None:
    fet = cell.mosfet.replace(breakdown_voltage="60 V", rated_drain_voltage=rated)
    found = [warning.message for warning in headroom_warnings(bus, fet)]
    assert found == ([words] if words else [])


def test_a_bridge_says_whose_headroom_is_short_and_both_only_once() -> None:
    def said(high: str, low: str, bus: str = "58 V") -> list[str]:
        switches = {
            side: gs.BridgeSwitch(mosfet=mosfet, driver="driver-ic-5V", gate_resistance="10 ohm")
            for side, mosfet in (("high", high), ("low", low))
        }
        found = bridge_warnings(gs.HalfBridgeCell(bus=bus, loop_inductance="8 nH", **switches))
        assert len({str(one) for one in found}) == len(found)
        return [str(one) for one in found]

    short = "bus.voltage: 58 V leaves less than 20 % below the rated drain voltage of"
    assert said("logic-60V", "logic-60V") == [f"{short} 60 V of both sides."]
    assert said("logic-60V", "logic-100V") == [f"{short} 60 V of the high side."]
    both = said("logic-60V", "logic-100V", "90 V")
    assert [one.rpartition(" of the ")[2][:4] for one in both] == ["high", "low "]
