"""Lessons as planned and as stored, and what a teacher says about one evening."""

from django.db import connection
from django.test.utils import CaptureQueriesContext

from accounts.models import Event
from classes.models import Lesson
from tests.api.cast import unknown_id


def weeks(client, **query):
    said = {"first": "2026-03-03", "last": "2026-03-17", **query}
    return client.get("/api/v1/lessons", said)


def test_planned_and_stored_lessons(world, as_assistant):
    answer = weeks(as_assistant)
    assert answer.status_code == 200
    rows = answer.json()["rows"]
    assert [row["on"] for row in rows] == ["2026-03-03", "2026-03-10", "2026-03-17"]
    assert rows[1] == {
        "id": world.own.lesson,
        "class": world.own.klass,
        "on": "2026-03-10",
        "starts_at": "2026-03-10T17:00:00Z",
        "minutes": 45,
        "state": "planned",
        "mats": None,
        "surface": "",
        "note": "",
        "spotters": [world.own.member],
        "closed": None,
        "class_name": "Class at Quayside Hall",
        "studio": {"id": world.own.studio, "name": "Quayside Hall", "zone": "Europe/Lisbon"},
    }
    outside = weeks(as_assistant, last="2026-04-07").json()["rows"][-1]
    assert (outside["on"], outside["closed"]) == ("2026-04-07", "outside the terms")


def test_naming_classes_and_studios_costs_no_question_a_row(world, as_head):
    with CaptureQueriesContext(connection) as week:
        weeks(as_head, last="2026-03-09")
    with CaptureQueriesContext(connection) as year:
        assert len(weeks(as_head, last="2027-03-03").json()["rows"]) == 106
    assert len(year) == len(week)


def test_lessons_of_one_class(world, as_head):
    assert len(weeks(as_head).json()["rows"]) == 6
    found = weeks(as_head, **{"class": world.sister.klass}).json()["rows"]
    assert {row["class"] for row in found} == {world.sister.klass}
    for foreign in (world.foreign.klass, unknown_id()):
        assert weeks(as_head, **{"class": foreign}).json() == {"rows": []}


def test_which_days_are_asked_for(world, as_head):
    answer = as_head.get("/api/v1/lessons", {"first": "yesterday", "class": "mine"})
    assert answer.status_code == 400
    assert sorted((e["parameter"], e["code"]) for e in answer.json()["errors"]) == [
        ("class", "invalid"),
        ("first", "invalid"),
        ("last", "required"),
    ]
    assert weeks(as_head, last="2027-03-17").json()["errors"] == [
        {"parameter": "last", "code": "invalid", "detail": "at most 366 days at once"}
    ]


def test_an_extra_meeting(world, as_teacher):
    said = {"class": world.own.klass, "on": "2026-03-14"}  # a Saturday
    answer = as_teacher.post("/api/v1/lessons", said, format="json")
    assert answer.status_code == 201
    assert (answer.json()["on"], answer.json()["closed"]) == ("2026-03-14", None)
    again = as_teacher.post("/api/v1/lessons", said, format="json")
    assert again.json() == answer.json()
    assert Event.objects.filter(what="add_lesson").count() == 1
    assert as_teacher.get(f"/api/v1/lessons/{answer.json()['id']}").json() == answer.json()


def test_an_extra_meeting_is_of_a_class_in_sight_and_of_our_time(world, as_teacher):
    for klass in (world.sister.klass, world.foreign.klass, str(unknown_id())):
        said = {"class": klass, "on": "2066-03-14"}
        answer = as_teacher.post("/api/v1/lessons", said, format="json")
        assert answer.status_code == 400
        assert answer.json()["errors"] == [
            {"pointer": "/class", "code": "invalid", "detail": "unknown"},
            {
                "pointer": "/on",
                "code": "invalid",
                "detail": "2066-03-14 is more than 20 years from now",
            },
        ]


def patch(client, lesson, **said):
    return client.patch(f"/api/v1/lessons/{lesson}", said, format="json")


def test_what_a_teacher_says_about_an_evening(world, as_teacher):
    said = {
        "mats": 3,
        "minutes": 60,
        "surface": "grass",
        "note": "the hall is taken, we are outside",
        "spotters": [world.own.member, str(world.members["teacher"].id)],
    }
    answer = patch(as_teacher, world.own.lesson, **said)
    assert answer.status_code == 200
    assert {name: answer.json()[name] for name in said} == said | {
        "spotters": sorted(said["spotters"])
    }
    told = Event.objects.get(what="change_lesson")
    assert str(told.about) == world.own.lesson
    assert told.details == {"changed": ["mats", "minutes", "note", "spotters", "surface"]}
    left = patch(as_teacher, world.own.lesson, mats=None, note="").json()
    assert (left["mats"], left["note"], left["surface"]) == (None, "", "grass")


def test_saying_it_again_changes_nothing(world, as_teacher):
    patch(as_teacher, world.own.lesson, mats=3)
    patch(as_teacher, world.own.lesson, mats=3, spotters=[world.own.member])
    assert Event.objects.filter(what="change_lesson").count() == 1


def test_a_planned_lesson_is_stored_when_something_is_said_about_it(world, as_teacher):
    following = weeks(as_teacher).json()["rows"][2]
    assert not Lesson.objects.filter(id=following["id"]).exists()
    assert as_teacher.get(f"/api/v1/lessons/{following['id']}").json() == following
    answer = patch(as_teacher, following["id"], state="cancelled").json()
    assert answer == following | {"state": "cancelled", "closed": "it was cancelled"}
    assert weeks(as_teacher).json()["rows"][2] == answer
    assert patch(as_teacher, following["id"], state="planned").json() == following


def test_spotters_are_adults_on_the_staff_that_day(world, as_teacher):
    young = world.members["assistant"]
    type(young).objects.filter(id=young.id).update(adult=False)
    spotters = [world.own.member, world.sister.member, str(unknown_id()), str(young.id)]
    answer = patch(as_teacher, world.own.lesson, spotters=spotters, mats=1)
    assert answer.status_code == 400
    assert [(e["pointer"], e["detail"]) for e in answer.json()["errors"]] == [
        ("/spotters/1", "unknown"),
        ("/spotters/2", "unknown"),
        ("/spotters/3", "assistant of Quayside Hall is not an adult"),
    ]
    assert Lesson.objects.get(id=world.own.lesson).mats is None


def test_who_is_named_already_stays_for_whoever_does_not_see_her(world, as_head, as_teacher):
    """A head teacher has named an adult of another studio: a teacher can still name one more."""
    patch(as_head, world.own.lesson, spotters=[world.sister.member])
    both = sorted([world.sister.member, world.own.member])
    answer = patch(as_teacher, world.own.lesson, spotters=both)
    assert (answer.status_code, answer.json()["spotters"]) == (200, both)


def test_every_fault_of_a_change_at_once(world, as_teacher):
    answer = patch(
        as_teacher,
        world.own.lesson,
        mats=61,
        minutes=9,
        surface="x" * 61,
        note="x" * 201,
        state="closed",
        spotters=["Aroha"],
    )
    assert answer.status_code == 400
    assert sorted(e["pointer"] for e in answer.json()["errors"]) == [
        "/mats",
        "/minutes",
        "/note",
        "/spotters/0",
        "/state",
        "/surface",
    ]


def test_a_field_that_is_not_for_a_teacher_to_say(world, as_teacher):
    answer = patch(as_teacher, world.own.lesson, starts_at="17:00")
    assert answer.json()["errors"] == [
        {"pointer": "/starts_at", "code": "unknown_field", "detail": "No such field."}
    ]


def test_a_note_is_not_in_the_register_of_events(world, as_teacher):
    patch(as_teacher, world.own.lesson, note="bring the long mat")
    assert "long mat" not in str(list(Event.objects.values()))


def test_unknown_lessons(world, as_head):
    for lesson in (world.foreign.lesson, unknown_id()):
        for answer in (
            as_head.get(f"/api/v1/lessons/{lesson}"),
            patch(as_head, lesson, mats=1),
        ):
            assert (answer.status_code, answer.json()["code"]) == (404, "unknown")
            assert answer.json()["detail"] == "no such lesson"
