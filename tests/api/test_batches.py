"""What somebody made offline before she lost a studio, and hands in after that."""

from datetime import date, timedelta
from uuid import uuid4

import pytest

from accounts.models import MemberStudio, Studio
from classes.models import Attempt, Attendance, Enrolment, Fall, Lesson, Student
from tests.api.cast import NOW

STARTED = timedelta(minutes=5)  # the lesson, before NOW
A_MOMENT = timedelta(microseconds=1)


def trial(place, **different):
    said = {"id": str(uuid4()), "given_name": "Xiomara", "class": place.klass, "on": place.on}
    return said | different


def here(place, **different):
    said = {"id": str(uuid4()), "revision": 2, "student": place.student, "class": place.klass}
    return said | {"on": place.on, "state": "here"} | different


def fall(place, **different):
    said = {"id": str(uuid4()), "student": place.student, "skill_id": place.skill_id}
    said |= {"role": "flyer", "kind": "near_miss", "phase": "way_out", "class": place.klass}
    return said | {"on": place.on} | different


ROWS = {"students": trial, "attendance": here, "falls": fall}
STORED_IN = {"students": Student, "attendance": Attendance, "falls": Fall}
BATCHES = pytest.mark.parametrize("batch", ROWS)


def hand_in(client, batch, *rows):
    answer = client.post(f"/api/v1/{batch}/batch", {"rows": rows}, format="json")
    assert answer.status_code == 200, answer.content
    return [(one["status"], one.get("code"), one.get("pointer")) for one in answer.json()["rows"]]


STORED, ALREADY = ("stored", None, None), ("already_stored", None, None)
TOO_LATE = ("refused", "too_late", "/rows/0/class")


def ends(world, who, ago):
    MemberStudio.objects.filter(member=world.members[who]).update(ended_at=NOW - ago)


@BATCHES
@pytest.mark.parametrize(
    ("ago", "answer"),
    [(STARTED - A_MOMENT, STORED), (STARTED, TOO_LATE), (timedelta(days=1), TOO_LATE)],
)
def test_a_lesson_that_began_before_she_lost_the_studio(world, as_assistant, batch, ago, answer):
    one = ROWS[batch](world.own)
    ends(world, "assistant", ago)
    assert hand_in(as_assistant, batch, one) == [answer]
    assert STORED_IN[batch].objects.filter(id=one["id"]).exists() == (answer == STORED)
    if answer == STORED:
        assert hand_in(as_assistant, batch, one) == [ALREADY]


@BATCHES
@pytest.mark.parametrize(
    ("ago", "answer"),
    [(timedelta(days=14), STORED), (timedelta(days=14) + A_MOMENT, TOO_LATE)],
)
def test_fourteen_days_to_the_microsecond(world, as_assistant, batch, ago, answer):
    ends(world, "assistant", ago)
    one = ROWS[batch](world.own, on="2026-02-24")
    assert hand_in(as_assistant, batch, one) == [answer]
    made = Lesson.objects.filter(on=date(2026, 2, 24), group_class_id=world.own.klass)
    assert made.exists() == (answer == STORED and batch == "attendance")


@BATCHES
def test_what_was_never_hers_is_unknown_as_before(world, as_assistant, batch):
    ends(world, "assistant", timedelta(minutes=1))
    foreign = [ROWS[batch](place) for place in (world.sister, world.foreign)]
    unknown = [("refused", "unknown", f"/rows/{n}/class") for n in (0, 1)]
    assert hand_in(as_assistant, batch, *foreign) == unknown


def test_a_cover_teacher_hands_in_her_last_evening(world, as_teacher):
    """The trial child first, then what she did: nothing of it stays on the phone."""
    member = world.members["teacher"]
    member.until = date(2026, 3, 9)
    member.save()
    monday = {"on": "2026-03-09"}
    new = trial(world.own, **monday)
    assert hand_in(as_teacher, "students", new) == [STORED]
    assert Enrolment.objects.get(student_id=new["id"]).trial
    child = {"student": new["id"], **monday}
    assert hand_in(as_teacher, "attendance", here(world.own, **child)) == [STORED]
    assert hand_in(as_teacher, "falls", fall(world.own, **child)) == [STORED]
    tried = {
        "id": str(uuid4()),
        "attempt": str(uuid4()),
        "revision": 1,
        "student": new["id"],
        "skill_id": world.own.skill_id,
        "role": "flyer",
        "spot": "hands_on",
        "outcome": "shaky",
        "weight": "own",
        "try_id": str(uuid4()),
        "class": world.own.klass,
        "local_date": "2026-03-09",
        "happened_at": "2026-03-09T17:20:00Z",
        "clock_offset_ms": 0,
    }
    assert hand_in(as_teacher, "attempts", tried) == [STORED]
    assert Attempt.objects.filter(student_id=new["id"]).count() == 1
    assert hand_in(as_teacher, "falls", fall(world.own, student=new["id"])) == [TOO_LATE]
    groups = {"class": world.own.klass, **monday, "skill_id": world.own.skill_id}
    groups |= {"id": str(uuid4()), "groups": [{"seats": {"partner": [new["id"]]}}]}
    assert hand_in(as_teacher, "groups", groups) == [("refused", "unknown", "/rows/0/class")]
    said = {"note": "begin with the lean"}
    lesson = as_teacher.patch(f"/api/v1/lessons/{world.own.lesson}", said, format="json")
    assert (lesson.status_code, lesson.json()["code"]) == (404, "unknown")


def test_a_child_whom_she_sees_no_longer_in_a_class_that_is_hers_still(world, as_teacher):
    """She came along from a studio that the teacher has lost since."""
    guest = {"student": world.sister.student}
    for ago, answer in ((timedelta(minutes=1), STORED), (timedelta(days=1), TOO_LATE)):
        studio = Studio.objects.get(id=world.sister.studio)
        MemberStudio.objects.update_or_create(
            school=studio.school,
            member=world.members["teacher"],
            studio=studio,
            defaults={"ended_at": NOW - ago},
        )
        for batch in ("attendance", "falls"):
            assert hand_in(as_teacher, batch, ROWS[batch](world.own, **guest)) == [answer]


@BATCHES
def test_whose_access_was_taken_away_hands_in_nothing(world, as_teacher, batch):
    member = world.members["teacher"]
    member.revoked_at = NOW
    member.save()
    answer = as_teacher.post(f"/api/v1/{batch}/batch", {"rows": []}, format="json")
    assert (answer.status_code, answer.json()["code"]) == (401, "signed_out")
