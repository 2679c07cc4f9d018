"""Children: in lists and one by one, taken on and corrected by a teacher."""

from datetime import date

import pytest

from accounts.models import Event
from classes.models import Agreement, Identity, Measurement, Restriction, Student
from tests.api.cast import MASSES, unknown_id

OWN = ["Amparo", "Benedikt", "Chiamaka", "Dorotea"]
SISTER = ["Eleftheria", "Fyodor", "Gwenllian", "Hideaki"]


def listed(client, **query):
    return client.get("/api/v1/students", query).json()["rows"]


def names(client, **query):
    return [row["name"] for row in listed(client, **query)]


def one(client, student):
    answer = client.get(f"/api/v1/students/{student}")
    assert answer.status_code == 200
    return answer.json()


def patch(client, student, **said):
    return client.patch(f"/api/v1/students/{student}", said, format="json")


def post(client, place, **different):
    said = {
        "given_name": "Xiomara",
        "birth_year": 2016,
        "birth_month": 4,
        "class": place.klass,
        **different,
    }
    return client.post("/api/v1/students", said, format="json")


def errors(answer):
    assert answer.status_code == 400, answer.content
    return {error["pointer"]: error["detail"] for error in answer.json()["errors"]}


def question(answer):
    assert (answer.status_code, answer.json()["code"]) == (409, "conflict"), answer.content
    return answer.json()["detail"]


# -- lists ---------------------------------------------------------------------------------------


def test_the_children_in_sight_by_name(world, as_head, as_assistant, as_stranger):
    assert names(as_assistant) == OWN
    assert names(as_head) == OWN + SISTER
    assert names(as_stranger) == ["Iolanthe", "Jovana", "Kwabena", "Lieselotte"]
    assert listed(as_assistant)[0] == {
        "id": world.own.student,
        "name": "Amparo",
        "age": 12,
        "joined_on": "2025-09-02",
        "left_on": None,
    }


def test_the_children_of_a_class(world, as_head):
    assert names(as_head, **{"class": world.sister.klass}) == SISTER
    assert names(as_head, **{"class": world.sister.klass, "on": "2025-09-01"}) == []
    for foreign in (world.foreign.klass, unknown_id()):
        assert names(as_head, **{"class": foreign}) == []


def test_who_has_left_is_listed_up_to_her_last_day(world, as_teacher):
    Student.objects.filter(id=world.own.student).update(left_on=date(2026, 3, 3))
    assert names(as_teacher) == OWN[1:]
    assert names(as_teacher, on="2026-03-03") == OWN
    assert names(as_teacher, on="2026-03-03", **{"class": world.own.klass}) == OWN


def test_lists_come_in_pages(world, as_head):
    found, cursor = [], {}
    while cursor is not None:
        page = as_head.get("/api/v1/students", {"limit": 3, **cursor}).json()
        found += [row["name"] for row in page["rows"]]
        cursor = {"cursor": page["next"]} if page["next"] else None
    assert found == OWN + SISTER


# -- one child -----------------------------------------------------------------------------------


def test_one_child_as_a_teacher_sees_her(world, as_teacher):
    Agreement.objects.filter(student_id=world.own.student2, kind="lifting").update(
        withdrawn_on=date(2026, 3, 1)
    )
    Agreement.objects.filter(student_id=world.own.student2, kind="hands_on").delete()
    Restriction.objects.create(
        school_id=world.own.school,
        student_id=world.own.student2,
        blocks="knees",
        from_date=date(2026, 2, 1),
        until=date(2026, 3, 9),
    )
    child = one(as_teacher, world.own.student2)
    place = child.pop("places")[0]
    assert child == {
        "id": world.own.student2,
        "name": "Benedikt",
        "given_name": "Benedikt",
        "initial": "",
        "age": 12,
        "birth_year": 2013,
        "birth_month": 5,
        "guardian_note": "",
        "joined_on": "2025-09-02",
        "left_on": None,
        "height_cm": 138.0,
        "height_on": "2026-01-13",
        "hands_on": "missing",
        "lifting": "withdrawn",
        "blocked": [{"blocks": "wrists", "until": "2026-05-03"}],
    }
    assert {name: place[name] for name in ("class", "class_name", "from", "until", "trial")} == {
        "class": world.own.klass,
        "class_name": "Class at Quayside Hall",
        "from": "2025-09-02",
        "until": None,
        "trial": False,
    }
    assert one(as_teacher, world.own.student)["lifting"] == "agreed"


def test_an_assistant_is_told_her_age_alone(world, as_assistant):
    Identity.objects.update(guardian_note="the aunt fetches her")
    child = one(as_assistant, world.own.student)
    assert (child["age"], child["height_cm"]) == (12, 138.0)
    assert {child["birth_year"], child["birth_month"], child["guardian_note"]} == {None}


def test_nobody_is_told_a_mass(world, as_head, as_teacher):
    for client in (as_head, as_teacher):
        answer = client.get(f"/api/v1/students/{world.own.student}")
        assert str(MASSES["own"]) not in answer.content.decode()
        assert "mass" not in answer.content.decode()
        assert "kg" not in answer.content.decode()


def test_a_place_in_a_studio_out_of_sight_is_not_told(world, as_head, as_teacher):
    url = f"/api/v1/students/{world.own.student}/places"
    as_head.post(url, {"class": world.sister.klass, "from": "2026-03-10"}, format="json")
    assert len(one(as_head, world.own.student)["places"]) == 2
    assert len(one(as_teacher, world.own.student)["places"]) == 1


# -- taken on ------------------------------------------------------------------------------------


def test_a_new_child_with_a_place(world, as_teacher):
    answer = post(
        as_teacher,
        world.own,
        initial="q.",
        trial=True,
        height_cm=134.5,
        guardian_note="the aunt fetches her",
        **{"from": "2026-03-17"},
    )
    assert answer.status_code == 201, answer.content
    child = answer.json()
    assert (child["name"], child["initial"], child["age"]) == ("Xiomara", "Q", 9)
    assert (child["height_cm"], child["height_on"]) == (134.5, "2026-03-10")
    assert (child["joined_on"], child["guardian_note"]) == ("2026-03-17", "the aunt fetches her")
    assert (child["places"][0]["from"], child["places"][0]["trial"]) == ("2026-03-17", True)
    assert child == one(as_teacher, child["id"])
    assert str(Event.objects.get(what="add_student").about) == child["id"]


def test_the_same_child_again_changes_nothing(world, as_teacher):
    first = post(as_teacher, world.own).json()
    assert post(as_teacher, world.own).json() == first
    assert Identity.objects.filter(given_name="Xiomara").count() == 1


def test_a_height_that_looks_like_a_slip_is_asked_about(world, as_teacher):
    answer = post(as_teacher, world.own, height_cm=53)
    assert "inches" in question(answer)
    assert not Identity.objects.filter(given_name="Xiomara").exists()
    assert post(as_teacher, world.own, height_cm=53, confirmed=True).status_code == 201
    assert Measurement.objects.get(student__identity__given_name="Xiomara").value == 53


def test_a_child_of_the_same_name_and_another_month_is_asked_about(world, as_teacher):
    answer = post(as_teacher, world.own, given_name="Amparo", birth_year=2014)
    assert question(answer) == (
        "Amparo is known, born 2013-05: is 2014-04 a correction? Another child needs another"
        " initial."
    )
    assert errors(post(as_teacher, world.own, given_name="Amparo", initial="Z")) == {
        "/given_name": "another Amparo is in the school, without an initial: load hers first"
    }


@pytest.mark.parametrize(
    "said", [{"birth_year": 2014}, {"birth_year": 2013, "birth_month": 5, "initial": "Z"}]
)
def test_of_a_child_out_of_sight_nothing_is_asked(world, as_teacher, as_head, said):
    """Nobody learns a name of another studio, or when a child of it was born, by trying."""
    there = Identity.objects.select_related("student").get(given_name="Hideaki")
    assert "Hideaki" in question(post(as_head, world.own, given_name="Hideaki", **said))
    answer = post(as_teacher, world.own, given_name="Hideaki", **said)
    assert answer.status_code == 201, answer.content
    assert answer.json()["id"] != str(there.student_id)
    now = Identity.objects.select_related("student").get(student_id=there.student_id)
    assert (now.initial, now.student.birth_year, now.student.birth_month) == ("", 2013, 5)


def test_a_child_out_of_sight_who_is_named_in_full_gets_the_place(world, as_teacher):
    there = Identity.objects.get(given_name="Hideaki")
    assert as_teacher.get(f"/api/v1/students/{there.student_id}").status_code == 404
    asked = {"given_name": "Hideaki", "birth_year": 2013, "birth_month": 5}
    assert post(as_teacher, world.own, **asked).json()["id"] == str(there.student_id)


def test_a_child_who_came_to_try_it_is_asked_about(world, as_teacher):
    child = world.own.student
    Student.objects.filter(id=child).update(birth_year=None, birth_month=None)
    asked = {"given_name": "Amparo", "initial": "Z", "birth_year": 2014}
    assert question(post(as_teacher, world.own, **asked)) == (
        "Amparo is known without a month of birth: is this the same child? Another child needs"
        " another initial."
    )
    known = post(as_teacher, world.own, confirmed=True, **asked).json()
    assert (known["id"], known["initial"], known["birth_year"]) == (child, "Z", 2014)


def test_every_fault_at_once(world, as_teacher):
    answer = post(
        as_teacher,
        world.sister,
        given_name="Xio7",
        initial="7",
        birth_year=2030,
        height_on="2026-03-12",
        **{"from": "2056-01-01"},
    )
    assert errors(answer) == {
        "/class": "unknown",
        "/given_name": "“Xio7” should be a name",
        "/initial": "“7” should be one to four letters",
        "/birth_year": "nobody in a class was born in 2030-04",
        "/height_on": "2026-03-12 is still to come, or too long ago",
        "/from": "2056-01-01 is more than 20 years from now",
    }
    missing = as_teacher.post("/api/v1/students", {"height_cm": 0}, format="json")
    assert errors(missing).keys() == {
        "/given_name",
        "/birth_year",
        "/birth_month",
        "/class",
        "/height_cm",
    }


# -- corrected -----------------------------------------------------------------------------------


def test_what_a_teacher_corrects(world, as_teacher):
    said = {
        "given_name": "Amparito",
        "initial": "z.",
        "birth_year": 2014,
        "birth_month": 11,
        "guardian_note": "two homes",
        "left_on": "2026-06-30",
    }
    answer = patch(as_teacher, world.own.student, **said)
    assert answer.status_code == 200
    child = answer.json()
    assert {name: child[name] for name in said} == said | {"initial": "Z"}
    assert (child["age"], child["name"]) == (11, "Amparito")
    told = Event.objects.get(what="change_student")
    assert (str(told.about), told.details) == (world.own.student, {"news": sorted(said)})
    assert patch(as_teacher, world.own.student, **said).json() == child
    assert patch(as_teacher, world.own.student, left_on=None).json()["left_on"] is None
    assert Event.objects.filter(what="change_student").count() == 2


def test_a_month_of_birth_that_does_not_go_with_her_height_is_asked_about(world, as_teacher):
    said = {"birth_year": 2021}
    assert "138" in question(patch(as_teacher, world.own.student, **said))
    assert Student.objects.get(id=world.own.student).birth_year == 2013
    known = patch(as_teacher, world.own.student, confirmed=True, **said)
    assert known.json()["birth_year"] == 2021


def test_an_age_without_a_table_is_asked_about(world, as_teacher):
    Measurement.objects.all().delete()
    asked = patch(as_teacher, world.own.student, birth_year=2025, birth_month=9)
    assert question(asked).endswith(": are year and month as meant?")


@pytest.mark.parametrize(
    ("said", "fault"),
    [
        ({"given_name": "7"}, {"/given_name": "“7” should be a name"}),
        ({"birth_month": None}, {"/birth_year": "a year and a month, or neither"}),
        ({"birth_year": 2027}, {"/birth_year": "nobody in a class was born in 2027-05"}),
        (
            {"left_on": "2025-09-01"},
            {"/left_on": "2025-09-01 is before she joined on 2025-09-02"},
        ),
        (
            {"left_on": "2050-09-01"},
            {"/left_on": "2050-09-01 is more than 20 years from now"},
        ),
        ({"given_name": "benedikt"}, {"/initial": "missing: another Benedikt is in the school"}),
        (
            {"given_name": "Dorotea", "initial": "R", "left_on": "2024-01-01"},
            {
                "/initial": "Dorotea R. is in the school: another child, another initial",
                "/left_on": "2024-01-01 is before she joined on 2025-09-02",
            },
        ),
    ],
)
def test_what_cannot_be_is_refused(world, as_teacher, said, fault):
    Identity.objects.filter(given_name="Dorotea").update(initial="R")
    assert errors(patch(as_teacher, world.own.student, **said)) == fault
    assert one(as_teacher, world.own.student)["name"] == "Amparo"


def test_a_height_is_entered_as_a_measurement(world, as_teacher):
    assert errors(patch(as_teacher, world.own.student, height_cm=140)) == {
        "/height_cm": "No such field."
    }


def test_names_of_children_out_of_sight_are_not_to_be_tried_out(world, as_teacher, as_head):
    """As for a name that nobody has: it is hers now, and nothing is told."""
    for name in ("Hideaki", "Zuleika"):
        answer = patch(as_teacher, world.own.student, given_name=name)
        assert (answer.status_code, answer.json()["given_name"]) == (200, name)
    # Whoever sees both children is asked to tell them apart.
    assert errors(patch(as_head, world.own.student, given_name="Hideaki")) == {
        "/initial": "missing: another Hideaki is in the school"
    }
