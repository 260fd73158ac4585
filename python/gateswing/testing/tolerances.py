"""How far a waveform may be from its reference before it counts as another."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields

from ..errors import InputError, InputProblem
from ..model import Quantity, argument, at_least

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
# Decays follow from logarithms of small amplitudes, and amplitudes are carried on by them.
_BY_ENDING = {"decay_time": (0.05, 0.1e-9), "quality": (0.05, 0.0), "ring_amplitude": (0.02, 0.0)}
_UNITS = {"tube_time": "s", "shift": "s", "ends": "s"}
_SHARE = at_least(0.0, 1e6)


@dataclass(frozen=True)
class Tolerances:
    """Gates of a comparison, in SI units.

    Attributes:
        figures: for a figure by its full name (``turn_on.delay``) or its last part (``delay``), the share of
            the reference and the amount in SI units that are allowed together; others have those of their
            unit.
        tube_time: half width of the tube along time [s] at least.
        tube_time_share: the same, as a share of the shortest transition.
        tube_value: half width of the tube along the value, as a share of the range of the channel.
        least_value: the same at least, in the unit of the channel.
        shift: allowed between the events that the waveforms are aligned on [s].
        ends: by how much begin and end of the record may differ [s], if the tube is not wider.
        residual: largest residual of energy or charge.

    Raises:
        InputError: one is no number from zero on.
    """

    figures: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    tube_time: float = 0.2e-9
    tube_time_share: float = 0.02
    tube_value: float = 0.01
    least_value: float = 1e-3
    shift: float = 0.2e-9
    ends: float = 0.0
    residual: float = 1e-5

    def __post_init__(self) -> None:
        for one in fields(self):
            if one.name != "figures":
                kind = Quantity(_UNITS.get(one.name, ""), "What counts as the same.", allowed=_SHARE)
                object.__setattr__(self, one.name, argument(one.name, getattr(self, one.name), kind))
        object.__setattr__(self, "figures", {name: _pair(name, one) for name, one in self.figures.items()})

    def own(self, name: str, reference: float) -> float | None:
        """Allowed distance [unit] by the gate that was given for this figure; ``None`` where none was."""
        found = self.figures.get(name, self.figures.get(name.rpartition(".")[2]))
        return None if found is None else found[0] * abs(reference) + found[1]

    def of_figure(self, name: str, unit: str, reference: float) -> float:
        """Allowed distance of a figure from its reference [unit]."""
        own = self.own(name, reference)
        if own is not None:
            return own
        last = name.rpartition(".")[2]
        by_ending = next((gate for ending, gate in _BY_ENDING.items() if last.endswith(ending)), None)
        share, amount = by_ending or _BY_UNIT.get(unit, (0.01, 0.0))
        return share * abs(reference) + amount


def _pair(name: str, given: object) -> tuple[float, float]:
    """Share and amount of a figure."""
    path = f"figures.{name}"
    if not isinstance(given, Sequence) or isinstance(given, str) or len(given) != 2:
        hint = "Give the share of the reference and the amount in SI units: (0.02, 0.0)."
        raise InputError([InputProblem(path, repr(given), "not a share and an amount.", hint=hint)])
    share, amount = (argument(path, one, Quantity("", "Allowed.", allowed=_SHARE)) for one in given)
    return share, amount
