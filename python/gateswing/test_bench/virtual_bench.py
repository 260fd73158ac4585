"""The virtual test bench: a data sheet's tests simulated with a model, each figure beside the printed one."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from typing import Any, TypeVar

from ..cautions import voltage_cautions
from ..circuit.cell import LowSideCell
from ..circuit.diode import Diode
from ..circuit.driver import PushPullDriver
from ..circuit.loads import Load
from ..circuit.mosfet import Mosfet
from ..datasheet import static_figures
from ..datasheet.entries import SheetEntry, model_values, sheet_entries, sheet_of, simulated_entries
from ..datasheet.fit_report import MosfetFit
from ..datasheet.sheet import MosfetSheet, SwitchingEntry
from ..errors import InputError, InputWarning, SafetyCaution
from ..quantities import format_quantity
from ..studies.asking import quiet_double_pulse
from ..studies.results import DoublePulse
from .part_tests import (
    AvalancheTest,
    GateChargeTest,
    PartTest,
    RecoveryTest,
    avalanche_test,
    gate_charge_test,
    recovery_test,
)
from .report import BenchReport, BenchRow

__all__ = ["switching_cell", "virtual_bench"]

# Reverse voltage [V] of a recovery test whose sheet prints none: what recovers is then the junction, with
# next to no capacitive charge.
_JUNCTION_ALONE = 1.0
# The generator of the switching tests: its edges, and the least resistance that it can have. No source.
_EDGE, _LEAST_RESISTANCE = 1e-9, 1e-3
# Conditions of a bench without a sheet, common practice, no source: shares of the breakdown voltage and of
# the rated gate voltage, drop over the on-resistance [V], time in which the current falls to zero [s], gate
# resistor [ohm], choke [H].
_DRAIN_SHARE, _GATE_SHARE, _DROP, _RAMP, _GATE_RESISTANCE, _CHOKE = 0.5, 0.5, 0.25, 0.2e-6, 10.0, 100e-6

Answer = TypeVar("Answer", bound="PartTest | DoublePulse")


def virtual_bench(
    part: Mosfet | MosfetFit,
    sheet: MosfetSheet | None = None,
    *,
    freewheel: Diode | None = None,
    relative_tolerance: float = 1e-6,
) -> BenchReport:
    """Put a model through the tests of a data sheet.

    Gate charge, reverse recovery, switching and avalanche are simulated in time; what a tester measures at
    rest (threshold, on-resistance, capacitances and so on) is computed in closed form.

    Args:
        part: a model, or a fit: then the report tells figures that the fit aimed at from those that are a
            real test of it.
        sheet: printed figures and conditions; left out: of a fit its own sheet, else usual conditions, and
            what is given are the model's own closed forms.
        freewheel: diode of tests with an inductive load; left out: the body diode of a second such part, with
            its drain-source capacitance.
        relative_tolerance: of the integrator.

    Raises:
        InputError: the tolerance is out of range.
    """
    if isinstance(part, MosfetFit):
        mosfet, sheet = part.mosfet, sheet or part.sheet
        used = frozenset(row.path for row in part.report if row.used)
    else:
        mosfet, used = part, frozenset()
    bench = _Bench(mosfet, sheet or _own_sheet(mosfet), freewheel, relative_tolerance)
    values = model_values(mosfet, bench.sheet) | bench.values
    in_time = frozenset(bench.values) | {entry.path for entry in simulated_entries(bench.sheet)}
    rows = [
        BenchRow(*entry, values.get(entry.path, math.nan), entry.path in used, entry.path in in_time)
        for entry in _in_order(bench.sheet)
    ]
    return BenchReport(
        mosfet=mosfet,
        sheet=bench.sheet,
        report=tuple(rows),
        gate_charge=bench.gate_charge,
        recovery=bench.recovery,
        switching=bench.switching,
        avalanche=bench.avalanche,
        warnings=tuple(bench.warnings),
        cautions=tuple(_cautions(bench.sheet)),
    )


def switching_cell(mosfet: Mosfet, entry: SwitchingEntry, freewheel: Diode | None = None) -> LowSideCell:
    """The circuit of a switching entry: generator, load and part, without any inductance of wires.

    Args:
        mosfet: the part, with its leads.
        entry: the conditions.
        freewheel: of an inductive load; left out: as :func:`virtual_bench` has it.
    """
    resistance = max(entry.gate_resistance, _LEAST_RESISTANCE)
    inductive = entry.load == "inductive"
    return LowSideCell(
        bus=entry.drain_voltage,
        mosfet=mosfet,
        driver=PushPullDriver(
            supply_voltage=entry.gate_voltage,
            source_resistance=resistance,
            sink_resistance=resistance,
            rise_time=_EDGE,
            fall_time=_EDGE,
        ),
        load=Load(constant_current=entry.drain_current)
        if inductive
        else Load(resistance=entry.drain_voltage / entry.drain_current),
        freewheel=(freewheel or _second_part(mosfet)) if inductive else None,
    )


def _second_part(mosfet: Mosfet) -> Diode:
    body = mosfet.body_diode
    names = (
        "forward_voltage",
        "forward_current",
        "emission_voltage",
        "transit_time",
        "lifetime",
        "temperature",
    )
    return Diode(
        capacitance=mosfet.drain_source_capacitance,
        **{name: getattr(body, name) for name in names},
    )


class _Bench:
    """Runs the tests that the sheet has conditions for."""

    def __init__(
        self, mosfet: Mosfet, sheet: MosfetSheet, freewheel: Diode | None, relative_tolerance: float
    ) -> None:
        self.sheet, self.warnings = sheet, list[InputWarning]()
        self.values: dict[str, float] = {}
        self._mosfet, self._tolerance = mosfet, {"relative_tolerance": relative_tolerance}
        self.gate_charge = self._gate_charge()
        self.recovery = self._recovery()
        self.avalanche = self._avalanche()
        self.switching = tuple(self._switching(freewheel))

    def _gate_charge(self) -> GateChargeTest | None:
        entry = self.sheet.gate_charge
        if entry is None:
            return None
        conditions = _fields(entry, "drain_voltage", "drain_current", "gate_voltage")
        conditions["threshold_current"] = self.sheet.threshold.drain_current
        found = self._run("gate_charge", gate_charge_test, self._mosfet, **conditions)
        self._keep("gate_charge", found)
        return found

    def _recovery(self) -> RecoveryTest | None:
        entry = self.sheet.reverse_recovery
        if entry is None:
            return None
        conditions = _fields(entry, "forward_current", "current_slope")
        conditions["reverse_voltage"] = entry.reverse_voltage or _JUNCTION_ALONE
        found = self._run("reverse_recovery", recovery_test, self._mosfet, **conditions)
        self._keep("reverse_recovery", found)
        return found

    def _avalanche(self) -> AvalancheTest | None:
        entry = self.sheet.avalanche
        if entry is None:
            return None
        conditions = _fields(
            entry, "current", "inductance", "supply_voltage", "gate_voltage", "gate_resistance"
        )
        found = self._run("avalanche", avalanche_test, self._mosfet, **conditions)
        self._keep("avalanche", found)
        return found

    def _switching(self, freewheel: Diode | None) -> Iterator[DoublePulse]:
        for index, entry in enumerate(self.sheet.switching):
            path = f"switching.{index}"
            # Its warnings speak of fields of a circuit that the caller did not write.
            found = self._run(path, quiet_double_pulse, switching_cell(self._mosfet, entry, freewheel))
            if found is None:
                continue
            on, off = found.turn_on, found.turn_off
            self.values |= {
                f"{path}.turn_on_delay": on.delay,
                f"{path}.rise_time": on.rise_time,
                f"{path}.turn_off_delay": off.delay,
                f"{path}.fall_time": off.fall_time,
                f"{path}.turn_on_energy": on.energy,
                f"{path}.turn_off_energy": off.energy,
            }
            yield found

    def _run(
        self, path: str, test: Callable[..., Answer], *parts: object, **conditions: object
    ) -> Answer | None:
        """The answer, or ``None`` and a warning that tells why there is none."""
        try:
            found = test(*parts, **conditions, **self._tolerance)
        except InputError as error:
            if any(problem.path == "relative_tolerance" for problem in error.problems):
                raise
            self.warnings.append(InputWarning(path, f"cannot be tested: {error}"))
            return None
        if found.succeeded:
            return found
        self.warnings.append(InputWarning(path, f"the test did not finish: {found.message}"))
        return None

    def _keep(self, section: str, found: PartTest | None) -> None:
        if found is not None:
            self.values |= {f"{section}.{name}": value for name, value in found.values().items()}


def _fields(entry: Any, *names: str) -> dict[str, Any]:
    return {name: getattr(entry, name) for name in names}


def _in_order(sheet: MosfetSheet) -> Iterable[SheetEntry]:
    """All figures, section by section, with the conditions that the bench chose."""
    sections = list(MosfetSheet.model_fields)
    entries = [*sheet_entries(sheet), *simulated_entries(sheet)]
    if sheet.reverse_recovery and sheet.reverse_recovery.reverse_voltage is None:
        chosen = f"reverse voltage not printed, {_JUNCTION_ALONE:g} V"
        entries = [
            entry._replace(condition=f"{entry.condition}, {chosen}")
            if entry.path.startswith("reverse_recovery.")
            else entry
            for entry in entries
        ]
    return sorted(entries, key=lambda entry: sections.index(entry.path.partition(".")[0]))


def _own_sheet(mosfet: Mosfet) -> MosfetSheet:
    """Usual conditions, with the model's own closed forms as the given figures."""
    supply = _DRAIN_SHARE * mosfet.breakdown_voltage
    gate = _GATE_SHARE * mosfet.maximum_gate_voltage
    on = float(static_figures.on_resistance(mosfet, gate, 1e-3))
    current = _DROP / on if on > 0.0 else 1.0
    point = {"value": 1e-9, "drain_voltage": supply}
    conditions = MosfetSheet(
        name=mosfet.name,
        source="no sheet: usual conditions, given figures in closed form from the model itself",
        threshold={"typical": 1.0, "drain_current": 250e-6},
        on_resistance={"value": 1.0, "gate_voltage": gate, "drain_current": current},
        input_capacitance=point,
        output_capacitance=point,
        reverse_capacitance=point,
        gate_charge={"drain_voltage": supply, "drain_current": current, "gate_voltage": gate},
        output_charge={"drain_voltage": supply},
        body_diode={"voltage": 1.0, "current": current},
        reverse_recovery={"forward_current": current, "current_slope": current / _RAMP},
        switching={
            "drain_voltage": supply,
            "drain_current": current,
            "gate_voltage": gate,
            "gate_resistance": _GATE_RESISTANCE,
        },
        avalanche={
            "current": 0.5 * current,
            "inductance": _CHOKE,
            "supply_voltage": 0.25 * mosfet.breakdown_voltage,
            "gate_voltage": gate,
        },
        breakdown_voltage=mosfet.breakdown_voltage,
        maximum_gate_voltage=mosfet.maximum_gate_voltage,
    )
    return sheet_of(mosfet, conditions)


def _cautions(sheet: MosfetSheet) -> Iterator[SafetyCaution]:
    """Hazards of doing these tests on a real bench."""
    supplies = [entry.drain_voltage for entry in (sheet.gate_charge, *sheet.switching) if entry]
    highest = max([*supplies, sheet.breakdown_voltage if sheet.avalanche else 0.0])
    yield from voltage_cautions("drain_voltage", highest)
    if sheet.avalanche:
        held = 0.5 * sheet.avalanche.inductance * sheet.avalanche.current**2
        yield SafetyCaution(
            "avalanche",
            f"the choke holds {format_quantity(held, 'J', 2)}; a part that fails in avalanche can throw hot "
            "fragments. Use an enclosure and eye protection.",
        )
