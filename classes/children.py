"""One child as her teachers see her, taken on and corrected by them."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db import transaction

from accounts.events import record
from accounts.faults import FARTHEST_YEARS, BadDocument, Fault
from accounts.models import ASSISTANT
from accounts.names import folded
from accounts.scope import Conflict, Scope, Unknown, days_now
from accounts.tables import Row
from classes import agreements, enrolments, restrictions, students
from classes.classes import classes, enrolled, today
from classes.enrolments import Place
from classes.fact_files import FormCells, one_writer
from classes.models import Identity, Student
from classes.models.children import HANDS_ON, LIFTING
from classes.restrictions import Restricted
from classes.roster_children import Children
from classes.roster_rows import HIGH_CM, LOW_CM, Entry, birth_fault, name_faults, tidy_initial
from engine import growth

LOWEST_CM, HIGHEST_CM = LOW_CM, HIGH_CM
AGREED_WORDS = AGREED, WITHDRAWN, MISSING = ("agreed", "withdrawn", "missing")
LONGEST_NAME, LONGEST_INITIAL, LONGEST_NOTE = 60, 5, 80
# What a class list calls the fields of a form.
FIELDS = {"joined": "from", "birth": "birth_year", "note": "guardian_note"}


@dataclass(frozen=True)
class ChildLine:
    """A child in a list; `age` in full years, None where her birth month is not known."""

    id: UUID
    name: str
    age: int | None
    joined_on: date
    left_on: date | None


@dataclass(frozen=True)
class ChildView:
    """What there is to see of a child, never a mass.

    `hands_on` and `lifting` are words for what her guardian agreed to. An assistant is told her
    age alone: month of birth and guardian's note are None then.
    """

    id: UUID
    name: str
    given_name: str
    initial: str
    age: int | None
    birth_year: int | None
    birth_month: int | None
    guardian_note: str | None
    joined_on: date
    left_on: date | None
    height_cm: float | None
    height_on: date | None
    hands_on: str
    lifting: str
    blocked: tuple[Restricted, ...]
    places: tuple[Place, ...]


def listed(
    scope: Scope, *, at: datetime, on: date | None = None, class_id: UUID | None = None
) -> tuple[ChildLine, ...]:
    """This will list by name the children in sight who had not left on a day (or today), or those
    who had a place in a class then. Nothing for a class that cannot be seen.
    """
    if on is None:
        known = classes(scope) if class_id else ()
        klass = next((one for one in known if one.id == class_id), None)
        on = today(klass, at) if klass else min(days_now(scope, at=at))
    if class_id is None:
        ids = students.in_sight(scope)
    else:
        ids = {place.student_id for place in enrolled(scope, class_id=class_id, on=on)}
    called = students.names(scope, student_ids=ids)
    rows = Student.objects.filter(school_id=scope.school_id, id__in=called)
    facts = {row.id: row for row in rows.exclude(left_on__lt=on)}
    return tuple(
        ChildLine(
            id=id_,
            name=name,
            age=_age(facts[id_], on),
            joined_on=facts[id_].joined_on,
            left_on=facts[id_].left_on,
        )
        for id_, name in called.items()
        if id_ in facts
    )


def find(scope: Scope, *, student_id: UUID, at: datetime) -> ChildView:
    """This will tell of one child as she is known today where she dances. Raises `Unknown`."""
    ids = [student_id]
    facts = next(iter(students.children(scope, student_ids=ids)), None)
    if facts is None:
        raise Unknown("no such child")
    on = max(enrolments.days_there(scope, student_id=student_id, at=at))
    agreed = agreements.current(scope, student_ids=ids, on=on)[student_id]
    withdrawn = agreements.withdrawn(scope, student_ids=ids, on=on)[student_id]

    def word(kind):
        return AGREED if kind in agreed else WITHDRAWN if kind in withdrawn else MISSING

    person = Identity.objects.get(school_id=scope.school_id, student_id=student_id)
    all_of_it = scope.role != ASSISTANT
    return ChildView(
        id=facts.id,
        name=facts.name,
        given_name=person.given_name,
        initial=person.initial,
        age=_age(facts, on),
        birth_year=facts.birth_year if all_of_it else None,
        birth_month=facts.birth_month if all_of_it else None,
        guardian_note=person.guardian_note if all_of_it else None,
        joined_on=facts.joined_on,
        left_on=facts.left_on,
        height_cm=facts.height_cm,
        height_on=facts.height_on,
        hands_on=word(HANDS_ON),
        lifting=word(LIFTING),
        blocked=restrictions.current(scope, student_ids=ids, on=on)[student_id],
        places=enrolments.places(scope, student_ids=ids)[student_id],
    )


def _age(facts, on):
    return students.age_years(birth_year=facts.birth_year, birth_month=facts.birth_month, on=on)


def add(scope: Scope, *, said: Mapping[str, object], at: datetime) -> ChildView:
    """This will take on a child with a place in a class, by the rules of a class list: a child
    of that name, initial and month of birth who is known already gets the place.

    `said` holds given_name, birth_year, birth_month, class_id and, or not, initial, from_date,
    trial, height_cm, height_on, guardian_note, confirmed.

    Raises `NotAllowed`, `BadDocument`, and `Conflict` with what is asked and not confirmed.
    """
    scope.need_teacher("taking on a child")
    faults: list[Fault] = []
    with transaction.atomic():
        one_writer(scope)
        entry = _entry(scope, said, faults, at)
        if faults:
            raise BadDocument(faults)
        confirmed = {entry.number} if said.get("confirmed") else set()
        children = Children(scope, at=at, confirmed=confirmed)
        children.take(entry)
        children.check_names()
        if children.questions and len(children.questions) == len(faults):
            raise Conflict(" ".join(children.questions))
        if faults:
            raise BadDocument(faults)
        children.store()
        (child,) = children.listed()
    return find(scope, student_id=child.student.id, at=at)


class _Cells(FormCells):
    def fault(self, name, message):
        super().fault(FIELDS.get(name, name), message)


def _entry(scope, said, faults, at):
    """One row of a class list out of a form."""
    texts = {name: str(value) for name, value in said.items() if value is not None}
    cells = _Cells(Row(1, texts, {}), faults, "")
    klass = next((one for one in classes(scope) if one.id == said["class_id"]), None)
    if klass is None:
        cells.fault("class", "unknown")
    initial = tidy_initial(said.get("initial"))
    for field, fault in name_faults(said["given_name"], initial):
        cells.fault(field, fault)
    birth = said["birth_year"], said["birth_month"]
    latest = max(days_now(scope, at=at))
    if fault := birth_fault(*birth, latest):
        cells.fault("birth", fault)
    joined, height_on = said.get("from_date"), said.get("height_on")
    if joined and abs(joined.year - at.year) > FARTHEST_YEARS:
        cells.fault("joined", f"{joined} is more than {FARTHEST_YEARS} years from now")
    if height_on and (height_on > latest or latest.year - height_on.year > FARTHEST_YEARS):
        cells.fault("height_on", f"{height_on} is still to come, or too long ago")
    return Entry(
        cells=cells,
        klass=klass,
        given_name=said["given_name"],
        initial=initial,
        birth=birth,
        height_cm=said.get("height_cm"),
        height_on=height_on,
        mass_kg=None,
        mass_on=None,
        joined=joined,
        until=None,
        trial=said.get("trial"),
        agreed={},
        note=said.get("guardian_note"),
    )


def change(
    scope: Scope, *, student_id: UUID, said: Mapping[str, object], at: datetime
) -> ChildView:
    """This will correct what a teacher says of a child: given_name, initial, birth_year with
    birth_month, guardian_note, left_on. What is not said stays.

    Raises `Unknown`, `NotAllowed`, `BadDocument`, and `Conflict` with what is asked about another
    month of birth unless `confirmed` is said.
    """
    with transaction.atomic():
        one_writer(scope)
        known = find(scope, student_id=student_id, at=at)
        scope.need_teacher("changing a child")
        said = dict(said)
        confirmed = said.pop("confirmed", False)
        if "initial" in said:
            said["initial"] = tidy_initial(said["initial"])
        changed = {name: value for name, value in said.items() if getattr(known, name) != value}
        if not changed:
            return known
        faults = list(_faults(scope, known, changed, at))
        if faults:
            raise BadDocument(faults)
        if "birth_year" in changed or "birth_month" in changed:
            _ask_about_birth(known, changed, confirmed, at)
        person = Identity.objects.select_related("student").get(
            school_id=scope.school_id, student_id=student_id
        )
        for name, value in changed.items():
            setattr(person if hasattr(person, name) else person.student, name, value)
        person.save()
        person.student.save()
        record(scope, what="change_student", at=at, about=student_id, news=sorted(changed))
    return find(scope, student_id=student_id, at=at)


def _faults(scope, known, changed, at):
    now = {name: changed.get(name, getattr(known, name)) for name in vars(known)}
    if "given_name" in changed or "initial" in changed:
        for field, fault in name_faults(now["given_name"], now["initial"]):
            yield Fault(f"/{field}", fault)
        yield from _namesakes(scope, known, now)
    latest = max(days_now(scope, at=at))
    year, month = now["birth_year"], now["birth_month"]
    if (year is None) != (month is None):
        yield Fault("/birth_year", "a year and a month, or neither")
    elif year is not None and (fault := birth_fault(year, month, latest)):
        yield Fault("/birth_year", fault)
    left_on = changed.get("left_on")
    if left_on and left_on < known.joined_on:
        yield Fault("/left_on", f"{left_on} is before she joined on {known.joined_on}")
    if left_on and left_on.year - at.year > FARTHEST_YEARS:
        yield Fault("/left_on", f"{left_on} is more than {FARTHEST_YEARS} years from now")


def _namesakes(scope, known, now):
    """Of two children in sight with one given name each needs an initial of her own.

    Who else is in the school nobody learns by trying names.
    """
    others = list(
        Identity.objects.filter(school_id=scope.school_id, student__left_on__isnull=True).exclude(
            student_id=known.id
        )
    )
    seen = students.visible(scope, student_ids=[other.student_id for other in others])
    for other in others:
        if other.student_id not in seen:
            continue
        if folded(other.given_name) != folded(now["given_name"]):
            continue
        if not now["initial"]:
            yield Fault("/initial", f"missing: another {other.given_name} is in the school")
            return
        if folded(other.initial) == folded(now["initial"]):
            name = students.full_name(other.given_name, other.initial)
            yield Fault("/initial", f"{name} is in the school: another child, another initial")
            return


def _ask_about_birth(known, changed, confirmed, at):
    """Ask about a month of birth with which her height, or her age itself, looks like a slip."""
    year = changed.get("birth_year", known.birth_year)
    month = changed.get("birth_month", known.birth_month)
    if year is None or confirmed:
        return
    if known.height_cm is not None:
        question = growth.question(known.height_cm, None, year, month, known.height_on)
        if question:
            raise Conflict(question.sentence)
        return
    age = growth.reference("height", "F", growth.age_months(year, month, at.date()))
    if isinstance(age, growth.OutsideTable):
        raise Conflict(f"An age {age.value}: are year and month as meant?")
