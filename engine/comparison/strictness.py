"""How strictly outcomes are given: the same things judged by one group and by all others."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


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

    counts [n, outcomes]: how often each outcome was given to a member in a stratum, at least once
    in a row; here [n]: whether in the group asked about; stratum, member [n]: codes from 0, a
    member being on one side alone. Strata are weighted by n_here n_there / (n_here + n_there), as
    Cochran 1954 and Mantel and Haenszel 1959 do; the standard error is the linearised one of whole
    members drawn at random (sources from memory). None where no stratum has both.
    """
    given = np.asarray(counts, dtype=np.float64)
    inside = np.asarray(here, dtype=bool)
    strata = np.asarray(stratum, dtype=np.int64)
    members = np.asarray(member, dtype=np.int64)
    if not len(given):
        return None
    many = int(strata.max()) + 1
    there, ours = (_sums(given[part], strata[part], many) for part in (~inside, inside))
    size_there, size_here = there.sum(axis=1), ours.sum(axis=1)
    shared = (size_there > 0) & (size_here > 0)
    if not shared.any():
        return None
    # Where one side is missing the weight is 0, and what is divided by does not matter.
    size_there, size_here = (np.where(shared, size, 1) for size in (size_there, size_here))
    weight = np.where(shared, size_there * size_here / (size_there + size_here), 0)
    weight /= weight.sum()
    sides = (~inside, there, size_there), (inside, ours, size_here)
    differences = np.zeros(given.shape[1])
    variance = np.zeros(given.shape[1])
    people = []
    for part, totals, size in sides:
        shares = totals / size[:, None]
        differences = weight @ shares - differences
        kept = part & shared[strata]
        rows, at = given[kept], strata[kept]
        pull = (weight / size)[at, None] * (rows - rows.sum(axis=1)[:, None] * shares[at])
        own = int(np.count_nonzero(np.bincount(members[kept])))
        people.append(own)
        spread = (_sums(pull, members[kept], 0) ** 2).sum(axis=0)
        with np.errstate(divide="ignore", invalid="ignore"):
            variance += spread * own / np.float64(own - 1)
    return Strictness(
        differences=differences,
        standard_errors=np.sqrt(variance),
        tries=int(given[inside & shared[strata]].sum()),
        members=people[1],
        others=people[0],
    )


def _sums(rows: Floats, code: Ints, many: int) -> Floats:
    """The sums [at least many, columns] of rows by their code."""
    return np.stack([np.bincount(code, column, many) for column in rows.T], axis=1)
