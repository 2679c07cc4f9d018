"""One row of the log as it was frozen when it was logged, and how a phone writes it."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, fields
from datetime import UTC, date, datetime
from uuid import UUID

from classes.lessons import lesson_id
from curriculum.models import ROLES
from engine.readiness.parameters import OUTCOMES, SPOTS, WEIGHTS
from engine.readiness.register import REMOVED

RESULTS = (*OUTCOMES, REMOVED)
KINDS = tuple(WEIGHTS)
GREATEST_REVISION = 2**31 - 1
LONGEST_TEXT = 60
GREATEST_MEASURE = 1e6
A_CENTURY_MS = 100 * 366 * 24 * 3600 * 1000
EARLIEST_MOMENT, EARLIEST_DAY, LATEST_YEAR = 1970, 2000, 2199  # a clock that was lost says 1970
MOMENT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,6})?(Z|[+-]\d\d:\d\d)", flags=re.ASCII)
DAY = re.compile(r"\d{4}-\d\d-\d\d", flags=re.ASCII)


@dataclass(frozen=True)
class AttemptRow:
    """One revision of one try as it was frozen when it was logged."""

    id: UUID
    attempt: UUID
    revision: int
    student_id: UUID
    skill_id: UUID
    role: str
    spot: str
    outcome: str
    measure: float | None
    weight: str
    try_id: UUID
    way_in: str
    way_out: str
    surface: str
    lesson_id: UUID | None
    edition_id: UUID | None
    member_id: UUID
    happened_at: datetime
    clock_offset_ms: int
    local_date: date

    def __post_init__(self) -> None:
        # One zone, because equality across zones depends on the hour that a clock repeats.
        object.__setattr__(self, "happened_at", self.happened_at.astimezone(UTC))


FROZEN = tuple(field.name for field in fields(AttemptRow))
# The edition is what the school had in use; who sends it again, or from where, says nothing new.
CONTENT = tuple(name for name in FROZEN if name not in ("edition_id", "member_id"))


STORED_COLUMNS = (*FROZEN, "at", "received_at", "sent_by_id")


@dataclass(frozen=True)
class Stored:
    """A row of the log: `at` is when it counts, `received_at` when it first came."""

    row: AttemptRow
    at: datetime
    received_at: datetime
    sent_by_id: UUID


def stored(values: Sequence[object]) -> Stored:
    """A row of the log from the values of `STORED_COLUMNS`."""
    return Stored(AttemptRow(*values[: len(FROZEN)]), *values[len(FROZEN) :])


def content(row: AttemptRow) -> tuple[object, ...]:
    """What the row itself says: two rows with one id must agree in this."""
    return tuple(getattr(row, name) for name in CONTENT)


class BadRow(ValueError):
    """A row that is refused; `pointer` is the first field that is not right, as a JSON pointer."""

    def __init__(self, pointer: str) -> None:
        self.pointer = pointer
        super().__init__(pointer)


def read(said: object, *, member_id: UUID) -> tuple[AttemptRow, UUID | None]:
    """This will read a row as a phone writes it: the row, and the class of its lesson if it has
    one. Nothing is coerced. Raises `BadRow`.

    With a class the row belongs to that class's lesson on `local_date`. Without a date it is that
    of `happened_at` as it is written there.
    """
    if not isinstance(said, dict):
        raise BadRow("")
    for name in said:
        if name not in PHONE:
            raise BadRow("/" + name.replace("~", "~0").replace("/", "~1"))
    values = {}
    for name, (parse, default) in PHONE.items():
        value = said.get(name, default)
        if value is None and default is None:
            values[name] = None
            continue
        try:
            values[name] = parse(value)
        except ValueError:
            raise BadRow(f"/{name}") from None
    class_id, on = values.pop("class"), values.pop("local_date")
    if class_id and not on:
        raise BadRow("/local_date")
    row = AttemptRow(
        student_id=values.pop("student"),
        lesson_id=lesson_id(class_id, on) if class_id else None,
        edition_id=None,
        member_id=member_id,
        local_date=on or values["happened_at"].date(),
        **values,
    )
    return row, class_id


def id_of(said: object) -> UUID | None:
    """The id of a row that a phone wrote, None where it has none that is right."""
    try:
        return _id(said.get("id")) if isinstance(said, dict) else None
    except ValueError:
        return None


def _id(value):
    if not isinstance(value, str):
        raise ValueError
    id_ = UUID(value)
    if str(id_) != value.lower():
        raise ValueError
    return id_


def _one_of(*words):
    def parse(value):
        if not isinstance(value, str) or value not in words:
            raise ValueError
        return value

    return parse


def _whole(low, high):
    def parse(value):
        if type(value) is not int or not low <= value <= high:
            raise ValueError
        return value

    return parse


def _text(value):
    if not isinstance(value, str) or len(value) > LONGEST_TEXT or not value.isprintable():
        raise ValueError
    return value


def _measure(value):
    # Bounds first: an int may be too long for a float.
    if type(value) not in (int, float) or not 0 <= value <= GREATEST_MEASURE:
        raise ValueError
    return float(value)


def _moment(value):
    if not isinstance(value, str) or not MOMENT.fullmatch(value):
        raise ValueError
    moment = datetime.fromisoformat(value)
    if not EARLIEST_MOMENT <= moment.year <= LATEST_YEAR:
        raise ValueError
    return moment


def _day(value):
    if not isinstance(value, str) or not DAY.fullmatch(value):
        raise ValueError
    day = date.fromisoformat(value)
    if not EARLIEST_DAY <= day.year <= LATEST_YEAR:
        raise ValueError
    return day


NEEDED = object()
# Field -> how it is read, and what holds where an older phone does not write it.
PHONE = {
    "id": (_id, NEEDED),
    "attempt": (_id, NEEDED),
    "revision": (_whole(1, GREATEST_REVISION), NEEDED),
    "student": (_id, NEEDED),
    "skill_id": (_id, NEEDED),
    "role": (_one_of(*ROLES), NEEDED),
    "spot": (_one_of(*SPOTS), NEEDED),
    "outcome": (_one_of(*RESULTS), NEEDED),
    "measure": (_measure, None),
    "weight": (_one_of(*KINDS), NEEDED),
    "try_id": (_id, NEEDED),
    "way_in": (_text, ""),
    "way_out": (_text, ""),
    "surface": (_text, ""),
    "class": (_id, None),
    "local_date": (_day, None),
    "happened_at": (_moment, NEEDED),
    "clock_offset_ms": (_whole(-A_CENTURY_MS, A_CENTURY_MS), NEEDED),
}
