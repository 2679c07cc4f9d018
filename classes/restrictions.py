"""What is not for now: a role or a load that is blocked for a child from a day until a day."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db import transaction

from accounts.events import record
from accounts.scope import Scope, Unknown
from accounts.tables import Cells, Column
from classes.fact_files import Lines, Loaded, one_writer
from classes.given import Given, need, need_today
from classes.models import Restriction
from classes.named import Named
from classes.students import visible
from curriculum.models import LOADS, ROLES

COLUMNS = (
    Column("student", also=("child",), required=True),
    Column("blocks", also=("not for now",), required=True),
    Column("from", also=("from_date",), required=True),
    Column("until", required=True),
)

BLOCKS = (*LOADS, *ROLES)


@dataclass(frozen=True)
class Restricted:
    """`blocks` is a load or a role; `until` is the last day on which it is blocked."""

    blocks: str
    until: date


@dataclass(frozen=True)
class Listed:
    """One restriction as entered: a load or a role, the first and the last day."""

    id: UUID
    blocks: str
    from_date: date
    until: date


def load(scope: Scope, *, content: bytes, at: datetime, dry_run: bool = False) -> Loaded:
    """This will load a table of restrictions; a row with another `until` moves the end.

    A column for reasons is refused. Raises `BadDocument`, `NotAllowed`.
    """
    scope.need_teacher("loading restrictions")
    with transaction.atomic():
        lines = Lines.of_file(content, COLUMNS, never_why=True)
        facts = _enter(scope, lines, Named(scope, on=at.date()), at=at, dry_run=dry_run)
    return facts.counts()


def restrict(
    scope: Scope, *, rows: Sequence[Mapping[str, object]], at: datetime
) -> tuple[UUID, ...]:
    """This will enter restrictions, all or none: the ids in the order of the rows.

    A row holds student, blocks, from and until; of one that stands it moves the end.
    Raises `NotAllowed`, and `BadDocument` with pointers such as `/rows/3/student`.
    """
    scope.need_teacher("restricting")
    with transaction.atomic():
        given = Given(scope, rows=rows, on=at.date())
        facts = _enter(scope, Lines.of_form(rows), given, at=at)
    return tuple(row.id for row in facts.rows)


def move_end(scope: Scope, *, restriction_id: UUID, until: date, at: datetime) -> None:
    """This will end a restriction on another day, the last on which it holds.

    Raises `NotAllowed`, `Unknown`, and `BadDocument` with the pointer `/until`.
    """
    scope.need_teacher("restricting")
    with transaction.atomic():
        row = _find(scope, restriction_id)
        said = {"student": row.student_id, "blocks": row.blocks}
        form = [said | {"from": row.from_date, "until": until}]
        lines, given = Lines.of_form(form, place=""), Given(scope, rows=form, on=at.date())
        _enter(scope, lines, given, at=at)


def take_back(scope: Scope, *, restriction_id: UUID, at: datetime) -> None:
    """This will take back a restriction that was entered by mistake, on its first day or before.

    Raises `NotAllowed`, `Unknown`, and `Conflict` for an earlier one: it was acted on.
    """
    scope.need_teacher("restricting")
    with transaction.atomic():
        row = _find(scope, restriction_id)
        need_today(scope, on=row.from_date, at=at)
        row.delete()
        told = {"about": row.student_id, "restriction": str(restriction_id)}
        record(scope, what="take_back_restriction", at=at, **told)


def of_student(scope: Scope, *, student_id: UUID, at: datetime) -> tuple[Listed, ...]:
    """This will list the restrictions of a child, ended ones too; that it was read is an event.

    Raises `NotAllowed`, `Unknown`.
    """
    scope.need_teacher("reading restrictions")
    need(scope, student_id=student_id)
    with transaction.atomic():
        record(scope, what="read_restrictions", at=at, about=student_id)
    rows = Restriction.objects.filter(school_id=scope.school_id, student_id=student_id)
    return tuple(
        Listed(id=row.id, blocks=row.blocks, from_date=row.from_date, until=row.until)
        for row in rows.order_by("from_date", "id")
    )


def _find(scope, restriction_id):
    """The row to change. Raises `Unknown`."""
    one_writer(scope)  # what somebody takes back meanwhile would else be entered again
    row = Restriction.objects.filter(school_id=scope.school_id, id=restriction_id).first()
    if row is None or not visible(scope, student_ids=[row.student_id]):
        raise Unknown("no such restriction")
    return row


def _enter(scope, lines, named, *, at, dry_run=False):
    def parse(cells: Cells) -> Restriction:
        row = Restriction(
            school_id=scope.school_id,
            student_id=named.student(cells),
            blocks=cells.choice("blocks", BLOCKS, required=True),
            from_date=named.day(cells, "from", required=True),
            until=named.day(cells, "until", required=True),
        )
        if row.from_date and row.until and row.until < row.from_date:
            cells.fault("until", f"{row.until} is before {row.from_date}")
        return row

    one_writer(scope)
    facts = lines.beside(
        stored=named.near(Restriction.objects.filter(school_id=scope.school_id), "student"),
        key=("student_id", "blocks", "from_date"),
        says=("until",),
        parse=parse,
    )
    if not dry_run:
        facts.save()
        for row in (*facts.new, *facts.changed):
            record(scope, what="restrict", at=at, about=row.student_id, restriction=str(row.id))
    return facts


def current(
    scope: Scope, *, student_ids: Collection[UUID], on: date
) -> dict[UUID, tuple[Restricted, ...]]:
    """This will find what is blocked on a date, for each child in scope, loads before roles.

    The first and the last day count. Of two rows for the same load the later end is told.
    """
    ids = visible(scope, student_ids=student_ids)
    rows = Restriction.objects.filter(
        school_id=scope.school_id, student_id__in=ids, from_date__lte=on, until__gte=on
    )
    ends: dict[UUID, dict[str, date]] = {id_: {} for id_ in ids}
    for row in rows:
        blocked = ends[row.student_id]
        blocked[row.blocks] = max(row.until, blocked.get(row.blocks, date.min))
    return {
        id_: tuple(Restricted(b, blocked[b]) for b in BLOCKS if b in blocked)
        for id_, blocked in ends.items()
    }
