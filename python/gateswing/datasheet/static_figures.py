"""Static figures a model would have on a data sheet, in closed form or by the core's charges and energies.

Voltages and currents are those at the pins; the drift resistance lies in series with the channel, the body
diode beside both. Capacitances do not depend on temperature; the rest is at a junction temperature [K].
Functions take arrays of any shape.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .. import _core
from ..circuit.capacitance import sum_over
from ..circuit.mosfet import Mosfet
from ..circuit.temperature import STATED_TEMPERATURE
from .channel_inverse import drain_end_overdrive, overdrive, source_end_overdrive, voltage_of_overdrive

__all__ = [
    "energy_related_capacitance",
    "on_resistance",
    "output_charge",
    "output_energy",
    "plateau_voltage",
    "reverse_channel_current",
    "source_drain_voltage",
    "threshold_voltage",
    "time_related_capacitance",
    "transconductance",
]

Array = NDArray[np.float64]


def threshold_voltage(
    mosfet: Mosfet, drain_current: ArrayLike, *, junction_temperature: float = STATED_TEMPERATURE
) -> Array:
    """v_GS [V] that carries drain_current [A] with the gate tied to the drain, v_GS = v_DS.

    Then v_GD at the die is the drop over the drift resistance, which fixes the drain end of the channel.
    """
    core, current = mosfet.to_core(junction_temperature), np.asarray(drain_current)
    law = core.channel
    drain_end = overdrive(law, core.drift_resistance * current)
    return voltage_of_overdrive(law, source_end_overdrive(law, current, drain_end))


def plateau_voltage(
    mosfet: Mosfet, drain_current: ArrayLike, *, junction_temperature: float = STATED_TEMPERATURE
) -> Array:
    """v_GS [V] that carries drain_current [A] in saturation."""
    law = mosfet.to_core(junction_temperature).channel
    return voltage_of_overdrive(law, source_end_overdrive(law, drain_current, 0.0))


def on_resistance(
    mosfet: Mosfet,
    gate_voltage: ArrayLike,
    drain_current: ArrayLike,
    *,
    junction_temperature: float = STATED_TEMPERATURE,
) -> Array:
    """v_DS over drain_current [ohm] at v_GS [V]; not a number where the channel saturates below it."""
    core, current = mosfet.to_core(junction_temperature), np.asarray(drain_current)
    law = core.channel
    drain_end = drain_end_overdrive(law, current, overdrive(law, gate_voltage))
    drop = np.asarray(gate_voltage) - voltage_of_overdrive(law, drain_end)
    return np.asarray(drop / current + core.drift_resistance)


def transconductance(mosfet: Mosfet, drain_current: ArrayLike) -> Array:
    """Slope of the drain current over v_GS [A/V] at drain_current [A] in saturation.

    From i = K/2 s^2/(1 + theta/2 s) with s = ov(v_GS): di/ds = (K s - theta/2 i)/(1 + theta/2 s), and
    ds/dv_GS = 1 - exp(-s/(2 w)).
    """
    law, current = mosfet.channel.to_core(), np.asarray(drain_current)
    half_theta = 0.5 * law.mobility_degradation
    source_end = source_end_overdrive(law, current, 0.0)
    slope = (law.transconductance_factor * source_end - half_theta * current) / (
        1.0 + half_theta * source_end
    )
    return np.asarray(-slope * np.expm1(-source_end / (2.0 * law.subthreshold_voltage)))


def output_charge(mosfet: Mosfet, drain_voltage: ArrayLike) -> Array:
    """Integral of C_oss over v_DS from 0 to drain_voltage [V] at v_GS = 0 [C]."""
    return _of_output(mosfet, _core.charge, drain_voltage)


def output_energy(mosfet: Mosfet, drain_voltage: ArrayLike) -> Array:
    """Integral of v C_oss over v_DS from 0 to drain_voltage [V] at v_GS = 0 [J]."""
    return _of_output(mosfet, _core.stored_energy, drain_voltage)


def time_related_capacitance(mosfet: Mosfet, drain_voltage: ArrayLike) -> Array:
    """Constant capacitance [F] that takes the same charge up to drain_voltage [V]: Q/V."""
    return np.asarray(output_charge(mosfet, drain_voltage) / np.asarray(drain_voltage))


def energy_related_capacitance(mosfet: Mosfet, drain_voltage: ArrayLike) -> Array:
    """Constant capacitance [F] that stores the same energy up to drain_voltage [V]: 2 E/V^2."""
    return np.asarray(2.0 * output_energy(mosfet, drain_voltage) / np.asarray(drain_voltage) ** 2)


def _of_output(mosfet: Mosfet, integral: Callable[..., object], drain_voltage: ArrayLike) -> Array:
    laws = mosfet.parallel_laws("gate_drain") + mosfet.parallel_laws("drain_source")
    return sum_over(laws, integral, drain_voltage)


def source_drain_voltage(
    mosfet: Mosfet, reverse_current: float, *, junction_temperature: float = STATED_TEMPERATURE
) -> float:
    """v_SD [V] at a current [A] from source to drain with v_GS = 0: the body diode beside the channel.

    The channel takes its share through the drift resistance: seen from its other end it is driven by v_SD.
    """
    from scipy.optimize import brentq  # type: ignore[import-untyped]

    core = mosfet.to_core(junction_temperature)
    junction = core.body_diode

    def excess(voltage: float) -> float:
        channel = reverse_channel_current(mosfet, voltage, junction_temperature=junction_temperature)
        return float(np.asarray(_core.diode_current(junction, voltage))) + channel - reverse_current

    # The junction alone carries the current at its own forward voltage, so the root is not above that.
    alone = junction.emission_voltage * float(np.log1p(reverse_current / junction.saturation_current))
    return float(brentq(excess, 0.0, alone * (1.0 + 1e-9) + 1e-12, xtol=1e-12))


def reverse_channel_current(
    mosfet: Mosfet, source_drain_voltage: float, *, junction_temperature: float = STATED_TEMPERATURE
) -> float:
    """Current [A] from source to drain through channel and drift resistance at v_SD [V] and v_GS = 0."""
    from scipy.optimize import brentq

    core = mosfet.to_core(junction_temperature)

    def through(inside: float) -> float:
        return -float(np.asarray(_core.channel_current(core.channel, 0.0, -inside)))

    def excess(inside: float) -> float:
        return inside + float(core.drift_resistance) * through(inside) - source_drain_voltage

    return through(float(brentq(excess, 0.0, source_drain_voltage, xtol=1e-12)))
