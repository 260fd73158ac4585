"""Hand formulas of rings, snubbers and clamps."""

from __future__ import annotations

from typing import Annotated

import numpy as np

from .formula import Symbol, Values, formula

__all__ = [
    "bypass_capacitance",
    "capacitor_loss",
    "clamp_charge",
    "clamp_duration",
    "clamp_energy",
    "damping_resistance",
    "discharge_resistance",
    "loss_with_bypass",
    "recovery_snubber_capacitance",
    "recovery_snubber_peak",
    "recovery_snubber_resistance",
    "resonance_frequency",
    "ring_capacitance",
    "ring_inductance",
    "ring_quality",
    "series_inductance",
]

Voltage = Annotated[Values, Symbol("V", "V", "of the bus")]
Clamp = Annotated[Values, Symbol("V_C", "V", "at which the drain is held")]
Current = Annotated[Values, Symbol("I", "A", "at the turn-off")]
RecoveryCurrent = Annotated[Values, Symbol("I_R", "A", "in the inductance when the diode lets go")]
Frequency = Annotated[Values, Symbol("f", "Hz", "switching frequency")]
Inductance = Annotated[Values, Symbol("L", "H", "of the loop")]
Capacitance = Annotated[Values, Symbol("C", "F", "capacitance")]
Resistance = Annotated[Values, Symbol("R", "ohm", "resistance")]
FallTime = Annotated[Values, Symbol("t_f", "s", "in which the current falls")]
Ring = Annotated[Values, Symbol("f_0", "Hz", "frequency of the ring")]

_SERIES_RLC = "series resonant circuit"
_HART = "Hart, Power Electronics, turn-off snubber (from memory); exact for a linear fall of the current"
_RASHID = "Rashid, Power Electronics, 4th edition"


@formula("f_0 = 1/(2π √(L C))", r"f_0 = \frac{1}{2\pi\sqrt{L C}}", "Hz", _SERIES_RLC)
def resonance_frequency(inductance: Inductance, capacitance: Capacitance) -> Values:
    """Frequency of the undamped ring."""
    return 1.0 / (2.0 * np.pi * np.sqrt(inductance * capacitance))


@formula("Q = √(L/C)/R", r"Q = \frac{1}{R}\sqrt{\frac{L}{C}}", "", _SERIES_RLC)
def ring_quality(inductance: Inductance, capacitance: Capacitance, resistance: Resistance) -> Values:
    """Quality of a ring damped by a resistance in series."""
    return np.sqrt(inductance / capacitance) / resistance


@formula(
    "C = C_A/[(f_0/f_1)² − 1]",
    r"C = \frac{C_A}{(f_0/f_1)^2 - 1}",
    "F",
    "two resonances of one inductance; common practice, no source",
)
def ring_capacitance(
    frequency: Ring,
    loaded_frequency: Annotated[Values, Symbol("f_1", "Hz", "frequency with the capacitance added")],
    added_capacitance: Annotated[Values, Symbol("C_A", "F", "added across the ringing node")],
) -> Values:
    """Capacitance of a ring, from how a known one added to it slows it down."""
    return added_capacitance / ((frequency / loaded_frequency) ** 2 - 1.0)


@formula("L = 1/[(2π f_0)² C]", r"L = \frac{1}{(2\pi f_0)^2 C}", "H", _SERIES_RLC)
def ring_inductance(frequency: Ring, capacitance: Capacitance) -> Values:
    """Inductance of a ring whose capacitance is known."""
    return 1.0 / ((2.0 * np.pi * frequency) ** 2 * capacitance)


@formula(
    "R = √(L/C) √[(2 + n)(4 + 3n)/(2n² (4 + n))]",
    r"R = \sqrt{\frac{L}{C}} \sqrt{\frac{(2 + n)(4 + 3n)}{2 n^2 (4 + n)}}",
    "ohm",
    "optimum parallel damping; Erickson and Maksimovic, Fundamentals of Power Electronics (from memory)",
)
def damping_resistance(
    inductance: Inductance,
    capacitance: Capacitance,
    ratio: Annotated[Values, Symbol("n", "", "snubber capacitance over C")],
) -> Values:
    """Resistance that, in series with n C across C, makes the highest impedance of the ring least."""
    best = np.sqrt((2.0 + ratio) * (4.0 + 3.0 * ratio) / (2.0 * ratio**2 * (4.0 + ratio)))
    return np.sqrt(inductance / capacitance) * best


@formula(
    "P = m C V² f",
    r"P = m\, C V^2 f",
    "W",
    "charge and discharge of a capacitor by steps through any resistance, ½ C V² each",
)
def capacitor_loss(
    capacitance: Annotated[Values, Symbol("C", "F", "of the snubber")],
    voltage: Voltage,
    frequency: Frequency,
    share: Annotated[Values, Symbol("m", "", "1 for charge and discharge, ½ for one of them")] = 1.0,
) -> Values:
    """Power that a snubber's resistor turns into heat; with edges slower than R C the switch takes a part."""
    return share * capacitance * voltage**2 * frequency


@formula("C = m I t_f/V", r"C = m \frac{I t_f}{V}", "F", f"{_HART}; {_RASHID}, example 4.5")
def bypass_capacitance(
    current: Current,
    fall_time: FallTime,
    voltage: Voltage,
    share: Annotated[Values, Symbol("m", "", "½: the drain arrives as the current ends; 1: later")] = 0.5,
) -> Values:
    """Capacitance beside the switch, across a diode, that takes over the current at turn-off."""
    return share * current * fall_time / voltage


@formula("P = I² t_f² f/(24 C)", r"P = \frac{I^2 t_f^2 f}{24 C}", "W", _HART)
def loss_with_bypass(
    current: Current, fall_time: FallTime, capacitance: Capacitance, frequency: Frequency
) -> Values:
    """Turn-off loss left in a switch whose current a capacitance takes over."""
    return current**2 * fall_time**2 * frequency / (24.0 * capacitance)


@formula("L = V t_r/I", r"L = \frac{V t_r}{I}", "H", f"{_RASHID}, example 4.5")
def series_inductance(
    voltage: Voltage,
    rise_time: Annotated[Values, Symbol("t_r", "s", "in which the current rises")],
    current: Current,
) -> Values:
    """Inductance that takes the whole bus voltage while the current rises."""
    return voltage * rise_time / current


@formula("R = 1/(3 f C)", r"R = \frac{1}{3 f C}", "ohm", f"{_RASHID}, example 4.5")
def discharge_resistance(frequency: Frequency, capacitance: Capacitance) -> Values:
    """Resistance that discharges a snubber in a third of the period."""
    return 1.0 / (3.0 * frequency * capacitance)


@formula(
    "C = L [I_R/(d V)]²", r"C = L \left(\frac{I_R}{d V}\right)^2", "F", f"{_RASHID}, section 17.4, charts"
)
def recovery_snubber_capacitance(
    inductance: Inductance,
    recovery_current: RecoveryCurrent,
    voltage: Voltage,
    current_factor: Annotated[Values, Symbol("d", "", "current factor, from the chart")] = 0.75,
) -> Values:
    """Capacitance of a snubber across a diode that lets go of its recovery current at once."""
    return inductance * (recovery_current / (current_factor * voltage)) ** 2


@formula("R = 2 ζ √(L/C)", r"R = 2\zeta\sqrt{\frac{L}{C}}", "ohm", f"{_RASHID}, section 17.4, charts")
def recovery_snubber_resistance(
    inductance: Inductance,
    capacitance: Capacitance,
    damping: Annotated[Values, Symbol("ζ", "", "damping ratio, from the chart")] = 0.4,
) -> Values:
    """Resistance in series with that capacitance."""
    return 2.0 * damping * np.sqrt(inductance / capacitance)


@formula(
    "v = V − max L di/dt of L i″ + R i′ + i/C = 0, i(0) = I_R, i′(0) = (V − R I_R)/L",
    r"v = V - \min_t L i'(t),\; L i'' + R i' + i/C = 0,\; i(0) = I_R,\; i'(0) = (V - R I_R)/L",
    "V",
    "series resonant circuit, underdamped; the first peak",
)
def recovery_snubber_peak(
    inductance: Inductance,
    capacitance: Capacitance,
    resistance: Resistance,
    voltage: Voltage,
    recovery_current: RecoveryCurrent,
) -> Values:
    """Highest voltage across snubber and diode.

    With a = R/(2 L) and w = √(1/(L C) − a²), L i' = e^(−a t) (p cos w t + q sin w t), p = V − R I_R. Its
    least value follows from tan w t = (w q − a p)/(w p + a q) in the half turn in which it is negative.
    """
    decay = resistance / (2.0 * inductance)
    turn = np.sqrt(1.0 / (inductance * capacitance) - decay**2)
    begin = voltage - resistance * recovery_current
    slope = -resistance * begin / inductance - recovery_current / capacitance  # L i'' at 0
    sine = (slope + decay * begin) / turn
    angle = np.arctan2(turn * sine - decay * begin, turn * begin + decay * sine)
    angle = np.where(angle < 0.0, angle + np.pi, angle)
    least = np.exp(-decay * angle / turn) * (begin * np.cos(angle) + sine * np.sin(angle))
    return voltage - np.minimum(least, begin)


@formula(
    "E = ½ L I² V_C/(V_C − V)",
    r"E = \tfrac{1}{2} L I^2 \frac{V_C}{V_C - V}",
    "J",
    "energy balance, the source gives its share; Toshiba FAQ on avalanche energy",
)
def clamp_energy(inductance: Inductance, current: Current, clamp_voltage: Clamp, voltage: Voltage) -> Values:
    """Energy that a clamp from drain to source takes in one turn-off; also that of a single avalanche."""
    return 0.5 * inductance * current**2 * clamp_voltage / (clamp_voltage - voltage)


@formula("t = L I/(V_C − V)", r"t = \frac{L I}{V_C - V}", "s", "linear fall of the current")
def clamp_duration(
    inductance: Inductance, current: Current, clamp_voltage: Clamp, voltage: Voltage
) -> Values:
    """Time for which the clamp conducts."""
    return inductance * current / (clamp_voltage - voltage)


@formula(
    "Q = ½ L I²/(V_C − V)",
    r"Q = \frac{L I^2}{2 (V_C - V)}",
    "C",
    "mean of a triangular current times its time",
)
def clamp_charge(inductance: Inductance, current: Current, clamp_voltage: Clamp, voltage: Voltage) -> Values:
    """Charge that the clamp takes in one turn-off."""
    return 0.5 * inductance * current**2 / (clamp_voltage - voltage)
