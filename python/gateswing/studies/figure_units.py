"""Figures of a dataset as they are printed, and limits that are held against them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..model import Quantity, argument
from ..quantities import Interval
from .results import OperatingFigures

if TYPE_CHECKING:
    import xarray as xr

__all__ = ["figure_limit", "figure_unit"]

_ANY = Interval(-1e30, 1e30)


def figure_unit(values: xr.DataArray) -> str:
    """The unit to print a figure of a dataset in: ``%`` for a share, nothing for a plain number.

    Datasets say 1 of both.
    """
    unit = str(values.attrs["units"])
    return OperatingFigures.units().get(str(values.name), "") if unit == "1" else unit


def figure_limit(values: xr.DataArray, limit: float | str) -> float:
    """A limit of a figure of a dataset, in SI units.

    Raises:
        InputError: it is of another unit.
    """
    unit = str(values.attrs["units"])
    kind = Quantity("" if unit == "1" else unit, "Of the figure.", allowed=_ANY)
    return argument("limit", limit, kind)
