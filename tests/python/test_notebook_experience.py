"""What a notebook's user may expect, where no other file of tests is about it.

Elsewhere: a quick import without optional packages (test_package.py), Ctrl-C and reruns (test_sweep.py,
test_sweep_store.py), other executors (test_sweep_executor.py), warnings as objects (test_results.py), a
capture laid over a simulation (test_overlay.py).
"""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from importlib import resources
from xml.etree import ElementTree as ET

import pytest
from matplotlib import pyplot as plt

import gateswing as gs
from gateswing.library.part_library import PartLibrary

EXAMPLES = resources.files("gateswing") / "examples"


pytestmark = pytest.mark.usefixtures("without_a_screen")


def test_five_lines_lead_from_part_names_to_a_verdict_and_a_picture() -> None:
    code = """\
import gateswing as gs
cell = gs.LowSideCell(bus=24, mosfet="logic-60V", driver="pin-5V", gate_resistance=99, load={"resistance": 8})
verdict = gs.check(gs.Design(cell=cell, operation=gs.Operation(frequency="50 kHz", duty="50 %")))
print(verdict)
verdict.point.plot()"""
    environment = os.environ | {"MPLBACKEND": "Agg"}
    command = [sys.executable, "-W", "ignore", "-c", f"{code}.savefig('/dev/null', format='png')"]
    found = subprocess.run(command, capture_output=True, text=True, check=True, env=environment)
    assert found.stdout.startswith(("All limits held", "Marginal", "Exceeded"))
    assert "drain voltage" in found.stdout


def test_a_figure_of_a_sweep_plots_itself_with_units(quick_cell: gs.LowSideCell) -> None:
    table = gs.sweep(quick_cell, frequency=[5e4, 1e5], duty=[0.3, 0.6], gate_resistance=[5.0, 20.0])
    table["turn_on_energy"].sel(frequency=1e5).plot.pcolormesh()
    axes = plt.gcf().axes
    assert [axes[0].get_xlabel(), axes[0].get_ylabel()] == ["duty [1]", "gate resistance [ohm]"]
    assert axes[1].get_ylabel() == "turn on energy [J]"


def test_an_answer_is_the_same_table_in_a_terminal_and_on_a_page(
    edges: gs.DoublePulse, design: gs.Design
) -> None:
    for answer in (edges.turn_on, gs.quick_check(design)):
        printed = " ".join(repr(answer).split())
        page = ET.fromstring(f"<body>{answer._repr_html_()}</body>")
        cells = [cell.text for cell in page.iter("td") if cell.text]
        assert len(cells) > 20
        assert all(" ".join(cell.split()) in printed for cell in cells)


def test_what_is_not_judged_or_doubtful_is_on_the_page_too(
    design: gs.Design, example_fit: gs.MosfetFit
) -> None:
    ladder = gs.FosterLadder(resistances=[0.25, 0.75], time_constants=["0.3 ms", "20 ms"])
    odd = (gs.InputWarning("threshold", "odd."),)
    for answer, expected in (
        (
            gs.quick_check(design.replace({"cell.cooling": None})),
            ["Not judged, for want of", "largest loss is"],
        ),
        (
            replace(example_fit, thermal=ladder, warnings=odd),
            ["Thermal ladder", "750 mK/W", "threshold: odd."],
        ),
        (PartLibrary(dict(gs.parts("diode")), odd), ["threshold: odd."]),
    ):
        for words in expected:
            assert words in repr(answer)
            assert words in answer._repr_html_()


@pytest.mark.parametrize("name", ["coolant_pump.toml", "conveyor_motor.toml"])
def test_the_examples_are_of_the_trade_and_hold_their_limits(name: str) -> None:
    design = gs.read_design(str(EXAMPLES / name))
    assert "invented" in design.note
    assert gs.quick_check(design).outcome in ("held", "marginal")
