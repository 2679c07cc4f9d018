"""Phones that send at the same moment: nothing twice, nobody forgotten, nobody stuck."""

from concurrent.futures import ThreadPoolExecutor
from random import Random
from threading import Barrier
from uuid import UUID

import pytest
from django.db import connection, transaction

from accounts.models import Studio
from classes import attempts, replay
from classes.models import Attempt, Class, Replay
from tests.classes import log_rows
from tests.classes.log_rows import RECEIVED, said
from tests.classes.log_school import add_child

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite has one writer at a time"),
]


def at_once(school, batches):
    """The answers to these lists of batches, each list from a connection of its own."""
    start = Barrier(len(batches))

    def send(mine):
        try:
            start.wait()
            return [
                attempts.receive(school.assistant, rows=rows, received_at=RECEIVED) for rows in mine
            ]
        finally:
            connection.close()

    with ThreadPoolExecutor(len(batches)) as pool:
        return [one for found in pool.map(send, batches) for one in found]


def test_of_eight_contents_with_one_id_one_is_stored():
    school = log_rows.build()
    rows = [said(school, measure=float(n)) for n in range(8)]
    answers = [answer for (answer,) in at_once(school, [[[row]] for row in rows])]
    assert sorted((answer.status, answer.code) for answer in answers) == [
        *[("refused", "id_reused")] * 7,
        ("stored", None),
    ]
    (kept,) = Attempt.objects.all()
    (stored,) = [place for place, answer in enumerate(answers) if answer.status == "stored"]
    assert kept.measure == stored


def test_keys_that_four_share_stop_nobody():
    """Without an order of keys this ends in deadlocks within seconds."""
    school = log_rows.build()
    names = list(school.children)
    rows = [said(school, names[n % len(names)], n + 1) for n in range(60)]
    dice = Random(7)
    batches = [[dice.sample(rows, 20) for _ in range(12)] for _ in range(4)]
    answers = at_once(school, batches)
    statuses = [answer.status for found in answers for answer in found]
    sent = {row["id"] for mine in batches for batch in mine for row in batch}
    assert statuses.count("stored") == len(sent) == Attempt.objects.count()
    assert set(statuses) == {"stored", "already_stored"}


def test_whoever_a_try_has_left_is_marked():
    """Two correct one try at once: the children of both corrections are to be worked out again."""
    school = log_rows.build()
    for number in range(1, 13):
        one = said(school, "Amara", number, attempt=UUID(int=500 + number))
        attempts.receive(school.assistant, rows=[one], received_at=RECEIVED)
        corrections = [
            one
            | {"id": str(UUID(int=1000 * revision + number)), "revision": revision}
            | {"student": str(school.children[name])}
            for revision, name in ((2, "Bao"), (3, "Hana"))
        ]
        before = dict(Replay.objects.values_list("student_id", "log_version"))
        at_once(school, [[[correction]] for correction in corrections])
        after = dict(Replay.objects.values_list("student_id", "log_version"))
        marks = {
            name: after[school.children[name]] - before.get(school.children[name], 0)
            for name in ("Amara", "Bao", "Hana")
        }
        # Whoever came second marked the child of the first too.
        assert sorted(marks.items()) in (
            [("Amara", 2), ("Bao", 2), ("Hana", 1)],
            [("Amara", 2), ("Bao", 1), ("Hana", 2)],
        )
    replay.refresh(school.head)
    assert replay.check(school.head).differences == ()


def test_a_try_stored_while_the_lock_is_waited_for_is_seen():
    """Whose try it was that somebody corrects is known only once the lock is hers."""
    school = log_rows.build()
    studio = Studio.objects.create(school_id=school.id, name="Brae Loft", zone="Europe/Lisbon")
    group = Class.objects.create(
        school_id=school.id, studio=studio, name="Brae lifts", weekday=1, starts_at="17:00"
    )
    school.children["Zahra"] = add_child(school, "Zahra", class_id=group.id)
    correction = said(school, "Amara", id=UUID(int=50), revision=50, outcome="removed")

    def correct():
        try:
            return attempts.receive(school.teacher, rows=[correction], received_at=RECEIVED)
        finally:
            connection.close()

    with ThreadPoolExecutor(1) as pool:
        with transaction.atomic():
            first = log_rows.row(school, "Zahra", lesson_id=None)
            assert log_rows.store(school, first, scope=school.head) == ["stored"]
            later = pool.submit(correct)
            while not _somebody_waits():
                assert not later.done()
        (answer,) = later.result()
    assert (answer.code, answer.pointer) == ("unknown", "/attempt")


def _somebody_waits():
    """Whether anybody waits for this connection.

    Who is connected is told within a transaction as it was when first asked, and the locks are
    those of all databases: by these two the other may never turn up.
    """
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT count(*) FROM pg_locks"
            " WHERE NOT granted AND pg_backend_pid() = ANY(pg_blocking_pids(pid))"
        )
        return cursor.fetchone()[0]
