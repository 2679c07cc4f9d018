"""What a new edition does to an evening, and that taking it back leaves no trace."""

from copy import deepcopy
from datetime import timedelta

import pytest

from classes import adoptions, replay
from classes.models import Belief, Replay
from curriculum import editions, withdrawals
from curriculum.models import Edition
from curriculum.successions import carried_on
from planning import group_changes
from planning.lesson_sheet import lesson_sheet
from tests.factories import AT, every_row
from tests.planning import school
from tests.planning.build import AGREED, DOCUMENTS, FOUR, ON, PROPS, STARTS, pupils
from tests.planning.test_lesson_sheet import as_bytes, build

HEIRS = ("table_high", "table_low")


def split_table():
    """The cards with the table in two, and a lean that is new."""
    card = DOCUMENTS["table"]
    document = carried_on(
        {"skills": deepcopy(DOCUMENTS)},
        skill="table",
        heirs=HEIRS,
        cards={key: card | {"name": key.replace("_", " ")} for key in HEIRS},
        published=True,
    )
    document["skills"]["side_lean"] = DOCUMENTS["lean"] | {"name": "Side lean"}
    return document


@pytest.fixture
def rows(db):
    rows = build(*pupils(*FOUR, tries=PROPS, agreed=AGREED))
    rows.lesson(ON)
    return rows


def sheet(rows):
    return lesson_sheet(rows.teacher, lesson_id=rows.lesson().id, today=ON)


def published(rows):
    document = split_table()
    return school.publish(rows.head, document["skills"], succession=document["succession"])


def adopt(rows, number, from_date):
    editions.adopt(
        rows.head, studio_id=rows.klass.studio_id, number=number, from_date=from_date, at=AT
    )


def judged(told):
    """How each child stands in the skills that both editions have."""
    return {
        (child.name, line.skill, line.role): (line.ready, line.stopped, line.help)
        for child in told.children
        for line in child.skills
        if line.skill in DOCUMENTS
    }


def test_after_a_split_everybody_may_what_she_might_before(rows):
    before = judged(sheet(rows))
    adopt(rows, published(rows), ON)
    after = judged(sheet(rows))
    assert after == {about: said for about, said in before.items() if about[1] != "table"}


def test_publishing_and_adopting_recompute_no_belief(rows):
    replay.refresh(rows.head)
    labels = [model._meta.label for model in (Replay, Belief)]
    before = {label: found for label, found in every_row().items() if label in labels}
    assert all(before.values())
    adopt(rows, published(rows), ON)
    sheet(rows)
    assert {label: found for label, found in every_row().items() if label in labels} == before


def test_an_edition_that_is_taken_back_leaves_no_trace_on_the_sheet(rows):
    before = as_bytes(sheet(rows))
    adopt(rows, published(rows), ON)
    rows.say_yes("Amara", "table_high", "solo")
    lesson = rows.lesson().id
    group_changes.regroup(rows.teacher, lesson_id=lesson, skill="side_lean", version=0, at=STARTS)
    with_it = sheet(rows)
    assert with_it.edition.number == 2
    assert [kept.skill for kept in with_it.kept] == ["side_lean"]
    adoptions.take_back(
        rows.head, studio_id=rows.klass.studio_id, from_date=ON, at=STARTS + timedelta(hours=1)
    )
    assert as_bytes(sheet(rows)) == before


def test_what_a_withdrawn_edition_carried_on_counts_no_more(rows):
    second = published(rows)
    withdrawals.withdraw(rows.head, number=second, reason="the split is not ready", at=AT)
    third = school.publish(rows.head, split_table()["skills"])
    assert (third, Edition.objects.count()) == (3, 3)
    adopt(rows, third, ON)
    assert sheet(rows).edition.number == 3
    used = editions.in_use(rows.head, studio_id=rows.klass.studio_id, on=ON)
    assert used.heirs("table") == frozenset()
