"""What is known about an instrument beforehand: how far its channels may be off."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["InstrumentErrors"]


@dataclass(frozen=True)
class InstrumentErrors:
    """Standard deviations of what is known about the instrument.

    Attributes:
        gain: of the scale of each channel, relative.
        skew: of a channel against v_DS [s].
    """

    gain: float
    skew: float
