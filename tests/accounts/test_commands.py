import io

import pytest
from django.core.management import CommandError, call_command

from accounts import commands
from accounts.commands import Refused, read_file
from tests.factories import MemberFactory


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
