"""What is said of an avalanche before a simulation, and the current it estimates, where clamps take over."""

from __future__ import annotations

from importlib import resources
from typing import Any

import numpy as np
import pytest

import gateswing as gs
from gateswing.circuit_checks.drive import highest_current
from gateswing.circuit_checks.low_side import operation_warnings
from gateswing.circuit_checks.sheet import sheet_warnings
from gateswing.limits.verdict import quick_check

SHEET = gs.read_sheet(str(resources.files("gateswing") / "examples" / "mosfet_sheet.toml"))


def switched_choke(**clamp: Any) -> gs.LowSideCell:
    """An invented low-side stage of library parts with an inductive load and no freewheel diode."""
    return gs.LowSideCell(
        bus="24 V",
        mosfet="standard-60V",
        driver="driver-ic-weak",
        gate_resistance="22 ohm",
        load={"resistance": "6 ohm", "inductance": "2 mH"},
        loop_inductance="20 nH",
        pull_down_resistance="47 kohm",
        **clamp,
    )


ZENER = {"voltage": "40 V", "resistance": "0.1 ohm"}
RCD = {"diode": "ultrafast-200V", "resistance": "20 ohm", "capacitance": "47 uF"}


@pytest.mark.parametrize(
    ("clamp", "operation", "tolerance"),
    [
        ({"drain_source_clamp": ZENER}, gs.Operation(frequency="2 kHz", duty=0.7), 0.05),
        ({"drain_source_clamp": ZENER}, gs.Operation(frequency="10 kHz", duty=0.5), 0.05),
        ({"drain_gate_clamp": ZENER}, gs.Operation(frequency="10 kHz", duty=0.5), 0.05),
        ({"rcd_clamp": RCD}, gs.Operation(frequency="2 kHz", duty=0.3), 0.05),
        ({"rcd_clamp": RCD}, gs.Operation(frequency="10 kHz", duty=0.5), 0.3),
        ({"rcd_clamp": RCD | {"resistance": "5 ohm"}}, gs.Operation(frequency="10 kHz", duty=0.5), 0.3),
    ],
)
def test_the_current_decays_by_the_clamp_and_not_by_the_breakdown(
    clamp: dict[str, Any], operation: gs.Operation, tolerance: float
) -> None:
    """The simulated peak of the load current; an RCD clamp's voltage is but estimated."""
    cell = switched_choke(**clamp)
    point = quick_check(gs.Design(cell=cell, operation=operation)).point
    simulated = float(np.max(point.waveform.values("i_load")))
    assert highest_current(cell, operation) == pytest.approx(simulated, rel=tolerance)


@pytest.mark.parametrize(
    ("clamp", "breaks_down"),
    [
        ({}, True),
        ({"drain_source_clamp": ZENER}, False),
        ({"drain_gate_clamp": ZENER}, False),
        ({"rcd_clamp": RCD}, False),
        ({"drain_source_clamp": ZENER | {"voltage": "80 V"}}, True),  # later than the MOSFET
    ],
)
def test_a_clamp_spares_the_mosfet_the_avalanche(clamp: dict[str, Any], breaks_down: bool) -> None:
    cell, operation = switched_choke(**clamp), gs.Operation(frequency="2 kHz", duty=0.5)
    words = [one.message for one in operation_warnings(cell, operation) if "breakdown" in one.message]
    assert bool(words) == breaks_down
    assert any(one.path == "avalanche.energy" for one in sheet_warnings(SHEET, cell)) == breaks_down
