"""Tries from a file: a term of history, or corrections of what was loaded or logged before.

What a row leaves open (time, who logged it, the label of the physical try) is taken from what
stands, so that the same file says the same whenever and by whomever it is loaded.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from uuid import UUID

from django.db import transaction

from accounts.faults import BadDocument, Fault
from accounts.scope import Scope
from accounts.tables import Cells, match, read_grid
from classes import attempts, lessons, replay
from classes.attempts import AttemptRow
from classes.classes import ClassView
from classes.fact_files import Loaded
from classes.history_rows import COLUMNS, Reader, Said
from classes.students import visible


def load(
    scope: Scope, *, content: bytes, at: datetime, klass: ClassView, dry_run: bool = False
) -> Loaded:
    """This will load tries of a class; an assistant may. Children of another class of the studio
    may be among them.

    A row that stands already is left alone, a higher `revision` corrects, the outcome `removed`
    takes a try back. Beliefs of the children in sight are refreshed. Raises `BadDocument`.
    """
    table = match(read_grid(content), COLUMNS)
    faults: list[Fault] = []
    with transaction.atomic():
        reader = Reader(scope, klass=klass, at=at)
        said = [one for line in table.rows if (one := reader.read(Cells(line, faults)))]
        settled = _settle(scope, said)
        if faults:
            raise BadDocument(sorted(faults, key=_row_number))
        if settled.rows and not dry_run:
            for on in sorted({row.local_date for row in settled.rows}):
                lessons.ensure(scope, klass=klass, on=on)
            add(scope, rows=settled.rows, at=at, places=settled.places)
    if settled.rows and not dry_run:
        replay.refresh(scope, student_ids=settled.students)
    return Loaded(table.say_mapping(), settled.new, settled.changed, settled.standing)


def add(scope: Scope, *, rows: Sequence[AttemptRow], at: datetime, places: Mapping[UUID, str]):
    """This will store rows that were checked, whole or not at all. Raises `BadDocument`.

    `places` says where in the file each row stands.
    """
    answers = attempts.store(scope, rows=rows, received_at=at, dated=True)
    faults = [
        Fault(places[answer.id], "was changed by somebody else just now: load the file again")
        for answer in answers
        if answer.status == attempts.REFUSED
    ]
    if faults:
        raise BadDocument(faults)


def _row_number(fault):
    return int(re.match(r"row (\d+)", fault.place)[1])


@dataclass(frozen=True)
class _Settled:
    rows: tuple[AttemptRow, ...]
    places: dict[UUID, str]
    students: frozenset[UUID]
    new: int
    changed: int
    standing: int


def _settle(scope: Scope, said: Iterable[Said]) -> _Settled:
    """Set the rows beside what stands; faults are noted on their cells."""
    said = sorted(said, key=lambda one: (one.row.revision, one.cells.row.number))
    stored = attempts.revisions(
        scope,
        attempts={id_ for one in said for id_ in (one.row.attempt, one.next_alike) if id_},
    )
    said_of = {(one.row.attempt, one.row.revision) for one in said}
    known_at_all = stored.keys() | {attempt for attempt, _ in said_of}
    seen = visible(scope, student_ids={row.student_id for rows in stored.values() for row in rows})
    in_file: dict[tuple[UUID, int], int] = {}
    earlier: dict[UUID, AttemptRow] = {}
    rows, places, students = [], {}, set()
    new = changed = standing = 0
    for one in said:
        row, number = one.row, one.cells.row.number
        known = stored.get(row.attempt, ())
        students |= {row.student_id, *(other.student_id for other in known)}
        if in_file.setdefault((row.attempt, row.revision), number) != number:
            first = in_file[row.attempt, row.revision]
            one.cells.fault("attempt", f"the same try and revision as row {first}")
            continue
        if any(other.student_id not in seen for other in known):
            one.cells.fault("attempt", "names a try of a child who is not in your classes")
            continue
        if (
            row.revision > 1
            and one.next_alike in known_at_all
            and (one.next_alike, row.revision) not in said_of
        ):
            one.cells.fault(
                "revision",
                f"{row.revision} of which of several tries alike? Repeat all of them in their"
                f" order with revision {row.revision}",
            )
            continue
        same = [other for other in known if other.revision == row.revision]
        below = [other for other in known if other.revision < row.revision]
        before = earlier.get(row.attempt) or (below[-1] if below else None)
        row = _filled(one, same[-1] if same else None, before)
        earlier[row.attempt] = row
        if same:
            if attempts.content(row) == attempts.content(same[-1]):
                standing += 1
                continue
            one.cells.fault(
                "revision",
                f"loaded before with other content: give it revision {known[-1].revision + 1}",
            )
        elif row.revision > 1 and before is None:
            one.cells.fault(
                "revision",
                f"{row.revision} of a try that was never loaded: date, time, student, skill and"
                " role, or else its label, must be as they were",
            )
        else:
            rows.append(row)
            places[row.id] = f"row {number}"
            new, changed = new + (before is None), changed + (before is not None)
    return _Settled(tuple(rows), places, frozenset(students), new, changed, standing)


def _filled(one: Said, same: AttemptRow | None, before: AttemptRow | None) -> AttemptRow:
    """The row with what it leaves open taken from itself as stored, or from its last revision."""
    row = one.row
    if same is not None:
        open_ = set(one.leaves)
        if row.measure != same.measure:
            open_.discard("outcome")
        if row.local_date != same.local_date:
            open_.discard("happened_at")
        return replace(row, id=same.id, **{name: getattr(same, name) for name in open_})
    if before is not None:
        open_ = one.leaves & {"try_id"}
        if "happened_at" in one.leaves and row.local_date == before.local_date:
            open_ |= {"happened_at"}
        return replace(row, **{name: getattr(before, name) for name in open_})
    return row
