"""Dated lessons: local date and time are the truth, the moment in UTC is derived."""

from dataclasses import dataclass
from datetime import UTC, date, datetime
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo

from django.db.models import Q

from accounts.scope import Scope
from classes.classes import ClassView
from classes.models import Closure, Lesson, Term
from classes.models.lessons import CANCELLED, PLANNED


@dataclass(frozen=True)
class LessonView:
    """One meeting; `starts_at` is in UTC."""

    id: UUID
    class_id: UUID
    on: date
    starts_at: datetime
    minutes: int
    state: str


def lesson_id(class_id: UUID, on: date) -> UUID:
    """The id of a class's lesson on a date: two offline phones name it alike."""
    return uuid5(class_id, on.isoformat())


def view(klass: ClassView, on: date) -> LessonView:
    """A lesson as its class says it would be, stored or not.

    A start that a change of the clocks leaves out is taken an hour later, one that it doubles is
    the first of the two.
    """
    local = datetime.combine(on, klass.starts_at, tzinfo=ZoneInfo(klass.zone))
    return LessonView(
        id=lesson_id(klass.id, on),
        class_id=klass.id,
        on=on,
        starts_at=local.astimezone(UTC),
        minutes=klass.minutes,
        state=PLANNED,
    )


def ensure(scope: Scope, *, klass: ClassView, on: date) -> LessonView:
    """This will make a lesson's row where there is none, and give the lesson as it stands."""
    planned = view(klass, on)
    lesson, _ = Lesson.objects.get_or_create(
        school_id=scope.school_id,
        id=planned.id,
        defaults={
            "group_class_id": klass.id,
            "on": on,
            "starts_at": planned.starts_at,
            "minutes": planned.minutes,
        },
    )
    return _view_of(lesson)


def closed(scope: Scope, *, klass: ClassView, on: date) -> str | None:
    """This will say why a class does not meet on a date: a closure's name, or outside the terms.

    None when it meets; a school that has entered no term is never outside one.
    """
    closure = (
        Closure.objects.filter(school_id=scope.school_id, first_on__lte=on, last_on__gte=on)
        .filter(Q(studio__isnull=True) | Q(studio_id=klass.studio_id))
        .order_by("name")
        .first()
    )
    if closure:
        return closure.name
    terms = Term.objects.filter(school_id=scope.school_id)
    if terms.exists() and not terms.filter(first_on__lte=on, last_on__gte=on).exists():
        return "outside the terms"
    return None


def past(scope: Scope, *, class_id: UUID, before: date, most: int) -> tuple[LessonView, ...]:
    """This will list a class's lessons before a date, newest first, without the cancelled."""
    lessons = (
        Lesson.objects.filter(
            school_id=scope.school_id,
            group_class_id=class_id,
            group_class__studio_id__in=scope.studio_ids,
            on__lt=before,
        )
        .exclude(state=CANCELLED)
        .order_by("-on")[:most]
    )
    return tuple(_view_of(lesson) for lesson in lessons)


def _view_of(lesson):
    return LessonView(
        id=lesson.id,
        class_id=lesson.group_class_id,
        on=lesson.on,
        starts_at=lesson.starts_at,
        minutes=lesson.minutes,
        state=lesson.state,
    )
