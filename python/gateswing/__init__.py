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
    from .design_file import Design, Limits, Operation, read_design, write_design
    from .diode import BodyDiode, Diode
    from .driver import PushPullDriver
    from .driver_supply import BootstrapSupply, Decoupling, SeriesPassSupply, ShuntSupply, SupplyLoading
    from .edges import TurnOff, TurnOn
    from .errors import InputError, InputProblem, InputWarning, SafetyCaution, SimulationError
    from .fit import fit_mosfet
    from .fit_report import MosfetFit
    from .logic_drivers import GateDriverIC, MicrocontrollerPin, ParallelGates
    from .mosfet import Mosfet, MosfetChannel
    from .optimise import Objective, objective, pareto_front
    from .results import DoublePulse, OperatingPoint
    from .sensitivity import Tornado, tornado
    from .sheet import MosfetSheet, read_sheet, write_sheet
    from .spread import Spread, sheet_spreads
    from .spread_runs import Corners, MonteCarlo, corners, monte_carlo
    from .studies import double_pulse, operating_point
    from .sweep_store import StoreError
    from .sweeps import SweepCost, SweepInterrupted, failed, point_of, retry, sweep, sweep_cost
    from .temperature import DiodeTemperature, MosfetTemperature
    from .thermal import CauerLadder, FosterLadder
    from .thermal_fit import FosterFit, fit_foster
    from .verdict import Verdict, check
    from .waveform import Waveform
    from .yields import Yield, yield_of

# Where each public name lives. Loaded at first use, so that `import gateswing` stays quick.
_HOMES = {
    "capacitance": ("DepletionCapacitance", "StepCapacitance"),
    "cell": ("Load", "LowSideCell", "Snubber", "Supply"),
    "design_file": ("Design", "Limits", "Operation", "read_design", "write_design"),
    "diode": ("BodyDiode", "Diode"),
    "driver": ("PushPullDriver",),
    "driver_supply": ("BootstrapSupply", "Decoupling", "SeriesPassSupply", "ShuntSupply", "SupplyLoading"),
    "errors": ("InputError", "InputProblem", "InputWarning", "SafetyCaution", "SimulationError"),
    "logic_drivers": ("GateDriverIC", "MicrocontrollerPin", "ParallelGates"),
    "fit": ("fit_mosfet",),
    "fit_report": ("MosfetFit",),
    "spread_runs": ("Corners", "MonteCarlo", "corners", "monte_carlo"),
    "mosfet": ("Mosfet", "MosfetChannel"),
    "optimise": ("Objective", "objective", "pareto_front"),
    "edges": ("TurnOff", "TurnOn"),
    "results": ("DoublePulse", "OperatingPoint"),
    "sheet": ("MosfetSheet", "read_sheet", "write_sheet"),
    "spread": ("Spread", "sheet_spreads"),
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
    "verdict": ("Verdict", "check"),
    "waveform": ("Waveform",),
    "yields": ("Yield", "yield_of"),
}
_MODULE_OF = {name: module for module, names in _HOMES.items() for name in names}

__all__ = [
    "BipolarTotemPole",
    "BodyDiode",
    "BootstrapSupply",
    "CauerLadder",
    "Corners",
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
    "InputError",
    "InputProblem",
    "InputWarning",
    "Limits",
    "Load",
    "LowSideCell",
    "MicrocontrollerPin",
    "MonteCarlo",
    "Mosfet",
    "MosfetChannel",
    "MosfetFit",
    "MosfetSheet",
    "MosfetTemperature",
    "Objective",
    "OperatingPoint",
    "Operation",
    "OptocouplerDriver",
    "ParallelGates",
    "PullUpTransistor",
    "PushPullDriver",
    "SafetyCaution",
    "SeriesPassSupply",
    "ShuntSupply",
    "SimulationError",
    "Snubber",
    "Spread",
    "StepCapacitance",
    "StoreError",
    "Supply",
    "SupplyLoading",
    "SweepCost",
    "SweepInterrupted",
    "Tornado",
    "TurnOff",
    "TurnOn",
    "Verdict",
    "Waveform",
    "Yield",
    "__version__",
    "check",
    "corners",
    "double_pulse",
    "failed",
    "fit_foster",
    "fit_mosfet",
    "monte_carlo",
    "objective",
    "operating_point",
    "pareto_front",
    "point_of",
    "read_design",
    "read_sheet",
    "retry",
    "sheet_spreads",
    "sweep",
    "sweep_cost",
    "tornado",
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
