"""Two who change one fact at the same moment: the second changes what the first has left."""

from datetime import date
from threading import Event

import pytest
from django.db import connection

from accounts.scope import Unknown
from classes import falls, restrictions, wishes
from classes.models import Fall, Restriction, Term, Wish
from tests.at_once import at_once
from tests.classes import fact_school
from tests.classes.fact_school import AT, TODAY

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite has one writer at a time"),
]
UNTIL = date(2026, 3, 27)


def meanwhile(monkeypatch, where, name, *, first, second):
    """What `first` raised or returned, and `second`, made while the first has just read what
    stands by the function of this name."""
    has_read, is_done, read = Event(), Event(), getattr(where, name)

    def reading(*args, **asked):
        found = read(*args, **asked)
        if not has_read.is_set():
            has_read.set()
            is_done.wait(0.5)  # in vain where the second waits for the first
        return found

    def then():
        has_read.wait(5)
        try:
            return second()
        finally:
            is_done.set()

    monkeypatch.setattr(where, name, reading)
    return at_once(first, then)


def test_a_wish_that_is_taken_back_is_not_entered_again_by_whoever_moves_its_end(monkeypatch):
    school = fact_school.build()
    said = {"a": school.children["Amara"], "b": school.children["Bao"], "kind": "apart"}
    if not Term.objects.exists():
        days = {"first_on": date(2026, 1, 5), "last_on": date(2026, 4, 3)}
        Term.objects.create(school_id=school.id, name="Spring", **days)
    [wish] = wishes.wish(school.teacher, rows=[said | {"from": TODAY, "until": None}], at=AT)
    found = meanwhile(
        monkeypatch,
        wishes,
        "_find",
        first=lambda: wishes.move_end(school.teacher, wish_id=wish, until=UNTIL, at=AT),
        second=lambda: wishes.take_back(school.teacher, wish_id=wish, at=AT),
    )
    assert found == [None, None]
    assert not Wish.objects.exists()


def test_a_restriction_that_is_taken_back_is_not_entered_again_by_moving_its_end(monkeypatch):
    school = fact_school.build()
    said = {"student": school.children["Amara"], "blocks": "wrists"}
    rows = [said | {"from": TODAY, "until": TODAY}]
    [row] = restrictions.restrict(school.teacher, rows=rows, at=AT)
    found = meanwhile(
        monkeypatch,
        restrictions,
        "_find",
        first=lambda: restrictions.move_end(school.teacher, restriction_id=row, until=UNTIL, at=AT),
        second=lambda: restrictions.take_back(school.teacher, restriction_id=row, at=AT),
    )
    assert found == [None, None]
    assert not Restriction.objects.exists()


def test_of_two_who_take_one_restriction_back_one_finds_none(monkeypatch):
    school = fact_school.build()
    said = {"student": school.children["Amara"], "blocks": "wrists"}
    rows = [said | {"from": TODAY, "until": TODAY}]
    [row] = restrictions.restrict(school.teacher, rows=rows, at=AT)

    def take_back():
        restrictions.take_back(school.teacher, restriction_id=row, at=AT)

    found = meanwhile(monkeypatch, restrictions, "_find", first=take_back, second=take_back)
    assert found[0] is None and isinstance(found[1], Unknown)


def test_that_a_teacher_looked_at_a_fall_outlives_a_file_about_it(monkeypatch):
    school = fact_school.build()
    header = "date,student,skill,role,kind,phase\n2026-03-10,Amara,Seat on a table,flyer,"
    falls.load(school.teacher, content=f"{header}fall,hold\n".encode(), at=AT)
    fall = Fall.objects.get()
    again = f"{header}near_miss,hold\n".encode()
    found = meanwhile(
        monkeypatch,
        falls,
        "read_facts",
        first=lambda: falls.load(school.teacher, content=again, at=AT),
        second=lambda: falls.look(school.teacher, fall_id=fall.id, at=AT),
    )
    assert found[0].changed == 1 and found[1].looked_at_on == TODAY
    fall.refresh_from_db()
    assert (fall.kind, fall.looked_at_on) == ("near_miss", TODAY)
