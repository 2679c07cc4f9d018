"""How long it takes from the first try of a skill to the first clean one with no spot."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

import numpy as np

from accounts.names import alphabetical
from accounts.scope import Scope
from classes import tallies
from curriculum.skills import last_names
from engine.comparison import Z_998, kaplan_meier, log_rank
from planning.comparison import words
from planning.comparison.gathered import NO_DAY, Gathered
from planning.comparison.policy import LEAST_CELL, MOST_SKILLS
from planning.comparison.words import Explanation

WEEK = 7


@dataclass(frozen=True)
class Time:
    """One studio in one skill and role; figures are weeks, of the children who began it this term.

    `median` None: not yet half of them. `low` and `high` are its limits at 95 %, None where they
    cannot be seen yet.
    """

    studio: UUID
    name: str
    children: int
    median: float | None
    low: float | None
    high: float | None
    within_chance: bool
    sentence: str


@dataclass(frozen=True)
class SkillTimes:
    """One skill and role at the studios where enough children began it, by name."""

    skill: str
    name: str
    role: str
    studios: tuple[Time, ...]


def times(
    scope: Scope, found: Gathered, explains: Mapping[UUID, Explanation]
) -> tuple[SkillTimes, ...]:
    """The skills that most children of two studios or more began this term, by name.

    Whoever has not been there yet counts with the time she was seen so far: until today, or until
    she left.
    """
    ours = found.ours
    rows = np.flatnonzero(ours.of_studios(explains))
    # What many have tried and few had before is looked at more closely.
    before = tallies.known_before(scope, day=found.first)
    tried = {
        item: len(these) - before.get(ours.items[item], 0)
        for item, these in _by_item(ours, rows).items()
    }
    likely = sorted(tried, key=lambda item: (-tried[item], item))[: 2 * MOST_SKILLS]
    skills = {ours.items[item][0] for item in likely}
    known = tallies.begun_before(scope, day=found.first, skills=skills)
    begun = _by_item(
        ours,
        [
            row
            for row in rows[np.isin(ours.item[rows], likely)]
            if (ours.students[ours.student[row]], *ours.items[ours.item[row]]) not in known
        ],
    )
    most = sorted(begun, key=lambda item: (-len(begun[item]), item))[:MOST_SKILLS]
    names = last_names(scope, keys=skills)
    told = [
        SkillTimes(skill, names[skill], role, _beside(found, begun[item], explains))
        for item in most
        for skill, role in [ours.items[item]]
    ]
    return tuple(sorted(told, key=lambda one: (alphabetical(one.name), one.role)))


def _by_item(ours, rows):
    """Rows by item, of the studios with enough children in it, where these are two or more."""
    found = defaultdict(lambda: defaultdict(list))
    for row in rows:
        found[int(ours.item[row])][int(ours.studio[row])].append(row)
    answer = {}
    for item, by_studio in found.items():
        enough = [these for these in by_studio.values() if len(these) >= LEAST_CELL]
        if len(enough) > 1:
            answer[item] = np.concatenate(enough)
    return answer


def _beside(found, rows, explains):
    ours = found.ours
    studio, alone = ours.studio[rows], ours.alone[rows]
    happened = alone != NO_DAY
    last = np.array([_last(found, ours.students[place]) for place in ours.student[rows]])
    weeks = np.maximum(np.where(happened, alone, last) - ours.first[rows], 0) / WEEK
    told = []
    for place, one in enumerate(found.studios):
        here = studio == place
        if not here.any():
            continue
        curve = kaplan_meier(weeks[here], happened[here])
        within = abs(log_rank(weeks, happened, here=here)) <= Z_998
        low, high = curve.median_limits()
        figures = {"median": curve.median, "low": low, "high": high}
        told.append(
            Time(
                studio=one.id,
                name=one.name,
                children=int(here.sum()),
                **{name: value and round(value, 1) for name, value in figures.items()},
                within_chance=within,
                sentence=words.time(explains[one.id], **figures, within=within),
            )
        )
    return tuple(told)


def _last(found, student_id):
    """The last day on which something could be seen of her."""
    return min(found.home[student_id].until or found.last, found.last).toordinal()
