"""A limit of effort: the best found, and the gap of the first level that is not proven."""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random

import pytest

from engine.grouping import solve as module
from engine.grouping.feasible import worth
from engine.grouping.problem import Problem, Skill, Student
from engine.grouping.solve import solve
from tests.engine.grouping import twin
from tests.engine.grouping.make import PAIR, group, problem, role, student

LEVELS = ("placed", "kept", "fairness", "asks", "readiness", "repeats")


def crowd(size: int, seed: int) -> Problem:
    """Two bases carry one: the shape that takes longest."""
    random = Random(seed)
    roles = (role("base", 2, 2, 0.6), role("flyer", 1, 1, 0.6))
    students = []
    for number in range(size):
        mass = round(random.uniform(22, 40), 1)
        students.append(
            Student(
                f"s{number:02}",
                height_cm=round(random.uniform(118, 145), 1),
                mass_kg=None if random.random() < 0.1 else (mass, mass + 0.5),
                readiness={r: round(random.uniform(0.5, 1), 2) for r in ("base", "flyer")},
                turns={r: random.randint(0, 5) for r in ("base", "flyer")},
            )
        )
    ids = [one.id for one in students]
    return Problem(
        Skill(roles, "seat carry", 1.0, 0.55, "ask", 25.0, 5.0),
        tuple(students),
        adults=0,
        mats=size,
        past_pairs=tuple((*random.sample(ids, 2), random.randint(1, 3)) for _ in range(3 * size)),
    )


def hold_against(problem: Problem, effort: float, proven: dict[str, int | None]) -> str | None:
    """Check one answer under a limit; gives back the level of its gap."""
    answer = solve(problem, effort)
    assert solve(problem, effort) == answer
    twin.check(problem, answer.groups, problem.locked)
    assert answer.objective == worth(problem, answer.groups)
    placed = {one for each in answer.groups for one in each.members}
    assert {one.id for one in answer.still_to_place} == set(problem.by_id) - placed
    if answer.gap is None:
        assert answer.status == "optimal"
        assert vars(answer.objective) == proven
        return None
    assert answer.status == "best_found"
    level, found, bound = answer.gap.level, answer.gap.found, answer.gap.bound
    above = LEVELS[: LEVELS.index(level)]
    for name in above:
        assert getattr(answer.objective, name) == proven[name]
    assert getattr(answer.objective, level) == found
    best = proven[level]
    assert best is not None
    smallest = level == "asks" or (level == "repeats" and not problem.skill.keep_partners)
    assert (bound <= best <= found) if smallest else (found <= best <= bound)
    assert found != bound
    return level


def test_from_hardly_any_effort_to_enough() -> None:
    here = crowd(12, 3)
    proven = vars(solve(here).objective)
    gaps = [hold_against(here, effort, proven) for effort in (1e-9, 0.01, 0.03, 0.1, 0.2, 30.0)]
    assert gaps[0] == "placed"
    assert gaps[-1] is None
    assert set(gaps) & set(LEVELS[1:])


def test_with_locked_and_standing_groups() -> None:
    """What is locked is counted in found and bound."""
    here = crowd(11, 5)
    locked = (group(base="s00 s01", flyer="s02"),)
    standing = (group(base="s00 s01", flyer="s02"), group(base="s03 s04", flyer="s05"))
    here = replace(here, locked=locked, standing=standing)
    proven = vars(solve(here).objective)
    gaps = [hold_against(here, effort, proven) for effort in (1e-9, 0.02, 0.05, 0.1, 30.0)]
    assert gaps[0] == "placed"
    assert gaps[-1] is None
    answer = solve(here, 1e-9)
    assert answer.gap is not None
    assert answer.gap.found == answer.objective.placed >= 3
    assert answer.objective.kept is not None
    assert answer.objective.kept >= 3


@pytest.mark.parametrize("effort", [0, 0.0, -1, math.nan])
def test_effort_has_to_be_above_0(effort: float) -> None:
    with pytest.raises(ValueError, match="effort should be above 0"):
        solve(problem(PAIR), effort)


def test_what_needs_no_search_is_proven_with_any_effort() -> None:
    here = problem(PAIR, student("a"))
    assert solve(here, 1e-9).status == "optimal"
    assert solve(problem(PAIR), 1e-9) == solve(problem(PAIR))


def test_nothing_leaves_the_engine_that_breaks_a_plain_rule(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    here = problem(PAIR, student("a"), student("b"))
    assert solve(here).objective.placed == 2
    monkeypatch.setattr(module, "fits", lambda *_: False)
    with pytest.raises(RuntimeError, match="break a rule"):
        solve(here)
