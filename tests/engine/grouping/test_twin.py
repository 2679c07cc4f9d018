"""The engine against the obvious, slow way (`twin`) on random problems with every field."""

from __future__ import annotations

from collections import Counter
from functools import cache

import pytest

from engine.grouping.bound import bound
from engine.grouping.feasible import worth
from engine.grouping.problem import Problem
from engine.grouping.solve import solve
from tests.depth import cases
from tests.engine.grouping import dice, twin

SEEDS = cases(153, 1206)  # as many of each of nine shapes


@cache
def rolled(seed: int) -> tuple[Problem, twin.Best]:
    problem = dice.problem(seed)
    return problem, twin.best(problem)


@pytest.mark.parametrize("seed", SEEDS)
def test_same_as_the_twin(seed: int) -> None:
    problem, expected = rolled(seed)
    every_option = twin.options(problem)
    answer = solve(problem)

    assert (answer.status, answer.gap) == ("optimal", None)
    value = answer.objective
    assert expected.values[:6] == (
        value.placed,
        value.kept or 0,
        value.fairness,
        -value.asks,
        value.readiness,
        value.repeats if problem.skill.keep_partners else -value.repeats,
    )
    assert (value.kept is None) == (not problem.standing)
    assert value == worth(problem, answer.groups)

    twin.check(problem, answer.groups, problem.locked)
    locked = {group.members for group in problem.locked}
    found = [dict(group.roles) for group in answer.groups if group.members not in locked]
    assert found == sorted(
        expected.groups, key=lambda roles: sorted(one for held in roles.values() for one in held)
    )

    placed = {one for group in answer.groups for one in group.members}
    assert {one.id: one.reason for one in answer.still_to_place} == {
        one.id: twin.reason(problem, one, every_option)
        for one in problem.students
        if one.id not in placed
    }
    assert [one.id for one in answer.still_to_place] == sorted(
        one.id for one in problem.students if one.id not in placed
    )

    assert len(placed) == value.placed <= bound(problem) <= len(problem.students)


def test_the_dice_roll_everything() -> None:
    """What the random problems have to offer, so that the test above cannot become empty."""
    seen: Counter[str] = Counter()
    for seed in SEEDS:
        problem, best = rolled(seed)
        asks = [twin.load_of(problem, twin.people(problem), roles)[1] for roles in best.groups]
        seen["asks"] += sum(map(len, asks))
        seen["several bases"] += any(len(roles.get("base", ())) > 1 for roles in best.groups)
        seen["several flyers"] += any(len(roles.get("flyer", ())) > 1 for roles in best.groups)
        seen["child spots"] += any(roles.get("spotter") for roles in best.groups)
        seen["kept"] += best.values[1] > 0
        seen["locked"] += bool(problem.locked)
        seen["two groups"] += len(best.groups) > 1
        seen["repeats kept"] += problem.skill.keep_partners and best.values[5] > 0
        seen["repeats unavoidable"] += not problem.skill.keep_partners and best.values[5] < 0
        seen["together placed"] += any(
            {one, other} <= {each for held in roles.values() for each in held}
            for one, other in problem.together
            for roles in best.groups
        )
    assert min(seen.values()) >= len(SEEDS) // 20, seen
