"""Heights, and where the school uses them masses: entered, questioned, the latest mass alone kept.

A mass is never part of what anybody but a head teacher is answered.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from uuid import UUID

from django.db import transaction

from accounts.events import record
from accounts.policy import policy
from accounts.scope import Conflict, Scope, Unknown, days_now
from accounts.tables import Cells
from classes import agreements
from classes.fact_files import Lines, one_writer
from classes.given import Given, need
from classes.models import Measurement, Student
from classes.models.children import HEIGHT_CM, MASS_KG, MEASURES, RECORD_MASS
from classes.roster_rows import HIGH_CM, HIGH_KG, LOW_CM, LOW_KG
from classes.students import masses
from engine import growth

BOUNDS = {HEIGHT_CM: (LOW_CM, HIGH_CM), MASS_KG: (LOW_KG, HIGH_KG)}


def enter(scope: Scope, *, rows: Sequence[Mapping[str, object]], at: datetime) -> tuple[UUID, ...]:
    """This will enter measurements, all or none: the ids in the order of the rows.

    A row holds student, kind (height_cm or mass_kg), on, value and, or None, confirmed. Another
    value for a day takes the place of the first; a mass that of all earlier ones.

    Raises `NotAllowed` (a mass is a head teacher's to enter), `BadDocument` with pointers such as
    `/rows/3/value`, and `Conflict` with what is asked about values that are not confirmed.
    """
    scope.need_teacher("entering a measurement")
    if any(row["kind"] == MASS_KG for row in rows):
        scope.need_head("entering a mass")
    with transaction.atomic():
        one_writer(scope)
        said = [row | {"value": f"{round(row['value'], 2):.12g}"} for row in rows]
        lines = Lines.of_form(said)
        given = Given(scope, rows=rows, on=at.date())
        form = _Form(scope, given, at, several=len(rows) > 1)
        facts = lines.beside(
            stored=form.stored,
            key=("student_id", "kind", "on"),
            says=("value",),
            parse=form.parse,
            check=form.check,
        )
        if form.asked:
            raise Conflict(" ".join(form.asked))
        facts.save()
        for row in (*facts.new, *facts.changed):
            if row.kind == MASS_KG:
                _masses_of(scope, row.student_id).filter(on__lt=row.on).delete()
            record(scope, what="measure", at=at, about=row.student_id, kind=row.kind)
    return tuple(row.id for row in facts.rows)


class _Form:
    """Rows of measurements beside what is known; `asked` are the questions about them."""

    def __init__(self, scope, given, at, *, several):
        self.asked: list[str] = []
        self._several = several
        self._scope, self._given, self._days = scope, given, days_now(scope, at=at)
        self.stored = list(
            given.near(Measurement.objects.filter(school_id=scope.school_id), "student")
        )
        self._known = defaultdict(dict)
        for row in self.stored:
            self._known[row.student_id, row.kind][row.on] = row.value
        births = given.near(Student.objects.filter(school_id=scope.school_id), "id")
        self._births = {row.id: (row.birth_year, row.birth_month) for row in births}
        self._no_mass = agreements.no_mass(scope)

    def parse(self, cells: Cells) -> Measurement:
        kind = cells.choice("kind", MEASURES, required=True)
        on = self._given.day(cells, "on", required=True)
        if on and on > max(self._days):
            cells.fault("on", f"{on} is still to come")
        low, high = BOUNDS.get(kind, BOUNDS[HEIGHT_CM])
        return Measurement(
            school_id=self._scope.school_id,
            student_id=self._given.student(cells),
            kind=kind,
            on=on,
            value=cells.number("value", low=low, high=high, required=True),
        )

    def check(self, cells: Cells, row: Measurement, known: Measurement | None) -> None:
        if known and known.value == row.value:
            return
        heights = self._known[row.student_id, HEIGHT_CM]
        if row.kind == HEIGHT_CM:
            self._ask(cells, row, row.value, previous=before(heights, row.on))
            heights[row.on] = row.value
            return
        why_not = self._why_no_mass(row) or (None if heights else "needs a height beside it")
        if why_not:
            cells.fault("value", why_not)
            return
        self._ask(cells, row, heights[max(heights)], mass_kg=row.value)
        self._known[row.student_id, MASS_KG][row.on] = row.value

    def _why_no_mass(self, row):
        if why_not := self._no_mass(row.student_id, row.on):
            return why_not
        # What was withdrawn since is deleted: it cannot come back as a mass of before.
        for on in (row.on, max(self._days)):
            agreed = agreements.current(self._scope, student_ids=[row.student_id], on=on)
            if RECORD_MASS not in agreed[row.student_id]:
                return f"no agreement to it stands on {on}"
        if any(on > row.on for on in self._known[row.student_id, MASS_KG]):
            return "a later one is known"
        return None

    def _ask(self, cells, row, height_cm, *, mass_kg=None, previous=None):
        birth = self._births[row.student_id]
        # Of a child who came to try it the age may not be known: nothing to set it beside.
        if cells.flag("confirmed") or None in birth:
            return
        question = growth.question(height_cm, mass_kg, *birth, row.on, previous=previous)
        if question:
            # Of one alone nobody needs to be told which is meant.
            which = f"{cells.place}: " if self._several else ""
            self.asked.append(f"{which}{question.sentence}")


def before(heights: Mapping[date, float], on: date) -> growth.Measured | None:
    """The height to set another one of a day beside: the last before, else the first after."""
    days = sorted(day for day in heights if day != on)
    earlier = [day for day in days if day < on]
    near = (earlier[-1:] or days[:1] or [None])[0]
    return growth.Measured(heights[near], near) if near else None


def mass(scope: Scope, *, student_id: UUID, at: datetime) -> float | None:
    """This will read a child's mass in kg, None where none may be used; the reading is an event.

    Raises `NotAllowed`, and `Unknown` for a child out of sight or where the school uses none.
    """
    scope.need_head("reading a mass")
    if not policy(scope).uses_mass:
        raise Unknown("the school does not record masses")
    need(scope, student_id=student_id)
    with transaction.atomic():
        record(scope, what="read_mass", at=at, about=student_id)
    found = masses(scope, student_ids=[student_id], on=max(days_now(scope, at=at)))
    return found.get(student_id)


def _masses_of(scope, student_id):
    return Measurement.objects.filter(
        school_id=scope.school_id, student_id=student_id, kind=MASS_KG
    )
