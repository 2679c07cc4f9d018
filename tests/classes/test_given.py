"""Yeses and pair checks by ids, one by one and many at once."""

from concurrent.futures import ThreadPoolExecutor
from datetime import date
from threading import Barrier
from uuid import uuid4

import pytest
from django.db import connection

from accounts.faults import BadDocument
from accounts.models import Event, Studio
from accounts.scope import NotAllowed
from classes import pair_checks, yeses
from classes.models import Lesson, PairCheck, Yes
from curriculum import editions
from curriculum.models import Skill
from tests.classes import fact_school
from tests.classes.fact_school import AT, CURRICULUM, counts, events, strangers

TONIGHT = date(2026, 3, 10)


@pytest.fixture
def school(db):
    return fact_school.build()


def a_yes(school, **different):
    return {
        "student_id": school.children["Bao"],
        "skill_id": school.skills["seat_on_a_table"],
        "role": "flyer",
        "kind": "begin",
        "lesson_id": None,
        "on": TONIGHT,
    } | different


def a_pair(school, **different):
    return {
        "base_id": school.children["Amara"],
        "flyer_id": school.children["Bao"],
        "lesson_id": None,
        "on": TONIGHT,
    } | different


def give(school, scope=None, **different):
    return yeses.give(scope or school.teacher, at=AT, **a_yes(school, **different))


def pair(school, scope=None, **different):
    return pair_checks.give(scope or school.teacher, at=AT, **a_pair(school, **different))


def faults(function, *asked, **different):
    with pytest.raises(BadDocument) as caught:
        function(*asked, **different)
    assert not Yes.objects.exists()
    assert not PairCheck.objects.exists()
    assert not Lesson.objects.exists()
    assert not Event.objects.filter(what__in=("give_yes", "check_pair")).exists()
    return [str(fault) for fault in caught.value.faults]


def test_a_yes_stands_once(school):
    id_ = give(school)
    row = Yes.objects.get()
    assert (row.id, row.given_on, row.lesson_id) == (id_, TONIGHT, None)
    assert row.member_id == school.teacher.member_id
    # Whoever says it again leaves it to her who gave it.
    assert give(school, school.head) == id_
    assert Yes.objects.get().member_id == school.teacher.member_id
    assert events("give_yes") == 1


def test_a_file_knows_what_was_given_by_hand(school):
    give(school)
    lines = "student,skill,role,kind,given_on", "Bao,Seat on a table,flyer,begin,2026-03-10"
    assert counts(yeses.load, school.teacher, *lines) == (0, 0, 1)


def test_for_an_evening_that_is_only_planned(school):
    lesson_id = school.lesson_id(TONIGHT)
    id_ = give(school, lesson_id=lesson_id)
    assert Lesson.objects.get().id == lesson_id
    assert pair(school, lesson_id=lesson_id) == PairCheck.objects.get().id
    assert Yes.objects.get().lesson_id == PairCheck.objects.get().lesson_id == lesson_id
    # For the evening and for longer are two facts.
    assert give(school) != id_


def test_a_pair_check_stands_once(school):
    id_ = pair(school)
    assert pair(school, school.head) == id_
    assert PairCheck.objects.get().member_id == school.teacher.member_id
    assert events("check_pair") == 1
    # The other way round is another pair.
    assert pair(school, base_id=school.children["Bao"], flyer_id=school.children["Amara"]) != id_


def test_every_unknown_id_at_once(school):
    assert faults(give, school, student_id=uuid4(), skill_id=uuid4(), lesson_id=uuid4()) == [
        "/student: unknown",
        "/skill: unknown",
        "/lesson: unknown",
    ]
    assert faults(pair, school, base_id=uuid4(), flyer_id=uuid4(), lesson_id=uuid4()) == [
        "/base: unknown",
        "/flyer: unknown",
        "/lesson: unknown",
    ]


def test_what_is_foreign_is_unknown(school):
    _, stranger = strangers(school)
    asked = {"lesson_id": school.lesson_id(TONIGHT)}
    places = ["/student: unknown", "/skill: unknown", "/lesson: unknown"]
    assert faults(give, school, stranger, **asked) == places


def test_a_role_that_the_card_does_not_have(school):
    assert faults(give, school, role="solo") == [
        "/role: Seat on a table has no role solo; it has base, flyer, spotter"
    ]
    assert faults(give, school, role="lifter", kind="maybe") == [
        "/role: “lifter” should be one of solo, partner, base, flyer, spotter, front, middle, back",
        "/kind: “maybe” should be one of begin, no_spot, show",
    ]


def test_nobody_is_her_own_base(school):
    assert faults(pair, school, base_id=school.children["Bao"]) == [
        "/flyer: the same child as the base"
    ]


def test_a_day_of_another_lesson(school):
    asked = {"lesson_id": school.lesson_id(TONIGHT), "on": date(2026, 3, 17)}
    assert faults(give, school, **asked) == ["/lesson: unknown"]


def test_a_day_without_a_lesson(school):
    on = date(2026, 4, 7)
    assert faults(pair, school, on=on, lesson_id=school.lesson_id(on)) == [
        "/given_on: no lesson on 2026-04-07: spring break"
    ]


NEW = {"name": "Standing on a table", "family": "tight", "roles": {"solo": {}}, "criterion": "5 s"}


def adopt_later(school, from_date):
    """An edition with one more skill, which is in use from a day on: that skill."""
    document = CURRICULUM | {"skills": CURRICULUM["skills"] | {"new": NEW}}
    number = fact_school.publish(school.head, document)
    asked = {"studio_id": school.studio_id, "number": number, "from_date": from_date}
    editions.adopt(school.head, **asked, at=AT)
    return {"skill_id": Skill.objects.get(school_id=school.id, key="new").id, "role": "solo"}


def test_a_skill_of_the_edition_that_the_lesson_has(school):
    """Whatever is in use on the day on which somebody asks."""
    on = date(2026, 3, 17)
    new = adopt_later(school, on)
    assert give(school, **new, on=on, lesson_id=school.lesson_id(on))
    assert give(school, **new, on=on)
    row = {"student": school.children["Bao"], "skill": "new", "role": "solo", "kind": "show"}
    many = [row | {"given_on": on, "lesson": school.lesson_id(on)}, row | {"given_on": on}]
    assert len(yeses.give_all(school.teacher, rows=many, at=AT)) == 2
    lines = "student,skill,role,kind,given_on", "Hana,Standing on a table,solo,begin,2026-03-17"
    assert counts(yeses.load, school.teacher, *lines) == (1, 0, 0)
    lines = "student,skill,role,kind,given_on,tonight", f"Hana,new,solo,begin,{on},yes"
    assert counts(yeses.load, school.teacher, *lines, klass=school.klass) == (1, 0, 0)


def test_a_skill_that_the_lesson_does_not_have_yet(school):
    new = adopt_later(school, date(2026, 3, 17))
    for asked in ({}, {"lesson_id": school.lesson_id(TONIGHT)}):
        assert faults(give, school, **new, **asked) == ["/skill: unknown"]


@pytest.mark.parametrize("given_on", [date(2026, 3, 11), date(2026, 3, 12)])
def test_today_is_the_day_of_the_studio(school, given_on):
    """At noon in UTC it is the next day already."""
    Studio.objects.filter(id=school.studio_id).update(zone="Pacific/Auckland")
    new = adopt_later(school, date(2026, 3, 12))
    assert give(school, **new, on=given_on)
    lines = "student,skill,role,kind,given_on", f"Hana,new,solo,begin,{given_on}"
    assert counts(yeses.load, school.teacher, *lines) == (1, 0, 0)


def test_an_assistant_may_not(school):
    with pytest.raises(NotAllowed, match="giving a yes: a teacher's right"):
        give(school, school.assistant)
    with pytest.raises(NotAllowed, match="giving a pair check: a teacher's right"):
        pair(school, school.assistant)


def rows(school, *names, skill="table", **different):
    return [
        {
            "student": school.children[name],
            "skill": skill,
            "role": "solo",
            "kind": "show",
            "given_on": TONIGHT,
        }
        | different
        for name in names
    ]


def test_many_at_once(school):
    given = yeses.give_all(school.teacher, rows=rows(school, "Hana", "Bao", "Amara"), at=AT)
    names = {id_: name for name, id_ in school.children.items()}
    assert [names[Yes.objects.get(id=id_).student_id] for id_ in given] == ["Hana", "Bao", "Amara"]
    again = yeses.give_all(school.teacher, rows=rows(school, "Amara", "Ikaika", "Hana"), at=AT)
    assert (again[0], again[2]) == (given[2], given[0])
    assert events("give_yes") == 4


def test_all_or_none(school):
    asked = [
        *rows(school, "Hana"),
        *rows(school, "Bao", student=uuid4()),
        *rows(school, "Bao", role="base", lesson=school.lesson_id(TONIGHT)),
        *rows(school, "Hana", lesson=None),
    ]
    assert faults(yeses.give_all, school.teacher, rows=asked, at=AT) == [
        "/rows/1/student: unknown",
        "/rows/2/role: Hands-and-knees table has no role base; it has solo",
        "/rows/3: about the same as /rows/0",
    ]


def test_nothing_to_give(school):
    assert yeses.give_all(school.teacher, rows=[], at=AT) == ()
    assert pair_checks.give_all(school.teacher, rows=[], at=AT) == ()


@pytest.mark.skipif(connection.vendor == "sqlite", reason="there one writer at a time is the rule")
@pytest.mark.django_db(transaction=True)
def test_two_who_say_the_same_at_once():
    school = fact_school.build()
    start = Barrier(4)

    def at_once(_):
        start.wait()
        try:
            return give(school)
        finally:
            connection.close()

    with ThreadPoolExecutor(4) as phones:
        given = list(phones.map(at_once, range(4)))
    assert given == [Yes.objects.get().id] * 4
