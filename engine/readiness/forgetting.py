"""What days without a try do to a belief: b · expm(F · days).

F is the generator of going down one state at a time. Its exponential is taken by uniformisation
(Jensen 1953): with q the greatest rate, x = q · days and P = I + F / q, a stochastic matrix,
expm(F · days) = exp(-x) · sum of x^k / k! · P^k, in which no term is negative. The closed form
would divide by differences of rates, and rates may be equal. For large x, where exp(-x) runs out
of range, x is halved until it is small and the matrix is squared back.

Every chain is computed by itself, element by element, so that what comes out does not depend on
which other chains are in the call.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine.readiness.parameters import Parameters

Floats = NDArray[np.float64]

SMALL = 0.25  # with TERMS terms of the series, what is left out is below 3e-18
TERMS = 12
HALVINGS_TO_SMALL = 2  # 2 ** -2 = SMALL


class Forgetting:
    """The decay of one set of parameters, ready to be applied to many beliefs."""

    def __init__(self, parameters: Parameters) -> None:
        rates = np.array(parameters.forgetting_per_day)
        self.fastest_per_day = float(rates.max())
        self._down = (rates / self.fastest_per_day if self.fastest_per_day else rates)[:, None]
        self._stay = 1 - self._down

    def after(self, states: Floats, days: Floats) -> Floats:
        """The states [S, n] after `days` [n], none of them negative, as a new array."""
        if not self.fastest_per_day:
            return states.copy()
        x = self.fastest_per_day * days
        decayed = self._series(states, x)
        large = np.flatnonzero(x > SMALL)
        if large.size:
            decayed[:, large] = self._by_squaring(states[:, large], x[large])
        return decayed

    def _series(self, states: Floats, x: Floats) -> Floats:
        """Uniformisation by Horner's rule; of use for x up to SMALL."""
        total = states
        for k in range(TERMS, 0, -1):
            stepped = total * self._stay
            stepped[:-1] += total[1:] * self._down[1:]
            stepped *= x / k
            stepped += states
            total = stepped
        total *= np.exp(-x)
        return total

    def _by_squaring(self, states: Floats, x: Floats) -> Floats:
        size = len(states)
        _, exponent = np.frexp(x)
        halvings = exponent + HALVINGS_TO_SMALL
        x = np.ldexp(x, -halvings)
        identity = np.eye(size)
        matrix = np.stack(
            [self._series(np.repeat(identity[:, [row]], len(x), axis=1), x) for row in range(size)]
        )
        for done in range(int(halvings.max())):
            busy = halvings > done
            x = np.where(busy, 2 * x, x)
            matrix = np.where(busy, self._squared(matrix, x), matrix)
        decayed = np.zeros_like(states)
        for row in range(size):
            decayed += states[row] * matrix[row]
        return decayed

    def _squared(self, matrix: Floats, x: Floats) -> Floats:
        """The square of lower triangular matrices [S, S, n] that stand for x / 2.

        The diagonal is known exactly and is put back, without which each squaring would double
        the error that is there already (Al-Mohy and Higham 2009 do so for triangular matrices).
        """
        squared = np.zeros_like(matrix)
        for row in range(len(matrix)):
            squared[row, row] = np.exp(-self._down[row] * x)
            for column in range(row):
                for between in range(column, row + 1):
                    squared[row, column] += matrix[row, between] * matrix[between, column]
        return squared


def decay(states: ArrayLike, days: ArrayLike, parameters: Parameters) -> Floats:
    """States [n, S] after `days` [n] without a try.

    Fractions of days count. Raises `ValueError` for negative days.
    """
    gaps = np.asarray(days, dtype=np.float64)
    if (gaps < 0).any():
        raise ValueError("days should not be negative")
    rows = np.asarray(states, dtype=np.float64).reshape(-1, parameters.states)
    return np.ascontiguousarray(Forgetting(parameters).after(rows.T, gaps).T)
