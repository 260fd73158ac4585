"""Foster to Cauer ladder and back, to the last few digits for time constants many decades apart.

Driving-point impedance of both, at the junction, with s in 1/s and Z in K/W:

    Z(s) = sum R_k/(1 + s tau_k)                                        Foster: partial fractions
    Z(s) = 1/(s C_1 + 1/(R_1 + 1/(s C_2 + 1/(R_2 + ...))))              Cauer: continued fraction

(Cauer, Archiv fuer Elektrotechnik 17, 355-388 (1926), and any text on network synthesis; from memory.)

Foster to Cauer is a division of polynomials that loses digits with every element in floating point, so it is
done in rational numbers, where it is exact. Cauer to Foster is a symmetric eigenvalue problem A q = q/tau,
with A = B B^T tridiagonal, where the bidiagonal B = C^(-1/2) E R^(-1/2) is known element by element (E takes
differences). The singular values of B are the roots of 1/tau, so they span half the decades, and small
relative changes of the ladder's elements change them relatively little (Demmel and Kahan, SIAM J. Sci. Stat.
Comput. 11, 873-912 (1990), from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import numpy as np

__all__ = ["cauer_of_foster", "foster_of_cauer"]

# Time constants closer than this are one: joined about their mean they move Zth by the square of it, over 15.
_JOINED = 1e-4

Pairs = tuple[tuple[float, ...], tuple[float, ...]]
Polynomial = list[Fraction]  # the lowest power first


def foster_of_cauer(resistances: Sequence[float], capacities: Sequence[float]) -> Pairs:
    """Resistances [K/W] and time constants [s] of the elements, the fastest first."""
    resistance, capacity = np.array(resistances), np.array(capacities)
    factor = np.diag(1.0 / np.sqrt(capacity * resistance))
    factor -= np.diag(1.0 / np.sqrt(capacity[1:] * resistance[:-1]), -1)
    vectors, roots, _ = np.linalg.svd(factor)
    constants = roots**-2.0
    # Z(s) = (1/C_1) sum q_1k^2/(s + 1/tau_k)
    found = vectors[0] ** 2 * constants / capacity[0]
    return tuple(found.tolist()), tuple(constants.tolist())


def cauer_of_foster(resistances: Sequence[float], time_constants: Sequence[float]) -> Pairs:
    """Resistances [K/W] and heat capacities [J/K] from the junction on."""
    numerator, denominator = _impedance(_joined(resistances, time_constants))
    found: tuple[list[float], list[float]] = ([], [])
    while numerator:
        capacity = denominator[-1] / numerator[-1]
        denominator = _reduced(denominator, numerator, capacity, shift=1)
        resistance = numerator[-1] / denominator[-1]
        numerator = _reduced(numerator, denominator, resistance, shift=0)
        found[0].append(float(resistance))
        found[1].append(float(capacity))
    return tuple(found[0]), tuple(found[1])


def _joined(resistances: Sequence[float], time_constants: Sequence[float]) -> list[tuple[Fraction, Fraction]]:
    """Pairs R, tau, the fastest first, with what cannot be told apart made one."""
    pairs: list[tuple[Fraction, Fraction]] = []
    for constant, resistance in sorted(zip(time_constants, resistances, strict=True)):
        new = Fraction(resistance), Fraction(constant)
        if pairs and new[1] <= pairs[-1][1] * (1 + Fraction(_JOINED)):
            last = pairs.pop()
            total = last[0] + new[0]
            new = total, (last[0] * last[1] + new[0] * new[1]) / total
        pairs.append(new)
    return pairs


def _impedance(pairs: Sequence[tuple[Fraction, Fraction]]) -> tuple[Polynomial, Polynomial]:
    """Numerator and denominator of the sum of R/(1 + s tau)."""
    numerator: Polynomial = []
    denominator: Polynomial = [Fraction(1)]
    for resistance, constant in pairs:
        pole = [Fraction(1), constant]
        grown = _product(numerator, pole) if numerator else [Fraction(0)] * len(denominator)
        numerator = [old + resistance * new for old, new in zip(grown, denominator, strict=True)]
        denominator = _product(denominator, pole)
    return numerator, denominator


def _product(first: Polynomial, second: Polynomial) -> Polynomial:
    result = [Fraction(0)] * (len(first) + len(second) - 1)
    for i, a in enumerate(first):
        for j, b in enumerate(second):
            result[i + j] += a * b
    return result


def _reduced(dividend: Polynomial, divisor: Polynomial, quotient: Fraction, shift: int) -> Polynomial:
    """Dividend less quotient s^shift times divisor, which removes its highest power."""
    rest = list(dividend)
    for index, value in enumerate(divisor):
        rest[index + shift] -= quotient * value
    return rest[:-1]
