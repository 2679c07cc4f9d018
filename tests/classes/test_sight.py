"""Whose try a correction may touch: that of every child who stands in a revision of it."""

from dataclasses import replace
from datetime import timedelta
from uuid import UUID

import pytest

from accounts.models import MemberStudio, Studio
from classes.attempts import Answer
from classes.models import Attempt, Class, HeldRow
from classes.tries import counted
from tests.classes import log_rows
from tests.classes.log_rows import STARTS, receive, row, said, store
from tests.classes.log_school import add_child
from tests.once import once

LATER = {"id": UUID(int=50), "revision": 50, "outcome": "removed"}


def build():
    """Zahra dances in another studio, where a try of hers was logged."""
    school = log_rows.build()
    studio = Studio.objects.create(school_id=school.id, name="Brae Loft", zone="Europe/Lisbon")
    group = Class.objects.create(
        school_id=school.id, studio=studio, name="Brae lifts", weekday=1, starts_at="17:00"
    )
    school.children["Zahra"] = add_child(school, "Zahra", class_id=group.id)
    head = replace(school.head, studio_ids=school.head.studio_ids | {studio.id})
    assert store(school, row(school, "Zahra", lesson_id=None), scope=head) == ["stored"]
    return school


built, school = once(build)


def hers(school):
    return [one.outcome for one in counted(school.head, student_ids=school.ids, since=None)]


@pytest.mark.parametrize("change", [{}, {"outcome": "shaky"}])
def test_a_try_of_a_child_of_another_studio_is_not_corrected(school, change):
    sent = said(school, "Amara", 1, **(LATER | change))
    (answer,) = receive(school, sent, scope=school.teacher)
    assert answer == Answer(UUID(int=50), "refused", "unknown", "/attempt")
    assert hers(school) == ["clean"]
    file = row(school, "Amara", 1, **(LATER | change))
    assert store(school, file, scope=school.teacher) == ["unknown"]


def test_a_try_that_once_was_hers_is_not_taken_back_either(school):
    """Whoever sees every child of it may give it from one to the other, and nobody else."""
    given = said(school, "Amara", 1, id=UUID(int=2), revision=2)
    (answer,) = receive(school, given, scope=school.head)
    assert answer.status == "stored"
    (answer,) = receive(school, said(school, "Amara", 1, **LATER), scope=school.teacher)
    assert answer.pointer == "/attempt"


def test_a_try_of_her_own_children_goes_from_one_to_the_other(school):
    receive(school, said(school, "Bao", 7), scope=school.teacher)
    answers = receive(school, said(school, "Amara", 7, **LATER), scope=school.teacher)
    assert [answer.status for answer in answers] == ["stored"]


def test_an_id_that_stands_in_another_try_is_used(school):
    sent = said(school, "Amara", 1, attempt=UUID(int=77))
    (answer,) = receive(school, sent, scope=school.teacher)
    assert answer == Answer(UUID(int=1), "refused", "id_reused", "/id")


@pytest.mark.parametrize(
    ("after", "status"), [(timedelta(hours=1), "stored"), (-timedelta(seconds=1), "held")]
)
def test_what_she_has_lost_with_the_other_child_waits(school, after, status):
    """The try was of a child of a studio that she has lost since."""
    member, studio = school.teacher.member_id, Studio.objects.get(name="Brae Loft")
    end = STARTS + after
    MemberStudio.objects.create(school_id=school.id, member_id=member, studio=studio, ended_at=end)
    sent = said(school, "Amara", 1, **LATER, happened_at=STARTS.isoformat())
    (answer,) = receive(school, sent, scope=school.teacher)
    assert answer.status == status
    assert HeldRow.objects.count() == (status == "held")
    assert Attempt.objects.count() == 1 + (status == "stored")
