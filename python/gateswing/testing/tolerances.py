"""How far a waveform may be from its reference before it counts as another."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

__all__ = ["Tolerances"]

# Share of the reference, and in SI units what is always allowed. Common practice, no source.
_BY_UNIT = {
    "s": (0.01, 0.1e-9),
    "J": (0.01, 1e-10),
    "V": (0.01, 0.02),
    "A": (0.01, 0.02),
    "C": (0.01, 1e-11),
    "V/s": (0.02, 0.0),
    "A/s": (0.02, 0.0),
    "Hz": (0.01, 0.0),
    "W": (0.01, 1e-4),
    "": (0.05, 0.0),
    "%": (0.0, 1e-3),
}
# Decays follow from logarithms of small amplitudes.
_BY_ENDING = {"decay_time": (0.05, 0.1e-9), "quality": (0.05, 0.0)}


@dataclass(frozen=True)
class Tolerances:
    """Gates of a comparison.

    Attributes:
        figures: for a figure by its full name (``turn_on.delay``) or its last part (``delay``), the share of
            the reference and the amount in SI units that are allowed together; others have those of their
            unit.
        tube_time: half width of the tube along time [s] at least.
        tube_time_share: the same, as a share of the shortest transition.
        tube_value: half width of the tube along the value, as a share of the range of the channel.
        least_value: the same at least [V] or [A], for channels at rest.
        shift: allowed between the events that the waveforms are aligned on [s].
        residual: largest residual of energy or charge.
    """

    figures: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    tube_time: float = 0.2e-9
    tube_time_share: float = 0.02
    tube_value: float = 0.01
    least_value: float = 1e-3
    shift: float = 0.2e-9
    residual: float = 1e-5

    def of_figure(self, name: str, unit: str, reference: float) -> float:
        """Allowed distance of a figure from its reference [unit]."""
        last = name.rpartition(".")[2]
        own = self.figures.get(name, self.figures.get(last))
        by_ending = next((gate for ending, gate in _BY_ENDING.items() if last.endswith(ending)), None)
        share, amount = own or by_ending or _BY_UNIT.get(unit, (0.01, 0.0))
        return share * abs(reference) + amount
