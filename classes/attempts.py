"""The log of tries: an append-only register of revisions."""

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass, fields
from datetime import UTC, date, datetime, time, timedelta
from uuid import UUID

from django.db import connection, transaction
from django.db.models import F

from accounts.models import Member, School
from accounts.scope import Scope
from classes.lessons import moment
from classes.models import Attempt, Enrolment, Erased, Lesson, Replay
from classes.students import visible
from curriculum.models import Edition, Skill

CLOCK_AHEAD = timedelta(minutes=5)

STORED, ALREADY_STORED, REFUSED = "stored", "already_stored", "refused"


@dataclass(frozen=True)
class AttemptRow:
    """One revision of one try as it was frozen when it was logged."""

    id: UUID
    attempt: UUID
    revision: int
    student_id: UUID
    skill_id: UUID
    role: str
    spot: str
    outcome: str
    measure: float | None
    weight: str
    try_id: UUID
    way_in: str
    way_out: str
    surface: str
    lesson_id: UUID | None
    edition_id: UUID | None
    member_id: UUID
    happened_at: datetime
    clock_offset_ms: int
    local_date: date

    def __post_init__(self) -> None:
        # One zone, because equality across zones depends on the hour that a clock repeats.
        object.__setattr__(self, "happened_at", self.happened_at.astimezone(UTC))


@dataclass(frozen=True)
class Answer:
    """What became of one row: stored, already stored, or refused with a code."""

    id: UUID
    status: str
    code: str | None = None


FROZEN = tuple(field.name for field in fields(AttemptRow))
# The edition is what the school had in use, not what the row says.
CONTENT = tuple(name for name in FROZEN if name != "edition_id")


def store(
    scope: Scope, *, rows: Sequence[AttemptRow], received_at: datetime, dated: bool = False
) -> tuple[Answer, ...]:
    """This will add rows to the log; each is answered by itself, in the order given.

    The same id with the same content is `already_stored`; with other content it is refused as
    `id_reused`, and the first stays. `erased` and `unknown` (child, skill, lesson or member who
    cannot be seen) are refused too. Every child who stands in any revision of a touched attempt
    is marked for a replay in the same transaction.

    When a row counts is fixed here, by its clock unless that cannot be right; `dated` rows come
    with times that somebody wrote down and that were checked.
    """
    with transaction.atomic():
        # One writer a school: two who correct the same attempt at once would each see only their
        # own revision, and a child whom the try has left would never be marked.
        list(School.objects.select_for_update(no_key=True).filter(id=scope.school_id))
        refused = _refused(scope, rows)
        stored = _stored(scope, sorted({row.id for row in rows}))
        answers, new = [], {}
        for row in rows:
            code = refused.get(row.id)
            if row.id in stored or row.id in new:
                same = content(row) == content(stored.get(row.id) or new[row.id])
                code = None if same else "id_reused"
                answers.append(Answer(row.id, ALREADY_STORED if same else REFUSED, code))
            elif code:
                answers.append(Answer(row.id, REFUSED, code))
            else:
                new[row.id] = row
                answers.append(Answer(row.id, STORED))
        if new:
            _insert(scope, [new[id_] for id_ in sorted(new)], received_at, dated)
            _mark(scope, attempts=sorted({row.attempt for row in new.values()}))
    return tuple(answers)


def content(row: AttemptRow) -> tuple[object, ...]:
    """What the row itself says: two rows with one id must agree in this."""
    return tuple(getattr(row, name) for name in CONTENT)


def revisions(scope: Scope, *, attempts: Collection[UUID]) -> dict[UUID, tuple[AttemptRow, ...]]:
    """This will read all revisions of these attempts in the school, the one that counts last."""
    found = defaultdict(list)
    for chunk in _chunks(sorted(attempts)):
        for values in Attempt.objects.filter(
            school_id=scope.school_id, attempt__in=chunk
        ).values_list(*FROZEN):
            row = AttemptRow(*values)
            found[row.attempt].append(row)
    return {
        attempt: tuple(sorted(rows, key=lambda row: (row.revision, str(row.id))))
        for attempt, rows in found.items()
    }


def _refused(scope, rows):
    """Codes of the rows that speak of what is not there, or not there for who asks."""
    student_ids = {row.student_id for row in rows}
    seen = visible(scope, student_ids=student_ids)
    erased = set()
    if student_ids - seen:
        erased = set(
            Erased.objects.filter(
                school_id=scope.school_id, student_id__in=student_ids - seen
            ).values_list("student_id", flat=True)
        )
    of_school = {"school_id": scope.school_id}
    skills = _present(Skill.objects.filter(**of_school), {row.skill_id for row in rows})
    members = _present(Member.objects.filter(**of_school), {row.member_id for row in rows})
    taught = Edition.objects.filter(published_at__isnull=False, **of_school)
    editions = _present(taught, {row.edition_id for row in rows})
    lessons = _present(
        Lesson.objects.filter(group_class__studio_id__in=scope.studio_ids, **of_school),
        {row.lesson_id for row in rows},
    )
    codes = {}
    for row in rows:
        if row.student_id in erased:
            codes[row.id] = "erased"
        elif (
            row.student_id not in seen
            or row.skill_id not in skills
            or row.member_id not in members
            or row.edition_id not in editions
            or row.lesson_id not in lessons
        ):
            codes[row.id] = "unknown"
    return codes


def _present(rows, ids):
    """Those of the ids that are there; None always is."""
    asked = ids - {None}
    return {None, *(rows.filter(id__in=asked).values_list("id", flat=True) if asked else ())}


def _stored(scope, ids):
    found = {}
    for chunk in _chunks(ids):
        for values in Attempt.objects.filter(school_id=scope.school_id, id__in=chunk).values_list(
            *FROZEN
        ):
            found[values[0]] = AttemptRow(*values)
    return found


def _insert(scope, rows, received_at, dated):
    times = {row.id: row.happened_at for row in rows} if dated else _times(scope, rows, received_at)
    Attempt.objects.bulk_create(
        Attempt(
            school_id=scope.school_id,
            sent_by_id=scope.member_id,
            at=times[row.id],
            received_at=received_at,
            **{name: getattr(row, name) for name in FROZEN},
        )
        for row in rows
    )


def _times(scope, rows, received_at):
    """When each row counts: as its clock says, or, where that cannot be, the lesson's start."""
    starts = dict(
        Lesson.objects.filter(
            school_id=scope.school_id, id__in={row.lesson_id for row in rows if row.lesson_id}
        ).values_list("id", "starts_at")
    )
    enrolled: dict[UUID, datetime] = {}
    for student_id, from_date, zone in Enrolment.objects.filter(
        school_id=scope.school_id, student_id__in={row.student_id for row in rows}
    ).values_list("student_id", "from_date", "group_class__studio__zone"):
        begins = moment(from_date, time.min, zone)
        enrolled[student_id] = min(begins, enrolled.get(student_id, begins))
    times = {}
    for row in rows:
        at = row.happened_at + timedelta(milliseconds=row.clock_offset_ms)
        too_early = row.student_id in enrolled and at < enrolled[row.student_id]
        if at > received_at + CLOCK_AHEAD or too_early:
            at = starts.get(row.lesson_id, received_at)
        times[row.id] = at
    return times


def _mark(scope, *, attempts):
    """Mark the children of all revisions of these attempts, in the order of their ids."""
    rows = Attempt.objects.filter(school_id=scope.school_id)
    students = set()
    for chunk in _chunks(attempts):
        students |= set(rows.filter(attempt__in=chunk).values_list("student_id", flat=True))
    ordered = sorted(students)
    Replay.objects.bulk_create(
        [Replay(school_id=scope.school_id, student_id=student_id) for student_id in ordered],
        ignore_conflicts=True,
    )
    for chunk in _chunks(ordered):
        Replay.objects.filter(school_id=scope.school_id, student_id__in=chunk).update(
            log_version=F("log_version") + 1
        )


def _chunks(items):
    """All at once, or as many as SQLite takes parameters for."""
    most = connection.features.max_query_params
    size = most - 10 if most else max(1, len(items))
    for start in range(0, len(items), size):
        yield items[start : start + size]
