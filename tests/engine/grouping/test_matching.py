"""Pairs of one base and one flyer are a matching: all levels at once against networkx.

Source of the expected values: networkx.max_weight_matching (Galil's blossom method, exact for
whole numbers of any size). Larger classes than the twin can do.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

import networkx
import pytest

from engine.grouping.feasible import asks, fits, most_turns, thousandths
from engine.grouping.problem import Problem, Skill, Student
from engine.grouping.solve import solve
from tests.depth import cases
from tests.engine.grouping import twin
from tests.engine.grouping.make import PAIR

LARGE = 10**6  # above any sum of a level


def random_pairs(seed: int) -> Problem:
    dice = Random(seed)
    skill: Skill = replace(
        PAIR,
        max_load_ratio=dice.choice([0.95, 1.1]),
        if_mass_unknown="ask",
        max_height_difference_cm=dice.choice([8.0, 30.0]),
        flyer_taller_by_at_most_cm=5.0,
        keep_partners=seed % 2 == 0,
    )
    students = []
    for number in range(dice.randint(12, 16)):
        low = round(dice.uniform(20, 40), 1)
        students.append(
            Student(
                f"s{number:02}",
                height_cm=round(dice.uniform(115, 140), 1),
                mass_kg=None if dice.random() < 0.3 else (low, low + 1),
                readiness={r: round(dice.uniform(0.3, 1), 3) for r in ("base", "flyer")},
                turns={r: dice.randint(0, 6) for r in ("base", "flyer")},
            )
        )
    ids = [one.id for one in students]

    def pairs(count: int) -> list[tuple[str, str]]:
        return [(one, other) for one, other in (dice.sample(ids, 2) for _ in range(count))]

    return Problem(
        skill,
        tuple(students),
        adults=0,
        mats=8,
        apart=tuple(pairs(8)),
        pairs_ok=tuple(pairs(12)),
        past_pairs=tuple((*pair, dice.randint(1, 4)) for pair in pairs(40)),
    )


def levels_of_pair(problem: Problem, base: str, flyer: str) -> tuple[int, ...]:
    roles, most = {"base": (base,), "flyer": (flyer,)}, most_turns(problem)
    one, other = problem.by_id[base], problem.by_id[flyer]
    repeats = problem.past.get((min(base, flyer), max(base, flyer)), 0)
    return (
        2,
        most["base"] - one.turns["base"] + most["flyer"] - other.turns["flyer"],
        -len(asks(problem, roles)),
        thousandths(one, "base") + thousandths(other, "flyer"),
        repeats if problem.skill.keep_partners else -repeats,
    )


def as_one_number(levels: tuple[int, ...]) -> int:
    number = 0
    for level in levels:
        number = number * LARGE + level
    return number


@pytest.mark.parametrize("seed", cases(12, 200))
def test_pairs_are_a_maximum_weight_matching(seed: int) -> None:
    problem = random_pairs(seed)
    graph = networkx.Graph()
    for base in problem.by_id:
        for flyer in problem.by_id:
            if base != flyer and fits(problem, {"base": (base,), "flyer": (flyer,)}):
                levels = levels_of_pair(problem, base, flyer)
                standing = graph.get_edge_data(base, flyer, {"levels": levels})["levels"]
                levels = max(levels, standing)
                graph.add_edge(base, flyer, levels=levels, weight=as_one_number(levels))
    matching = networkx.max_weight_matching(graph)
    expected = [
        sum(column) for column in zip(*(graph.edges[e]["levels"] for e in matching), strict=True)
    ]

    answer = solve(problem)
    twin.check(problem, answer.groups)
    value = answer.objective
    repeats = value.repeats if problem.skill.keep_partners else -value.repeats
    assert answer.status == "optimal"
    assert value.placed >= 6
    assert [value.placed, value.fairness, -value.asks, value.readiness, repeats] == expected
