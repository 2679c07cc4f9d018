"""Several questions in one statement: what is known about the rows of a batch.

Each part of the statement gives the same columns, the first of them the name of what it found.
"""

import json
import re
from collections import defaultdict
from collections.abc import Collection, Sequence
from datetime import UTC, date, datetime
from typing import Any, NamedTuple
from uuid import UUID

from django.db import connection
from django.db.models import Expression, UUIDField

from accounts.scope import Scope

FOR_SQLITE = (
    (re.compile(r"= ANY\(%\((\w+)\)s\)"), r"IN (SELECT value FROM json_each(%(\1)s))"),
    (re.compile(r"json_array_elements\((.+?)\) AS r\(value\)"), r"json_each(\1) AS r"),
    (re.compile(r"CAST\((r\.value ->> \d+) AS [a-z ]+\)"), r"\1"),
    (re.compile(r"FOR NO KEY UPDATE"), ""),  # it has one writer at a time
)


class Found(NamedTuple):
    """One row of an answer; a part of the statement fills what it has."""

    a: UUID | None
    b: UUID | None
    c: UUID | None
    day: date | None
    until: date | None
    at: datetime | None
    text: str | None
    number: int | None


class Among(Expression):
    """Ids, at least one, as the right side of `__in`, however many they are."""

    def __init__(self, ids: Collection[UUID]) -> None:
        super().__init__(output_field=UUIDField())
        self._ids = sorted(ids)

    def as_sql(self, compiler, connection):
        return ", ".join(["%s"] * len(self._ids)), self._ids

    def as_sqlite(self, compiler, connection):
        return "SELECT value FROM json_each(%s)", [_as_text(self._ids)]


def run(
    scope: Scope,
    *,
    statement: str,
    **asked: UUID | date | Collection[UUID] | Sequence[Sequence[Any]],
) -> list[tuple]:
    """This will run a statement that is written for PostgreSQL; its rows as the database has them.

    `%(school)s` is the school of the scope. Where a column is one of many ids it says
    `= ANY(%(ids)s)`. Rows of values are read from `json_array_elements(%(rows)s) AS r(value)`, with
    a CAST for each that is no text. On SQLite both go in as one JSON text, whatever their number.
    """
    asked["school"] = scope.school_id
    if connection.vendor == "sqlite":
        for pattern, ours in FOR_SQLITE:
            statement = pattern.sub(ours, statement)
        asked = {name: _as_text(value) for name, value in asked.items()}
    else:
        asked = {
            name: _as_text(value)
            if isinstance(value, Sequence)
            else value
            if isinstance(value, UUID | date)
            else sorted(value)
            for name, value in asked.items()
        }
    with connection.cursor() as cursor:
        cursor.execute(statement, asked)
        return cursor.fetchall() if cursor.description else []


def gather(
    scope: Scope, *, statement: str, **asked: UUID | date | Collection[UUID]
) -> dict[str, list[Found]]:
    """This will run one statement whose parts are joined by UNION ALL; what each part found."""
    sqlite = connection.vendor == "sqlite"
    found: dict[str, list[Found]] = defaultdict(list)
    for kind, *values in run(scope, statement=statement, **asked):
        found[kind].append(Found(*(_from_sqlite(*values) if sqlite else values)))
    return found


def _as_text(value):
    """A value as SQLite stores it, several as JSON."""
    if isinstance(value, UUID | date):
        return _plain(value)
    return json.dumps([*value], default=_plain)


def _plain(value):
    if isinstance(value, UUID):
        return value.hex
    if isinstance(value, datetime):
        return str(value.astimezone(UTC).replace(tzinfo=None))
    return value.isoformat()


def _from_sqlite(a, b, c, day, until, at, text, number):
    ids = (None if id_ is None else UUID(id_) for id_ in (a, b, c))
    days = (None if on is None else date.fromisoformat(on) for on in (day, until))
    moment = at and datetime.fromisoformat(at).replace(tzinfo=UTC)
    return (*ids, *days, moment, text, number)
