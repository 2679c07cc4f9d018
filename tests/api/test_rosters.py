import io

import openpyxl
import pytest

from classes.models import Enrolment, Student

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
