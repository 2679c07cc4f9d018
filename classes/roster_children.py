"""The children of a school beside what a class list says of them.

Rows are made or changed in memory, and stored together once the whole list is good.
"""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from itertools import pairwise
from uuid import UUID

from django.db.models import Model

from accounts.events import record
from accounts.names import alphabetical, folded
from accounts.scope import Scope
from classes.classes import ClassView, today
from classes.measurements import before
from classes.models import Agreement, Enrolment, Identity, Measurement, Student
from classes.models.children import HEIGHT_CM, MASS_KG, RECORD_MASS
from classes.roster_rows import AGREED, Entry, meant, new_on
from classes.students import full_name, in_sight
from engine import growth

A_DAY = timedelta(days=1)
AGREED_COLUMNS = {kind: column for column, kind in AGREED.items()}


@dataclass(eq=False)
class Child:
    """One child: what stands of her, and `news` of this list. `entries` are her rows by class."""

    student: Student
    identity: Identity
    is_new: bool = False  # to whoever brings the list: not there, or out of her sight until now
    in_sight: bool = True  # of whoever brings the list, or come into it with a row of the list
    places: list[Enrolment] = field(default_factory=list)
    heights: dict[date, Measurement] = field(default_factory=dict)
    masses: dict[date, Measurement] = field(default_factory=dict)
    agreements: list[Agreement] = field(default_factory=list)
    entries: dict[UUID, Entry] = field(default_factory=dict)
    news: list[str] = field(default_factory=list)

    @property
    def name(self) -> str:
        return full_name(self.identity.given_name, self.identity.initial)

    @property
    def birth(self) -> tuple[int | None, int | None]:
        """Year and month; None of a child who came to try it and was not asked."""
        return self.student.birth_year, self.student.birth_month

    def tell(self, news: str) -> None:
        if news not in self.news:
            self.news.append(news)


class Children:
    """All children of the school. `asked` are the rows about which something was asked,
    `questions` what was asked and is not confirmed."""

    def __init__(self, scope: Scope, *, at: datetime, confirmed: Collection[int]) -> None:
        self.asked: set[int] = set()
        self.questions: list[str] = []
        self._scope, self._at, self._confirmed = scope, at, confirmed
        self._save: dict[int, Model] = {}
        self._drop: list[Measurement] = []
        self._by_name: dict[str, list[Child]] = defaultdict(list)
        children, seen = {}, in_sight(scope)
        for identity in Identity.objects.select_related("student").filter(school=scope.school_id):
            hers = identity.student_id in seen
            child = Child(identity.student, identity, is_new=not hers, in_sight=hers)
            children[identity.student_id] = child
            self._by_name[folded(identity.given_name)].append(child)
        for place in Enrolment.objects.filter(school=scope.school_id):
            children[place.student_id].places.append(place)
        for row in Measurement.objects.filter(school=scope.school_id):
            child = children[row.student_id]
            (child.heights if row.kind == HEIGHT_CM else child.masses)[row.on] = row
        for row in Agreement.objects.filter(school=scope.school_id):
            children[row.student_id].agreements.append(row)

    def listed(self) -> list[Child]:
        """The children whom the list names, by name."""
        found = [c for same in self._by_name.values() for c in same if c.entries]
        return sorted(found, key=lambda child: alphabetical(child.name))

    def in_class(self, klass: ClassView) -> set[UUID]:
        """The children whom the list names in a class."""
        return {child.student.id for child in self.listed() if klass.id in child.entries}

    def take(self, entry: Entry) -> None:
        """Set one row beside what stands; faults and questions are noted on its cells."""
        child = self._find(entry)
        if child is None:
            return
        if entry.klass.id in child.entries:
            row = child.entries[entry.klass.id].number
            entry.cells.fault("given_name", f"the same child as in row {row}")
            return
        child.entries[entry.klass.id] = entry
        child.in_sight = True
        self._place(child, entry)
        self._measure(child, entry)
        self._agree(child, entry)
        if entry.note is not None:
            self._change(child, child.identity, "note", guardian_note=entry.note)

    def check_names(self) -> None:
        """Of two children with one given name each needs an initial, or nobody can say which."""
        for same in self._by_name.values():
            present = [c for c in same if c.in_sight and c.student.left_on is None]
            bare = [child for child in present if not child.identity.initial]
            if len(present) < 2 or not bare or not any(child.is_new for child in present):
                continue
            entries = [entry for child in bare for entry in child.entries.values()]
            for entry in entries:
                entry.cells.fault(
                    "initial", f"missing: another {entry.given_name} is in the school"
                )
            if not entries:
                new = next(child for child in present if child.is_new)
                next(iter(new.entries.values())).cells.fault(
                    "given_name",
                    f"another {bare[0].name} is in the school, without an initial: load hers first",
                )

    def store(self) -> None:
        """Save everything; call it inside a transaction, and only when no fault was found."""
        added = {row.pk for row in self._save.values() if row._state.adding}
        for row in self._drop:
            row.delete()
        for row in self._save.values():
            row.save(force_insert=row._state.adding)
        for child in filter(lambda one: one.news, self.listed()):
            what = "add_student" if child.student.id in added else "change_student"
            self._record(what, child.student.id, news=child.news)
        for row in self._save.values():
            if isinstance(row, Agreement):
                self._record("agree", row.student_id, agreement=str(row.id), kind=row.kind)

    def _record(self, what, student_id, **details):
        record(self._scope, what=what, at=self._at, about=student_id, **details)

    def _ask(self, entry, column, question):
        """Ask about a row. Whoever has looked and means it confirms the row by its number."""
        self.asked.add(entry.number)
        if entry.number not in self._confirmed:
            self.questions.append(question)
            entry.cells.fault(
                column, f"question: {question} If it is as meant, confirm row {entry.number}."
            )

    # -- who it is ------------------------------------------------------------------------------

    def _find(self, entry):
        """The child of a row, one that is new, or None with a fault."""
        # Who is out of sight is found where all agrees and nobody in sight may be meant, and told
        # of like somebody new: else a list of guesses would tell when she was born.
        everybody = self._by_name[folded(entry.given_name)]
        same = [child for child in everybody if child.in_sight]
        if known := _known(same, entry):
            return known
        born = [child for child in same if child.birth == entry.birth]
        if not entry.initial and born:
            names = " or ".join(sorted(child.name for child in born))
            entry.cells.fault("given_name", f"may be {names}: write the initial")
            return None
        alike = _alike(same, entry)
        unborn = [
            child
            for child in same
            if child.student.birth_year is None
            and (child in alike or not child.identity.initial or not entry.initial)
        ]
        if unborn:
            return self._came_to_try(unborn[0], entry)
        if without := [child for child in born if not child.identity.initial]:
            child = without[0]
            known = f"{child.name}, born {_month(child.birth)}, is known without an initial"
            self._ask(entry, "given_name", f"{known}: is this the same child?")
            self._change(child, child.identity, "initial", initial=entry.initial)
            return child
        if alike:
            return self._reborn(alike[0], entry)
        hidden = [child for child in _alike(everybody, entry) if child.birth == entry.birth]
        return hidden[0] if hidden else self._new(entry)

    def _came_to_try(self, child, entry):
        """A child of the same name whose month of birth was not known yet."""
        self._ask(
            entry,
            "given_name",
            f"{child.name} is known without a month of birth: is this the same child?"
            " Another child needs another initial.",
        )
        year, month = entry.birth
        self._change(child, child.student, "month of birth", birth_year=year, birth_month=month)
        initial = entry.initial or child.identity.initial
        self._change(child, child.identity, "initial", initial=initial)
        return child

    def _reborn(self, child, entry):
        """A child of the same name and another month of birth."""
        known = f"{child.name} is known, born {_month(child.birth)}"
        column = entry.column("birth_month")
        if child.entries:
            row = next(iter(child.entries.values())).number
            entry.cells.fault(column, f"{known} as in row {row}: another child needs an initial")
            return None
        question = f"is {_month(entry.birth)} a correction? Another child needs another initial."
        self._ask(entry, column, f"{known}: {question}")
        year, month = entry.birth
        self._change(child, child.student, "month of birth", birth_year=year, birth_month=month)
        return child

    def _new(self, entry):
        on = today(entry.klass, self._at)
        year, month = entry.birth
        student = Student(
            school_id=self._scope.school_id,
            birth_year=year,
            birth_month=month,
            joined_on=entry.joined or on,
        )
        identity = Identity(
            school_id=self._scope.school_id,
            student=student,
            given_name=entry.given_name,
            initial=entry.initial,
        )
        child = Child(student, identity, is_new=True)
        self._by_name[folded(entry.given_name)].append(child)
        self._add(child, student, "new")
        self._add(child, identity, "new")
        age = growth.reference("height", "F", growth.age_months(year, month, on))
        if entry.height_cm is None and isinstance(age, growth.OutsideTable):
            question = f"an age {age.value}: are year and month as meant?"
            self._ask(entry, entry.column("birth_month"), question)
        return child

    # -- her place ------------------------------------------------------------------------------

    def _place(self, child, entry):
        on = today(entry.klass, self._at)
        places = [row for row in child.places if row.group_class_id == entry.klass.id]
        places.sort(key=lambda row: row.from_date)
        place = meant(places, entry, on)
        said = {"from_date": entry.joined, "trial": entry.trial, "until": entry.until}
        said = {name: value for name, value in said.items() if value is not None}
        if place is None:
            place = Enrolment(
                school_id=self._scope.school_id,
                group_class_id=entry.klass.id,
                student_id=child.student.id,
                **{"from_date": on, **said},
            )
            if places and (places[-1].until is None or places[-1].until >= place.from_date):
                self._change(child, places[-1], "place", until=place.from_date - A_DAY)
            child.places.append(place)
            places.append(place)
            self._add(child, place, "place")
        else:
            self._change(child, place, "place", **said)
        left_on = child.student.left_on
        if left_on and place.from_date > left_on:
            entry.cells.fault("joined", f"she left on {left_on}")
        ends = entry.klass.until
        if ends and place.from_date > ends:
            entry.cells.fault("joined", f"the last day of {entry.klass.name} is {ends}")
        if place.until and place.until < place.from_date:
            entry.cells.fault("until", f"{place.until} is before {place.from_date}")
        places.sort(key=lambda row: row.from_date)
        for row, after in pairwise(places):
            if row.until is None or row.until >= after.from_date:
                other = row if after is place else after
                entry.cells.fault("joined", f"overlaps with her place from {other.from_date} on")
        first = min(row.from_date for row in child.places)
        self._change(child, child.student, "place", joined_on=first)

    # -- what is measured -----------------------------------------------------------------------

    def _measure(self, child, entry):
        on = today(entry.klass, self._at)
        height_on = new_on(child.heights, entry.height_cm, entry.height_on, on)
        mass_on = new_on(child.masses, entry.mass_kg, entry.mass_on, on)
        known = [row for day, row in child.heights.items() if day == height_on]
        if self._said_twice(entry, entry.column("height"), known):
            return
        if mass_on and self._said_twice(entry, "mass_kg", child.masses.values()):
            return
        if mass_on:
            self._check_mass(child, entry, mass_on)
        if not height_on and not mass_on:
            return
        latest = child.heights[max(child.heights)].value if child.heights else None
        height_cm = entry.height_cm if height_on else latest
        if height_cm is None:
            entry.cells.fault("mass_kg", "needs a height beside it")
            return
        told = [row for row in child.heights.values() if not child.is_new or id(row) in self._save]
        heights = {row.on: row.value for row in told}
        question = growth.question(
            height_cm,
            entry.mass_kg if mass_on else None,
            *child.birth,
            height_on or mass_on,
            previous=before(heights, height_on) if height_on else None,
        )
        if question:
            self._ask(entry, entry.column(question.field), question.sentence)
        if height_on:
            self._set(child, child.heights, HEIGHT_CM, height_on, entry.height_cm)
        if mass_on:
            self._drop += [row for day, row in child.masses.items() if day != mass_on]
            self._set(child, child.masses, MASS_KG, mass_on, entry.mass_kg)

    def _check_mass(self, child, entry, on):
        if any(day > on for day in child.masses):
            entry.cells.fault("mass_kg", "a later one is known")
        ended = _withdrawn(child, RECORD_MASS)
        if ended and ended >= entry.agreed[RECORD_MASS]:
            entry.cells.fault("mass_kg", f"its agreement was withdrawn on {ended}")

    def _said_twice(self, entry, column, rows):
        """Whether another row of the list gave one of these measurements another value."""
        if not any(id(row) in self._save for row in rows):
            return False
        entry.cells.fault(column, "another row of this list says something else of the same child")
        return True

    def _set(self, child, values, kind, on, value):
        news = kind.split("_")[0]
        if row := values.get(on):
            self._change(child, row, news, value=value)
            return
        row = values[on] = Measurement(
            school_id=self._scope.school_id,
            student_id=child.student.id,
            kind=kind,
            on=on,
            value=value,
        )
        self._add(child, row, news)

    # -- what is agreed -------------------------------------------------------------------------

    def _agree(self, child, entry):
        for kind, agreed_on in entry.agreed.items():
            rows = [row for row in child.agreements if row.kind == kind]
            if any(row.agreed_on == agreed_on for row in rows):
                continue
            ended = _withdrawn(child, kind)
            if ended and ended >= agreed_on:
                entry.cells.fault(
                    AGREED_COLUMNS[kind],
                    f"withdrawn on {ended}: what is agreed again has a later date",
                )
                continue
            row = Agreement(
                school_id=self._scope.school_id,
                student_id=child.student.id,
                kind=kind,
                agreed_on=agreed_on,
            )
            child.agreements.append(row)
            self._add(child, row, "agreement")

    # -- what is to be stored -------------------------------------------------------------------

    def _add(self, child, row, news):
        self._save[id(row)] = row
        child.tell(news)

    def _change(self, child, row, news, **fields):
        changed = {name: value for name, value in fields.items() if getattr(row, name) != value}
        for name, value in changed.items():
            setattr(row, name, value)
            self._add(child, row, news)


def _known(children, entry):
    """Who has the month of birth and the initial of a row, or is the only one where it has none."""
    born = [child for child in children if child.birth == entry.birth]
    alone = born if len(born) == 1 and not entry.initial else []
    return next(iter(_alike(born, entry) or alone), None)


def _alike(children, entry):
    return [one for one in children if folded(one.identity.initial) == folded(entry.initial)]


def _withdrawn(child, kind):
    ended = [row.withdrawn_on for row in child.agreements if row.kind == kind and row.withdrawn_on]
    return max(ended, default=None)


def _month(birth):
    return f"{birth[0]}-{birth[1]:02d}"
