"""Inputs of a report: each with its value in units, its range, and who stated it."""

import gateswing as gs
from gateswing.model import Model
from gateswing.reporting.inputs import input_groups


def test_an_unusual_input_is_marked(design: gs.Design) -> None:
    cell: Model = design.cell.replace(loop_inductance="3 uH")
    marked = [row.name for group in input_groups(cell) for row in group.rows if row.is_unusual]
    assert marked == ["loop inductance"]


def test_values_in_a_list_have_units_and_ranges() -> None:
    ladder = gs.FosterLadder(resistances=["0.12 K/W", "36 K/W"], time_constants=["80 us", "8 ms"])
    ((_, (resistances, times)),) = input_groups(ladder)
    assert resistances.value == "120 mK/W, 36 K/W"
    assert times.value == "80 us, 8 ms"
    assert "K/W" in resistances.usual
    assert times.usual == "100 ns to 10 ks"
    assert resistances.meaning == "Of the elements, in any order."
    slow: Model = ladder.replace(time_constants=["80 us", "50 ks"])
    assert [row.name for group in input_groups(slow) for row in group.rows if row.is_unusual] == [
        "time constants"
    ]
