"""What an axis of a sweep is as an axis of a picture: values, name, unit, and whether it is logarithmic."""

from __future__ import annotations

import numpy as np
import xarray as xr
from matplotlib.axis import Axis
from matplotlib.ticker import EngFormatter, PercentFormatter
from numpy.typing import NDArray

from ..quantities import ZERO_CELSIUS
from .style import axis_label, label_decades

__all__ = ["NOT_NUMERIC", "axis_values_of", "dress_axis", "is_geometric", "is_numeric"]

NOT_NUMERIC = "names, not numbers"
# How the axes of every sweep are called, whose names in a dataset are as short as its fields.
_NAMES = {"frequency": "switching frequency", "duty": "duty cycle"}
_UNITS = {"frequency": "Hz", "duty": "%"}
_LEAST_RANGE = 1.5  # highest over lowest value, below which a logarithmic axis looks like a linear one


def is_numeric(coordinate: xr.DataArray) -> bool:
    """Whether a coordinate has numbers and not the names of choices."""
    return bool(np.issubdtype(coordinate.dtype, np.number))


def axis_values_of(coordinate: xr.DataArray) -> NDArray[np.float64]:
    """Values as they are drawn: temperatures in degrees Celsius, all else in SI units."""
    values = np.asarray(coordinate.values, dtype=np.float64)
    return values - ZERO_CELSIUS if _unit(coordinate) == "K" else values


def is_geometric(coordinate: xr.DataArray) -> bool:
    """Whether values are spread by ratios rather than by differences, as decades and preferred values are."""
    values = np.sort(axis_values_of(coordinate))
    if values[0] <= 0.0 or values[-1] < _LEAST_RANGE * values[0]:
        return False
    if len(values) < 3:
        return coordinate.name == "frequency"
    return _unevenness(np.log(values)) < _unevenness(values)


def dress_axis(axis: Axis, coordinate: xr.DataArray) -> None:
    """Scale, ticks and label of an axis along which a coordinate is drawn."""
    unit = _unit(coordinate)
    if is_geometric(coordinate):
        axis.axes.set(**{f"{axis.axis_name}scale": "log"})  # type: ignore[attr-defined]
        label_decades(axis, unit)
    elif unit == "%":
        axis.set_major_formatter(PercentFormatter(1.0))
    elif unit not in ("", "K"):
        axis.set_major_formatter(EngFormatter(unit=unit, sep=" "))
    words = _NAMES.get(str(coordinate.name)) or coordinate.attrs.get("long_name", coordinate.name)
    axis.set_label_text(axis_label(words, "degC" if unit == "K" else ""))


def _unit(coordinate: xr.DataArray) -> str:
    """To print values in; nothing for a plain number."""
    if coordinate.name in _UNITS:
        return _UNITS[str(coordinate.name)]
    unit = str(coordinate.attrs.get("units", ""))
    return "" if unit == "1" else unit


def _unevenness(values: NDArray[np.float64]) -> float:
    """Of the steps between values, as a share of the mean step."""
    steps = np.diff(values)
    return float(np.std(steps) / np.mean(steps))
