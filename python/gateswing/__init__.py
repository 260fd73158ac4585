"""Time-domain simulation of how a driver switches a power MOSFET.

Describe a circuit (:class:`LowSideCell` and its parts), ask a question (:func:`double_pulse`,
:func:`operating_point`, :func:`sweep`), look at the answer (``print``, ``.plot()``, or the functions of
:mod:`gateswing.plot`). Numbers are in SI units; text such as ``"4.7 kohm"`` is understood wherever a
number is.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING

from gateswing._core import __version__

if TYPE_CHECKING:
    from .capacitance import DepletionCapacitance, StepCapacitance
    from .capture import Capture, ImportReport, Trace, read_capture
    from .cell import Load, LowSideCell, Snubber, Supply
    from .design_file import Design, Limits, Operation, read_design, write_design
    from .diode import BodyDiode, Diode
    from .driver import PushPullDriver
    from .driver_supply import BootstrapSupply, Decoupling, SeriesPassSupply, ShuntSupply, SupplyLoading
    from .edges import TurnOff, TurnOn
    from .errors import InputError, InputProblem, InputWarning, SafetyCaution, SimulationError
    from .figure_tables import SideBySide, side_by_side
    from .fit import fit_mosfet
    from .fit_report import MosfetFit
    from .logic_drivers import GateDriverIC, MicrocontrollerPin, ParallelGates
    from .measured import MeasuredTurnOff, MeasuredTurnOn, energy_against_skew, measure_edges
    from .measured_recovery import MeasuredRecovery, measure_recovery
    from .mosfet import Mosfet, MosfetChannel
    from .overlays import Overlay, overlay
    from .probe import Probe, RingJudgement
    from .results import DoublePulse, OperatingPoint
    from .sheet import MosfetSheet, read_sheet, write_sheet
    from .studies import double_pulse, operating_point
    from .sweeps import sweep
    from .temperature import DiodeTemperature, MosfetTemperature
    from .thermal import CauerLadder, FosterLadder
    from .thermal_fit import FosterFit, fit_foster
    from .verdict import Verdict, check
    from .waveform import Waveform

# Where each public name lives. Loaded at first use, so that `import gateswing` stays quick.
_HOMES = {
    "capacitance": ("DepletionCapacitance", "StepCapacitance"),
    "capture": ("Capture", "ImportReport", "Trace", "read_capture"),
    "cell": ("Load", "LowSideCell", "Snubber", "Supply"),
    "design_file": ("Design", "Limits", "Operation", "read_design", "write_design"),
    "diode": ("BodyDiode", "Diode"),
    "driver": ("PushPullDriver",),
    "driver_supply": ("BootstrapSupply", "Decoupling", "SeriesPassSupply", "ShuntSupply", "SupplyLoading"),
    "errors": ("InputError", "InputProblem", "InputWarning", "SafetyCaution", "SimulationError"),
    "logic_drivers": ("GateDriverIC", "MicrocontrollerPin", "ParallelGates"),
    "fit": ("fit_mosfet",),
    "fit_report": ("MosfetFit",),
    "measured": ("MeasuredTurnOff", "MeasuredTurnOn", "energy_against_skew", "measure_edges"),
    "measured_recovery": ("MeasuredRecovery", "measure_recovery"),
    "mosfet": ("Mosfet", "MosfetChannel"),
    "edges": ("TurnOff", "TurnOn"),
    "overlays": ("Overlay", "overlay"),
    "probe": ("Probe", "RingJudgement"),
    "results": ("DoublePulse", "OperatingPoint"),
    "sheet": ("MosfetSheet", "read_sheet", "write_sheet"),
    "figure_tables": ("SideBySide", "side_by_side"),
    "studies": ("double_pulse", "operating_point"),
    "sweeps": ("sweep",),
    "temperature": ("DiodeTemperature", "MosfetTemperature"),
    "thermal": ("CauerLadder", "FosterLadder"),
    "thermal_fit": ("FosterFit", "fit_foster"),
    "transistor_drivers": (
        "BipolarTotemPole",
        "EmitterFollower",
        "OptocouplerDriver",
        "PullUpTransistor",
    ),
    "verdict": ("Verdict", "check"),
    "waveform": ("Waveform",),
}
_MODULE_OF = {name: module for module, names in _HOMES.items() for name in names}

__all__ = [
    "BipolarTotemPole",
    "BodyDiode",
    "BootstrapSupply",
    "Capture",
    "CauerLadder",
    "Decoupling",
    "DepletionCapacitance",
    "Design",
    "Diode",
    "DiodeTemperature",
    "DoublePulse",
    "EmitterFollower",
    "FosterFit",
    "FosterLadder",
    "GateDriverIC",
    "ImportReport",
    "InputError",
    "InputProblem",
    "InputWarning",
    "Limits",
    "Load",
    "LowSideCell",
    "MeasuredRecovery",
    "MeasuredTurnOff",
    "MeasuredTurnOn",
    "MicrocontrollerPin",
    "Mosfet",
    "MosfetChannel",
    "MosfetFit",
    "MosfetSheet",
    "MosfetTemperature",
    "OperatingPoint",
    "Operation",
    "OptocouplerDriver",
    "Overlay",
    "ParallelGates",
    "Probe",
    "PullUpTransistor",
    "PushPullDriver",
    "RingJudgement",
    "SafetyCaution",
    "SeriesPassSupply",
    "ShuntSupply",
    "SideBySide",
    "SimulationError",
    "Snubber",
    "StepCapacitance",
    "Supply",
    "SupplyLoading",
    "Trace",
    "TurnOff",
    "TurnOn",
    "Verdict",
    "Waveform",
    "__version__",
    "check",
    "double_pulse",
    "energy_against_skew",
    "fit_foster",
    "fit_mosfet",
    "measure_edges",
    "measure_recovery",
    "operating_point",
    "overlay",
    "read_capture",
    "read_design",
    "read_sheet",
    "side_by_side",
    "sweep",
    "write_design",
    "write_sheet",
]


def __getattr__(name: str) -> object:
    if name not in _MODULE_OF:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value = getattr(importlib.import_module(f".{_MODULE_OF[name]}", __name__), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted(__all__)
