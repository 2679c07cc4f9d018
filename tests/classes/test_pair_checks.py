from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from accounts.models import School
from accounts.scope import Conflict, NotAllowed
from classes import pair_checks
from classes.models import Lesson, PairCheck
from tests.classes import fact_school
from tests.classes.fact_school import counts, events, refusal, strangers
from tests.factories import StudioFactory
from tests.once import once

HEADER = "base,flyer,given_on,tonight"
TUESDAY, NEXT = date(2026, 3, 10), date(2026, 3, 17)


built, school = once(fact_school.build)


def load(school, *lines, **asked):
    return counts(pair_checks.load, school.teacher, *lines, **asked)


def pairs(school, on, lesson_id=None):
    found = pair_checks.current(
        school.teacher,
        student_ids=school.ids,
        on=on,
        lesson_id=lesson_id or school.lesson_id(on),
    )
    names = {id_: name for name, id_ in school.children.items()}
    return {(names[base], names[flyer]) for base, flyer in found}


def test_a_check_holds_through_its_120th_day(school):
    lines = (HEADER, "Amara,Bao,2026-03-10,")
    assert load(school, *lines) == (1, 0, 0)
    assert pairs(school, date(2026, 3, 9)) == set()
    assert pairs(school, TUESDAY) == {("Amara", "Bao")}
    assert pairs(school, date(2026, 7, 8)) == {("Amara", "Bao")}
    assert pairs(school, date(2026, 7, 9)) == set()
    assert (date(2026, 7, 8) - TUESDAY).days == 120
    assert load(school, *lines) == (0, 0, 1)
    assert events("check_pair") == 1


def test_the_days_are_the_school_s_policy(school):
    load(school, HEADER, "Amara,Bao,2026-03-10,")
    School.objects.filter(id=school.id).update(pair_check_days=7)
    assert pairs(school, NEXT) == {("Amara", "Bao")}
    assert pairs(school, date(2026, 3, 18)) == set()


def test_for_one_evening_only(school):
    lines = (HEADER, "Amara,Bao,2026-03-10,yes", "Amara,Tariq,2026-03-10,no")
    assert load(school, *lines, klass=school.klass) == (2, 0, 0)
    assert Lesson.objects.get().id == school.lesson_id(TUESDAY)
    assert pairs(school, TUESDAY) == {("Amara", "Bao"), ("Amara", "Tariq")}
    assert pairs(school, NEXT) == {("Amara", "Tariq")}
    assert load(school, *lines, klass=school.klass) == (0, 0, 2)


def test_where_it_is_two_days_at_once_what_holds_on_one_of_them_is_told_so(school):
    """Tuesday evening here, Wednesday in the other studio."""
    east = StudioFactory(school=School.objects.get(id=school.id), zone="Pacific/Auckland")
    both = replace(school.head, studio_ids=school.head.studio_ids | {east.id})
    days = ("2025-11-09", "2025-11-10", "2026-03-11", "2026-03-12")
    lines = [f"Amara,Bao,{day}," for day in days]
    load(school, HEADER, *lines, "Amara,Bao,2026-03-10,yes", klass=school.klass)
    at = datetime(2026, 3, 10, 20, tzinfo=UTC)
    listed = pair_checks.listed(both, at=at)
    assert [one.ran_out for one in listed] == [
        "it was to hold until 2026-03-09",
        None,
        None,
        None,
        "holds from 2026-03-12 on",
    ]
    pair_checks.take_back(both, pair_check_id=listed[2].id, at=at)
    with pytest.raises(Conflict, match="it is of 2025-11-10"):
        pair_checks.take_back(both, pair_check_id=listed[1].id, at=at)


def test_both_children_have_to_be_asked_for(school):
    load(school, HEADER, "Amara,Bao,2026-03-10,")
    found = pair_checks.current(
        school.teacher,
        student_ids={school.children["Amara"], school.children["Tariq"]},
        on=TUESDAY,
        lesson_id=school.lesson_id(TUESDAY),
    )
    assert found == frozenset()


def test_a_dry_run_stores_nothing(school):
    line = "Amara,Bao,2026-03-10,yes"
    assert load(school, HEADER, line, klass=school.klass, dry_run=True) == (1, 0, 0)
    assert not PairCheck.objects.exists()
    assert not Lesson.objects.exists()


def test_every_fault_at_once(school):
    assert refusal(
        pair_checks.load,
        school.teacher,
        PairCheck,
        HEADER,
        "Amara,Bao,2026-03-10,",
        "Amara,Amara,2026-03-10,",
        "Amara,Bao,2026-03-10,perhaps",
        "Amara,Tariq,2026-03-11,yes",
        "Amara,Tariq,2026-04-07,yes",
        "Amara,Tariq,,",
        "Amara,Bao,10.03.2026,no",
        klass=school.klass,
    ) == [
        "row 3, column “flyer”: the same child as the base",
        "row 4, column “tonight”: “perhaps” should be one of yes, no, true, false, 1, 0, x",
        "row 5, column “given_on”: Tuesday beginners meets on Tuesdays, 2026-03-11 is a Wednesday",
        "row 6, column “given_on”: no lesson on 2026-04-07: spring break",
        "row 7, column “given_on”: missing",
        "row 8: about the same as row 2",
    ]


def test_tonight_needs_a_class(school):
    assert refusal(
        pair_checks.load, school.teacher, PairCheck, HEADER, "Amara,Bao,2026-03-10,yes"
    ) == ["row 2, column “tonight”: for one evening only: say of which class"]


def test_an_assistant_may_not(school):
    with pytest.raises(NotAllowed, match="loading pair checks: a teacher's right"):
        counts(pair_checks.load, school.assistant, HEADER, "Amara,Bao,2026-03-10,")


def test_strangers_see_nothing(school):
    load(school, HEADER, "Amara,Bao,2026-03-10,")
    for stranger in strangers(school):
        asked = {"student_ids": school.ids, "on": TUESDAY}
        lesson_id = school.lesson_id(TUESDAY)
        assert pair_checks.current(stranger, lesson_id=lesson_id, **asked) == frozenset()


def test_the_example_loads(school):
    content = (fact_school.EXAMPLES / "pair_checks.csv").read_text()
    assert load(school, content, klass=school.klass) == (2, 0, 0)
