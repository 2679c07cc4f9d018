import io

import openpyxl
import pytest

from classes.models import Agreement, Attendance, PairCheck, Restriction, Yes
from tests.api import cast
from tests.api.probes import errors

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
RESTRICTIONS = b"Child;Not for now;from;until\nAmparo;wrists;10.3.2026;7.4.2026\n"


def load(client, noun, content, content_type="text/csv", **asked):
    return client.generic(
        "POST", f"/api/v1/files/{noun}", content, content_type=content_type, query_params=asked
    )


def test_tried_then_loaded_then_known(world, as_teacher):
    hers = Restriction.objects.filter(student_id=world.own.student)
    mapping = "Child = student, Not for now = blocks, from, until"
    new = {"mapping": mapping, "new": 1, "changed": 0, "standing": 0}
    tried = load(as_teacher, "restrictions", RESTRICTIONS, dry_run="true")
    assert (tried.status_code, tried.json()) == (200, new)
    assert not hers.exists()
    assert load(as_teacher, "restrictions", RESTRICTIONS).json() == new
    assert hers.count() == 1
    again = load(as_teacher, "restrictions", RESTRICTIONS)
    assert again.json() == {"mapping": mapping, "new": 0, "changed": 0, "standing": 1}


def test_a_workbook(world, as_teacher):
    book = openpyxl.Workbook()
    for row in (("student", "kind", "agreed_on"), ("Amparo", "lifting", "2026-03-10")):
        book.active.append(row)
    content = io.BytesIO()
    book.save(content)
    assert load(as_teacher, "agreements", content.getvalue(), XLSX).json()["new"] == 1
    assert Agreement.objects.filter(agreed_on=cast.ON).count() == 1


def test_every_fault_with_its_place(world, as_teacher):
    content = b"student,blocks,from,until,reason\nAmparo,neck,2026-03-10,,\n"
    answer = load(as_teacher, "restrictions", content)
    assert answer.status_code == 400
    assert errors(answer) == [
        ("", "invalid", "row 1, column “reason”: why is never kept: take this column out"),
        ("", "invalid", "row 2, column “until”: missing"),
    ]
    # A child of another studio is as unknown as one who is not there.
    content = "student,blocks,from,until\nEleftheria,neck,2026-03-10,2026-03-10\n"
    (told,) = errors(load(as_teacher, "restrictions", content))
    assert told[2] == "row 2, column “student”: no child is called “Eleftheria”"


def test_for_the_evening_of_a_class(world, as_teacher):
    content = "base,flyer,given_on,tonight\nBenedikt,Chiamaka,2026-03-10,yes\n"
    assert errors(load(as_teacher, "pair-checks", content)) == [
        (
            "",
            "invalid",
            "row 2, column “tonight”: for one evening only: say of which class",
        )
    ]
    load(as_teacher, "pair-checks", content, **{"class": world.own.klass})
    assert str(PairCheck.objects.get(base_id=world.own.student2).lesson_id) == world.own.lesson
    content = "student,skill,role,kind,given_on\nBenedikt,chest_rest,base,show,2026-03-10\n"
    load(as_teacher, "yeses", content)
    assert Yes.objects.get(student_id=world.own.student2).lesson_id is None


def test_an_assistant_loads_who_came(world, as_assistant):
    content = "date,student,state\n2026-02-24,Amparo,away\n"
    asked = {"class": world.own.klass}
    assert load(as_assistant, "attendance", content, **asked).json()["new"] == 1
    assert Attendance.objects.filter(state="away").count() == 1
    missing = load(as_assistant, "attendance", content)
    assert errors(missing) == [("class", "required", "This field is required.")]


@pytest.mark.parametrize("where", ["sister", "foreign", None])
def test_a_class_that_cannot_be_seen(world, as_teacher, where):
    klass = world.places[where].klass if where else str(cast.unknown_id())
    answer = load(as_teacher, "attendance", b"date,student,state\n", **{"class": klass})
    assert errors(answer) == [("class", "invalid", "unknown")]


def test_what_is_no_table(world, as_teacher):
    assert errors(load(as_teacher, "wishes", b"")) == [
        ("", "invalid", "the file: empty: the first row should name the columns")
    ]
    assert load(as_teacher, "wishes", b"a,b", "application/json").status_code == 415
    assert load(as_teacher, "wishes", b"a" * (2 * 1024 * 1024 + 1)).status_code == 413
    assert load(as_teacher, "names", b"a,b").status_code == 404
    no_class = load(as_teacher, "wishes", b"a,b", **{"class": world.own.klass})
    assert errors(no_class) == [("class", "unknown_parameter", "No such parameter.")]
