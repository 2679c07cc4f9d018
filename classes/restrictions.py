"""What is not for now: a role or a load that is blocked for a child from a day until a day."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db import transaction

from accounts.events import record
from accounts.scope import Scope
from accounts.tables import Cells, Column
from classes.fact_files import Loaded, read_facts
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


@dataclass(frozen=True)
class Restricted:
    """`blocks` is a load or a role; `until` is the last day on which it is blocked."""

    blocks: str
    until: date


def load(scope: Scope, *, content: bytes, at: datetime, dry_run: bool = False) -> Loaded:
    """This will load a table of restrictions; a row with another `until` moves the end.

    A column for reasons is refused. Raises `BadDocument`, `NotAllowed`.
    """
    scope.need_teacher("loading restrictions")
    with transaction.atomic():
        named = Named(scope, on=at.date())

        def parse(cells: Cells) -> Restriction:
            row = Restriction(
                school_id=scope.school_id,
                student_id=named.student(cells),
                blocks=cells.choice("blocks", (*LOADS, *ROLES), required=True),
                from_date=named.day(cells, "from", required=True),
                until=named.day(cells, "until", required=True),
            )
            if row.from_date and row.until and row.until < row.from_date:
                cells.fault("until", f"{row.until} is before {row.from_date}")
            return row

        facts = read_facts(
            content=content,
            columns=COLUMNS,
            stored=Restriction.objects.filter(school_id=scope.school_id),
            key=("student_id", "blocks", "from_date"),
            says=("until",),
            parse=parse,
            never_why=True,
        )
        if not dry_run:
            facts.save()
            for row in (*facts.new, *facts.changed):
                record(scope, what="restrict", at=at, about=row.student_id, restriction=str(row.id))
    return facts.counts()


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
        id_: tuple(Restricted(b, blocked[b]) for b in (*LOADS, *ROLES) if b in blocked)
        for id_, blocked in ends.items()
    }
