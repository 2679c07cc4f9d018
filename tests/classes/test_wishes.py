from datetime import date

import pytest

from accounts.scope import NotAllowed
from classes import wishes
from classes.models import Wish
from tests.classes import fact_school
from tests.classes.fact_school import counts, refusal, strangers
from tests.once import once

HEADER = "a,b,kind,from,until"
TERM_LAST = date(2026, 6, 30)


built, school = once(fact_school.build)


def load(school, *lines, **asked):
    return counts(wishes.load, school.teacher, *lines, **asked)


def refused(school, *lines):
    return refusal(wishes.load, school.teacher, Wish, *lines)


def pair(school, *names):
    return tuple(sorted(school.children[name] for name in names))


def kept(school, on, *, among=None):
    ids = school.ids if among is None else {school.children[name] for name in among}
    return wishes.current(school.teacher, student_ids=ids, on=on)


def test_a_wish_holds_to_the_end_of_its_term(school):
    lines = (HEADER, "Tariq,Ikaika,apart,2026-03-03,")
    assert load(school, *lines) == (1, 0, 0)
    apart = frozenset({pair(school, "Ikaika", "Tariq")})
    nobody = frozenset()
    assert kept(school, date(2026, 3, 2)) == (nobody, nobody)
    assert kept(school, date(2026, 3, 3)) == (apart, nobody)
    assert kept(school, TERM_LAST) == (apart, nobody)
    assert kept(school, date(2026, 7, 1)) == (nobody, nobody)
    assert kept(school, TERM_LAST, among=("Tariq", "Bao")) == (nobody, nobody)
    assert load(school, *lines) == (0, 0, 1)


def test_the_order_of_the_two_does_not_matter(school):
    load(school, HEADER, "Amara,Bao,together,2026-03-03,2026-03-24")
    assert load(school, HEADER, "Bao,Amara,together,2026-03-03,2026-03-24") == (0, 0, 1)
    assert kept(school, date(2026, 3, 24))[1] == {pair(school, "Amara", "Bao")}
    assert kept(school, date(2026, 3, 25))[1] == frozenset()


def test_an_earlier_end_then_the_opposite(school):
    load(school, HEADER, "Amara,Bao,together,2026-03-03,")
    assert load(
        school,
        HEADER,
        "Amara,Bao,together,2026-03-03,2026-03-09",
        "Amara,Bao,apart,2026-03-10,",
    ) == (1, 1, 0)
    assert kept(school, date(2026, 3, 10)) == ({pair(school, "Amara", "Bao")}, frozenset())


def test_from_the_term_s_first_day_to_its_last(school):
    line = "Amara,Bao,apart,2026-01-06,2026-06-30"
    assert load(school, HEADER, line, "Hana,Rangi,apart,2026-06-30,") == (2, 0, 0)
    assert len(kept(school, TERM_LAST)[0]) == 2


def test_not_both_on_one_day(school):
    load(school, HEADER, "Amara,Bao,together,2026-03-03,2026-03-10")
    assert refused(
        school,
        HEADER,
        "Bao,Amara,apart,2026-03-10,",
        "Hana,Rangi,apart,2026-03-10,",
        "Rangi,Hana,together,2026-06-30,",
        "Rangi,Hana,together,2026-03-09,2026-03-10",
        "Rangi,Hana,together,2026-03-02,2026-03-09",
    ) == [
        "row 2, column “kind”: kept together from 2026-03-03 until 2026-03-10 already",
        "row 4, column “kind”: kept apart from 2026-03-10 until 2026-06-30 already",
        "row 5, column “kind”: kept apart from 2026-03-10 until 2026-06-30 already",
    ]


def test_every_fault_at_once(school):
    assert refused(
        school,
        HEADER,
        "Amara,Amara,apart,2026-03-03,",
        "Amara,Bao,nearby,2026-01-05,",
        "Amara,Bao,apart,2026-03-03,2026-07-01",
        "Amara,Bao,apart,2026-03-03,2026-03-02",
        "Amara,,apart,,",
    ) == [
        "row 2, column “b”: the same child as in a",
        "row 3, column “kind”: “nearby” should be one of apart, together",
        "row 3, column “from”: 2026-01-05 lies in no term",
        "row 4, column “until”: 2026-07-01 is after the term's end, 2026-06-30",
        "row 5, column “until”: 2026-03-02 is before 2026-03-03",
        "row 6, column “b”: missing",
        "row 6, column “from”: missing",
    ]


def test_no_column_for_reasons(school):
    assert refused(school, f"{HEADER},Why not", "Amara,Bao,apart,2026-03-03,,they quarrel") == [
        "row 1, column “Why not”: why is never kept: take this column out"
    ]


def test_a_dry_run_stores_nothing(school):
    assert load(school, HEADER, "Amara,Bao,apart,2026-03-03,", dry_run=True) == (1, 0, 0)
    assert not Wish.objects.exists()


def test_an_assistant_may_not(school):
    with pytest.raises(NotAllowed, match="loading wishes: a teacher's right"):
        counts(wishes.load, school.assistant, HEADER, "Amara,Bao,apart,2026-03-03,")


def test_strangers_see_nothing(school):
    load(school, HEADER, "Amara,Bao,apart,2026-03-03,")
    for stranger in strangers(school):
        found = wishes.current(stranger, student_ids=school.ids, on=date(2026, 3, 10))
        assert found == (frozenset(), frozenset())


def test_the_example_loads(school):
    content = (fact_school.EXAMPLES / "wishes.csv").read_text()
    assert load(school, content) == (2, 0, 0)
