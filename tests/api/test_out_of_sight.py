"""A child of another studio joins tonight: her name is for those alone who see her."""

from datetime import date, timedelta
from uuid import uuid4

import pytest
from django.db import transaction

from classes.attendance import attendance_id
from classes.models import (
    Attempt,
    Attendance,
    Class,
    Fall,
    Lesson,
    PairCheck,
    Replay,
    Student,
    Wish,
    Yes,
)
from curriculum.models import Skill
from planning.models import Group, Seat
from tests import factories
from tests.api import cast
from tests.api.rights import ROWS
from tests.api.test_rights import call, told

NAME = "Zebulonia"
ASKED = [row for row in ROWS if row.api and row.nobody == 401 and row.route != "token-current"]


@pytest.fixture
def visitor(world):
    """A head teacher has entered her, with a try and a seat, at a studio that is not hers; facts
    about one of its children name her too."""
    head, one = world.members["head"], Student.objects.get(id=world.own.student)
    klass = Class.objects.get(id=world.sister.klass)
    skill = Skill.objects.get(id=world.own.skill_id)
    ours = {"school": klass.school}
    child = factories.StudentFactory(
        **ours, identity__given_name=NAME, birth_year=2013, classes=[klass]
    )
    for lesson in Lesson.objects.filter(id__in=(world.own.lesson, world.own.met)):
        Attendance.objects.create(
            **ours,
            id=uuid4(),
            attendance=attendance_id(lesson.id, child.id),
            revision=1,
            lesson=lesson,
            student=child,
            state="here",
            member=head,
            at=cast.NOW,
        )
    met = Lesson.objects.get(id=world.own.met)
    at = met.starts_at + timedelta(minutes=10)
    Replay.objects.create(**ours, student=child, log_version=1)
    Attempt.objects.create(
        **ours,
        id=uuid4(),
        attempt=uuid4(),
        revision=1,
        student=child,
        skill=skill,
        role="flyer",
        spot="hands_on",
        outcome="clean",
        weight="own",
        try_id=Attempt.objects.get(attempt=world.own.attempt).try_id,
        lesson=met,
        member=head,
        sent_by=head,
        happened_at=at,
        at=at,
        local_date=met.on,
        received_at=at,
    )
    about = {**ours, "student": child, "skill": skill, "role": "base"}
    Fall.objects.create(**about, kind="fall", phase="hold", on=met.on)
    Yes.objects.create(**about, kind="begin", given_on=cast.ON, member=head)
    PairCheck.objects.create(**ours, base=one, flyer=child, given_on=cast.ON, member=head)
    a, b = sorted((one, child), key=lambda each: each.id)
    Wish.objects.create(**ours, a=a, b=b, kind="apart", from_date=met.on, until=date(2026, 4, 3))
    grouping = Group.objects.get(id=world.own.group).grouping
    group = Group.objects.create(**ours, grouping=grouping, position=2, adults=1)
    Seat.objects.create(**ours, group=group, student=child, role="flyer")
    return child


@pytest.mark.parametrize("right", ASKED, ids=lambda right: right.label)
def test_a_visitor_of_another_studio_is_named_to_nobody_who_does_not_see_her(world, visitor, right):
    for who in ("teacher", "assistant"):
        with transaction.atomic():
            said = told(response := call(world, world.client(who), right, world.own))
            transaction.set_rollback(True)
        assert NAME not in said, f"{right.label} as {who}: {said[:400]}"
        assert response.status_code == right.statuses(who)["own"], said[:400]


def test_the_head_teacher_sees_her_where_she_is(world, visitor, as_head):
    for of in ("attendance", "groups", "sheet"):
        assert NAME in as_head.get(f"/api/v1/lessons/{world.own.lesson}/{of}").content.decode(), of
