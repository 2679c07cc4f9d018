"""The tries that count: what may be asked of the log."""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import combinations
from uuid import UUID

from django.db.models import F

from accounts.scope import Scope
from classes.models import Attempt
from classes.students import visible
from engine.readiness.register import REMOVED

LESSONS_FOR_TURNS = 6


@dataclass(frozen=True)
class Try:
    """One counted try of one child."""

    attempt: UUID
    student_id: UUID
    skill_key: str
    role: str
    spot: str
    outcome: str
    weight: str
    try_id: UUID
    lesson_id: UUID | None
    local_date: date
    at: datetime
    way_in: str
    way_out: str
    surface: str


def counted(scope: Scope, *, student_ids: Collection[UUID], since: date | None) -> tuple[Try, ...]:
    """This will list the counted tries of children in scope, oldest first.

    Of all revisions of an attempt in the school the greatest (revision, id) counts; removed ones
    are left out. `since` is a local date, None for all.
    """
    ids = visible(scope, student_ids=student_ids)
    rows = Attempt.objects.filter(school_id=scope.school_id)
    touched = rows.filter(student_id__in=ids)
    if since is not None:
        touched = touched.filter(local_date__gte=since)
    latest = {}
    for row in (
        rows.filter(attempt__in=touched.values("attempt"))
        .order_by("revision", "id")
        .annotate(skill_key=F("skill__key"))
        .values_list(
            "attempt",
            "student_id",
            "skill_key",
            "role",
            "spot",
            "outcome",
            "weight",
            "try_id",
            "lesson_id",
            "local_date",
            "at",
            "way_in",
            "way_out",
            "surface",
            "id",
            "revision",
        )
    ):
        *values, id_, revision = row
        known = latest.get(values[0])
        # Ids compare as text: both databases must agree on which of two revisions counts.
        if known is None or (revision, str(id_)) > known[0]:
            latest[values[0]] = ((revision, str(id_)), Try(*values))
    found = [
        one
        for _, one in latest.values()
        if one.outcome != REMOVED
        and one.student_id in ids
        and (since is None or one.local_date >= since)
    ]
    return tuple(sorted(found, key=lambda one: (one.at, str(one.attempt))))


def turns(
    tries: Iterable[Try], attended: Mapping[UUID, Sequence[date]]
) -> dict[tuple[UUID, str], int]:
    """How often each child had each role: lessons, among the last six attended, with a try.

    What was seen before the log began belongs to no lesson and is nobody's turn.
    """
    lately = {child: set(days[:LESSONS_FOR_TURNS]) for child, days in attended.items()}
    days = defaultdict(set)
    for one in tries:
        if one.lesson_id and one.local_date in lately.get(one.student_id, ()):
            days[one.student_id, one.role].add(one.local_date)
    return {chain: len(found) for chain, found in days.items()}


def past_pairs(tries: Iterable[Try]) -> dict[tuple[UUID, UUID], int]:
    """In how many lessons two children had a try together; the lower id first.

    A whole class on one clock is no pair: only tries of a few count.
    """
    members = defaultdict(set)
    for one in tries:
        if one.role != "solo":
            members[one.try_id, one.local_date].add(one.student_id)
    together = {
        (pair, on) for (_, on), ids in members.items() for pair in combinations(sorted(ids), 2)
    }
    return dict(Counter(pair for pair, _ in together))
