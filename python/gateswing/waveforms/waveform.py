"""Voltages and currents over time, exact between the integrator's steps."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .. import _core

if TYPE_CHECKING:
    import xarray as xr

__all__ = ["Waveform"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, repr=False)
class Waveform:
    """Channels over time, each a polynomial in every step of the integrator.

    Attributes:
        core: the same as an object of the C++ core.
    """

    core: _core.Waveform

    @property
    def units(self) -> Mapping[str, str]:
        """SI unit of each channel by name."""
        return {channel.name: channel.unit for channel in self.core.channels}

    @property
    def begin(self) -> float:
        """First time [s]."""
        return self.core.begin

    @property
    def end(self) -> float:
        """Last time [s]."""
        return self.core.end

    @property
    def times(self) -> Floats:
        """Times of the nodes [s], shape (nodes,); the time of a joint between two steps appears twice."""
        return np.asarray(self.core.times)

    def values(self, channel: str) -> Floats:
        """Values of a channel at `times`, in its unit, shape (nodes,).

        Raises:
            ValueError: there is no such channel.
        """
        return np.asarray(self.core.values(channel))

    def value(self, channel: str, time: ArrayLike) -> Floats:
        """Value of a channel at times [s] of any shape; at a jump, the value after it.

        Raises:
            ValueError: a time lies outside the waveform, or there is no such channel.
        """
        return np.asarray(self.core.value(channel, np.asarray(time, dtype=np.float64)))

    def derivative(self, channel: str, time: ArrayLike) -> Floats:
        """Slope of a channel [unit/s] at times [s] of any shape.

        Raises:
            ValueError: a time lies outside the waveform, or there is no such channel.
        """
        return np.asarray(self.core.derivative(channel, np.asarray(time, dtype=np.float64)))

    def integral(self, channel: str, begin: float, times: ArrayLike) -> Floats:
        """Integral of a channel from `begin` [s] to each of `times` [s] of any shape, in its unit times s.

        Raises:
            ValueError: a time lies outside the waveform, or there is no such channel.
        """
        ends = np.append(np.asarray(times, dtype=np.float64).ravel(), begin)
        # Between neighbours of this grid the channel is one polynomial, which the quadrature integrates
        # exactly.
        grid = np.unique(np.concatenate([self._joints(), ends]))
        abscissae, weights = np.polynomial.legendre.leggauss(self.core.degree // 2 + 1)
        middle, half = (grid[1:] + grid[:-1]) / 2, (grid[1:] - grid[:-1]) / 2
        samples = self.value(channel, middle[:, np.newaxis] + half[:, np.newaxis] * abscissae)
        running = np.append(0.0, np.cumsum(half * (samples * weights).sum(axis=1)))
        found = running[np.searchsorted(grid, ends)]
        return np.asarray((found[:-1] - found[-1]).reshape(np.shape(times)))

    def to_dataset(self, times: ArrayLike | None = None) -> xr.Dataset:
        """All channels over `times` [s], by default the nodes, with units in the attributes.

        Raises:
            ValueError: a time lies outside the waveform.
        """
        import xarray as xr

        wanted = np.unique(self.times) if times is None else np.asarray(times, dtype=np.float64)
        data = {
            name: ("time", self.value(name, wanted), {"units": unit, "long_name": name})
            for name, unit in self.units.items()
        }
        return xr.Dataset(data, coords={"time": ("time", wanted, {"units": "s", "long_name": "time"})})

    @classmethod
    def from_samples(
        cls, times: ArrayLike, values: Mapping[str, ArrayLike], units: Mapping[str, str]
    ) -> Waveform:
        """Straight lines between samples, so that the measures of a simulation apply to a capture.

        Args:
            times: [s], shape (samples,), increasing.
            values: of each channel by name, shape (samples,).
            units: SI unit of each channel by name.

        Raises:
            ValueError: times that do not increase, or a channel of another length.
        """
        channels = [_core.Channel(name, units[name]) for name in values]
        columns = [np.asarray(one, dtype=np.float64) for one in values.values()]
        return cls(_core.Waveform.from_samples(channels, np.asarray(times, dtype=np.float64), columns))

    def write_csv(self, path: str | Path) -> None:
        """Write all nodes as text, with the digits that read back exactly."""
        self.core.write_csv(Path(path))

    @classmethod
    def read_csv(cls, path: str | Path) -> Waveform:
        """Read what :meth:`write_csv` wrote."""
        return cls(_core.Waveform.read_csv(Path(path)))

    def _joints(self) -> Floats:
        """Times of the joints between steps, both ends included [s]."""
        return np.append(self.times[:: self.core.degree + 1], self.end)

    def __repr__(self) -> str:
        channels = ", ".join(f"{name} [{unit}]" for name, unit in self.units.items())
        return f"Waveform from {self.begin:g} s to {self.end:g} s in {self.core.steps} steps: {channels}"
