"""How strictly outcomes are given: the same things judged by one group and by all others."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Strictness:
    """One group beside all others, in the strata that both have.

    differences [outcomes]: by how much the share of each outcome is higher here; they add up to 0.
    standard_errors [outcomes]: allowing for members' tries being alike. NaN with one member.
    tries, members, others: how many here, and how many members there, the strata held.
    """

    differences: Floats
    standard_errors: Floats
    tries: int
    members: int
    others: int


def strictness(
    counts: ArrayLike, *, here: ArrayLike, stratum: ArrayLike, member: ArrayLike
) -> Strictness | None:
    """The difference of outcome shares between one group and the others, stratum by stratum.

    counts [n, outcomes]: how often each outcome was given to a member in a stratum; here [n]:
    whether in the group asked about; stratum, member [n]: codes from 0, a member being on one side
    alone. Strata are weighted by n_here n_there / (n_here + n_there), as Cochran 1954 and Mantel
    and Haenszel 1959 do; the standard error is the linearised one of whole members drawn at
    random (sources from memory). None where no stratum has both.
    """
    given = np.asarray(counts, dtype=np.float64)
    inside = np.asarray(here, dtype=bool)
    strata = np.asarray(stratum, dtype=np.int64)
    members = np.asarray(member, dtype=np.int64)
    if not len(given):
        return None
    totals = np.zeros((2, strata.max() + 1, given.shape[1]))
    np.add.at(totals, (inside.astype(np.int64), strata), given)
    size = totals.sum(axis=2)
    shared = (size > 0).all(axis=0)
    kept = shared[strata] & (given.sum(axis=1) > 0)
    if not kept.any():
        return None
    safe = np.where(size > 0, size, 1)
    shares = totals / safe[:, :, None]
    weight = np.where(shared, size[0] * size[1] / np.maximum(size.sum(axis=0), 1), 0)
    differences = (weight[:, None] * (shares[1] - shares[0])).sum(axis=0) / weight.sum()

    given, inside, strata, members = given[kept], inside[kept], strata[kept], members[kept]
    side = inside.astype(np.int64)
    surplus = given - given.sum(axis=1, keepdims=True) * shares[side, strata]
    pull = (weight[strata] / size[side, strata])[:, None] * surplus
    by_member = np.zeros((members.max() + 1, given.shape[1]))
    np.add.at(by_member, members, pull)
    variance = np.zeros(given.shape[1])
    many = []
    for part in (inside, ~inside):
        codes = np.unique(members[part])
        many.append(len(codes))
        with np.errstate(divide="ignore", invalid="ignore"):
            variance += (
                (by_member[codes] ** 2).sum(axis=0) * np.float64(len(codes)) / (len(codes) - 1)
            )
    return Strictness(
        differences=differences,
        standard_errors=np.sqrt(variance) / weight.sum(),
        tries=int(given[inside].sum()),
        members=many[0],
        others=many[1],
    )
