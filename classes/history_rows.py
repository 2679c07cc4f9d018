"""Rows of a file of tries: what each says, in the words of the edition in use on its day."""

import re
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import cache
from uuid import UUID, uuid5

from accounts.names import folded
from accounts.scope import Scope, Unknown
from accounts.staff import staff
from accounts.tables import Cells, Column
from classes import lessons
from classes.attempts import AttemptRow
from classes.classes import ClassView
from classes.models import Enrolment, Lesson, Student
from classes.models.lessons import CANCELLED
from classes.students import UnknownStudent, directory
from curriculum import editions
from curriculum.cards import CardView, Way
from curriculum.editions import EditionInUse
from curriculum.models import ROLES, Adoption
from engine.readiness.parameters import OUTCOMES, SPOTS, WEIGHTS
from engine.readiness.register import REMOVED

SPOTTER = "spotter"
HANDS_OFF, NO_SPOT = "none", "no_spot"  # the log's word for it, and what one also writes
MOST_REVISIONS = 1000
MOST_MEASURED = 100_000
LONGEST_NAME, LONGEST_LABEL, LONGEST_SURFACE = 120, 60, 40
UUID_TEXT = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}", re.IGNORECASE)
COLUMNS = (
    Column("date", also=("on",), required=True),
    Column("time"),
    Column("student", also=("child",), required=True),
    Column("skill", required=True),
    Column("role"),
    Column("spot", also=("help",)),
    Column("outcome"),
    Column("measure", also=("measured",)),
    Column("weight"),
    Column("try"),
    Column("attempt"),
    Column("revision"),
    Column("way_in"),
    Column("way_out"),
    Column("surface"),
    Column("by"),
)


@dataclass(frozen=True)
class Said:
    """What one row of the file says. `leaves` are the fields that it leaves open.

    `next_alike` is the attempt that one more row like it would name; None where a label names it.
    """

    cells: Cells
    row: AttemptRow
    leaves: frozenset[str]
    next_alike: UUID | None


class Known:
    """What a file about a class may name, looked up once: children of the studio, its editions."""

    def __init__(self, scope: Scope, *, klass: ClassView) -> None:
        self._klass = klass
        self._directory = directory(scope)
        self._of_studio = set(
            Enrolment.objects.filter(
                school_id=scope.school_id, group_class__studio_id=klass.studio_id
            ).values_list("student_id", flat=True)
        )
        self._from_dates = sorted(
            Adoption.objects.filter(
                school_id=scope.school_id, studio_id=klass.studio_id
            ).values_list("from_date", flat=True)
        )
        self._in_use = cache(
            lambda from_date: editions.in_use(scope, studio_id=klass.studio_id, on=from_date)
        )

    def student(self, cells: Cells) -> UUID | None:
        text = cells.text("student", required=True)
        if text is None:
            return None
        try:
            id_ = self._directory.find(text)
        except UnknownStudent as error:
            cells.fault("student", str(error))
            return None
        if id_ not in self._of_studio:
            cells.fault("student", f"{text} is in no class at {self._klass.studio_name}")
            return None
        return id_

    def edition(self, on: date) -> EditionInUse:
        """The edition in use on a day. Raises `Unknown`."""
        since = [from_date for from_date in self._from_dates if from_date <= on]
        edition = self._in_use(since[-1]) if since else None
        if edition is None:
            raise Unknown(f"no curriculum was in use at {self._klass.studio_name} on {on}")
        return edition


def own_roles(card: CardView) -> tuple[str, ...]:
    """The roles in which one tries a skill: a spotter has none."""
    return tuple(role for role in card.skill.roles if role != SPOTTER)


class Reader:
    """Reads rows of tries; all names are looked up once, and faults are noted on the cells."""

    def __init__(self, scope: Scope, *, klass: ClassView, at: datetime) -> None:
        self._scope, self._klass, self._at = scope, klass, at
        self._known = Known(scope, klass=klass)
        self._children = {
            id_: (joined_on, left_on)
            for id_, joined_on, left_on in Student.objects.filter(
                school_id=scope.school_id
            ).values_list("id", "joined_on", "left_on")
        }
        self._lessons = {
            on: (starts_at, state)
            for on, starts_at, state in Lesson.objects.filter(
                school_id=scope.school_id, group_class_id=klass.id
            ).values_list("on", "starts_at", "state")
        }
        self._staff = cache(
            lambda on: {folded(name): one.id for name, one in staff(scope, on=on).items()}
        )
        self._without_time: dict[date, int] = defaultdict(int)
        self._alike: dict[tuple, int] = defaultdict(int)

    def read(self, cells: Cells) -> Said | None:
        """This will read one row; None if there is something wrong with it."""
        before = len(cells.faults)
        on = self._day(cells)
        clock = self._clock(cells)
        student_id = self._student(cells, on)
        edition = self._edition(cells, on)
        card = self._card(cells, edition)
        role = self._role(cells, card)
        outcome, measure = self._outcome(cells, card)
        spot = self._spot(cells, card, outcome)
        weight = cells.choice("weight", tuple(WEIGHTS)) or "own"
        revision = cells.integer("revision", low=1, high=MOST_REVISIONS) or 1
        label = cells.text("attempt", longest=LONGEST_LABEL)
        go = cells.text("try", longest=LONGEST_LABEL)
        way_in = _way(cells, "way_in", card.ways_in if card else None)
        way_out = _way(cells, "way_out", card.ways_out if card else None)
        surface = cells.text("surface", longest=LONGEST_SURFACE) or ""
        member_id = self._member(cells, on)
        happened_at = self._moment(cells, on, clock) if on else None
        if len(cells.faults) > before:
            return None
        clock_text = clock.isoformat() if clock else ""
        facts = (student_id, card.key, role, on, clock_text)
        attempt, next_alike = self._attempt(label, facts, revision)
        row = AttemptRow(
            id=uuid5(attempt, str(revision)),
            attempt=attempt,
            revision=revision,
            student_id=student_id,
            skill_id=edition.skill_ids[card.key],
            role=role,
            spot=spot,
            outcome=outcome,
            measure=measure,
            weight=weight,
            try_id=uuid5(self._klass.id, f"try {on} {go}") if go else attempt,
            way_in=way_in,
            way_out=way_out,
            surface=surface,
            lesson_id=lessons.lesson_id(self._klass.id, on),
            edition_id=edition.id,
            member_id=member_id,
            happened_at=happened_at,
            clock_offset_ms=0,
            local_date=on,
        )
        leaves = {
            "happened_at": clock is None,
            "try_id": go is None,
            "member_id": not _written(cells, "by"),
            "outcome": not _written(cells, "outcome"),
        }
        open_ = frozenset(name for name, is_open in leaves.items() if is_open)
        return Said(cells, row, open_, next_alike)

    def _attempt(self, label, facts, revision):
        """The attempt that a row names, and the one that a further row like it would name."""
        if label and UUID_TEXT.fullmatch(label):
            return UUID(label), None
        if label:
            return uuid5(self._scope.school_id, f"attempt {label}"), None
        # Rows that say the same are told apart by their order, each revision counted by itself.
        self._alike[facts, revision] += 1
        number, text = self._alike[facts, revision], " ".join(map(str, facts))
        return tuple(uuid5(self._klass.id, f"{text} {n}") for n in (number, number + 1))

    def _day(self, cells):
        on = cells.day("date", required=True)
        if on is None:
            return None
        if self._lessons.get(on, (None, None))[1] == CANCELLED:
            cells.fault("date", f"the lesson on {on} was cancelled")
            return None
        if lessons.moment(on, time.min, self._klass.zone) > self._at:
            cells.fault("date", f"{on} is still to come")
            return None
        return on

    def _clock(self, cells):
        text = cells.text("time")
        if text is None:
            return None
        parts = re.fullmatch(r"(\d{1,2}):(\d{2})(?::(\d{2}))?", text, re.ASCII)
        try:
            return time(int(parts[1]), int(parts[2]), int(parts[3] or 0))
        except (TypeError, ValueError):
            cells.fault("time", f"“{text}” should be a time such as 17:05 or 17:05:30")
            return None

    def _moment(self, cells, on, clock):
        if clock is not None:
            moment = lessons.moment(on, clock, self._klass.zone)
        else:
            starts_at = self._lessons.get(on, (lessons.view(self._klass, on).starts_at,))[0]
            moment = starts_at + timedelta(seconds=self._without_time[on])
            self._without_time[on] += 1
        if moment > self._at:
            when = f"{on} {clock:%H:%M:%S}" if clock else f"the lesson on {on}"
            cells.fault("time" if clock else "date", f"{when} is still to come")
        return moment

    def _student(self, cells, on):
        id_ = self._known.student(cells)
        if id_ is None or on is None:
            return id_
        name = cells.text("student")
        joined_on, left_on = self._children[id_]
        if on < joined_on:
            cells.fault("date", f"{on} is before {name} joined on {joined_on}")
        if left_on and on > left_on:
            cells.fault("date", f"{on} is after {name} left on {left_on}")
        return id_

    def _edition(self, cells, on):
        try:
            return self._known.edition(on) if on else None
        except Unknown as error:
            cells.fault("date", str(error))
            return None

    def _card(self, cells, edition) -> CardView | None:
        text = cells.text("skill", required=True, longest=LONGEST_NAME)
        if text is None or edition is None:
            return None
        try:
            return edition.cards[edition.find(text)]
        except Unknown as error:
            cells.fault("skill", str(error))
            return None

    def _role(self, cells, card):
        role = cells.choice("role", ROLES)
        if card is None or (role is None and _written(cells, "role")):
            return None
        roles = own_roles(card)
        if role is None and len(roles) == 1:
            return roles[0]
        if role is None:
            cells.fault("role", f"missing: {card.name} has {', '.join(roles)}")
        elif role == SPOTTER:
            cells.fault("role", "a spotter has no tries: a teacher's yes says who may help")
        elif role not in roles:
            cells.fault("role", f"{card.name} has no role {role}; it has {', '.join(roles)}")
        return role

    def _outcome(self, cells, card):
        """The outcome, and what was measured; the outcome that is written wins."""
        outcome = cells.choice("outcome", (*OUTCOMES, REMOVED))
        measure = cells.number("measure", low=0, high=MOST_MEASURED)
        if measure is not None and card and card.measure is None:
            cells.fault("measure", f"{card.name} measures nothing: write an outcome")
        elif outcome is None and measure is not None and card:
            outcome = measured(measure, figure=card.measure["figure"])
        elif outcome is None and not _written(cells, "outcome") and not _written(cells, "measure"):
            cells.fault("outcome", "missing")
        return outcome, measure

    def _spot(self, cells, card, outcome):
        spot = cells.choice("spot", (*SPOTS, NO_SPOT))
        if card is None or (spot is None and _written(cells, "spot")):
            return None
        if spot == NO_SPOT:
            spot = HANDS_OFF
        if card.skill.habit and spot not in (None, HANDS_OFF):
            cells.fault("spot", f"{card.name} is a habit: it is never spotted")
        if spot is None and card.spotted and not card.skill.habit and outcome != REMOVED:
            cells.fault("spot", "missing")
        return spot or HANDS_OFF

    def _member(self, cells, on):
        name = cells.text("by", longest=LONGEST_NAME)
        if name is None or on is None:
            return self._scope.member_id
        found = self._staff(on).get(folded(name))
        if found is None:
            cells.fault("by", f"nobody called “{name}” was on the staff on {on}")
        return found


def _written(cells, column):
    return cells.row.texts.get(column, "")


def measured(value: float, *, figure: float) -> str:
    """The outcome of what was measured: at the card's figure clean, from half of it shaky."""
    if value >= figure:
        return "clean"
    return "shaky" if value >= figure / 2 else "not_there"


def _way(cells, column, ways: Sequence[Way] | None) -> str:
    """The key of a way in or out that is named by its key or its name; empty where none is."""
    text = cells.text(column, longest=LONGEST_NAME)
    if text is None or ways is None:
        return ""
    for way in ways:
        if folded(text) in (way.key, folded(way.name)):
            return way.key
    known = ", ".join(way.name for way in ways)
    cells.fault(column, f"no such way “{text}”; the card has {known or 'none'}")
    return ""
