from datetime import date

import pytest

from accounts.models import Event
from classes.models import Attendance, Enrolment, Fall, Lesson, Yes
from curriculum.models import Skill
from tests.api import cast
from tests.api.probes import errors

URL = "/api/v1/yeses"


def a_yes(place, **different):
    row = {"student": place.student, "skill": "chest_rest", "role": "base", "kind": "show"}
    return row | {"given_on": place.on} | different


def give(client, *rows):
    return client.post(URL, {"rows": list(rows)}, format="json")


def listed(client, **asked):
    answer = client.get(URL, asked)
    assert answer.status_code == 200
    return answer.json()["rows"]


def ran_out(client, **asked):
    return [row["ran_out"] for row in listed(client, **asked)]


def test_many_are_given_at_once(world, as_teacher):
    own = world.own
    rows = [a_yes(own), a_yes(own, student=own.student2, lesson=own.lesson)]
    answer = give(as_teacher, *rows)
    assert answer.status_code == 201
    ids = [row["id"] for row in answer.json()["rows"]]
    assert [str(Yes.objects.get(id=id_).student_id) for id_ in ids] == [own.student, own.student2]
    assert give(as_teacher, *reversed(rows)).json()["rows"] == [{"id": id_} for id_ in ids[::-1]]
    assert Event.objects.filter(what="give_yes").count() == 2


def test_one_that_is_wrong_keeps_all_back(world, as_teacher):
    own, before = world.own, Yes.objects.count()
    answer = give(
        as_teacher,
        a_yes(own),
        a_yes(own, student=world.sister.student),
        a_yes(own, student=str(cast.unknown_id()), skill="no_such", lesson=world.sister.lesson),
        a_yes(own, role="solo"),
    )
    assert answer.status_code == 400
    assert errors(answer) == [
        ("/rows/1/student", "invalid", "unknown"),
        ("/rows/2/student", "invalid", "unknown"),
        ("/rows/2/skill", "invalid", "unknown"),
        ("/rows/2/lesson", "invalid", "unknown"),
        ("/rows/3/role", "invalid", "Chest rest has no role solo; it has base, flyer, spotter"),
    ]
    assert Yes.objects.count() == before


def test_what_is_no_row(world, as_teacher):
    answer = give(as_teacher, a_yes(world.own, role="lifter"), {"why": "she is brave"})
    places = [(place, code) for place, code, _ in errors(answer)]
    assert ("/rows/0/role", "invalid_choice") in places
    assert ("/rows/1/why", "unknown_field") in places
    assert give(as_teacher, *[a_yes(world.own)] * 201).status_code == 400
    assert give(as_teacher).json() == {"rows": []}


def test_what_holds_today(world, as_assistant):
    own = world.own
    assert listed(as_assistant, student=own.student) == [
        {
            "id": own.yes,
            "student": own.student,
            "skill": "chest_rest",
            "role": "base",
            "kind": "begin",
            "given_on": "2026-03-10",
            "lesson": None,
            "by": "Head Ours",
            "ran_out": None,
        }
    ]
    assert listed(as_assistant, student=own.student, skill="no_such") == []
    assert listed(as_assistant, student=own.student, lesson=str(cast.unknown_id())) == []
    assert [row["id"] for row in listed(as_assistant)] == [own.yes]


@pytest.fixture
def earlier(world):
    """The yes was given a week ago."""
    Yes.objects.filter(id=world.own.yes).update(given_on=cast.BEFORE)
    return world.own


def test_for_one_evening(world, earlier, as_head):
    Yes.objects.filter(id=earlier.yes).update(lesson=earlier.met)
    assert ran_out(as_head, student=earlier.student) == ["for the evening of 2026-03-03 only"]
    assert ran_out(as_head, student=earlier.student, lesson=earlier.met) == [None]
    assert ran_out(as_head, student=earlier.student, lesson=earlier.lesson) == []


def test_given_for_a_day_to_come(world, as_head):
    Yes.objects.filter(id=world.own.yes).update(given_on=date(2026, 3, 17))
    assert ran_out(as_head, student=world.own.student) == ["holds from 2026-03-17 on"]


def test_after_a_fall(earlier, as_head):
    row = Yes.objects.get(id=earlier.yes)
    Fall.objects.create(
        school_id=row.school_id,
        student_id=row.student_id,
        skill_id=row.skill_id,
        role="base",
        kind="near_miss",
        phase="hold",
        on=date(2026, 3, 9),
    )
    assert ran_out(as_head, student=earlier.student) == ["someone fell on 2026-03-09"]
    assert ran_out(as_head, student=earlier.student, lesson=earlier.met) == [None]


def test_back_after_a_break(earlier, as_head):
    Yes.objects.filter(id=earlier.yes).update(given_on=date(2026, 2, 3))
    # She was here on 3 March, and before that a month earlier.
    lesson = Lesson.objects.get(id=earlier.met)
    lesson.pk, lesson.on = None, date(2026, 1, 27)
    lesson.save(force_insert=True)
    kept = Attendance.objects.filter(student_id=earlier.student).first()
    Attendance.objects.create(
        school_id=kept.school_id,
        id=cast.unknown_id(),
        attendance=cast.unknown_id(),
        revision=1,
        lesson=lesson,
        student_id=kept.student_id,
        state="here",
        member_id=kept.member_id,
        at=cast.NOW,
    )
    assert ran_out(as_head, student=earlier.student) == ["back after a break on 2026-03-03"]


def test_of_a_skill_that_is_not_taught(world, as_head):
    skill = Skill.objects.create(school_id=world.own.school, key="of_before")
    Yes.objects.filter(id=world.own.yes).update(skill=skill)
    assert ran_out(as_head, student=world.own.student) == ["not in the curriculum in use"]


def test_of_a_child_without_a_place(world, as_head, as_teacher):
    Enrolment.objects.filter(student_id=world.own.student).delete()
    assert ran_out(as_head, student=world.own.student) == ["not in the curriculum in use"]
    assert listed(as_teacher, student=world.own.student) == []


def test_pages(world, as_head):
    give(
        as_head, *(a_yes(world.own, student=world.own.student2, kind=k) for k in ("begin", "show"))
    )
    first = as_head.get(URL, {"limit": 2}).json()
    assert len(first["rows"]) == 2
    rest = as_head.get(URL, {"limit": 500, "cursor": first["next"]}).json()
    assert rest["next"] is None
    ids = [row["id"] for row in first["rows"] + rest["rows"]]
    assert len(ids) == len(set(ids)) == Yes.objects.filter(school_id=world.own.school).count()


def test_taken_back_on_its_day(world, as_teacher):
    assert as_teacher.delete(f"{URL}/{world.own.yes}").status_code == 204
    assert as_teacher.delete(f"{URL}/{world.own.yes}").status_code == 404
    event = Event.objects.get(what="take_back_yes")
    assert (str(event.about), event.details) == (world.own.student, {"given": world.own.yes})


def test_an_earlier_one_stands(earlier, as_teacher):
    answer = as_teacher.delete(f"{URL}/{earlier.yes}")
    assert answer.status_code == 409
    assert answer.json()["detail"] == (
        "it is of 2026-03-03: only what is of today or later can be taken back"
    )
    assert Yes.objects.filter(id=earlier.yes).exists()
