"""What guardians have agreed to: hands-on spotting, lifting, the recording of a mass."""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db import transaction

from accounts.events import record
from accounts.policy import policy
from accounts.scope import Scope, Unknown, days_now
from accounts.tables import Cells, Column
from classes.fact_files import Lines, Loaded, one_writer
from classes.given import Given, need
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


@dataclass(frozen=True)
class Listed:
    """One agreement; `withdrawn_on` is None while it stands."""

    id: UUID
    kind: str
    agreed_on: date
    withdrawn_on: date | None


def load(scope: Scope, *, content: bytes, at: datetime, dry_run: bool = False) -> Loaded:
    """This will load a table of agreements and withdrawals.

    Withdrawing the agreement to record a mass deletes the child's masses at once. A row without
    `withdrawn_on` never takes back a withdrawal: to agree again needs a later `agreed_on`.
    Raises `BadDocument`, `NotAllowed`.
    """
    scope.need_teacher("loading agreements")
    with transaction.atomic():
        lines = Lines.of_file(content, COLUMNS)
        facts = _enter(scope, lines, Named(scope, on=at.date()), at=at, dry_run=dry_run)
    return facts.counts()


def agree(scope: Scope, *, rows: Sequence[Mapping[str, object]], at: datetime) -> tuple[UUID, ...]:
    """This will enter agreements and withdrawals, all or none: the ids in the order of the rows.

    A row holds student, kind, agreed_on and, or None, withdrawn_on; the rules are those of a file.
    Raises `NotAllowed`, and `BadDocument` with pointers such as `/rows/3/student`.
    """
    scope.need_teacher("entering agreements")
    with transaction.atomic():
        given = Given(scope, rows=rows, on=at.date())
        facts = _enter(scope, Lines.of_form(rows), given, at=at)
    return tuple(row.id for row in facts.rows)


def withdraw(scope: Scope, *, agreement_id: UUID, on: date, at: datetime) -> None:
    """This will withdraw an agreement from a day on; of a mass it deletes the masses at once.

    Raises `NotAllowed`, `Unknown`, and `BadDocument` with the pointer `/withdrawn_on`.
    """
    scope.need_teacher("entering agreements")
    with transaction.atomic():
        row = Agreement.objects.filter(school_id=scope.school_id, id=agreement_id).first()
        if row is None or not visible(scope, student_ids=[row.student_id]):
            raise Unknown("no such agreement")
        said = {"student": row.student_id, "kind": row.kind}
        form = [said | {"agreed_on": row.agreed_on, "withdrawn_on": on}]
        lines, given = Lines.of_form(form, place=""), Given(scope, rows=form, on=at.date())
        _enter(scope, lines, given, at=at)


def of_student(scope: Scope, *, student_id: UUID) -> tuple[Listed, ...]:
    """This will list what was agreed for a child, and what of it was withdrawn.

    Raises `NotAllowed`, `Unknown`.
    """
    scope.need_teacher("reading agreements")
    need(scope, student_id=student_id)
    rows = Agreement.objects.filter(school_id=scope.school_id, student_id=student_id)
    return tuple(
        Listed(id=row.id, kind=row.kind, agreed_on=row.agreed_on, withdrawn_on=row.withdrawn_on)
        for row in rows.order_by("agreed_on", "kind")
    )


def _enter(scope, lines, named, *, at, dry_run=False):
    one_writer(scope)
    why_no_mass, today = no_mass(scope), max(days_now(scope, at=at))
    stored = list(named.near(Agreement.objects.filter(school_id=scope.school_id), "student"))
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
            cells.fault("agreed_on", f"withdrawn on {ended}: what is agreed again has a later date")
        elif known is None and row.kind == RECORD_MASS:
            why_not = why_no_mass(row.student_id, today)
            if why_not:
                cells.fault("kind", why_not)

    facts = lines.beside(
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
    return facts


def no_mass(scope: Scope) -> Callable[[UUID, date], str | None]:
    """This will make a function that tells why no mass of a child's may be recorded on a day."""
    rules = policy(scope)
    if not rules.uses_mass:
        return lambda student_id, on: "the school does not record masses"
    births = {
        id_: {"birth_year": year, "birth_month": month}
        for id_, year, month in Student.objects.filter(school_id=scope.school_id).values_list(
            "id", "birth_year", "birth_month"
        )
    }

    def why(student_id, on):
        # A child whose age is not known may be too young.
        if (age_years(**births[student_id], on=on) or 0) < rules.mass_from_age:
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
