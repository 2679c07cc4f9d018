import io

import openpyxl
import pytest

from accounts.models import Event
from classes.models import Enrolment, Identity, Student

LIST = "given_name,birth,height_cm,height_on\nOddny,2016-05,128,2026-03-03\n"
SLIP = "given_name,birth,height_cm,height_on\nOddny,2016-05,46,2026-03-03\n"
WORKBOOK = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def bring(client, place, content, media="text/csv", **query):
    content = content.encode() if isinstance(content, str) else content
    return client.post(
        f"/api/v1/classes/{place.klass}/roster", content, content_type=media, query_params=query
    )


def read(client, place, **query):
    return client.get(f"/api/v1/classes/{place.klass}/roster", query)


def test_who_has_a_place_by_name(world, as_assistant):
    rows = read(as_assistant, world.own).json()["rows"]
    assert [row["name"] for row in rows] == ["Amparo", "Benedikt", "Chiamaka", "Dorotea"]
    assert rows[0] == {
        "student": world.own.student,
        "name": "Amparo",
        "from_date": "2025-09-02",
        "until": None,
        "trial": False,
    }
    assert read(as_assistant, world.own, on="2025-09-01").json()["rows"] == []
    assert read(as_assistant, world.own, on="yesterday").status_code == 400
    assert read(as_assistant, world.own, day="2025-09-01").status_code == 400


def test_a_list_is_loaded_once(world, as_teacher):
    said = {
        "mapping": "given_name, birth, height_cm, height_on",
        "new": ["Oddny"],
        "changed": [],
        "standing": 0,
        "absent": ["Amparo", "Benedikt", "Chiamaka", "Dorotea"],
        "remarks": [],
    }
    assert bring(as_teacher, world.own, LIST, dry_run="true").json() == said
    assert "Oddny" not in str(read(as_teacher, world.own).json())
    assert bring(as_teacher, world.own, LIST).json() == said
    assert bring(as_teacher, world.own, LIST).json() == {**said, "new": [], "standing": 1}
    assert read(as_teacher, world.own).json()["rows"][-1]["name"] == "Oddny"


def test_a_list_is_answered_alike_whoever_is_out_of_sight(world, as_teacher):
    """Nobody learns by trying months when a child of another studio was born, or her initial."""
    months = [f"2013-{month:02}" for month in range(1, 13)]
    for rows in (months, months[4:5], reversed(months)):
        rows = list(rows)
        said = set()
        for name in ("Hideaki", "Oddny"):  # born 2013-05 at the sister studio, and nowhere
            content = "\n".join(["given_name,birth", *(f"{name},{month}" for month in rows)])
            answer = bring(as_teacher, world.own, content, dry_run="true")
            said.add(answer.content.decode().replace(name, "-"))
        assert len(said) == 1, said
    Identity.objects.filter(given_name="Hideaki").update(initial="K")
    said = bring(as_teacher, world.own, "given_name,birth\nHideaki,2013-05").json()
    assert (said["new"], said["changed"]) == (["Hideaki"], [])
    assert Identity.objects.filter(given_name="Hideaki").count() == 2


def test_a_child_of_another_studio_is_new_to_whoever_brings_her(world, as_teacher):
    content = "given_name,birth,height_cm,height_on\nHideaki,2013-05,156,2026-03-03"
    there = Identity.objects.get(given_name="Hideaki").student_id
    said = bring(as_teacher, world.own, content).json()
    assert (said["new"], said["changed"]) == (["Hideaki"], [])
    assert read(as_teacher, world.own).json()["rows"][-1]["student"] == str(there)
    assert Event.objects.get(about=there).what == "change_student"


def test_a_child_of_another_studio_needs_an_initial_beside_her_namesake(world, as_teacher):
    Identity.objects.filter(given_name="Amparo").update(initial="Q")
    Identity.objects.filter(given_name="Hideaki").update(given_name="Amparo")
    Student.objects.filter(id=world.own.student).update(birth_month=7)
    answer = bring(as_teacher, world.own, "given_name,birth\nAmparo,2013-05")
    assert answer.status_code == 400
    assert "another Amparo is in the school" in answer.json()["errors"][0]["detail"]


def test_a_question_is_answered_by_the_rows_number(world, as_teacher):
    answer = bring(as_teacher, world.own, SLIP)
    assert answer.status_code == 400
    assert answer.json()["errors"] == [
        {
            "pointer": "",
            "code": "invalid",
            "detail": "row 2, column “height_cm”: question: Height 46 cm: is a leading 1 missing"
            " (146.0 cm)? If it is as meant, confirm row 2.",
        }
    ]
    assert bring(as_teacher, world.own, SLIP, confirm="3").status_code == 400
    loaded = bring(as_teacher, world.own, SLIP, confirm="3,2").json()
    assert loaded["new"] == ["Oddny"]
    assert loaded["remarks"] == ["row 3 was confirmed: nothing was asked about it"]


@pytest.mark.parametrize("confirm", ["", "x", "2,", "-1", "2;3", "9" * 5000])
def test_numbers_of_rows_are_numbers(world, as_teacher, confirm):
    answer = bring(as_teacher, world.own, SLIP, confirm=confirm)
    assert answer.status_code == 400
    assert {error["parameter"] for error in answer.json()["errors"]} == {"confirm"}


def test_a_workbook(world, as_teacher):
    book, out = openpyxl.Workbook(), io.BytesIO()
    for row in (["given_name", "birth"], ["Þóra", "2016-05"]):
        book.active.append(row)
    book.save(out)
    assert bring(as_teacher, world.own, out.getvalue(), WORKBOOK).json()["new"] == ["Þóra"]


@pytest.mark.parametrize(
    ("content", "media", "status"),
    [
        ("", "text/csv", 400),
        (LIST, "application/json", 415),
        (b"PK\x03\x04 no workbook", WORKBOOK, 400),
        (b"x" * (2 * 1024 * 1024 + 1), "text/csv", 413),
        ("given_name,birth\nOddny,May\n,2016-05\n", "text/csv", 400),
    ],
)
def test_what_is_refused_changes_nothing(world, as_teacher, content, media, status):
    before = Student.objects.count(), Enrolment.objects.count()
    assert bring(as_teacher, world.own, content, media).status_code == status
    assert (Student.objects.count(), Enrolment.objects.count()) == before


def test_a_child_of_another_school_is_somebody_else(world, as_teacher):
    name = world.foreign.names[0]
    assert bring(as_teacher, world.own, f"given_name,birth\n{name},2013-05\n").json()["new"] == [
        name
    ]
