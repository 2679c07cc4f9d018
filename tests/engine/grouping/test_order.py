"""The same question asked in another order has the same answer, on every run."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from random import Random

from hypothesis import given
from hypothesis import strategies as st

from engine.grouping.command import run
from engine.grouping.problem import Group, Problem
from engine.grouping.solve import solve
from tests.engine.grouping import dice
from tests.engine.grouping.make import written


def mixed(entries: tuple, random: Random) -> tuple:
    return tuple(random.sample(entries, len(entries)))


def turned(pairs: tuple, random: Random) -> tuple:
    """Unordered pairs, some the other way round; what follows the pair stays behind it."""
    return tuple(
        (other, one, *rest) if random.random() < 0.5 else (one, other, *rest)
        for one, other, *rest in mixed(pairs, random)
    )


def regrouped(groups: tuple[Group, ...], random: Random) -> tuple[Group, ...]:
    return tuple(
        replace(
            group,
            roles={
                role: mixed(group.roles[role], random) for role in mixed((*group.roles,), random)
            },
        )
        for group in mixed(groups, random)
    )


def shuffled(problem: Problem, random: Random) -> Problem:
    return replace(
        problem,
        skill=replace(problem.skill, roles=mixed(problem.skill.roles, random)),
        students=tuple(
            replace(
                one,
                readiness=dict(mixed((*one.readiness.items(),), random)),
                turns=dict(mixed((*one.turns.items(),), random)),
            )
            for one in mixed(problem.students, random)
        ),
        apart=turned(problem.apart, random),
        together=turned(problem.together, random),
        pairs_ok=mixed(problem.pairs_ok, random),
        past_pairs=turned(problem.past_pairs, random),
        locked=regrouped(problem.locked, random),
        standing=regrouped(problem.standing, random),
    )


@given(seed=st.integers(0, 10**6), random=st.randoms(use_true_random=False))
def test_order_has_no_part_in_the_answer(seed: int, random: Random) -> None:
    problem = dice.problem(seed)
    other = shuffled(problem, random)
    mine, theirs = solve(problem), solve(other)
    assert mine == theirs
    assert [list(group.roles) for group in theirs.groups] == [
        [role.name for role in other.skill.roles] for _ in theirs.groups
    ]


def test_one_answer_under_every_hash_seed() -> None:
    """Sets go round otherwise in another process than in this one."""
    asked = [json.dumps(written(dice.problem(seed))) for seed in range(20, 40)]
    script = """
import json, sys
from engine.grouping.command import run
print(json.dumps([run(text) for text in json.load(sys.stdin)]))
"""
    there = subprocess.run(
        [sys.executable, "-c", script],
        input=json.dumps(asked),
        env={**os.environ, "PYTHONHASHSEED": "1"},
        cwd=Path(__file__).parents[3],
        capture_output=True,
        check=True,
        text=True,
    )
    here = [run(text) for text in asked]
    assert json.loads(there.stdout) == here
    assert all('"status": "optimal"' in answer for answer in here)
