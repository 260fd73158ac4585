"""The everyday cases of a bench: each is judged for the right reason.

The cases are those that beginners bring to a forum (common practice, no source); the parts are the library's.
"""

from __future__ import annotations

import math
from typing import Any

import pytest

import gateswing as gs
from gateswing.circuit_checks.floating_gate import floating_gate
from gateswing.limits.checks import LimitCheck, judged

# The cases are chosen to be bad; that they are warned about is tested elsewhere.
pytestmark = pytest.mark.filterwarnings("ignore::gateswing.InputWarning")

COOLED = gs.Cooling(ambient="40 degC", mosfet=gs.HeatPath(junction_to_case="62 K/W"))  # TO-220 in still air


def stage(frequency: str = "20 kHz", duty: float = 0.5, **changes: Any) -> gs.Design:
    """A low-side stage of 24 V and 4 A that switches well, with some things done as beginners do."""
    fields: dict[str, Any] = {
        "bus": "24 V",
        "mosfet": "logic-60V-to220",
        "driver": "driver-ic-5V",
        "gate_resistance": "22 ohm",
        "load": {"resistance": "6 ohm", "inductance": "1 mH"},
        "freewheel": "schottky-60V",
        "loop_inductance": "20 nH",
        "loop_resistance": "0.1 ohm",  # ends the ring early
        "pull_down_resistance": "10 kohm",
    }
    return gs.Design(
        cell=gs.LowSideCell(**fields | changes), operation=gs.Operation(frequency=frequency, duty=duty)
    )


def answer(design: gs.Design) -> tuple[gs.OperatingPoint, LimitCheck]:
    """The operating point, and the check that comes first."""
    operation = design.operation
    point = gs.operating_point(
        design.cell, frequency=operation.frequency, duty=operation.duty, relative_tolerance=1e-4
    )
    return point, judged(design, point)[0]


def test_the_stage_itself_holds() -> None:
    assert answer(stage(cooling=COOLED))[1].verdict == "held"


def test_a_pin_of_3_3_volts_below_the_plateau_never_turns_on() -> None:
    _, first = answer(stage("1 kHz", driver="pin-3V3", mosfet="standard-60V", gate_resistance="100 ohm"))
    assert first.name == "switches_fully"
    assert first.verdict == "exceeded"
    # The plateau by hand, v = V_TH + s with i = K/2 s^2/(1 + theta/2 s): 4 A with 139 A/V^2 and 0.1 /V is
    # 0.24 V above 3.4 V; the pull-down leaves 10/10.135 of 3.3 V.
    assert "its gate needs 3.6" in first.reason
    assert "gives it only 3.26 V, however long it waits" in first.reason


def test_a_missing_diode_is_an_avalanche_of_the_load() -> None:
    point, first = answer(stage(freewheel=None, load={"resistance": "6 ohm", "inductance": "100 uH"}))
    assert first.name == "maximum_avalanche_energy"
    assert "because the load has no freewheel diode or clamp" in first.reason
    # From L di/dt = -(R i + V_BR - V), textbook: the charge that passes V_BR until the current has died.
    resistance, inductance, excess = 6.1, 100e-6, 60.0 - 24.0
    current = point.peak_drain_current
    time = inductance / resistance * math.log1p(resistance * current / excess)
    charge = (inductance * current - excess * time) / resistance
    assert first.figure == pytest.approx(60.0 * charge, rel=0.05)


def test_a_floating_gate_is_judged_hot_and_by_the_lowest_part_of_its_type() -> None:
    open_gate = stage(
        driver="pin-5V", mosfet="logic-60V", gate_resistance="150 ohm", pull_down_resistance=None
    )
    _, first = answer(open_gate)
    assert first.name == "floating_gate_voltage"
    assert first.figure == floating_gate("logic-60V", bus_voltage="24 V").induced_gate_voltage
    # 1.55 V at 25 degC, -4 mV/K for 100 K; the typical part, 2.05 V at 25 degC, would hold.
    assert first.limit == pytest.approx(1.15)
    assert first.limit < first.figure < 2.05
    assert "nothing holds the gate while the pin floats, at reset" in first.reason


def test_1_kilohm_at_a_pin_burns_its_mosfet_by_slow_edges() -> None:
    slow = stage(driver="pin-5V", gate_resistance="1 kohm", cooling=COOLED)
    point, first = answer(slow)
    assert first.name == "maximum_junction_temperature"
    assert first.verdict == "exceeded"
    causes = point.losses_by_cause
    assert causes["turn-off"] + causes["turn-on"] > 0.5 * point.channel_loss
    assert next(iter(causes)) == "turn-off"
    quick, held = answer(slow.replace({"cell.gate_resistance": "220 ohm"}))
    assert held.verdict == "held"
    assert quick.losses_by_cause["turn-off"] < 0.25 * causes["turn-off"]


def test_a_weak_totem_pole_is_too_slow_for_1_megahertz() -> None:
    weak: dict[str, Any] = {
        "driver": "totem-pole-12V",
        "mosfet": "standard-60V-to220",
        "gate_resistance": "10 ohm",
    }
    point, first = answer(stage("1 MHz", cooling=COOLED, **weak))
    assert point.transition_share > 0.1
    assert first.name == "maximum_junction_temperature"
    assert first.verdict == "exceeded"
    assert next(iter(point.losses_by_cause)) == "turn-off"
    assert answer(stage("100 kHz", cooling=COOLED, **weak))[1].verdict == "held"


def test_18_amperes_through_1_microhenry_are_an_avalanche_of_the_wiring() -> None:
    wired = stage(
        driver="driver-ic-strong",
        mosfet="standard-60V-to220",
        load={"constant_current": "18 A"},
        loop_inductance="1 uH",
        loop_resistance="0.3 ohm",
    )
    _, first = answer(wired)
    assert first.name == "maximum_avalanche_energy"
    assert "because the 1.01 uH of the wiring hold 16" in first.reason  # 1/2 L I^2 = 162 uJ
    # The formula of JESD24-5 with the wiring as the load; C_OSS takes a part first.
    assert first.figure == pytest.approx(0.5 * 1e-6 * 18.0**2 * 60.0 / 36.0, rel=0.2)


def test_the_drain_is_not_called_held_where_the_breakdown_holds_it() -> None:
    design = stage(freewheel=None, load={"resistance": "6 ohm", "inductance": "100 uH"})
    point, _ = answer(design)
    found = {one.name: one for one in judged(design, point)}
    assert point.peak_drain_voltage < 60.0
    assert found["maximum_drain_voltage"].verdict == "exceeded"
    allowed = design.replace({"limits.maximum_avalanche_energy": "10 mJ"})
    found = {one.name: one for one in judged(allowed, point)}
    assert found["maximum_drain_voltage"].verdict == "held"
