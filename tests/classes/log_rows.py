"""Rows of the log as phones freeze them, for tests."""

from datetime import UTC, datetime, timedelta
from uuid import UUID

from classes import attempts
from classes.attempts import REFUSED, AttemptRow
from tests.classes import fact_school
from tests.classes.fact_school import FactSchool
from tests.classes.log_school import SECOND, THIRD

SKILL, ROLE = "table", "solo"
RECEIVED = datetime(2026, 3, 10, 20, 0, tzinfo=UTC)
STARTS = datetime(2026, 3, 10, 17, 0, tzinfo=UTC)


def build() -> FactSchool:
    """The school of the facts with two lessons in it."""
    school = fact_school.build()
    school.lesson(SECOND)
    school.lesson(THIRD)
    return school


def row(school: FactSchool, name: str = "Amara", number: int = 1, **changes) -> AttemptRow:
    """A try as it is frozen when it is logged; `number` makes its id and its attempt."""
    values = {
        "id": UUID(int=number),
        "attempt": UUID(int=1000 + number),
        "revision": 1,
        "student_id": school.children[name],
        "skill_id": school.skills[SKILL],
        "role": ROLE,
        "spot": "none",
        "outcome": "clean",
        "measure": None,
        "weight": "own",
        "try_id": UUID(int=2000 + number),
        "way_in": "",
        "way_out": "",
        "surface": "",
        "lesson_id": school.lesson_id(THIRD),
        "edition_id": None,
        "member_id": school.teacher.member_id,
        "happened_at": STARTS + timedelta(minutes=number),
        "clock_offset_ms": 0,
        "local_date": THIRD,
    }
    return AttemptRow(**(values | changes))


def store(school, *rows, scope=None, received_at=RECEIVED, **asked):
    """The statuses in the order of the rows; a refusal with its code."""
    answers = attempts.store(scope or school.assistant, rows=rows, received_at=received_at, **asked)
    assert [answer.id for answer in answers] == [row.id for row in rows]
    assert all((answer.code is None) == (answer.status != REFUSED) for answer in answers)
    return [answer.code or answer.status for answer in answers]


def said(school: FactSchool, name: str = "Amara", number: int = 1, **changes) -> dict:
    """A try as a phone writes it."""
    values = {
        "id": UUID(int=number),
        "attempt": UUID(int=1000 + number),
        "revision": 1,
        "student": school.children[name],
        "skill_id": school.skills[SKILL],
        "role": ROLE,
        "spot": "none",
        "outcome": "clean",
        "measure": None,
        "weight": "own",
        "try_id": UUID(int=2000 + number),
        "way_in": "",
        "way_out": "",
        "surface": "",
        "class": school.klass.id,
        "local_date": THIRD.isoformat(),
        "happened_at": (STARTS + timedelta(seconds=number)).isoformat(),
        "clock_offset_ms": 0,
    } | changes
    return {key: str(one) if isinstance(one, UUID) else one for key, one in values.items()}


def receive(school, *rows, scope=None, received_at=RECEIVED, **asked):
    """The answers in the order of the rows."""
    answers = attempts.receive(
        scope or school.assistant, rows=rows, received_at=received_at, **asked
    )
    assert len(answers) == len(rows)
    return answers
