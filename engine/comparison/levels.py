"""The level of each group, with the difficulty of what was tried and the members' ages taken out.

Two plain least-squares steps, so that each can be told in a sentence: first what a skill is like
wherever it is tried, then a straight line for each of the members' covariates.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Levels:
    """means [k]: what each group would be at with the covariates of all members together.

    variances [k]: their sampling variances; what the slopes add to two groups alike is left out.
    slopes [q], slope_errors [q]: of the outcome by each covariate, within groups, and how sure
    they are. residual: the variance of members within groups.
    """

    means: Floats
    variances: Floats
    slopes: Floats
    slope_errors: Floats
    residual: float


def comparable(group: ArrayLike, item: ArrayLike) -> Ints:
    """Which groups can be compared by items that they share, directly or through others: the
    codes of the largest such set (of equals that with the lowest code), ascending.

    group [n], item [n]: codes from 0.
    """
    groups, items = np.asarray(group, dtype=np.int64), np.asarray(item, dtype=np.int64)
    if not groups.size:
        return np.array([], dtype=np.int64)
    has = np.zeros((groups.max() + 1, items.max() + 1))
    has[groups, items] = 1
    linked = has @ has.T > 0
    for _ in range(len(linked).bit_length()):
        linked = linked @ linked
    largest = int(np.argmax(linked.sum(axis=1)))
    return np.flatnonzero(linked[largest])


def without_difficulty(
    value: ArrayLike, *, member: ArrayLike, item: ArrayLike, group: ArrayLike
) -> Floats:
    """Each member's mean value [m] with the difficulty of her items taken out.

    value, member, item, group [n]: one row for each member and item, codes from 0 that are all
    there; a member is of one group. value = level of the group + easiness of the item + the rest,
    by least squares in which each member counts once, however many items she has. The easiness is
    centred, so the mean over members stays what it was. Groups have to be `comparable`.
    """
    y = np.asarray(value, dtype=np.float64)
    members, items, groups = (np.asarray(codes, dtype=np.int64) for codes in (member, item, group))
    weight: Floats = 1 / np.bincount(members)[members]
    of_item = np.bincount(items, weight)
    shared = np.zeros((len(of_item), groups.max() + 1))
    np.add.at(shared, (items, groups), weight)
    portions = shared / of_item[:, None]
    item_mean = np.bincount(items, weight * y) / of_item
    # The items swept out: what is left is one equation for each group, known up to a constant.
    left = np.diag(shared.sum(axis=0)) - shared.T @ portions
    right = np.bincount(groups, weight * y) - shared.T @ item_mean
    level = np.linalg.lstsq(left, right, rcond=1e-10)[0]
    easiness = item_mean - portions @ level
    easiness -= (of_item * easiness).sum() / of_item.sum()
    return np.bincount(members, weight * (y - easiness[items])).astype(np.float64)


def adjusted(value: ArrayLike, *, group: ArrayLike, covariates: ArrayLike) -> Levels:
    """The level of each group for members of the same covariates: an analysis of covariance.

    value [m], group [m] with codes from 0 that are all there, covariates [m, q]. Slopes are those
    within groups, so that a difference between groups is not taken for one of age. A covariate
    that does not vary within any group adjusts nothing. Needs more members than groups and
    covariates together.
    """
    y = np.asarray(value, dtype=np.float64)
    groups = np.asarray(group, dtype=np.int64)
    x = np.asarray(covariates, dtype=np.float64).reshape(len(y), -1)
    members = np.bincount(groups).astype(np.float64)
    y_mean = np.bincount(groups, y) / members
    x_mean = np.stack([np.bincount(groups, column) / members for column in x.T], axis=1)
    y_within, x_within = y - y_mean[groups], x - x_mean[groups]
    spread = np.linalg.pinv(x_within.T @ x_within, rcond=1e-10, hermitian=True)
    slopes = spread @ x_within.T @ y_within
    off = x_mean - x.mean(axis=0)
    left = len(y) - len(members) - np.linalg.matrix_rank(x_within)
    residual = float(((y_within - x_within @ slopes) ** 2).sum() / left)
    return Levels(
        means=y_mean - off @ slopes,
        variances=residual * (1 / members + ((off @ spread) * off).sum(axis=1)),
        slopes=slopes,
        slope_errors=np.sqrt(residual * np.diag(spread)),
        residual=residual,
    )
