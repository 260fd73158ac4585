"""An RC snubber for a cell, sized from what rings in its model and simulated with and without it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from ..circuit.cell import LowSideCell
from ..errors import InputError, InputProblem, issue
from ..figures import Figures, Meaning
from ..hand_formulas.circuit import HandCircuit
from ..model import Quantity, argument, at_least, positive
from ..preferred import Series
from ..studies.asking import quiet_double_pulse
from ..studies.results import DoublePulse
from ..tables import html_table, text_table
from .ring import USUAL_RATIO, RingElements, SnubberSize

__all__ = ["SnubberDesign", "SnubberEffect", "ring_of", "snubber_for"]

_FREQUENCY = Quantity("Hz", "Switching frequency.", allowed=positive(50e6), usual=at_least(1.0, 2e6))


@dataclass(frozen=True, repr=False)
class SnubberEffect(Figures):
    """What a simulation of both edges shows with or without the snubber."""

    overshoot: Annotated[float, Meaning("V", "peak v_DS at the pins above the bus")]
    ring_quality: Annotated[float, Meaning("", "Q of the ring after the turn-off")]
    peak_drain_current: Annotated[float, Meaning("A", "at the drain pin, at turn-on")]
    switching_energy: Annotated[float, Meaning("J", "v_DS i_D over both edges, at the MOSFET's pins")]
    snubber_energy: Annotated[float, Meaning("J", "heat in the snubber's resistor over both edges")]

    @classmethod
    def of(cls, edges: DoublePulse) -> SnubberEffect:
        """Read off a double pulse."""
        on, off = edges.turn_on, edges.turn_off
        heat = sum(entry.energy for entry in edges.ledger if entry.name == "snubber resistor")
        energy = on.total_energy + off.total_energy
        return cls(off.overshoot, off.ring_quality, on.peak_drain_current, energy, heat)


@dataclass(frozen=True, repr=False)
class SnubberDesign:
    """A snubber and its simulated effect.

    Attributes:
        ring: what rings in the model without snubber.
        size: of the snubber.
        frequency: switching frequency [Hz].
        before, after: the double pulses without and with the snubber.
    """

    ring: RingElements
    size: SnubberSize
    frequency: float
    before: DoublePulse
    after: DoublePulse

    @property
    def without_snubber(self) -> SnubberEffect:
        """Simulated without the snubber."""
        return SnubberEffect.of(self.before)

    @property
    def with_snubber(self) -> SnubberEffect:
        """Simulated with the snubber."""
        return SnubberEffect.of(self.after)

    @property
    def snubber_loss(self) -> float:
        """Heat in the snubber's resistor at the switching frequency, simulated [W]."""
        return self.with_snubber.snubber_energy * self.frequency

    @property
    def added_loss(self) -> float:
        """What snubber and MOSFET together lose more than the MOSFET alone [W]; may be negative."""
        before, after = self.without_snubber, self.with_snubber
        more = after.switching_energy + after.snubber_energy - before.switching_energy
        return more * self.frequency

    def rows(self) -> list[tuple[str, str, str, str]]:
        """Figure, without, with the snubber, and definition as text."""
        pairs = zip(self.without_snubber.rows(), self.with_snubber.rows(), strict=True)
        return [(name, before, after, words) for (name, before, words), (_, after, _) in pairs]

    def _summary(self) -> list[tuple[str, str, str]]:
        losses = _Losses(self.snubber_loss, self.added_loss)
        return [*self.ring.rows()[:2], *self.size.rows(), *losses.rows()]

    def __repr__(self) -> str:
        effect = text_table(self.rows(), _HEADER, frozenset({1, 2}))
        return f"Snubber\n{text_table(self._summary())}\n\n{effect}"

    def _repr_html_(self) -> str:
        summary = html_table(self._summary(), ("figure", "value", "meaning"), "Snubber")
        return summary + html_table(self.rows(), _HEADER, "Simulated")


_HEADER = ("figure", "without", "with", "meaning")


@dataclass(frozen=True, repr=False)
class _Losses(Figures):
    snubber_loss: Annotated[float, Meaning("W", "heat in the snubber's resistor, simulated")]
    added_loss: Annotated[float, Meaning("W", "of snubber and MOSFET together against the MOSFET alone")]


def snubber_for(
    cell: LowSideCell,
    *,
    frequency: float | str,
    current: float | str | None = None,
    capacitance_ratio: float = USUAL_RATIO,
    resistor_series: Series = "E24",
    capacitor_series: Series = "E6",
) -> SnubberDesign:
    """Size a snubber for what rings in a cell, and simulate both edges without and with it.

    The ring is that of the loop's inductances, those of the package included, with C_OSS at the bus voltage.

    Args:
        cell: the circuit; a snubber that it has is taken out first.
        frequency: switching frequency, for the losses [Hz].
        current: at the edges [A]; as in :func:`gateswing.double_pulse`.
        capacitance_ratio: least capacitance of the snubber over that of the ring.
        resistor_series: of preferred values.
        capacitor_series: of preferred values; the capacitor is rounded up.

    Raises:
        InputError: an argument is out of range, or the cell has no inductance that could ring.
    """
    rate = argument("frequency", frequency, _FREQUENCY)
    bare = cell.replace(snubber=None)
    before = quiet_double_pulse(bare, current=current)
    ring = ring_of(bare)
    size = ring.snubber(
        voltage=cell.bus.voltage,
        frequency=rate,
        capacitance_ratio=capacitance_ratio,
        resistor_series=resistor_series,
        capacitor_series=capacitor_series,
    )
    after = quiet_double_pulse(cell.replace(snubber=size.snubber), current=current)
    issue(dict.fromkeys([*before.warnings, *after.warnings]))
    return SnubberDesign(ring, size, rate, before, after)


def ring_of(cell: LowSideCell) -> RingElements:
    """The inductances of a cell's power loop, and C_OSS at the bus voltage that rings with them.

    Raises:
        InputError: the cell has no inductance that could ring.
    """
    at = HandCircuit(cell, math.nan)  # at no current: the ring does not depend on it
    if at.ring_inductance.value == 0.0:
        hint = "Give loop_inductance, at least as a guess."
        raise InputError([InputProblem("cell", None, "has no inductance that could ring.", hint=hint)])
    return RingElements(at.ring_inductance.value, at.output_capacitance.value)
