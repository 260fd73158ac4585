"""The modules of version 0.1.0, which pickles of that version name: they lay beside each other then."""

from __future__ import annotations

import sys
from importlib import import_module
from importlib.abc import Loader, MetaPathFinder
from importlib.machinery import ModuleSpec
from types import ModuleType

__all__ = ["answer_to_earlier_names"]

_MOVED = {
    "test_bench": "part_tests",
    "choices": "clamp edge_limits frequency_limit gate_resistance optimise ring snubber",
    "circuit": "capacitance cell clamps cooling design_file diode driver driver_supply half_bridge loads "
    "logic_drivers mosfet named_part temperature thermal transistor_drivers",
    "datasheet": "fit fit_parameters fit_report sheet",
    "library": "part_file part_library part_packs",
    "measurement": "probe skew",
    "tolerance": "sensitivity yields",
    "studies": "bootstrap_duty bridge_point commutation edges results",
    "limits": "helpful_changes limit_check next_change verdict",
    "waveforms": "waveform",
}  # into a package, under their own names
_RENAMED = {
    "bench_report": "test_bench.report",
    "estimate_model": "measurement.model",
    "estimate_report": "measurement.report",
    "follower": "studies.source_follower",
    "hand": "hand_formulas.listing",
    "locus": "studies.switching_locus",
    "measured": "measurement.edges",
    "measured_recovery": "measurement.recovery",
    "measured_view": "measurement.view",
    "overlays": "measurement.overlay",
    "parallel_mosfets": "studies.current_sharing",
    "release": "studies.inductive_turn_off",
    "spread": "tolerance.spreads",
    "spread_runs": "tolerance.runs",
    "sweep_axes": "sweeping.axes",
    "sweep_chunk": "sweeping.chunk",
    "sweep_store": "sweeping.store",
    "sweeps": "sweeping.sweep",
    "undriven_gate": "circuit_checks.floating_gate",
}
_HOMES = _RENAMED | {name: f"{package}.{name}" for package, names in _MOVED.items() for name in names.split()}
_PARENT = __name__.rpartition(".")[0]


class _EarlierModules(MetaPathFinder, Loader):
    """Finds a module by its earlier name: an empty one that takes each name from where it is now.

    That is the module that has its place, or, of a public name that has moved on, the package.
    """

    def find_spec(self, fullname: str, *_unused: object) -> ModuleSpec | None:
        parent, _, name = fullname.rpartition(".")
        return ModuleSpec(fullname, self) if parent == _PARENT and name in _HOMES else None

    def exec_module(self, module: ModuleType) -> None:
        now = import_module(f"{_PARENT}.{_HOMES[module.__name__.rpartition('.')[2]]}")
        package = import_module(_PARENT)
        module.__getattr__ = lambda name: getattr(  # type: ignore[method-assign]
            now if hasattr(now, name) else package, name
        )


def answer_to_earlier_names() -> None:
    """Let modules be found by their earlier names too, after all other ways of finding them."""
    sys.meta_path.append(_EarlierModules())
