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
    from .cell import Load, LowSideCell, Snubber, Supply
    from .clamp import ClampSize, size_clamp
    from .design_file import Design, Limits, Operation, read_design, write_design
    from .diode import BodyDiode, Diode
    from .driver import PushPullDriver
    from .driver_supply import BootstrapSupply, Decoupling, SeriesPassSupply, ShuntSupply, SupplyLoading
    from .edge_limits import EdgeLimit, EdgeLimits
    from .edges import TurnOff, TurnOn
    from .errors import InputError, InputProblem, InputWarning, SafetyCaution, SimulationError
    from .fit import fit_mosfet
    from .fit_report import MosfetFit
    from .frequency_limit import FrequencyLimit, HighestFrequency, highest_frequency
    from .gate_resistance import GateResistanceChoice, choose_gate_resistance
    from .hand import HandFormulas
    from .limit_checks import LimitCheck
    from .logic_drivers import GateDriverIC, MicrocontrollerPin, ParallelGates
    from .mosfet import Mosfet, MosfetChannel
    from .next_change import Change
    from .preferred import preferred_value, preferred_values
    from .reporting import Report, report
    from .results import DoublePulse, OperatingPoint
    from .ring import RingElements, SnubberSize, ring_elements
    from .sheet import MosfetSheet, read_sheet, write_sheet
    from .snubber import SnubberDesign, snubber_for
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
    "cell": ("Load", "LowSideCell", "Snubber", "Supply"),
    "clamp": ("ClampSize", "size_clamp"),
    "design_file": ("Design", "Limits", "Operation", "read_design", "write_design"),
    "diode": ("BodyDiode", "Diode"),
    "driver": ("PushPullDriver",),
    "driver_supply": ("BootstrapSupply", "Decoupling", "SeriesPassSupply", "ShuntSupply", "SupplyLoading"),
    "errors": ("InputError", "InputProblem", "InputWarning", "SafetyCaution", "SimulationError"),
    "frequency_limit": ("FrequencyLimit", "HighestFrequency", "highest_frequency"),
    "limit_checks": ("LimitCheck",),
    "next_change": ("Change",),
    "gate_resistance": ("GateResistanceChoice", "choose_gate_resistance"),
    "hand": ("HandFormulas",),
    "logic_drivers": ("GateDriverIC", "MicrocontrollerPin", "ParallelGates"),
    "fit": ("fit_mosfet",),
    "fit_report": ("MosfetFit",),
    "mosfet": ("Mosfet", "MosfetChannel"),
    "edge_limits": ("EdgeLimit", "EdgeLimits"),
    "edges": ("TurnOff", "TurnOn"),
    "preferred": ("preferred_value", "preferred_values"),
    "reporting": ("Report", "report"),
    "results": ("DoublePulse", "OperatingPoint"),
    "ring": ("RingElements", "SnubberSize", "ring_elements"),
    "snubber": ("SnubberDesign", "snubber_for"),
    "sheet": ("MosfetSheet", "read_sheet", "write_sheet"),
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
    "CauerLadder",
    "Change",
    "ClampSize",
    "Decoupling",
    "DepletionCapacitance",
    "Design",
    "Diode",
    "DiodeTemperature",
    "DoublePulse",
    "EdgeLimit",
    "EdgeLimits",
    "EmitterFollower",
    "FosterFit",
    "FosterLadder",
    "FrequencyLimit",
    "GateDriverIC",
    "GateResistanceChoice",
    "HandFormulas",
    "HighestFrequency",
    "InputError",
    "InputProblem",
    "InputWarning",
    "LimitCheck",
    "Limits",
    "Load",
    "LowSideCell",
    "MicrocontrollerPin",
    "Mosfet",
    "MosfetChannel",
    "MosfetFit",
    "MosfetSheet",
    "MosfetTemperature",
    "OperatingPoint",
    "Operation",
    "OptocouplerDriver",
    "ParallelGates",
    "PullUpTransistor",
    "PushPullDriver",
    "Report",
    "RingElements",
    "SafetyCaution",
    "SeriesPassSupply",
    "ShuntSupply",
    "SimulationError",
    "Snubber",
    "SnubberDesign",
    "SnubberSize",
    "StepCapacitance",
    "Supply",
    "SupplyLoading",
    "TurnOff",
    "TurnOn",
    "Verdict",
    "Waveform",
    "__version__",
    "check",
    "choose_gate_resistance",
    "double_pulse",
    "fit_foster",
    "fit_mosfet",
    "highest_frequency",
    "operating_point",
    "preferred_value",
    "preferred_values",
    "read_design",
    "read_sheet",
    "report",
    "ring_elements",
    "size_clamp",
    "snubber_for",
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
