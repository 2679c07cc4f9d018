"""Where a child is taught: one of her classes, the day that counts there, the edition in use."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from uuid import UUID

from accounts.scope import Scope, Unknown
from classes import enrolments, students
from classes.classes import ClassView, classes, today
from classes.lessons import moment
from classes.students import Seen
from curriculum import editions
from curriculum.editions import EditionInUse

A_DAY = timedelta(days=1)


@dataclass(frozen=True)
class TaughtAt:
    """`on` is today at the class's studio, of a child who has left her last day."""

    student_id: UUID
    ids: Seen  # she alone, as those who ask of many children take her
    name: str
    age: int | None
    klass: ClassView
    trial: bool
    left: bool
    on: date


def taught_at(scope: Scope, *, student_id: UUID, class_id: UUID | None, at: datetime) -> TaughtAt:
    """This will find a child in sight in a class of hers in scope.

    Without `class_id` it is one that she has a place in, a place before a trial, then by name;
    if she has none now, the one she came to last. Raises `Unknown`.
    """
    ids = students.visible(scope, student_ids=[student_id])
    facts = next(iter(students.children(scope, student_ids=ids)), None)
    if facts is None:
        raise Unknown("no such child")
    known = {klass.id: klass for klass in classes(scope)}
    places = [
        place
        for place in enrolments.places(scope, student_ids=ids)[student_id]
        if class_id in (None, place.class_id)
    ]
    if not places:
        raise Unknown("no class of hers")

    def day_at(place):
        now = today(known[place.class_id], at)
        return min(now, facts.left_on or now)

    held = [one for one in places if one.from_date <= day_at(one) <= (one.until or day_at(one))]
    place = (
        min(held, key=lambda one: one.trial) if held else max(places, key=lambda one: one.from_date)
    )
    klass = known[place.class_id]
    on = day_at(place)
    return TaughtAt(
        student_id=student_id,
        ids=ids,
        name=facts.name,
        age=students.age_years(birth_year=facts.birth_year, birth_month=facts.birth_month, on=on),
        klass=klass,
        trial=place.trial,
        left=on < today(klass, at),
        on=on,
    )


def edition_of(scope: Scope, *, klass: ClassView, on: date) -> EditionInUse:
    """This will find the edition in use at a class on a day. Raises `Unknown`."""
    edition = editions.in_use(scope, studio_id=klass.studio_id, on=on)
    if edition is None:
        raise Unknown(f"no curriculum is in use at {klass.studio_name} on {on}")
    return edition


def end_of(on: date, klass: ClassView, *, at: datetime) -> datetime:
    """When a day ends at the class's studio; `at` while it has not."""
    return min(at, moment(on + A_DAY, time.min, klass.zone))
