"""Time-domain simulation of how a driver switches a power MOSFET.

Describe a circuit (:class:`LowSideCell` or :class:`HalfBridgeCell`, and their parts), ask a question
(:func:`double_pulse`, :func:`operating_point`, :func:`sweep`, :func:`inductive_turn_off`,
:func:`half_bridge_edges`, :func:`half_bridge_point`), look at the answer (``print``, ``.plot()``, or the
functions of :mod:`gateswing.plot`). Numbers are in SI units; text such as ``"4.7 kohm"`` is understood
wherever a number is.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING

from gateswing._core import __version__

if TYPE_CHECKING:
    from .bench import virtual_bench
    from .bench_report import BenchReport
    from .bootstrap_duty import BootstrapLimit, bootstrap_limit
    from .bridge_operation import dead_time_losses, half_bridge_point
    from .bridge_point import HalfBridgePoint
    from .bridge_studies import dead_time_sweep, half_bridge_edges
    from .capacitance import DepletionCapacitance, StepCapacitance
    from .capture import Capture, ImportReport, Trace, read_capture
    from .cell import LowSideCell, Snubber, Supply
    from .clamp import ClampSize, size_clamp
    from .clamps import RcdClamp, ZenerClamp
    from .commutation import Commutation, HalfBridgeEdges
    from .cooling import Cooling, HeatPath
    from .design_file import Design, Limits, Operation, read_design, write_design
    from .diode import BodyDiode, Diode
    from .driver import PushPullDriver
    from .driver_supply import BootstrapSupply, Decoupling, SeriesPassSupply, ShuntSupply, SupplyLoading
    from .edge_limits import EdgeLimit, EdgeLimits
    from .edges import TurnOff, TurnOn
    from .errors import (
        InputError,
        InputProblem,
        InputWarning,
        SafetyCaution,
        SimulationError,
        TopologyWarning,
    )
    from .estimate_report import Estimation
    from .estimates import estimate
    from .explorer import Explorer, explorer
    from .figure_tables import SideBySide, side_by_side
    from .fit import fit_mosfet
    from .fit_report import MosfetFit
    from .follower import SourceFollower, source_follower
    from .frequency_limit import FrequencyLimit, HighestFrequency, highest_frequency
    from .gate_resistance import GateResistanceChoice, ResistanceCurve, choose_gate_resistance
    from .half_bridge import Bootstrap, BridgeSwitch, HalfBridgeCell, Output
    from .hand import HandFormulas
    from .limit_checks import LimitCheck
    from .loads import LedString, Load, Motor, Solenoid
    from .locus import SwitchingLocus, switching_locus
    from .logic_drivers import GateDriverIC, MicrocontrollerPin, ParallelGates
    from .measured import MeasuredTurnOff, MeasuredTurnOn, measure_edges
    from .measured_recovery import MeasuredRecovery, measure_recovery
    from .mosfet import Mosfet, MosfetChannel
    from .next_change import Change
    from .optimise import Objective, objective, pareto_front
    from .overlays import Overlay, overlay
    from .parallel_mosfets import CurrentSharing, ParallelMosfet, current_sharing
    from .part_file import PartFile
    from .part_library import PartLibrary, part, parts
    from .part_tests import (
        AvalancheTest,
        GateChargeTest,
        RecoveryTest,
        avalanche_test,
        gate_charge_test,
        recovery_test,
    )
    from .preferred import preferred_value, preferred_values
    from .probe import Probe, RingJudgement
    from .release import InductiveTurnOff, inductive_turn_off
    from .reporting import Report, report
    from .results import DoublePulse, OperatingPoint
    from .ring import RingElements, SnubberSize, ring_elements
    from .sensitivity import Tornado, tornado
    from .sheet import MosfetSheet, read_sheet, write_sheet
    from .sheet_checks import sheet_warnings
    from .skew import Skew, energy_against_skew, estimate_skew
    from .snubber import SnubberDesign, SnubberEffect, snubber_for
    from .spread import Spread, sheet_spreads
    from .spread_runs import Corners, MonteCarlo, corners, monte_carlo
    from .studies import double_pulse, operating_point
    from .sweep_store import StoreError
    from .sweep_waveforms import waveforms_of
    from .sweeps import SweepCost, SweepInterrupted, failed, point_of, retry, sweep, sweep_cost
    from .temperature import DiodeTemperature, MosfetTemperature
    from .thermal import CauerLadder, FosterLadder
    from .thermal_fit import FosterFit, fit_foster
    from .transistor_drivers import BipolarTotemPole, EmitterFollower, OptocouplerDriver, PullUpTransistor
    from .undriven_gate import FloatingGate, floating_gate
    from .verdict import Verdict, check, quick_check
    from .waveform import Waveform
    from .yields import Yield, yield_of

# Where each public name lives. Loaded at first use, so that `import gateswing` stays quick.
_HOMES = {
    "bench": ("virtual_bench",),
    "bench_report": ("BenchReport",),
    "bootstrap_duty": ("BootstrapLimit", "bootstrap_limit"),
    "bridge_operation": ("dead_time_losses", "half_bridge_point"),
    "bridge_point": ("HalfBridgePoint",),
    "bridge_studies": ("dead_time_sweep", "half_bridge_edges"),
    "capacitance": ("DepletionCapacitance", "StepCapacitance"),
    "capture": ("Capture", "ImportReport", "Trace", "read_capture"),
    "cell": ("LowSideCell", "Snubber", "Supply"),
    "loads": ("LedString", "Load", "Motor", "Solenoid"),
    "clamps": ("RcdClamp", "ZenerClamp"),
    "commutation": ("Commutation", "HalfBridgeEdges"),
    "clamp": ("ClampSize", "size_clamp"),
    "cooling": ("Cooling", "HeatPath"),
    "parallel_mosfets": ("CurrentSharing", "ParallelMosfet", "current_sharing"),
    "design_file": ("Design", "Limits", "Operation", "read_design", "write_design"),
    "diode": ("BodyDiode", "Diode"),
    "driver": ("PushPullDriver",),
    "driver_supply": ("BootstrapSupply", "Decoupling", "SeriesPassSupply", "ShuntSupply", "SupplyLoading"),
    "estimate_report": ("Estimation",),
    "estimates": ("estimate",),
    "errors": (
        "InputError",
        "InputProblem",
        "InputWarning",
        "SafetyCaution",
        "SimulationError",
        "TopologyWarning",
    ),
    "explorer": ("Explorer", "explorer"),
    "undriven_gate": ("FloatingGate", "floating_gate"),
    "half_bridge": ("Bootstrap", "BridgeSwitch", "HalfBridgeCell", "Output"),
    "release": ("InductiveTurnOff", "inductive_turn_off"),
    "frequency_limit": ("FrequencyLimit", "HighestFrequency", "highest_frequency"),
    "limit_checks": ("LimitCheck",),
    "locus": ("SwitchingLocus", "switching_locus"),
    "next_change": ("Change",),
    "gate_resistance": ("GateResistanceChoice", "ResistanceCurve", "choose_gate_resistance"),
    "hand": ("HandFormulas",),
    "logic_drivers": ("GateDriverIC", "MicrocontrollerPin", "ParallelGates"),
    "fit": ("fit_mosfet",),
    "fit_report": ("MosfetFit",),
    "spread_runs": ("Corners", "MonteCarlo", "corners", "monte_carlo"),
    "measured": ("MeasuredTurnOff", "MeasuredTurnOn", "measure_edges"),
    "measured_recovery": ("MeasuredRecovery", "measure_recovery"),
    "mosfet": ("Mosfet", "MosfetChannel"),
    "edge_limits": ("EdgeLimit", "EdgeLimits"),
    "optimise": ("Objective", "objective", "pareto_front"),
    "edges": ("TurnOff", "TurnOn"),
    "preferred": ("preferred_value", "preferred_values"),
    "reporting": ("Report", "report"),
    "part_file": ("PartFile",),
    "part_library": ("PartLibrary", "part", "parts"),
    "part_tests": (
        "AvalancheTest",
        "GateChargeTest",
        "RecoveryTest",
        "avalanche_test",
        "gate_charge_test",
        "recovery_test",
    ),
    "overlays": ("Overlay", "overlay"),
    "probe": ("Probe", "RingJudgement"),
    "results": ("DoublePulse", "OperatingPoint"),
    "ring": ("RingElements", "SnubberSize", "ring_elements"),
    "skew": ("Skew", "energy_against_skew", "estimate_skew"),
    "snubber": ("SnubberDesign", "SnubberEffect", "snubber_for"),
    "sheet": ("MosfetSheet", "read_sheet", "write_sheet"),
    "sheet_checks": ("sheet_warnings",),
    "follower": ("SourceFollower", "source_follower"),
    "spread": ("Spread", "sheet_spreads"),
    "figure_tables": ("SideBySide", "side_by_side"),
    "studies": ("double_pulse", "operating_point"),
    "sweep_store": ("StoreError",),
    "sweeps": ("SweepCost", "SweepInterrupted", "failed", "point_of", "retry", "sweep", "sweep_cost"),
    "temperature": ("DiodeTemperature", "MosfetTemperature"),
    "thermal": ("CauerLadder", "FosterLadder"),
    "thermal_fit": ("FosterFit", "fit_foster"),
    "sensitivity": ("Tornado", "tornado"),
    "transistor_drivers": (
        "BipolarTotemPole",
        "EmitterFollower",
        "OptocouplerDriver",
        "PullUpTransistor",
    ),
    "sweep_waveforms": ("waveforms_of",),
    "verdict": ("Verdict", "check", "quick_check"),
    "waveform": ("Waveform",),
    "yields": ("Yield", "yield_of"),
}
_MODULE_OF = {name: module for module, names in _HOMES.items() for name in names}

__all__ = [
    "AvalancheTest",
    "BenchReport",
    "BipolarTotemPole",
    "BodyDiode",
    "Bootstrap",
    "BootstrapLimit",
    "BootstrapSupply",
    "BridgeSwitch",
    "Capture",
    "CauerLadder",
    "Change",
    "ClampSize",
    "Commutation",
    "Cooling",
    "Corners",
    "CurrentSharing",
    "Decoupling",
    "DepletionCapacitance",
    "Design",
    "Diode",
    "DiodeTemperature",
    "DoublePulse",
    "EdgeLimit",
    "EdgeLimits",
    "EmitterFollower",
    "Estimation",
    "Explorer",
    "FloatingGate",
    "FosterFit",
    "FosterLadder",
    "FrequencyLimit",
    "GateChargeTest",
    "GateDriverIC",
    "GateResistanceChoice",
    "HalfBridgeCell",
    "HalfBridgeEdges",
    "HalfBridgePoint",
    "HandFormulas",
    "HeatPath",
    "HighestFrequency",
    "ImportReport",
    "InductiveTurnOff",
    "InputError",
    "InputProblem",
    "InputWarning",
    "LedString",
    "LimitCheck",
    "Limits",
    "Load",
    "LowSideCell",
    "MeasuredRecovery",
    "MeasuredTurnOff",
    "MeasuredTurnOn",
    "MicrocontrollerPin",
    "MonteCarlo",
    "Mosfet",
    "MosfetChannel",
    "MosfetFit",
    "MosfetSheet",
    "MosfetTemperature",
    "Motor",
    "Objective",
    "OperatingPoint",
    "Operation",
    "OptocouplerDriver",
    "Output",
    "Overlay",
    "ParallelGates",
    "ParallelMosfet",
    "PartFile",
    "PartLibrary",
    "Probe",
    "PullUpTransistor",
    "PushPullDriver",
    "RcdClamp",
    "RecoveryTest",
    "Report",
    "ResistanceCurve",
    "RingElements",
    "RingJudgement",
    "SafetyCaution",
    "SeriesPassSupply",
    "ShuntSupply",
    "SideBySide",
    "SimulationError",
    "Skew",
    "Snubber",
    "SnubberDesign",
    "SnubberEffect",
    "SnubberSize",
    "Solenoid",
    "SourceFollower",
    "Spread",
    "StepCapacitance",
    "StoreError",
    "Supply",
    "SupplyLoading",
    "SweepCost",
    "SweepInterrupted",
    "SwitchingLocus",
    "TopologyWarning",
    "Tornado",
    "Trace",
    "TurnOff",
    "TurnOn",
    "Verdict",
    "Waveform",
    "Yield",
    "ZenerClamp",
    "__version__",
    "avalanche_test",
    "bootstrap_limit",
    "check",
    "choose_gate_resistance",
    "corners",
    "current_sharing",
    "dead_time_losses",
    "dead_time_sweep",
    "double_pulse",
    "energy_against_skew",
    "estimate",
    "estimate_skew",
    "explorer",
    "failed",
    "fit_foster",
    "fit_mosfet",
    "floating_gate",
    "gate_charge_test",
    "half_bridge_edges",
    "half_bridge_point",
    "highest_frequency",
    "inductive_turn_off",
    "measure_edges",
    "measure_recovery",
    "monte_carlo",
    "objective",
    "operating_point",
    "overlay",
    "pareto_front",
    "part",
    "parts",
    "point_of",
    "preferred_value",
    "preferred_values",
    "quick_check",
    "read_capture",
    "read_design",
    "read_sheet",
    "recovery_test",
    "report",
    "retry",
    "ring_elements",
    "sheet_spreads",
    "sheet_warnings",
    "side_by_side",
    "size_clamp",
    "snubber_for",
    "source_follower",
    "sweep",
    "sweep_cost",
    "switching_locus",
    "tornado",
    "virtual_bench",
    "waveforms_of",
    "write_design",
    "write_sheet",
    "yield_of",
]


def __getattr__(name: str) -> object:
    if name not in _MODULE_OF:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value = getattr(importlib.import_module(f".{_MODULE_OF[name]}", __name__), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted(__all__)
