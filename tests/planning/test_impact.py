"""What an edition would change: as if it had been taken on, and nothing is."""

import json
from dataclasses import asdict, replace
from pathlib import Path

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from accounts.scope import NotAllowed, Unknown
from classes import lessons, replay
from classes.classes import find
from curriculum import drafts, editions, withdrawals
from planning import gates, impact, kept_groups
from planning.by_hand import check
from planning.evening import of_lesson
from planning.group_views import as_found
from planning.impact import GAINS, LOSES
from planning.map_overlays import GOES_ON, MAY_BEGIN, stands
from planning.models import Preparation
from planning.proposals import open_roles
from planning.reasons import Standing
from tests import factories
from tests.factories import AT, every_row
from tests.once import once
from tests.planning import school
from tests.planning.build import (
    DOCUMENTS,
    LIFTED,
    ON,
    STARTS,
    pupils,
)
from tests.planning.read_aloud import assert_fit_to_read_aloud
from tests.planning.summer import (
    WEEK,
    build,
    carried,
    changed,
    document,
    draft,
    keep,
    told,
    with_seat,
)

STATEMENTS = json.loads((Path(__file__).parent / "statements.json").read_text("utf-8"))
HOW_DOWN = ("spot", "way_down", "caution")


def texts(value):
    if isinstance(value, dict):
        return [text for one in value.values() for text in texts(one)]
    if isinstance(value, list | tuple):
        return [text for one in value for text in texts(one)]
    return [value] if isinstance(value, str) else []


built, rows = once(build)


# -- a slow obvious twin ---------------------------------------------------------------------


def standing(evening):
    """Whether each child of the list is ready for each role of each skill, as the map says it."""
    return {
        (child.name, card.key, role): stands(
            evening,
            Standing(card, role, child),
            gates.stops(evening, card, role, child),
        )
        in (GOES_ON, MAY_BEGIN)
        for card in evening.edition.cards.values()
        for role in open_roles(card)
        for child in evening.listed
    }


def taken_on(rows, said, load):
    """The evening before and after a draft was published and taken on, which is rolled back."""
    before = load()
    with transaction.atomic():
        one = draft(rows, said)
        number = drafts.publish(rows.head, draft_id=one.id, version=one.version, at=AT).number
        editions.adopt(
            rows.head, studio_id=rows.klass.studio_id, number=number, from_date=ON, at=AT
        )
        after = load()
        transaction.set_rollback(True)
    return before, after


def by_twin(rows, said):
    before, after = taken_on(rows, said, lambda: rows.load(as_of=STARTS))
    was, now = standing(before), standing(after)
    origin = {step["to"]: step["from"] for step in said["succession"]}
    found = {}
    for name, skill, role in {*was, *now}:
        if skill in origin.values() and skill not in after.edition.cards:
            continue  # told of by those who carry it on
        stood = was.get((name, skill, role), was.get((name, origin.get(skill), role), False))
        stays = now.get((name, skill, role), False)
        if stood != stays:
            found[name, skill, role] = GAINS if stays else LOSES
    return found, before.yeses - after.yeses


CASES = {
    "renamed": carried("table", "prop_table"),
    "merged": carried("lean", "straight_lean"),
    "split, with more asked and less": document(),
    "gone": document(chest_rest=None, straight_lean=None),
    "for older ones": with_seat(youngest_age=10),
    "split in two that are not alike": document(
        table_low=DOCUMENTS["table"] | {"name": "Low", "youngest_age": 12}
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_the_same_is_told_as_when_it_was_taken_on(rows, case):
    said = CASES[case]
    ready, over = by_twin(rows, said)
    found = told(rows, said)
    assert changed(found) == ready
    assert over == {(one.student.id, one.skill, one.role, one.kind) for one in found.yeses}
    assert over and (ready or case in ("renamed", "merged"))


def groups_by_twin(rows, said, lesson):
    """What newly stops or asks in groups of a lesson, by its evening before and after."""
    sentences = []
    kept = kept_groups.standing(rows.head, lesson_id=lesson.id)
    for evening in taken_on(
        rows, said, lambda: of_lesson(rows.head, lesson_id=lesson.id, today=ON)
    ):
        checked = [
            check(evening, evening.edition.cards[key], groups)
            for key, groups in kept.items()
            if key in evening.edition.cards
        ]
        stops = {stop.sentence for one in checked for stop in one.all_stops}
        asks = {as_found(ask).sentence for one in checked for g in one.groups for ask in g.asks}
        sentences.append(stops | asks)
    before, after = sentences
    return after - before


def test_what_stops_or_asks_in_groups_is_what_would_on_their_evening(rows):
    lesson = keep(rows)
    said = with_seat(youngest_age=10)
    newly = groups_by_twin(rows, said, lesson)
    [one] = told(rows, said).lessons
    assert {sentence for skill in one.skills for sentence in skill.sentences} == newly
    assert newly


# -- children of two classes -----------------------------------------------------------------


@pytest.fixture
def tried_out(rows):
    """Another class of the studio, where all who have a place are on trial; before theirs."""
    studio = factories.Studio.objects.get(id=rows.klass.studio_id)
    klass = factories.ClassFactory(studio=studio, name="Advanced")
    for name in ("Hana", "Mireille"):
        factories.Enrolment.objects.create(
            school_id=rows.head.school_id,
            student_id=rows.children[name],
            group_class=klass,
            from_date=ON - WEEK,
            trial=True,
        )
    return find(rows.head, class_id=klass.id)


def test_who_is_on_trial_in_one_class_counts_with_her_place_in_another(rows, tried_out):
    said = with_seat(youngest_age=10)
    ready, _ = by_twin(rows, said)
    assert ("Hana", "seat", "base") in ready
    assert changed(told(rows, said)) == ready


def test_in_the_groups_of_a_class_she_counts_as_she_does_there(rows, tried_out):
    there = lessons.ensure(rows.head, klass=tried_out, on=ON + WEEK)
    for lesson in (there, rows.lesson(ON + WEEK)):
        keep(rows, skills=["lean"], lesson=lesson)
    lifted = {"lifted": True} | {key: DOCUMENTS["seat"][key] for key in HOW_DOWN}
    found = told(rows, document(lean=DOCUMENTS["lean"] | lifted)).lessons
    assert {
        (one.klass.name, "on trial: no lifts yet" in " ".join(skill.sentences))
        for one in found
        for skill in one.skills
    } == {("Advanced", True), (rows.klass.name, False)}


# -- by hand ---------------------------------------------------------------------------------


def test_lessons_to_come_are_told_of_in_order_with_what_becomes_of_their_skills(rows):
    keep(rows, ON - WEEK, ["lean"])
    keep(rows, ON + WEEK, ["chest_rest", "lean"])
    Preparation.objects.create(
        school_id=rows.id,
        lesson=rows.lesson(),
        made_at=AT,
        document={
            "together": [{"skill": "chest_rest", "carries_on": True}],
            "alone": [{"skill": "table", "carries_on": False}],
        },
    )
    found = told(rows, document(chest_rest=None)).lessons
    assert [one.on for one in found] == [ON, ON + WEEK]
    touched = [
        {skill.skill: (skill.what, skill.kept, skill.suggested) for skill in one.skills}
        for one in found
    ]
    assert touched == [
        {"table": ("split", False, True), "chest_rest": ("gone", False, True)},
        {"lean": ("asks", True, False), "chest_rest": ("gone", True, False)},
    ]
    assert found[0].skills[0].sentences == ("it is split into “table high” and “table low”",)


def test_all_of_it_may_be_read_aloud_and_nothing_is_stored(rows):
    keep(rows)
    replay.refresh(rows.head)
    one = draft(rows, document())
    before = every_row()
    found = impact.of_draft(rows.head, draft_id=one.id, studio_id=rows.klass.studio_id, at=STARTS)
    assert every_row() == before
    assert found.says == (
        "At Sellane Harbour four children gain a readiness, three children lose a readiness, five"
        " yeses run out and one lesson to come is touched."
    )
    assert [child.student.name for child in found.children] == ["Amara", "Bao", "Hana", "Mireille"]
    lean, side_lean = found.children[0].roles
    assert (lean.what, lean.before.stands, lean.after.stands) == (LOSES, MAY_BEGIN, "missing")
    assert lean.after.says == "missing is bridge with hands near, not tried yet"
    assert (side_lean.what, side_lean.before, side_lean.after.stands) == (GAINS, None, MAY_BEGIN)
    assert [one.says for one in found.yeses[::2]] == [
        "Amara: the yes of 3 March to begin with bridge runs out: the card has changed",
        "Hana: the yes of 3 March to begin with facing lean runs out: the card has changed",
        "Ismet: the yes of 3 March to begin with hands-and-knees table runs out: what carries it"
        " on, “table high” and “table low”, asks for a yes of its own",
    ]
    assert [one.sentences for one in found.lessons[0].skills] == [
        (
            "a teacher's yes to begin for Hana as partner: missing is bridge with hands near, not"
            " tried yet",
        ),
        ("a teacher's yes to begin for Hana as base",),
    ]
    assert_fit_to_read_aloud(" ".join(texts(asdict(found))))


def test_an_edition_is_told_of_as_its_draft_was_and_in_use_it_changes_nothing(rows):
    keep(rows)
    as_draft = told(rows, document())
    number = school.publish(
        rows.head, **{"documents": document()["skills"]} | {"succession": document()["succession"]}
    )
    asked = {"number": number, "studio_id": rows.klass.studio_id, "at": STARTS}
    as_edition = impact.of_edition(rows.head, **asked)
    assert replace(as_edition, number=None, name="summer") == as_draft
    editions.adopt(rows.head, studio_id=rows.klass.studio_id, number=number, from_date=ON, at=AT)
    nothing = impact.of_edition(rows.head, **asked)
    assert (nothing.children, nothing.yeses, nothing.lessons) == ((), (), ())
    assert nothing.says == "At Sellane Harbour nothing changes for anybody."


def test_what_is_wrong_is_said_first_and_where_nothing_can_be_compared(rows):
    broken = document(tight=None)
    found = told(rows, broken)
    assert found.faults and found.says.startswith("There is something to put right first")
    assert (found.children, found.yeses, found.lessons) == ((), (), ())
    hall = factories.StudioFactory(school_id=rows.id, name="Upper Hall")
    head = replace(rows.head, studio_ids=rows.head.studio_ids | {hall.id})
    asked = {"draft_id": draft(rows, document()).id, "studio_id": hall.id, "at": STARTS}
    found = impact.of_draft(head, **asked)
    assert (found.in_use, found.says) == (
        None,
        "Upper Hall has nothing in use yet: there is nothing to compare with.",
    )
    editions.adopt(head, studio_id=hall.id, number=1, from_date=ON, at=AT)
    assert (
        impact.of_draft(head, **asked).says == "Upper Hall has no classes yet: nobody is touched."
    )
    factories.ClassFactory(studio=hall, name="Tiny")
    assert impact.of_draft(head, **asked).says == "At Upper Hall nothing changes for anybody."
    with pytest.raises(Unknown, match="no such studio"):
        impact.of_draft(rows.head, **asked)
    with pytest.raises(NotAllowed):
        impact.of_draft(rows.teacher, **asked)
    number = school.publish(rows.head, document()["skills"], succession=document()["succession"])
    withdrawals.withdraw(rows.head, number=number, reason="not ready", at=AT)
    found = impact.of_edition(rows.head, number=number, studio_id=rows.klass.studio_id, at=STARTS)
    assert [one.message for one in found.faults] == ["it was withdrawn"]


def test_it_asks_as_often_for_many_as_for_few(db):
    more = pupils(*(f"Wren {letter}" for letter in "ABCDEFGHIJKL"), **LIFTED)
    counts = []
    for one in (build(name="Few"), build(*more, name="Many")):
        keep(one)
        if len(counts):
            keep(one, ON + WEEK)
        said = draft(one, document())
        with CaptureQueriesContext(connection) as queries:
            impact.of_draft(one.head, draft_id=said.id, studio_id=one.klass.studio_id, at=STARTS)
        counts.append(len(queries))
    assert counts == [STATEMENTS["impact"]] * 2
