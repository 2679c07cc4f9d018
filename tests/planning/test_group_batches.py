"""Groups made offline: row by row, and nothing newer is silently changed."""

from datetime import timedelta
from uuid import uuid4

import pytest

from accounts.models import Event, Member
from classes import lessons
from classes.models import Lesson, LessonSpotter
from planning import group_batches, group_changes, groups
from planning.by_hand import Formed
from planning.group_batches import GroupsRow
from planning.models import Grouping
from tests.factories import AT
from tests.once import once
from tests.planning import school
from tests.planning.build import LEANS, LIFTED, ON, Pupil, pupils

NAMES = ("Amara", "Bao", "Demba", "Hana")


built, rows = once(lambda: school.build(*pupils(*NAMES, **LIFTED), Pupil("Nguyệt")))


def row(rows, *pairs, key="lean", on=ON, based_on=None, klass=None, skill=None):
    return GroupsRow(
        id=uuid4(),
        class_id=klass or rows.klass.id,
        on=on,
        skill_id=skill or rows.skill(key),
        groups=tuple(
            Formed({"partner": tuple(rows.children[name] for name in pair.split())}, uuid4())
            for pair in pairs
        ),
        based_on=based_on,
    )


def store(rows, *made, scope=None, at=AT):
    return [
        (answer.status, answer.code, answer.pointer, answer.version)
        for answer in group_batches.store(scope or rows.teacher, rows=made, at=at)
    ]


def told(rows, on=ON):
    found = groups.of_skill(
        rows.teacher, lesson_id=lessons.lesson_id(rows.klass.id, on), skill="lean", at=AT
    )
    return [
        " ".join(one.name for seats in group.seats for one in seats.students)
        for group in found.groups
    ]


def test_groups_of_a_lesson_that_nobody_has_entered(rows):
    assert not Lesson.objects.filter(on=ON).exists()
    made = row(rows, "Amara Bao", "Demba Hana")
    assert store(rows, made) == [("stored", None, None, 1)]
    assert told(rows) == ["Amara Bao", "Demba Hana"]
    kept = groups.of_skill(
        rows.teacher, lesson_id=lessons.lesson_id(rows.klass.id, ON), skill="lean", at=AT
    )
    assert [group.id for group in kept.groups] == [group.id for group in made.groups]


def test_an_extra_evening_is_made_too(rows):
    assert store(rows, row(rows, "Amara Bao", on=ON + timedelta(days=1)))[0][0] == "stored"
    assert Lesson.objects.filter(on=ON + timedelta(days=1)).exists()


@pytest.mark.parametrize(
    ("zone", "hour", "ahead", "status"),
    [
        ("Pacific/Auckland", 12, 29, "stored"),
        ("Pacific/Auckland", 12, 30, "refused"),
        ("America/Los_Angeles", 2, 28, "refused"),
        ("America/Los_Angeles", 2, 27, "stored"),
    ],
)
def test_four_weeks_ahead_are_counted_at_the_studio(rows, zone, hour, ahead, status):
    type(rows.klass.studio).objects.filter(id=rows.klass.studio_id).update(zone=zone)
    on = AT.date() + timedelta(days=ahead)
    [found] = store(rows, row(rows, "Amara Bao", on=on), at=AT.replace(hour=hour))
    assert found[0] == status


def test_the_same_row_again_changes_nothing(rows):
    made = row(rows, "Amara Bao", "Demba Hana")
    store(rows, made)
    assert store(rows, made, made) == [("already_stored", None, None, 1)] * 2
    assert Event.objects.filter(what="change_groups").count() == 1


def test_what_is_newer_stays(rows):
    first, second = row(rows, "Amara Bao", "Demba Hana"), row(rows, "Amara Hana", "Bao Demba")
    assert store(rows, first, second) == [
        ("stored", None, None, 1),
        ("refused", "newer", "/based_on", 1),
    ]
    assert told(rows) == ["Amara Bao", "Demba Hana"]
    out_of_it = row(rows, "Amara Hana", "Bao Demba", based_on=1)
    assert store(rows, out_of_it) == [("stored", None, None, 2)]
    assert store(rows, row(rows, "Amara Demba", based_on=1)) == [
        ("refused", "newer", "/based_on", 2)
    ]
    assert told(rows) == ["Amara Hana", "Bao Demba"]


def test_one_bad_row_never_sinks_the_others(rows):
    other = school.build(*pupils("Aurelio", "Oğuz", tries=LEANS), name="Another school")
    rows.children.update(other.children)
    rows.attended("Hana", "away")
    assert store(
        rows,
        row(rows, "Amara Aurelio"),
        row(rows, "Amara Bao", klass=other.klass.id),
        row(rows, "Amara Bao", skill=other.skill("lean")),
        row(rows, "Amara Bao", key="bridge"),
        row(rows, "Amara Bao", on=ON + timedelta(days=40)),
        row(rows, "Amara Bao", "Bao Demba"),
        row(rows, "Demba Hana"),
        row(rows, "Amara Bao"),
    ) == [
        ("refused", "unknown", "/groups/0/seats/partner/1", None),
        ("refused", "unknown", "/class", None),
        ("refused", "unknown", "/skill_id", None),
        ("refused", "unknown", "/skill_id", None),
        ("refused", "invalid", "/on", None),
        ("refused", "invalid", "/groups/1/seats/partner/0", None),
        ("refused", "stopped", "/groups", None),
        ("stored", None, None, 1),
    ]
    assert told(rows) == ["Amara Bao"]


def test_a_refused_row_makes_no_lesson(rows):
    assert store(rows, row(rows, "Amara"))[0][1] == "stopped"
    assert not Lesson.objects.filter(on=ON).exists()
    assert not Grouping.objects.exists()


def test_an_assistant_hands_in_what_neither_lifts_nor_asks(rows):
    assert store(rows, row(rows, "Amara Bao"), scope=rows.assistant)[0][0] == "stored"
    asks = row(rows, "Amara Nguyệt", based_on=1)
    assert store(rows, asks, scope=rows.assistant) == [("refused", "not_allowed", None, 1)]
    assert store(rows, asks)[0][0] == "stored"


def test_a_locked_group_is_not_changed_from_afar(rows):
    lesson = rows.lesson()
    LessonSpotter.objects.create(
        school_id=rows.id, lesson=lesson, member=Member.objects.get(name="Aroha T.")
    )
    store(rows, row(rows, "Amara Bao", "Demba Hana"))
    view = groups.of_skill(rows.teacher, lesson_id=lesson.id, skill="lean", at=AT)
    group_changes.lock(
        rows.teacher,
        lesson_id=lesson.id,
        skill="lean",
        version=1,
        group=view.groups[0].id,
        locked=True,
        at=AT,
    )
    assert store(rows, row(rows, "Amara Hana", "Bao Demba", based_on=2)) == [
        ("refused", "stopped", "/groups", 2)
    ]
