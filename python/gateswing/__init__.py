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

from .earlier_modules import answer_to_earlier_names
from .public_names import MODULE_OF

if TYPE_CHECKING:
    from . import formulas as formulas
    from . import plot as plot
    from . import testing as testing
    from .capture import Capture, ImportReport, Trace, read_capture
    from .capture.report import Understood
    from .choices.clamp import ClampSize, size_clamp
    from .choices.edge_limits import EdgeLimit, EdgeLimits
    from .choices.frequency_limit import FrequencyLimit, HighestFrequency, highest_frequency
    from .choices.gate_resistance import GateResistanceChoice, ResistanceCurve, choose_gate_resistance
    from .choices.optimise import Objective, objective, pareto_front
    from .choices.ring import RingElements, SnubberSize, ring_elements
    from .choices.snubber import SnubberDesign, SnubberEffect, snubber_for
    from .circuit.bridge_limits import BridgeLimits
    from .circuit.capacitance import DepletionCapacitance, StepCapacitance
    from .circuit.cell import LowSideCell, Snubber, Supply
    from .circuit.clamps import RcdClamp, ZenerClamp
    from .circuit.cooling import Cooling, HeatPath
    from .circuit.design_file import BridgeDesign, Design, Limits, read_design, write_design
    from .circuit.diode import BodyDiode, Diode
    from .circuit.driver import Driver, PushPullDriver
    from .circuit.driver_supply import (
        BootstrapSupply,
        Decoupling,
        SeriesPassSupply,
        ShuntSupply,
        SupplyLoading,
    )
    from .circuit.half_bridge import Bootstrap, BridgeSwitch, HalfBridgeCell, Output
    from .circuit.loads import LedString, Load, Motor, Solenoid
    from .circuit.logic_drivers import GateDriverIC, MicrocontrollerPin, ParallelGates
    from .circuit.mosfet import Mosfet, MosfetChannel
    from .circuit.operation import BridgeOperation, Operation
    from .circuit.temperature import DiodeTemperature, MosfetTemperature
    from .circuit.thermal import CauerLadder, FosterLadder, PulsePeak
    from .circuit.thermal_fit import FosterFit, fit_foster
    from .circuit.transistor_drivers import (
        BipolarTotemPole,
        EmitterFollower,
        OptocouplerDriver,
        PullUpTransistor,
    )
    from .circuit_checks.floating_gate import FloatingGate, floating_gate
    from .circuit_checks.sheet import sheet_warnings
    from .datasheet.fit import fit_mosfet
    from .datasheet.fit_report import FitParameter, FitRow, MosfetFit
    from .datasheet.gate_charge import GateChargeCurve
    from .datasheet.sheet import (
        AvalancheEntry,
        CapacitancePoint,
        DiodeForward,
        GateChargeEntry,
        HotDiodeForward,
        MosfetSheet,
        OnResistance,
        OnResistanceRatio,
        OutputChargeEntry,
        ReverseRecovery,
        SwitchingEntry,
        ThermalImpedance,
        ThermalSheet,
        Threshold,
        Transconductance,
        read_sheet,
        write_sheet,
    )
    from .errors import (
        InputError,
        InputProblem,
        InputWarning,
        SafetyCaution,
        SimulationError,
        TopologyWarning,
    )
    from .figure_tables import SideBySide, side_by_side
    from .figures import Figures
    from .hand_formulas.listing import Bias, Explanation, Given, HandFigure, HandFormulas
    from .library.part_file import PartFile, StatedValue
    from .library.part_library import PartLibrary, part, parts
    from .limits.change import Change
    from .limits.checks import LimitCheck
    from .limits.verdict import BridgeVerdict, Verdict, check, quick_check
    from .measurement.edges import MeasuredTurnOff, MeasuredTurnOn, measure_edges
    from .measurement.estimate import estimate
    from .measurement.fitted_edges import FigureEstimate
    from .measurement.overlay import Overlay, Residual, overlay
    from .measurement.probe import Probe, RingJudgement
    from .measurement.recovery import MeasuredRecovery, measure_recovery
    from .measurement.report import Estimate, Estimation, InstrumentEstimate
    from .measurement.skew import Skew, energy_against_skew, estimate_skew
    from .model import Quantity
    from .preferred import preferred_value, preferred_values
    from .quantities import Interval
    from .reporting import Report, report
    from .reporting.explorer import Explorer, explorer
    from .studies.asking import double_pulse, operating_point
    from .studies.bootstrap_duty import BootstrapLimit, bootstrap_limit
    from .studies.bridge_edges import dead_time_sweep, half_bridge_edges
    from .studies.bridge_operation import half_bridge_point
    from .studies.bridge_point import HalfBridgePoint, SwitchFigures
    from .studies.commutation import Commutation, HalfBridgeEdges
    from .studies.current_sharing import (
        CurrentSharing,
        ParallelMosfet,
        SharedCurrent,
        current_sharing,
    )
    from .studies.dead_time import dead_time_losses
    from .studies.edges import TurnOff, TurnOn
    from .studies.inductive_turn_off import InductiveTurnOff, inductive_turn_off
    from .studies.results import (
        CauseLoss,
        DoublePulse,
        LedgerEntry,
        OperatingPoint,
        Statistics,
    )
    from .studies.source_follower import SourceFollower, source_follower
    from .studies.switching_locus import SwitchingLocus, UsedShare, switching_locus
    from .sweeping.cost import SweepCost
    from .sweeping.store import StoreError
    from .sweeping.sweep import SweepInterrupted, failed, point_of, retry, sweep, sweep_cost
    from .sweeping.waveforms import waveforms_of
    from .test_bench.part_tests import (
        AvalancheTest,
        GateChargeTest,
        RecoveryTest,
        avalanche_test,
        gate_charge_test,
        recovery_test,
    )
    from .test_bench.report import BenchReport, BenchRow
    from .test_bench.virtual_bench import virtual_bench
    from .tolerance.runs import Corners, MonteCarlo, corners, monte_carlo
    from .tolerance.sensitivity import Tornado, TornadoBar, tornado
    from .tolerance.spreads import Distribution, Spread, sheet_spreads
    from .tolerance.yields import Yield, YieldEntry, yield_of
    from .waveforms.waveform import Waveform

__all__ = [
    "AvalancheEntry",
    "AvalancheTest",
    "BenchReport",
    "BenchRow",
    "Bias",
    "BipolarTotemPole",
    "BodyDiode",
    "Bootstrap",
    "BootstrapLimit",
    "BootstrapSupply",
    "BridgeDesign",
    "BridgeLimits",
    "BridgeOperation",
    "BridgeSwitch",
    "BridgeVerdict",
    "CapacitancePoint",
    "Capture",
    "CauerLadder",
    "CauseLoss",
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
    "DiodeForward",
    "DiodeTemperature",
    "Distribution",
    "DoublePulse",
    "Driver",
    "EdgeLimit",
    "EdgeLimits",
    "EmitterFollower",
    "Estimate",
    "Estimation",
    "Explanation",
    "Explorer",
    "FigureEstimate",
    "Figures",
    "FitParameter",
    "FitRow",
    "FloatingGate",
    "FosterFit",
    "FosterLadder",
    "FrequencyLimit",
    "GateChargeCurve",
    "GateChargeEntry",
    "GateChargeTest",
    "GateDriverIC",
    "GateResistanceChoice",
    "Given",
    "HalfBridgeCell",
    "HalfBridgeEdges",
    "HalfBridgePoint",
    "HandFigure",
    "HandFormulas",
    "HeatPath",
    "HighestFrequency",
    "HotDiodeForward",
    "ImportReport",
    "InductiveTurnOff",
    "InputError",
    "InputProblem",
    "InputWarning",
    "InstrumentEstimate",
    "Interval",
    "LedString",
    "LedgerEntry",
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
    "OnResistance",
    "OnResistanceRatio",
    "OperatingPoint",
    "Operation",
    "OptocouplerDriver",
    "Output",
    "OutputChargeEntry",
    "Overlay",
    "ParallelGates",
    "ParallelMosfet",
    "PartFile",
    "PartLibrary",
    "Probe",
    "PullUpTransistor",
    "PulsePeak",
    "PushPullDriver",
    "Quantity",
    "RcdClamp",
    "RecoveryTest",
    "Report",
    "Residual",
    "ResistanceCurve",
    "ReverseRecovery",
    "RingElements",
    "RingJudgement",
    "SafetyCaution",
    "SeriesPassSupply",
    "SharedCurrent",
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
    "StatedValue",
    "Statistics",
    "StepCapacitance",
    "StoreError",
    "Supply",
    "SupplyLoading",
    "SweepCost",
    "SweepInterrupted",
    "SwitchFigures",
    "SwitchingEntry",
    "SwitchingLocus",
    "ThermalImpedance",
    "ThermalSheet",
    "Threshold",
    "TopologyWarning",
    "Tornado",
    "TornadoBar",
    "Trace",
    "Transconductance",
    "TurnOff",
    "TurnOn",
    "Understood",
    "UsedShare",
    "Verdict",
    "Waveform",
    "Yield",
    "YieldEntry",
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


answer_to_earlier_names()
_PACKAGES = ("formulas", "plot", "testing")  # public too, loaded at first use likewise


def __getattr__(name: str) -> object:
    if name in _PACKAGES:
        return importlib.import_module(f".{name}", __name__)
    if name not in MODULE_OF:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value = getattr(importlib.import_module(f".{MODULE_OF[name]}", __name__), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted(__all__)
