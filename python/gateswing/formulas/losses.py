"""Hand formulas of the power loop: switching and conduction losses, stored energy, overshoot, ripple."""

from __future__ import annotations

from typing import Annotated

from .formula import Symbol, Values, formula

__all__ = [
    "bus_ripple",
    "conduction_loss",
    "diode_conduction_loss",
    "inductive_voltage",
    "output_energy",
    "overlap_energy",
    "overlapping_ramps_energy",
    "recovery_energy",
    "recovery_peak_current",
    "ripple_current",
    "ripple_current_with_core",
    "switching_loss",
]

Voltage = Annotated[Values, Symbol("V", "V", "of the bus")]
Current = Annotated[Values, Symbol("I", "A", "of the load")]
Frequency = Annotated[Values, Symbol("f", "Hz", "switching frequency")]
Duty = Annotated[Values, Symbol("D", "%", "duty cycle")]
Inductance = Annotated[Values, Symbol("L", "H", "inductance")]


@formula(
    "E = ½ V I (t_1 + t_2)",
    r"E = \tfrac{1}{2} V I (t_1 + t_2)",
    "J",
    "linear ramps one after the other; Rashid, Power Electronics, 4th edition, chapter 4",
)
def overlap_energy(
    voltage: Voltage,
    current: Current,
    current_time: Annotated[Values, Symbol("t_1", "s", "in which the current moves")],
    voltage_time: Annotated[Values, Symbol("t_2", "s", "in which the voltage moves")],
) -> Values:
    """Energy of an edge at which first one and then the other of voltage and current moves."""
    return 0.5 * voltage * current * (current_time + voltage_time)


@formula(
    "E = I t [V/2 + (V_ON − V)/3]",
    r"E = I t \left[\frac{V}{2} + \frac{V_{ON} - V}{3}\right]",
    "J",
    "linear ramps at the same time; Rashid, Power Electronics, 4th edition, example 4.2",
)
def overlapping_ramps_energy(
    voltage: Voltage,
    on_voltage: Annotated[Values, Symbol("V_ON", "V", "across the switch when it is on")],
    current: Current,
    time: Annotated[Values, Symbol("t", "s", "in which both move")],
) -> Values:
    """Energy of an edge at which voltage and current move together, V I t/6 without an on-state voltage."""
    return current * time * (voltage / 2.0 + (on_voltage - voltage) / 3.0)


@formula("P = (E_ON + E_OFF) f", r"P = (E_{ON} + E_{OFF}) f", "W", "definition")
def switching_loss(
    turn_on_energy: Annotated[Values, Symbol("E_ON", "J", "of a turn-on")],
    turn_off_energy: Annotated[Values, Symbol("E_OFF", "J", "of a turn-off")],
    frequency: Frequency,
) -> Values:
    """Mean power of both edges."""
    return (turn_on_energy + turn_off_energy) * frequency


@formula(
    "E = ⅔ C_OSS V²",
    r"E = \tfrac{2}{3} C_{OSS} V^2",
    "J",
    "abrupt junction; Erickson and Maksimovic, Fundamentals of Power Electronics (from memory)",
)
def output_energy(
    output_capacitance: Annotated[Values, Symbol("C_OSS", "F", "output capacitance at this voltage")],
    voltage: Voltage,
) -> Values:
    """Energy held by an output capacitance that falls with the square root of the voltage."""
    return 2.0 / 3.0 * output_capacitance * voltage**2


@formula("E = V Q", "E = V Q", "J", "charge delivered by the bus at its voltage")
def recovery_energy(
    voltage: Voltage, charge: Annotated[Values, Symbol("Q", "C", "recovered by the diode")]
) -> Values:
    """Energy that the bus gives for the diode's charge at turn-on; most of it heats the MOSFET."""
    return voltage * charge


@formula(
    "I_RM = √(2 Q di/dt)",
    r"I_{RM} = \sqrt{2 Q \frac{di}{dt}}",
    "A",
    "abrupt recovery; Rashid, Power Electronics, 4th edition, example 2.2",
)
def recovery_peak_current(
    charge: Annotated[Values, Symbol("Q", "C", "recovered by the diode")],
    current_slope: Annotated[Values, Symbol("di/dt", "A/s", "slope of the current")],
) -> Values:
    """Peak of the reverse current of a diode that recovers abruptly."""
    return (2.0 * charge * current_slope) ** 0.5


@formula("V = L di/dt", r"V = L \frac{di}{dt}", "V", "law of induction")
def inductive_voltage(
    inductance: Inductance,
    current_slope: Annotated[Values, Symbol("di/dt", "A/s", "slope of the current")],
) -> Values:
    """Voltage across an inductance."""
    return inductance * current_slope


@formula(
    "ΔI = V D (1 − D)/(L f)", r"\Delta I = \frac{V D (1 - D)}{L f}", "A", "linear ramps of the load current"
)
def ripple_current(voltage: Voltage, duty: Duty, inductance: Inductance, frequency: Frequency) -> Values:
    """Ripple of the current of an inductive load, peak to peak."""
    return voltage * duty * (1.0 - duty) / (inductance * frequency)


@formula(
    "ΔI = [R_C V D (1 − D)/(L f) + V + V_F]/(R_C + R)",
    r"\Delta I = \frac{R_C V D (1 - D)/(L f) + V + V_F}{R_C + R}",
    "A",
    "linear ramps of the flux, and the step of the current in the core's resistance; derived",
)
def ripple_current_with_core(
    voltage: Voltage,
    duty: Duty,
    inductance: Inductance,
    frequency: Frequency,
    forward_voltage: Annotated[Values, Symbol("V_F", "V", "of the freewheel diode")],
    resistance: Annotated[Values, Symbol("R", "ohm", "of the coil")],
    core_resistance: Annotated[Values, Symbol("R_C", "ohm", "across the inductance, for eddy currents")],
) -> Values:
    """Ripple of the current of a coil with eddy currents, peak to peak.

    With i = i_L + v_L/R_C and v_L = V - R i while on, -V_F - R i while off, the coil carries
    (R_C i_L + V)/(R_C + R) at the end of the on-time and (R_C i_L - V_F)/(R_C + R) at that of the off-time.
    """
    ramp = voltage * duty * (1.0 - duty) / (inductance * frequency)
    return (core_resistance * ramp + voltage + forward_voltage) / (core_resistance + resistance)


@formula(
    "P = R D (I² + ΔI²/12)",
    r"P = R D \left(I^2 + \frac{\Delta I^2}{12}\right)",
    "W",
    "mean square of a trapezoid",
)
def conduction_loss(
    resistance: Annotated[Values, Symbol("R", "ohm", "on-resistance at this gate voltage and temperature")],
    duty: Annotated[Values, Symbol("D", "%", "share of the period for which the switch is on")],
    current: Current,
    ripple: Annotated[Values, Symbol("ΔI", "A", "ripple of the current, peak to peak")],
) -> Values:
    """Loss of the MOSFET while it is on."""
    return resistance * duty * (current**2 + ripple**2 / 12.0)


@formula("P = V_F I (1 − D)", r"P = V_F I (1 - D)", "W", "mean of a rectangular current")
def diode_conduction_loss(
    forward_voltage: Annotated[Values, Symbol("V_F", "V", "of the diode at this current")],
    current: Current,
    duty: Duty,
) -> Values:
    """Loss of the freewheel diode while it conducts."""
    return forward_voltage * current * (1.0 - duty)


@formula(
    "ΔV = I [D (1 − D)/(f C) + R_C]",
    r"\Delta V = I \left[\frac{D (1 - D)}{f C} + R_C\right]",
    "V",
    "charge balance with a constant source current; D/(f C) alone is the usual bound",
)
def bus_ripple(
    current: Current,
    duty: Duty,
    frequency: Frequency,
    capacitance: Annotated[Values, Symbol("C", "F", "of the bulk capacitor")],
    resistance: Annotated[Values, Symbol("R_C", "ohm", "in series with it")],
) -> Values:
    """How far the bus falls from just before a turn-on to just before the turn-off."""
    return current * (duty * (1.0 - duty) / (frequency * capacitance) + resistance)
