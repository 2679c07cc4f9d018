import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.shell import shell

ROOT = Path(__file__).parents[2]
PROBLEM = {
    "format": "grouping/1",
    "skill": {
        "name": "a lean",
        "roles": {"partner": {"min": 2, "max": 2, "min_readiness": 0.8}},
    },
    "students": [{"id": id_, "readiness": {"partner": 0.9}} for id_ in ("s1", "s2", "s3")],
    "adults": 0,
    "mats": 4,
}


@pytest.fixture
def written(tmp_path):
    """Write a document and give its path."""

    def write(document):
        path = tmp_path / "problem.json"
        text = document if isinstance(document, bytes) else json.dumps(document).encode()
        path.write_bytes(text)
        return str(path)

    return write


def without_database(url, stdin):
    """The command as a process of its own whose database is not there."""
    return subprocess.run(
        [sys.executable, "manage.py", "group", "-"],
        cwd=ROOT,
        env={**os.environ, "DATABASE_URL": url},
        input=json.dumps(stdin).encode(),
        capture_output=True,
        check=False,
    )


def test_from_standard_input_and_without_a_database_it_is_the_same_to_the_byte(written):
    ran = without_database("postgres://nobody@127.0.0.1:1/none", PROBLEM)
    assert (ran.returncode, ran.stderr) == (0, b"")
    assert ran.stdout.decode() == shell("group", written(PROBLEM)).out
    answer = json.loads(ran.stdout)
    assert answer["format"] == "grouping/1"
    assert answer["status"] == "optimal"
    assert len(answer["groups"]) == 1
    assert [one["reason"] for one in answer["still_to_place"]] == ["would_break_another"]


def test_a_bad_file_is_one_line_and_status_2():
    ran = without_database("sqlite:////nowhere/at/all.sqlite3", PROBLEM | {"mats": -1})
    assert (ran.returncode, ran.stdout) == (2, b"")
    [line] = ran.stderr.decode().splitlines()
    assert line.startswith("Refused: -: /mats: ")


def changed(**changes):
    return PROBLEM | changes


def with_student(**changes):
    first, *others = PROBLEM["students"]
    return changed(students=[first | changes, *others])


@pytest.mark.parametrize(
    ("document", "pointer"),
    [
        (b"", ""),
        (b"{", ""),
        (b"[]", ""),
        (b"\xff\xfe", ""),
        (changed(format="grouping/2"), "/format"),
        (changed(mats=None), "/mats"),
        (changed(mats="four"), "/mats"),
        (changed(adults=1.5), "/adults"),
        (changed(students={}), "/students"),
        (changed(colour="red"), "/colour"),
        (changed(skill={"roles": {"partner": {"min": 2, "max": 1}}}), "/skill/roles/partner"),
        (changed(apart=[["s1", "s9"]]), "/apart/0"),
        (changed(together=[["s1", "s1"]]), "/together/0"),
        (with_student(id=7), "/students/0/id"),
        (with_student(id="s2"), "/students/1/id"),
        (with_student(mass_kg=[31, 27]), "/students/0/mass_kg"),
        (with_student(height_cm=-1), "/students/0/height_cm"),
        (with_student(readiness={"partner": 1.1}), "/students/0/readiness/partner"),
    ],
)
def test_what_is_refused_names_its_place(written, document, pointer):
    path = written(document)
    refusal = shell("group", path).refusal
    assert refusal.startswith(f"{path}: {pointer}")
    assert len(refusal) > len(f"{path}: {pointer}")


def test_a_file_that_is_not_there(tmp_path):
    path = tmp_path / "none.json"
    assert shell("group", str(path)).refusal == f"{path}: No such file or directory"
    assert shell("group", str(tmp_path)).refusal == f"{tmp_path}: Is a directory"


@pytest.mark.parametrize("effort", ["0", "-1", "nan"])
def test_an_effort_that_is_none(written, effort):
    ran = shell("group", written(PROBLEM), f"--effort={effort}")
    assert ran.refusal == "--effort: should be above 0"


def test_an_effort_that_is_no_number(written):
    ran = shell("group", written(PROBLEM), "--effort", "much")
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.splitlines()[-1].endswith("--effort: invalid float value: 'much'")


def test_with_effort_to_spare_the_answer_is_proven(written):
    with_effort = shell("group", written(PROBLEM), "--effort", "9")
    assert with_effort.out == shell("group", written(PROBLEM)).out
