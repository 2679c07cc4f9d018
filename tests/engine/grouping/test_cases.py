"""Golden cases, each a file that a teacher can read: what was asked, what was answered."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from engine.grouping.command import run
from engine.grouping.document import read_problem
from engine.grouping.solve import solve, tie_weight
from tests.engine.grouping import twin

CASES = sorted((Path(__file__).parent / "cases").glob("*.json"))


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_case(path: Path) -> None:
    case = json.loads(path.read_text())
    text = json.dumps(case["input"])
    printed = run(text)
    assert json.loads(printed) == case["answer"]
    # Order counts too: roles as in the input, keys as in the format.
    assert json.dumps(json.loads(printed)) == json.dumps(case["answer"])

    problem = read_problem(text)
    answer, expected = solve(problem), twin.best(problem)
    twin.check(problem, answer.groups)
    assert [dict(group.roles) for group in answer.groups] == list(expected.groups)


def test_there_are_cases() -> None:
    assert len(CASES) == 6


def test_the_tie_is_pinned() -> None:
    """First four bytes of BLAKE2b over student, role and anchor, joined by NUL: calculated with
    `printf 'amara\\0base\\0hana' | b2sum -l 32` (GNU coreutils)."""
    assert tie_weight("amara", "base", "hana") == 0xAB3058F5
    assert tie_weight("þóra", "flyer", "þóra") == 0x6E54119E
