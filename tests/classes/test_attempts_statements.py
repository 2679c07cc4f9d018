"""What storing a batch asks of the database: how many statements, in which order, and what holds
when somebody comes between.
"""

import json
from datetime import UTC, datetime
from pathlib import Path
from uuid import UUID, uuid4

import pytest
from django.conf import settings
from django.db import connection
from django.test.utils import CaptureQueriesContext

from classes import replay
from classes.models import Attempt, Belief, Student, Yes
from classes.tries import counted
from tests.classes import log_rows
from tests.classes.log_rows import receive, row, said, store
from tests.classes.log_school import SECOND
from tests.once import once

# Rows in a batch -> statements.
COUNTS = json.loads((Path(__file__).parent / "statements.json").read_text())


built, school = once(log_rows.build)


def statements(call):
    """What a call asks of the database, transactions aside."""
    with CaptureQueriesContext(connection) as captured:
        call()
    sql = [query["sql"].strip() for query in captured.captured_queries]
    return [one for one in sql if not one.startswith(("SAVEPOINT", "RELEASE", "BEGIN", "COMMIT"))]


def rows_of(school, size):
    names = list(school.children)
    return [row(school, names[n % len(names)], n + 1) for n in range(size)]


@pytest.mark.parametrize("size", [1, 50, 500])
def test_a_file_of_any_size(school, size):
    rows = rows_of(school, size)
    found = statements(lambda: store(school, *rows))
    assert len(found) == COUNTS["file"][connection.vendor][str(size)]


@pytest.mark.parametrize("size", [1, 50, 500])
@pytest.mark.parametrize("case", ["batch", "batch again", "batch of lifts with a yes"])
def test_a_batch_of_any_size(school, size, case):
    seat = school.skills["seat_on_a_table"]
    lifts = {"skill_id": seat, "role": "flyer"} if "lifts" in case else {}
    for name in school.children if lifts else ():
        given_on = {"given_on": SECOND, "kind": "begin", "member_id": school.teacher.member_id}
        child = {"school_id": school.id, "student_id": school.children[name]}
        Yes.objects.create(**child, **lifts, **given_on)
    names = list(school.children)
    rows = [said(school, names[n % len(names)], n + 1, **lifts) for n in range(size)]
    if case == "batch again":
        receive(school, *rows)
    found = statements(lambda: receive(school, *rows))
    assert len(found) == COUNTS[case][connection.vendor][str(size)]
    assert Attempt.objects.count() == size


def test_a_batch_of_a_lesson_that_is_not_there_yet(school):
    rows = [said(school, number=n, local_date="2026-02-24") for n in (1, 2, 3)]
    found = statements(lambda: receive(school, *rows))
    assert len(found) == COUNTS["batch and its lesson"][connection.vendor]["3"]


def test_the_counts_are_those_that_are_promised():
    """Five at most, whatever the size; a lesson that is not there yet adds two."""
    for case, counts in COUNTS.items():
        most = 7 if "lesson" in case else 5
        assert max(max(of_size.values()) for of_size in counts.values()) <= most, case


def test_one_writer_a_school(school):
    """On PostgreSQL the school's row is locked first; SQLite has one writer at a time anyway.

    Without it two who correct one try at once each see only their own revision, and the child
    whom the try has left is never marked.
    """
    first = statements(lambda: store(school, row(school)))[0]
    if connection.vendor == "postgresql":
        assert "FROM (SELECT id FROM school WHERE id = " in first
        assert "FOR NO KEY UPDATE) AS locked" in first
    else:
        assert settings.DATABASES["default"]["OPTIONS"]["transaction_mode"] == "IMMEDIATE"


def test_rows_go_in_by_id(school):
    rows = [row(school, number=5), row(school, "Bao", 2), row(school, "Hana", 9)]
    found = statements(lambda: store(school, *rows))
    (insert,) = [one for one in found if one.startswith("INSERT INTO attempt")]
    places = [insert.index(f'[["{UUID(int=2).hex}"')]
    places += [insert.index(f'], ["{UUID(int=number).hex}"') for number in (5, 9)]
    assert places == sorted(places)


def test_children_are_marked_by_id(school):
    """The statement itself says in which order: what it updates it also locks."""
    found = statements(lambda: store(school, *rows_of(school, 7)))
    (mark,) = [one for one in found if one.startswith("INSERT INTO replay")]
    assert "ORDER BY student_id\nON CONFLICT" in mark


def test_times_that_were_written_down_and_checked_stand(school):
    """A phone's clock could not be right before the child had a place; a grid of words may be."""
    before = datetime(2025, 7, 1, tzinfo=UTC)
    store(school, row(school, local_date=before.date(), happened_at=before), dated=True)
    ids = {school.children["Amara"]}
    (found,) = counted(school.teacher, student_ids=ids, since=None)
    assert found.at == before


def refreshing(school, between):
    """A refresh of Amara with something between its reading and its keeping; whether it kept."""
    amara = school.children["Amara"]
    version = replay.log_version(school.teacher, student_id=amara)
    found = replay.replayed(school.teacher, student_ids={amara})[amara]
    between()
    return replay.put(school.teacher, student_id=amara, version=version, found=found)


def test_a_child_erased_while_she_was_worked_out_stays_erased(school):
    store(school, row(school), row(school, "Bao", 2))
    amara = Student.objects.filter(id=school.children["Amara"])
    assert not refreshing(school, amara.delete)
    assert not Belief.objects.exists()
    assert replay.refresh(school.teacher) == 1
    assert set(Belief.objects.values_list("student_id", flat=True)) == {school.children["Bao"]}


def test_a_row_taken_out_of_the_log_while_she_was_worked_out(school):
    """Whoever takes rows out marks the child, as storing does: what was read before is not kept."""

    def take_out():
        Attempt.objects.filter(id=UUID(int=1)).delete()
        store(school, row(school, number=2, outcome="removed"))

    store(school, row(school))
    assert refreshing(school, take_out)
    assert replay.check(school.teacher).stale == 1
    assert replay.refresh(school.teacher) == 1
    assert not Belief.objects.exists()


def test_a_correction_while_she_was_worked_out(school):
    one = row(school)
    shaky = row(school, id=uuid4(), revision=2, outcome="shaky")
    store(school, one)
    assert refreshing(school, lambda: store(school, shaky))
    assert replay.check(school.teacher).stale == 1
    replay.refresh(school.teacher)
    checked = replay.check(school.teacher)
    assert (checked.stale, checked.differences) == (0, ())
