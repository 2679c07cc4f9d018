"""Partial pooling: each estimate drawn towards the mean of all, the further the less it says.

The model of Fay and Herriot 1979 without covariates (these are allowed for before): estimate_j =
level_j + error_j with known variance, level_j normal around a mean with one variance between. The
variance between is found by restricted maximum likelihood, the levels are the empirical best
linear predictions, and their mean squared errors those of Prasad and Rao 1990 in the form that
Datta and Lahiri 2000 give for this estimator, which counts that the variance between is itself
guessed from few (sources from memory). With equal variances v it is the rule of James and Stein
as Efron and Morris 1977 tell it, except that theirs keeps 1 - (k-3) v / S and this one
1 - (k-1) v / S of the distance to the mean: a little less.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

GRID = 200
HALVINGS = 60


@dataclass(frozen=True)
class Pooled:
    """mean, mean_variance: of all levels. between: the variance of levels around the mean.

    levels [k], mean_squared_errors [k]: the pooled estimates. kept [k]: which share of its own
    distance from the mean each estimate keeps.
    """

    mean: float
    mean_variance: float
    between: float
    levels: Floats
    mean_squared_errors: Floats
    kept: Floats


def pooled(estimates: ArrayLike, variances: ArrayLike) -> Pooled:
    """Pool estimates [k] with their sampling variances [k], all positive; k at least 2."""
    y = np.asarray(estimates, dtype=np.float64)
    v = np.asarray(variances, dtype=np.float64)
    between = between_variance(y, v)
    weight = 1 / (v + between)
    mean = float((weight * y).sum() / weight.sum())
    mean_variance = float(1 / weight.sum())
    kept = between * weight
    of_the_level = kept * v
    of_the_mean = (1 - kept) ** 2 * mean_variance
    of_the_between = v**2 * weight**3 * 2 / float((weight**2).sum())
    return Pooled(
        mean=mean,
        mean_variance=mean_variance,
        between=between,
        levels=mean + kept * (y - mean),
        mean_squared_errors=of_the_level + of_the_mean + 2 * of_the_between,
        kept=kept,
    )


def distances(estimates: ArrayLike, variances: ArrayLike) -> Floats:
    """How far each of the estimates [k] is from the mean of all others, in standard errors, if
    chance alone made them differ: the scale on which a funnel has its limits.
    """
    y = np.asarray(estimates, dtype=np.float64)
    weight = 1 / np.asarray(variances, dtype=np.float64)
    others = weight.sum() - weight
    mean = ((weight * y).sum() - weight * y) / others
    found: Floats = (y - mean) / np.sqrt(1 / weight + 1 / others)
    return found


def between_variance(estimates: ArrayLike, variances: ArrayLike) -> float:
    """The variance between levels that makes the contrasts of the estimates likeliest; 0 where
    chance alone explains more than what is seen.
    """
    y = np.asarray(estimates, dtype=np.float64)
    v = np.asarray(variances, dtype=np.float64)
    # Beyond a few squares of the range the likelihood only falls.
    highest = 4 * float(np.ptp(y)) ** 2
    if highest == 0:
        return 0.0
    grid = highest * np.linspace(0, 1, GRID) ** 2
    best = int(np.argmax(_log_likelihood(grid, y, v)))
    low, high = grid[max(best - 1, 0)], grid[min(best + 1, GRID - 1)]
    if _slope(low, y, v) <= 0:
        return float(low)
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if _slope(middle, y, v) > 0 else (low, middle)
    return float(low + high) / 2


def _log_likelihood(between: Floats, y: Floats, v: Floats) -> Floats:
    """Restricted, up to a constant, at each of `between`."""
    spread = v + between[:, None]
    weight = 1 / spread
    total = weight.sum(axis=1)
    mean = (weight * y).sum(axis=1) / total
    misfit = (weight * (y - mean[:, None]) ** 2).sum(axis=1)
    found: Floats = -(np.log(spread).sum(axis=1) + np.log(total) + misfit) / 2
    return found


def _slope(between: float, y: Floats, v: Floats) -> float:
    """The derivative of the restricted log-likelihood, doubled."""
    weight = 1 / (v + between)
    total = weight.sum()
    mean = (weight * y).sum() / total
    squared = weight**2
    return float(-total + squared.sum() / total + (squared * (y - mean) ** 2).sum())
