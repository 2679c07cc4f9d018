"""A teacher's yes that this base may take this flyer."""

from collections.abc import Collection, Mapping, Sequence
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db import transaction
from django.db.models import Q

from accounts.events import record
from accounts.policy import policy
from accounts.scope import Scope
from accounts.tables import Cells, Column
from classes.classes import ClassView
from classes.fact_files import Lines, Loaded, one_writer
from classes.given import Given
from classes.models import PairCheck
from classes.named import Named
from classes.students import visible

COLUMNS = (
    Column("base", required=True),
    Column("flyer", required=True),
    Column("given_on", also=("date",), required=True),
    Column("tonight"),
)


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
