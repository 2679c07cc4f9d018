"""Time until something happens, where for some it has not happened yet."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine.comparison.shares import Z_95

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Curve:
    """A Kaplan-Meier estimate; one entry for each time at which something happened, ascending.

    at_risk, events: how many were left just before, and to how many it happened then.
    survival: the share to whom it has not happened after that time.
    standard_error: Greenwood's; NaN once nobody is left, where it has no value.
    """

    times: Floats
    at_risk: Floats
    events: Floats
    survival: Floats
    standard_error: Floats

    def limits(self, z: float = Z_95) -> tuple[Floats, Floats]:
        """Pointwise limits of the survival on the scale of log(-log S), so inside [0, 1]
        (Kalbfleisch and Prentice 1980, from memory). NaN once nobody is left.
        """
        with np.errstate(divide="ignore", invalid="ignore"):
            log = np.log(self.survival)
            spread = z * self.standard_error / (self.survival * log)
            low = self.survival ** np.exp(-spread)
            high = self.survival ** np.exp(spread)
        gone = self.survival == 0
        low[gone] = high[gone] = np.nan
        return low, high

    @property
    def median(self) -> float | None:
        """The time by which it has happened to half of them; None while it has not."""
        return _first(self.times, self.survival)

    def median_limits(self, z: float = Z_95) -> tuple[float | None, float | None]:
        """The times at which the limits of the survival reach one half: those for which a median
        is not refused (Brookmeyer and Crowley 1982, from memory). None: not reached yet.
        """
        low, high = self.limits(z)
        return _first(self.times, low), _first(self.times, high)


def kaplan_meier(times: ArrayLike, happened: ArrayLike) -> Curve:
    """The curve of times [n], each the time of the event or of the last look without it.

    Kaplan and Meier 1958 with the variance of Greenwood 1926 (both from memory). Whoever was
    last looked at when something happened to others was still at risk.
    """
    time = np.asarray(times, dtype=np.float64)
    event = np.asarray(happened, dtype=bool)
    at = np.unique(time[event])
    events = np.array([np.count_nonzero(event & (time == one)) for one in at], dtype=np.float64)
    at_risk = np.array([np.count_nonzero(time >= one) for one in at], dtype=np.float64)
    survival = np.cumprod(1 - events / at_risk, dtype=np.float64)
    with np.errstate(divide="ignore", invalid="ignore"):
        variance: Floats = survival**2 * np.cumsum(events / (at_risk * (at_risk - events)))
    return Curve(at, at_risk, events, survival, np.sqrt(variance))


def log_rank(times: ArrayLike, happened: ArrayLike, *, here: ArrayLike) -> float:
    """How much more often it happened to those who are `here` [n] than the others would lead to
    expect, in standard errors (Mantel 1966, from memory); 0 where nothing can be told.

    Its square is the usual statistic of the log-rank test, with hypergeometric variance.
    """
    time = np.asarray(times, dtype=np.float64)
    event, inside = np.asarray(happened, dtype=bool), np.asarray(here, dtype=bool)
    surplus = variance = 0.0
    for one in np.unique(time[event]):
        left, now = time >= one, event & (time == one)
        n, n_here, d = left.sum(), (left & inside).sum(), now.sum()
        surplus += (now & inside).sum() - d * n_here / n
        if n > 1:
            variance += d * (n_here / n) * (1 - n_here / n) * (n - d) / (n - 1)
    return float(surplus / np.sqrt(variance)) if variance > 0 else 0.0


def _first(times: Floats, share: Floats) -> float | None:
    # A survival of one half that rounding has put a hair above counts as reached.
    reached = np.flatnonzero(share <= 0.5 + 1e-12)
    return float(times[reached[0]]) if reached.size else None
