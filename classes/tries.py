"""The tries that count: what may be asked of the log."""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from itertools import combinations
from uuid import UUID

from django.db.models import Exists, F, Max, OuterRef, Q, QuerySet

from accounts.models import Member, MemberStudio
from accounts.scope import Scope, Unknown
from classes import flags, lessons
from classes.attempt_rows import STORED_COLUMNS, AttemptRow, Stored, stored
from classes.lessons import moment
from classes.models import Attempt, Enrolment
from classes.students import visible
from engine.readiness.register import REMOVED

LESSONS_FOR_TURNS = 6
MOST_TOGETHER = 6  # children of one try who have worked with each other, each with each


@dataclass(frozen=True)
class Logged:
    """One row of the log with the key of its skill, who logged it, and, once told, its flags."""

    stored: Stored
    skill_key: str
    member_name: str
    flags: tuple[str, ...] = ()

    @property
    def row(self) -> AttemptRow:
        return self.stored.row


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


def counted(
    scope: Scope,
    *,
    student_ids: Collection[UUID],
    since: date | None,
    days: Collection[date] | None = None,
    skills: Collection[str] | None = None,
) -> tuple[Try, ...]:
    """This will list the counted tries of children in scope, oldest first.

    Of all revisions of an attempt in the school the greatest (revision, id) counts; removed ones
    are left out. `since` and `days` are local dates, `skills` keys; None for all.
    """
    ids = visible(scope, student_ids=student_ids)
    rows = Attempt.objects.filter(school_id=scope.school_id)
    asked = {"local_date__gte": since, "local_date__in": days, "skill__key__in": skills}
    given = {name: said for name, said in asked.items() if said is not None}
    touched = rows.filter(student_id__in=ids, **given)
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
        # What it was corrected to counts, wherever the revision before it stood.
        and (since is None or one.local_date >= since)
        and (days is None or one.local_date in days)
        and (skills is None or one.skill_key in skills)
    ]
    return tuple(sorted(found, key=lambda one: (one.at, str(one.attempt))))


def evenings(
    scope: Scope, *, student_ids: Collection[UUID]
) -> dict[tuple[UUID | None, date], datetime]:
    """This will tell in which lessons, on which local dates, children in scope had counted tries,
    with the moment of the last one. Tries of no lesson are under None."""
    ids = visible(scope, student_ids=student_ids)
    rows = rows_that_count(scope).filter(student_id__in=ids)
    found = rows.values_list("lesson_id", "local_date").annotate(Max("at"))
    return {(lesson_id, on): at for lesson_id, on, at in found}


def of_student(
    scope: Scope,
    *,
    student_id: UUID,
    skill: str | None = None,
    role: str | None = None,
    since: date | None = None,
) -> tuple[Logged, ...]:
    """This will list the counted tries of a child, oldest first; `skill` is a key.

    Raises `Unknown` for a child who cannot be seen.
    """
    if not visible(scope, student_ids=[student_id]):
        raise Unknown("no such child")
    asked = {"skill__key": skill, "role": role, "local_date__gte": since}
    given = {name: said for name, said in asked.items() if said is not None}
    return _logged(scope, rows_that_count(scope).filter(student_id=student_id, **given))


def of_lesson(scope: Scope, *, lesson_id: UUID, around: date) -> tuple[Logged, ...]:
    """This will list the counted tries of a lesson in scope of children in sight, oldest first.

    Raises `Unknown`.
    """
    lessons.find(scope, lesson_id=lesson_id, around=around)
    rows = rows_that_count(scope).filter(lesson_id=lesson_id)
    seen = visible(scope, student_ids=rows.values("student_id"))
    return tuple(one for one in _logged(scope, rows) if one.row.student_id in seen)


def revisions(scope: Scope, *, attempt: UUID) -> tuple[Logged, ...]:
    """This will list the revisions of an attempt that are about children in sight, the one that
    counts last. Raises `Unknown` where there is none.
    """
    rows = Attempt.objects.filter(school_id=scope.school_id, attempt=attempt)
    seen = visible(scope, student_ids=rows.values("student_id"))
    found = [one for one in _logged(scope, rows) if one.row.student_id in seen]
    if not found:
        raise Unknown("no such try")
    return tuple(sorted(found, key=lambda one: (one.row.revision, str(one.row.id))))


def late(scope: Scope) -> tuple[Logged, ...]:
    """This will list the rows that members handed in after their access to a studio had ended,
    the first received first. Raises `NotAllowed`.
    """
    scope.need_head("late rows")
    ours = {"school_id": scope.school_id}
    handed_in = Q(pk__in=())
    for id_, until in Member.objects.filter(until__isnull=False, **ours).values_list("id", "until"):
        # A day ends at another hour in each studio, nowhere more than a day before it does in UTC.
        end = moment(until, time.min, "UTC")
        handed_in |= Q(member_id=id_, sent_by_id=id_, received_at__gt=end)
    for id_, studio_id, end in MemberStudio.objects.filter(
        ended_at__isnull=False, **ours
    ).values_list("member_id", "studio_id", "ended_at"):
        # Of a class or a child there: what she logs elsewhere goes on for years.
        children = Enrolment.objects.filter(group_class__studio_id=studio_id, **ours)
        there = Q(lesson__group_class__studio_id=studio_id)
        there |= Q(student_id__in=children.values("student_id"))
        handed_in |= there & Q(member_id=id_, sent_by_id=id_, received_at__gt=end)
    rows = Attempt.objects.filter(handed_in, **ours)
    found = flagged(scope, tries=_logged(scope, rows))
    kept = [one for one in found if flags.LATE in one.flags]
    return tuple(sorted(kept, key=lambda one: (one.stored.received_at, str(one.row.id))))


def flagged(scope: Scope, *, tries: Sequence[Logged]) -> tuple[Logged, ...]:
    """The same tries with their flags, which one page of them needs and not the whole list."""
    found = flags.of(scope, rows=[one.stored for one in tries])
    return tuple(replace(one, flags=found[one.row.id]) for one in tries)


def rows_that_count(scope: Scope) -> QuerySet[Attempt]:
    """The rows that count: no later revision of the attempt, and not taken back."""
    later = Attempt.objects.filter(
        Q(revision__gt=OuterRef("revision"))
        | Q(revision=OuterRef("revision"), id__gt=OuterRef("id")),
        school_id=scope.school_id,
        attempt=OuterRef("attempt"),
    )
    rows = Attempt.objects.filter(~Exists(later), school_id=scope.school_id)
    return rows.exclude(outcome=REMOVED)


def _logged(scope, rows):
    """Rows of the log as values, by when they count."""
    columns = (*STORED_COLUMNS, "skill__key", "member__name")
    found = [
        Logged(stored(values), skill_key, member_name)
        for *values, skill_key, member_name in rows.values_list(*columns)
    ]
    return tuple(sorted(found, key=lambda one: (one.stored.at, str(one.row.attempt))))


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

    A whole class on one clock is no pair: only tries of at most six count.
    """
    members = defaultdict(set)
    for one in tries:
        if one.role != "solo":
            members[one.try_id, one.local_date].add(one.student_id)
    together = {
        (pair, on)
        for (_, on), ids in members.items()
        if len(ids) <= MOST_TOGETHER
        for pair in combinations(sorted(ids), 2)
    }
    return dict(Counter(pair for pair, _ in together))
