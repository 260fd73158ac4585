"""Drawn loads of every kind: each cell becomes periodic and accounts for its losses.

GATESWING_DRAWN_LOADS=all asks 150 cells, else every fifteenth. The numbers are nobody's data.
"""

import os
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import gateswing as gs

pytestmark = pytest.mark.filterwarnings("ignore::gateswing.errors.InputWarning")

LOADS: dict[str, dict[str, Any]] = tomllib.loads(
    (Path(__file__).parent / "loads.toml").read_text(encoding="utf-8")
)
ALL = range(150)
DRAWN = ALL if os.environ.get("GATESWING_DRAWN_LOADS") == "all" else ALL[::15]


def drawn_load(rng: np.random.Generator, bus: float) -> dict[str, Any]:
    """A load of any kind for a bus [V]; a motor may be faster than the bus would drive it."""
    kind = rng.choice(list(LOADS))
    if kind == "motor":
        resistance = 10 ** rng.uniform(-0.5, 1.0)
        inductance = resistance * 10 ** rng.uniform(-4.5, -2.5)
        emf = bus * rng.uniform(0.0, 1.05)
        return {"kind": kind, "resistance": resistance, "inductance": inductance, "back_emf": emf}
    if kind == "solenoid":
        resistance = 10 ** rng.uniform(0.7, 2.0)
        inductance = resistance * 10 ** rng.uniform(-3.5, -2.0)
        core = resistance * 10 ** rng.uniform(0.5, 2.5)
        return {"kind": kind, "resistance": resistance, "inductance": inductance, "core_resistance": core}
    count = int(rng.integers(1, int(bus / 3.0) + 1))
    wiring = {"resistance": 10 ** rng.uniform(0.0, 2.0), "inductance": rng.choice([0.0, 1e-5, 1e-3])}
    return LOADS["led_string"] | {"count": count, "led_resistance": 0.0} | wiring


@pytest.mark.parametrize("case", DRAWN)
def test_drawn_loads_find_their_steady_state_and_account_for_their_losses(case: int) -> None:
    rng = np.random.default_rng(case)
    bus = float(rng.choice([12.0, 24.0, 48.0]))
    cell = gs.LowSideCell(
        bus=bus,
        mosfet=str(rng.choice(["standard-60V", "logic-60V", "logic-60V-to220"])),
        driver="driver-ic-weak",
        gate_resistance="22 ohm",
        freewheel="schottky-60V",
        load=drawn_load(rng, bus),
        loop_inductance="20 nH",
        loop_resistance="20 mohm",
        pull_down_resistance="47 kohm",
        snubber={"resistance": "10 ohm", "capacitance": "1 nF"},
    )
    frequency, duty = 10 ** rng.uniform(2.5, 5.2), rng.uniform(0.05, 0.95)
    point = gs.operating_point(cell, frequency=frequency, duty=duty, relative_tolerance=1e-5)
    shown = f"{cell.load!r} at {bus:g} V, {frequency:.4g} Hz, {duty:.3f}: {point.message}"
    assert point.succeeded, shown
    assert point.energy_residual < 1e-5, shown
    assert sum(point.losses_by_cause.values()) == pytest.approx(point.total_loss, rel=2e-3, abs=1e-6), shown
