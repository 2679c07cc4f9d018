"""Weekly classes and who is enrolled in them."""

from dataclasses import dataclass
from datetime import date, time
from uuid import UUID

from django.db.models import Q

from accounts.scope import Scope, Unknown
from classes.models import Class, Enrolment


@dataclass(frozen=True)
class ClassView:
    """A weekly class; `weekday` 0 is Monday, `starts_at` is the studio's own time."""

    id: UUID
    name: str
    studio_id: UUID
    studio_name: str
    zone: str
    mats: int
    weekday: int
    starts_at: time
    minutes: int


@dataclass(frozen=True)
class Enrolled:
    """A child's place in a class."""

    student_id: UUID
    from_date: date
    until: date | None
    trial: bool


def class_named(scope: Scope, *, name: str) -> ClassView:
    """This will find a class in scope by its name. Raises `Unknown`."""
    found = (
        Class.objects.select_related("studio")
        .filter(school_id=scope.school_id, studio_id__in=scope.studio_ids, name=name)
        .first()
    )
    if found is None:
        raise Unknown(f"no class is called “{name}”")
    return ClassView(
        id=found.id,
        name=found.name,
        studio_id=found.studio_id,
        studio_name=found.studio.name,
        zone=found.studio.zone,
        mats=found.studio.mats,
        weekday=found.weekday,
        starts_at=found.starts_at,
        minutes=found.minutes,
    )


def enrolled(scope: Scope, *, class_id: UUID, on: date) -> tuple[Enrolled, ...]:
    """This will list who is enrolled in a class in scope on a date."""
    rows = (
        Enrolment.objects.filter(
            school_id=scope.school_id,
            group_class_id=class_id,
            group_class__studio_id__in=scope.studio_ids,
            from_date__lte=on,
        )
        .filter(Q(until__isnull=True) | Q(until__gte=on))
        .order_by("from_date", "id")
        .values_list("student_id", "from_date", "until", "trial")
    )
    # A child who came on trial and stayed has two rows: the later one holds.
    return tuple({row[0]: Enrolled(*row) for row in rows}.values())
