"""Who is here: a register of revisions, of which the greatest counts."""

from collections import defaultdict
from collections.abc import Collection
from datetime import date, datetime
from functools import cache
from uuid import UUID, uuid5

from django.db import transaction
from django.db.models import Exists, OuterRef, Q

from accounts.scope import Scope
from accounts.tables import Cells, Column
from classes import lessons
from classes.classes import ClassView, enrolled
from classes.fact_files import Loaded, read_facts
from classes.models import Attempt, Attendance
from classes.models.lessons import ATTENDANCE_STATES, CANCELLED, HERE
from classes.named import Named
from classes.students import visible
from engine.readiness.register import REMOVED

MOST_REVISIONS = 1000
COLUMNS = (
    Column("date", also=("on",), required=True),
    Column("student", also=("child",), required=True),
    Column("state", also=("who is here",), required=True),
    Column("revision"),
)


def attendance_id(lesson_id: UUID, student_id: UUID) -> UUID:
    """The id under which two phones that know nothing of each other enter the same child."""
    return uuid5(lesson_id, str(student_id))


def load(
    scope: Scope, *, content: bytes, at: datetime, klass: ClassView, dry_run: bool = False
) -> Loaded:
    """This will load who came to the lessons of a class; an assistant may.

    What was entered is never overwritten: another state needs a higher `revision`.
    Raises `BadDocument`.
    """
    with transaction.atomic():
        named = Named(scope, on=at.date(), klass=klass)
        stored = list(
            Attendance.objects.filter(
                school_id=scope.school_id, lesson__group_class_id=klass.id
            ).order_by("id")
        )
        greatest: dict[UUID, int] = defaultdict(int)
        for row in stored:
            greatest[row.attendance] = max(greatest[row.attendance], row.revision)
        days: dict[UUID, date] = {}

        @cache
        def members(on: date) -> frozenset[UUID]:
            return frozenset(
                place.student_id for place in enrolled(scope, class_id=klass.id, on=on)
            )

        def parse(cells: Cells) -> Attendance:
            on = named.day(cells, "date", required=True)
            lesson_id = named.lesson(cells, "date", on)
            student_id = named.student(cells)
            if lesson_id and student_id and student_id not in members(on):
                cells.fault("student", f"not enrolled in {klass.name} on {on}")
            row = Attendance(
                school_id=scope.school_id,
                lesson_id=lesson_id,
                student_id=student_id,
                state=cells.choice("state", ATTENDANCE_STATES, required=True),
                revision=cells.integer("revision", low=1, high=MOST_REVISIONS) or 1,
                member_id=scope.member_id,
                at=at,
            )
            if lesson_id and student_id:
                row.attendance = attendance_id(lesson_id, student_id)
                row.id = uuid5(row.attendance, str(row.revision))
                days[lesson_id] = on
            return row

        def check(cells: Cells, row: Attendance, known: Attendance | None) -> None:
            last = greatest[row.attendance]
            if (known and known.state != row.state) or (not known and row.revision < last):
                cells.fault(
                    "state",
                    f"revision {last} is entered already: to change it write"
                    f" {last + 1} in a column “revision”",
                )

        facts = read_facts(
            content=content,
            columns=COLUMNS,
            stored=stored,
            key=("attendance", "revision"),
            says=("state",),
            parse=parse,
            check=check,
        )
        if not dry_run:
            for on in sorted({days[row.lesson_id] for row in facts.new}):
                lessons.ensure(scope, klass=klass, on=on)
            facts.save()
    return facts.counts()


def of_lesson(scope: Scope, *, lesson_id: UUID) -> dict[UUID, str]:
    """This will tell the state of each child who was entered for a lesson in scope."""
    rows = Attendance.objects.filter(
        school_id=scope.school_id,
        lesson_id=lesson_id,
        lesson__group_class__studio_id__in=scope.studio_ids,
    ).order_by("revision", "id")
    return dict(rows.values_list("student_id", "state"))


def attended(
    scope: Scope, *, student_ids: Collection[UUID], before: date, most: int
) -> dict[UUID, tuple[date, ...]]:
    """This will find the last `most` days before a date on which each child in scope was here.

    Newest first. She was here where she was entered so, or, where nothing was entered about her
    for a lesson, if a try of hers in it counts. Cancelled lessons do not.
    """
    days = days_here(scope, student_ids=student_ids, before=before)
    return {id_: found[-1 : -most - 1 : -1] for id_, found in days.items()}


def days_here(
    scope: Scope, *, student_ids: Collection[UUID], before: date
) -> dict[UUID, tuple[date, ...]]:
    """This will find all days before a date on which each child was here, oldest first."""
    ids = visible(scope, student_ids=student_ids)
    in_scope = {
        "school_id": scope.school_id,
        "student_id__in": ids,
        "lesson__on__lt": before,
        "lesson__group_class__studio_id__in": scope.studio_ids,
    }
    entered = {
        (student_id, lesson_id): (state, on)
        for student_id, lesson_id, state, on in Attendance.objects.filter(**in_scope)
        .exclude(lesson__state=CANCELLED)
        .order_by("revision", "id")
        .values_list("student_id", "lesson_id", "state", "lesson__on")
    }
    later = Attempt.objects.filter(
        Q(revision__gt=OuterRef("revision"))
        | Q(revision=OuterRef("revision"), id__gt=OuterRef("id")),
        school_id=scope.school_id,
        attempt=OuterRef("attempt"),
    )
    tried = (
        Attempt.objects.filter(~Exists(later), **in_scope)
        .exclude(lesson__state=CANCELLED)
        .exclude(outcome=REMOVED)
        .values_list("student_id", "lesson_id", "lesson__on")
        .distinct()
    )
    days: dict[UUID, set[date]] = {id_: set() for id_ in ids}
    for (student_id, _), (state, on) in entered.items():
        if state == HERE:
            days[student_id].add(on)
    for student_id, lesson_id, on in tried:
        if (student_id, lesson_id) not in entered:
            days[student_id].add(on)
    return {id_: tuple(sorted(found)) for id_, found in days.items()}
