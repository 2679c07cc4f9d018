import io
from dataclasses import replace
from datetime import datetime, time
from pathlib import Path

import openpyxl
import pytest
import time_machine
from django.core.management import call_command

from accounts.commands import Refused
from accounts.faults import BadDocument
from accounts.models import Studio
from accounts.scope import Unknown
from classes import attempts
from classes.classes import class_named
from classes.models import Attempt, Class, Lesson, Student
from classes.models.lessons import CANCELLED
from curriculum import editions
from tests.classes import fact_school, log_school
from tests.classes.fact_school import AT, CLASS, EXAMPLES, SCHOOL, strangers
from tests.classes.log_school import (
    FIRST,
    PLAIN,
    SECOND,
    THIRD,
    everything,
    load,
    refused,
    tries,
)
from tests.once import once

built, school = once(log_school.build)


BAD_ROWS = {
    ",,Amara,Standing tight,,,clean,,,": "“date”: missing",
    "2026-02-30,,Amara,Standing tight,,,clean,,,": "“date”: “2026-02-30” should be a date such as"
    " 2026-03-02",
    "03/04/2026,,Amara,Standing tight,,,clean,,,": "“date”: “03/04/2026” should be a date such as"
    " 2026-03-02",
    "2026-03-12,,Amara,Standing tight,,,clean,,,": "“date”: 2026-03-12 is still to come",
    "2026-03-11,,Amara,Standing tight,,,clean,,,": "“date”: the lesson on 2026-03-11 is still to"
    " come",
    "2026-03-11,12:00:01,Amara,Standing tight,,,clean,,,": "“time”: 2026-03-11 12:00:01 is still"
    " to come",
    "2025-08-26,,Amara,Standing tight,,,clean,,,": "“date”: 2025-08-26 is before Amara joined on"
    " 2025-09-02",
    "2026-03-03,17.10,Amara,Standing tight,,,clean,,,": "“time”: “17.10” should be a time such as"
    " 17:05 or 17:05:30",
    "2026-03-03,25:10,Amara,Standing tight,,,clean,,,": "“time”: “25:10” should be a time such as"
    " 17:05 or 17:05:30",
    "2026-03-03,,,Standing tight,,,clean,,,": "“student”: missing",
    "2026-03-03,,Amira,Standing tight,,,clean,,,": "“student”: no child is called “Amira”; close to"
    " it: Amara",
    "2026-03-03,,Amara,,,,clean,,,": "“skill”: missing",
    "2026-03-03,,Amara,Standing tigt,,,clean,,,": "“skill”: no skill “Standing tigt” in first"
    " steps; close to it: Standing tight, standing_tight",
    "2026-03-03,,Amara,Standing tight,captain,,clean,,,": "“role”: “captain” should be one of solo,"
    " partner, base, flyer, spotter, front, middle, back",
    "2026-03-03,,Amara,Standing tight,base,,clean,,,": "“role”: Standing tight has no role base; it"
    " has solo",
    "2026-03-03,,Amara,Seat on a table,,hands on,clean,,,": "“role”: missing: Seat on a table has"
    " base, flyer",
    "2026-03-03,,Amara,Seat on a table,spotter,hands on,clean,,,": "“role”: a spotter has no tries:"
    " a teacher's yes says who may help",
    "2026-03-03,,Amara,Seat on a table,base,,clean,,,": "“spot”: missing",
    "2026-03-03,,Amara,Seat on a table,base,close,clean,,,": "“spot”: “close” should be one of"
    " hands_on, hands_near, none, no_spot",
    "2026-03-03,,Amara,The stop word,,hands near,clean,,,": "“spot”: The stop word is a habit: it"
    " is never spotted",
    "2026-03-03,,Amara,Standing tight,,,,,,": "“outcome”: missing",
    "2026-03-03,,Amara,Standing tight,,,perfect,,,": "“outcome”: “perfect” should be one of"
    " not_there, shaky, clean, removed",
    "2026-03-03,,Amara,Standing tight,,,,ten,,": "“measure”: “ten” should be a number",
    "2026-03-03,,Amara,Standing tight,,,,-3,,": "“measure”: -3 should be between 0 and 100000",
    "2026-03-03,,Amara,Facing lean to a squat,,,,3,,": "“measure”: Facing lean to a squat measures"
    " nothing: write an outcome",
    "2026-03-03,,Amara,Standing tight,,,clean,,,0": "“revision”: 0 should be between 1 and 1000",
    "2026-03-03,,Amara,Standing tight,,,clean,,,1.5": "“revision”: 1.5 should be a whole number",
    "2026-03-03,,Amara,Standing tight,,,clean,,,2": "“revision”: 2 of a try that was never loaded:"
    " date, time, student, skill and role, or else its label, must be as they were",
    f"2026-03-03,,Amara,Standing tight,,,clean,,{'x' * 61},": "“attempt”: longer than 60"
    " characters",
}


@pytest.mark.parametrize("line", BAD_ROWS)
def test_a_bad_row(school, line):
    assert refused(school, line) == [f"row 2, column {BAD_ROWS[line]}"]


MORE_COLUMNS = "date,student,skill,spot,outcome,weight,way_in,way_out,by,try"
MORE_BAD_ROWS = {
    "Standing tight,,clean,half,,,,": "“weight”: “half” should be one of own, together, summary",
    "Facing lean to a squat,,clean,,backwards,,,": "“way_in”: no such way “backwards”; the card has"
    " toes to toes, bend, lean",
    "Standing tight,,clean,,,jump,,": "“way_out”: no such way “jump”; the card has none",
    "Standing tight,,clean,,,,Nobody,": "“by”: nobody called “Nobody” was on the staff on"
    " 2026-03-03",
}


@pytest.mark.parametrize("line", MORE_BAD_ROWS)
def test_a_bad_cell_of_the_other_columns(school, line):
    found = refused(school, f"2026-03-03,Amara,{line}", header=MORE_COLUMNS)
    assert found == [f"row 2, column {MORE_BAD_ROWS[line]}"]


def test_all_faults_of_a_file_at_once_in_its_order(school):
    load(school, PLAIN)
    lines = [
        PLAIN.replace("clean", "shaky"),  # loaded before
        "2026-03-03,,Nobody,Nothing,,,,,,",
        PLAIN.replace("17:10", "17:11"),
        "2026-04-03,8 pm,Bao,Standing tight,,,clean,,,",
    ]
    places = [fault.split(": ")[0] for fault in refused(school, *lines)]
    assert places == [
        "row 2, column “revision”",
        "row 3, column “student”",
        "row 3, column “skill”",
        "row 3, column “outcome”",
        "row 5, column “date”",
        "row 5, column “time”",
    ]


def test_a_label_names_one_try_and_revision_in_a_file(school):
    line = "2026-03-03,,Amara,Standing tight,,,clean,,go 7,"
    assert refused(school, line, line.replace("Amara", "Bao")) == [
        "row 3, column “attempt”: the same try and revision as row 2"
    ]


def test_headers_that_are_missing_or_twice(school):
    assert refused(school, "x", header="time") == [
        "row 1: no column “date”",
        "row 1: no column “student”",
        "row 1: no column “skill”",
    ]
    assert refused(school, header="date,on,student,skill") == [
        "row 1, column “on”: a second column for date"
    ]


def test_a_child_who_left_and_one_of_another_studio(school):
    Student.objects.filter(id=school.children["Bao"]).update(left_on=FIRST)
    studio = Studio.objects.create(school_id=school.id, name="Far Hall", zone="Atlantic/Azores")
    other = Class.objects.create(
        school_id=school.id, studio=studio, name="Friday", weekday=4, starts_at=time(16)
    )
    log_school.add_child(school, "Kalea", class_id=other.id)
    lines = [PLAIN.replace("Amara", name) for name in ("Bao", "Kalea")]
    head = fact_school.scope_of(school=SCHOOL, member="Marit O.", on=fact_school.TODAY)
    assert refused(school, *lines, scope=head) == [
        "row 2, column “date”: 2026-03-03 is after Bao left on 2026-02-24",
        "row 3, column “student”: Kalea is in no class at Sellane Harbour",
    ]
    assert refused(school, lines[1]) == ["row 2, column “student”: no child is called “Kalea”"]


def test_a_cancelled_lesson(school):
    school.lesson(SECOND)
    Lesson.objects.update(state=CANCELLED)
    assert refused(school, PLAIN) == [
        "row 2, column “date”: the lesson on 2026-03-03 was cancelled"
    ]


def test_a_label_of_another_studios_child_is_not_taken_over(school):
    """A teacher who guesses the label of a try elsewhere must not be able to change it."""
    studio = Studio.objects.create(school_id=school.id, name="Far Hall", zone="Atlantic/Azores")
    group = Class.objects.create(
        school_id=school.id, studio=studio, name="Friday", weekday=4, starts_at=time(16)
    )
    log_school.add_child(school, "Kalea", class_id=group.id)
    head = fact_school.scope_of(school=SCHOOL, member="Marit O.", on=fact_school.TODAY)
    editions.adopt(head, studio_id=studio.id, number=2, from_date=editions.ALWAYS, at=AT)
    line = "2026-03-06,,{},Standing tight,,,clean,,go 7,{}"
    there = class_named(head, name="Friday")
    load(school, line.format("Kalea", 1), scope=head, klass=there)
    assert refused(school, line.format("Amara", 2)) == [
        "row 2, column “attempt”: names a try of a child who is not in your classes"
    ]


def test_strangers_load_nothing(school):
    for stranger in strangers(school):
        with pytest.raises((BadDocument, Unknown)):
            load(school, PLAIN, scope=stranger)
        with pytest.raises(Unknown):
            class_named(replace(stranger, studio_ids=frozenset()), name=CLASS)
    assert not Attempt.objects.exists()


def test_whatever_came_between_refuses_the_whole_file(school, monkeypatch):
    """Somebody stores the same id with other content after the file was compared with the log."""
    line = PLAIN.replace(",,,", ",,go 7,")
    monkeypatch.setattr(attempts, "revisions", lambda scope, *, attempts: {})
    load(school, line)
    assert refused(school, PLAIN.replace("Amara", "Bao"), line.replace("clean", "shaky")) == [
        "row 3: was changed by somebody else just now: load the file again"
    ]


# -- the command -------------------------------------------------------------------------------


def run(file, *options, member="Tendai R."):
    out = io.StringIO()
    with time_machine.travel(AT, tick=False):
        call_command(
            "load_attempts",
            str(file),
            *options,
            school=SCHOOL,
            member=member,
            class_name=CLASS,
            stdout=out,
        )
    return out.getvalue().splitlines()


def test_the_example_is_tried_then_loaded_then_known(school):
    file = EXAMPLES / "attempts.csv"
    header = file.read_text().splitlines()[0]
    columns = f"columns: {header.replace(',', ', ')}"
    counted = "18 rows: 16 new, 2 changed, 0 known already"
    before = everything()
    assert run(file, "--dry-run") == [columns, counted, "dry run: nothing was loaded"]
    assert everything() == before
    assert run(file) == [columns, counted]
    assert run(file, member="Aroha T.") == [
        columns,
        "18 rows: 0 new, 0 changed, 18 known already",
        "nothing changed",
    ]
    (one,) = (t for t in tries(school, "Bao") if t.local_date == THIRD)
    assert (one.spot, one.outcome) == ("hands_near", "clean")
    assert len(tries(school)) == 15
    assert len(tries(school, "Hana")) == 1


def test_a_workbook_says_the_same_as_the_table(school, tmp_path):
    book = openpyxl.Workbook()
    book.active.append(["date", "time", "student", "skill", "spot", "outcome", "revision"])
    book.active.append(
        [datetime(2026, 3, 3), time(17, 10), "Amara", "Standing tight", "no spot", "clean", 1]  # noqa: DTZ001
    )
    book.save(tmp_path / "tries.xlsx")
    assert run(tmp_path / "tries.xlsx")[1] == "1 row: 1 new, 0 changed, 0 known already"
    assert load(school, PLAIN) == (0, 0, 1)


def test_a_refusal_leaves_with_status_2_and_says_so(school, tmp_path):
    file = Path(tmp_path) / "tries.csv"
    file.write_bytes("Date;Child;Skill;Outcome\n3.3.2026;Hana;Handstand;fine\n".encode("cp1252"))
    with pytest.raises(Refused) as caught:
        run(file)
    assert caught.value.returncode == 2
    assert str(caught.value).splitlines() == [
        "nothing was loaded",
        "row 2, column “Skill”: no skill “Handstand” in first steps",
        "row 2, column “Outcome”: “fine” should be one of not_there, shaky, clean, removed",
    ]
    with pytest.raises(Refused, match=r"^--on: only for a grid of what was seen before"):
        run(file, "--on", "2026-03-03")
