"""Dated lessons of weekly classes. Local date and time are the truth, UTC is derived."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo

from django.db.models import Q

from accounts.scope import Scope, Unknown
from classes.classes import ClassView
from classes.models import Closure, Lesson, Term
from classes.models.lessons import CANCELLED, PLANNED

OUTSIDE_TERMS = "outside the terms"


@dataclass(frozen=True)
class LessonView:
    """One meeting; `on` is the local date, `starts_at` the moment in UTC."""

    id: UUID
    class_id: UUID
    on: date
    starts_at: datetime
    minutes: int
    state: str


def lesson_id(class_id: UUID, on: date) -> UUID:
    """The id under which two phones that know nothing of each other name the same lesson."""
    return uuid5(class_id, on.isoformat())


def moment(on: date, starts_at: time, zone: str) -> datetime:
    """The UTC moment of a local date and time in an IANA zone.

    In the hour that a clock change repeats the first of the two is meant; a time that it leaves
    out moves forward by as much as the clock does.
    """
    return datetime.combine(on, starts_at, tzinfo=ZoneInfo(zone)).astimezone(UTC)


def view(klass: ClassView, on: date) -> LessonView:
    """The lesson of a class on a local date as planned, whether it is stored or not."""
    return LessonView(
        id=lesson_id(klass.id, on),
        class_id=klass.id,
        on=on,
        starts_at=moment(on, klass.starts_at, klass.zone),
        minutes=klass.minutes,
        state=PLANNED,
    )


def _stored(row):
    return LessonView(
        id=row.id,
        class_id=row.group_class_id,
        on=row.on,
        starts_at=row.starts_at.astimezone(UTC),
        minutes=row.minutes,
        state=row.state,
    )


def ensure(scope: Scope, *, klass: ClassView, on: date) -> LessonView:
    """This will find the lesson of a class in scope on a date, and store it if it is not there.

    Raises `Unknown`.
    """
    if klass.studio_id not in scope.studio_ids:
        raise Unknown("no such class")
    planned = view(klass, on)
    row, _ = Lesson.objects.get_or_create(
        school_id=scope.school_id,
        id=planned.id,
        defaults={
            "group_class_id": klass.id,
            "on": on,
            "starts_at": planned.starts_at,
            "minutes": planned.minutes,
        },
    )
    return _stored(row)


def derive_again(scope: Scope, *, classes: Iterable[ClassView], since: date) -> int:
    """This will give stored lessons of these classes, from a date on, the classes' present times.

    How many changed. Call it inside the transaction that changed the classes or their zones.
    """
    changed = 0
    for klass in classes:
        rows = Lesson.objects.filter(
            school_id=scope.school_id, group_class_id=klass.id, on__gte=since
        )
        for row in rows:
            planned = view(klass, row.on)
            if (row.starts_at, row.minutes) != (planned.starts_at, planned.minutes):
                row.starts_at, row.minutes = planned.starts_at, planned.minutes
                row.save(update_fields=["starts_at", "minutes"])
                changed += 1
    return changed


def closed(scope: Scope, *, klass: ClassView, on: date) -> str | None:
    """This will tell why a class does not meet on a date: a closure's name, or that it is outside
    the terms; None when it meets. A school that has entered no terms is never outside them.
    """
    closure = (
        Closure.objects.filter(
            Q(studio_id__isnull=True) | Q(studio_id=klass.studio_id),
            school_id=scope.school_id,
            first_on__lte=on,
            last_on__gte=on,
        )
        .order_by("first_on", "name")
        .first()
    )
    if closure:
        return closure.name
    terms = Term.objects.filter(school_id=scope.school_id)
    if terms.exists() and not terms.filter(first_on__lte=on, last_on__gte=on).exists():
        return OUTSIDE_TERMS
    return None


def past(scope: Scope, *, class_id: UUID, before: date, most: int) -> tuple[LessonView, ...]:
    """This will find the last stored lessons of a class in scope before a date, newest first.

    Cancelled ones are left out.
    """
    rows = (
        Lesson.objects.filter(
            school_id=scope.school_id,
            group_class_id=class_id,
            group_class__studio_id__in=scope.studio_ids,
            on__lt=before,
        )
        .exclude(state=CANCELLED)
        .order_by("-on")
    )
    return tuple(_stored(row) for row in rows[:most])
