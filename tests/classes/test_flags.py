"""What is told of stored rows: each flag from both sides of its boundary."""

import random
from dataclasses import replace
from datetime import timedelta
from uuid import UUID, uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from accounts.models import Member, MemberStudio, Studio
from classes import attendance, classes, flags, lessons, yeses
from classes.attempt_rows import STORED_COLUMNS, stored
from classes.models import (
    Attempt,
    Attendance,
    Class,
    Enrolment,
    Fall,
    Lesson,
    Restriction,
    Student,
    Yes,
)
from curriculum import editions
from tests.classes import fact_school, log_rows
from tests.classes.fact_school import AT, CURRICULUM
from tests.classes.log_rows import RECEIVED, receive, row, said, store
from tests.classes.log_school import SECOND, THIRD
from tests.depth import cases
from tests.once import once

DAY = timedelta(days=1)
LIFT, FLYER = "seat_on_a_table", "flyer"


built, school = once(log_rows.build)


def told(school, **changes):
    """The flags of one row about Amara that is handed in now."""
    number = Attempt.objects.count() + 1
    return receive(school, said(school, number=number, **changes))[0].flags


def all_told(school):
    """The flags of all rows of the log, by the number of their id."""
    rows = [stored(values) for values in Attempt.objects.values_list(*STORED_COLUMNS)]
    return {id_.int: found for id_, found in flags.of(school.head, rows=rows).items()}


def lift(school, **changes):
    return told(school, skill_id=school.skills[LIFT], role=FLYER, **changes)


def give_yes(school, given_on=SECOND, **changes):
    values = {
        "school_id": school.id,
        "student_id": school.children["Amara"],
        "skill_id": school.skills[LIFT],
        "role": FLYER,
        "kind": "begin",
        "given_on": given_on,
        "member_id": school.teacher.member_id,
    }
    return Yes.objects.create(**values | changes)


def test_nothing_is_told_of_nothing(school):
    assert flags.of(school.head, rows=[]) == {}


def test_on_the_floor_nobody_needs_a_yes(school):
    assert told(school) == ()


def test_a_lift_without_a_yes(school):
    assert lift(school) == ("no_yes",)
    give_yes(school, kind="show")
    give_yes(school, role="base")
    give_yes(school, given_on=THIRD + DAY)
    give_yes(school, lesson_id=school.lesson_id(SECOND))
    assert lift(school) == ("no_yes",)
    give_yes(school, given_on=THIRD)
    assert lift(school) == ()
    assert all_told(school) == {1: (), 2: (), 3: ()}  # told by what is known now


def test_a_yes_for_the_evening(school):
    give_yes(school, given_on=THIRD, lesson_id=school.lesson_id(THIRD))
    assert lift(school) == ()


def test_what_was_taken_back_breaks_no_policy(school):
    assert lift(school, outcome="removed") == ()


def restrict(school, blocks, first, last):
    Restriction.objects.create(
        school_id=school.id,
        student_id=school.children["Amara"],
        blocks=blocks,
        from_date=first,
        until=last,
    )


def test_a_restriction_holds_on_its_first_and_last_day(school):
    restrict(school, "solo", THIRD + DAY, THIRD + 9 * DAY)
    restrict(school, "solo", THIRD - 9 * DAY, THIRD - DAY)
    restrict(school, "flyer", THIRD, THIRD)
    assert told(school) == ()
    restrict(school, "solo", THIRD, THIRD)
    assert told(school) == ("restricted",)


def adopt(school, from_date, **changes):
    """Another edition, in which the lift's card is another."""
    card = CURRICULUM["skills"][LIFT] | changes
    document = CURRICULUM | {"skills": CURRICULUM["skills"] | {LIFT: card}}
    number = fact_school.publish(school.head, document)
    editions.adopt(
        school.head, studio_id=school.studio_id, number=number, from_date=from_date, at=AT
    )


def test_a_load_of_the_card_in_the_role(school):
    give_yes(school, given_on=THIRD)
    restrict(school, "back_bend", THIRD, THIRD)
    assert lift(school) == ()
    adopt(school, THIRD, roles={"base": {"loads": ["wrists"]}, "flyer": {"loads": ["back_bend"]}})
    assert lift(school) == ("restricted",)
    assert all_told(school) == {1: (), 2: ("restricted",)}  # each by the edition of its day


def test_too_young_for_the_card(school):
    give_yes(school, given_on=THIRD)
    adopt(school, THIRD, youngest_age=9)
    amara = Student.objects.filter(id=school.children["Amara"])
    amara.update(birth_year=2017, birth_month=3)
    assert lift(school) == ("too_young",)
    amara.update(birth_year=2017, birth_month=2)
    assert lift(school) == ()
    amara.update(birth_year=None, birth_month=None)
    assert lift(school) == ()


def test_a_trial_child_is_lifted(school):
    give_yes(school, given_on=THIRD)
    place = Enrolment.objects.filter(student_id=school.children["Amara"])
    place.update(trial=True)
    assert told(school) == ()
    assert lift(school) == ("trial",)
    place.update(until=THIRD - DAY)
    Enrolment.objects.create(
        school_id=school.id,
        student_id=school.children["Amara"],
        group_class_id=school.klass.id,
        from_date=THIRD,
    )
    assert lift(school) == ()


def test_all_at_once_in_their_order(school):
    adopt(school, THIRD, youngest_age=18)
    restrict(school, "flyer", THIRD, THIRD)
    Enrolment.objects.filter(student_id=school.children["Amara"]).update(trial=True)
    MemberStudio.objects.filter(member_id=school.assistant.member_id).update(
        ended_at=RECEIVED - timedelta(hours=1)
    )
    one = said(school, skill_id=school.skills[LIFT], role=FLYER, happened_at="2026-03-10T16:00:00Z")
    late = replace(school.assistant, studio_ids=frozenset())
    (answer,) = receive(school, one, scope=late)
    assert answer.flags == ("no_yes", "restricted", "too_young", "trial", "late")


def test_a_row_that_another_handed_in_is_not_late(school):
    """Nor one of somebody whose access ended later, or who has the studio again."""
    receive(school, said(school))
    places = MemberStudio.objects.filter(member_id=school.assistant.member_id)
    places.update(ended_at=RECEIVED)
    assert all_told(school) == {1: ()}
    places.update(ended_at=RECEIVED - DAY)
    assert all_told(school) == {1: ("late",)}
    Attempt.objects.update(sent_by_id=school.head.member_id)
    assert all_told(school) == {1: ()}
    Attempt.objects.update(sent_by_id=school.assistant.member_id)
    MemberStudio.objects.create(
        school_id=school.id, member_id=school.assistant.member_id, studio_id=school.studio_id
    )
    assert all_told(school) == {1: ()}


def test_the_last_day_of_a_cover_teacher_ends_at_midnight_there(school):
    receive(school, said(school), received_at=RECEIVED)
    member = Member.objects.filter(id=school.assistant.member_id)
    member.update(until=THIRD)
    assert all_told(school) == {1: ()}
    member.update(until=THIRD - DAY)
    assert all_told(school) == {1: ("late",)}


def test_times_that_were_written_down_are_no_wrong_clock(school):
    store(school, row(school, happened_at=RECEIVED + DAY), dated=True)
    store(school, row(school, number=2, happened_at=RECEIVED + DAY))
    assert all_told(school) == {1: (), 2: ("clock",)}


def test_one_statement_whatever_the_number(school):
    give_yes(school)
    lift = {"skill_id": school.skills[LIFT], "role": FLYER}
    receive(school, *(said(school, number=n + 1, **lift) for n in range(60)))
    rows = [stored(values) for values in Attempt.objects.values_list(*STORED_COLUMNS)]
    for some in (rows[:1], rows):
        with CaptureQueriesContext(connection) as captured:
            flags.of(school.head, rows=some)
        assert len(captured) == 1


def test_a_break_is_none_where_she_dances_in_another_studio(school):
    """For her teachers there and here a yes holds, or does not, alike."""
    studio = Studio.objects.create(school_id=school.id, name="Brae Loft", zone="Europe/Lisbon")
    group = Class.objects.create(
        school_id=school.id, studio=studio, name="Brae lifts", weekday=4, starts_at="17:00"
    )
    child = school.children["Amara"]
    places = {"school_id": school.id, "group_class": group, "student_id": child}
    Enrolment.objects.create(from_date=SECOND - timedelta(weeks=30), **places)
    both = replace(school.head, studio_ids=school.head.studio_ids | {studio.id})
    begun = THIRD - timedelta(weeks=14)
    school.tried("Amara", begun)
    give_yes(school, given_on=begun)
    klass = classes.find(both, class_id=group.id)
    asked = {"student_ids": [child], "on": THIRD, "lesson_id": school.lesson_id(THIRD)}
    asked["edition"] = school.edition(THIRD)
    assert yeses.current(school.teacher, **asked) == frozenset()
    assert lift(school) == ("no_yes",)
    for on in (begun + 20 * DAY, begun + 40 * DAY, begun + 60 * DAY, begun + 80 * DAY):
        there = lessons.ensure(both, klass=klass, on=on)
        school.tried("Amara", on, lesson=Lesson.objects.get(id=there.id))
    for scope in (school.teacher, both):
        assert yeses.current(scope, **asked) == {(child, LIFT, FLYER, "begin")}
    assert lift(school) == ()


# -- a slow twin: the rule that planning asks --------------------------------------------------


def chance(school, dice):
    """A term of presence, yeses, falls and editions by chance."""
    weeks = [THIRD - timedelta(weeks=n) for n in range(14)]
    for name in ("Amara", "Bao", "Hana"):
        child = school.children[name]
        for on in weeks:
            if dice.random() < 0.35:
                continue
            lesson = school.lesson(on)
            for revision in range(1, dice.choice([2, 2, 3])):
                Attendance.objects.create(
                    school_id=school.id,
                    id=uuid4(),
                    attendance=attendance.attendance_id(lesson.id, child),
                    revision=revision,
                    lesson=lesson,
                    student_id=child,
                    state=dice.choice(["here", "here", "away", "not_today"]),
                    member_id=school.teacher.member_id,
                    at=AT,
                )
        for on in dice.sample(weeks, 2):
            school.tried(name, on, outcome=dice.choice(["clean", "removed"]))
        for on in dice.sample(weeks, 3):
            lesson_id = dice.choice([None, school.lesson(on).id])
            give_yes(school, on, student_id=child, lesson_id=lesson_id)
        for on in dice.sample(weeks, dice.choice([0, 0, 1])):
            looked = dice.choice([None, on, on + DAY, on + 14 * DAY])
            Fall.objects.create(
                school_id=school.id,
                student_id=child,
                skill_id=school.skills[LIFT],
                role=FLYER,
                kind="fall",
                phase="hold",
                on=on,
                looked_at_on=looked,
                looked_at_by_id=looked and school.teacher.member_id,
            )
    for number, on in enumerate(dice.sample(weeks, dice.choice([0, 1, 2]))):
        changes = dice.choice([{}, {"criterion": f"{number + 2} s, feet off the floor"}])
        adopt(school, on, **changes)


@pytest.mark.parametrize("seed", cases(3, 40))
def test_a_yes_holds_by_the_rule_that_planning_asks(school, seed):
    chance(school, random.Random(seed))
    number, expected = 0, {}
    for on in (THIRD - timedelta(weeks=n) for n in range(14)):
        edition = school.edition(on)
        holds = yeses.current(
            school.head,
            student_ids=school.ids,
            on=on,
            lesson_id=school.lesson(on).id,
            edition=edition,
        )
        for name in ("Amara", "Bao", "Hana"):
            number += 1
            happened_at = school.lesson(on).starts_at
            store(
                school,
                row(
                    school,
                    name,
                    number,
                    skill_id=school.skills[LIFT],
                    role=FLYER,
                    lesson_id=school.lesson_id(on),
                    edition_id=edition.id,
                    local_date=on,
                    happened_at=happened_at,
                    outcome="removed",
                ),
            )
            expected[number] = (school.children[name], LIFT, FLYER, "begin") in holds
    # As taken back they did not change who was here; told as if they had been made.
    rows = [
        stored([*values[:7], "clean", *values[8:]])
        for values in Attempt.objects.filter(id__lte=UUID(int=number)).values_list(*STORED_COLUMNS)
    ]
    found = {id_.int: told for id_, told in flags.of(school.head, rows=rows).items()}
    assert {n: "no_yes" not in found[n] for n in expected} == expected
    assert True in expected.values()
    assert False in expected.values()
