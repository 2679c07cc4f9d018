"""Children whom a teacher keeps apart or together until the term ends, never why."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db import transaction
from django.db.models import Q

from accounts.scope import Scope, Unknown
from accounts.tables import Cells, Column
from classes.fact_files import Lines, Loaded, one_writer
from classes.given import Given, need_today
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


@dataclass(frozen=True)
class Listed:
    """One wish about two children: `a` is the lower id; the last day is `until`."""

    id: UUID
    a: UUID
    b: UUID
    kind: str
    from_date: date
    until: date


def load(scope: Scope, *, content: bytes, at: datetime, dry_run: bool = False) -> Loaded:
    """This will load a table of wishes; without `until` they hold to the end of their term.

    A column for reasons is refused. Raises `BadDocument`, `NotAllowed`.
    """
    scope.need_teacher("loading wishes")
    with transaction.atomic():
        lines = Lines.of_file(content, COLUMNS, never_why=True)
        facts = _enter(scope, lines, Named(scope, on=at.date()), dry_run=dry_run)
    return facts.counts()


def wish(scope: Scope, *, rows: Sequence[Mapping[str, object]], at: datetime) -> tuple[UUID, ...]:
    """This will enter wishes, all or none: the ids in the order of the rows.

    A row holds a, b, kind, from and, or None, until; the rules are those of a file.
    Raises `NotAllowed`, and `BadDocument` with pointers such as `/rows/3/a`.
    """
    scope.need_teacher("keeping children apart or together")
    with transaction.atomic():
        facts = _enter(scope, Lines.of_form(rows), Given(scope, rows=rows, on=at.date()))
    return tuple(row.id for row in facts.rows)


def move_end(scope: Scope, *, wish_id: UUID, until: date, at: datetime) -> None:
    """This will end a wish on another day, the last on which it holds.

    Raises `NotAllowed`, `Unknown`, and `BadDocument` with the pointer `/until`.
    """
    scope.need_teacher("keeping children apart or together")
    with transaction.atomic():
        row = _find(scope, wish_id)
        said = {"a": row.a_id, "b": row.b_id, "kind": row.kind}
        form = [said | {"from": row.from_date, "until": until}]
        _enter(scope, Lines.of_form(form, place=""), Given(scope, rows=form, on=at.date()))


def take_back(scope: Scope, *, wish_id: UUID, at: datetime) -> None:
    """This will take back a wish that was entered by mistake, on its first day or before.

    Raises `NotAllowed`, `Unknown`, and `Conflict` for an earlier one: end it instead.
    """
    scope.need_teacher("keeping children apart or together")
    with transaction.atomic():
        row = _find(scope, wish_id)
        need_today(scope, on=row.from_date, at=at)
        row.delete()


def listed(scope: Scope, *, student_id: UUID | None = None) -> tuple[Listed, ...]:
    """This will list the wishes about two children in sight by their first day, ended ones too.

    With `student_id` those about her. Raises `NotAllowed`.
    """
    scope.need_teacher("reading who is kept apart or together")
    rows = Wish.objects.filter(school_id=scope.school_id)
    if student_id:
        rows = rows.filter(Q(a_id=student_id) | Q(b_id=student_id))
    rows = list(rows.order_by("from_date", "id"))
    seen = visible(scope, student_ids={id_ for row in rows for id_ in (row.a_id, row.b_id)})
    return tuple(
        Listed(
            id=row.id,
            a=row.a_id,
            b=row.b_id,
            kind=row.kind,
            from_date=row.from_date,
            until=row.until,
        )
        for row in rows
        if {row.a_id, row.b_id} <= seen
    )


def _find(scope, wish_id):
    """The row to change. Raises `Unknown`."""
    one_writer(scope)  # what somebody takes back meanwhile would else be entered again
    row = Wish.objects.filter(school_id=scope.school_id, id=wish_id).first()
    if row is None or len(visible(scope, student_ids=[row.a_id, row.b_id])) < 2:
        raise Unknown("no such wish")
    return row


def _enter(scope, lines, named, *, dry_run=False):
    one_writer(scope)
    terms = list(Term.objects.filter(school_id=scope.school_id))
    stored = list(named.near(Wish.objects.filter(school_id=scope.school_id), "a", "b"))
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

    facts = lines.beside(
        stored=stored,
        key=("a_id", "b_id", "kind", "from_date"),
        says=("until",),
        parse=parse,
        check=check,
    )
    if not dry_run:
        facts.save()
    return facts


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
