"""The command, once as its user runs it: a process of its own whose database cannot be reached.

The other tests are not marked for a database either, and touching one would fail them.
"""

import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import call_command

from accounts.commands import Refused
from engine.readiness.prerequisites import run_combine
from engine.readiness.trace import run_trace
from tests.engine.readiness.documents import GONE, changed
from tests.shell import shell

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "docs" / "formats" / "readiness.md"
NOWHERE = "postgres://nobody@127.0.0.1:1/none"  # nothing listens there
LEAF = '{"p": 0.4, "label": "crow"}'


def refusal(question, file):
    with pytest.raises(Refused) as caught:
        call_command("readiness", question, file)
    assert caught.value.returncode == 2
    assert len(str(caught.value).splitlines()) == 1
    return str(caught.value)


def answer(question, document, tmp_path):
    path, out = tmp_path / "file.json", io.StringIO()
    path.write_text(document, encoding="utf-8")
    call_command("readiness", question, str(path), stdout=out)
    return json.loads(out.getvalue())


def examples():
    """The files that the page shows, in order."""
    return [part.split("```")[0] for part in PAGE.read_text(encoding="utf-8").split("```json")[1:]]


def test_the_trace_of_the_page(tmp_path):
    found = answer("trace", examples()[0], tmp_path)
    # Corrected by hand: .4 · .9 / (.4 · .9 + .6 · .2) = .75; then .75 + .25 · .2 = .8
    assert found["steps"][0]["posterior"] == pytest.approx([0.25, 0.75], abs=1e-15)
    assert found["now"] == pytest.approx([0.2, 0.8], abs=1e-15)
    assert found["counted"] == 1


def test_the_tree_of_the_page_from_standard_input():
    done = subprocess.run(
        [sys.executable, "manage.py", "readiness", "combine", "-"],
        cwd=ROOT,
        env={**os.environ, "DATABASE_URL": NOWHERE},
        input=examples()[1],
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    answer = json.loads(done.stdout)
    assert answer["decides"] == {"p": 0.7, "label": "headstand"}
    assert answer["probability"] == pytest.approx(0.93 * (1 - 0.6 * 0.3), abs=1e-15)


def test_a_bad_file_is_one_line_and_exit_status_2(tmp_path):
    path = tmp_path / "bad.json"
    path.write_text(changed("now", to=GONE), encoding="utf-8")
    assert shell("readiness", "trace", str(path)).refusal == f"{path}: /now: missing"


def test_a_question_that_is_none():
    ran = shell("readiness", "guess", "-")
    assert (ran.status, ran.out) == (2, "")
    assert "choose from 'trace', 'combine'" in ran.err


def test_no_digit_is_lost(tmp_path):
    document = changed("now", to="2026-05-01T00:00:00Z")
    assert answer("trace", document, tmp_path) == json.loads(run_trace(document))
    tree = f'{{"any_of": [{LEAF}, {{"p": 0.123456789012345678, "label": "x"}}]}}'
    assert answer("combine", tree, tmp_path) == json.loads(run_combine(tree))


@pytest.mark.parametrize(
    ("question", "document", "line"),
    [
        (
            "trace",
            changed("rows", 0, "spot", to="near"),
            "/rows/0/spot: should be one of hands_on, hands_near, none",
        ),
        ("trace", LEAF, "/p: unknown key; known are format, now, parameters, rows"),
        ("combine", '{"p": 1.5, "label": "crow"}', "/p: should be at most 1"),
        ("combine", '{"all_of": []}', "/all_of: should not be empty"),
        ("combine", "", "/: not JSON: Expecting value (line 1, column 1)"),
    ],
)
def test_every_line_points_at_the_field(question, document, line, tmp_path):
    path = tmp_path / "bad.json"
    path.write_text(document, encoding="utf-8")
    assert refusal(question, str(path)) == f"{path}: {line}"


def test_a_file_that_is_not_there(tmp_path):
    path = tmp_path / "none.json"
    assert refusal("trace", str(path)) == f"{path}: No such file or directory"
