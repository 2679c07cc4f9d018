"""Dated lessons of weekly classes. Local date and time are the truth, UTC is derived."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo

from django.db import transaction
from django.db.models import Prefetch, prefetch_related_objects

from accounts.events import record
from accounts.faults import BadDocument, Fault
from accounts.names import alphabetical
from accounts.scope import Conflict, Scope, Unknown
from accounts.staff import staff
from classes import classes
from classes.classes import WEEKDAYS, ClassView, today
from classes.models import Closure, Lesson, LessonSpotter, Term
from classes.models.lessons import CANCELLED, LESSON_STATES, PLANNED

OUTSIDE_TERMS = "outside the terms"
WAS_CANCELLED = "it was cancelled"
STATES = LESSON_STATES
FARTHEST = timedelta(days=20 * 366)  # a date farther from today than this is a slip of the keys
LONGEST_LIST_DAYS = 366
FREE = Prefetch("spotters", to_attr="free")
LOOKED_AROUND = timedelta(days=366)  # a lesson not stored yet is found within this of a day


@dataclass(frozen=True)
class LessonView:
    """One meeting; `on` is the local date, `starts_at` the moment in UTC.

    `mats` is None where the studio's count holds; `spotters` are the members who are free to spot,
    by id. `closed` says why there is no meeting that day. What is stored and not cancelled meets,
    whatever the calendar says, but not after the last day of its class.
    """

    id: UUID
    class_id: UUID
    on: date
    starts_at: datetime
    minutes: int
    state: str
    mats: int | None = None
    surface: str = ""
    note: str = ""
    spotters: tuple[UUID, ...] = ()
    closed: str | None = None


@dataclass(frozen=True, kw_only=True)
class NamedLesson(LessonView):
    """The same with the names of its class and of its studio, and the studio's IANA zone."""

    class_name: str
    studio_id: UUID
    studio_name: str
    zone: str


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
    """The lesson of a class on a local date as planned, whatever is stored or closed."""
    return LessonView(
        id=lesson_id(klass.id, on),
        class_id=klass.id,
        on=on,
        starts_at=moment(on, klass.starts_at, klass.zone),
        minutes=klass.minutes,
        state=PLANNED,
    )


def _over(klass, on):
    """Why a class that has ended does not meet any more, or None."""
    return f"the class ended on {klass.until}" if klass.until and on > klass.until else None


def _stored(row, klass):
    return LessonView(
        id=row.id,
        class_id=row.group_class_id,
        on=row.on,
        starts_at=row.starts_at.astimezone(UTC),
        minutes=row.minutes,
        state=row.state,
        mats=row.mats,
        surface=row.surface,
        note=row.note,
        spotters=tuple(sorted(spotter.member_id for spotter in row.free)),
        closed=WAS_CANCELLED if row.state == CANCELLED else _over(klass, row.on),
    )


def _in_sight(scope):
    return Lesson.objects.filter(
        school_id=scope.school_id, group_class__studio_id__in=scope.studio_ids
    ).prefetch_related(FREE)


def between(
    scope: Scope, *, first: date, last: date, class_id: UUID | None = None
) -> tuple[NamedLesson, ...]:
    """This will list the lessons in scope from a date to a date, both with their day, in order of
    time: those planned by the week, with why a day is closed, and those stored. None is planned
    after the last day of its class.

    Nothing for a class that cannot be seen. Raises `BadDocument` when it is more than a year.
    """
    if (last - first).days >= LONGEST_LIST_DAYS:
        raise BadDocument([Fault("last", f"at most {LONGEST_LIST_DAYS} days at once")])
    asked = {klass.id: klass for klass in classes.classes(scope) if class_id in (None, klass.id)}
    calendar = _Calendar(scope)
    known = {}
    for klass in asked.values():
        for on in _days(klass, first, min(last, klass.until or last)):
            planned = view(klass, on)
            known[planned.id] = replace(planned, closed=calendar.shut(klass, on))
    rows = _in_sight(scope).filter(group_class_id__in=asked, on__gte=first, on__lte=last)
    known |= {row.id: _stored(row, asked[row.group_class_id]) for row in rows}
    found = [named(lesson, asked[lesson.class_id]) for lesson in known.values()]
    return tuple(sorted(found, key=_by_time))


def _by_time(lesson):
    return lesson.starts_at, alphabetical(lesson.class_name), lesson.id


def to_come(scope: Scope, *, lesson_ids: Collection[UUID], at: datetime) -> tuple[NamedLesson, ...]:
    """This will list those of these stored lessons in scope that meet and are not over at a
    moment, in order of time."""
    rows = _in_sight(scope).select_related("group_class__studio").filter(id__in=lesson_ids)
    found = [
        named(_stored(row, row.group_class), classes.view(row.group_class))
        for row in rows
        if at < row.starts_at + timedelta(minutes=row.minutes)
    ]
    return tuple(sorted((one for one in found if one.closed is None), key=_by_time))


def named(lesson: LessonView, klass: ClassView) -> NamedLesson:
    """A lesson of a class, with the names that a list of lessons tells."""
    return NamedLesson(
        **vars(lesson),
        class_name=klass.name,
        studio_id=klass.studio_id,
        studio_name=klass.studio_name,
        zone=klass.zone,
    )


def find(scope: Scope, *, lesson_id: UUID, around: date) -> NamedLesson:
    """This will find a lesson in scope: as it is stored, else as a visible class plans it within
    a year of `around`, with why its day is closed. Raises `Unknown`.
    """
    rows = _in_sight(scope).select_related("group_class__studio")
    row = rows.filter(id=lesson_id).first()
    if row is not None:
        return named(_stored(row, row.group_class), classes.view(row.group_class))
    for klass in classes.classes(scope):
        for on in _days(klass, *_a_year(around)):
            if uuid5(klass.id, on.isoformat()) == lesson_id:
                planned = replace(view(klass, on), closed=_Calendar(scope).shut(klass, on))
                return named(planned, klass)
    raise Unknown("no such lesson")


def _a_year(around):
    first = date.min if around - date.min < LOOKED_AROUND else around - LOOKED_AROUND
    return first, date.max if date.max - around < LOOKED_AROUND else around + LOOKED_AROUND


def _days(klass, first, last):
    """The days on which a class meets by its weekday."""
    for after in range((klass.weekday - first.weekday()) % 7, (last - first).days + 1, 7):
        yield first + timedelta(days=after)


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
    prefetch_related_objects([row], FREE)
    return _stored(row, klass)


def add(scope: Scope, *, class_id: UUID, on: date, at: datetime) -> NamedLesson:
    """This will store the lesson of a class on any date: an extra meeting, or one that is planned.

    What stands already stays as it is. Raises `NotAllowed` and `BadDocument`.
    """
    scope.need_teacher("an extra lesson")
    faults = []
    klass = next((one for one in classes.classes(scope) if one.id == class_id), None)
    if klass is None:
        faults.append(Fault("/class", "unknown"))
    if abs(on - at.date()) > FARTHEST:
        faults.append(Fault("/on", f"{on} is more than 20 years from now"))
    elif klass and (over := _over(klass, on)):
        faults.append(Fault("/on", over))
    if faults:
        raise BadDocument(faults)
    with transaction.atomic():
        if not _in_sight(scope).filter(id=lesson_id(klass.id, on)).exists():
            record(scope, what="add_lesson", at=at, about=lesson_id(klass.id, on))
        return named(ensure(scope, klass=klass, on=on), klass)


def change(
    scope: Scope, *, lesson_id: UUID, said: Mapping[str, object], at: datetime
) -> NamedLesson:
    """This will keep what a teacher says about one evening: `said` maps names of `LessonView`
    (mats, minutes, surface, note, state, spotters) to values. It is stored if it was not.

    The event tells what was changed, never to what. Raises `Unknown`, `NotAllowed`, `Conflict`
    after the last day of the class and `BadDocument` for new spotters who are no adults on the
    staff that day.
    """
    lesson = find(scope, lesson_id=lesson_id, around=at.date())
    scope.need_teacher("changing a lesson")
    spotters = tuple(sorted(set(said.get("spotters", lesson.spotters))))
    if spotters != lesson.spotters:
        _check_spotters(scope, said["spotters"], lesson)
    wanted = replace(lesson, **{**said, "spotters": spotters})
    changed = [name for name in said if getattr(wanted, name) != getattr(lesson, name)]
    if not changed:
        return lesson
    klass = classes.find(scope, class_id=lesson.class_id)
    if over := _over(klass, lesson.on):
        raise Conflict(f"no lesson that day: {over}")
    with transaction.atomic():
        ensure(scope, klass=klass, on=lesson.on)
        row = Lesson.objects.select_for_update().get(school_id=scope.school_id, id=lesson.id)
        for name in set(changed) - {"spotters"}:
            setattr(row, name, getattr(wanted, name))
        row.save()
        if "spotters" in changed:
            LessonSpotter.objects.filter(school_id=scope.school_id, lesson=row).delete()
            LessonSpotter.objects.bulk_create(
                LessonSpotter(school_id=scope.school_id, lesson=row, member_id=member_id)
                for member_id in spotters
            )
        record(scope, what="change_lesson", at=at, about=lesson.id, changed=sorted(changed))
    return find(scope, lesson_id=lesson.id, around=lesson.on)


def _check_spotters(scope, member_ids, lesson):
    colleagues = {colleague.id: colleague for colleague in staff(scope, on=lesson.on).values()}
    faults = []
    for place, id_ in enumerate(member_ids):
        # Whom a head teacher has named out of another studio stays, whoever names one more.
        if id_ in lesson.spotters:
            continue
        if id_ not in colleagues:
            faults.append(Fault(f"/spotters/{place}", "unknown"))
        elif not colleagues[id_].adult:
            faults.append(Fault(f"/spotters/{place}", f"{colleagues[id_].name} is not an adult"))
    if faults:
        raise BadDocument(faults)


def derive_again(
    scope: Scope, *, classes: Iterable[ClassView], were: Mapping[UUID, int], at: datetime
) -> int:
    """This will give stored lessons of these classes, from today there on, their present times.

    `were` are the minutes of each class before: a lesson of other minutes was set so for its
    evening and keeps them. How many changed. Call it inside the transaction that changed the
    classes or their zones.
    """
    changed = 0
    for klass in classes:
        rows = Lesson.objects.filter(
            school_id=scope.school_id, group_class_id=klass.id, on__gte=today(klass, at)
        )
        for row in rows:
            planned = view(klass, row.on)
            minutes = planned.minutes if row.minutes == were[klass.id] else row.minutes
            if (row.starts_at, row.minutes) != (planned.starts_at, minutes):
                row.starts_at, row.minutes = planned.starts_at, minutes
                row.save(update_fields=["starts_at", "minutes"])
                changed += 1
    return changed


def closed(scope: Scope, *, klass: ClassView, on: date) -> str | None:
    """This will tell why a class does not meet on a date: the lesson was cancelled, it is another
    weekday, a closure's name, that it is outside the terms, or that the class has ended; None when
    it meets. A school that has entered no terms is never outside them, and what is stored and not
    cancelled meets while its class goes on.
    """
    row = _in_sight(scope).filter(id=lesson_id(klass.id, on)).first()
    if row:
        return _stored(row, klass).closed
    if on.weekday() != klass.weekday:
        return f"the class meets on {WEEKDAYS[klass.weekday]}s"
    return _Calendar(scope).shut(klass, on)


class _Calendar:
    """The closures and terms of a school, read once for many days."""

    def __init__(self, scope):
        self._closures = sorted(
            Closure.objects.filter(school_id=scope.school_id),
            key=lambda row: (row.first_on, alphabetical(row.name)),
        )
        self._terms = list(Term.objects.filter(school_id=scope.school_id))

    def shut(self, klass, on):
        if over := _over(klass, on):
            return over
        for closure in self._closures:
            that_day = closure.first_on <= on <= closure.last_on  # sooner said than where
            if that_day and closure.studio_id in (None, klass.studio_id):
                return closure.name
        if self._terms and not any(term.first_on <= on <= term.last_on for term in self._terms):
            return OUTSIDE_TERMS
        return None


def past(scope: Scope, *, class_id: UUID, before: date, most: int) -> tuple[LessonView, ...]:
    """This will find the last stored lessons of a class in scope before a date, newest first.

    Cancelled ones are left out.
    """
    rows = (
        _in_sight(scope)
        .select_related("group_class")
        .filter(group_class_id=class_id, on__lt=before)
        .exclude(state=CANCELLED)
        .order_by("-on")
    )
    return tuple(_stored(row, row.group_class) for row in rows[:most])
