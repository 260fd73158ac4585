"""What a hand formula is: a small pure function that carries its equation, units and source."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, NamedTuple, ParamSpec, get_type_hints

import numpy as np
from numpy.typing import NDArray

__all__ = ["Formula", "Symbol", "Values", "formula"]

Values = float | NDArray[np.float64]
P = ParamSpec("P")


class Symbol(NamedTuple):
    """Marks a parameter of a formula: ``Annotated[Values, Symbol("R_G", "ohm", "...")]``.

    Attributes:
        text: as in the equation.
        unit: in SI; ``"%"`` for a share.
        meaning: in words.
    """

    text: str
    unit: str
    meaning: str


class Formula(Generic[P]):
    """A function of SI numbers or arrays, which broadcast, with what it takes to print it.

    Calling it returns the value in SI units; not a number where the formula has none.

    Attributes:
        name: of the function.
        equation: as text.
        latex: the same for typesetting.
        unit: of the value.
        source: where the equation is from.
        symbols: of the parameters, by name.
    """

    def __init__(
        self, function: Callable[P, Values], equation: str, latex: str, unit: str, source: str
    ) -> None:
        self._function = function
        self.name = function.__name__
        self.equation, self.latex, self.unit, self.source = equation, latex, unit, source
        self.symbols = {name: _symbol(hint) for name, hint in _hints(function).items() if name != "return"}
        self.__doc__ = function.__doc__
        self.__module__ = function.__module__

    def __call__(self, *args: P.args, **kwargs: P.kwargs) -> NDArray[np.float64]:
        """The value in the unit of the formula, of the shape to which the arguments broadcast."""
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            arrays = [np.asarray(value, dtype=np.float64) for value in args]
            named = {name: np.asarray(value, dtype=np.float64) for name, value in kwargs.items()}
            found = np.asarray(self._function(*arrays, **named), dtype=np.float64)  # type: ignore[arg-type]
        return np.where(np.isfinite(found), found, np.nan)[()]

    def __reduce__(self) -> str:
        return self.name  # pickled by name, as the function would be

    def __repr__(self) -> str:
        return f"{self.name}: {self.equation} [{self.unit or '1'}]"


def formula(equation: str, latex: str, unit: str, source: str) -> Callable[[Callable[P, Values]], Formula[P]]:
    """Make a function with annotated parameters a :class:`Formula`."""
    return lambda function: Formula(function, equation, latex, unit, source)


def _hints(function: Callable[..., Values]) -> dict[str, object]:
    return get_type_hints(function, include_extras=True)


def _symbol(hint: object) -> Symbol:
    (found,) = (mark for mark in getattr(hint, "__metadata__", ()) if isinstance(mark, Symbol))
    return found
