"""Who is here, as phones hand it in and as a lesson's list tells it."""

from datetime import date
from uuid import UUID, uuid4, uuid5

import pytest

from classes.models import Attendance, Enrolment, Erased, Lesson, Student
from tests.api.cast import NOW, unknown_id


def row(place, **different):
    return {
        "id": str(uuid4()),
        "revision": 2,
        "student": place.student,
        "class": place.klass,
        "on": place.on,
        "state": "away",
        **different,
    }


def hand_in(client, *rows):
    answer = client.post("/api/v1/attendance/batch", {"rows": rows}, format="json")
    assert answer.status_code == 200, answer.content
    return answer.json()["rows"]


def stored(row):
    return {"id": row["id"], "status": "stored"}


def refused(row, code, pointer=None):
    answer = {"id": row["id"], "status": "refused", "code": code}
    return answer | ({"pointer": pointer} if pointer else {})


def register(client, lesson):
    return client.get(f"/api/v1/lessons/{lesson}/attendance").json()["rows"]


def test_an_assistant_enters_who_is_here(world, as_assistant):
    one = row(world.own, state="not_today")
    assert hand_in(as_assistant, one) == [stored(one)]
    entered = Attendance.objects.get(id=one["id"])
    assert entered.attendance == uuid5(UUID(world.own.lesson), world.own.student)
    assert (entered.member_id, entered.at) == (world.members["assistant"].id, NOW)
    first, second = register(as_assistant, world.own.lesson)[:2]
    assert first == {
        "student": world.own.student,
        "name": "Amparo",
        "trial": False,
        "visitor": False,
        "state": "not_today",
        "revision": 2,
        "member": str(world.members["assistant"].id),
        "at": "2026-03-10T17:05:00Z",
    }
    assert (second["name"], second["state"], second["revision"]) == ("Benedikt", "here", 1)


def test_the_same_row_again_and_another_with_its_id(world, as_assistant, as_teacher):
    one = row(world.own)
    twisted = one | {"state": "here"}
    assert hand_in(as_assistant, one, one, twisted) == [
        stored(one),
        {"id": one["id"], "status": "already_stored"},
        refused(one, "id_reused", "/rows/2/id"),
    ]
    for different in (
        {"student": world.own.student2},
        {"on": world.own.before},
        {"revision": 3},
    ):
        answer = hand_in(as_teacher, one | different, one)
        assert answer == [
            refused(one, "id_reused", "/rows/0/id"),
            {"id": one["id"], "status": "already_stored"},
        ]
    assert Attendance.objects.get(id=one["id"]).state == "away"


def test_one_bad_row_never_sinks_the_others(world, as_assistant):
    good, also = row(world.own), row(world.own, student=world.own.student2)
    bad = [
        row(world.own, state="late"),
        row(world.own, revision=0),
        row(world.own, revision="2"),
        row(world.own, on="10.3.2026"),
        row(world.own, on="2066-03-10"),
        row(world.own, mood="fine"),
        {"id": str(uuid4())},
        row(world.own, id="one"),
        row(world.own, id=None),
    ]
    places = ("state", "revision", "revision", "on", "on", "mood", "revision", "id", "id")
    answers = hand_in(as_assistant, good, *bad, "Amparo", None, also)
    assert answers[0] == stored(good)
    assert answers[-1] == stored(also)
    assert answers[1:-1] == [
        {
            "id": None if name == "id" else one["id"],
            "status": "refused",
            "code": "invalid",
            "pointer": f"/rows/{place}/{name}",
        }
        for place, (one, name) in enumerate(zip(bad, places, strict=True), 1)
    ] + [
        {"id": None, "status": "refused", "code": "invalid", "pointer": f"/rows/{place}"}
        for place in (10, 11)
    ]


@pytest.mark.parametrize("where", ["sister", "foreign"])
def test_what_cannot_be_seen_is_unknown_like_what_is_not_there(world, as_assistant, where):
    place = world.places[where]
    before = Attendance.objects.count(), Lesson.objects.count()
    rows = [
        row(world.own, student=place.student),
        row(world.own, student=str(unknown_id())),
        row(world.own, **{"class": place.klass}),
        row(world.own, **{"class": str(unknown_id()), "on": "2026-03-12"}),
    ]
    assert hand_in(as_assistant, *rows) == [
        refused(rows[0], "unknown", "/rows/0/student"),
        refused(rows[1], "unknown", "/rows/1/student"),
        refused(rows[2], "unknown", "/rows/2/class"),
        refused(rows[3], "unknown", "/rows/3/class"),
    ]
    assert (Attendance.objects.count(), Lesson.objects.count()) == before


def test_an_erased_child_is_not_brought_back(world, as_assistant):
    Student.objects.filter(id=world.own.student).delete()
    Erased.objects.create(school_id=world.own.school, student_id=world.own.student, erased_at=NOW)
    one = row(world.own)
    assert hand_in(as_assistant, one) == [refused(one, "erased", "/rows/0/student")]


def test_an_id_of_another_school_is_free_here(world, as_assistant, as_stranger):
    theirs = row(world.foreign)
    ours = row(world.own, id=theirs["id"])
    assert hand_in(as_stranger, theirs) == [stored(theirs)]
    assert hand_in(as_assistant, ours) == [stored(ours)]


def test_a_lesson_that_is_not_there_yet_is_made(world, as_assistant):
    saturday = row(world.own, on="2026-03-14")
    assert hand_in(as_assistant, saturday, row(world.own, on="2026-03-14")) != []
    lesson = Lesson.objects.get(on=date(2026, 3, 14))
    assert (str(lesson.group_class_id), lesson.state) == (world.own.klass, "planned")
    assert Attendance.objects.filter(lesson=lesson).count() == 2


def test_of_two_phones_the_greatest_revision_and_id_counts(world, as_assistant, as_teacher):
    low, high = "1" * 8 + "-0000-4000-8000-000000000000", "2" * 8 + "-0000-4000-8000-000000000000"
    hand_in(as_assistant, row(world.own, id=high, state="not_today"))
    hand_in(as_teacher, row(world.own, id=low, state="away"))
    assert register(as_teacher, world.own.lesson)[0]["state"] == "not_today"
    hand_in(as_teacher, row(world.own, revision=3, state="here"))
    hand_in(as_assistant, row(world.own, revision=1, state="away"))
    assert register(as_teacher, world.own.lesson)[0]["state"] == "here"


def test_a_visitor_from_another_class(world, as_head, as_teacher):
    hand_in(as_head, row(world.own, student=world.sister.student, state="here"))
    found = register(as_head, world.own.lesson)
    assert [line["name"] for line in found] == [
        "Amparo",
        "Benedikt",
        "Chiamaka",
        "Dorotea",
        "Eleftheria",
    ]
    assert [line["visitor"] for line in found] == [False, False, False, False, True]
    # A teacher of one studio may not know of a child of another.
    assert len(register(as_teacher, world.own.lesson)) == 4


def test_a_lesson_without_entries(world, as_teacher):
    Enrolment.objects.filter(student_id=world.own.student2).update(trial=True)
    lesson = as_teacher.get(
        "/api/v1/lessons", {"first": "2026-03-17", "last": "2026-03-17"}
    ).json()["rows"][0]["id"]
    assert register(as_teacher, lesson)[1] == {
        "student": world.own.student2,
        "name": "Benedikt",
        "trial": True,
        "visitor": False,
        "state": None,
        "revision": None,
        "member": None,
        "at": None,
    }
    assert not Lesson.objects.filter(id=lesson).exists()


def test_a_batch_is_of_at_most_500_rows(world, as_assistant):
    rows = [{"id": None}] * 501
    answer = as_assistant.post("/api/v1/attendance/batch", {"rows": rows}, format="json")
    assert (answer.status_code, answer.json()["code"]) == (413, "too_large")
    assert len(hand_in(as_assistant, *rows[:500])) == 500
    assert hand_in(as_assistant) == []


@pytest.mark.parametrize("body", [{}, {"rows": None}, {"rows": {}}, {"rows": "none"}])
def test_a_body_without_rows_is_refused_whole(world, as_assistant, body):
    answer = as_assistant.post("/api/v1/attendance/batch", body, format="json")
    assert answer.status_code == 400
    assert [error["pointer"] for error in answer.json()["errors"]] == ["/rows"]


def test_a_batch_takes_the_same_number_of_questions_whatever_its_size(
    world, as_assistant, django_assert_max_num_queries
):
    with django_assert_max_num_queries(30) as one:
        hand_in(as_assistant, row(world.own))
    rows = [row(world.own, revision=3) for _ in range(200)]
    # SQLite takes 999 parameters a statement: the rows go in by parts there.
    with django_assert_max_num_queries(len(one) + 2):
        assert {answer["status"] for answer in hand_in(as_assistant, *rows)} == {"stored"}
