"""What a teacher types about tonight, by name: found, or told what is wrong with it."""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from accounts.names import close_to, folded
from accounts.scope import Scope, Unknown
from accounts.staff import staff
from classes import students
from classes.classes import ClassView, enrolled
from classes.students import UnknownStudent
from planning.evening import Asked


@dataclass(frozen=True)
class Typed:
    """Names of children and adults as they are typed, and what else is said of the evening."""

    on: date
    absent: tuple[str, ...] = ()
    not_today: tuple[str, ...] = ()
    visitors: tuple[str, ...] = ()
    spotters: tuple[str, ...] = ()
    mats: int | None = None
    minutes: int | None = None
    surface: str | None = None
    as_of: datetime | None = None


def by_name(scope: Scope, *, klass: ClassView, typed: Typed) -> Asked:
    """This will find the children and adults who are named. Raises `Unknown`, with the flag."""
    directory = students.directory(scope)
    visitors = frozenset(_named(directory, "--visitor", name) for name in typed.visitors)
    listed = {row.student_id for row in enrolled(scope, class_id=klass.id, on=typed.on)} | visitors
    said: dict[UUID, str] = {}
    for flag, names in (("--absent", typed.absent), ("--not-today", typed.not_today)):
        for name in names:
            id_ = _named(directory, flag, name)
            if id_ not in listed:
                raise Unknown(f"{flag}: {directory.names[id_]} is not in this class")
            if said.setdefault(id_, flag) != flag:
                raise Unknown(f"{flag}: {directory.names[id_]} is named with {said[id_]} too")
    return Asked(
        on=typed.on,
        absent=frozenset(id_ for id_, flag in said.items() if flag == "--absent"),
        not_today=frozenset(id_ for id_, flag in said.items() if flag == "--not-today"),
        visitors=visitors,
        spotters=_spotters(scope, typed),
        mats=typed.mats,
        minutes=typed.minutes,
        surface=typed.surface,
        as_of=typed.as_of,
    )


def _named(directory, flag, name):
    """The id of a child named by a flag."""
    try:
        return directory.find(name)
    except UnknownStudent as error:
        raise UnknownStudent(f"{flag}: {error}") from None


def _spotters(scope, typed):
    """The members named as free to spot; whoever holds the list is not."""
    colleagues = staff(scope, on=typed.on)
    called = {folded(name): colleague for name, colleague in colleagues.items()}
    found = set()
    for name in typed.spotters:
        adult = called.get(folded(name))
        if adult is None:
            hint = close_to(name, colleagues)
            raise Unknown(f"--spotters: nobody called “{name}” is on the staff that day{hint}")
        if not adult.adult:
            raise Unknown(f"--spotters: {adult.name} is not an adult")
        if adult.id == scope.member_id:
            raise Unknown(
                f"--spotters: {adult.name} holds the list; whoever does is not free to spot"
            )
        found.add(adult.id)
    return frozenset(found)
