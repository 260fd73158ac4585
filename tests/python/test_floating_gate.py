"""An undriven gate against the capacitive divider and the limit of dv/dt."""

import math

import pytest

import gateswing as gs
from gateswing.circuit_checks.low_side import design_warnings


def constant(capacitance: float) -> gs.DepletionCapacitance:
    """As good as constant: the depleting part is a billionth."""
    return gs.DepletionCapacitance(
        zero_bias=1e-9 * capacitance,
        potential=1.0,
        grading=0.5,
        floor=capacitance,
        ceiling=2e-9 * capacitance,
    )


def test_an_open_gate_is_the_divider_of_constant_capacitances(cell: gs.LowSideCell) -> None:
    # The anchor of the dv/dt-induced voltage: 50 pF of 1.05 nF on 400 V is 19.05 V; with 5 ohm the threshold
    # divided by R C_GD.
    mosfet = cell.mosfet.replace(
        gate_drain_capacitance=constant(50e-12),
        gate_source_capacitance={"low": "1 nF", "high": "1 nF", "centre": 0.0},
    )
    gate = gs.floating_gate(mosfet, bus_voltage="400 V", pull_down_resistance="5 ohm")
    assert gate.induced_gate_voltage == pytest.approx(400 * 50 / 1050, rel=1e-6)
    assert gate.slope_limit == pytest.approx(mosfet.channel.threshold_voltage / (5 * 50e-12), rel=1e-6)
    assert gate.turns_on
    assert math.isnan(gs.floating_gate(mosfet, bus_voltage=400).slope_limit)


def test_a_floating_pin_without_a_pull_down_is_said(cell: gs.LowSideCell) -> None:
    pin = gs.MicrocontrollerPin(
        supply_voltage=5.0, source_resistance=30.0, sink_resistance=30.0, rise_time=5e-9, fall_time=5e-9
    )
    logic = cell.mosfet.replace({"channel.threshold_voltage": 0.9})
    held = cell.replace(driver=pin, mosfet=logic)
    floating = held.replace(pull_down_resistance=None)
    assert not design_warnings(held)
    (warning,) = design_warnings(floating)
    assert isinstance(warning, gs.TopologyWarning)
    assert warning.path == "pull_down_resistance"
    one = gs.BridgeSwitch(mosfet=logic, driver=pin)
    bridge = gs.HalfBridgeCell(bus="48 V", high=one, low=one.replace(pull_down_resistance="10 kohm"))
    with pytest.warns(gs.TopologyWarning, match=r"^high\.pull_down_resistance"):
        gs.half_bridge_edges(bridge, dead_time="500 ns")


def test_a_bus_out_of_range_is_named(cell: gs.LowSideCell) -> None:
    with pytest.raises(gs.InputError, match="bus_voltage"):
        gs.floating_gate(cell.mosfet, bus_voltage="0 V")


def test_a_part_may_be_named() -> None:
    logic = gs.part("logic-60V")
    assert isinstance(logic, gs.Mosfet)
    named = gs.floating_gate("logic-60V", bus_voltage="24 V")
    assert named == gs.floating_gate(logic, bus_voltage="24 V")
    with pytest.raises(gs.InputError, match="no such part"):
        gs.floating_gate("logic-61V", bus_voltage="24 V")
