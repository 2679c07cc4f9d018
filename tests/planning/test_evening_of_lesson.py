"""An evening as it was entered: who is here, who is free to spot, mats, the floor, the note."""

from dataclasses import replace
from datetime import timedelta
from uuid import uuid4

import pytest

from accounts.models import Member, School
from accounts.scope import Unknown
from classes.models import Enrolment, Lesson, LessonSpotter, Student
from planning import evening
from planning.gates import class_stops
from planning.sheet import as_text
from planning.tonight import make_sheet
from tests import factories
from tests.once import once
from tests.planning import build, school
from tests.planning.build import CARDS, ON, PROPS, pupils

built, rows = once(lambda: school.build(*pupils("Amara", "Bao", tries=PROPS)))


def stored(rows, scope=None, on=ON):
    return evening.of_lesson(scope or rows.teacher, lesson_id=rows.lesson(on).id, today=on)


def free(rows, *names, on=ON):
    for name in names:
        LessonSpotter.objects.create(
            school_id=rows.id, lesson=rows.lesson(on), member=Member.objects.get(name=name)
        )


def test_it_is_the_evening_that_is_asked_for_by_name(rows):
    rows.attended("Bao", "not_today")
    free(rows, "Aroha T.")
    typed = rows.load()
    found = stored(rows)
    assert as_text(make_sheet(found)[0]) == as_text(make_sheet(typed)[0])
    assert (found.as_of, found.spotters, found.mats) == (typed.as_of, typed.spotters, 8)


def test_what_was_said_about_the_evening(rows):
    rows.lesson()
    Lesson.objects.update(mats=0, surface="grass", note="the key is with Marit", minutes=30)
    found = stored(rows)
    assert (found.mats, found.surface, found.minutes) == (0, "grass", 30)
    assert found.note == "the key is with Marit"
    Lesson.objects.update(mats=None, surface="")
    assert (stored(rows).mats, stored(rows).surface) == (8, None)


@pytest.mark.parametrize("asking", ["teacher", "assistant", "head"])
def test_the_adults_are_those_entered_whoever_asks(rows, asking):
    """Aroha opens the sheet of the lesson in which she spots; Wiremu is of another studio."""
    elsewhere = factories.StudioFactory(school_id=rows.id, name="Quayside Hall")
    factories.MemberFactory(
        school_id=rows.id, name="Wiremu", role="assistant", may_spot=["all"], studios=[elsewhere]
    )
    free(rows, "Zeynep A.", "Aroha T.", "Wiremu", "Bram V.")  # Bram is a minor
    found = stored(rows, getattr(rows, asking))
    assert [adult.name for adult in found.spotters] == ["Aroha T.", "Wiremu", "Zeynep A."]
    assert found.adults_in_room == 4


def test_no_stop_hangs_on_who_opens_the_sheet(rows):
    """A head teacher at her desk is no adult in the room, Aroha on her phone is free to spot."""
    free(rows, "Aroha T.")
    assert class_stops(stored(rows), CARDS["seat"]) == ()
    School.objects.update(adults_in_room=3)
    told = {
        tuple(stop.sentence for stop in class_stops(stored(rows, scope), CARDS["seat"]))
        for scope in (rows.teacher, rows.assistant, rows.head)
    }
    assert told == {("three adults should be in the room for this, two are named",)}


def test_an_adult_whose_access_has_ended_does_not_spot(rows):
    free(rows, "Aroha T.")
    Member.objects.filter(name="Aroha T.").update(until=ON - timedelta(days=1))
    assert stored(rows).spotters == ()


def test_who_was_entered_without_a_place_is_a_visitor(rows):
    other = factories.ClassFactory(studio=rows.klass.studio, name="Thursday second year")
    for name in ("Aurelio", "Oğuz"):
        rows.children[name] = factories.StudentFactory(
            school_id=rows.id, identity__given_name=name, classes=[other]
        ).id
    Enrolment.objects.filter(student_id=rows.children["Oğuz"]).update(trial=True)
    rows.attended("Aurelio", "here")
    rows.attended("Oğuz", "away")
    found = stored(rows)
    assert [(one.name, one.rank, one.trial) for one in found.here] == [
        ("Amara", "001", False),
        ("Aurelio", "002", False),
        ("Bao", "003", False),
    ]
    assert [(one.name, one.trial) for one in found.away] == [("Oğuz", True)]
    assert [one.name for one in stored(rows, on=ON + timedelta(weeks=1)).here] == ["Amara", "Bao"]


def test_a_visitor_who_went_to_another_studio_is_who_she_is_there_whoever_asks(rows):
    far = factories.StudioFactory(school_id=rows.id, name="Brae Loft", zone="Europe/Lisbon")
    for name, trial in (("Aurelio", False), ("Oğuz", True)):
        klass = factories.ClassFactory(studio=far, name=f"the class of {name}")
        rows.children[name] = factories.StudentFactory(
            school_id=rows.id, identity__given_name=name, classes=[klass, rows.klass]
        ).id
        places = Enrolment.objects.filter(student_id=rows.children[name])
        places.filter(group_class=klass).update(trial=trial)
        places.exclude(group_class=klass).update(until=ON - timedelta(days=1))
        rows.attended(name, "here")
    everywhere = replace(rows.head, studio_ids=rows.head.studio_ids | {far.id})
    for by in (rows.teacher, everywhere):
        found = stored(rows, by)
        told = [build.child(found, name) for name in ("Aurelio", "Oğuz")]
        assert [one.trial for one in told] == [False, True]


def test_a_visitor_who_has_left_the_school_is_on_trial(rows):
    other = factories.ClassFactory(studio=rows.klass.studio, name="Thursday second year")
    rows.children["Oğuz"] = factories.StudentFactory(
        school_id=rows.id, identity__given_name="Oğuz", classes=[other]
    ).id
    rows.attended("Oğuz", "here")
    assert not build.child(stored(rows), "Oğuz").trial
    for left_on, trial in ((ON, False), (ON - timedelta(days=1), True)):
        Student.objects.filter(id=rows.children["Oğuz"]).update(left_on=left_on)
        assert build.child(stored(rows), "Oğuz").trial == trial


def test_a_child_whose_age_nobody_has_told_is_not_lifted(rows):
    bao = rows.children["Bao"]
    Student.objects.filter(id=bao).update(birth_year=None, birth_month=None)
    found = stored(rows)
    assert build.child(found, "Bao").age is None
    assert build.child(found, "Amara").age == 9


def test_a_lesson_that_was_cancelled(rows):
    rows.lesson()
    assert stored(rows).closed is None
    Lesson.objects.update(state="cancelled")
    assert stored(rows).closed == "it was cancelled"


def test_a_lesson_that_is_not_in_sight(rows):
    for scope, lesson_id in (
        (rows.teacher, uuid4()),
        (replace(rows.teacher, studio_ids=frozenset()), rows.lesson().id),
        (school.build(name="Another school").head, rows.lesson().id),
    ):
        with pytest.raises(Unknown, match="no such lesson"):
            evening.of_lesson(scope, lesson_id=lesson_id, today=ON)
