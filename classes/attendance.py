"""Who is here: a register of revisions, of which the greatest counts."""

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cache
from uuid import UUID, uuid5

from django.db import transaction

from accounts.scope import Scope
from accounts.tables import Cells, Column
from classes import batches, lessons
from classes.batches import Answer, Refusal
from classes.classes import ClassView, enrolled
from classes.fact_files import Loaded, one_writer, read_facts
from classes.models import Attendance
from classes.models.lessons import ATTENDANCE_STATES, CANCELLED, HERE
from classes.named import Named
from classes.students import names, visible
from classes.tries import rows_that_count

STATES = ATTENDANCE_STATES
MOST_REVISIONS = 1000
COLUMNS = (
    Column("date", also=("on",), required=True),
    Column("student", also=("child",), required=True),
    Column("state", also=("who is here",), required=True),
    Column("revision"),
)


@dataclass(frozen=True)
class AttendanceRow:
    """One revision of who is here, as a phone froze it."""

    id: UUID
    revision: int
    student_id: UUID
    class_id: UUID
    on: date
    state: str

    @property
    def lesson_id(self) -> UUID:
        return lessons.lesson_id(self.class_id, self.on)


@dataclass(frozen=True)
class Entered:
    """What counts about one child in one lesson; None where nothing was entered yet.

    A correction needs a revision above `revision`. A visitor has no place in the class that day.
    """

    student_id: UUID
    name: str
    trial: bool
    visitor: bool
    state: str | None = None
    revision: int | None = None
    member_id: UUID | None = None
    at: datetime | None = None


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
        one_writer(scope)
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


def store(scope: Scope, *, rows: Sequence[AttendanceRow], at: datetime) -> tuple[Answer, ...]:
    """This will enter who is here, at most 500 rows, each answered by itself; an assistant may.

    A child of another class in sight is a visitor. The lesson is stored if it was not. Refused
    are `id_reused`, `erased`, `unknown` (child or class), `invalid` (a day far away) and, where
    she has lost the studio, `too_late`.
    """
    with transaction.atomic():
        one_writer(scope)
        fields = ("student_id", "lesson__group_class_id", "lesson__on", "state")
        known = Attendance.objects.filter(
            school_id=scope.school_id, id__in={row.id for row in rows}
        ).values_list("id", "revision", *fields)
        sight = batches.Sight(scope, at=at, student_ids={row.student_id for row in rows})

        def refuse(row: AttendanceRow) -> Refusal | None:
            if row.class_id not in sight.classes:
                return Refusal(batches.UNKNOWN, "/class")
            if abs(row.on - at.date()) > lessons.FARTHEST:
                return Refusal(batches.INVALID, "/on")
            return sight.refuse(class_id=row.class_id, on=row.on, student_id=row.student_id)

        stored = {values[0]: AttendanceRow(*values) for values in known}
        answers, new = batches.judge(rows, stored=stored, refuse=refuse)
        for class_id, on in sorted({(row.class_id, row.on) for row in new}):
            lessons.ensure(sight.scope, klass=sight.classes[class_id], on=on)
        Attendance.objects.bulk_create(
            Attendance(
                school_id=scope.school_id,
                id=row.id,
                attendance=attendance_id(row.lesson_id, row.student_id),
                revision=row.revision,
                lesson_id=row.lesson_id,
                student_id=row.student_id,
                state=row.state,
                member_id=scope.member_id,
                at=at,
            )
            for row in new
        )
    return answers


def register(scope: Scope, *, lesson_id: UUID, around: date) -> tuple[Entered, ...]:
    """This will tell of everybody of the class, and of visitors in sight, who is here, by name.

    The lesson is found as in `lessons.find`. Raises `Unknown`.
    """
    lesson = lessons.find(scope, lesson_id=lesson_id, around=around)
    rows = Attendance.objects.filter(school_id=scope.school_id, lesson_id=lesson.id)
    entered = {row.student_id: row for row in rows.order_by("revision", "id")}
    places = {
        place.student_id: place for place in enrolled(scope, class_id=lesson.class_id, on=lesson.on)
    }

    def line(id_, name):
        row = entered.get(id_)
        return Entered(
            student_id=id_,
            name=name,
            trial=id_ in places and places[id_].trial,
            visitor=id_ not in places,
            state=row and row.state,
            revision=row and row.revision,
            member_id=row and row.member_id,
            at=row and row.at,
        )

    called = names(scope, student_ids=places.keys() | entered.keys())
    return tuple(line(id_, name) for id_, name in called.items())


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
    """This will find all days before a date on which each child in sight was here, oldest first.

    Every lesson of the school counts, whoever asks: a break is one only if she danced nowhere.
    """
    ids = visible(scope, student_ids=student_ids)
    in_scope = {
        "school_id": scope.school_id,
        "student_id__in": ids,
        "lesson__on__lt": before,
    }
    entered = {
        (student_id, lesson_id): (state, on)
        for student_id, lesson_id, state, on in Attendance.objects.filter(**in_scope)
        .exclude(lesson__state=CANCELLED)
        .order_by("revision", "id")
        .values_list("student_id", "lesson_id", "state", "lesson__on")
    }
    tried = (
        rows_that_count(scope)
        .filter(**in_scope)
        .exclude(lesson__state=CANCELLED)
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
