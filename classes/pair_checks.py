"""A teacher's yes that this base may take this flyer."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db import transaction
from django.db.models import Q

from accounts.events import record
from accounts.policy import policy
from accounts.scope import Scope, Unknown, days_now
from accounts.tables import Cells, Column
from classes.classes import ClassView
from classes.fact_files import Lines, Loaded, one_writer
from classes.given import Given, need_today
from classes.models import PairCheck
from classes.named import Named
from classes.students import visible

COLUMNS = (
    Column("base", required=True),
    Column("flyer", required=True),
    Column("given_on", also=("date",), required=True),
    Column("tonight"),
)


@dataclass(frozen=True)
class Listed:
    """One pair check; `by` who gave it, `ran_out` why it does not hold today, in words."""

    id: UUID
    base: UUID
    flyer: UUID
    given_on: date
    lesson: UUID | None
    by: str
    ran_out: str | None


def load(
    scope: Scope,
    *,
    content: bytes,
    at: datetime,
    klass: ClassView | None = None,
    dry_run: bool = False,
) -> Loaded:
    """This will load a table of pair checks, given by whoever loads it.

    Where `tonight` says yes the check holds for that evening's lesson of `klass` only.
    Raises `BadDocument`, `NotAllowed`.
    """
    scope.need_teacher("loading pair checks")
    with transaction.atomic():
        lines = Lines.of_file(content, COLUMNS)
        named = Named(scope, on=at.date(), klass=klass)
        return _enter(scope, lines, named, at=at, dry_run=dry_run).counts()


def give(
    scope: Scope,
    *,
    base_id: UUID,
    flyer_id: UUID,
    lesson_id: UUID | None,
    on: date,
    at: datetime,
) -> UUID:
    """This will give one pair check on a day, with a lesson for that evening only; its id.

    What was given already stands. Raises `NotAllowed`, and `BadDocument` with pointers to
    `/base`, `/flyer`, `/lesson` and `/given_on`.
    """
    row = {"base": base_id, "flyer": flyer_id, "lesson": lesson_id, "given_on": on}
    return _give(scope, [row], at=at, place="")[0]


def give_all(
    scope: Scope, *, rows: Sequence[Mapping[str, object]], at: datetime
) -> tuple[UUID, ...]:
    """This will give many pair checks, all or none: the ids in the order of the rows.

    A row holds base, flyer, given_on and, or None, lesson.
    Raises `NotAllowed`, and `BadDocument` with pointers such as `/rows/3/flyer`.
    """
    return _give(scope, rows, at=at, place="/rows/{}")


def _give(scope, rows, *, at, place):
    scope.need_teacher("giving a pair check")
    with transaction.atomic():
        lines = Lines.of_form(rows, place=place)
        facts = _enter(scope, lines, Given(scope, rows=rows, on=at.date()), at=at)
    return tuple(row.id for row in facts.rows)


def _enter(scope, lines, named, *, at, dry_run=False):
    def parse(cells: Cells) -> PairCheck:
        base, flyer = named.student(cells, "base"), named.student(cells, "flyer")
        if base and base == flyer:
            cells.fault("flyer", "the same child as the base")
        given_on = named.day(cells, "given_on", required=True)
        return PairCheck(
            school_id=scope.school_id,
            base_id=base,
            flyer_id=flyer,
            given_on=given_on,
            lesson_id=named.only_evening(cells, "given_on", given_on),
            member_id=scope.member_id,
        )

    one_writer(scope)
    facts = lines.beside(
        stored=named.near(PairCheck.objects.filter(school_id=scope.school_id), "base", "flyer"),
        key=("base_id", "flyer_id", "given_on", "lesson_id"),
        says=(),
        parse=parse,
    )
    if not dry_run:
        named.ensure_evenings(facts.new)
        facts.save()
        for row in facts.new:
            about = {"pair_check": str(row.id), "base": str(row.base_id)}
            record(scope, what="check_pair", at=at, about=row.flyer_id, **about)
    return facts


def listed(scope: Scope, *, at: datetime, student_id: UUID | None = None) -> tuple[Listed, ...]:
    """This will list the pair checks of two children in sight by their day, those that ran out
    too; with `student_id` those in which she is base or flyer.
    """
    rows = PairCheck.objects.select_related("member").filter(school_id=scope.school_id)
    if student_id:
        rows = rows.filter(Q(base_id=student_id) | Q(flyer_id=student_id))
    rows = list(rows.order_by("given_on", "id"))
    seen = visible(scope, student_ids={id_ for row in rows for id_ in (row.base_id, row.flyer_id)})
    today, holds = days_now(scope, at=at), timedelta(days=policy(scope).pair_check_days)
    return tuple(
        Listed(
            id=row.id,
            base=row.base_id,
            flyer=row.flyer_id,
            given_on=row.given_on,
            lesson=row.lesson_id,
            by=row.member.name,
            ran_out=_why_not(row, today, holds),
        )
        for row in rows
        if {row.base_id, row.flyer_id} <= seen
    )


def _why_not(row, today, holds):
    if row.given_on > max(today):
        return f"holds from {row.given_on} on"
    if row.lesson_id:
        over = row.given_on < min(today)
        return f"for the evening of {row.given_on} only" if over else None
    last = row.given_on + holds
    return f"it was to hold until {last}" if last < min(today) else None


def take_back(scope: Scope, *, pair_check_id: UUID, at: datetime) -> None:
    """This will take back a pair check that was given by mistake, on its day or before.

    Raises `NotAllowed`, `Unknown`, and `Conflict` for an earlier one: it was acted on.
    """
    scope.need_teacher("taking back a pair check")
    with transaction.atomic():
        row = PairCheck.objects.filter(school_id=scope.school_id, id=pair_check_id).first()
        if row is None or len(visible(scope, student_ids=[row.base_id, row.flyer_id])) < 2:
            raise Unknown("no such pair check")
        need_today(scope, on=row.given_on, at=at)
        row.delete()
        about = {"pair_check": str(pair_check_id), "base": str(row.base_id)}
        record(scope, what="take_back_pair_check", at=at, about=row.flyer_id, **about)


def current(
    scope: Scope, *, student_ids: Collection[UUID], on: date, lesson_id: UUID
) -> frozenset[tuple[UUID, UUID]]:
    """This will find the pairs (base, flyer) that hold a teacher's yes at a lesson on a date.

    A check holds for the days of the school's policy after the day it was given on, the last of
    them included, or for one evening only.
    """
    ids = visible(scope, student_ids=student_ids)
    oldest = on - timedelta(days=policy(scope).pair_check_days)
    rows = PairCheck.objects.filter(
        Q(lesson_id=lesson_id) | Q(lesson__isnull=True, given_on__gte=oldest, given_on__lte=on),
        school_id=scope.school_id,
        base_id__in=ids,
        flyer_id__in=ids,
    )
    return frozenset(rows.values_list("base_id", "flyer_id"))
