"""How quantities vary from piece to piece, and samples of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..circuit.mosfet import Mosfet
from ..datasheet.sheet import MosfetSheet
from ..errors import InputError, InputProblem
from ..model import Model, Quantity, argument, by_path, choice
from ..quantities import Interval, common_numbers, format_quantity
from ..sweeping.kinds import Cell, kind_of

__all__ = ["Distribution", "Shape", "Spread", "SpreadMap", "distributions", "sample", "sheet_spreads"]

Floats = NDArray[np.float64]
Shape = Literal["normal", "uniform", "triangular", "log_uniform"]
Method = Literal["latin_hypercube", "sobol", "random"]
# Standard deviations at which a maker's limits are put; common practice, no source.
_LIMITS_AT = 3.0
_SHARE = Quantity("", "Of the typical value.", allowed=Interval(0.0, 1.0, high_open=True))


@dataclass(frozen=True, kw_only=True)
class Spread:
    """The limits of a quantity from piece to piece, and how it is spread between them.

    Give `minimum` and `maximum`, or `tolerance`. What cannot be is refused at once, what does not fit the
    field once that is known.

    Attributes:
        minimum, typical, maximum: as the field takes them; `typical` left out: what the cell states.
        tolerance: of either side as a share of the typical value, ``"5 %"``.
        shape: ``normal``: a half of a normal distribution on each side of the typical value, the limits at
            three standard deviations and nothing beyond them; ``uniform``; ``triangular``, its peak at the
            typical value; ``log_uniform`` for what is known to a factor only, as wiring inductances are.
    """

    minimum: float | str | None = None
    typical: float | str | None = None
    maximum: float | str | None = None
    tolerance: float | str | None = None
    shape: Shape = "normal"

    def __post_init__(self) -> None:
        """Refuse what cannot be, whatever field it is for.

        Raises:
            InputError: there are no limits, both kinds of them, or they do not ascend; or no such shape.
        """
        choice("shape", self.shape, Shape)
        if self.tolerance is not None:
            self._check_tolerance()
        elif self.minimum is None or self.maximum is None:
            name = "minimum" if self.minimum is None else "maximum"
            hint = "Give minimum and maximum, or a tolerance."
            raise InputError([InputProblem(name, None, "missing.", hint=hint)])
        ends = {"minimum": self.minimum, "typical": self.typical, "maximum": self.maximum}
        given = {name: one for name, one in ends.items() if one is not None}
        numbers = common_numbers(given.values())
        if numbers and numbers != sorted(numbers):
            values = ", ".join(map(str, given.values()))
            raise InputError([InputProblem(", ".join(given), values, "must ascend.")])

    def _check_tolerance(self) -> None:
        if self.minimum is not None or self.maximum is not None:
            reason = "excludes minimum and maximum."
            raise InputError([InputProblem("tolerance", repr(self.tolerance), reason)])
        argument("tolerance", self.tolerance, _SHARE)

    def of(self, path: str, kind: Quantity, stated: float | None) -> Distribution:
        """The distribution of the field at `path` of this kind, for which the cell states a value.

        Raises:
            InputError: a limit is out of range, or the typical value is missing.
        """
        given = stated if self.typical is None else argument(f"{path}.typical", self.typical, kind)
        if self.tolerance is not None:
            return self._of_tolerance(path, kind, given)
        low = argument(f"{path}.minimum", self.minimum, kind)
        high = argument(f"{path}.maximum", self.maximum, kind)
        if given is None or not low <= given <= high:
            given = _middle(low, high, self.shape)
        return self._checked(path, kind, low, given, high)

    def _of_tolerance(self, path: str, kind: Quantity, typical: float | None) -> Distribution:
        if typical is None:
            raise InputError([InputProblem(f"{path}.typical", None, "missing; the cell states none.")])
        share = argument(f"{path}.tolerance", self.tolerance, _SHARE)
        ends = sorted((typical * (1.0 - share), typical * (1.0 + share)))
        low, high = (argument(path, end, kind) for end in ends)
        return self._checked(path, kind, low, typical, high)

    def _checked(self, path: str, kind: Quantity, low: float, typical: float, high: float) -> Distribution:
        if self.shape == "log_uniform" and low <= 0.0:
            values = ", ".join(format_quantity(value, kind.unit) for value in (low, typical, high))
            raise InputError([InputProblem(path, values, "a log-uniform spread needs a minimum above zero.")])
        return Distribution(path, kind, low, typical, high, self.shape)


SpreadMap = Mapping[str, Spread]


def sheet_spreads(sheet: MosfetSheet, mosfet: Mosfet) -> dict[str, Spread]:
    """What a data sheet says of the spread of a MOSFET fitted to it: of the threshold, by path in a cell.

    The printed threshold is that at a small current, the model's that of its extrapolated law; both move
    by the same amount from piece to piece.

    Raises:
        InputError: the sheet does not print both limits of the threshold.
    """
    threshold = sheet.threshold
    if threshold.minimum is None or threshold.maximum is None:
        problem = InputProblem("threshold", None, "the sheet does not print minimum and maximum.")
        raise InputError([problem])
    shift = mosfet.channel.threshold_voltage - threshold.voltage
    spread = Spread(minimum=threshold.minimum + shift, maximum=threshold.maximum + shift)
    return {"mosfet.channel.threshold_voltage": spread}


@dataclass(frozen=True)
class Distribution:
    """A spread with its numbers: limits and typical value in SI units."""

    path: str
    kind: Quantity
    low: float
    typical: float
    high: float
    shape: Shape

    @property
    def label(self) -> str:
        """The field in words."""
        *owners, field = self.path.replace("_", " ").split(".")
        return " of ".join([field, *reversed(owners)])

    def quantile(self, share: ArrayLike) -> Floats:
        """The value below which a `share` of the pieces lies; of any shape."""
        below = np.asarray(share, dtype=np.float64)
        if self.low == self.high:
            return np.full_like(below, self.low)
        return np.asarray(np.clip(_QUANTILES[self.shape](self, below), self.low, self.high))


def _normal(of: Distribution, share: Floats) -> Floats:
    """Two half normals of different width that meet at the same height, cut off at the limits."""
    from scipy.special import ndtr, ndtri  # type: ignore[import-untyped]

    left, right = of.typical - of.low, of.high - of.typical
    on_left = left / (left + right)
    inside = 2.0 * ndtr(_LIMITS_AT) - 1.0
    beyond = np.where(
        share < on_left,
        1.0 - share / max(on_left, np.finfo(float).tiny),
        (share - on_left) / max(1.0 - on_left, np.finfo(float).tiny),
    )
    deviations = ndtri(0.5 * (1.0 + inside * beyond))
    return np.asarray(of.typical + np.where(share < on_left, -left, right) * deviations / _LIMITS_AT)


def _uniform(of: Distribution, share: Floats) -> Floats:
    return of.low + share * (of.high - of.low)


def _triangular(of: Distribution, share: Floats) -> Floats:
    from scipy.stats import triang  # type: ignore[import-untyped]

    width = of.high - of.low
    return np.asarray(triang.ppf(share, (of.typical - of.low) / width, of.low, width))


def _log_uniform(of: Distribution, share: Floats) -> Floats:
    return of.low * (of.high / of.low) ** share


_QUANTILES = {"normal": _normal, "uniform": _uniform, "triangular": _triangular, "log_uniform": _log_uniform}


def distributions(cell: Cell, spreads: SpreadMap) -> list[Distribution]:
    """The spread of every field; a path may be written with ``__`` for the dot.

    Raises:
        InputError: no spread is given, a field is unknown, no number or given twice, or a limit cannot be.
    """
    if not spreads:
        raise InputError([InputProblem("spreads", "{}", "no fields.", hint="Give at least one.")])
    found = []
    for path, spread in by_path(spreads).items():
        kind, stated = _stated(cell, path)
        found.append(spread.of(path, kind, stated))
    return found


def _stated(cell: Cell, path: str) -> tuple[Quantity, float | None]:
    operation = kind_of(cell).operation
    if path in operation.model_fields:
        kind, value = operation.quantity_of(path), None
    else:
        value = cell.value_at(path)
        owner, _, field = path.rpartition(".")
        part: Model = cell.value_at(owner) if owner else cell
        kind = part.quantity_of(field)
    if kind is None:
        raise InputError([InputProblem(path, None, "not a number, so it has no spread.")])
    return kind, value


def _middle(low: float, high: float, shape: Shape) -> float:
    return float(np.sqrt(low * high)) if shape == "log_uniform" and low > 0.0 else 0.5 * (low + high)


def sample(of: list[Distribution], count: int, seed: int, method: str) -> dict[str, Floats]:
    """Values of every field by path, `count` of each.

    Raises:
        InputError: a count that the method cannot do, or no such method.
    """
    from scipy.stats import qmc

    random = np.random.default_rng(seed)
    if count < 1:
        raise InputError([InputProblem("count", repr(count), "out of range.", "1 and more")])
    if choice("method", method, Method) == "random":
        cube = random.random((count, len(of)))
    elif method == "latin_hypercube":
        cube = qmc.LatinHypercube(len(of), seed=random).random(count)
    else:
        power = count.bit_length() - 1
        if count != 1 << power:
            hint = f"Take {1 << power} or {2 << power}."
            reason = "a Sobol sequence is balanced for powers of two alone."
            raise InputError([InputProblem("count", repr(count), reason, hint=hint)])
        cube = qmc.Sobol(len(of), seed=random).random_base2(power)
    return {one.path: one.quantile(column) for one, column in zip(of, cube.T, strict=True)}
