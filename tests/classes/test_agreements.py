from contextlib import nullcontext
from datetime import UTC, date, datetime

import pytest

from accounts.faults import BadDocument
from accounts.models import School, Studio
from accounts.scope import NotAllowed
from classes import agreements
from classes.models import Agreement, Measurement, Student
from tests.classes import fact_school
from tests.classes.fact_school import counts, events, refusal, strangers
from tests.once import once

HEADER = "student,kind,agreed_on,withdrawn_on"
BOTH = frozenset({"hands_on", "lifting"})
NONE = frozenset()


built, school = once(fact_school.build)


def load(school, *lines, **asked):
    return counts(agreements.load, school.teacher, *lines, **asked)


def refused(school, *lines):
    return refusal(agreements.load, school.teacher, Agreement, HEADER, *lines)


def standing(school, name, on):
    """What is agreed and what is withdrawn for a child on a date."""
    asked = {"student_ids": school.ids, "on": on}
    id_ = school.children[name]
    return (
        agreements.current(school.teacher, **asked)[id_],
        agreements.withdrawn(school.teacher, **asked)[id_],
    )


def test_an_agreement_holds_from_its_day(school):
    lines = (HEADER, "Amara,hands on,2026-01-12,", "Amara,Lifting,12.1.2026,")
    assert load(school, *lines) == (2, 0, 0)
    assert standing(school, "Amara", date(2026, 1, 11)) == (NONE, NONE)
    assert standing(school, "Amara", date(2026, 1, 12)) == (BOTH, NONE)
    assert standing(school, "Bao", date(2026, 1, 12)) == (NONE, NONE)
    assert load(school, *lines) == (0, 0, 2)
    assert events("agree") == 2


def test_a_withdrawal_holds_from_its_day(school):
    load(school, HEADER, "Amara,hands on,2026-01-12,", "Amara,lifting,2026-01-12,")
    assert load(school, HEADER, "Amara,lifting,2026-01-12,2026-02-20") == (0, 1, 0)
    assert standing(school, "Amara", date(2026, 2, 19)) == (BOTH, NONE)
    after = frozenset({"hands_on"}), frozenset({"lifting"})
    assert standing(school, "Amara", date(2026, 2, 20)) == after
    assert events("withdraw_agreement") == 1


def test_a_withdrawal_ends_every_earlier_agreement(school):
    load(school, HEADER, "Amara,lifting,2026-01-12,", "Amara,lifting,2026-02-02,2026-02-20")
    assert standing(school, "Amara", date(2026, 3, 10)) == (NONE, frozenset({"lifting"}))


def test_on_one_day_the_withdrawal_wins(school):
    load(school, HEADER, "Amara,lifting,2026-02-20,")
    assert load(school, HEADER, "Amara,lifting,2026-01-12,2026-02-20") == (1, 0, 0)
    assert load(school, HEADER, "Bao,lifting,2026-02-20,2026-02-20") == (1, 0, 0)
    for name in ("Amara", "Bao"):
        assert standing(school, name, date(2026, 2, 20)) == (NONE, frozenset({"lifting"}))


def test_agreed_again_on_a_later_day(school):
    load(school, HEADER, "Amara,lifting,2026-01-12,2026-02-20")
    assert load(school, HEADER, "Amara,lifting,2026-02-21,") == (1, 0, 0)
    assert standing(school, "Amara", date(2026, 2, 20)) == (NONE, frozenset({"lifting"}))
    assert standing(school, "Amara", date(2026, 2, 21)) == (frozenset({"lifting"}), NONE)


def test_an_old_file_takes_no_withdrawal_back(school):
    load(school, HEADER, "Amara,lifting,2026-01-12,2026-02-20")
    sentence = "column “agreed_on”: withdrawn on 2026-02-20: what is agreed again has a later date"
    assert refused(school, "Amara,lifting,2026-01-12,", "Amara,lifting,2026-02-20,") == [
        f"row 2, {sentence}",
        f"row 3, {sentence}",
    ]


def with_masses(school):
    School.objects.filter(id=school.id).update(uses_mass=True)
    Student.objects.update(birth_year=2015, birth_month=2)  # eleven since the month before
    for name in ("Amara", "Bao"):
        for kind, value in (("mass_kg", 31.0), ("height_cm", 138.0)):
            Measurement.objects.create(
                school_id=school.id,
                student_id=school.children[name],
                kind=kind,
                on=date(2026, 3, 3),
                value=value,
            )


def masses(school):
    rows = Measurement.objects.filter(kind="mass_kg").values_list("student_id", flat=True)
    return {name for name, id_ in school.children.items() if id_ in rows}


def test_withdrawing_mass_deletes_the_masses_at_once(school):
    with_masses(school)
    load(school, HEADER, "Amara,mass,2026-01-12,", "Bao,mass,2026-01-12,")
    assert masses(school) == {"Amara", "Bao"}
    line = "Amara,mass,2026-01-12,2026-03-10"
    load(school, HEADER, line, dry_run=True)
    assert masses(school) == {"Amara", "Bao"}
    assert load(school, HEADER, line) == (0, 1, 0)
    assert masses(school) == {"Bao"}
    assert Measurement.objects.filter(kind="height_cm").count() == 2
    assert events("delete_mass") == 1


def test_withdrawing_lifting_leaves_the_masses(school):
    with_masses(school)
    load(school, HEADER, "Amara,lifting,2026-01-12,2026-03-10")
    assert masses(school) == {"Amara", "Bao"}


def test_mass_only_where_the_school_records_it(school):
    assert refused(school, "Amara,mass,2026-01-12,") == [
        "row 2, column “kind”: the school does not record masses"
    ]
    # What was agreed while it did can still be withdrawn.
    assert load(school, HEADER, "Amara,mass,2026-01-12,2026-03-10") == (1, 0, 0)


def test_mass_from_the_age_of_the_school_s_policy(school):
    with_masses(school)
    Student.objects.filter(id=school.children["Bao"]).update(birth_month=3)
    assert refused(school, "Amara,mass,2026-01-12,", "Bao,mass,2026-01-12,") == [
        "row 3, column “kind”: masses are recorded from 11 years on"
    ]


@pytest.mark.parametrize(
    ("zone", "at", "refused"),
    [
        ("Pacific/Auckland", datetime(2026, 3, 31, 20, tzinfo=UTC), nullcontext()),
        ("America/Los_Angeles", datetime(2026, 4, 1, 5, tzinfo=UTC), pytest.raises(BadDocument)),
    ],
)
def test_she_is_as_old_as_on_the_day_of_the_studio(school, zone, at, refused):
    with_masses(school)
    Student.objects.update(birth_month=3)  # eleven for certain from April on
    Studio.objects.filter(id=school.studio_id).update(zone=zone)
    row = {"student": school.children["Bao"], "kind": "mass", "withdrawn_on": None}
    with refused:
        agreements.agree(school.teacher, rows=[row | {"agreed_on": date(2026, 3, 31)}], at=at)


def test_an_assistant_may_not(school):
    with pytest.raises(NotAllowed, match="loading agreements: a teacher's right"):
        counts(agreements.load, school.assistant, HEADER, "Amara,lifting,2026-01-12,")


def test_every_fault_at_once(school):
    assert refused(
        school,
        "Amara,lifting,2026-01-12,",
        ",lifts,2026-02-30,",
        "Bao,hands on,2026-01-12,2026-01-11",
        "Bao,lifting,,soon",
        "Amara,lifting,2026-01-12,2026-02-20",
    ) == [
        "row 3, column “student”: missing",
        "row 3, column “kind”: “lifts” should be one of hands_on, lifting, mass",
        "row 3, column “agreed_on”: “2026-02-30” should be a date such as 2026-03-02",
        "row 4, column “withdrawn_on”: 2026-01-11 is before it was agreed on 2026-01-12",
        "row 5, column “agreed_on”: missing",
        "row 5, column “withdrawn_on”: “soon” should be a date such as 2026-03-02",
        "row 6: about the same as row 2",
    ]


def test_columns_that_are_not_there(school):
    assert refusal(agreements.load, school.teacher, Agreement, "name;agreed on", "Amara;x") == [
        "row 1: no column “student”",
        "row 1: no column “kind”",
        "row 1: headers that were not understood: name",
    ]


def test_strangers_see_nothing(school):
    load(school, HEADER, "Amara,lifting,2026-01-12,")
    for stranger in strangers(school):
        asked = {"student_ids": school.ids, "on": date(2026, 3, 10)}
        assert agreements.current(stranger, **asked) == {}
        assert agreements.withdrawn(stranger, **asked) == {}


def test_the_example_loads(school):
    content = (fact_school.EXAMPLES / "agreements.csv").read_text()
    assert load(school, content) == (6, 0, 0)
    assert standing(school, "Bao", date(2026, 3, 10)) == (
        frozenset({"hands_on"}),
        frozenset({"lifting"}),
    )
