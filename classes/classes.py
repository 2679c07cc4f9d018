"""Weekly classes: which there are, and who is enrolled."""

from dataclasses import dataclass
from datetime import date, time
from uuid import UUID

from django.db.models import Q

from accounts.models import METRIC
from accounts.names import alphabetical, close_to, folded
from accounts.scope import Scope, Unknown
from classes.models import Class, Enrolment
from classes.students import full_name

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


@dataclass(frozen=True)
class ClassView:
    """A class with its studio; `weekday` 0 is Monday, `starts_at` is the studio's own time."""

    id: UUID
    name: str
    studio_id: UUID
    studio_name: str
    zone: str
    mats: int
    weekday: int
    starts_at: time
    minutes: int
    units: str = METRIC


@dataclass(frozen=True)
class Enrolled:
    """A child's place in a class; `until` is its last day, None while it is open."""

    student_id: UUID
    from_date: date
    until: date | None
    trial: bool


def classes(scope: Scope) -> tuple[ClassView, ...]:
    """This will list the classes of the studios in scope, by name."""
    rows = Class.objects.select_related("studio").filter(
        school_id=scope.school_id, studio_id__in=scope.studio_ids
    )
    return tuple(view(row) for row in sorted(rows, key=lambda row: alphabetical(row.name)))


def view(row: Class) -> ClassView:
    """A stored class, with its studio, as a value."""
    return ClassView(
        id=row.id,
        name=row.name,
        studio_id=row.studio_id,
        studio_name=row.studio.name,
        zone=row.studio.zone,
        mats=row.studio.mats,
        weekday=row.weekday,
        starts_at=row.starts_at,
        minutes=row.minutes,
        units=row.studio.units,
    )


def class_named(scope: Scope, *, name: str) -> ClassView:
    """This will find a class in scope by its name, whatever the case.

    Raises `Unknown` with the names that come close.
    """
    known = classes(scope)
    for klass in known:
        if folded(klass.name) == folded(name):
            return klass
    hint = close_to(name, [klass.name for klass in known])
    raise Unknown(f"no class is called “{name}”{hint}")


def find(scope: Scope, *, class_id: UUID) -> ClassView:
    """This will find a class in scope. Raises `Unknown`."""
    row = (
        Class.objects.select_related("studio")
        .filter(school_id=scope.school_id, studio_id__in=scope.studio_ids, id=class_id)
        .first()
    )
    if row is None:
        raise Unknown("no such class")
    return view(row)


def enrolled(scope: Scope, *, class_id: UUID, on: date) -> tuple[Enrolled, ...]:
    """This will list who has a place in a class in scope on a date, by the children's names."""
    rows = (
        Enrolment.objects.select_related("student__identity")
        .filter(
            Q(until__isnull=True) | Q(until__gte=on),
            Q(student__left_on__isnull=True) | Q(student__left_on__gte=on),
            school_id=scope.school_id,
            group_class_id=class_id,
            group_class__studio_id__in=scope.studio_ids,
            from_date__lte=on,
        )
        .order_by("from_date")
    )
    places = {row.student_id: row for row in rows}

    def by_name(row):
        child = row.student.identity
        return alphabetical(full_name(child.given_name, child.initial)), row.student_id

    return tuple(
        Enrolled(row.student_id, from_date=row.from_date, until=row.until, trial=row.trial)
        for row in sorted(places.values(), key=by_name)
    )
