"""The log counted up where it lies, for questions about studios and not about children.

What is asked here is asked of a whole school: only a head teacher may.
"""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import NamedTuple
from uuid import UUID

from django.db.models import Count, F, FloatField, Min, Q
from django.db.models.fields.json import KeyTextTransform
from django.db.models.functions import Cast

from accounts.scope import Scope
from classes.classes import held
from classes.models import Attempt, Belief, Enrolment, Replay
from classes.replay import replayed
from classes.tries import rows_that_count
from engine.readiness.evidence import DAY
from engine.readiness.forgetting import decay
from engine.readiness.parameters import DEFAULTS, HELP, OUTCOMES, SPOTS

Chain = tuple[UUID, str, str]  # student, skill key, role
CELLS = tuple((spot, outcome) for spot in SPOTS for outcome in OUTCOMES)
WHAT = "counting up the log"


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
    rows = Enrolment.objects.filter(
        held(first=first, last=last),
        school_id=scope.school_id,
        group_class__studio_id__in=scope.studio_ids,
    ).values_list(
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


def of_lessons(scope: Scope, *, first: date, last: date) -> tuple[LessonTally, ...]:
    """This will count the tries of each lesson in scope of these days, by who logged them.

    Raises `NotAllowed`.
    """
    rows = (
        _tries(scope, first, last)
        .values("lesson_id", "member_id")
        .annotate(tries=Count("id"), summaries=Count("id", filter=Q(weight="summary")))
    )
    return tuple(LessonTally(**row) for row in rows)


def at_once(scope: Scope, *, first: date, last: date) -> dict[UUID, int]:
    """This will count, by lesson, the tries that several children made alone on one clock, such
    as a hold of the whole class; summaries are left out. Raises `NotAllowed`.
    """
    goes = (
        _tries(scope, first, last)
        .filter(role="solo")
        .exclude(weight="summary")
        .values("lesson_id", "try_id")
        .annotate(children=Count("id"))
        .filter(children__gt=1)
    )
    found: dict[UUID, int] = defaultdict(int)
    for go in goes:
        found[go["lesson_id"]] += go["children"]
    return dict(found)


def of_chains(scope: Scope, *, first: date, last: date) -> tuple[ChainTally, ...]:
    """This will count the tries of lessons in scope of these days by child, skill and role.

    Raises `NotAllowed`.
    """
    clean, unspotted = OUTCOMES[-1], SPOTS[-1]
    cells = {
        f"cell{place}": Count("id", filter=Q(spot=spot, outcome=outcome))
        for place, (spot, outcome) in enumerate(CELLS)
    }
    rows = (
        _tries(scope, first, last)
        .values("student_id", "skill__key", "role")
        .annotate(
            first_on=Min("local_date"),
            alone_on=Min("local_date", filter=Q(spot=unspotted, outcome=clean)),
            **cells,
        )
        .values_list("student_id", "skill__key", "role", "first_on", "alone_on", *cells)
    )
    return tuple(ChainTally(*row[:5], row[5:]) for row in rows)


def known_before(scope: Scope, *, day: date) -> dict[tuple[str, str], int]:
    """This will tell about how many children have a try before a day, by skill key and role.

    For choosing what to look at: corrections are not looked through. Raises `NotAllowed`.
    """
    scope.need_head(WHAT)
    rows = Attempt.objects.filter(school_id=scope.school_id, local_date__lt=day)
    counts = rows.values("skill__key", "role").annotate(children=Count("student_id", distinct=True))
    return {(row["skill__key"], row["role"]): row["children"] for row in counts}


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
        .annotate(alone=Cast(KeyTextTransform(HELP.index("no_spot"), "state"), FloatField()))
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
    now = decay(
        [(0.0, 0.0, 0.0, alone) for *_, alone, _ in rows],
        [max(0.0, (as_of - last_at) / DAY) for *_, last_at in rows],
        DEFAULTS,
    )
    return tuple(
        Chance(*row[:3], alone) for row, alone in zip(rows, now[:, -1].tolist(), strict=True)
    )


def _tries(scope, first, last):
    scope.need_head(WHAT)
    return rows_that_count(scope).filter(
        lesson__on__gte=first,
        lesson__on__lte=last,
        lesson__group_class__studio_id__in=scope.studio_ids,
    )
