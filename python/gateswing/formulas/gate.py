"""Hand formulas of the gate: delays, transitions, currents, induced voltage, damping and drive power."""

from __future__ import annotations

from typing import Annotated

import numpy as np

from .formula import Symbol, Values, formula

__all__ = [
    "charge_time",
    "critical_gate_resistance",
    "current_transition_time",
    "edge_delay",
    "gate_charge",
    "gate_drive_power",
    "gate_drive_power_with_pull_down",
    "gate_loop_damping",
    "gate_resistance_loss",
    "gate_transition_time",
    "highest_voltage_slope",
    "induced_gate_voltage",
    "minimum_pulse",
    "peak_gate_current",
    "peak_gate_voltage",
    "plateau_current",
    "plateau_voltage",
    "required_gate_current",
    "voltage_slope",
]

Resistance = Annotated[Values, Symbol("R_G", "ohm", "of the gate path: driver, resistor, MOSFET")]
InputCapacitance = Annotated[Values, Symbol("C_ISS", "F", "input capacitance")]
MillerCapacitance = Annotated[Values, Symbol("C_GD", "F", "reverse transfer capacitance")]
Rail = Annotated[Values, Symbol("V_DR", "V", "rail that the gate moves to")]
OtherRail = Annotated[Values, Symbol("V_0", "V", "rail that the gate comes from")]
Begin = Annotated[Values, Symbol("v_1", "V", "gate voltage at the begin")]
End = Annotated[Values, Symbol("v_2", "V", "gate voltage at the end")]
Plateau = Annotated[Values, Symbol("V_PL", "V", "gate voltage that carries the load current")]
Transconductance = Annotated[Values, Symbol("g_m", "S", "transconductance, taken as constant")]
SourceInductance = Annotated[Values, Symbol("L_S", "H", "shared by gate and power loop")]
GateInductance = Annotated[Values, Symbol("L_G", "H", "of the gate loop")]
Charge = Annotated[Values, Symbol("Q", "C", "charge to be moved")]
GateCurrent = Annotated[Values, Symbol("I_G", "A", "gate current")]
Time = Annotated[Values, Symbol("t", "s", "time wanted for it")]
Frequency = Annotated[Values, Symbol("f", "Hz", "switching frequency")]
Slope = Annotated[Values, Symbol("k", "V/s", "slope of the drain voltage")]
Swing = Annotated[Values, Symbol("V", "V", "that the drain moves by")]

_DELAY_SOURCE = "Motorola data sheets MMDF4N01HD p. 4 and MTD1N60E p. 3; exact for constant capacitances"
_CLOSED_FORM = "closed form of the linear circuit"


@formula(
    "t = R_G C_ISS ln[(V_DR − v_1)/(V_DR − v_2)]",
    r"t = R_G C_{ISS} \ln\frac{V_{DR} - v_1}{V_{DR} - v_2}",
    "s",
    _DELAY_SOURCE,
)
def gate_transition_time(
    resistance: Resistance, input_capacitance: InputCapacitance, rail: Rail, begin: Begin, end: End
) -> Values:
    """Time in which the gate moves between two voltages on its way to a rail, with the drain at rest."""
    return resistance * input_capacitance * np.log((rail - begin) / (rail - end))


@formula(
    "t = R_G C_ISS ln[(V_DR − v_1)/(V_DR − V_PL)] + Q/I_G",
    r"t = R_G C_{ISS} \ln\frac{V_{DR} - v_1}{V_{DR} - V_{PL}} + \frac{Q}{I_G}",
    "s",
    _DELAY_SOURCE,
)
def edge_delay(
    resistance: Resistance,
    input_capacitance: InputCapacitance,
    rail: Rail,
    begin: Begin,
    plateau: Plateau,
    charge: Annotated[Values, Symbol("Q", "C", "of C_GD over the first 10 % of the drain's way")],
    gate_current: GateCurrent,
) -> Values:
    """Time in which the gate reaches the plateau and the drain passes the first 10 % of its way."""
    return resistance * input_capacitance * np.log((rail - begin) / (rail - plateau)) + charge / gate_current


@formula(
    "t = (R_G C_ISS + g_m L_S) ln[(V_DR − v_1)/(V_DR − v_2)]",
    r"t = (R_G C_{ISS} + g_m L_S) \ln\frac{V_{DR} - v_1}{V_{DR} - v_2}",
    "s",
    "closed form for a constant transconductance, the gate current in L_S neglected",
)
def current_transition_time(
    resistance: Resistance,
    input_capacitance: InputCapacitance,
    transconductance: Transconductance,
    source_inductance: SourceInductance,
    rail: Rail,
    begin: Begin,
    end: End,
) -> Values:
    """Time in which the drain current passes between the values that two gate voltages carry."""
    time_constant = resistance * input_capacitance + transconductance * source_inductance
    return time_constant * np.log((rail - begin) / (rail - end))


@formula("t = Q/I_G", r"t = \frac{Q}{I_G}", "s", _DELAY_SOURCE)
def charge_time(charge: Charge, gate_current: GateCurrent) -> Values:
    """Time in which a gate current moves a charge: the voltage transition from the gate-drain charge."""
    return charge / gate_current


@formula(
    "t = t_d + R_G C_ISS ln[(V_DR − V_0)/(V_DR − V_PL)] + Q/I_G",
    r"t = t_d + R_G C_{ISS} \ln\frac{V_{DR} - V_0}{V_{DR} - V_{PL}} + \frac{Q}{I_G}",
    "s",
    "sum of the delays and of the plateau from charge",
)
def minimum_pulse(
    delay: Annotated[Values, Symbol("t_d", "s", "delay of the driver, with half its own edge")],
    resistance: Resistance,
    input_capacitance: InputCapacitance,
    rail: Rail,
    other_rail: OtherRail,
    plateau: Plateau,
    charge: Charge,
    gate_current: GateCurrent,
) -> Values:
    """Shortest command that still brings the drain down: until the plateau has moved the charge."""
    rise = resistance * input_capacitance * np.log((rail - other_rail) / (rail - plateau))
    return delay + rise + charge / gate_current


@formula(
    "V_PL = V_TH + √(2 I/K)",
    r"V_{PL} = V_{TH} + \sqrt{\frac{2 I}{K}}",
    "V",
    "square law of the saturated channel",
)
def plateau_voltage(
    threshold: Annotated[Values, Symbol("V_TH", "V", "threshold voltage")],
    current: Annotated[Values, Symbol("I", "A", "of the load")],
    transconductance_factor: Annotated[Values, Symbol("K", "A/V^2", "of the square law")],
) -> Values:
    """Gate voltage at which the channel carries the load current."""
    return threshold + np.sqrt(2.0 * current / transconductance_factor)


@formula(
    "Q_G = C_ISS (V_PL − V_0) + Q + C_ON (V_DR − V_PL)",
    r"Q_G = C_{ISS} (V_{PL} - V_0) + Q + C_{ON} (V_{DR} - V_{PL})",
    "C",
    "three straight parts of the gate charge curve; exact for constant capacitances",
)
def gate_charge(
    input_capacitance: InputCapacitance,
    plateau: Plateau,
    other_rail: OtherRail,
    charge: Annotated[Values, Symbol("Q", "C", "gate-drain charge")],
    on_input_capacitance: Annotated[Values, Symbol("C_ON", "F", "input capacitance in the on-state")],
    rail: Rail,
) -> Values:
    """Charge that the gate takes from rail to rail."""
    before = input_capacitance * (plateau - other_rail)
    return before + charge + on_input_capacitance * (rail - plateau)


@formula("I_G = Q/t", r"I_G = \frac{Q}{t}", "A", "Toshiba FAQ on the MOSFET's drive current")
def required_gate_current(charge: Charge, time: Time) -> Values:
    """Gate current that moves a charge in a time wanted."""
    return charge / time


@formula(
    "I_G = min(|V_DR − V_PL|/R_G, I_max)",
    r"I_G = \min\left(\frac{|V_{DR} - V_{PL}|}{R_G}, I_{max}\right)",
    "A",
    _CLOSED_FORM,
)
def plateau_current(
    rail: Rail,
    plateau: Plateau,
    resistance: Resistance,
    limit: Annotated[Values, Symbol("I_max", "A", "that the driver is limited to")] = np.inf,
) -> Values:
    """Gate current while the drain voltage moves."""
    return np.minimum(np.abs(rail - plateau) / resistance, limit)


@formula(
    "I_G = min(|V_DR − V_0|/R_G, I_max)",
    r"I_G = \min\left(\frac{|V_{DR} - V_0|}{R_G}, I_{max}\right)",
    "A",
    _CLOSED_FORM,
)
def peak_gate_current(
    rail: Rail,
    other_rail: OtherRail,
    resistance: Resistance,
    limit: Annotated[Values, Symbol("I_max", "A", "that the driver is limited to")] = np.inf,
) -> Values:
    """Largest current of the driver: the whole swing across the resistance, no inductance."""
    return np.minimum(np.abs(rail - other_rail) / resistance, limit)


@formula(
    "dv/dt = |V_DR − V_PL|/(R_G C_GD + C_D/g_m)",
    r"\frac{dv}{dt} = \frac{|V_{DR} - V_{PL}|}{R_G C_{GD} + C_D/g_m}",
    "V/s",
    "closed form for constant capacitances and transconductance",
)
def voltage_slope(
    rail: Rail,
    plateau: Plateau,
    resistance: Resistance,
    miller_capacitance: MillerCapacitance,
    drain_capacitance: Annotated[Values, Symbol("C_D", "F", "output capacitance and the diode's")],
    transconductance: Transconductance,
) -> Values:
    """Slope of the drain voltage on the plateau, which the capacitance at the drain shifts."""
    return np.abs(rail - plateau) / (resistance * miller_capacitance + drain_capacitance / transconductance)


@formula(
    "v = R_G C_GD k [1 − exp(−V/(k R_G C_ISS))]",
    r"v = R_G C_{GD} k \left[1 - e^{-V/(k R_G C_{ISS})}\right]",
    "V",
    "closed form for a ramp of the drain voltage and constant capacitances",
)
def induced_gate_voltage(
    resistance: Resistance,
    miller_capacitance: MillerCapacitance,
    input_capacitance: InputCapacitance,
    slope: Slope,
    swing: Swing,
) -> Values:
    """Voltage that a rising drain induces on the gate of a device that is held off."""
    ceiling = resistance * miller_capacitance * slope
    return -ceiling * np.expm1(-swing / (slope * resistance * input_capacitance))


@formula(
    "k = V_TH/(R_G C_GD)",
    r"k = \frac{V_{TH}}{R_G C_{GD}}",
    "V/s",
    "TI SLUA618A (from memory); limit of the induced voltage for a slow ramp",
)
def highest_voltage_slope(
    threshold: Annotated[Values, Symbol("V_TH", "V", "threshold voltage, of the hot device")],
    resistance: Resistance,
    miller_capacitance: MillerCapacitance,
) -> Values:
    """Slope of the drain up to which a device that is held off stays off however far the drain moves."""
    return threshold / (resistance * miller_capacitance)


@formula("ζ = (R_G/2) √(C_ISS/L_G)", r"\zeta = \frac{R_G}{2}\sqrt{\frac{C_{ISS}}{L_G}}", "", _CLOSED_FORM)
def gate_loop_damping(
    resistance: Resistance, input_capacitance: InputCapacitance, inductance: GateInductance
) -> Values:
    """Damping ratio of the gate loop; 1 is critical."""
    return 0.5 * resistance * np.sqrt(input_capacitance / inductance)


@formula("R = 2 √(L_G/C_ISS)", r"R = 2\sqrt{\frac{L_G}{C_{ISS}}}", "ohm", "TI SLLA385A (2018)")
def critical_gate_resistance(input_capacitance: InputCapacitance, inductance: GateInductance) -> Values:
    """Resistance of the whole gate loop that damps it critically."""
    return 2.0 * np.sqrt(inductance / input_capacitance)


@formula(
    "v = V_DR + (V_DR − V_0) exp(−π ζ/√(1 − ζ²))",
    r"v = V_{DR} + (V_{DR} - V_0)\, e^{-\pi\zeta/\sqrt{1 - \zeta^2}}",
    "V",
    "step response of a series RLC circuit",
)
def peak_gate_voltage(
    rail: Rail,
    other_rail: OtherRail,
    damping: Annotated[Values, Symbol("ζ", "", "damping ratio of the gate loop")],
) -> Values:
    """Highest gate voltage after a step of the driver; the rail itself from critical damping on."""
    ringing = np.minimum(damping, 1.0)
    return rail + (rail - other_rail) * np.exp(-np.pi * ringing / np.sqrt(1.0 - ringing**2))


@formula("P = Q V f", "P = Q V f", "W", "TI SLUSAQ3F p. 24, equation 5")
def gate_drive_power(
    charge: Charge,
    swing: Annotated[Values, Symbol("V", "V", "swing of the driver")],
    frequency: Frequency,
) -> Values:
    """Power that the driver's supply gives for the gate's charge, however large the resistances are."""
    return charge * swing * frequency


@formula(
    "P = Q V f + D V_ON I_ON + (1 − D) V_OFF I_OFF",
    r"P = Q V f + D\, V_{ON} I_{ON} + (1 - D)\, V_{OFF} I_{OFF}",
    "W",
    "the gate's charge and Ohm's law in the pull-down resistor",
)
def gate_drive_power_with_pull_down(
    charge: Charge,
    swing: Annotated[Values, Symbol("V", "V", "swing of the driver")],
    frequency: Frequency,
    duty: Annotated[Values, Symbol("D", "%", "duty cycle")],
    on_voltage: Annotated[Values, Symbol("V_ON", "V", "of the driver's supply")],
    on_current: Annotated[Values, Symbol("I_ON", "A", "of the pull-down resistor, on")],
    off_voltage: Annotated[Values, Symbol("V_OFF", "V", "of the off-state supply")],
    off_current: Annotated[Values, Symbol("I_OFF", "A", "of the pull-down resistor, off")],
) -> Values:
    """Power that the driver's supplies give for the gate's charge and for a pull-down resistor."""
    static = duty * on_voltage * on_current + (1.0 - duty) * off_voltage * off_current
    return charge * swing * frequency + static


@formula(
    "P = ½ Q V f (R_1/R_ON + R_2/R_OFF)",
    r"P = \tfrac{1}{2} Q V f \left(\frac{R_1}{R_{ON}} + \frac{R_2}{R_{OFF}}\right)",
    "W",
    "TI SLUSAQ3F p. 24, equation 6; exact for linear resistances in series",
)
def gate_resistance_loss(
    charge: Charge,
    swing: Annotated[Values, Symbol("V", "V", "swing of the driver")],
    frequency: Frequency,
    turn_on_part: Annotated[Values, Symbol("R_1", "ohm", "of this part at turn-on")],
    turn_on_resistance: Annotated[Values, Symbol("R_ON", "ohm", "of the gate path at turn-on")],
    turn_off_part: Annotated[Values, Symbol("R_2", "ohm", "of this part at turn-off")],
    turn_off_resistance: Annotated[Values, Symbol("R_OFF", "ohm", "of the gate path at turn-off")],
) -> Values:
    """Share of the gate drive power that one of the resistances in series turns into heat."""
    shares = turn_on_part / turn_on_resistance + turn_off_part / turn_off_resistance
    return 0.5 * charge * swing * frequency * shares
