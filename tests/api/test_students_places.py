"""A child's places in classes."""

from datetime import date

import pytest

from accounts.models import Event
from classes.models import Class, Enrolment, Student
from tests.api.cast import unknown_id


def give(client, student, klass, first, **said):
    url = f"/api/v1/students/{student}/places"
    return client.post(url, {"class": klass, "from": first, **said}, format="json")


def end(client, student, place, until):
    url = f"/api/v1/students/{student}/places/{place}"
    return client.patch(url, {"until": until}, format="json")


def places(client, student):
    found = client.get(f"/api/v1/students/{student}").json()["places"]
    return [(place["from"], place["until"], place["trial"]) for place in found]


def fault(answer):
    assert answer.status_code == 400, answer.content
    (error,) = answer.json()["errors"]
    return error["pointer"], error["detail"]


@pytest.fixture
def other(world):
    """Another class of the studio."""
    first = Class.objects.get(id=world.own.klass)
    return str(
        Class.objects.create(
            school=first.school,
            studio=first.studio,
            name="Another class",
            weekday=3,
            starts_at=first.starts_at,
        ).id
    )


@pytest.fixture
def standing(world):
    return str(Enrolment.objects.get(student_id=world.own.student).id)


def test_a_place_in_another_class(world, as_teacher, other):
    answer = give(as_teacher, world.own.student, other, "2025-03-06", trial=True)
    assert answer.status_code == 201
    assert {name: answer.json()[name] for name in ("class", "class_name", "from", "trial")} == {
        "class": other,
        "class_name": "Another class",
        "from": "2025-03-06",
        "trial": True,
    }
    again = give(as_teacher, world.own.student, other, "2025-03-06", trial=True)
    assert again.json() == answer.json()
    # She joined with her first place.
    assert Student.objects.get(id=world.own.student).joined_on == date(2025, 3, 6)
    told = Event.objects.get(what="place_student")
    assert (str(told.about), told.details) == (world.own.student, {"place": answer.json()["id"]})


def test_a_trial_becomes_a_place(world, as_teacher, other):
    give(as_teacher, world.own.student, other, "2026-03-05", trial=True)
    give(as_teacher, world.own.student, other, "2026-03-19")
    assert places(as_teacher, world.own.student)[:2] == [
        ("2026-03-05", "2026-03-18", True),
        ("2026-03-19", None, False),
    ]


def test_a_trial_that_was_none(world, as_teacher, standing):
    answer = give(as_teacher, world.own.student, world.own.klass, "2025-09-02", trial=True)
    assert (answer.status_code, answer.json()["id"]) == (201, standing)
    assert places(as_teacher, world.own.student) == [("2025-09-02", None, True)]


def test_she_comes_back(world, as_teacher, standing):
    assert end(as_teacher, world.own.student, standing, "2026-01-13").status_code == 200
    give(as_teacher, world.own.student, world.own.klass, "2026-03-17")
    assert places(as_teacher, world.own.student) == [
        ("2025-09-02", "2026-01-13", False),
        ("2026-03-17", None, False),
    ]
    for until in (None, "2026-03-17"):
        assert fault(end(as_teacher, world.own.student, standing, until)) == (
            "/until",
            "overlaps with her place from 2026-03-17 on",
        )
    assert end(as_teacher, world.own.student, standing, "2026-03-16").status_code == 200


@pytest.mark.parametrize("first", ["2025-09-01", "2026-03-17"])
def test_two_places_of_one_class_never_overlap(world, as_teacher, first):
    assert fault(give(as_teacher, world.own.student, world.own.klass, first)) == (
        "/from",
        "overlaps with her place from 2025-09-02 on",
    )
    assert places(as_teacher, world.own.student) == [("2025-09-02", None, False)]


def test_no_place_after_she_has_left(world, as_teacher, other):
    Student.objects.filter(id=world.own.student).update(left_on=date(2026, 3, 1))
    assert fault(give(as_teacher, world.own.student, other, "2026-03-02")) == (
        "/from",
        "she left on 2026-03-01",
    )


def test_days_that_cannot_be_meant(world, as_teacher, other, standing):
    assert fault(give(as_teacher, world.own.student, other, "2056-03-02")) == (
        "/from",
        "2056-03-02 is more than 20 years from now",
    )
    Class.objects.filter(id=world.own.klass).update(until=date(2026, 6, 30))
    for until, said in (
        ("2025-09-01", "2025-09-01 is before 2025-09-02"),
        ("2056-03-02", "2056-03-02 is more than 20 years from now"),
        ("2026-07-01", "the last day of Class at Quayside Hall is 2026-06-30"),
    ):
        assert fault(end(as_teacher, world.own.student, standing, until)) == ("/until", said)
    assert end(as_teacher, world.own.student, standing, "2026-06-30").status_code == 200
    told = Event.objects.get(what="place_student")
    assert (str(told.about), told.details) == (world.own.student, {"place": standing})


def test_a_class_or_place_that_cannot_be_seen(world, as_head, as_teacher, standing):
    for klass in (world.sister.klass, world.foreign.klass, str(unknown_id())):
        answer = give(as_teacher, world.own.student, klass, "2026-03-17")
        assert fault(answer) == ("/class", "unknown")
    foreign = str(Enrolment.objects.get(student_id=world.foreign.student).id)
    for student, place in (
        (world.own.student, foreign),
        (world.foreign.student, foreign),
        (world.own.student2, standing),
        (world.own.student, str(unknown_id())),
    ):
        answer = end(as_head, student, place, "2026-03-17")
        assert (answer.status_code, answer.json()["detail"]) == (404, "no such place")
