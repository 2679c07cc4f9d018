"""The service: sheets and batches beside bare views, and how a sheet grows with the school.

A real web server of one process on PostgreSQL, asked by one client over one connection; what is
compared is asked turn and turn about in one run. Figures are medians.

    DATABASE_URL=postgres://user@127.0.0.1:5432/name .venv/bin/python -m bench.service
"""

import io
import json
import os
import sys
from contextlib import ExitStack
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from uuid import UUID, uuid4

import psycopg

from bench import worlds

ROUNDS = 25
BATCHES = 60  # of each view, well below what a member may send in a minute
ROWS = 50
TRIES = 100_000
CHILDREN = 2_000
GROWTH = 1.3  # with what a sheet has nothing to do with
BY_HAND = 0.4
COUNTS = Path(__file__).parent.parent / "tests" / "planning" / "statements.json"


@dataclass(frozen=True)
class Lesson:
    """Tonight's lesson of the demo school, and what tries in it speak of."""

    id: UUID
    class_id: UUID
    on: str
    school_id: UUID
    students: tuple[UUID, ...]
    parts: tuple[tuple[UUID, str], ...]  # skill and role
    queries: int

    @property
    def sheet(self) -> str:
        return f"/api/v1/lessons/{self.id}/sheet"


def main() -> None:
    server = os.environ.get("DATABASE_URL", "")
    if not server.startswith("postgres"):
        print("left out: it needs a PostgreSQL server, named by DATABASE_URL")
        return
    name = f"bench_{os.getpid()}"
    with ExitStack() as stack:
        url = stack.enter_context(worlds.database(server, f"{name}_demo"))
        lesson, token = _demo(url)
        made = {}
        for world, change in CHANGES.items():
            url = stack.enter_context(
                worlds.database(server, f"{name}_{world}", like=f"{name}_demo")
            )
            with psycopg.connect(url, autocommit=True) as rows:
                change(rows, lesson)
                rows.execute("ANALYZE")
                made[world] = [
                    rows.execute(f"SELECT count(*) FROM {table}").fetchone()[0]  # noqa: S608
                    for table in ("student", "attempt")
                ]
            made[world].append(stack.enter_context(worlds.served(url, token=token)))
        missed = [*_sheets(lesson, made), *_batches(lesson, made["tonight"][-1])]
    print(f"load of the machine            {os.getloadavg()[0]:8.1f} on {os.cpu_count()} cores")
    for what in missed:
        print(f"MISSED: {what}")
    if missed:
        sys.exit(1)


def _demo(url):
    """Load the demo school; tonight's lesson, and a token of its teacher."""
    os.environ |= worlds.SETTINGS | {"DATABASE_URL": url}
    import django

    django.setup()
    from django.core.management import call_command
    from django.db import connection
    from django.test.utils import CaptureQueriesContext
    from django.utils import timezone

    from accounts.scope import scope_of
    from accounts.staff import staff
    from accounts.tokens import issue
    from classes import classes, lessons
    from demo import files
    from demo.term import TUESDAY_CLASS
    from planning.lesson_sheet import lesson_sheet

    call_command("migrate", verbosity=0)
    call_command("demo", stdout=io.StringIO())
    now = timezone.now()
    today, on = now.date(), files.tonight_for(timezone.localdate())
    scope = scope_of(school=files.SCHOOL, member=files.TEACHER, on=today)
    klass = classes.class_named(scope, name=TUESDAY_CLASS)
    said = {"mats": 3, "spotters": [staff(scope, on=on)[files.ASSISTANT].id]}
    lesson = lessons.change(scope, lesson_id=lessons.view(klass, on).id, said=said, at=now)
    with CaptureQueriesContext(connection) as asked:
        sheet = lesson_sheet(scope, lesson_id=lesson.id, today=today)
    suits = {one.skill for one in (*sheet.suggestions.groups, *sheet.suggestions.alone)}
    token = issue(scope, member_id=scope.member_id, at=now)
    connection.close()
    found = Lesson(
        id=lesson.id,
        class_id=klass.id,
        on=on.isoformat(),
        school_id=scope.school_id,
        students=tuple(child.id for child in sheet.children),
        parts=tuple(
            (card.skill_id, role.role)
            for card in sheet.cards
            for role in card.roles
            if card.skill in suits and role.max
        ),
        queries=len(asked),
    )
    return found, token


# -- schools of other sizes ------------------------------------------------------------------


def _tonight(rows, lesson):
    """The log of tonight's children alone."""
    rows.execute("DELETE FROM attempt WHERE student_id <> ALL(%s)", [list(lesson.students)])


def _long_log(rows, lesson):
    """Tries of other children, over and over; nothing waits for a replay."""
    from classes.attempt_rows import STORED_COLUMNS

    columns = [name for name in STORED_COLUMNS if name not in ("id", "attempt")]
    copied = ", ".join(("school_id", *columns))
    rows.execute(
        f"INSERT INTO attempt (id, attempt, {copied})"  # noqa: S608, names of our own alone
        f" SELECT gen_random_uuid(), gen_random_uuid(), {copied}"
        " FROM attempt, generate_series(1, 100) WHERE student_id <> ALL(%s)"
        " LIMIT %s - (SELECT count(*) FROM attempt)",
        [list(lesson.students), TRIES],
    )


def _many_children(rows, lesson):
    """Children of no class, beside tonight's log alone."""
    _tonight(rows, lesson)
    rows.execute(
        "WITH made AS ("
        " INSERT INTO student (id, school_id, joined_on)"
        " SELECT gen_random_uuid(), %s, %s FROM generate_series(1, %s) RETURNING id, school_id)"
        " INSERT INTO identity (student_id, school_id, given_name, initial, guardian_note)"
        " SELECT id, school_id, 'Made up ' || row_number() OVER (), 'X', '' FROM made",
        [lesson.school_id, lesson.on, CHILDREN],
    )


def _twice_as_many(rows, lesson):
    """As many children of other classes, with their tries, in the class too."""
    rows.execute(
        "INSERT INTO enrolment (id, school_id, class_id, student_id, from_date, trial)"
        " SELECT gen_random_uuid(), school_id, %s, id, joined_on, false"
        " FROM student WHERE id <> ALL(%s) ORDER BY id LIMIT %s",
        [lesson.class_id, list(lesson.students), len(lesson.students)],
    )


CHANGES = {
    "tonight": _tonight,
    "twice": _twice_as_many,
    "log": _long_log,
    "crowd": _many_children,
}


# -- what is measured ------------------------------------------------------------------------


def _sheets(lesson, made):
    """Print what a sheet takes; yields what is missed."""
    servers = {world: server for world, (_, _, server) in made.items()}
    tonight = servers["tonight"]
    _, answer, content = tonight.ask(lesson.sheet)
    _, _, zipped = tonight.ask(lesson.sheet, headers=GZIP)
    _, _, doubled = servers["twice"].ask(lesson.sheet)
    here, twice = (len(json.loads(one)["children"]) for one in (content, doubled))
    known = {"If-None-Match": answer.headers["ETag"]}
    if tonight.ask(lesson.sheet, headers=known)[1].status != 304:
        raise SystemExit("a sheet that nobody changed is told again")
    asked = {
        "bare": lambda: tonight.ask(f"/bench/one-query/{lesson.id}"),
        "unchanged": lambda: tonight.ask(lesson.sheet, headers=known),
        "zipped": lambda: tonight.ask(lesson.sheet, headers=GZIP),
        "sheet": lambda: tonight.ask(lesson.sheet),
    }
    took = worlds.in_turn(asked, rounds=ROUNDS)
    sheet = took["sheet"]
    wanted = json.loads(COUNTS.read_text())["sheet"]
    print(f"sheet of {here} children              {sheet * 1000:8.1f} ms")
    print(f"  statements                     {lesson.queries:8}    at most {wanted} wanted")
    print(f"  bare view with one query       {took['bare'] * 1000:8.1f} ms")
    print(f"  sheet / bare                   {sheet / took['bare']:8.1f}")
    print(f"  304 / 200                      {took['unchanged'] / sheet:8.2f}")
    print(f"  gzip / plain                   {took['zipped'] / sheet:8.2f}")
    print(f"  size, plain and gzip           {len(content):8,} and {len(zipped):,} bytes")
    if lesson.queries > wanted:
        yield f"a sheet asks {lesson.queries} statements, {COUNTS.name} says {wanted}"
    # Apart, so that none of the servers has just been asked for something else.
    took = worlds.in_turn(
        {world: partial(server.ask, lesson.sheet) for world, server in servers.items()},
        rounds=ROUNDS,
    )
    sheet = took["tonight"]
    print(f"  {twice} / {here} children             {took['twice'] / sheet:8.2f}")
    for world, place, what in (("log", 1, "tries in the school"), ("crowd", 0, "children in it")):
        more, less = made[world][place], made["tonight"][place]
        grown = took[world] / sheet
        print(f"  {more:,} / {less:,} {what:20}{grown:8.2f}    at most {GROWTH} wanted")
        if grown > GROWTH:
            yield f"a sheet takes {grown:.2f} times as long with {more:,} {what}"


def _batches(lesson, server):
    """Print what storing rows takes; yields what is missed."""

    def sent(path):
        body = json.dumps({"rows": _rows(lesson)}).encode()
        seconds, answer, content = server.ask(path, body=body)
        for row in json.loads(content).get("rows", ()):
            if row["status"] != "stored":
                raise SystemExit(f"{path} answered {row}")
        return seconds, answer, content

    paths = {"ours": "/api/v1/attempts/batch", "hand": "/bench/batch-by-hand"}
    asked = {name: partial(sent, path) for name, path in paths.items()}
    took = worlds.in_turn(asked, rounds=BATCHES)
    ours, hand = (ROWS / took[name] for name in asked)
    print(f"batch of {ROWS} new rows              {ours:8,.0f} rows/s")
    print(f"  the same statements by hand    {hand:8,.0f} rows/s")
    print(f"  batch / by hand                {ours / hand:8.2f}    at least {BY_HAND} wanted")
    if ours < BY_HAND * hand:
        yield f"a batch stores {ours / hand:.2f} of what its statements store by hand"


def _rows(lesson):
    """New tries of tonight, a child after the other in what suits her class."""
    rows = []
    for number in range(ROWS):
        skill, role = lesson.parts[number % len(lesson.parts)]
        row = {name: str(uuid4()) for name in ("id", "attempt", "try_id")}
        row |= {"student": str(lesson.students[number % len(lesson.students)])}
        row |= {"skill_id": str(skill), "role": role, "class": str(lesson.class_id)}
        row |= {"local_date": lesson.on, "happened_at": f"{lesson.on}T17:{number:02}:00+00:00"}
        rows.append(FIXED | row)
    return rows


FIXED = {
    "revision": 1,
    "spot": "hands_on",
    "outcome": "shaky",
    "measure": None,
    "weight": "own",
    "way_in": "",
    "way_out": "",
    "surface": "",
    "clock_offset_ms": 0,
}
GZIP = {"Accept-Encoding": "gzip"}


if __name__ == "__main__":
    main()
