"""Class lists: children, their places in classes, heights, agreements and notes from a table."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db import transaction

from accounts.faults import BadDocument, Fault
from accounts.names import alphabetical
from accounts.scope import Scope
from classes import students
from classes.classes import ClassView, enrolled, find, today
from classes.fact_files import one_writer
from classes.roster_children import Children
from classes.roster_rows import Sheet


@dataclass(frozen=True)
class Loaded:
    """What a class list did, or in a dry run would do.

    `mapping` is one line that says how the headers were understood. `new` are children, `changed`
    too, with what changed (“Sunniva: height”); `standing` counts those about whom nothing is new.
    `absent` are children with a place in a class of the list whom it does not name: they are left
    as they are. `remarks` are lines worth a look.
    """

    mapping: str
    new: tuple[str, ...]
    changed: tuple[str, ...]
    standing: int
    absent: tuple[str, ...]
    remarks: tuple[str, ...]


@dataclass(frozen=True)
class Place:
    """A child's place in a class: `until` is its last day, None while it is open."""

    student_id: UUID
    name: str
    from_date: date
    until: date | None
    trial: bool


def roster(
    scope: Scope, *, class_id: UUID, on: date | None = None, at: datetime
) -> tuple[Place, ...]:
    """This will list by name who has a place in a class on a day, or else where it meets today.

    Raises `Unknown`.
    """
    klass = find(scope, class_id=class_id)
    places = enrolled(scope, class_id=class_id, on=on or today(klass, at))
    called = students.names(scope, student_ids=[place.student_id for place in places])
    return tuple(
        Place(
            student_id=place.student_id,
            name=called[place.student_id],
            from_date=place.from_date,
            until=place.until,
            trial=place.trial,
        )
        for place in places
    )


def load(
    scope: Scope,
    *,
    content: bytes,
    at: datetime,
    klass: ClassView | None = None,
    confirmed: Collection[int] = (),
    dry_run: bool = False,
) -> Loaded:
    """This will load a class list. A child is known by given name, initial and month of birth.

    A row about which something is asked (a height that looks like a slip, a child who may be
    another) blocks the list like a fault until its number is among `confirmed`.
    Raises `NotAllowed` and, with every fault at once, `BadDocument`.
    """
    scope.need_teacher("loading a class list")
    faults: list[Fault] = []
    with transaction.atomic():
        sheet = Sheet(scope, content=content, klass=klass, at=at)
        one_writer(scope)
        children = Children(scope, at=at, confirmed=frozenset(confirmed))
        listed = {klass} if klass else set()
        for entry in sheet.entries(faults):
            listed.add(entry.klass)
            children.take(entry)
        children.check_names()
        if faults:
            raise BadDocument(faults)
        absent = _absent(scope, listed, children, at)
        if not dry_run:
            children.store()
    remarks = [
        f"row {row}: only year and month of birth are kept, no day" for row in sheet.whole_days
    ]
    remarks += [
        f"row {row} was confirmed: nothing was asked about it"
        for row in sorted(set(confirmed) - children.asked)
    ]
    touched = children.listed()
    return Loaded(
        mapping=sheet.mapping,
        new=tuple(child.name for child in touched if child.is_new),
        changed=tuple(
            f"{child.name}: {', '.join(child.news)}"
            for child in touched
            if child.news and not child.is_new
        ),
        standing=sum(not child.news for child in touched),
        absent=absent,
        remarks=tuple(remarks),
    )


def _absent(scope, listed, children, at):
    """Who has a place in one of these classes and is not in the list."""
    names = students.directory(scope).names
    found = set()
    for klass in listed:
        places = enrolled(scope, class_id=klass.id, on=today(klass, at))
        ids = {place.student_id for place in places} - children.in_class(klass)
        found |= {names[id_] for id_ in ids}
    return tuple(sorted(found, key=alphabetical))
