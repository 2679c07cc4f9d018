"""Studios side by side: what is told, what is not, and what is said first."""

import copy
import json
import re
from collections import Counter
from dataclasses import asdict
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from accounts.models import Studio
from accounts.scope import NotAllowed, Unknown
from classes import replay
from classes.models import (
    Attempt,
    Closure,
    Enrolment,
    Lesson,
    Student,
    Term,
)
from planning.comparison import comparison
from tests import factories
from tests.factories import AT
from tests.planning.comparison import world as worlds
from tests.planning.comparison.world import FIRST, SKILLS, WEEKS, Plan, as_it_was

STATEMENTS = json.loads((Path(__file__).parent / "statements.json").read_text("utf-8"))
FAIR, HALF, STRICT, SMALL = "Anchor Yard", "Brook Loft", "Cedar Hall", "Dune Room"
CLEAN_ALONE = ("none", "clean")


@pytest.fixture(scope="module")
def built(django_db_setup, django_db_blocker):
    with django_db_blocker.unblock(), transaction.atomic():
        yield worlds.build()
        transaction.set_rollback(True)


@pytest.fixture
def world(built, db):
    return copy.deepcopy(built)


def told(world, **asked):
    return comparison(world.head, **{"at": AT, **asked})


def studio(world, name, **asked):
    return next(one for one in told(world, **asked).studios if one.name == name)


def as_text(found) -> str:
    return json.dumps(asdict(found), default=str, ensure_ascii=False)


# -- fairly --------------------------------------------------------------------------------------


def test_by_name_with_a_sentence_for_every_figure_and_nobody_named(world):
    found = told(world)
    names = [one.name for one in found.studios]
    assert names == sorted(names) == [FAIR, HALF, STRICT, SMALL]
    shares = [one.reached.share for one in found.studios if one.reached.share is not None]
    assert shares and shares != sorted(shares)
    assert [one.name for one in found.skills] == sorted(one.name for one in found.skills)
    for one in found.studios:
        assert one.logging.sentences and one.strictness.sentence and one.reached.sentence
    assert all(time.sentence for skill in found.skills for time in skill.studios)
    text = as_text(found)
    assert "Child " not in text
    assert not [id_ for ids in world.children.values() for id_ in ids if str(id_) in text]
    assert not re.search(r"\b(best|worst|better|worse|rank|behind|ahead|weak|strong)", text)


def test_a_half_kept_log_gives_no_figure_of_its_children(world):
    half = studio(world, HALF)
    assert (half.logging.lessons_held, half.logging.lessons_with_entries) == (10, 5)
    assert not half.logging.enough
    assert half.logging.sentences[0] == "About half of the lessons have entries: 5 of 10."
    assert (half.reached.share, half.reached.low, half.reached.within_chance) == (None,) * 3
    assert half.reached.sentence == (
        "Brook Loft has five lessons with entries: no figure would be fair to its children."
    )
    assert half.strictness.says == "fewer"
    assert "whether what was not clean was left out" in half.strictness.sentence
    assert world.studios[HALF] not in {
        time.studio for skill in told(world).skills for time in skill.studios
    }


def test_a_strict_eye_is_told_before_what_it_lowers(world):
    fair, strict = studio(world, FAIR), studio(world, STRICT)
    assert fair.strictness.says is None
    assert strict.strictness.says == "more"
    assert strict.strictness.high < -0.05
    assert strict.strictness.sentence.startswith(
        "Cedar Hall logs more “shaky” than the other studios for the same skills"
    )
    assert "one person's eye" in strict.strictness.sentence
    sentence = strict.reached.sentence
    assert sentence.index("It logs more tries as not clean") < sentence.index("Of a hundred")
    assert sentence.index("about a year younger") < sentence.index("Of a hundred")
    assert strict.reached.share < fair.reached.share
    assert strict.reached.low <= strict.reached.share <= strict.reached.high
    # Who stands beside a strict log is set apart by it too.
    assert fair.reached.sentence.startswith("Another studio logs otherwise")


def test_how_much_is_logged_is_what_one_counts_by_hand(world):
    rows = Attempt.objects.filter(lesson__group_class=world.classes[FAIR])
    tries = list(rows.values_list("spot", "outcome"))
    found = studio(world, FAIR).logging
    assert (found.lessons_held, found.lessons_with_entries) == (WEEKS, WEEKS)
    assert (found.children, found.tries) == (12, len(tries)) == (12, 12 * WEEKS * len(SKILLS))
    assert found.tries_for_each == len(SKILLS)
    assert found.at_once == 0.25  # a quarter stands tight together
    assert (found.loggers, found.by_one) == (1, True)
    by_spot = Counter(spot for spot, _ in tries)
    clean = Counter(spot for spot, outcome in tries if outcome == "clean")
    assert {one.spot: (one.tries, one.clean) for one in found.by_spot} == {
        spot: (many, round(clean[spot] / many, 3)) for spot, many in by_spot.items()
    }


def test_of_fewer_than_five_children_nothing_is_told(world):
    small = studio(world, SMALL)
    assert (small.logging.children, small.logging.tries, small.logging.at_once) == (None,) * 3
    assert {(one.tries, one.clean) for one in small.logging.by_spot} == {(None, None)}
    assert small.logging.lessons_with_entries == WEEKS
    assert (small.strictness.clean, small.reached.share) == (None, None)
    assert small.reached.sentence == (
        "Dune Room has too few children: no figure would be fair to its children."
    )


def test_a_spot_that_few_children_had_is_left_out(world):
    four = world.children[FAIR][:4]
    Attempt.objects.filter(spot="hands_near").exclude(student_id__in=four).update(spot="none")
    found = {one.spot: one for one in studio(world, FAIR).logging.by_spot}
    assert (found["hands_near"].tries, found["hands_near"].clean) == (None, None)
    assert found["none"].tries


def test_with_one_studio_nobody_meets_the_word(db):
    found = told(worlds.build(Plan("Only Hall", as_it_was)))
    assert found.sentence == (
        "There is nothing to put side by side: the school teaches in one place."
    )
    assert (found.studios, found.skills, found.notes) == ((), (), ())
    assert "studio" not in found.sentence


def test_where_nobody_else_has_enough_no_figure_stands_alone(db):
    found = told(worlds.build(Plan(FAIR, as_it_was), Plan(SMALL, as_it_was, children=3)))
    assert [one.reached.share for one in found.studios] == [None, None]
    assert found.studios[0].reached.sentence.startswith("No other studio has enough")
    assert found.skills == ()


# -- what counts ---------------------------------------------------------------------------------


def test_a_lesson_that_was_not_held_is_not_missing_from_the_log(world):
    klass = world.classes[HALF]
    on = FIRST + timedelta(weeks=1)
    Lesson.objects.filter(group_class=klass, on=on).delete()
    Closure.objects.create(
        school_id=world.school, studio=klass.studio, first_on=on, last_on=on, name="a storm"
    )
    later = FIRST + timedelta(weeks=3)
    cancelled = worlds.lessons.ensure(world.head, klass=worlds.view(klass), on=later)
    Lesson.objects.filter(id=cancelled.id).update(state="cancelled")
    assert studio(world, HALF).logging.lessons_held == 8
    # Nor are lessons before anybody was on the list, or those to come.
    Enrolment.objects.filter(group_class=klass).update(from_date=FIRST + timedelta(weeks=5))
    assert studio(world, HALF).logging.lessons_held == 5
    begins = Lesson.objects.filter(on=date(2026, 3, 10)).first().starts_at
    assert studio(world, FAIR, at=begins + timedelta(minutes=44)).logging.lessons_held == 9
    assert studio(world, FAIR, at=begins + timedelta(minutes=45)).logging.lessons_held == 10


def test_a_try_that_was_corrected_counts_once_and_one_taken_back_not_at_all(world):
    before = studio(world, FAIR)
    child, on = world.children[FAIR][0], FIRST
    one, other = (world.tried(FAIR, child, on, "table", CLEAN_ALONE) for _ in range(2))
    again = {"attempt": one.attempt, "revision": 2}
    world.add(
        one,
        world.tried(FAIR, child, on, "table", ("none", "shaky"), **again),
        other,
        world.tried(
            FAIR, child, on, "table", ("none", "removed"), attempt=other.attempt, revision=2
        ),
    )
    after = studio(world, FAIR)
    assert after.logging.tries == before.logging.tries + 1
    (was,), (now,) = (
        [one for one in found.logging.by_spot if one.spot == "none"] for found in (before, after)
    )
    assert now.tries == was.tries + 1
    assert round(now.tries * now.clean) == round(was.tries * was.clean)


def test_beliefs_that_wait_for_a_worker_are_as_good(world):
    tries = [
        world.tried(FAIR, child, FIRST + timedelta(weeks=9), "bridge", CLEAN_ALONE)
        for child in world.children[FAIR]
    ]
    world.add(*tries, refresh=False)
    stale = told(world)
    replay.refresh(world.head)
    assert told(world) == stale


def test_who_came_to_try_it_and_who_dances_at_two_studios_says_nothing_of_either(world):
    """All of their tries are clean, so whoever counted them would be seen."""
    before = told(world)
    for name, places in (("Trial", [FAIR]), ("Both", [FAIR, STRICT])):
        child = factories.StudentFactory(
            school_id=world.school,
            identity__given_name=name,
            classes=[world.classes[place] for place in places],
        )
        Enrolment.objects.filter(student=child).update(trial=name == "Trial")
        world.add(
            *(
                world.tried(FAIR, child.id, FIRST + timedelta(weeks=week), skill, CLEAN_ALONE)
                for week in range(WEEKS)
                for skill in SKILLS
            )
        )
    after = told(world)
    for one, other in zip(before.studios, after.studios, strict=True):
        assert one.reached == other.reached
        assert one.strictness == other.strictness
        assert one.logging.by_spot == other.logging.by_spot
    assert before.skills == after.skills
    assert studio(world, FAIR).logging.tries == before.studios[0].logging.tries + 80


def test_habits_are_ticked_and_say_nothing_of_how_strictly(world):
    before = told(world)
    world.add(
        *(
            world.tried(STRICT, child, FIRST + timedelta(weeks=week), "stop_word", CLEAN_ALONE)
            for child in world.children[STRICT]
            for week in range(WEEKS)
        )
    )
    after = told(world)
    for one, other in zip(before.studios, after.studios, strict=True):
        assert (one.reached, one.strictness) == (other.reached, other.strictness)
    assert "stop_word" not in {one.skill for one in after.skills}


# -- terms ---------------------------------------------------------------------------------------


def summer(world):
    """The term after the one that goes on, from a Monday."""
    days = {"first_on": date(2026, 4, 6), "last_on": date(2026, 6, 26)}
    return Term.objects.create(school_id=world.school, name="Summer 2026", **days)


def test_a_term_that_is_over_is_told_by_its_own_log_alone(world):
    summer(world)
    later = AT + timedelta(weeks=5)
    spring = told(world, term_id=world.terms["Spring 2026"], at=later)
    assert spring.term.name == "Spring 2026"
    assert spring.as_of.date() == date(2026, 4, 4)
    fair = spring.studios[0]
    assert fair.logging.lessons_with_entries == WEEKS
    assert fair.reached.sentence.startswith("What children can do is known as of today")
    assert spring.skills
    newest = told(world, at=later)
    assert newest.term.name == "Summer 2026"
    assert newest.studios[0].logging.lessons_with_entries == 0


def test_a_term_begins_with_its_day_where_that_comes_first(world):
    summer(world)
    sunday = datetime(2026, 4, 5, 21, 0, tzinfo=UTC)
    assert told(world, at=sunday).term.name == "Spring 2026"
    Studio.objects.filter(id=world.studios[FAIR]).update(zone="Pacific/Auckland")
    assert told(world, at=sunday).term.name == "Summer 2026"


def test_a_term_with_nothing_in_it(world):
    autumn = told(world, term_id=world.terms["Autumn 2025"])
    assert [one.logging.lessons_held for one in autumn.studios] == [16] * 4
    assert autumn.studios[0].logging.sentences[0] == "No lesson has entries: 0 of 16."
    assert autumn.skills == ()


def test_a_term_to_come_is_not_told_as_one_that_is_over(world):
    fair = told(world, term_id=summer(world).id).studios[0]
    assert fair.logging.sentences == ("No lesson has been held in this term yet.",)
    assert fair.reached.sentence.startswith(f"{FAIR} has no lessons with entries")


def test_without_terms_it_is_the_year_that_ends_today(world):
    Term.objects.all().delete()
    found = told(world)
    assert found.term is None
    # Since September, when they joined, but for what nobody entered.
    assert found.studios[0].logging.lessons_with_entries == WEEKS
    assert found.studios[0].logging.lessons_held > WEEKS


def test_it_is_a_head_teacher_s(world):
    with pytest.raises(NotAllowed):
        comparison(world.teacher, at=AT)
    with pytest.raises(Unknown):
        told(world, term_id=world.studios[FAIR])


# -- how long it takes ---------------------------------------------------------------------------


@pytest.fixture
def timed(db):
    """Two studios where bridges are begun in the first week, and six children in each are seen
    clean with no spot after as many weeks as they have been written down with here.
    """
    world = worlds.build(Plan(FAIR, as_it_was, children=6), Plan(STRICT, as_it_was, children=6))
    bridges = Attempt.objects.filter(skill_id=world.skills["bridge"])
    bridges.delete()
    weeks = {FAIR: (0, 1, 2, 3, 5, None), STRICT: (4, None, None, None, None, 2)}
    for name, those in weeks.items():
        for child, week in zip(world.children[name], those, strict=True):
            tries = [world.tried(name, child, FIRST, "bridge", ("hands_on", "clean"))]
            if week is not None:
                on = FIRST + timedelta(weeks=week)
                tries.append(world.tried(name, child, on, "bridge", CLEAN_ALONE))
            world.add(*tries)
    return world


def bridge(world):
    found = next(one for one in told(world).skills if one.skill == "bridge")
    return {one.name: one for one in found.studios}


def test_half_of_those_who_began(timed):
    found = bridge(timed)
    assert (found[FAIR].children, found[FAIR].median) == (6, 2.0)
    assert (found[FAIR].low, found[FAIR].high) == (0.0, None)
    assert "alf of those who began it were seen clean with no spot within two weeks (the first" in (
        found[FAIR].sentence
    )
    assert (found[STRICT].median, found[STRICT].high) == (None, None)
    assert "ot yet half of those who began it" in found[STRICT].sentence


def test_who_left_counts_for_as_long_as_she_was_there(timed):
    """Of six there, three leave after a week: half of those who are left have it by the fourth."""
    gone = timed.children[STRICT][1:4]
    Student.objects.filter(id__in=gone).update(left_on=FIRST + timedelta(weeks=1))
    assert bridge(timed)[STRICT].median == 4.0


def test_who_had_begun_before_the_term_is_not_timed(timed):
    known = timed.children[FAIR][0]
    timed.add(
        timed.tried(FAIR, known, date(2025, 12, 16), "bridge", ("hands_on", "shaky"), revision=1)
    )
    found = bridge(timed)[FAIR]
    assert (found.children, found.median) == (5, 3.0)
    # One taken back does not make a beginning.
    first = Attempt.objects.get(local_date=date(2025, 12, 16))
    gone = {"attempt": first.attempt, "revision": 2}
    timed.add(timed.tried(FAIR, known, first.local_date, "bridge", ("none", "removed"), **gone))
    assert bridge(timed)[FAIR].children == 6
    # With two more known already, four are left, and of four nothing is told.
    for child in timed.children[FAIR][:2]:
        timed.add(timed.tried(FAIR, child, date(2025, 12, 16), "bridge", ("none", "shaky")))
    assert "bridge" not in {one.skill for one in told(timed).skills}


# -- how often it asks ---------------------------------------------------------------------------


def test_it_asks_as_often_however_much_there_is(world):
    with CaptureQueriesContext(connection) as queries:
        told(world)
    small = worlds.build(Plan(FAIR, as_it_was, children=6), Plan(STRICT, as_it_was, children=6))
    with CaptureQueriesContext(connection) as fewer:
        told(small)
    assert len(queries) == len(fewer) == STATEMENTS["comparison"]
