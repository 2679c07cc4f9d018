"""What guardians have agreed to: hands-on spotting, lifting, the recording of a mass."""

from collections.abc import Collection
from datetime import date, datetime
from uuid import UUID

from django.db import transaction

from accounts.events import record
from accounts.policy import policy
from accounts.scope import Scope
from accounts.tables import Cells, Column
from classes.fact_files import Loaded, read_facts
from classes.models import Agreement, Measurement, Student
from classes.models.children import AGREEMENTS, MASS_KG, RECORD_MASS
from classes.named import Named
from classes.students import age_years, visible

COLUMNS = (
    Column("student", also=("child",), required=True),
    Column("kind", also=("agreement",), required=True),
    Column("agreed_on", also=("agreed",), required=True),
    Column("withdrawn_on", also=("withdrawn",)),
)


def load(scope: Scope, *, content: bytes, at: datetime, dry_run: bool = False) -> Loaded:
    """This will load a table of agreements and withdrawals.

    Withdrawing the agreement to record a mass deletes the child's masses at once. A row without
    `withdrawn_on` never takes back a withdrawal: to agree again needs a later `agreed_on`.
    Raises `BadDocument`, `NotAllowed`.
    """
    scope.need_teacher("loading agreements")
    with transaction.atomic():
        named = Named(scope, on=at.date())
        no_mass = _no_mass(scope, on=at.date())
        stored = list(Agreement.objects.filter(school_id=scope.school_id))
        last_withdrawn = _last_withdrawn(stored, on=date.max)

        def parse(cells: Cells) -> Agreement:
            agreement = Agreement(
                school_id=scope.school_id,
                student_id=named.student(cells),
                kind=cells.choice("kind", AGREEMENTS, required=True),
                agreed_on=named.day(cells, "agreed_on", required=True),
                withdrawn_on=named.day(cells, "withdrawn_on"),
            )
            agreed, withdrawn = agreement.agreed_on, agreement.withdrawn_on
            if agreed and withdrawn and withdrawn < agreed:
                cells.fault("withdrawn_on", f"{withdrawn} is before it was agreed on {agreed}")
            return agreement

        def check(cells: Cells, row: Agreement, known: Agreement | None) -> None:
            if row.withdrawn_on:
                return
            ended = last_withdrawn.get((row.student_id, row.kind))
            if ended and ended >= row.agreed_on:
                cells.fault(
                    "agreed_on", f"withdrawn on {ended}: what is agreed again has a later date"
                )
            elif known is None and row.kind == RECORD_MASS and no_mass(row.student_id):
                cells.fault("kind", no_mass(row.student_id))

        facts = read_facts(
            content=content,
            columns=COLUMNS,
            stored=stored,
            key=("student_id", "kind", "agreed_on"),
            says=("withdrawn_on",),
            parse=parse,
            check=check,
        )
        if not dry_run:
            facts.save()
            for row in (*facts.new, *facts.changed):
                _tell(scope, row, at=at)
    return facts.counts()


def _no_mass(scope, *, on):
    """A function that tells why no mass may be recorded for a child, or None."""
    rules = policy(scope)
    births = {
        id_: {"birth_year": year, "birth_month": month}
        for id_, year, month in Student.objects.filter(school_id=scope.school_id).values_list(
            "id", "birth_year", "birth_month"
        )
    }

    def why(student_id):
        if not rules.uses_mass:
            return "the school does not record masses"
        if age_years(**births[student_id], on=on) < rules.mass_from_age:
            return f"masses are recorded from {rules.mass_from_age} years on"
        return None

    return why


def _tell(scope, row, *, at):
    what = "withdraw_agreement" if row.withdrawn_on else "agree"
    record(scope, what=what, at=at, about=row.student_id, agreement=str(row.id), kind=row.kind)
    if row.kind == RECORD_MASS and row.withdrawn_on:
        deleted, _ = Measurement.objects.filter(
            school_id=scope.school_id, student_id=row.student_id, kind=MASS_KG
        ).delete()
        record(scope, what="delete_mass", at=at, about=row.student_id, rows=deleted)


def current(scope: Scope, *, student_ids: Collection[UUID], on: date) -> dict[UUID, frozenset[str]]:
    """This will find what stands agreed on a date, for each child in scope.

    A withdrawal ends all of its kind that was agreed up to its day, whichever row it stands in.
    """
    return _kinds(scope, student_ids, on)[0]


def withdrawn(
    scope: Scope, *, student_ids: Collection[UUID], on: date
) -> dict[UUID, frozenset[str]]:
    """This will find what was withdrawn by a date and not agreed again, for each child in scope."""
    return _kinds(scope, student_ids, on)[1]


def _kinds(scope, student_ids, on):
    ids = visible(scope, student_ids=student_ids)
    rows = list(Agreement.objects.filter(school_id=scope.school_id, student_id__in=ids))
    ended = _last_withdrawn(rows, on=on)
    agreed = {
        (row.student_id, row.kind)
        for row in rows
        if ended.get((row.student_id, row.kind), date.min) < row.agreed_on <= on
    }
    return _by_student(ids, agreed), _by_student(ids, ended.keys() - agreed)


def _last_withdrawn(rows, *, on):
    """The day of the last withdrawal not after `on`, by student and kind."""
    ended = {}
    for row in rows:
        if row.withdrawn_on and row.withdrawn_on <= on:
            pair = row.student_id, row.kind
            ended[pair] = max(row.withdrawn_on, ended.get(pair, date.min))
    return ended


def _by_student(ids, pairs):
    return {id_: frozenset(kind for student, kind in pairs if student == id_) for id_ in ids}
