from datetime import UTC, datetime
from io import BytesIO, StringIO

import openpyxl
import pytest
import time_machine
from django.core.management import call_command

from accounts.commands import Refused
from classes.models import Agreement, Attendance, Fall, PairCheck, Restriction, Wish, Yes
from tests.classes import fact_school
from tests.classes.fact_school import CLASS, EXAMPLES, SCHOOL

WITH_CLASS = ("attendance", "yeses", "pair_checks")
MODELS = {
    "attendance": Attendance,
    "agreements": Agreement,
    "restrictions": Restriction,
    "yeses": Yes,
    "pair_checks": PairCheck,
    "wishes": Wish,
    "falls": Fall,
}


@pytest.fixture(autouse=True)
def school(db):
    with time_machine.travel(datetime(2026, 3, 11, 12, tzinfo=UTC), tick=False):
        yield fact_school.build()


def run(noun, file, *options, member="Tendai R."):
    """What the command says; `options` go after the file."""
    out = StringIO()
    about = ["--school", SCHOOL, "--as", member]
    if noun in WITH_CLASS:
        about += ["--class", CLASS]
    call_command(f"load_{noun}", str(file), *about, *options, stdout=out)
    return out.getvalue().splitlines()


@pytest.mark.parametrize("noun", MODELS)
def test_a_file_is_tried_then_loaded_then_known(noun):
    file = EXAMPLES / f"{noun}.csv"
    header, *lines = file.read_text().splitlines()
    columns = f"columns: {header.replace(',', ', ')}"
    n = len(lines)
    assert run(noun, file, "--dry-run") == [
        columns,
        f"{n} rows: {n} new, 0 changed, 0 known already",
        "dry run: nothing was loaded",
    ]
    assert not MODELS[noun].objects.exists()
    assert run(noun, file) == [columns, f"{n} rows: {n} new, 0 changed, 0 known already"]
    assert run(noun, file) == [
        columns,
        f"{n} rows: 0 new, 0 changed, {n} known already",
        "nothing changed",
    ]
    assert MODELS[noun].objects.count() == n


@pytest.mark.parametrize("noun", sorted(MODELS.keys() - {"attendance", "falls"}))
def test_an_assistant_may_load_attendance_and_falls_alone(noun):
    with pytest.raises(Refused, match="a teacher's right, not an assistant's") as caught:
        run(noun, EXAMPLES / f"{noun}.csv", member="Aroha T.")
    assert caught.value.returncode == 2
    assert not MODELS[noun].objects.exists()


def test_a_refusal_says_every_fault_and_leaves_with_status_2(tmp_path):
    file = tmp_path / "restrictions.csv"
    file.write_bytes("Child;Not for now;From;Until\nHana;wings;10.3.2026;\n".encode("cp1252"))
    with pytest.raises(Refused) as caught:
        run("restrictions", file)
    assert caught.value.returncode == 2
    assert str(caught.value).splitlines() == [
        "nothing was loaded",
        "row 2, column “Not for now”: “wings” should be one of wrists, back_bend, neck, knees,"
        " landing, solo, partner, base, flyer, spotter, front, middle, back",
        "row 2, column “Until”: missing",
    ]


def test_headers_are_shown_as_they_were_understood(tmp_path):
    file = tmp_path / "restrictions.csv"
    file.write_text("Child;Not for now;FROM;Until;Studio\nHana;wrists;10.3.2026;7.4.2026;x\n")
    assert run("restrictions", file) == [
        "columns: Child = student, Not for now = blocks, FROM = from, Until = until;"
        " not used: Studio",
        "1 row: 1 new, 0 changed, 0 known already",
    ]


def test_a_workbook(tmp_path):
    book = openpyxl.Workbook()
    for row in (("base", "flyer", "given_on"), ("Amara", "Bao", datetime(2026, 3, 10))):  # noqa: DTZ001
        book.active.append(row)
    content = BytesIO()
    book.save(content)
    file = tmp_path / "pair_checks.xlsx"
    file.write_bytes(content.getvalue())
    assert run("pair_checks", file)[1] == "1 row: 1 new, 0 changed, 0 known already"


@pytest.mark.parametrize(
    ("noun", "options", "sentence"),
    [
        ("wishes", ["--school", "Nowhere"], "no school is called “Nowhere”"),
        ("wishes", ["--as", "Somebody"], f"nobody called “Somebody” is on the staff of “{SCHOOL}”"),
    ],
)
def test_unknown_names(noun, options, sentence):
    with pytest.raises(Refused) as caught:
        run(noun, EXAMPLES / f"{noun}.csv", *options)
    assert str(caught.value) == sentence


def test_a_file_that_is_not_there(tmp_path):
    with pytest.raises(Refused) as caught:
        run("falls", tmp_path / "none.csv")
    assert str(caught.value) == f"{tmp_path / 'none.csv'}: No such file or directory"
