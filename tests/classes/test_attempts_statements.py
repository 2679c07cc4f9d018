"""What storing a batch asks of the database: how many statements, in which order, and what holds
when somebody comes between.
"""

from datetime import UTC, datetime
from uuid import UUID, uuid4

import pytest
from django.conf import settings
from django.db import connection
from django.test.utils import CaptureQueriesContext

from classes import replay
from classes.attempts import STORED
from classes.models import Attempt, Belief, Replay, Student
from classes.tries import counted
from tests.classes import log_rows
from tests.classes.log_rows import row, store

# Rows in a batch -> statements: a step function of the size on SQLite, which takes few parameters.
STATEMENTS = {
    "postgresql": {1: 12, 120: 12, 500: 12},
    "sqlite": {1: 12, 120: 14, 500: 24},
}


@pytest.fixture
def school(db):
    return log_rows.build()


def statements(school, *rows):
    with CaptureQueriesContext(connection) as captured:
        assert set(store(school, *rows)) == {STORED}
    return [q["sql"] for q in captured.captured_queries if "SAVEPOINT" not in q["sql"]]


@pytest.mark.parametrize("size", [1, 120, 500])
def test_statements_grow_by_chunks_alone(school, size):
    names = list(school.children)
    rows = [row(school, names[n % len(names)], n + 1) for n in range(size)]
    assert len(statements(school, *rows)) == STATEMENTS[connection.vendor][size]


def test_one_writer_a_school(school):
    """On PostgreSQL the school's row is locked first; SQLite has one writer at a time anyway.

    Without it two who correct one try at once each see only their own revision, and the child
    whom the try has left is never marked.
    """
    first = statements(school, row(school))[0]
    if connection.vendor == "postgresql":
        assert 'FROM "school"' in first
        assert first.endswith("FOR NO KEY UPDATE")
    else:
        assert settings.DATABASES["default"]["OPTIONS"]["transaction_mode"] == "IMMEDIATE"


def test_rows_go_in_by_id(school, monkeypatch):
    def insert(rows, *, insert=Attempt.objects.bulk_create):
        rows = list(rows)
        inserted.extend(row.id for row in rows)
        return insert(rows)

    inserted = []
    monkeypatch.setattr(Attempt.objects, "bulk_create", insert)
    store(school, row(school, number=5), row(school, "Bao", 2), row(school, "Hana", 9))
    assert inserted == [UUID(int=2), UUID(int=5), UUID(int=9)]


def test_children_are_marked_by_id(school, monkeypatch):
    def mark(rows, *, insert=Replay.objects.bulk_create, **options):
        marked.extend(row.student_id for row in rows)
        return insert(rows, **options)

    marked = []
    monkeypatch.setattr(Replay.objects, "bulk_create", mark)
    store(school, *(row(school, name, n + 1) for n, name in enumerate(school.children)))
    assert marked == sorted(school.ids)


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
