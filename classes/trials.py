"""Trial children whom a phone made while it had no signal."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db import transaction

from accounts.events import record
from accounts.faults import FARTHEST_YEARS
from accounts.models import Event
from accounts.scope import Scope
from classes import batches
from classes.batches import Answer, Refusal
from classes.fact_files import one_writer
from classes.models import Enrolment, Identity, Student
from classes.roster_rows import birth_fault, name_faults, tidy_initial
from classes.students import erased

A_DAY = timedelta(days=1)
CHANGES = ("change_student", "place_student")  # what may change what a phone said of a child


@dataclass(frozen=True)
class TrialRow:
    """A child who came to try a class, as a phone froze it; her birth month may not be known."""

    id: UUID
    given_name: str
    class_id: UUID
    on: date
    initial: str = ""
    birth_year: int | None = None
    birth_month: int | None = None


def store(scope: Scope, *, rows: Sequence[TrialRow], at: datetime) -> tuple[Answer, ...]:
    """This will take trial children from a phone, at most 500, each answered by itself; an
    assistant may. The id of the row becomes the child's.

    Refused are `id_reused`, `erased`, `unknown` (class), `invalid` (no name, a day that is still
    to come, a birth month that cannot be) and, where she has lost the studio, `too_late`. A row
    that somebody has corrected since is stored already.
    """
    rows = [replace(row, initial=tidy_initial(row.initial)) for row in rows]
    ids = {row.id for row in rows}
    with transaction.atomic():
        one_writer(scope)
        sight = batches.Sight(scope, at=at)
        gone = erased(scope, student_ids=ids)

        def refuse(row: TrialRow) -> Refusal | None:
            if row.id in gone:
                return Refusal(batches.ERASED, "/id")
            if row.class_id not in sight.classes:
                return Refusal(batches.UNKNOWN, "/class")
            field = _wrong(row, at)
            if field:
                return Refusal(batches.INVALID, f"/{field}")
            return sight.refuse(class_id=row.class_id, on=row.on)

        stored = _stored(scope, ids)
        # The register is long: it is asked about children who are there alone.
        changed = _changed(scope, stored.keys())
        answers, new = batches.judge(rows, stored=stored, refuse=refuse, changed=changed)
        there = _insert(scope, new)
        for row in new:
            if row.id in there:
                record(scope, what="add_student", at=at, about=row.id, news=["trial"])
    return batches.withheld(answers, {row.id for row in new} - there)


def _wrong(row, at):
    """The field that cannot be as it is; None when all can."""
    for field, _ in name_faults(row.given_name, row.initial):
        return field
    if row.on > at.date() + A_DAY or at.year - row.on.year > FARTHEST_YEARS:
        return "on"
    if (row.birth_year is None) != (row.birth_month is None):
        return "birth_year" if row.birth_year is None else "birth_month"
    if row.birth_year and birth_fault(row.birth_year, row.birth_month, row.on):
        return "birth_year"
    return None


def _stored(scope, ids):
    """What stands of these children, as a phone would have said it of their first place."""
    places = {}
    for place in Enrolment.objects.filter(school_id=scope.school_id, student_id__in=ids).order_by(
        "-from_date", "-id"
    ):
        places[place.student_id] = place
    return {
        child.student_id: TrialRow(
            id=child.student_id,
            given_name=child.given_name,
            initial=child.initial,
            class_id=places[child.student_id].group_class_id,
            on=places[child.student_id].from_date,
            birth_year=child.student.birth_year,
            birth_month=child.student.birth_month,
        )
        for child in Identity.objects.select_related("student").filter(
            school_id=scope.school_id, student_id__in=places
        )
    }


def _changed(scope, ids):
    rows = Event.objects.filter(school_id=scope.school_id, what__in=CHANGES, about__in=ids)
    return set(rows.values_list("about", flat=True))


def _insert(scope, new):
    """Store what is new: the ids that are there then. An id of elsewhere is left alone."""
    school = {"school_id": scope.school_id}
    Student.objects.bulk_create(
        (
            Student(
                id=row.id,
                birth_year=row.birth_year,
                birth_month=row.birth_month,
                joined_on=row.on,
                **school,
            )
            for row in new
        ),
        ignore_conflicts=True,
    )
    there = set(
        Student.objects.filter(id__in={row.id for row in new}, **school).values_list(
            "id", flat=True
        )
    )
    kept = [row for row in new if row.id in there]
    Identity.objects.bulk_create(
        Identity(student_id=row.id, given_name=row.given_name, initial=row.initial, **school)
        for row in kept
    )
    Enrolment.objects.bulk_create(
        Enrolment(
            student_id=row.id,
            group_class_id=row.class_id,
            from_date=row.on,
            trial=True,
            **school,
        )
        for row in kept
    )
    return there
