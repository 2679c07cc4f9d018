"""Falls and near misses: each closes its skill for that child until a teacher has looked."""

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, fields, replace
from datetime import date, datetime, timedelta
from itertools import count
from uuid import UUID, uuid5

from django.db import transaction
from django.db.models import Q

from accounts.events import record
from accounts.faults import FARTHEST_YEARS
from accounts.models import ASSISTANT, Event
from accounts.scope import Scope, Unknown, days_now
from accounts.tables import Cells, Column
from classes import batches
from classes.batches import Answer, Refusal
from classes.enrolments import days_there
from classes.fact_files import Loaded, one_writer, read_facts
from classes.models import Fall
from classes.models.children import FALL_KINDS, FALL_PHASES
from classes.named import Named, Taught
from classes.students import directory, visible
from curriculum.editions import EditionInUse
from curriculum.models import ROLES, Skill

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
KINDS, PHASES, CAN_FALL_AS = FALL_KINDS, FALL_PHASES, ROLES
A_DAY = timedelta(days=1)


@dataclass(frozen=True)
class FallRow:
    """Somebody fell, or nearly, as a phone froze it. `class_id` is where it was seen."""

    id: UUID
    student_id: UUID
    skill_id: UUID
    role: str
    kind: str
    phase: str
    on: date
    class_id: UUID | None = field(compare=False)  # not kept with a fall
    try_id: UUID | None = None
    group: UUID | None = None
    done: str = ""


@dataclass(frozen=True)
class FallView:
    """A fall or near miss of a child in sight; open until a teacher has looked at it.

    `number` tells apart what happened to her in one skill and role on one day.
    """

    id: UUID
    student_id: UUID
    name: str
    skill_id: UUID
    skill_key: str
    role: str
    kind: str
    phase: str
    on: date
    number: int
    try_id: UUID | None
    group: UUID | None
    done: str
    looked_at_on: date | None
    looked_at_by: UUID | None


def load(scope: Scope, *, content: bytes, at: datetime, dry_run: bool = False) -> Loaded:
    """This will load a table of falls and near misses.

    A row whose `looked_at_on` is filled opens the skill again; an empty one never closes what a
    teacher has looked at, and no row changes what happened once she has: it may be meant as a
    second fall. An assistant may enter falls, not that somebody has looked. Raises `BadDocument`.
    """
    with transaction.atomic():
        one_writer(scope)
        named = Named(scope, on=max(days_now(scope, at=at)))
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


def store(scope: Scope, *, rows: Sequence[FallRow], at: datetime) -> tuple[Answer, ...]:
    """This will take falls from a phone, at most 500, each answered by itself; an assistant may.

    Refused are `id_reused`, `erased`, `unknown` (child, skill or class), `invalid` (a day that is
    still to come, or far away) and, where she has lost the studio, `too_late`.
    """
    with transaction.atomic():
        one_writer(scope)
        said_as = {_our_own(scope, row.id): row.id for row in rows}
        known = Fall.objects.filter(school_id=scope.school_id, id__in={*said_as, *said_as.values()})
        stands = {said_as.get(row.id, row.id): row for row in known}
        stored = {
            id_: replace(FallRow(class_id=None, **_sent(row)), id=id_)
            for id_, row in stands.items()
        }
        skill_ids = {row.skill_id for row in rows}
        skills = set(
            Skill.objects.filter(school_id=scope.school_id, id__in=skill_ids).values_list(
                "id", flat=True
            )
        )
        sight = batches.Sight(scope, at=at, student_ids={row.student_id for row in rows})

        def refuse(row: FallRow) -> Refusal | None:
            if row.class_id not in sight.classes:
                return Refusal(batches.UNKNOWN, "/class")
            if row.skill_id not in skills:
                return Refusal(batches.UNKNOWN, "/skill_id")
            ago = at.year - row.on.year
            if row.on > at.date() + A_DAY or ago > FARTHEST_YEARS:
                return Refusal(batches.INVALID, "/on")
            return sight.refuse(class_id=row.class_id, on=row.on, student_id=row.student_id)

        corrected = _corrected(scope, [row.id for row in stands.values()])
        changed = {id_ for id_, row in stands.items() if row.id in corrected}
        answers, new = batches.judge(rows, stored=stored, refuse=refuse, changed=changed)
        for row in _insert(scope, new):
            record(scope, what="enter_fall", at=at, about=row.student_id, fall=str(row.id))
    return answers


def _our_own(scope, id_):
    """The id under which a fall is kept whose own id another school has."""
    return uuid5(scope.school_id, str(id_))


def _corrected(scope, fall_ids):
    """Which of these a file has corrected since they came."""
    rows = Event.objects.filter(
        school_id=scope.school_id,
        what="change_fall",
        details__fall__in=[str(id_) for id_ in fall_ids],
    )
    return {UUID(fall) for fall in rows.values_list("details__fall", flat=True)}


def _insert(scope, new):
    """Store the rows, each with the next number of its day: as they stand now."""
    taken = defaultdict(int)
    for row in Fall.objects.filter(
        school_id=scope.school_id, student_id__in={row.student_id for row in new}
    ):
        day = _values(row, DAY)
        taken[day] = max(taken[day], row.number)
    rows = []
    for row in new:
        taken[_values(row, DAY)] += 1
        number = taken[_values(row, DAY)]
        rows.append(Fall(school_id=scope.school_id, number=number, **_sent(row)))
    Fall.objects.bulk_create(rows, ignore_conflicts=True)
    ours = Fall.objects.filter(school_id=scope.school_id, id__in={row.id for row in rows})
    there = set(ours.values_list("id", flat=True))
    elsewhere = [row for row in rows if row.id not in there]
    for row in elsewhere:
        row.id = _our_own(scope, row.id)
    Fall.objects.bulk_create(elsewhere)
    return rows


def _sent(row):
    """What a phone says of a fall and what is kept of it."""
    return {one.name: getattr(row, one.name) for one in fields(FallRow) if one.compare}


def entered(
    scope: Scope, *, student_id: UUID | None = None, open_only: bool = False
) -> tuple[FallView, ...]:
    """This will list the falls of children in sight, or of one of them, in order of their days.

    Raises `Unknown` for a child who cannot be seen.
    """
    names = directory(scope).names
    if student_id is not None and student_id not in names:
        raise Unknown("no such child")
    rows = Fall.objects.filter(
        school_id=scope.school_id, student_id__in=names if student_id is None else [student_id]
    ).select_related("skill")
    if open_only:
        rows = rows.filter(looked_at_on__isnull=True)
    return tuple(
        _view(row, names[row.student_id]) for row in sorted(rows, key=lambda row: (row.on, row.id))
    )


def _view(row, name):
    return FallView(
        **_sent(row),
        name=name,
        skill_key=row.skill.key,
        number=row.number,
        looked_at_on=row.looked_at_on,
        looked_at_by=row.looked_at_by_id,
    )


def look(scope: Scope, *, fall_id: UUID, at: datetime) -> FallView:
    """This will say that a teacher has looked at a fall, today where the child dances: the skill
    is open to her again. What was looked at already stays as it is.

    Raises `Unknown`, `NotAllowed`.
    """
    with transaction.atomic():
        one_writer(scope)  # a file that is being loaded would else close the skill again
        names = directory(scope).names
        row = (
            Fall.objects.select_related("skill")
            .filter(school_id=scope.school_id, id=fall_id, student_id__in=names)
            .first()
        )
        if row is None:
            raise Unknown("no such fall")
        scope.need_teacher("to have looked at a fall")
        if row.looked_at_on is None:
            # The earliest day among her studios: a later one would keep the fall open tonight.
            days = days_there(scope, student_id=row.student_id, at=at)
            row.looked_at_on = max(row.on, min(days))
            row.looked_at_by_id = scope.member_id
            row.save(update_fields=["looked_at_on", "looked_at_by"])
            record(scope, what="look_at_fall", at=at, about=row.student_id, fall=str(row.id))
    return _view(row, names[row.student_id])


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
