"""A sweep as a dataset, and the points of a dataset as circuits again."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from .. import _core
from ..errors import InputError, InputProblem
from ..model import Model
from .axes import Plan, replaced
from .chunk import DONE, NOT_RUN, Outcome
from .kinds import AnyPoint, Cell, Kind, kind_named

if TYPE_CHECKING:
    import xarray as xr

__all__ = ["dataset_of", "kind_in", "origin_of", "points_of", "tolerances_of", "with_outcomes"]

# The attribute that says what a dataset was made from.
_ORIGIN = "sweep"
# The coordinate of points that were computed at another tolerance than the sweep.
TOLERANCE = "relative_tolerance"


def dataset_of(plan: Plan, outcomes: Mapping[int, Outcome], relative_tolerance: float) -> xr.Dataset:
    """The outcomes by number as variables over the axes; a point without one has the status "not_run"."""
    import xarray as xr

    dims = [axis.name for axis in plan.axes]
    figures = plan.kind.figures
    table = np.full((len(plan), len(figures)), np.nan)
    for number, outcome in outcomes.items():
        if outcome.status == DONE:
            table[number] = outcome.figures
    data: dict[str, Any] = {
        figure.name: (dims, column.reshape(plan.shape), _attributes(figure))
        for figure, column in zip(figures, table.T, strict=True)
    }
    for name, missing in (("status", NOT_RUN), ("message", "")):
        texts = [
            getattr(outcomes[number], name) if number in outcomes else missing for number in range(len(plan))
        ]
        data[name] = (dims, np.array(texts, dtype=np.str_).reshape(plan.shape), {"long_name": name})
    coords = {
        column.name: (axis.name, column.shown, column.attributes)
        for axis in plan.axes
        for column in axis.columns
    }
    return xr.Dataset(data, coords=coords, attrs={_ORIGIN: _origin(plan, relative_tolerance)})


def with_outcomes(
    dataset: xr.Dataset, outcomes: Mapping[int, Outcome], relative_tolerance: float
) -> xr.Dataset:
    """A copy with the points of some numbers replaced; the last dimension varies fastest."""
    copy = dataset.copy(deep=True)
    order, shape = dataset["status"].dims, dataset["status"].shape
    names = kind_in(origin_of(dataset)).figure_names
    for number, outcome in outcomes.items():
        place = np.unravel_index(number, shape)
        for name, value in zip(names, outcome.figures, strict=True):
            copy[name].transpose(*order).values[place] = value if outcome.status == DONE else np.nan
    for name in ("status", "message"):
        texts = dataset[name].values.astype(object)
        for number, outcome in outcomes.items():
            texts[np.unravel_index(number, texts.shape)] = getattr(outcome, name)
        copy[name] = (order, texts.astype(np.str_), dataset[name].attrs)
    tolerances = tolerances_of(dataset)
    if any(tolerances[number] != relative_tolerance for number in outcomes):
        tolerances[list(outcomes)] = relative_tolerance
        attributes = {"units": "1", "long_name": "relative tolerance"}
        copy = copy.assign_coords({TOLERANCE: (order, tolerances.reshape(shape), attributes)})
    return copy


def tolerances_of(dataset: xr.Dataset) -> NDArray[np.float64]:
    """Tolerance that each point was computed at, by number.

    Raises:
        InputError: the dataset is not of a sweep.
    """
    if TOLERANCE not in dataset.coords:
        return np.full(dataset["status"].size, float(origin_of(dataset)["relative_tolerance"]))
    kept = dataset[TOLERANCE].broadcast_like(dataset["status"]).transpose(*dataset["status"].dims)
    return np.array(kept.values, dtype=np.float64).ravel()


def points_of(dataset: xr.Dataset, numbers: Sequence[int]) -> Iterator[AnyPoint | InputError]:
    """Points by number, rebuilt from coordinates and attributes, or why their values do not go together.

    Raises:
        InputError: the dataset is not of a sweep, or has lost a coordinate that its points depend on.
    """
    origin = origin_of(dataset)
    kind = kind_in(origin)
    cell: Cell = kind.cell(**origin["cell"])
    shown = {path: _shown(dataset, path, numbers) for path in origin["axes"]}
    operations = {path: shown.pop(path) for path in kind.quantities}
    cells: dict[tuple[Any, ...], Cell | InputError] = {}
    for place in range(len(numbers)):
        key = tuple(values[place] for values in shown.values())
        if key not in cells:
            choices = (origin["axes"][path] for path in shown)
            values = (one if of is None else of[one] for one, of in zip(key, choices, strict=True))
            cells[key] = replaced(cell, dict(zip(shown, values, strict=True)))
        found = cells[key]
        operation = {path: float(values[place]) for path, values in operations.items()}
        fixed = origin.get("fixed", {})
        yield found if isinstance(found, InputError) else kind.point(found, **operation, **fixed)


def kind_in(origin: Mapping[str, Any]) -> Kind:
    """The kind of cell of an origin; before half bridges could be swept it did not say."""
    return kind_named(origin.get("kind", "low-side cell"))


def _shown(dataset: xr.Dataset, path: str, numbers: Sequence[int]) -> list[Any]:
    """What the coordinate of a field shows at those points."""
    name = path.replace(".", "__")
    if name not in dataset.coords:
        reason = "the dataset has lost this coordinate, so its points cannot be rebuilt."
        raise InputError([InputProblem(name, None, reason)])
    spread = dataset[name].broadcast_like(dataset["status"]).transpose(*dataset["status"].dims)
    values: list[Any] = spread.values.ravel()[list(numbers)].tolist()
    return values


def origin_of(dataset: xr.Dataset) -> dict[str, Any]:
    """What a dataset was made from: version, tolerance, cell, and the choices behind labels.

    Raises:
        InputError: the dataset is not of a sweep.
    """
    try:
        origin = json.loads(dataset.attrs[_ORIGIN])
    except (KeyError, ValueError):
        hint = "Keep the attributes of the dataset; xarray.set_options(keep_attrs=True) does."
        raise InputError([InputProblem("dataset", None, "not of a sweep.", hint=hint)]) from None
    return dict(origin)


def _origin(plan: Plan, relative_tolerance: float) -> str:
    axes = {
        column.path: None
        if column.labels is None
        else dict(zip(column.labels, map(_plain, column.values), strict=True))
        for column in plan.columns()
    }
    return json.dumps({
        "version": _core.__version__,
        "relative_tolerance": relative_tolerance,
        "kind": plan.kind.name,
        "cell": _plain(plan.cell),
        "fixed": dict(plan.fixed),
        "axes": axes,
    })  # fmt: skip


def _plain(value: Any) -> Any:
    return value.model_dump(mode="json") if isinstance(value, Model) else value


def _attributes(figure: _core.Figure) -> dict[str, str]:
    name = figure.name.replace("_", " ")
    return {"units": figure.unit, "long_name": name, "description": figure.meaning}
