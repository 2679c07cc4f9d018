"""A child's places in classes: one begins, one ends, two of one class never overlap."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import transaction
from django.db.models import Min

from accounts.events import record
from accounts.faults import FARTHEST_YEARS, BadDocument, Fault
from accounts.names import alphabetical
from accounts.scope import Scope, Unknown, days_now
from classes.classes import classes, held, held_anywhere
from classes.fact_files import one_writer
from classes.models import Enrolment, Student
from classes.students import visible

A_DAY = timedelta(days=1)


@dataclass(frozen=True)
class Place:
    """A child's place in a class in scope; `until` is its last day, None while it is open.

    The last day of its class ends it, whatever is said of the place.
    """

    id: UUID
    class_id: UUID
    class_name: str
    from_date: date
    until: date | None
    trial: bool


def places(scope: Scope, *, student_ids: Collection[UUID]) -> dict[UUID, tuple[Place, ...]]:
    """This will list the places of children in classes in scope, by class and date."""
    found: dict[UUID, list[Place]] = {id_: [] for id_ in student_ids}
    for row in _rows(scope).filter(student_id__in=student_ids):
        found[row.student_id].append(_place(row))

    def by_class(place):
        return alphabetical(place.class_name), place.from_date

    return {id_: tuple(sorted(rows, key=by_class)) for id_, rows in found.items()}


def belonging(scope: Scope, *, student_ids: Collection[UUID], on: date) -> frozenset[UUID]:
    """This will tell which of these children have a place on a date that is no trial, in whatever
    class of the school: which one is not told."""
    rows = Enrolment.objects.filter(held_anywhere(scope, first=on, last=on), trial=False)
    return frozenset(rows.filter(student_id__in=student_ids).values_list("student_id", flat=True))


def at_studio(scope: Scope, *, studio_id: UUID, on: date) -> dict[UUID, dict[UUID, bool]]:
    """This will tell who has a place in the classes of a studio on a date: by the id of a class its
    children, and whether each is on trial there."""
    rows = _rows(scope).filter(held(scope, first=on, last=on), group_class__studio_id=studio_id)
    found: dict[UUID, dict[UUID, bool]] = {}
    for class_id, student_id, trial in rows.values_list("group_class_id", "student_id", "trial"):
        found.setdefault(class_id, {})[student_id] = trial
    return found


def days_there(scope: Scope, *, student_id: UUID, at: datetime) -> frozenset[date]:
    """This will tell the dates that it is now where a child has or had a place, one or two; without
    a place those at the studios in scope."""
    rows = Enrolment.objects.filter(school_id=scope.school_id, student_id=student_id)
    zones = set(rows.values_list("group_class__studio__zone", flat=True))
    there = frozenset(at.astimezone(ZoneInfo(zone)).date() for zone in zones)
    return there or days_now(scope, at=at)


def give(
    scope: Scope, *, student_id: UUID, class_id: UUID, from_date: date, trial: bool, at: datetime
) -> Place:
    """This will give a child in sight a place in a class from a day on; a trial that becomes a
    place, or the other way round, ends the day before. A place that begins that day is the one
    that is meant.

    Raises `Unknown`, `NotAllowed`, `BadDocument`.
    """
    with transaction.atomic():
        one_writer(scope)
        student = _need(scope, student_id, "giving a place in a class")
        klass = next((one for one in classes(scope) if one.id == class_id), None)
        if klass is None:
            raise BadDocument([Fault("/class", "unknown")])
        _check_day(from_date, at, "/from")
        _check_goes_on(klass, from_date, "/from")
        if student.left_on and from_date > student.left_on:
            raise BadDocument([Fault("/from", f"she left on {student.left_on}")])
        rows = _of_class(scope, student_id, class_id)
        row = next((one for one in rows if one.from_date == from_date), None)
        if row and row.trial == trial:
            return _place(row)
        row = row or Enrolment(
            school_id=scope.school_id,
            student_id=student_id,
            group_class_id=class_id,
            from_date=from_date,
        )
        row.trial = trial
        before = [one for one in rows if one.from_date < from_date]
        if before and before[-1].trial != trial and _reaches(before[-1], from_date):
            before[-1].until = from_date - A_DAY
            before[-1].save(update_fields=["until"])
        _check_apart(rows, row, "/from")
        row.save()
        _changed(scope, row, at)
        return _place(_rows(scope).get(id=row.id))


def end(
    scope: Scope, *, student_id: UUID, place_id: UUID, until: date | None, at: datetime
) -> Place:
    """This will set the last day of a place, or with None leave it open.

    Raises `Unknown`, `NotAllowed`, `BadDocument`.
    """
    with transaction.atomic():
        one_writer(scope)
        row = _rows(scope).filter(student_id=student_id, id=place_id).first()
        if row is None:
            raise Unknown("no such place")
        _need(scope, student_id, "ending a place in a class")
        if until is not None:
            _check_day(until, at, "/until")
            _check_goes_on(row.group_class, until, "/until")
            if until < row.from_date:
                raise BadDocument([Fault("/until", f"{until} is before {row.from_date}")])
        if row.until != until:
            row.until = until
            _check_apart(_of_class(scope, student_id, row.group_class_id), row, "/until")
            row.save(update_fields=["until"])
            _changed(scope, row, at)
        return _place(row)


def _rows(scope):
    return Enrolment.objects.select_related("group_class").filter(
        school_id=scope.school_id, group_class__studio_id__in=scope.studio_ids
    )


def _of_class(scope, student_id, class_id):
    return list(
        _rows(scope).filter(student_id=student_id, group_class_id=class_id).order_by("from_date")
    )


def _place(row):
    return Place(
        id=row.id,
        class_id=row.group_class_id,
        class_name=row.group_class.name,
        from_date=row.from_date,
        until=row.last_day,
        trial=row.trial,
    )


def _need(scope, student_id, what):
    if not visible(scope, student_ids=[student_id]):
        raise Unknown("no such child")
    scope.need_teacher(what)
    return Student.objects.get(school_id=scope.school_id, id=student_id)


def _check_day(day, at, pointer):
    if abs(day.year - at.year) > FARTHEST_YEARS:
        fault = Fault(pointer, f"{day} is more than {FARTHEST_YEARS} years from now")
        raise BadDocument([fault])


def _check_goes_on(klass, day, pointer):
    if klass.until and day > klass.until:
        raise BadDocument([Fault(pointer, f"the last day of {klass.name} is {klass.until}")])


def _check_apart(rows, row, pointer):
    """No other place of the class may share a day with this one."""
    for other in rows:
        first, last = sorted((other, row), key=lambda one: one.from_date)
        if other.id != row.id and _reaches(first, last.from_date):
            text = f"overlaps with her place from {other.from_date} on"
            raise BadDocument([Fault(pointer, text)])


def _reaches(place, day):
    return place.until is None or place.until >= day


def _changed(scope, row, at):
    """She joined with her first place; what was changed is told."""
    of_child = Enrolment.objects.filter(school_id=scope.school_id, student_id=row.student_id)
    Student.objects.filter(school_id=scope.school_id, id=row.student_id).update(
        joined_on=of_child.aggregate(first=Min("from_date"))["first"]
    )
    record(scope, what="place_student", at=at, about=row.student_id, place=str(row.id))
