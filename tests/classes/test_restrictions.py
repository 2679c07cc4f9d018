from datetime import date

import pytest

from accounts.scope import NotAllowed
from classes import restrictions
from classes.models import Restriction
from classes.restrictions import Restricted
from tests.classes import fact_school
from tests.classes.fact_school import counts, events, refusal, strangers
from tests.once import once

HEADER = "student,blocks,from,until"
FIRST, LAST = date(2026, 3, 10), date(2026, 4, 7)


built, school = once(fact_school.build)


def load(school, *lines, **asked):
    return counts(restrictions.load, school.teacher, *lines, **asked)


def blocked(school, name, on):
    found = restrictions.current(school.teacher, student_ids=school.ids, on=on)
    return found[school.children[name]]


def test_the_first_and_the_last_day_count(school):
    assert load(school, HEADER, "Hana,wrists,2026-03-10,2026-04-07") == (1, 0, 0)
    assert blocked(school, "Hana", date(2026, 3, 9)) == ()
    assert blocked(school, "Hana", FIRST) == (Restricted("wrists", LAST),)
    assert blocked(school, "Hana", LAST) == (Restricted("wrists", LAST),)
    assert blocked(school, "Hana", date(2026, 4, 8)) == ()
    assert blocked(school, "Bao", FIRST) == ()


def test_a_single_day(school):
    assert load(school, HEADER, "Hana,back bend,10.3.2026,10.3.2026") == (1, 0, 0)
    assert blocked(school, "Hana", FIRST) == (Restricted("back_bend", FIRST),)


def test_the_same_file_again_changes_nothing(school):
    lines = (HEADER, "Hana,wrists,2026-03-10,2026-04-07", "Rangi,flyer,2026-03-03,2026-03-17")
    assert load(school, *lines) == (2, 0, 0)
    assert load(school, *lines) == (0, 0, 2)
    assert events("restrict") == Restriction.objects.count() == 2


def test_another_end_moves_it(school):
    load(school, HEADER, "Hana,wrists,2026-03-10,2026-04-07")
    assert load(school, HEADER, "Hana,wrists,2026-03-10,2026-03-17") == (0, 1, 0)
    assert blocked(school, "Hana", date(2026, 3, 18)) == ()
    assert events("restrict") == 2


def test_the_later_end_of_two_and_loads_before_roles(school):
    load(
        school,
        HEADER,
        "Hana,flyer,2026-03-10,2026-03-31",
        "Hana,wrists,2026-03-03,2026-03-20",
        "Hana,wrists,2026-03-10,2026-04-07",
        "Hana,wrists,2026-03-09,2026-03-12",
    )
    assert blocked(school, "Hana", FIRST) == (
        Restricted("wrists", LAST),
        Restricted("flyer", date(2026, 3, 31)),
    )


def test_a_dry_run_counts_and_stores_nothing(school):
    line = "Hana,wrists,2026-03-10,2026-04-07"
    assert load(school, HEADER, line, dry_run=True) == (1, 0, 0)
    assert not Restriction.objects.exists()
    assert events("restrict") == 0


def test_an_assistant_may_not(school):
    with pytest.raises(NotAllowed, match="loading restrictions: a teacher's right"):
        counts(restrictions.load, school.assistant, HEADER, "Hana,wrists,2026-03-10,2026-04-07")


def test_every_fault_at_once(school):
    load(school, HEADER, "Amara,knees,2026-03-10,2026-03-17")
    assert refusal(
        restrictions.load,
        school.teacher,
        Restriction,
        HEADER,
        "Hana,wrists,2026-03-10,2026-04-07",
        "Hanna,elbows,2026-04-07,2026-03-10",
        "Bao,neck,3/4/2026,",
        "Amara,knees,2026-03-10,2206-03-17",
        "Hana,Wrists,10.3.2026,2026-04-08",
    ) == [
        "row 3, column “student”: no child is called “Hanna”; close to it: Hana",
        "row 3, column “blocks”: “elbows” should be one of wrists, back_bend, neck, knees, landing,"
        " solo, partner, base, flyer, spotter, front, middle, back",
        "row 3, column “until”: 2026-03-10 is before 2026-04-07",
        "row 4, column “from”: “3/4/2026” should be a date such as 2026-03-02",
        "row 4, column “until”: missing",
        "row 5, column “until”: 2206-03-17 is more than 20 years from now",
        "row 6: about the same as row 2",
    ]


@pytest.mark.parametrize("header", ["reason", "Why?", "Note", "the_reason", "diagnosis"])
def test_a_column_for_reasons_is_refused_by_name(school, header):
    assert refusal(
        restrictions.load,
        school.teacher,
        Restriction,
        f"{HEADER},{header}",
        "Hana,wrists,2026-03-10,2026-04-07,a sprain",
    ) == [f"row 1, column “{header}”: why is never kept: take this column out"]


def test_a_reason_beside_other_faults(school):
    assert refusal(
        restrictions.load, school.teacher, Restriction, "student,blocks,from,why", "Hana,wrists"
    ) == [
        "row 1, column “why”: why is never kept: take this column out",
        "row 1: no column “until”",
        "row 1: headers that were not understood: why",
    ]


@pytest.mark.parametrize(
    ("content", "fault"),
    [
        ("", "the file: empty: the first row should name the columns"),
        (
            f"{HEADER},from\nHana,wrists,2026-03-10,2026-04-07,",
            "row 1, column “from”: a second column for from",
        ),
        (
            f"{HEADER}\nHana,wrists,2026-03-10,2026-04-07,2026-04-07",
            "row 2: has more cells than the header",
        ),
    ],
)
def test_no_table_of_restrictions(school, content, fault):
    assert refusal(restrictions.load, school.teacher, Restriction, content) == [fault]


def test_strangers_see_nothing(school):
    load(school, HEADER, "Hana,wrists,2026-03-10,2026-04-07")
    for stranger in strangers(school):
        assert restrictions.current(stranger, student_ids=school.ids, on=FIRST) == {}


def test_the_example_loads(school):
    content = (fact_school.EXAMPLES / "restrictions.csv").read_text()
    assert load(school, content) == (3, 0, 0)
