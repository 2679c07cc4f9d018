"""The README's ten minutes, word for word: on an empty school, with the examples of the docs."""

import io
import re
import shlex
from pathlib import Path

import pytest
import time_machine
from django.core.management import call_command
from django.test import override_settings

ROOT = Path(__file__).parents[1]
TUESDAY_MORNING = "2026-03-17T09:00:00Z"
COMMANDS = [
    shlex.split(line)[1:]
    for line in re.findall(
        r"^cpoise .*$", (ROOT / "README.md").read_text(encoding="utf-8"), re.MULTILINE
    )
]


def run(words, **options):
    out = io.StringIO()
    call_command(*words, stdout=out, **options)
    return out.getvalue()


@pytest.fixture
def walked(db, tmp_path, monkeypatch):
    """What each command of the README said, in their order."""
    monkeypatch.chdir(ROOT)
    with (
        override_settings(VAR_DIR=tmp_path),
        time_machine.travel(TUESDAY_MORNING, tick=False),
    ):
        yield {words[0] + (" why" if "--why" in words else ""): run(words) for words in COMMANDS}


def test_the_first_evening_after_the_grid(walked):
    sheet = walked["tonight"]
    leans = re.search(r"Groups: Facing lean.*?\n\n", sheet, re.DOTALL).group()
    assert "Group 1" in leans
    assert "Ask before" not in leans


def test_why_says_it_in_sentences(walked):
    assert walked["tonight why"].startswith("Amara and facing lean held straight")


def test_every_loader_changes_nothing_the_second_time(walked):
    for words in COMMANDS:
        if words[0].startswith("load_"):
            again = run(words)
            assert "nothing changed" in again, words


def test_lifts_come_as_asks_for_a_yes_once_agreements_are_there(walked, tmp_path):
    words = next(words for words in COMMANDS if words[0] == "tonight" and "--why" not in words)
    words = ["Pilar G." if word == "Aroha T." else word for word in words]
    sheet = run([*words, "--skill", "seat_on_a_table", "--html", str(tmp_path / "sheet.html")])
    seats = re.search(r"Groups: Seat on a table.*?\n\n", sheet, re.DOTALL).group()
    assert "Group 1" in seats
    assert "Ask before the first go: a teacher's yes to begin" in seats
