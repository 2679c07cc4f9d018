"""What a class could already do: a grid of words, students down and skills across.

A word becomes the fewest backdated tries of weight `summary` after which the model, with its
default parameters, takes the state said for the most likely one, and her chance of being there or
above stays at .80 for four weeks; of as many, those that say it most clearly. More would make a
judgement into a series of measurements. They are of one day, since nobody spoke of more: a word
alone makes no child steady, which asks for two dates, and no try without a spot is advised on it.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from uuid import UUID, uuid5

from django.db import transaction

from accounts.faults import FARTHEST_YEARS, BadDocument, Fault
from accounts.scope import Scope, Unknown
from accounts.tables import Cells, Column, match, read_grid
from classes import attempts, history, lessons, replay
from classes.attempts import AttemptRow
from classes.classes import ClassView
from classes.fact_files import Loaded
from classes.history_rows import HANDS_OFF, Known, own_roles
from curriculum.cards import CardView
from curriculum.editions import EditionInUse
from engine.readiness.register import REMOVED

STUDENT = Column("student", also=("child",), required=True)
OF_HISTORY = {"date", "on", "skill", "outcome", "measure", "measured"}  # no header of a grid
BETWEEN = re.compile(r"\s*[·:]\s*")  # skill and role in a header
NOTHING: tuple["Seen", ...] = ()


@dataclass(frozen=True)
class Seen:
    """One try that a word stands for: the help given and what came of it."""

    spot: str
    outcome: str


WORDS: Mapping[str, tuple[Seen, ...]] = {
    "not_yet": (Seen("hands_on", "not_there"),),
    "hands_on": (Seen("hands_on", "clean"), Seen("hands_near", "shaky")),
    "hands_near": (Seen("hands_near", "clean"), Seen(HANDS_OFF, "shaky")),
    "no_spot": (Seen(HANDS_OFF, "clean"),) * 4,
    REMOVED: NOTHING,
}
TICK = (Seen(HANDS_OFF, "clean"),)
HABIT_WORDS: Mapping[str, tuple[Seen, ...]] = {
    "yes": TICK,
    "x": TICK,
    "no_spot": TICK,
    "no": NOTHING,
    "not_yet": NOTHING,
    REMOVED: NOTHING,
}
MOST_TRIES = max(map(len, WORDS.values()))


@dataclass(frozen=True)
class Said:
    """One cell that says something of a child."""

    place: str
    student_id: UUID
    card: CardView
    role: str
    tries: tuple[Seen, ...]


def is_grid(content: bytes) -> bool:
    """Whether a table is such a grid: it names children, and no date, skill or outcome.

    Raises `BadDocument` for what is no table.
    """
    headers = {header.casefold() for header in read_grid(content)[0]}
    return bool({STUDENT.name, *STUDENT.also} & headers) and not OF_HISTORY & headers


def load(
    scope: Scope,
    *,
    content: bytes,
    at: datetime,
    klass: ClassView,
    on: date,
    dry_run: bool = False,
) -> Loaded:
    """This will load what children could do on a date; an assistant may.

    A cell says one thing: loaded again with another word or date it says that instead, an empty
    one leaves what stands. The counts are of cells. Raises `BadDocument`.
    """
    faults: list[Fault] = []
    if lessons.moment(on, time.min, klass.zone) > at:
        raise BadDocument([Fault("on", f"{on} is still to come")])
    if at.year - on.year > FARTHEST_YEARS:
        raise BadDocument([Fault("on", f"{on} is more than {FARTHEST_YEARS} years from now")])
    with transaction.atomic():
        grid = _Grid(scope, content=content, klass=klass, on=on)
        said = grid.read(faults)
        if faults:
            raise BadDocument(faults)
        rows, places, counts = _changes(scope, said, klass=klass, edition=grid.edition, on=on)
        if rows and not dry_run:
            history.add(scope, rows=rows, at=at, places=places)
    if rows and not dry_run:
        replay.refresh(scope, student_ids={row.student_id for row in rows})
    return Loaded(grid.mapping, *counts)


class _Grid:
    """The table with its columns understood. Raises `BadDocument`."""

    def __init__(self, scope: Scope, *, content: bytes, klass: ClassView, on: date) -> None:
        self._known = Known(scope, klass=klass)
        try:
            self.edition: EditionInUse = self._known.edition(on)
        except Unknown as error:
            raise BadDocument([Fault("on", str(error))]) from None
        cells = read_grid(content)
        faults: list[Fault] = []
        self._columns: dict[str, tuple[CardView, str]] = {}
        for header in cells[0]:
            if header and header.casefold() not in (STUDENT.name, *STUDENT.also):
                self._add(header, faults)
        try:
            self._table = match(cells, [STUDENT, *map(Column, self._columns)])
        except BadDocument as error:
            faults += error.faults
        if faults:
            raise BadDocument(faults)
        taken = [f"{text} = {card.key} · {role}" for text, (card, role) in self._columns.items()]
        self.mapping = ", ".join([STUDENT.name, *taken])

    def _add(self, header, faults):
        def fault(message):
            faults.append(Fault(f"row 1, column “{header}”", message))

        try:
            card, role = self._skill(header)
        except Unknown as error:
            fault(str(error))
            return
        roles = own_roles(card)
        if role is None and len(roles) > 1:
            fault("write which role: " + " or ".join(f"{card.name} · {name}" for name in roles))
        elif role is not None and role not in roles:
            fault(f"{card.name} has no role {role}; it has {', '.join(roles)}")
        elif (card, role or roles[0]) in self._columns.values():
            fault(f"a second column for {card.name} · {role or roles[0]}")
        else:
            self._columns[header] = card, role or roles[0]

    def _skill(self, header):
        """The card and the role, if any, that a header names."""
        *skill, role = BETWEEN.split(header)
        try:
            return self.edition.cards[self.edition.find(header)], None
        except Unknown:
            if not skill:
                raise
        found = self.edition.find(header[: header.rindex(role)].rstrip(" ·:"))
        return self.edition.cards[found], role.casefold()

    def read(self, faults: list[Fault]) -> list[Said]:
        said, rows = [], {}
        for line in self._table.rows:
            cells = Cells(line, faults)
            student_id = self._known.student(cells)
            if student_id and rows.setdefault(student_id, line.number) != line.number:
                cells.fault("student", f"the same child as in row {rows[student_id]}")
            for column, (card, role) in self._columns.items():
                words = HABIT_WORDS if card.skill.habit else WORDS
                word = cells.choice(column, tuple(words))
                if word and student_id:
                    place = f"row {line.number}, column “{column}”"
                    said.append(Said(place, student_id, card, role, words[word]))
        return said


def _changes(scope, said, *, klass, edition, on):
    """The rows that make the log say what the grid says; new, changed and standing cells."""
    stored = attempts.revisions(
        scope,
        attempts={_attempt(scope, one, n) for one in said for n in range(MOST_TRIES)},
    )
    rows: list[AttemptRow] = []
    places: dict[UUID, str] = {}
    new = changed = standing = 0
    for one in said:
        before = len(rows)
        known = False
        for n in range(MOST_TRIES):
            revisions = stored.get(_attempt(scope, one, n), ())
            last = revisions[-1] if revisions else None
            known = known or last is not None
            row = _row(scope, one, n, last, klass=klass, edition=edition, on=on)
            if row is not None:
                rows.append(row)
                places[row.id] = one.place
        if len(rows) == before:
            standing += 1
        elif known:
            changed += 1
        else:
            new += 1
    return rows, places, (new, changed, standing)


def _attempt(scope, one: Said, n: int) -> UUID:
    text = f"seen before {one.student_id} {one.card.key} {one.role} {n}"
    return uuid5(scope.school_id, text)


def _row(scope, one, n, last, *, klass, edition, on) -> AttemptRow | None:
    """The next revision of the n-th try of a cell; None if its last one says it already."""
    attempt = _attempt(scope, one, n)
    revision = last.revision + 1 if last else 1
    if n >= len(one.tries):
        if last is None or last.outcome == REMOVED:
            return None
        return replace(
            last,
            id=uuid5(attempt, str(revision)),
            revision=revision,
            outcome=REMOVED,
            member_id=scope.member_id,
        )
    seen = one.tries[n]
    if last and (last.spot, last.outcome, last.local_date) == (seen.spot, seen.outcome, on):
        return None
    return AttemptRow(
        id=uuid5(attempt, str(revision)),
        attempt=attempt,
        revision=revision,
        student_id=one.student_id,
        skill_id=edition.skill_ids[one.card.key],
        role=one.role,
        spot=seen.spot,
        outcome=seen.outcome,
        measure=None,
        weight="summary",
        try_id=attempt,
        way_in="",
        way_out="",
        surface="",
        lesson_id=None,
        edition_id=edition.id,
        member_id=scope.member_id,
        # At the beginning of the day, before whatever was logged on it; in the order of the word.
        happened_at=lessons.moment(on, time.min, klass.zone) + timedelta(seconds=n),
        clock_offset_ms=0,
        local_date=on,
    )
