"""Tests of a single part in the time domain, by which the figures of data sheets are measured.

Each builds a circuit of the core, runs it, and reads its figures. Parts are at the temperature that their
parameters are stated for.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from .. import _core
from ..circuit.diode import Diode
from ..circuit.mosfet import Mosfet
from ..core import fill
from ..datasheet.gate_charge import GateChargeCurve, charge_at, gate_charge_figures
from ..datasheet.sheet import AvalancheEntry, GateChargeEntry, ReverseRecovery, Threshold
from ..datasheet.static_figures import threshold_voltage
from ..figures import Figures, Meaning
from ..model import Model, Quantity, argument, at_least, positive
from ..studies.asking import refusals, settings
from ..studies.results import Statistics
from ..waveforms.waveform import Waveform

__all__ = [
    "AvalancheTest",
    "GateChargeTest",
    "RecoveryTest",
    "avalanche_test",
    "gate_charge_test",
    "recovery_test",
]

# Fall time of the generator that turns the part off [s]; common practice, no source.
_FALL_TIME = 10e-9
_GATE_CURRENT = Quantity("A", "Into the gate.", allowed=positive(10.0), usual=at_least(1e-9, 0.1))
_RESISTANCE = Quantity("ohm", "In series with the choke.", allowed=at_least(0.0, 1e4))


@dataclass(frozen=True, repr=False)
class PartTest(Figures):
    """What every test brings besides its figures; NaN, printed as a dash, is a figure that does not exist.

    Attributes:
        status: ``success``, or why there are no figures.
        message: the same as a sentence.
        energy_residual: energy that the ledger cannot account for, as a share of the throughput.
        stats: work of the integrator.
        waveform: voltages [V] and currents [A] over time [s].
    """

    status: str
    message: str
    energy_residual: float
    stats: Statistics
    waveform: Waveform

    @property
    def succeeded(self) -> bool:
        """Whether the run finished."""
        return self.status == "success"


@dataclass(frozen=True, repr=False)
class GateChargeTest(PartTest):
    """Gate charge by a constant gate current: JESD24-2, as second parties describe it.

    Attributes:
        gate_current: [A]; times the time it is the charge.
        curve: up to the gate voltage asked for; ``None`` where the channel does not carry the drain current.
    """

    gate_current: float
    curve: GateChargeCurve | None
    total: Annotated[float, Meaning("C", "Q_G: up to the gate voltage at the end")]
    threshold: Annotated[float, Meaning("C", "Q_G(th): up to the threshold voltage")]
    gate_source: Annotated[float, Meaning("C", "Q_GS: plateau voltage over the slope of the first part")]
    gate_drain: Annotated[float, Meaning("C", "Q_GD: plateau voltage on the last part, less Q_GS")]
    plateau_voltage: Annotated[float, Meaning("V", "v_GS where the curve is flattest")]


@dataclass(frozen=True, repr=False)
class RecoveryTest(PartTest):
    """Reverse recovery on a forced ramp of current, which begins at time 0; times from the zero crossing."""

    peak_current: Annotated[float, Meaning("A", "I_RRM: reverse peak")]
    time: Annotated[float, Meaning("s", "t_rr to 25 % of the peak")]
    line_time: Annotated[float, Meaning("s", "t_rr by the line through 90 % and 25 % (IEC 60747-2)")]
    short_time: Annotated[float, Meaning("s", "t_rr by the line through 75 % and 50 %")]
    charge: Annotated[float, Meaning("C", "Q_rr to the end of the record, with the capacitive charge")]


@dataclass(frozen=True, repr=False)
class AvalancheTest(PartTest):
    """Unclamped inductive switching; the gate is turned off at time 0."""

    current: Annotated[float, Meaning("A", "I_AS when the avalanche begins")]
    time_in_avalanche: Annotated[float, Meaning("s", "t_AV until the current is spent")]
    energy: Annotated[float, Meaning("J", "E_AS: v_DS i_D over the avalanche")]
    peak_voltage: Annotated[float, Meaning("V", "of v_DS at the die")]


def gate_charge_test(
    mosfet: Mosfet,
    *,
    drain_voltage: float | str,
    drain_current: float | str,
    gate_voltage: float | str,
    gate_current: float | str | None = None,
    threshold_current: float | str = 250e-6,
    relative_tolerance: float = 1e-6,
) -> GateChargeTest:
    """Charge the gate with a constant current while the drain feeds its current from a clamp.

    Args:
        mosfet: the part; drain and source lead are left out, for they would only ring.
        drain_voltage: of the clamp, at the drain pin [V].
        drain_current: of the load [A].
        gate_voltage: at the die, where the test ends [V].
        gate_current: [A]; left out: a millionth of drain_current, which is quasi-static.
        threshold_current: drain current that defines the threshold voltage [A].
        relative_tolerance: of the integrator.

    Raises:
        InputError: an argument is out of range.
    """
    conditions = _checked(GateChargeEntry, drain_voltage=drain_voltage, drain_current=drain_current)
    end = _checked(GateChargeEntry, gate_voltage=gate_voltage)["gate_voltage"]
    current = 0.0 if gate_current is None else argument("gate_current", gate_current, _GATE_CURRENT)
    defining = _checked(Threshold, threshold_current=threshold_current, field="drain_current")
    circuit = fill(_core.GateChargeCircuit(), mosfet=mosfet.to_core(), gate_current=current, **conditions)
    with refusals("circuit"):
        core = _core.gate_charge_test(circuit, end, settings(relative_tolerance))
    common = _common(core)
    figures = dict.fromkeys(GateChargeTest.units(), float("nan"))
    curve = None
    if not np.isnan(core.total):
        curve = _curve(common["waveform"], core.gate_current, core.total)
        threshold = float(threshold_voltage(mosfet, defining["threshold_current"]))
        figures = gate_charge_figures(curve)._asdict() | {"threshold": charge_at(curve, threshold)}
    return GateChargeTest(**(common | figures), gate_current=core.gate_current, curve=curve)


def _curve(waveform: Waveform, gate_current: float, total: float) -> GateChargeCurve:
    times = np.unique(waveform.times)
    end = total / gate_current
    times = np.append(times[times < end], end)
    # On a flat plateau the voltage may step back by the integrator's error.
    gate = np.maximum.accumulate(waveform.value("v_gs", times))
    return GateChargeCurve(gate_current * times, gate, waveform.value("v_ds", times))


def recovery_test(
    part: Mosfet | Diode,
    *,
    forward_current: float | str,
    current_slope: float | str,
    reverse_voltage: float | str,
    relative_tolerance: float = 1e-6,
) -> RecoveryTest:
    """Let the current of a diode fall on a straight ramp until it has recovered.

    Args:
        part: a diode, or a MOSFET whose body diode is tested with gate and source joined; leads are left out.
        forward_current: before the ramp [A].
        current_slope: by which it falls [A/s].
        reverse_voltage: of the clamp that takes the ramp over once the diode blocks [V].
        relative_tolerance: of the integrator.

    Raises:
        InputError: an argument is out of range.
    """
    conditions = _checked(
        ReverseRecovery,
        forward_current=forward_current,
        current_slope=current_slope,
        reverse_voltage=reverse_voltage,
    )
    circuit = fill(_core.RecoveryCircuit(), part=part.to_core(), **conditions)
    with refusals("circuit"):
        core = _core.recovery_test(circuit, settings(relative_tolerance))
    return RecoveryTest(**(_common(core) | RecoveryTest.values_in(core)))


def avalanche_test(
    mosfet: Mosfet,
    *,
    current: float | str,
    inductance: float | str,
    supply_voltage: float | str,
    resistance: float | str = 0.0,
    gate_voltage: float | str = 10.0,
    gate_resistance: float | str = 25.0,
    relative_tolerance: float = 1e-6,
) -> AvalancheTest:
    """Turn a MOSFET off into a choke that only its breakdown discharges.

    The junction keeps its temperature; a real one heats within the pulse, and its breakdown voltage rises.

    Args:
        mosfet: the part; drain and source lead are left out.
        current: in the choke at the turn-off [A].
        inductance: of the choke [H].
        supply_voltage: behind the choke [V].
        resistance: in series with the choke [ohm].
        gate_voltage: of the on-state [V]; the off-state has 0.
        gate_resistance: outside the part [ohm].
        relative_tolerance: of the integrator.

    Raises:
        InputError: an argument is out of range, or the supply is not below the breakdown voltage.
    """
    conditions = _checked(
        AvalancheEntry,
        current=current,
        inductance=inductance,
        supply_voltage=supply_voltage,
        gate_voltage=gate_voltage,
        gate_resistance=gate_resistance,
    )
    circuit = fill(
        _core.AvalancheCircuit(),
        mosfet=mosfet.to_core(),
        resistance=argument("resistance", resistance, _RESISTANCE),
        fall_time=_FALL_TIME,
        **conditions,
    )
    with refusals("circuit"):
        core = _core.avalanche_test(circuit, settings(relative_tolerance))
    return AvalancheTest(**(_common(core) | AvalancheTest.values_in(core)))


def _checked(entry: type[Model], *, field: str | None = None, **values: object) -> dict[str, float]:
    """Arguments as numbers, each of the kind that the field of the same name (or `field`) of a sheet has."""
    found = {}
    for name, value in values.items():
        kind = entry.quantity_of(field or name)
        assert kind is not None
        found[name] = argument(name, value, kind)
    return found


def _common(core: Any) -> dict[str, Any]:
    return {
        "status": core.status.name,
        "message": core.message,
        "energy_residual": core.energy_residual,
        "stats": Statistics(core.statistics.steps, core.statistics.rejections),
        "waveform": Waveform(core.waveform),
    }
