"""Which share of what children tried needs no spot any more, partially pooled over studios.

The measure is the chance from the beliefs that a child needs no spot, in each skill and role that
she tried this term: a share of skills in expectation. A count of skills that are steady would hang
on a rule of dates, and throws away what the belief knows of the others; an average over all cards
would compare what was taught and not how it went.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

import numpy as np

from accounts.scope import Scope
from classes import tallies
from engine.comparison import (
    Z_95,
    Z_998,
    adjusted,
    comparable,
    distances,
    pooled,
    without_difficulty,
)
from planning.comparison import words
from planning.comparison.explained import covariates
from planning.comparison.gathered import Gathered
from planning.comparison.logged import Logging
from planning.comparison.policy import LEAST_CHILDREN
from planning.comparison.words import Explanation

# Where all children are alike to the last digit there is still a child to be drawn anew.
LEAST_VARIANCE = 1e-6


@dataclass(frozen=True)
class Reached:
    """The share of skills tried that need no spot, pooled and adjusted; no figures where there is
    too little. `own` is how much of its own distance from all studios together is kept.
    """

    share: float | None
    low: float | None
    high: float | None
    own: float | None
    within_chance: bool | None
    sentence: str


@dataclass(frozen=True)
class _Rows:
    """One row for each child and item, as places in the columns of `Ours`, with her chance."""

    studio: np.ndarray
    student: np.ndarray
    item: np.ndarray
    value: np.ndarray

    def at(self, which: np.ndarray) -> "_Rows":
        return _Rows(*(column[which] for column in vars(self).values()))

    def between(self, studios: np.ndarray) -> "_Rows":
        """The rows of these studios in what at least two of them have tried."""
        rows = self.at(np.isin(self.studio, studios))
        pairs = np.unique(np.stack([rows.item, rows.studio]), axis=1)
        return rows.at(
            np.bincount(pairs[0], minlength=1 + max(rows.item, default=0))[rows.item] > 1
        )

    def comparable(self) -> np.ndarray:
        """The studios that can stand beside each other, with enough children each."""
        pairs = np.unique(np.stack([self.studio, self.student]), axis=1)
        children = np.bincount(pairs[0], minlength=1 + max(self.studio, default=0))
        found = comparable(self.studio, self.item)
        return found[children[found] >= LEAST_CHILDREN]


def reached(
    scope: Scope,
    found: Gathered,
    logs: Mapping[UUID, Logging],
    explains: Mapping[UUID, Explanation],
) -> tuple[dict[UUID, Reached], tuple[str, ...]]:
    """What each studio's children have reached, and sentences on how it was worked out."""
    names = {studio.id: studio.name for studio in found.studios}
    if not found.goes_on:
        return {id_: _unknown(words.EARLIER_TERM) for id_ in names}, ()
    refused = {
        id_: _unknown(words.not_enough(names[id_], log.missing))
        for id_, log in logs.items()
        if not log.enough
    }
    rows, beside = _rows(scope, found, names.keys() - refused.keys())
    alone = {id_: _unknown(words.OTHERS_MISSING) for id_ in names}
    if len(beside) < 2:
        return alone | refused, ()
    told, notes = _told(rows, found, explains)
    return alone | refused | told, notes


def _unknown(sentence):
    return Reached(None, None, None, None, None, sentence)


def _rows(scope, found, enough):
    """The rows to compare, and the studios that are left in them, as places."""
    ours = found.ours
    student = {id_: place for place, id_ in enumerate(ours.students)}
    item = {key: place for place, key in enumerate(ours.items)}
    chances = np.full((len(ours.students), len(ours.items)), np.nan)
    for one in tallies.chances_alone(scope, since=found.first, as_of=found.as_of):
        at = student.get(one.student_id), item.get((one.skill, one.role))
        if None not in at:
            chances[at] = one.alone
    known = covariates(found)
    here = np.array([id_ in known for id_ in ours.students], dtype=bool)
    rows = _Rows(ours.studio, ours.student, ours.item, chances[ours.student, ours.item])
    rows = rows.at(here[rows.student] & ~np.isnan(rows.value))
    studios = np.flatnonzero([id_ in enough for id_ in ours.studios])
    # Who is left out takes shared skills along, and with them perhaps another one's children.
    while True:
        rows = rows.between(studios)
        left = rows.comparable()
        if len(left) == len(studios):
            return rows, left
        studios = left


def _told(rows, found, explains):
    studios, studio_of = np.unique(rows.studio, return_inverse=True)
    students, member = np.unique(rows.student, return_inverse=True)
    item = np.unique(rows.item, return_inverse=True)[1]
    values = without_difficulty(rows.value, member=member, item=item, group=studio_of)
    group = np.zeros(len(students), dtype=np.int64)
    group[member] = studio_of
    known = covariates(found)
    years = [known[found.ours.students[student]] for student in students]
    levels = adjusted(values, group=group, covariates=years)
    variances = np.maximum(levels.variances, LEAST_VARIANCE)
    together = pooled(levels.means, variances)
    errors = np.sqrt(together.mean_squared_errors)
    far = distances(levels.means, variances)
    told = {}
    for code, place in enumerate(studios):
        id_ = found.ours.studios[place]
        share, low, high = (
            round(float(np.clip(together.levels[code] + side * Z_95 * errors[code], 0, 1)), 3)
            for side in (0, -1, 1)
        )
        figures = {"share": share, "low": low, "high": high}
        within = bool(abs(far[code]) <= Z_998)
        told[id_] = Reached(
            **figures,
            own=round(float(together.kept[code]), 3),
            within_chance=within,
            sentence=words.reached(
                explains[id_], **figures, within=within, everywhere=float(values.mean())
            ),
        )
    return told, words.allowed_for(levels.slopes.tolist(), levels.slope_errors.tolist())
