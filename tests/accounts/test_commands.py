import io
import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command, get_commands, load_command_class

from accounts import commands
from accounts.commands import PlainCommand, Refused, read_file
from tests.factories import MemberFactory
from tests.shell import shell

ROOT = Path(__file__).parents[2]
OURS = {"accounts", "curriculum", "classes", "planning", "demo"}


def refused(name):
    with pytest.raises(Refused) as caught:
        read_file(name)
    assert caught.value.returncode == 2
    return str(caught.value)


def test_a_file_or_standard_input(tmp_path, monkeypatch):
    file = tmp_path / "list.csv"
    file.write_bytes(b"name\n")
    assert read_file(str(file)) == b"name\n"
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(b"piped")))
    assert read_file("-") == b"piped"


def test_a_file_that_cannot_be_read(tmp_path, monkeypatch):
    assert refused(str(tmp_path / "none")) == f"{tmp_path / 'none'}: No such file or directory"
    assert refused(str(tmp_path)) == f"{tmp_path}: Is a directory"
    monkeypatch.setattr(commands, "MAX_FILE_BYTES", 3_000_000)
    large = tmp_path / "large"
    large.write_bytes(bytes(3_000_001))
    assert refused(str(large)) == f"{large}: larger than 3 MB"
    assert refused("/dev/zero") == "/dev/zero: larger than 3 MB"
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(bytes(3_000_001))))
    assert refused("-") == "-: larger than 3 MB"


def test_the_largest_file_that_is_read(tmp_path, monkeypatch):
    monkeypatch.setattr(commands, "MAX_FILE_BYTES", 3)
    file = tmp_path / "list.csv"
    file.write_bytes(b"abc")
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(b"abc")))
    assert read_file(str(file)) == read_file("-") == b"abc"


SCHOOL = ("--school", "Nowhere", "--as", "Marit O.")


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        (
            ("tonight", "Tuesday", *SCHOOL, "--mats", "x"),
            "argument --mats: invalid int value: 'x'",
        ),
        (("tonight", *SCHOOL), "the following arguments are required: CLASS"),
        (("load_staff", "none"), "the following arguments are required: --school, --as"),
        (("group", "none", "--effort", "x"), "argument --effort: invalid float value: 'x'"),
        (("new_school", "Kauri"), "the following arguments are required: --head"),
        (("readiness", "trace", "none", "a\nb"), "unrecognized arguments: a b"),
        (("demo", "--non", "--all"), "unrecognized arguments: --all"),
    ],
)
def test_wrong_arguments_are_refused_in_one_line(argv, said):
    assert shell(*argv).refusal == said


def test_wrong_arguments_in_a_process_of_its_own():
    ran = subprocess.run(
        [sys.executable, "manage.py", "tonight", "Tuesday", *SCHOOL, "--mats", "x"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    said = "Refused: argument --mats: invalid int value: 'x'\n"
    assert (ran.returncode, ran.stdout, ran.stderr) == (2, "", said)


def test_wrong_arguments_from_python():
    with pytest.raises(Refused) as caught:
        call_command("tonight", "Tuesday", *SCHOOL, "--mats", "x")
    assert str(caught.value) == "argument --mats: invalid int value: 'x'"
    assert caught.value.returncode == 2


def test_every_command_of_ours_refuses_so():
    ours = {name: app for name, app in get_commands().items() if app in OURS}
    assert {"tonight", "group", "readiness", "new_school", "demo", "replay"} <= ours.keys()
    for name, app in ours.items():
        assert isinstance(load_command_class(app, name), PlainCommand), name


@pytest.mark.django_db
def test_whoever_asks_is_on_the_staff_of_the_school(tmp_path):
    member = MemberFactory(name="Marit O.")
    school = member.school.name
    for about, message in (
        (["--school", "Nowhere", "--as", "Marit O."], "no school is called “Nowhere”"),
        (
            ["--school", school, "--as", "Nobody"],
            f"nobody called “Nobody” is on the staff of “{school}”",
        ),
    ):
        with pytest.raises(Refused) as caught:
            call_command("load_staff", str(tmp_path / "none"), *about)
        assert (str(caught.value), caught.value.returncode) == (message, 2)
    with pytest.raises(CommandError, match="--as"):
        call_command("load_staff", "none", "--school", school)


def test_a_database_without_tables_is_told_in_one_line(tmp_path):
    done = subprocess.run(
        [sys.executable, "manage.py", "demo"],
        cwd=ROOT,
        env={**os.environ, "DATABASE_URL": f"sqlite:///{tmp_path / 'empty.sqlite3'}"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert done.stderr == "Refused: the database has no tables yet: run `manage.py migrate`\n"
