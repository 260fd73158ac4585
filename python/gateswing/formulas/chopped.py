"""Hand formulas of the current that a periodically switched load with a freewheel diode carries.

The load is a resistance R, an inductance L and a constant voltage E against the current; switch and diode
are ideal but for the diode's forward voltage. On, the current runs towards (V - E)/R, off towards
-(E + V_F)/R, each with the time constant L/R.
"""

from __future__ import annotations

from typing import Annotated

import numpy as np

from .formula import Symbol, Values, formula
from .losses import Duty, Frequency, Inductance, Voltage

__all__ = [
    "current_extinction_share",
    "current_from_rest",
    "discontinuous_mean_current",
    "led_string_current",
    "mean_load_current",
    "valley_current",
]

Resistance = Annotated[Values, Symbol("R", "ohm", "of the load")]
Opposing = Annotated[Values, Symbol("E", "V", "back-EMF, or forward voltage of LEDs")]
Forward = Annotated[Values, Symbol("V_F", "V", "of the freewheel diode")]
_SOURCE = "mean of the voltage over a period; Rashid, Power Electronics, 4th edition, chapter 5 (from memory)"
_EXPONENTIAL = (
    "solution of the R-L-E circuit; Rashid, Power Electronics, 4th edition, chapter 5 (from memory)"
)


@formula("I = [D V − (1 − D) V_F − E]/R", r"I = \frac{D V - (1 - D) V_F - E}{R}", "A", _SOURCE)
def mean_load_current(
    voltage: Voltage, duty: Duty, forward_voltage: Forward, opposing_voltage: Opposing, resistance: Resistance
) -> Values:
    """Mean current of a load whose current never stops."""
    return (duty * voltage - (1.0 - duty) * forward_voltage - opposing_voltage) / resistance


@formula(
    "I_0 = (V + V_F)/R (e^(D T/τ) − 1)/(e^(T/τ) − 1) − (E + V_F)/R, τ = L/R, T = 1/f",
    r"I_0 = \frac{V + V_F}{R} \frac{e^{D T/\tau} - 1}{e^{T/\tau} - 1} - \frac{E + V_F}{R}",
    "A",
    _EXPONENTIAL,
)
def valley_current(
    voltage: Voltage,
    duty: Duty,
    forward_voltage: Forward,
    opposing_voltage: Opposing,
    resistance: Resistance,
    inductance: Inductance,
    frequency: Frequency,
) -> Values:
    """Lowest current of the period; negative where the current stops before the period ends."""
    periods = resistance / (inductance * frequency)
    # (e^(D p) - 1)/(e^p - 1), written without overflow for fast loads
    share = np.exp(-(1.0 - duty) * periods) * np.expm1(-duty * periods) / np.expm1(-periods)
    swing = (voltage + forward_voltage) * share
    return (swing - opposing_voltage - forward_voltage) / resistance


@formula(
    "I_P = (V − E)/R (1 − e^(−D R/(L f)))",
    r"I_P = \frac{V - E}{R} \left(1 - e^{-D R/(L f)}\right)",
    "A",
    _EXPONENTIAL,
)
def current_from_rest(
    voltage: Voltage,
    duty: Duty,
    opposing_voltage: Opposing,
    resistance: Resistance,
    inductance: Inductance,
    frequency: Frequency,
) -> Values:
    """Peak of a current that starts from zero in every period, which is its ripple too."""
    return (
        -(voltage - opposing_voltage) / resistance * np.expm1(-duty * resistance / (inductance * frequency))
    )


@formula(
    "d = (L f/R) ln(1 + R I_P/(E + V_F))",
    r"d = \frac{L f}{R} \ln\left(1 + \frac{R I_P}{E + V_F}\right)",
    "%",
    _EXPONENTIAL,
)
def current_extinction_share(
    forward_voltage: Forward,
    opposing_voltage: Opposing,
    resistance: Resistance,
    inductance: Inductance,
    frequency: Frequency,
    peak_current: Annotated[Values, Symbol("I_P", "A", "at the turn-off")],
) -> Values:
    """Share of the period for which the current flows on after the turn-off, if the off-time lets it."""
    against = opposing_voltage + forward_voltage
    return inductance * frequency / resistance * np.log1p(resistance * peak_current / against)


@formula("I = [D V − d V_F − (D + d) E]/R", r"I = \frac{D V - d V_F - (D + d) E}{R}", "A", _SOURCE)
def discontinuous_mean_current(
    voltage: Voltage,
    duty: Duty,
    forward_voltage: Forward,
    opposing_voltage: Opposing,
    resistance: Resistance,
    extinction: Annotated[Values, Symbol("d", "%", "share of the period until the current stops")],
) -> Values:
    """Mean current of a load whose current starts from zero and stops in every period."""
    flowing = duty + extinction
    return (duty * voltage - extinction * forward_voltage - flowing * opposing_voltage) / resistance


@formula(
    "I = D (V − n V_F)/R", r"I = \frac{D (V - n V_F)}{R}", "A", "constant forward voltage; common practice"
)
def led_string_current(
    voltage: Voltage,
    duty: Duty,
    string_voltage: Annotated[Values, Symbol("n V_F", "V", "of the LEDs at their stated current")],
    resistance: Resistance,
) -> Values:
    """Mean current of LEDs behind a resistor, dimmed by switching."""
    return duty * (voltage - string_voltage) / resistance
