from copy import deepcopy
from dataclasses import replace
from datetime import date
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction

from accounts.models import Studio
from classes import falls
from classes.models import Fall
from curriculum import editions
from tests.classes import fact_school
from tests.classes.fact_school import counts, events, refusal, strangers
from tests.once import once

HEADER = "date,student,skill,role,kind,phase,done,looked_at_on,looked_at_by"
FALL = "2026-02-24,Tariq,Kneeling on a table,flyer,fall,way out,sat out,"
DAY, LOOKED = date(2026, 2, 24), date(2026, 3, 3)


built, school = once(fact_school.build)


def load(scope, *lines, **asked):
    return counts(falls.load, scope, HEADER, *lines, **asked)


def refused(scope, *lines):
    return refusal(falls.load, scope, Fall, HEADER, *lines)


def still_open(school, on, edition=None):
    found = falls.open_falls(school.teacher, student_ids=school.ids, on=on, edition=edition)
    names = {id_: name for name, id_ in school.children.items()}
    return {(names[student_id], skill, role) for student_id, skill, role in found}


def test_a_fall_is_open_from_its_day_until_a_teacher_has_looked(school):
    assert load(school.assistant, FALL) == (1, 0, 0)
    is_open = {("Tariq", "kneeling_on_a_table", "flyer")}
    assert still_open(school, date(2026, 2, 23)) == set()
    assert still_open(school, DAY) == is_open
    assert still_open(school, date(2027, 2, 24)) == is_open
    assert load(school.teacher, FALL + "2026-03-03") == (0, 1, 0)
    assert still_open(school, date(2026, 3, 2)) == is_open
    assert still_open(school, LOOKED) == set()
    assert Fall.objects.get().looked_at_by_id == school.teacher.member_id
    assert (events("enter_fall"), events("look_at_fall"), events("change_fall")) == (1, 1, 0)


def test_the_same_files_again_change_nothing(school):
    for line in (FALL, FALL + "2026-03-03,Marit O."):
        load(school.teacher, line)
        assert load(school.teacher, line) == (0, 0, 1)
    # The assistant's file of before opens nothing that a teacher has closed, nor does hers.
    assert load(school.assistant, FALL) == (0, 0, 1)
    assert load(school.assistant, FALL + "2026-03-03") == (0, 0, 1)
    assert load(school.assistant, FALL + "2026-03-03,Marit O.") == (0, 0, 1)
    assert Fall.objects.get().looked_at_by_id == school.head.member_id
    assert still_open(school, LOOKED) == set()


def test_what_was_written_may_be_mended(school):
    load(school.assistant, FALL)
    line = "2026-02-24,Tariq,kneeling_on_a_table,flyer,Near Miss,hold,,,"
    assert load(school.assistant, line) == (0, 1, 0)
    fall = Fall.objects.get()
    assert (fall.kind, fall.phase, fall.done) == ("near_miss", "hold", "")
    assert events("change_fall") == 1


NUMBERED = HEADER + ",number"
MISS = "2026-02-24,Tariq,Kneeling on a table,flyer,near miss,hold,,"


def numbered(scope, *lines):
    return counts(falls.load, scope, NUMBERED, *lines)


def test_two_of_one_day_are_both_kept(school):
    assert numbered(school.assistant, FALL + ",,", MISS + ",,2") == (2, 0, 0)
    assert numbered(school.assistant, FALL + ",,1", MISS + ",,2") == (0, 0, 2)
    assert load(school.teacher, FALL + "2026-03-03") == (0, 1, 0)
    # The look at one of them says nothing about the other.
    assert still_open(school, LOOKED) == {("Tariq", "kneeling_on_a_table", "flyer")}
    assert numbered(school.teacher, MISS + "2026-03-03,,2") == (0, 1, 0)
    assert still_open(school, LOOKED) == set()
    kept = Fall.objects.order_by("number").values_list("number", "kind", "phase", "done")
    assert list(kept) == [(1, "fall", "way_out", "sat out"), (2, "near_miss", "hold", "")]


@pytest.mark.parametrize(
    "line",
    [
        FALL.replace("fall", "near miss"),
        FALL.replace("way out", "hold"),
        FALL.replace("sat out", ""),
        FALL.replace("sat out", "iced") + "2026-03-04,Marit O.",
    ],
)
def test_what_was_looked_at_is_not_written_over(school, line):
    load(school.teacher, FALL + "2026-03-03")
    sentence = "row 2, column “number”: looked at already; another one of that day takes number"
    assert refused(school.teacher, line) == [f"{sentence} 2"]
    numbered(school.assistant, MISS + ",,2", MISS + ",,4")
    assert refused(school.teacher, line) == [f"{sentence} 3"]


def test_what_is_corrected_may_be_looked_at_in_the_same_row(school):
    load(school.assistant, FALL)
    assert load(school.teacher, MISS + "2026-03-03") == (0, 1, 0)
    assert still_open(school, LOOKED) == set()
    assert Fall.objects.get().kind == "near_miss"


def test_a_number_is_a_whole_one_from_1_and_given_once(school):
    lines = [FALL + f",,{number}" for number in ("0", "1.5", "100", "two", "", "1")]
    assert refusal(falls.load, school.teacher, Fall, NUMBERED, *lines) == [
        "row 2, column “number”: 0 should be between 1 and 99",
        "row 3, column “number”: 1.5 should be a whole number",
        "row 4, column “number”: 100 should be between 1 and 99",
        "row 5, column “number”: “two” should be a number",
        "row 7: about the same as row 6",
    ]


def test_the_database_keeps_numbers_apart_and_from_1(school):
    load(school.assistant, FALL)
    for number in (0, 1):
        again = Fall.objects.get()
        again.pk, again.number, again._state.adding = uuid4(), number, True
        with pytest.raises(IntegrityError), transaction.atomic():
            again.save()
    assert Fall.objects.count() == 1


# -- skills that carry others on -------------------------------------------------------------


def carrying_on(school, *pairs):
    """The edition in use, as if it carried skills on by these pairs of keys."""
    return replace(school.edition(fact_school.TODAY), succession=frozenset(pairs))


KNEELING, SEAT = "kneeling_on_a_table", "seat_on_a_table"


@pytest.mark.parametrize(
    ("pairs", "closed"),
    [
        ([], {KNEELING}),
        ([(KNEELING, "kneel")], {KNEELING, "kneel"}),
        ([(KNEELING, "low"), (KNEELING, "high")], {KNEELING, "low", "high"}),
        ([(KNEELING, "on_top"), (SEAT, "on_top")], {KNEELING, "on_top"}),
        ([("low", "lower"), (KNEELING, "low")], {KNEELING, "low", "lower"}),
        ([(KNEELING, "low"), ("low", "high"), ("high", KNEELING)], {KNEELING, "low", "high"}),
        ([(SEAT, KNEELING)], {KNEELING}),
    ],
    ids=["none", "rename", "split", "merge", "again", "circle", "not backward"],
)
def test_a_fall_closes_what_carries_its_skill_on_until_looked_at(school, pairs, closed):
    edition = carrying_on(school, *pairs)
    load(school.assistant, FALL)
    assert still_open(school, DAY, edition) == {("Tariq", key, "flyer") for key in closed}
    assert still_open(school, DAY) == {("Tariq", KNEELING, "flyer")}
    load(school.teacher, FALL + "2026-03-03")
    assert still_open(school, LOOKED, edition) == set()


def test_both_falls_of_a_merge_are_looked_at_before_it_is_open(school):
    edition = carrying_on(school, (KNEELING, "on_top"), (SEAT, "on_top"))
    other = FALL.replace("Kneeling", "Seat")
    load(school.assistant, FALL, other)
    load(school.teacher, FALL + "2026-03-03")
    assert still_open(school, LOOKED, edition) == {
        ("Tariq", SEAT, "flyer"),
        ("Tariq", "on_top", "flyer"),
    }
    load(school.teacher, other + "2026-03-03")
    assert still_open(school, LOOKED, edition) == set()


@pytest.mark.parametrize("name", ["Kneeling on a table", "Kneeling held low"])
def test_a_fall_of_before_a_rename_can_still_be_looked_at(school, name):
    """Whether or not the card that carries on is called as the one before."""
    load(school.assistant, FALL)
    document = deepcopy(fact_school.CURRICULUM)
    document["skills"]["kneel"] = document["skills"].pop(KNEELING) | {"name": name}
    document["succession"] = [{"from": KNEELING, "to": "kneel"}]
    number = fact_school.publish(school.head, document)
    on = date(2026, 3, 1)
    editions.adopt(
        school.head, studio_id=school.studio_id, number=number, from_date=on, at=fact_school.AT
    )
    edition = school.edition(on)
    closed = {("Tariq", KNEELING, "flyer"), ("Tariq", "kneel", "flyer")}
    assert still_open(school, date(2026, 3, 2), edition) == closed
    assert load(school.teacher, FALL + "2026-03-03") == (0, 1, 0)
    assert still_open(school, LOOKED, edition) == set()
    # From that day on the skill goes by its new name.
    assert load(
        school.assistant, FALL.replace("02-24", "03-03").replace("Kneeling on a table", name)
    ) == (1, 0, 0)
    assert Fall.objects.get(on=LOOKED).skill.key == "kneel"


def test_the_name_of_today_is_that_of_the_day_at_the_studio(school):
    """At noon in UTC the day of the new name has begun there."""
    Studio.objects.filter(id=school.studio_id).update(zone="Pacific/Auckland")
    document = deepcopy(fact_school.CURRICULUM)
    document["skills"]["kneel"] = document["skills"].pop(KNEELING) | {"name": "Kneeling low"}
    number, at = fact_school.publish(school.head, document), fact_school.AT
    asked = {"studio_id": school.studio_id, "number": number, "from_date": date(2026, 3, 12)}
    editions.adopt(school.head, **asked, at=at)
    assert load(school.teacher, FALL.replace("Kneeling on a table", "Kneeling low")) == (1, 0, 0)


def test_looked_at_on_the_spot(school):
    assert load(school.teacher, FALL + "2026-02-24") == (1, 0, 0)
    assert still_open(school, DAY) == set()
    assert (events("enter_fall"), events("look_at_fall")) == (0, 1)


def test_only_a_teacher_has_looked(school):
    sentence = "column “looked_at_on”: to have looked is a teacher's right"
    assert refused(school.assistant, FALL + "2026-03-03", FALL.replace("Tariq", "Bao")) == [
        f"row 2, {sentence}"
    ]
    load(school.teacher, FALL + "2026-03-03")
    for line in (FALL + "2026-03-04", FALL + "2026-03-03,Marit O."):
        assert refused(school.assistant, line) == [f"row 2, {sentence}"]


def test_every_fault_at_once(school):
    assert refused(
        school.teacher,
        "2026-02-24,Tariq,Kneling on a table,flyer,fall,way out,,,",
        "2026-02-24,Tariq,Kneeling on a table,front,slip,landing,,,",
        f"2026-02-24,Tariq,Seat on a table,flyer,fall,hold,{'x' * 81},2026-02-23,",
        "2026-02-24,Tariq,Seat on a table,base,fall,hold,,2026-03-03,Aroha T.",
        "2026-02-24,Tariq,Seat on a table,base,fall,hold,,2026-03-03,Nobody",
        "2026-02-24,Tariq,Seat on a table,base,fall,hold,,,Tendai R.",
        "24.2.2026,Tariq,Handstand,,fall,hold,,,",
        "2026-02-24,Bao,table,solo,fall,hold,,,",
        "2026-02-24,Bao,Hands-and-knees table,solo,near miss,way in,,,",
    ) == [
        "row 2, column “skill”: the curriculum in use has no skill “Kneling on a table”; close to"
        " it: Kneeling on a table, Seat on a table",
        "row 3, column “role”: Kneeling on a table has no role front; it has base, flyer, spotter",
        "row 3, column “kind”: “slip” should be one of fall, near_miss",
        "row 3, column “phase”: “landing” should be one of way_in, hold, way_out, between",
        "row 4, column “done”: longer than 80 characters",
        "row 4, column “looked_at_on”: 2026-02-23 is before the day, 2026-02-24",
        "row 5, column “looked_at_by”: Aroha T. is an assistant: a teacher's right",
        "row 6, column “looked_at_by”: nobody called “Nobody” was on the staff on 2026-03-03",
        "row 7, column “looked_at_on”: missing: somebody looked, but on which day?",
        "row 8, column “skill”: the curriculum in use has no skill “Handstand”; close to it:"
        " Hands-and-knees table",
        "row 8, column “role”: missing",
        "row 10: about the same as row 9",
    ]


def test_a_dry_run_stores_nothing(school):
    assert load(school.assistant, FALL, dry_run=True) == (1, 0, 0)
    assert not Fall.objects.exists()


def test_strangers_see_nothing(school):
    load(school.teacher, FALL)
    for stranger in strangers(school):
        assert falls.open_falls(stranger, student_ids=school.ids, on=DAY) == frozenset()


def test_the_example_loads(school):
    content = (fact_school.EXAMPLES / "falls.csv").read_bytes()
    loaded = falls.load(school.teacher, content=content, at=fact_school.AT)
    assert loaded.new == 3
    assert still_open(school, date(2026, 3, 10)) == {("Bao", "seat_on_a_table", "flyer")}
