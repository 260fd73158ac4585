"""Inductance and capacitance of a ring, measured twice, and the snubber that damps it.

A ring of the frequency f0 slows down to f1 when a known capacitance is added across the ringing node:

    C = C_A/[(f0/f1)^2 - 1],    L = 1/[(2 pi f0)^2 C]

With r = f0/f1 the relative errors are dC/C = -2 r^2/(r^2 - 1) (df0/f0 - df1/f1), dL/L = -2 df0/f0 - dC/C. So
the added capacitance should slow the ring down by 1.5 times or more: three times C halves the frequency.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from .. import formulas
from ..circuit.cell import Snubber
from ..errors import InputError, InputProblem
from ..figures import Figures, Meaning
from ..model import Quantity, argument, at_least, positive
from ..preferred import Series, preferred_value
from ..quantities import format_quantity

__all__ = ["RingElements", "SnubberSize", "ring_elements"]

_RING = Quantity("Hz", "Of the ring.", allowed=positive(10e9), usual=at_least(1e5, 1e9))
_ADDED = Quantity("F", "Added across the node.", allowed=positive(1e-6), usual=at_least(1e-12, 100e-9))
_ERROR = Quantity("", "Relative error of either frequency.", allowed=at_least(0.0, 0.2))
_RATIO = Quantity("", "Snubber capacitance over that of the ring.", allowed=positive(1e3))
_VOLTAGE = Quantity("V", "Swing of the node.", allowed=positive(3e3), usual=at_least(1.0, 1.2e3))
_FREQUENCY = Quantity("Hz", "Switching frequency.", allowed=positive(50e6), usual=at_least(1.0, 2e6))

# Three times the ringing capacitance: the damping of a larger one is little better, its loss is not (common
# practice, no source).
USUAL_RATIO = 3.0


@dataclass(frozen=True, repr=False)
class SnubberSize(Figures):
    """Resistor and capacitor in series across a ringing node, in preferred values."""

    resistance: Annotated[float, Meaning("ohm", "of the snubber, preferred value")]
    capacitance: Annotated[float, Meaning("F", "of the snubber, preferred value")]
    computed_resistance: Annotated[float, Meaning("ohm", "optimum for this capacitance, before rounding")]
    power: Annotated[float, Meaning("W", "C V² f: the resistor's, if the edges are fast against R C")]

    @property
    def snubber(self) -> Snubber:
        """As a part of a cell."""
        return Snubber(resistance=self.resistance, capacitance=self.capacitance)


@dataclass(frozen=True, repr=False)
class RingElements(Figures):
    """What rings: an inductance with a capacitance. The errors are bounds, NaN for a ring of a model."""

    inductance: Annotated[float, Meaning("H", "of the loop")]
    capacitance: Annotated[float, Meaning("F", "of the ringing node")]
    inductance_error: Annotated[float, Meaning("%", "relative, from that of the frequencies")] = math.nan
    capacitance_error: Annotated[float, Meaning("%", "relative, from that of the frequencies")] = math.nan

    @property
    def impedance(self) -> float:
        """√(L/C) [ohm]."""
        return math.sqrt(self.inductance / self.capacitance)

    @property
    def frequency(self) -> float:
        """Of the undamped ring [Hz]."""
        return float(formulas.resonance_frequency(self.inductance, self.capacitance))

    def snubber(
        self,
        *,
        voltage: float | str,
        frequency: float | str,
        capacitance_ratio: float = USUAL_RATIO,
        resistor_series: Series = "E24",
        capacitor_series: Series = "E6",
    ) -> SnubberSize:
        """Resistor and capacitor that damp the ring.

        Args:
            voltage: by which the node swings [V].
            frequency: switching frequency [Hz].
            capacitance_ratio: least capacitance of the snubber over that of the ring.
            resistor_series: of preferred values.
            capacitor_series: of preferred values; the capacitor is rounded up.

        Raises:
            InputError: an argument is out of range.
        """
        ratio = argument("capacitance_ratio", capacitance_ratio, _RATIO)
        swing, rate = argument("voltage", voltage, _VOLTAGE), argument("frequency", frequency, _FREQUENCY)
        capacitance = preferred_value(ratio * self.capacitance, capacitor_series, "up")
        best = float(
            formulas.damping_resistance(self.inductance, self.capacitance, capacitance / self.capacitance)
        )
        power = float(formulas.capacitor_loss(capacitance, swing, rate))
        return SnubberSize(preferred_value(best, resistor_series), capacitance, best, power)


def ring_elements(
    *,
    frequency: float | str,
    loaded_frequency: float | str,
    added_capacitance: float | str,
    frequency_error: float | str = 0.01,
) -> RingElements:
    """Inductance and capacitance of a ring from two measured frequencies.

    Args:
        frequency: as it is [Hz].
        loaded_frequency: with the capacitance added [Hz]; lower.
        added_capacitance: across the ringing node, the probe's included in neither or in both [F].
        frequency_error: relative, of each of the two.

    Raises:
        InputError: an argument is out of range, or the added capacitance did not slow the ring down.
    """
    bare = argument("frequency", frequency, _RING)
    loaded = argument("loaded_frequency", loaded_frequency, _RING)
    added = argument("added_capacitance", added_capacitance, _ADDED)
    error = argument("frequency_error", frequency_error, _ERROR)
    if loaded >= bare:
        given, most = format_quantity(loaded, "Hz"), format_quantity(bare, "Hz")
        reason = "a capacitance added must slow the ring down."
        raise InputError([InputProblem("loaded_frequency", given, reason, f"below {most}")])
    capacitance = float(formulas.ring_capacitance(bare, loaded, added))
    inductance = float(formulas.ring_inductance(bare, capacitance))
    gain = 2.0 / (1.0 - (loaded / bare) ** 2)
    # The worst case: both frequencies off, to opposite sides. dL/L = (gain - 2) df0/f0 - gain df1/f1.
    return RingElements(inductance, capacitance, (2.0 * gain - 2.0) * error, 2.0 * gain * error)
