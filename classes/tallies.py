"""The log counted up where it lies, for questions about studios and not about children.

What is asked here is asked of a whole school: only a head teacher may.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import NamedTuple
from uuid import UUID

import numpy as np
from django.db.models import F
from django.db.models.fields.json import KeyTextTransform

from accounts.scope import Scope
from classes.classes import held
from classes.gathered import gather, run
from classes.models import Belief, Enrolment, Replay
from classes.replay import replayed
from classes.tries import rows_that_count
from engine.readiness.evidence import DAY
from engine.readiness.forgetting import decay
from engine.readiness.parameters import DEFAULTS, HELP, OUTCOMES, SPOTS
from engine.readiness.register import REMOVED

Chain = tuple[UUID, str, str]  # student, skill key, role
CELLS = tuple((spot, outcome) for spot in SPOTS for outcome in OUTCOMES)
_IN_CELLS = [f"FILTER (WHERE spot = '{spot}' AND outcome = '{outcome}')" for spot, outcome in CELLS]
_COUNTS = " || ' ' || ".join(f"COUNT(*) {cell}" for cell in _IN_CELLS)
WHAT = "counting up the log"

# Which tries count is worked out once for all three: it takes longest.
TALLIES = f"""
WITH tried AS MATERIALIZED (
    SELECT t.lesson_id, t.member_id, t.student_id, t.skill_id, t.role, t.spot, t.outcome,
        t.weight, t.try_id, t.local_date
    FROM attempt t JOIN lesson l ON l.id = t.lesson_id JOIN class c ON c.id = l.class_id
    WHERE t.school_id = %(school)s AND t.outcome <> '{REMOVED}'
        AND l."on" BETWEEN %(first)s AND %(last)s AND c.studio_id = ANY(%(studios)s)
        AND NOT EXISTS (
            SELECT 1 FROM attempt later
            WHERE later.school_id = t.school_id AND later.attempt = t.attempt
                AND (later.revision > t.revision
                    OR later.revision = t.revision AND later.id > t.id)))
SELECT 'chain', of.student_id, CAST(NULL AS uuid), CAST(NULL AS uuid), of.first_on, of.alone_on,
    CAST(NULL AS timestamp), s.key || ' ' || of.role || ' ' || of.counts, CAST(NULL AS bigint)
FROM skill s JOIN (
    SELECT student_id, skill_id, role, MIN(local_date) AS first_on,
        MIN(local_date) {_IN_CELLS[-1]} AS alone_on, {_COUNTS} AS counts
    FROM tried GROUP BY student_id, skill_id, role) AS of ON of.skill_id = s.id
UNION ALL
SELECT 'lesson', lesson_id, member_id, NULL, NULL, NULL, NULL,
    CAST(COUNT(*) FILTER (WHERE weight = 'summary') AS text), COUNT(*)
FROM tried GROUP BY lesson_id, member_id
UNION ALL
SELECT 'once', lesson_id, NULL, NULL, NULL, NULL, NULL, NULL, CAST(SUM(children) AS bigint)
FROM (
    SELECT lesson_id, COUNT(*) AS children
    FROM tried WHERE role = 'solo' AND weight <> 'summary'
    GROUP BY lesson_id, try_id HAVING COUNT(*) > 1) AS goes
GROUP BY lesson_id
"""  # noqa: S608, constants of our own alone
KNOWN = """
SELECT s.key, of.role, of.children
FROM skill s JOIN (
    SELECT skill_id, role, COUNT(*) AS children
    FROM (
        SELECT DISTINCT skill_id, role, student_id
        FROM attempt WHERE school_id = %(school)s AND local_date < %(day)s) AS known
    GROUP BY skill_id, role) AS of ON of.skill_id = s.id
"""


@dataclass(frozen=True, slots=True)
class Place:
    """A child's place in a class; `born` is the first of her month of birth, None if not known."""

    student_id: UUID
    class_id: UUID
    studio_id: UUID
    from_date: date
    until: date | None
    trial: bool
    joined_on: date
    born: date | None

    def held_on(self, on: date) -> bool:
        """Whether it is hers on a date."""
        return self.from_date <= on and (self.until is None or on <= self.until)


@dataclass(frozen=True, slots=True)
class LessonTally:
    """The counted tries that one member logged in one lesson; `summaries` of them are summaries."""

    lesson_id: UUID
    member_id: UUID
    tries: int
    summaries: int


class ChainTally(NamedTuple):
    """The counted tries of one child in one skill and role, in lessons of some days.

    `alone_on` is the first day of a clean one with no spot; `counts` are numbers of tries in the
    order of CELLS.
    """

    student_id: UUID
    skill: str
    role: str
    first_on: date
    alone_on: date | None
    counts: tuple[int, ...]


@dataclass(frozen=True)
class Tallies:
    """The log of some days counted up. `at_once`: by lesson, the tries that several children made
    alone on one clock, such as a hold of the whole class; summaries are left out."""

    lessons: tuple[LessonTally, ...]
    at_once: dict[UUID, int]
    chains: tuple[ChainTally, ...]


class Chance(NamedTuple):
    """How likely a child needs no spot in a skill and role."""

    student_id: UUID
    skill: str
    role: str
    alone: float


def places(scope: Scope, *, first: date, last: date) -> tuple[Place, ...]:
    """This will list the places in classes of the studios in scope that were held on some day
    from a first to a last one. Whoever left the school has none any more. Raises `NotAllowed`.
    """
    scope.need_head(WHAT)
    rows = Enrolment.objects.filter(held(scope, first=first, last=last)).values_list(
        "student_id",
        "group_class_id",
        "group_class__studio_id",
        "from_date",
        "trial",
        "student__joined_on",
        "until",
        "group_class__until",
        "student__left_on",
        "student__birth_year",
        "student__birth_month",
    )
    return tuple(
        Place(
            student_id=student_id,
            class_id=class_id,
            studio_id=studio_id,
            from_date=from_date,
            until=min((day for day in ends if day), default=None),
            trial=trial,
            joined_on=joined_on,
            born=date(year, month, 1) if year and month else None,
        )
        for student_id, class_id, studio_id, from_date, trial, joined_on, *ends, year, month in rows
    )


def of_days(scope: Scope, *, first: date, last: date) -> Tallies:
    """This will count up the tries of lessons in scope from a first to a last day, in one look at
    the log. Raises `NotAllowed`.
    """
    scope.need_head(WHAT)
    asked = {"studios": scope.studio_ids, "first": first, "last": last}
    found = gather(scope, statement=TALLIES, **asked)
    chains = []
    for one in found["chain"]:
        skill, role, *counts = one.text.split()
        chains.append(ChainTally(one.a, skill, role, one.day, one.until, tuple(map(int, counts))))
    return Tallies(
        lessons=tuple(
            LessonTally(one.a, one.b, one.number, int(one.text)) for one in found["lesson"]
        ),
        at_once={one.a: one.number for one in found["once"]},
        chains=tuple(chains),
    )


def known_before(scope: Scope, *, day: date) -> dict[tuple[str, str], int]:
    """This will tell about how many children have a try before a day, by skill key and role.

    For choosing what to look at: corrections are not looked through. Raises `NotAllowed`.
    """
    scope.need_head(WHAT)
    counts = run(scope, statement=KNOWN, day=day)
    return {(skill, role): children for skill, role, children in counts}


def begun_before(scope: Scope, *, day: date, skills: Collection[str]) -> frozenset[Chain]:
    """This will tell in which of these skills children had a counted try before a day.

    Raises `NotAllowed`.
    """
    scope.need_head(WHAT)
    rows = rows_that_count(scope).filter(local_date__lt=day, skill__key__in=skills)
    return frozenset(rows.values_list("student_id", "skill__key", "role").distinct())


def chances_alone(scope: Scope, *, since: date, as_of: datetime) -> tuple[Chance, ...]:
    """This will read from the beliefs, for whatever was tried since a day, the chance that a child
    needs no spot at a moment. Stale beliefs are replayed in memory. Raises `NotAllowed`.

    What an edition counts towards another skill is left where it was logged.
    """
    scope.need_head(WHAT)
    stale = set(
        Replay.objects.filter(
            school_id=scope.school_id, done_version__lt=F("log_version")
        ).values_list("student_id", flat=True)
    )
    # A try late in the evening may be of the next day in UTC, or of the one before.
    begin = datetime.combine(since - timedelta(days=1), time.min, UTC)
    kept = (
        Belief.objects.filter(school_id=scope.school_id, last_at__gte=begin)
        .annotate(alone=KeyTextTransform(HELP.index("no_spot"), "state"))
        .values_list("student_id", "skill__key", "role", "alone", "last_at")
    )
    rows = [row for row in kept if row[0] not in stale]
    rows += [
        (student_id, skill, role, belief.state[-1], belief.last_at)
        for student_id, chains in replayed(scope, student_ids=stale).items()
        for (skill, role), belief in chains.items()
        if belief.last_at >= begin
    ]
    # Nothing comes up into the highest state by waiting, so it decays by itself.
    states = np.zeros((len(rows), len(HELP)))
    states[:, -1] = [float(alone) for *_, alone, _ in rows]
    days = [max(0.0, (as_of - last_at) / DAY) for *_, last_at in rows]
    now = decay(states, days, DEFAULTS)[:, -1].tolist()
    return tuple(
        Chance(student_id, skill, role, alone)
        for (student_id, skill, role, *_), alone in zip(rows, now, strict=True)
    )
