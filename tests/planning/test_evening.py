from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

import pytest

from accounts.models import Member, School
from accounts.scope import Unknown
from classes.models import (
    Agreement,
    Class,
    Closure,
    Enrolment,
    Identity,
    Measurement,
    Restriction,
    Student,
    Wish,
)
from curriculum import editions
from planning.evening import next_meeting
from planning.sheet import as_text
from planning.tonight import make_sheet
from tests import factories
from tests.factories import AT
from tests.once import once
from tests.planning import build, school
from tests.planning.build import (
    DOCUMENTS,
    HANDS_ON,
    KLASS,
    LEANS,
    LIFTED,
    ON,
    PROPS,
    Pupil,
    clean,
    pupils,
)

LATER = ON + timedelta(days=54)
OTHER = "Another school"

CLASS = (
    Pupil("Amara", (*PROPS, *clean("lean", role="partner", weeks=(2, 1), group="two"))),
    Pupil("Bao", **LIFTED | {"restricted": (("wrists", LATER),)}),
    Pupil("Demba", (*LEANS, *clean("lean", role="partner", weeks=(2, 1), group="two")), age=6),
    Pupil("Hana", PROPS, not_today=True),
    Pupil("Ikaika", **LIFTED | {"trial": True}),
    Pupil("Mireille", **LIFTED | {"height_on": ON - timedelta(days=121)}),
    Pupil("Nguyệt", last_here=None),
    Pupil("Rangi", clean("tight", weeks=(9, 5)), last_here=ON - timedelta(weeks=5)),
    Pupil("Tariq", **LIFTED | {"agreed": HANDS_ON, "withdrawn": frozenset({"lifting"})}),
)


def text(evening, *skills):
    return as_text(make_sheet(evening, skills=skills)[0])


def child(evening, name):
    return build.child(evening, name)


def away(evening):
    return [one.name for one in evening.away]


@pytest.mark.django_db
def test_a_school_s_rows_make_the_evening_that_the_tests_make_by_hand():
    rows = school.build(*CLASS, name=OTHER)
    rows.fell("Bao", "chest_rest", "flyer")
    rows.say_yes("Bao", "seat", "flyer")
    rows.pair("Mireille", "Bao")
    loaded = rows.load()
    by_hand = build.evening(
        *CLASS,
        yeses=[("Bao", "seat", "flyer")],
        pairs_ok=[("Mireille", "Bao")],
        open_falls=[("Bao", "chest_rest", "flyer")],
    )
    by_hand = replace(by_hand, edition=replace(by_hand.edition, number=1))
    for skills in ((), ("seat", "chest_rest", "lean")):
        assert text(loaded, *skills) == text(by_hand, *skills)
    assert [(one.name, one.rank) for one in loaded.here] == [
        (one.name, one.rank) for one in by_hand.here
    ]
    for name in ("Amara", "Bao", "Rangi", "Nguyệt"):
        assert child(loaded, name).judged == child(by_hand, name).judged


# -- each fact up to its last day ------------------------------------------------------------


built, rows = once(lambda: school.build(*pupils("Amara", "Bao", tries=PROPS)))


@pytest.mark.parametrize(("until", "rests"), [(-1, False), (0, True), (1, True)])
def test_what_rests_does_until_its_last_day(rows, until, rests):
    Restriction.objects.create(
        school_id=rows.id,
        student_id=rows.children["Bao"],
        blocks="wrists",
        from_date=ON - timedelta(days=9),
        until=ON + timedelta(days=until),
    )
    assert bool(child(rows.load(), "Bao").restricted) == rests


@pytest.mark.parametrize(("agreed_on", "stands"), [(0, True), (1, False)])
def test_an_agreement_stands_from_its_day(rows, agreed_on, stands):
    Agreement.objects.create(
        school_id=rows.id,
        student_id=rows.children["Bao"],
        kind="lifting",
        agreed_on=ON + timedelta(days=agreed_on),
    )
    assert ("lifting" in child(rows.load(), "Bao").agreed) == stands


@pytest.mark.parametrize(("given_on", "holds"), [(120, True), (121, False)])
def test_a_pair_check_holds_for_the_school_s_days(rows, given_on, holds):
    rows.pair("Amara", "Bao", ON - timedelta(days=given_on))
    assert bool(rows.load().pairs_ok) == holds


def test_masses_only_where_the_school_uses_them(rows):
    same = {"school_id": rows.id, "student_id": rows.children["Bao"]}
    Measurement.objects.create(**same, kind="mass_kg", on=ON, value=27.0)
    Agreement.objects.create(**same, kind="mass", agreed_on=ON)
    assert child(rows.load(), "Bao").mass_kg is None
    School.objects.update(uses_mass=True)
    assert child(rows.load(), "Bao").mass_kg is None  # she is nine, and eleven is the youngest
    Student.objects.filter(id=rows.children["Bao"]).update(birth_year=2014)
    assert child(rows.load(), "Bao").mass_kg == 27.0


def test_who_is_kept_apart(rows):
    a, b = sorted(rows.children.values())
    Wish.objects.create(school_id=rows.id, a_id=a, b_id=b, kind="apart", from_date=ON, until=ON)
    assert rows.load().apart == {(a, b)}
    assert rows.load(on=ON + timedelta(weeks=1)).apart == frozenset()


# -- who is here -----------------------------------------------------------------------------


def test_what_is_said_now_is_stronger_than_what_was_entered(rows):
    rows.attended("Amara", "away")
    rows.attended("Bao", "not_today")
    entered = rows.load()
    assert away(entered) == ["Amara"]
    assert [(one.name, one.not_today) for one in entered.here] == [("Bao", True)]
    said = rows.load(absent=("bao",), not_today=("AMARA",))
    assert away(said) == ["Bao"]
    assert [(one.name, one.not_today) for one in said.here] == [("Amara", True)]


def test_a_visitor_takes_her_place_in_the_alphabet(rows):
    other = factories.ClassFactory(studio=rows.klass.studio, name="Thursday second year")
    factories.StudentFactory(school_id=rows.id, identity__given_name="Aurelio", classes=[other])
    assert [one.name for one in rows.load().here] == ["Amara", "Bao"]
    found = rows.load(visitors=("Aurelio",))
    assert [(one.name, one.rank) for one in found.here] == [
        ("Amara", "001"),
        ("Aurelio", "002"),
        ("Bao", "003"),
    ]
    assert away(rows.load(visitors=("Aurelio",), absent=("Aurelio",))) == ["Aurelio"]


@pytest.mark.parametrize(
    ("place", "trial"),
    [
        ({}, False),
        ({"trial": True}, True),
        ({"until": ON}, False),
        ({"until": ON - timedelta(days=1)}, True),  # she has left, and has a place nowhere
    ],
)
def test_a_visitor_is_on_trial_unless_she_has_a_place_somewhere(rows, place, trial):
    other = factories.ClassFactory(studio=rows.klass.studio, name="Thursday second year")
    factories.StudentFactory(school_id=rows.id, identity__given_name="Aurelio", classes=[other])
    Enrolment.objects.filter(group_class=other).update(**place)
    assert child(rows.load(visitors=("Aurelio",)), "Aurelio").trial == trial
    assert not child(rows.load(visitors=("Bao",)), "Bao").trial


def test_an_absent_child_leaves_the_ranks_of_the_others(rows):
    assert [one.rank for one in rows.load(absent=("Amara",)).here] == ["002"]


def test_of_a_thousand_and_more_everybody_stands_by_name(db):
    """As many as a studio may have, whose children are all weighed together."""
    rows = school.build(name=OTHER, documents={"tight": DOCUMENTS["tight"]})
    same = {"school_id": rows.id}
    made = Student.objects.bulk_create(
        Student(**same, joined_on=factories.JOINED) for _ in range(1001)
    )
    Identity.objects.bulk_create(
        Identity(**same, student=one, given_name=f"Child {place:04d}")
        for place, one in enumerate(made)
    )
    Enrolment.objects.bulk_create(
        Enrolment(**same, student=one, group_class=rows.klass, from_date=factories.JOINED)
        for one in made
    )
    names = [one.name for one in rows.load().listed]
    assert names == sorted(names)


def test_who_has_left_is_not_on_the_list(rows):
    Enrolment.objects.filter(student_id=rows.children["Bao"]).update(until=ON - timedelta(days=1))
    assert [one.name for one in rows.load().here] == ["Amara"]


# -- the adults ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("asking", "spotters", "free", "in_room"),
    [
        ("teacher", (), [], 1),
        ("teacher", ("Aroha T.",), ["Aroha T."], 2),
        ("teacher", ("Zeynep A.", "Aroha T.", "Zeynep A."), ["Aroha T.", "Zeynep A."], 3),
        ("teacher", ("aroha t", "ZEYNEP A.", "Aroha T."), ["Aroha T.", "Zeynep A."], 3),
        ("assistant", ("Tendai R.", "Marit O."), ["Marit O.", "Tendai R."], 3),
    ],
)
def test_with_those_who_spot_one_in_charge_is_in_the_room(rows, asking, spotters, free, in_room):
    found = rows.load(getattr(rows, asking), spotters=spotters)
    assert [adult.name for adult in found.spotters] == free
    assert found.adults_in_room == in_room


def test_a_minor_spots_nothing_and_changes_nothing_by_asking(rows):
    bram = factories.scope(Member.objects.get(name="Bram V."))
    found = rows.load(bram)
    assert [adult.name for adult in found.spotters] == ["Aroha T."]
    assert found.adults_in_room == rows.load().adults_in_room == 2


def test_a_cover_teacher_spots_only_while_her_access_holds(rows):
    Member.objects.filter(name="Aroha T.").update(until=ON - timedelta(days=1))
    with pytest.raises(Unknown, match=r"nobody called “Aroha T\.” is on the staff that day"):
        rows.load()
    Member.objects.filter(name="Aroha T.").update(until=ON)
    assert len(rows.load().spotters) == 1


# -- the lesson ------------------------------------------------------------------------------


def test_a_lesson_that_nobody_has_entered_is_told_and_not_stored(rows):
    before = factories.every_row()
    found = rows.load(on=ON + timedelta(weeks=1))
    assert found.lesson.on == date(2026, 3, 17)
    assert factories.every_row() == before


def test_the_clock_of_the_studio(rows):
    assert rows.load().as_of == datetime(2026, 3, 10, 17, 0, tzinfo=UTC)
    # From the last Sunday of March Lisbon is an hour ahead.
    assert rows.load(on=date(2026, 3, 31)).as_of == datetime(2026, 3, 31, 16, 0, tzinfo=UTC)
    later = datetime(2026, 3, 20, 9, 0, tzinfo=UTC)
    found = rows.load(as_of=later)
    assert found.as_of == later
    # Judged later: forgetting has gone on.
    assert (
        child(found, "Bao").judged["chest_rest", "base"].number
        < child(rows.load(), "Bao").judged["chest_rest", "base"].number
    )


def test_mats_and_minutes_as_the_class_has_them_or_as_said(rows):
    found = rows.load()
    assert (found.mats, found.minutes) == (8, 45)
    said = rows.load(mats=0, minutes=30)
    assert (said.mats, said.minutes) == (0, 30)


def test_a_day_on_which_nobody_meets(rows):
    assert rows.load().closed is None
    Closure.objects.create(school_id=rows.id, first_on=ON, last_on=ON, name="spring break")
    assert rows.load().closed == "spring break"
    # Of two reasons the plainer one: there is no lesson on that weekday at all.
    Closure.objects.update(last_on=ON + timedelta(days=1))
    wednesday = rows.load(on=ON + timedelta(days=1))
    assert wednesday.closed == "the class meets on Tuesdays"


def test_the_floor_as_said_and_where_each_try_was(db):
    rows = school.build(Pupil("Amara", clean("tight", surface="grass")), name=OTHER)
    assert rows.load().surface is None
    said = rows.load(surface="the stage")
    assert said.surface == "the stage"
    assert {one.surface for one in said.tries} == {"grass"}


@pytest.mark.parametrize(
    ("on", "meets"),
    [
        (date(2026, 3, 10), date(2026, 3, 10)),
        (date(2026, 3, 11), date(2026, 3, 17)),
        (date(2026, 3, 9), date(2026, 3, 10)),
    ],
)
def test_the_next_meeting(on, meets):
    assert next_meeting(KLASS, on=on) == meets


def test_the_edition_of_that_day(rows):
    documents = DOCUMENTS | {"tight": DOCUMENTS["tight"] | {"criterion": "20 s"}}
    number = school.publish(rows.head, documents)
    editions.adopt(rows.head, studio_id=rows.klass.studio_id, number=number, from_date=ON, at=AT)
    assert rows.load().edition.number == 2
    assert rows.load(on=ON - timedelta(weeks=1)).edition.number == 1


def test_without_a_curriculum_in_use(db):
    rows = school.build(name=OTHER)
    editions.Adoption.objects.all().delete()
    with pytest.raises(Unknown) as refused:
        rows.load()
    assert str(refused.value) == "no curriculum is in use at Sellane Harbour on 2026-03-10"


def test_a_class_that_is_not_in_sight(rows):
    with pytest.raises(Unknown, match="no class is called “Tuesday beginners”"):
        rows.load(replace(rows.teacher, studio_ids=frozenset()))
    other = school.build(name=OTHER)
    Class.objects.filter(id=other.klass.id).update(name="Friday mixed", starts_at=time(16, 0))
    with pytest.raises(Unknown):
        rows.load(other.head)


# -- the log ---------------------------------------------------------------------------------


def test_turns_and_pairs_of_the_last_lessons(db):
    shared = clean("chest_rest", role="base", weeks=(8, 2, 1), group="two")
    other = clean("chest_rest", role="flyer", weeks=(8, 2, 1), group="two")
    many = clean("tight", weeks=(7, 6, 5, 4, 3))
    rows = school.build(Pupil("Amara", (*shared, *many)), Pupil("Bao", other), name=OTHER)
    found = rows.load()
    amara, bao = rows.children["Amara"], rows.children["Bao"]
    # Of Amara's eight lessons the last six count, of Bao's three all do.
    assert found.turns[amara, "base"] == 2
    assert found.turns[bao, "flyer"] == 3
    assert found.past_pairs == {tuple(sorted((amara, bao))): 3}


def test_a_correction_changes_what_is_known(rows):
    tried = rows.load()
    assert child(tried, "Bao").judged["chest_rest", "base"].ready
    mistaken = [row for row in build.tries_of(Pupil("Bao", PROPS)) if row.skill_key == "table"]
    for row in mistaken:
        rows.correct("Bao", row, outcome="removed")
    assert not child(rows.load(), "Bao").judged["chest_rest", "base"].ready
    assert child(rows.load(), "Amara").judged["chest_rest", "base"].ready


# -- what is looked back on ------------------------------------------------------------------


@pytest.mark.parametrize(("weeks", "known"), [(17, True), (18, False)])
def test_a_floor_and_a_spot_of_long_ago_are_new_again(db, weeks, known):
    """Seventeen weeks are 119 days; of 120 and more nothing is looked back on."""
    rows = school.build(Pupil("Amara", clean("tight", weeks=(weeks,), surface="grass")), name=OTHER)
    found = rows.load()
    amara = found.here[0].id
    assert ((amara, "grass") in found.floors) is known
    assert ((amara, "tight", "solo") in found.last_spots) is known
