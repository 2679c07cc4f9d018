"""The same file from two desks, or pressed twice: the second finds what the first has loaded."""

import pytest
from django.db import connection

from classes import attendance, falls, roster
from classes.models import Attendance, Fall, Identity
from tests.at_once import at_once
from tests.classes import fact_school
from tests.classes.fact_school import AT

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite has one writer at a time"),
]

CHILDREN = "given_name,birth,joined\nOlamide,2017-04,2026-03-03\nSunniva,2016-11,2026-03-03\n"
HERE = "date,student,state\n2026-03-10,Amara,here\n2026-03-10,Bao,away\n"
FELL = (
    "date,student,skill,role,kind,phase\n"
    "2026-03-10,Amara,Seat on a table,flyer,fall,way_out\n"
    "2026-03-10,Bao,Seat on a table,base,near_miss,hold\n"
)


@pytest.mark.parametrize(
    ("load", "content", "model", "known"),
    [
        (roster.load, CHILDREN, Identity, len(fact_school.CHILDREN)),
        (attendance.load, HERE, Attendance, 0),
        (lambda scope, *, klass, **asked: falls.load(scope, **asked), FELL, Fall, 0),
    ],
    ids=["class list", "attendance", "falls"],
)
def test_of_four_who_load_one_file_one_loads_it(load, content, model, known):
    school = fact_school.build()

    def call():
        return load(school.teacher, content=content.encode(), at=AT, klass=school.klass)

    found = at_once(*[call] * 4)
    assert sorted(one.standing for one in found) == [0, 2, 2, 2]
    assert model.objects.count() == known + 2
