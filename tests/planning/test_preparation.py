"""What is worked out overnight for the coming lessons: ids and keys, told by name."""

import json
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from accounts.models import Member
from accounts.scope import NotAllowed, Unknown, scope_of_school
from classes import lessons
from classes.models import Closure, Lesson, LessonSpotter, Measurement
from curriculum.models import Adoption
from planning import preparation
from planning.models import Preparation
from tests import factories
from tests.once import once
from tests.planning import school
from tests.planning.build import ON, PROPS, Pupil, pupils

SUNDAY = datetime(2026, 3, 8, 1, 10, tzinfo=UTC)
EMPTY = ((), (), (), (), (), ())


built, rows = once(lambda: school.build(*pupils("Amara", "Bao", "Hana", tries=PROPS)))


@pytest.fixture
def job(rows):
    return scope_of_school(school_id=rows.id)


def lesson_id(rows, on=ON):
    return lessons.lesson_id(rows.klass.id, on)


def prepared(rows, job, *, now=SUNDAY, scope=None, on=ON):
    preparation.prepare(job, lesson_id=lesson_id(rows, on), now=now)
    return told(rows, scope=scope, on=on)


def told(rows, *, scope=None, on=ON):
    return preparation.prepared(
        scope or rows.teacher, lesson_id=lesson_id(rows, on), today=SUNDAY.date()
    )


def free(rows, name):
    LessonSpotter.objects.create(
        school_id=rows.id, lesson=rows.lesson(), member=Member.objects.get(name=name)
    )


def keys(found):
    return [one.skill for one in found]


# -- which lessons -----------------------------------------------------------------------------


def test_the_lessons_of_the_next_seven_days_stored_or_not(rows, job):
    assert preparation.coming(job, now=SUNDAY) == (lesson_id(rows),)
    assert not Lesson.objects.filter(on=ON).exists()
    starts = datetime(2026, 3, 10, 17, 0, tzinfo=UTC)
    week = timedelta(days=7)
    assert preparation.coming(job, now=starts) == (lesson_id(rows, ON + week),)
    assert preparation.coming(job, now=starts - timedelta(seconds=1)) == (lesson_id(rows),)
    assert preparation.coming(job, now=starts - week) == (lesson_id(rows),)


def test_no_lesson_that_does_not_meet(rows, job):
    Closure.objects.create(school_id=rows.id, name="flood", first_on=ON, last_on=ON)
    assert preparation.coming(job, now=SUNDAY) == ()


def test_no_lesson_without_a_curriculum(rows, job):
    Adoption.objects.all().delete()
    assert preparation.coming(job, now=SUNDAY) == ()


def test_it_asks_as_often_for_many_classes(rows, job):
    with CaptureQueriesContext(connection) as asked:
        preparation.coming(job, now=SUNDAY)
    factories.ClassFactory.create_batch(5, studio=rows.klass.studio)
    with CaptureQueriesContext(connection) as again:
        assert len(preparation.coming(job, now=SUNDAY)) == 6
    assert len(again) == len(asked)


def test_no_lesson_of_another_school(rows, job):
    other = school.build(name="Another School")
    assert preparation.coming(job, now=SUNDAY) == (lesson_id(rows),)
    with pytest.raises(Unknown):
        preparation.prepare(job, lesson_id=lesson_id(other), now=SUNDAY)
    assert not Preparation.objects.exists()


# -- what is worked out ------------------------------------------------------------------------


def test_skills_that_suit_if_those_who_may_spot_come(rows, job):
    found = prepared(rows, job)
    assert not found.spotters_named
    assert "chest_rest" in keys(found.together)
    assert {one.name for one in found.together} >= {"Chest rest"}
    assert "bridge" in keys(found.alone)
    assert found.made_at == SUNDAY


def test_skills_that_suit_the_adults_who_were_named(rows, job):
    free(rows, "Zeynep A.")  # she spots leans alone
    found = prepared(rows, job)
    assert found.spotters_named
    assert "chest_rest" not in keys(found.together)
    free(rows, "Aroha T.")
    assert "chest_rest" in keys(prepared(rows, job).together)


def test_who_comes_back_after_a_break(rows, job):
    for name, days in (("Mireille", 22), ("Tariq", 21), ("Zeno", None)):
        rows.add(Pupil(name))
        if days:
            rows.attended(name, "here", ON - timedelta(days=days))
    # Those of whom tries are logged were here a week ago; nobody knows when Zeno was.
    assert [one.name for one in prepared(rows, job).first_back] == ["Mireille"]


def test_heights_older_than_the_policy_never_masses(rows, job):
    Measurement.objects.all().delete()
    oldest = ON - timedelta(days=120)
    for name, kind, on in (
        ("Amara", "height_cm", oldest - timedelta(days=1)),
        ("Bao", "height_cm", oldest),
        ("Hana", "mass_kg", oldest - timedelta(days=9)),
    ):
        Measurement.objects.create(
            school_id=rows.id, student_id=rows.children[name], kind=kind, on=on, value=131.0
        )
    assert [one.name for one in prepared(rows, job).old_heights] == ["Amara"]


def test_a_pair_that_runs_out_before_the_lesson(rows, job):
    rows.pair("Amara", "Bao", given_on=ON - timedelta(days=121))
    rows.pair("Bao", "Hana", given_on=ON - timedelta(days=120))
    rows.pair("Hana", "Amara", given_on=ON - timedelta(days=130))
    [pair] = prepared(rows, job).pairs
    assert (pair.base, pair.flyer) == (rows.children["Amara"], rows.children["Bao"])
    assert (pair.base_name, pair.flyer_name) == ("Amara", "Bao")


@pytest.mark.parametrize(
    ("zone", "hour", "holds"), [("America/Los_Angeles", 26, True), ("Pacific/Auckland", 20, False)]
)
def test_what_holds_when_it_is_looked_at_holds_by_the_date_there(rows, job, zone, hour, holds):
    type(rows.klass.studio).objects.filter(id=rows.klass.studio_id).update(zone=zone)
    rows.pair("Amara", "Bao", given_on=ON - timedelta(days=120))  # to the end of that day
    now = datetime(ON.year, ON.month, ON.day, tzinfo=UTC) + timedelta(hours=hour)
    found = prepared(rows, job, now=now, on=ON + timedelta(days=7))
    assert bool(found.pairs) is holds


def test_a_yes_that_runs_out_since_she_was_away_so_long(rows, job):
    last = ON - timedelta(weeks=3, days=1)  # one day more than the policy's weeks at the lesson
    rows.add(Pupil("Mireille"))
    rows.attended("Mireille", "here", last - timedelta(days=1))
    rows.attended("Mireille", "here", last)
    rows.say_yes("Mireille", "seat", "base", given_on=last)
    rows.say_yes("Amara", "seat", "base", given_on=SUNDAY.date())
    [ends] = prepared(rows, job).yeses
    assert ends == preparation.YesEnding(
        student=rows.children["Mireille"],
        name="Mireille",
        skill="seat",
        skill_name="Seat on a table",
        role="base",
        kind="begin",
    )


# -- how it is kept and told -------------------------------------------------------------------


def test_it_keeps_keys_and_ids_and_no_name(rows, job):
    prepared(rows, job)
    kept = json.dumps(Preparation.objects.get().document)
    assert not [name for name in (*rows.children, "Chest rest", "Aroha") if name in kept]


def test_twice_is_once_and_the_later_one_stands(rows, job):
    first = prepared(rows, job)
    again = prepared(rows, job, now=SUNDAY + timedelta(hours=2))
    assert again == replace(first, made_at=SUNDAY + timedelta(hours=2))
    assert Preparation.objects.count() == Lesson.objects.filter(on=ON).count() == 1


def test_before_anything_is_worked_out_it_is_empty(rows):
    found = told(rows)
    assert (found.made_at, found.spotters_named) == (None, False)
    assert (found.together, found.alone, found.first_back, *EMPTY[3:]) == EMPTY


def test_it_is_told_to_who_teaches_there(rows, job):
    preparation.prepare(job, lesson_id=lesson_id(rows), now=SUNDAY)
    assert told(rows, scope=rows.head) == told(rows)
    with pytest.raises(NotAllowed, match="a teacher's right"):
        told(rows, scope=rows.assistant)
    for scope in (
        replace(rows.teacher, studio_ids=frozenset()),
        school.build(name="Another School").head,
    ):
        with pytest.raises(Unknown):
            told(rows, scope=scope)
    with pytest.raises(Unknown):
        preparation.prepared(rows.teacher, lesson_id=uuid4(), today=date(2026, 3, 8))


def test_what_has_gone_since_is_left_out(rows, job):
    preparation.prepare(job, lesson_id=lesson_id(rows), now=SUNDAY)
    row = Preparation.objects.get()
    gone = str(uuid4())
    amara = str(rows.children["Amara"])
    row.document |= {
        "alone": [{"skill": "gone", "carries_on": False}],
        "first_back": [gone, amara],
        "yeses": [[gone, "seat", "base", "begin"], [amara, "gone", "base", "begin"]],
        "pairs": [[amara, gone]],
    }
    row.save()
    found = told(rows)
    assert (found.alone, found.yeses, found.pairs) == ((), (), ())
    assert [one.name for one in found.first_back] == ["Amara"]


def test_an_evening_without_children_or_curriculum(db):
    empty = school.build(name="Another school")
    job = scope_of_school(school_id=empty.id)
    found = prepared(empty, job)
    assert (found.together, found.alone, found.first_back, *EMPTY[3:]) == EMPTY
    factories.StudioFactory(school_id=empty.id)
    Adoption.objects.all().delete()
    assert told(empty).made_at == SUNDAY
    with pytest.raises(Unknown):
        preparation.prepare(job, lesson_id=lesson_id(empty), now=SUNDAY)
