from datetime import date, timedelta
from uuid import uuid4

import pytest

from accounts.models import Studio
from accounts.scope import Unknown
from classes import roster
from classes.classes import class_named
from classes.models import Student
from tests.classes.roster.lists import BEGINNERS, HEADER, child, load, refused
from tests.factories import AT, TODAY, ClassFactory, MemberFactory, StudentFactory, scope


@pytest.fixture
def klass(teacher):
    return class_named(teacher, name=BEGINNERS)


def names(by, klass, **options):
    return [place.name for place in roster.roster(by, class_id=klass.id, at=AT, **options)]


def test_who_has_a_place_by_name(teacher, klass):
    load(
        teacher,
        HEADER,
        "Þóra,,2017-08,,,2026-01-13,,yes,,early",
        "Bao,K,2018-09,129,2026-03-03,2026-01-13,2026-03-20,,,",
        "Bao,A,2018-05,,,2026-03-20,,,,",
    )
    places = roster.roster(teacher, class_id=klass.id, at=AT)
    assert places == (
        roster.Place(
            student_id=places[0].student_id,
            name="Bao K.",
            from_date=date(2026, 1, 13),
            until=date(2026, 3, 20),
            trial=False,
        ),
        roster.Place(
            student_id=child("Þóra").id,
            name="Þóra",
            from_date=date(2026, 1, 13),
            until=None,
            trial=True,
        ),
    )
    assert names(teacher, klass, on=date(2026, 3, 20)) == ["Bao A.", "Bao K.", "Þóra"]
    assert names(teacher, klass, on=date(2026, 3, 21)) == ["Bao A.", "Þóra"]
    assert names(teacher, klass, on=date(2026, 1, 12)) == []


def test_today_is_where_the_class_meets(teacher, klass):
    load(teacher, HEADER, f"Bao,,2018-09,,,{TODAY + timedelta(days=1)},,,,")
    assert names(teacher, klass) == []
    Studio.objects.filter(id=klass.studio_id).update(zone="Pacific/Auckland")
    assert names(teacher, klass) == ["Bao"]


def test_a_class_out_of_sight_is_none(teacher):
    for class_id in (ClassFactory().id, uuid4()):
        with pytest.raises(Unknown, match="no such class"):
            roster.roster(teacher, class_id=class_id, at=AT)


def test_who_has_left_has_no_place_from_then_on(teacher, klass):
    load(teacher, HEADER, "Bao,,2018-09,,,2025-09-02,2026-01-27,,,")
    Student.objects.update(left_on=date(2026, 1, 27))
    assert load(teacher, HEADER, "Bao,,2018-09,,,2025-09-02,2026-01-27,,,").standing == 1
    for joined in ("2026-01-28", ""):
        assert refused(teacher, [HEADER, f"Bao,,2018-09,,,{joined},,,,"]) == [
            "row 2, column “joined”: she left on 2026-01-27"
        ]
    Student.objects.update(left_on=None)
    load(teacher, HEADER, "Bao,,2018-09,,,,,,,")
    assert names(teacher, klass) == ["Bao"]


def trial(school, name):
    return StudentFactory(
        school=school, identity__given_name=name, birth_year=None, birth_month=None
    )


def test_a_child_who_came_to_try_it_gets_her_month_of_birth(teacher, school):
    head = scope(MemberFactory(school=school))
    her = trial(school, "Amara")
    lines = (HEADER, "Amara,,2016-11,131,2026-03-03,,,,,")
    assert refused(head, lines) == [
        "row 2, column “given_name”: question: Amara is known without a month of birth: is this the"
        " same child? Another child needs another initial. If it is as meant, confirm row 2."
    ]
    loaded = load(head, *lines, confirmed=[2])
    assert (loaded.new, loaded.changed) == ((), ("Amara: month of birth, place, height",))
    her.refresh_from_db()
    assert (her.birth_year, her.birth_month) == (2016, 11)
    assert load(head, *lines).standing == 1
