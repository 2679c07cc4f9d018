"""Trial children whom a phone made offline."""

from datetime import date
from uuid import uuid4

import pytest

from accounts.models import Event
from classes.models import Enrolment, Erased, Identity, Student
from tests.api.cast import NOW, unknown_id


def row(place, **different):
    return {
        "id": str(uuid4()),
        "given_name": "Xiomara",
        "class": place.klass,
        "on": place.on,
        **different,
    }


def hand_in(client, *rows):
    answer = client.post("/api/v1/students/batch", {"rows": rows}, format="json")
    assert answer.status_code == 200, answer.content
    return answer.json()["rows"]


def stored(row):
    return {"id": row["id"], "status": "stored"}


def already(row):
    return {"id": row["id"], "status": "already_stored"}


def refused(row, code, pointer):
    return {"id": row["id"], "status": "refused", "code": code, "pointer": pointer}


def test_a_child_who_came_to_try_it(world, as_assistant):
    said = row(world.own, initial="q.", birth_year=2016, birth_month=9)
    assert hand_in(as_assistant, said) == [stored(said)]
    child = as_assistant.get(f"/api/v1/students/{said['id']}").json()
    assert (child["given_name"], child["initial"], child["age"]) == ("Xiomara", "Q", 9)
    place = Enrolment.objects.get(student_id=said["id"])
    assert (place.trial, place.from_date, place.until) == (True, date(2026, 3, 10), None)
    assert str(place.group_class_id) == world.own.klass
    told = Event.objects.get(what="add_student")
    assert (str(told.about), told.details) == (said["id"], {"news": ["trial"]})


def test_her_birth_month_need_not_be_known(world, as_assistant, as_teacher):
    said = row(world.own)
    hand_in(as_assistant, said)
    child = as_teacher.get(f"/api/v1/students/{said['id']}").json()
    assert (child["age"], child["birth_year"], child["birth_month"]) == (None, None, None)
    found = as_assistant.get("/api/v1/students", {"class": world.own.klass}).json()["rows"]
    assert [(one["name"], one["age"]) for one in found if one["id"] == said["id"]] == [
        ("Xiomara", None)
    ]


def test_what_she_did_that_evening_may_follow(world, as_assistant):
    said = row(world.own)
    hand_in(as_assistant, said)
    here = {
        "id": str(uuid4()),
        "revision": 1,
        "student": said["id"],
        "class": world.own.klass,
        "on": world.own.on,
        "state": "here",
    }
    as_assistant.post("/api/v1/attendance/batch", {"rows": [here]}, format="json")
    register = as_assistant.get(f"/api/v1/lessons/{world.own.lesson}/attendance").json()["rows"]
    assert [(one["name"], one["trial"], one["state"]) for one in register][-1] == (
        "Xiomara",
        True,
        "here",
    )


def test_the_same_row_again_and_another_with_its_id(world, as_assistant):
    one = row(world.own, initial="Q")
    assert hand_in(as_assistant, one, one | {"initial": "q."}) == [stored(one), already(one)]
    for different in ({"given_name": "Yrsa"}, {"on": world.own.before}, {"birth_year": 2016}):
        said = one | different | ({"birth_month": 4} if "birth_year" in different else {})
        assert hand_in(as_assistant, said) == [refused(one, "id_reused", "/rows/0/id")]
    assert Identity.objects.get(student_id=one["id"]).given_name == "Xiomara"


def test_what_a_teacher_has_corrected_since_was_taken(world, as_assistant, as_teacher):
    one, other = row(world.own), row(world.own, given_name="Yrsa")
    hand_in(as_assistant, one, other)
    url = f"/api/v1/students/{one['id']}"
    as_teacher.patch(url, {"given_name": "Ximena"}, format="json")
    place = as_teacher.get(f"/api/v1/students/{other['id']}").json()["places"][0]["id"]
    url = f"/api/v1/students/{other['id']}/places/{place}"
    as_teacher.patch(url, {"until": "2026-03-24"}, format="json")
    assert hand_in(as_assistant, one, other) == [already(one), already(other)]
    assert Identity.objects.get(student_id=one["id"]).given_name == "Ximena"


def test_one_bad_row_never_sinks_the_others(world, as_assistant):
    good = row(world.own)
    bad = [
        ("given_name", row(world.own, given_name="")),
        ("given_name", row(world.own, given_name="Xio7")),
        ("given_name", row(world.own, given_name="x" * 61)),
        ("initial", row(world.own, initial="7")),
        ("on", row(world.own, on="2026-03-12")),
        ("on", row(world.own, on="2005-03-12")),
        ("birth_month", row(world.own, birth_year=2016)),
        ("birth_year", row(world.own, birth_month=5)),
        ("birth_month", row(world.own, birth_year=2016, birth_month=13)),
        ("birth_year", row(world.own, birth_year=2026, birth_month=4)),
        ("birth_year", row(world.own, birth_year=1925, birth_month=4)),
        ("mass_kg", row(world.own, mass_kg=31)),
    ]
    assert hand_in(as_assistant, *[one for _, one in bad], good) == [
        refused(one, "invalid", f"/rows/{place}/{name}") for place, (name, one) in enumerate(bad)
    ] + [stored(good)]
    assert Student.objects.filter(id__in=[one["id"] for _, one in bad]).count() == 0


def test_a_class_that_cannot_be_seen_is_unknown(world, as_assistant):
    for klass in (world.sister.klass, world.foreign.klass, str(unknown_id())):
        one = row(world.own, **{"class": klass})
        assert hand_in(as_assistant, one) == [refused(one, "unknown", "/rows/0/class")]


def test_an_erased_child_is_not_brought_back(world, as_assistant):
    one = row(world.own)
    Erased.objects.create(school_id=world.own.school, student_id=one["id"], erased_at=NOW)
    assert hand_in(as_assistant, one) == [refused(one, "erased", "/rows/0/id")]


@pytest.mark.parametrize("where", ["own", "sister", "foreign"])
def test_an_id_that_stands_for_another_child_is_taken(world, as_assistant, where):
    one, good = row(world.own, id=world.places[where].student), row(world.own)
    assert hand_in(as_assistant, one, good, one) == [
        refused(one, "id_reused", "/rows/0/id"),
        stored(good),
        refused(one, "id_reused", "/rows/2/id"),
    ]
    assert Identity.objects.filter(given_name="Xiomara").count() == 1
    assert Enrolment.objects.filter(student_id=one["id"]).count() == 1
