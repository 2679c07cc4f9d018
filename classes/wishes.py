"""Children whom a teacher keeps apart or together until the term ends, never why."""

from collections.abc import Collection
from datetime import date, datetime
from uuid import UUID

from django.db import transaction

from accounts.scope import Scope
from accounts.tables import Cells, Column
from classes.fact_files import Loaded, read_facts
from classes.models import Term, Wish
from classes.models.children import APART, TOGETHER, WISH_KINDS
from classes.named import Named
from classes.students import visible

COLUMNS = (
    Column("a", also=("student", "child"), required=True),
    Column("b", also=("other", "with"), required=True),
    Column("kind", also=("wish",), required=True),
    Column("from", also=("from_date",), required=True),
    Column("until"),
)

Pairs = frozenset[tuple[UUID, UUID]]


def load(scope: Scope, *, content: bytes, at: datetime, dry_run: bool = False) -> Loaded:
    """This will load a table of wishes; without `until` they hold to the end of their term.

    A column for reasons is refused. Raises `BadDocument`, `NotAllowed`.
    """
    scope.need_teacher("loading wishes")
    with transaction.atomic():
        named = Named(scope, on=at.date())
        terms = list(Term.objects.filter(school_id=scope.school_id))
        stored = list(Wish.objects.filter(school_id=scope.school_id))
        among = list(stored)

        def parse(cells: Cells) -> Wish:
            a, b = named.student(cells, "a"), named.student(cells, "b")
            if a and a == b:
                cells.fault("b", "the same child as in a")
            elif a and b:
                a, b = sorted((a, b))
            start = named.day(cells, "from", required=True)
            return Wish(
                school_id=scope.school_id,
                a_id=a,
                b_id=b,
                kind=cells.choice("kind", WISH_KINDS, required=True),
                from_date=start,
                until=_until(cells, start, named.day(cells, "until"), terms),
            )

        def check(cells: Cells, row: Wish, known: Wish | None) -> None:
            for other in among:
                if _against(row, other):
                    cells.fault(
                        "kind",
                        f"kept {other.kind} from {other.from_date} until {other.until} already",
                    )
            among.append(row)

        facts = read_facts(
            content=content,
            columns=COLUMNS,
            stored=stored,
            key=("a_id", "b_id", "kind", "from_date"),
            says=("until",),
            parse=parse,
            check=check,
            never_why=True,
        )
        if not dry_run:
            facts.save()
    return facts.counts()


def _until(cells, start, until, terms):
    if start is None:
        return until
    ends = [term.last_on for term in terms if term.first_on <= start <= term.last_on]
    if not ends:
        cells.fault("from", f"{start} lies in no term")
        return until
    latest = min(ends)
    if until is None:
        return latest
    if until < start:
        cells.fault("until", f"{until} is before {start}")
    elif until > latest:
        cells.fault("until", f"{until} is after the term's end, {latest}")
    return until


def _against(row, other):
    """Whether two wishes ask for opposite things at the same time."""
    return (
        (row.a_id, row.b_id) == (other.a_id, other.b_id)
        and row.kind != other.kind
        and row.from_date <= other.until
        and other.from_date <= row.until
    )


def current(scope: Scope, *, student_ids: Collection[UUID], on: date) -> tuple[Pairs, Pairs]:
    """This will find who is kept apart and who together on a date: two sets of pairs (a, b), a < b.

    The first and the last day count; both children must be among those asked for.
    """
    ids = visible(scope, student_ids=student_ids)
    rows = Wish.objects.filter(
        school_id=scope.school_id, a_id__in=ids, b_id__in=ids, from_date__lte=on, until__gte=on
    ).values_list("kind", "a_id", "b_id")
    pairs = {
        kind: frozenset((a, b) for known, a, b in rows if known == kind) for kind in WISH_KINDS
    }
    return pairs[APART], pairs[TOGETHER]
