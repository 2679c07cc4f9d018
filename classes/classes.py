"""Weekly classes: which there are, and who is enrolled."""

from dataclasses import dataclass
from datetime import date, datetime, time
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import F, Q

from accounts.models import METRIC
from accounts.names import alphabetical, close_to, folded
from accounts.scope import Scope, Unknown
from classes.models import Class, Enrolment
from classes.students import full_name

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


@dataclass(frozen=True)
class ClassView:
    """A class with its studio; `weekday` 0 is Monday, `starts_at` is the studio's own time.

    `until` is the last day on which it may meet, None while it goes on.
    """

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
    until: date | None = None


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
        until=row.until,
    )


def today(klass: ClassView, at: datetime) -> date:
    """The date of a moment where a class meets."""
    return at.astimezone(ZoneInfo(klass.zone)).date()


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


def held(scope: Scope, *, first: date, last: date) -> Q:
    """Which places in classes in scope are held on some day from a first to a last one: neither
    the place nor its class nor the child's time at the school is over before."""
    in_scope = Q(group_class__studio_id__in=scope.studio_ids)
    return in_scope & held_anywhere(scope, first=first, last=last)


def held_anywhere(scope: Scope, *, first: date, last: date) -> Q:
    """The same of all classes of the school."""
    # A phone may have entered a trial child after the class had ended: that place is never held.
    begun = Q(group_class__until__isnull=True) | Q(group_class__until__gte=F("from_date"))
    found = begun & Q(school_id=scope.school_id, from_date__lte=last)
    for end in ("until", "group_class__until", "student__left_on"):
        found &= Q(**{f"{end}__isnull": True}) | Q(**{f"{end}__gte": first})
    return found


def enrolled(scope: Scope, *, class_id: UUID, on: date) -> tuple[Enrolled, ...]:
    """This will list who has a place in a class in scope on a date, by the children's names."""
    rows = (
        Enrolment.objects.select_related("student__identity", "group_class")
        .filter(held(scope, first=on, last=on), group_class_id=class_id)
        .order_by("from_date")
    )
    places = {row.student_id: row for row in rows}

    def by_name(row):
        child = row.student.identity
        return alphabetical(full_name(child.given_name, child.initial)), row.student_id

    return tuple(
        Enrolled(row.student_id, from_date=row.from_date, until=row.last_day, trial=row.trial)
        for row in sorted(places.values(), key=by_name)
    )
