"""What a next change may propose: values that can be had, and parts that exist in the library."""

import math

import pytest

import gateswing as gs
from gateswing.choices.snubber import ring_of
from gateswing.limits.bridge_changes import _HELPS as BRIDGE_HELPS
from gateswing.limits.bridge_changes import _of_side, bridge_moves
from gateswing.limits.helpful_changes import _HELPS, Move, OtherPart, helpful_moves, out_of_runaway
from gateswing.limits.limit_check import LimitCheck
from gateswing.limits.next_change import _overdrives
from gateswing.limits.other_parts import bridge_snubbers, snubbers, stronger_drivers, wider_mosfets
from gateswing.limits.proposals import MOST_SNUBBER_LOSS, proposed
from gateswing.preferred import preferred_value

pytestmark = pytest.mark.filterwarnings("ignore::gateswing.InputWarning")


def exceeded(name: str, figure: float = 2.0) -> LimitCheck:
    return LimitCheck(name, figure, 1.0, "", -1.0, "exceeded", "")


@pytest.mark.parametrize(
    ("path", "value", "factor", "expected"),
    [
        ("cell.gate_resistance", 10.0, 2.0, 22.0),
        ("cell.gate_resistance", 10.0, 0.5, 4.7),
        ("half_bridge.low.turn_off_gate_resistance", 2.2, 0.5, 1.2),
        ("cell.gate_resistance", 1.0, 0.5, None),
        ("cell.gate_resistance", 0.0, 2.0, 2.2),
        ("cell.gate_resistance", 0.0, 0.5, None),
        ("half_bridge.low.turn_off_gate_resistance", 0.0, 2.0, 2.2),
        ("cell.gate_resistance", 1e3, 2.0, None),
        ("cell.loop_inductance", 9e-9, 0.5, 4.5e-9),
        ("cell.loop_inductance", 3e-9, 0.5, 2e-9),
        ("cell.loop_inductance", 2.1e-9, 0.5, None),
        ("cell.loop_inductance", 5e-10, 0.5, None),
        ("cell.loop_inductance", 0.0, 0.5, None),
        ("cell.driver.supply_voltage", 12.0, 1.5, 15.0),
        ("cell.driver.supply_voltage", 12.0, 0.85, 10.0),
        ("cell.driver.supply_voltage", 15.0, 1.5, None),
        ("cell.bus.bulk_capacitance", 220e-6, 2.0, 470e-6),
        ("cell.driver_decoupling.inductance", 5e-9, 0.5, 2.5e-9),
        ("half_bridge.load.inductance", 4.7e-6, 1.5, 6.8e-6),
        ("operation.dead_time", 3e-9, 2.0, 10e-9),
        ("operation.frequency", 250e3, 0.5, 120e3),
        ("operation.duty", 0.8, 1.25, 0.95),
        ("cell.cooling.mosfet.case_to_ambient", 25.0, 0.5, 12.0),
    ],
)
def test_only_values_that_can_be_had_are_proposed(
    path: str, value: float, factor: float, expected: float | None
) -> None:
    found = proposed(path, value, factor)
    assert (found is None) == (expected is None)
    if expected is not None:
        assert found == pytest.approx(expected, rel=1e-12)


def test_every_kind_of_change_has_a_usual_range() -> None:
    moves = [move for tables in (_HELPS, BRIDGE_HELPS) for some in tables.values() for move in some]
    moves += [move for side in ("high", "low") for some in _of_side(side).values() for move in some]
    for path, factor in {(move.path, move.factor) for move in moves}:
        value: float | None = 1e-7
        for _ in range(200):  # ends within the range
            assert value is not None
            value = proposed(path, value, factor)
            if value is None:
                break
        assert value is None, path


def test_a_loop_that_cannot_be_wired_is_not_proposed(design: gs.Design) -> None:
    """The complaint: 5 nH to 313 pH."""
    tight = design.replace({"cell.loop_inductance": "5 nH"})
    moves = [one for one in helpful_moves(tight, "maximum_overshoot") if isinstance(one, Move)]
    (loop,) = (one for one in moves if one.path == "cell.loop_inductance")
    reached: list[float] = []
    changed: object = tight
    while changed is not None:
        assert isinstance(changed, gs.Design)
        reached.append(changed.cell.loop_inductance)
        changed = loop.applied(changed)
    assert reached == pytest.approx([5e-9, 2.5e-9, 2e-9])
    bare = design.replace({"cell.loop_inductance": 0.0})
    assert "cell.loop_inductance" not in {one.path for one in helpful_moves(bare, "maximum_overshoot")}


@pytest.mark.parametrize(
    ("load", "lowest"),
    [
        (gs.Motor(resistance="2 ohm", inductance="1 mH"), 20e3),
        (gs.Load(resistance="2 ohm", inductance="1 mH"), 6e3),
    ],
)
def test_a_motor_that_nobody_hears_is_not_made_to_sing(
    design: gs.Design, load: gs.Load | gs.Motor, lowest: float
) -> None:
    changed: gs.Design | gs.BridgeDesign | None = design.replace(
        {"cell.load": load, "operation.frequency": "50 kHz"}
    )
    move = Move("operation.frequency", 0.5, 4.0)
    for _ in range(3):
        assert changed is not None
        changed = move.applied(changed) or changed
    assert changed is not None
    assert changed.operation.frequency == pytest.approx(lowest)


def test_a_wider_mosfet_is_of_the_same_voltage_class() -> None:
    planar = gs.part("standard-100V-to220")
    assert isinstance(planar, gs.Mosfet)
    assert [name for name, _ in wider_mosfets(planar, 12.0)] == ["logic-100V", "standard-100V"]
    # Rated for less than the gate gets.
    assert [name for name, _ in wider_mosfets(planar, 17.0)] == ["standard-100V"]
    best = gs.part("standard-100V")
    assert isinstance(best, gs.Mosfet)
    assert wider_mosfets(best, 12.0) == []
    # 85 V belong to the class of 100 V.
    between = planar.replace(rated_drain_voltage="85 V")
    assert [name for name, _ in wider_mosfets(between, 12.0)] == ["logic-100V", "standard-100V"]


def test_a_wider_mosfet_for_both_sides_suits_both_drivers(buck: gs.HalfBridgeCell) -> None:
    planar, logic, weak = (gs.part(one) for one in ("standard-100V-to220", "logic-100V", "driver-ic-weak"))
    assert isinstance(weak, gs.GateDriverIC)
    stronger = weak.replace(supply_voltage="17 V")
    for high, low in ((weak, stronger), (stronger, weak)):
        drivers = {"high.driver": high, "low.driver": low}
        bridge = gs.BridgeDesign(
            half_bridge=buck.replace({"high.mosfet": planar, "low.mosfet": planar, **drivers}),
            operation=gs.BridgeOperation(frequency="50 kHz", duty=0.3, dead_time="50 ns"),
        )
        moves = bridge_moves(bridge, exceeded("maximum_total_loss")).others
        offered = [one.value for one in moves if isinstance(one, OtherPart)]
        assert offered == [gs.part("standard-100V")]  # rated for 17 V, as the one for logic levels is not
        assert not _overdrives(bridge)
        both = {"half_bridge.high.mosfet": logic, "half_bridge.low.mosfet": logic}
        assert _overdrives(bridge.replace(both))
    # Lower at 12 V alone does not do.
    small = gs.part("logic-60V-to220")
    assert isinstance(small, gs.Mosfet)
    assert [name for name, _ in wider_mosfets(small, 12.0)] == ["standard-60V-to220", "standard-60V"]
    assert [name for name, _ in wider_mosfets(small, 12.0, 3.0)] == ["standard-60V", "logic-60V"]


def test_a_stronger_driver_is_one_for_the_same_supply(design: gs.Design) -> None:
    weak, gates, pin = (gs.part(name) for name in ("driver-ic-weak", "gates-12V", "pin-5V"))
    assert isinstance(weak, gs.GateDriverIC)
    assert isinstance(gates, gs.ParallelGates)
    assert isinstance(pin, gs.MicrocontrollerPin)
    assert [name for name, _ in stronger_drivers(weak)] == ["driver-ic-strong"]
    assert [name for name, _ in stronger_drivers(gates)] == ["driver-ic-weak", "driver-ic-strong"]
    assert [name for name, _ in stronger_drivers(pin)] == ["driver-ic-5V"]
    (fifteen,) = stronger_drivers(weak.replace(supply_voltage="14 V"))
    assert fifteen[1].supply_voltage == 14.0
    assert stronger_drivers(weak.replace(supply_voltage="18 V")) == []
    assert stronger_drivers(design.cell.driver.replace(off_voltage="-5 V")) == []


def test_what_a_driver_drops_makes_it_weaker() -> None:
    pole = gs.part("totem-pole-12V")
    assert isinstance(pole, gs.BipolarTotemPole)
    limits = {"source_current_limit": "5 A", "sink_current_limit": "5 A"}
    # 12 V less 1.5 V over 22 ohm are 0.48 A; the weak driver's 0.62 A are a quarter more than that only.
    stated = pole.replace({"source_resistance": "22 ohm", "sink_resistance": "20 ohm", **limits})
    assert [name for name, _ in stronger_drivers(stated)] == ["driver-ic-weak", "driver-ic-strong"]


def test_a_snubber_is_sized_for_the_ring_and_left_out_where_the_loop_is_not_known(
    design: gs.Design,
) -> None:
    cell = design.cell.replace(snubber=None)
    ring = ring_of(cell)
    usual, larger = snubbers(cell, 50e3)
    sized = gs.snubber_for(cell, frequency="50 kHz", current="6 A").size
    assert (usual.resistance, usual.capacitance) == (sized.resistance, sized.capacitance)
    assert larger.capacitance == preferred_value(7.0 * ring.capacitance, "E6", "up")
    # That snubber is there already.
    assert list(snubbers(cell.replace(snubber=usual), 50e3)) == [larger]
    assert list(snubbers(cell.replace({"loop_inductance": 0.0, "bus": "48 V"}), 50e3)) == []
    # C V^2 f of 1.5 nF at 48 V and 1 MHz is 3.5 W: nobody would.
    assert usual.capacitance * 48.0**2 * 1e6 > MOST_SNUBBER_LOSS
    assert list(snubbers(cell, 1e6)) == []


def test_the_snubber_of_a_bridge_is_that_of_the_side(buck: gs.HalfBridgeCell) -> None:
    wired = buck.replace(loop_inductance="8 nH")
    first, *_ = bridge_snubbers(wired, "low", 50e3)
    coss = float(wired.low.mosfet.capacitances(0.0, wired.bus.voltage)["coss"])
    assert first.capacitance == preferred_value(3.0 * coss, "E6", "up")
    design = gs.BridgeDesign(
        half_bridge=wired.replace({"low.snubber": None, "high.snubber": None}),
        operation=gs.BridgeOperation(frequency="50 kHz", duty=0.3, dead_time="50 ns"),
    )
    parts = {
        one.path: one.words
        for one in bridge_moves(design, exceeded("maximum_low_drain_voltage")).others
        if isinstance(one, OtherPart)
    }
    assert list(parts) == ["half_bridge.low.snubber"]
    assert parts["half_bridge.low.snubber"].endswith("across the MOSFET of the low side")


def test_parts_are_among_the_changes_of_both_kinds_of_designs(
    design: gs.Design, buck: gs.HalfBridgeCell
) -> None:
    def offered(limit: str) -> set[str]:
        poor = design.replace({"cell.mosfet": gs.part("standard-100V-to220"), "cell.snubber": None})
        return {one.path for one in helpful_moves(poor, limit) if isinstance(one, OtherPart)}

    assert offered("maximum_overshoot") == offered("gate_voltage_when_off") == {"cell.snubber"}
    assert offered("maximum_total_loss") == {"cell.mosfet", "cell.driver"}
    assert offered("time_to_turn_on") == {"cell.driver"}
    assert offered("bus_ripple") == set()
    wide = gs.part("logic-60V-to220")
    bridge = gs.BridgeDesign(
        half_bridge=buck.replace({"high.mosfet": wide, "low.mosfet": wide}),
        operation=gs.BridgeOperation(frequency="50 kHz", duty=0.3, dead_time="50 ns"),
    )
    both = [
        one
        for one in bridge_moves(bridge, exceeded("maximum_total_loss")).others
        if isinstance(one, OtherPart)
    ]
    assert both
    for one in both:
        changed = one.applied(bridge)
        assert isinstance(changed, gs.BridgeDesign)
        assert changed.half_bridge.high.mosfet == changed.half_bridge.low.mosfet == one.value
        assert "for the high side and the low side" in one.words
    one_side = bridge_moves(bridge, exceeded("maximum_low_junction_temperature", math.inf)).others
    assert "half_bridge.low.mosfet" in {one.path for one in one_side}


def test_an_overshoot_is_snubbed_and_heat_of_conduction_gets_another_mosfet(design: gs.Design) -> None:
    bare = design.replace({"cell.snubber": None, "limits": gs.Limits(maximum_overshoot="15 V")})
    change = gs.check(bare).next_change
    assert change is not None
    assert change.text == "a snubber of 4.3 ohm and 1.5 nF across the MOSFET"
    assert (change.after.verdict, change.outcome) == ("held", "held")
    lossy = design.replace(
        {
            "cell.mosfet": gs.part("standard-100V-to220"),
            "limits": gs.Limits(maximum_channel_loss="1 W"),
        }
    )
    change = gs.check(lossy).next_change
    assert change is not None
    assert change.text.startswith("the MOSFET ")
    assert "-100V (100 V, " in change.text
    assert change.text.endswith(
        " in place of this one (100 V, 36 mohm at 10 V, standard level, planar, TO-220)"
    )
    assert change.after.figure < 1.0 < change.before.figure
    assert not math.isnan(change.total_loss_after)


def test_the_dead_time_that_is_needed_is_proposed_with_a_little_more(buck: gs.HalfBridgeCell) -> None:
    operation = gs.BridgeOperation(frequency="50 kHz", duty=0.3, dead_time="2 ns")
    design = gs.BridgeDesign(half_bridge=buck, operation=operation)

    def proposals(needed: float) -> list[object]:
        found = bridge_moves(design, exceeded("dead_time_needed", needed)).others
        return [one.value for one in found if isinstance(one, OtherPart)]

    assert proposals(11.4e-9) == [pytest.approx(14e-9)]
    assert proposals(math.nan) == []
    assert proposals(3e-6) == []  # beyond what is usual


def test_a_runaway_is_tried_with_both_gate_resistors_smaller(design: gs.Design) -> None:
    slow = design.replace({"cell.gate_resistance": "47 ohm", "cell.turn_off_gate_resistance": "47 ohm"})
    paths = [one.path for one in out_of_runaway(slow, "maximum_junction_temperature")]
    assert paths[:2] == ["cell.gate_resistance", "cell.turn_off_gate_resistance"]
