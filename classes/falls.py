"""Falls and near misses: each closes its skill for that child until a teacher has looked."""

from collections.abc import Collection
from datetime import date, datetime
from itertools import count
from uuid import UUID

from django.db import transaction
from django.db.models import Q

from accounts.events import record
from accounts.models import ASSISTANT
from accounts.scope import Scope
from accounts.tables import Cells, Column
from classes.fact_files import Loaded, read_facts
from classes.models import Fall
from classes.models.children import FALL_KINDS, FALL_PHASES
from classes.named import Named, Taught
from classes.students import visible
from curriculum.editions import EditionInUse

COLUMNS = (
    Column("date", also=("on",), required=True),
    Column("student", also=("child",), required=True),
    Column("skill", required=True),
    Column("role", required=True),
    Column("number"),
    Column("kind", required=True),
    Column("phase", also=("when",), required=True),
    Column("done", also=("what was done",)),
    Column("looked_at_on", also=("looked_at",)),
    Column("looked_at_by"),
)
DAY = ("student_id", "skill_id", "role", "on")
HAPPENED = ("kind", "phase", "done")
MOST_OF_A_DAY = 99


def load(scope: Scope, *, content: bytes, at: datetime, dry_run: bool = False) -> Loaded:
    """This will load a table of falls and near misses.

    A row whose `looked_at_on` is filled opens the skill again; an empty one never closes what a
    teacher has looked at, and no row changes what happened once she has: it may be meant as a
    second fall. An assistant may enter falls, not that somebody has looked. Raises `BadDocument`.
    """
    with transaction.atomic():
        named = Named(scope, on=at.date())
        looked = set()
        stored = list(Fall.objects.filter(school_id=scope.school_id))
        named_then: dict[date, Named] = {}

        def taught(cells: Cells, on: date | None) -> Taught | None:
            # A skill renamed since keeps its name in rows about the days before: else nobody
            # could say that a teacher has looked.
            if on:
                if on not in named_then:
                    named_then[on] = Named(scope, on=on)
                skill = named_then[on].skill(Cells(cells.row, []))
                if skill:
                    return skill
            return named.skill(cells)

        def parse(cells: Cells) -> Fall:
            on = named.day(cells, "date", required=True)
            student_id, skill = named.student(cells), taught(cells, on)
            row = Fall(
                school_id=scope.school_id,
                on=on,
                student_id=student_id,
                skill_id=skill and skill.id,
                role=named.role(cells, skill),
                number=cells.integer("number", low=1, high=MOST_OF_A_DAY) or 1,
                kind=cells.choice("kind", FALL_KINDS, required=True),
                phase=cells.choice("phase", FALL_PHASES, required=True),
                done=cells.text("done", longest=80) or "",
                looked_at_on=named.day(cells, "looked_at_on"),
            )
            if row.looked_at_on:
                row.looked_at_by_id = named.teacher(cells, "looked_at_by", row.looked_at_on)
            elif cells.text("looked_at_by"):
                cells.fault("looked_at_on", "missing: somebody looked, but on which day?")
            if row.on and row.looked_at_on and row.looked_at_on < row.on:
                cells.fault("looked_at_on", f"{row.looked_at_on} is before the day, {row.on}")
            return row

        def check(cells: Cells, row: Fall, known: Fall | None) -> None:
            if known and known.looked_at_on and _values(known, HAPPENED) != _values(row, HAPPENED):
                taken = {
                    other.number for other in stored if _values(other, DAY) == _values(row, DAY)
                }
                free = next(number for number in count(1) if number not in taken)
                cells.fault(
                    "number", f"looked at already; another one of that day takes number {free}"
                )
            stood = (known.looked_at_on, known.looked_at_by_id) if known else (None, None)
            if row.looked_at_on is None:
                row.looked_at_on, row.looked_at_by_id = stood
            elif row.looked_at_on == stood[0] and not cells.text("looked_at_by"):
                row.looked_at_by_id = stood[1]
            if (row.looked_at_on, row.looked_at_by_id) == stood:
                return
            looked.add((known or row).id)
            if scope.role == ASSISTANT:
                cells.fault("looked_at_on", "to have looked is a teacher's right")

        facts = read_facts(
            content=content,
            columns=COLUMNS,
            stored=stored,
            key=(*DAY, "number"),
            says=(*HAPPENED, "looked_at_on", "looked_at_by_id"),
            parse=parse,
            check=check,
        )
        if not dry_run:
            facts.save()
            for rows, what in ((facts.new, "enter_fall"), (facts.changed, "change_fall")):
                for row in rows:
                    did = "look_at_fall" if row.id in looked else what
                    record(scope, what=did, at=at, about=row.student_id, fall=str(row.id))
    return facts.counts()


def _values(fall, names):
    return tuple(getattr(fall, name) for name in names)


def open_falls(
    scope: Scope,
    *,
    student_ids: Collection[UUID],
    on: date,
    edition: EditionInUse | None = None,
) -> frozenset[tuple[UUID, str, str]]:
    """This will find the falls up to a date that no teacher had looked at by then.

    Each is (student, skill key, the role she had); it closes that skill for her in every role.
    With an edition it closes the skills that carry that one on there too, as its tries count for
    them.
    """
    ids = visible(scope, student_ids=student_ids)
    rows = Fall.objects.filter(
        Q(looked_at_on__isnull=True) | Q(looked_at_on__gt=on),
        school_id=scope.school_id,
        student_id__in=ids,
        on__lte=on,
    )
    return frozenset(
        (student_id, key, role)
        for student_id, fell_in, role in rows.values_list("student_id", "skill__key", "role")
        for key in {fell_in, *(edition.heirs(fell_in) if edition else ())}
    )
