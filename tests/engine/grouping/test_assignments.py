"""Published instances of assignment, matching and rounds (facts/assignment.json names sources).

A cost is how often two have worked together: base and flyer for an assignment; anybody with
anybody for a matching, where an edge that is not there is two who are kept apart.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from itertools import combinations
from pathlib import Path

import networkx
import pytest
from scipy.optimize import linear_sum_assignment

from engine.grouping.solve import solve
from tests.engine.grouping.make import PAIR, problem, role, skill, student

FACTS = json.loads((Path(__file__).parent / "facts" / "assignment.json").read_text())


@pytest.mark.parametrize("name", FACTS["assignment"])
def test_assignment(name: str) -> None:
    cost, optimum = FACTS["assignment"][name]["cost"], FACTS["assignment"][name]["optimum"]
    rows, columns = linear_sum_assignment(cost)
    assert sum(cost[r][c] for r, c in zip(rows, columns, strict=True)) == optimum

    answer = solve(
        problem(
            PAIR,
            *(student(f"b{row}", "base") for row in range(len(cost))),
            *(student(f"f{column}", "flyer") for column in range(len(cost[0]))),
            past_pairs=tuple(
                (f"b{r}", f"f{c}", count)
                for r, row in enumerate(cost)
                for c, count in enumerate(row)
            ),
        )
    )
    assert answer.objective.placed == 2 * len(cost)
    assert answer.objective.repeats == optimum
    assert [group.roles for group in answer.groups] == [
        {"base": (f"b{r}",), "flyer": (f"f{c}",)} for r, c in zip(rows, columns, strict=True)
    ]


def matching(name: str, keep: bool) -> int:
    edges = FACTS["matching"][name]["edges"]
    nodes = sorted({node for one, other, _ in edges for node in (one, other)})
    joined = {frozenset((one, other)) for one, other, _ in edges}
    answer = solve(
        problem(
            skill(*PAIR.roles, keep_partners=keep),
            *(student(f"s{node:02}") for node in nodes),
            apart=tuple(
                (f"s{one:02}", f"s{other:02}")
                for one, other in combinations(nodes, 2)
                if frozenset((one, other)) not in joined
            ),
            past_pairs=tuple((f"s{one:02}", f"s{other:02}", count) for one, other, count in edges),
        )
    )
    assert answer.objective.placed == len(nodes) // 2 * 2
    return answer.objective.repeats


@pytest.mark.parametrize("name", FACTS["matching"])
def test_matching(name: str) -> None:
    fact = FACTS["matching"][name]
    graph = networkx.Graph()
    graph.add_weighted_edges_from(fact["edges"])
    reference = networkx.max_weight_matching(graph, maxcardinality=True)
    assert sum(graph.edges[edge]["weight"] for edge in reference) == fact["most"]

    assert matching(name, keep=True) == fact["most"]
    if "least" in fact:
        assert matching(name, keep=False) == fact["least"]


def next_round(past: Iterable[list[list[int]]], everybody: list[int], size: int):
    partners = skill(role("partner", size, size))
    return solve(
        problem(
            partners,
            *(student(f"s{one:02}", "partner") for one in everybody),
            past_pairs=tuple(
                (f"s{one:02}", f"s{other:02}", 1)
                for groups in past
                for group in groups
                for one, other in combinations(group, 2)
            ),
        )
    )


@pytest.mark.parametrize("name", ["9", "16", "25", "kirkman_15"])
def test_the_last_round_is_the_only_one_without_repeats(name: str) -> None:
    rounds = FACTS["rounds"][name]
    everybody = sorted(one for group in rounds[0] for one in group)
    answer = next_round(rounds[:-1], everybody, len(rounds[0][0]))
    assert answer.objective.placed == len(everybody)
    assert answer.objective.repeats == 0
    assert [group.members for group in answer.groups] == sorted(
        tuple(f"s{one:02}" for one in sorted(group)) for group in rounds[-1]
    )


@pytest.mark.parametrize("name", ["9", "16"])
def test_when_all_have_met_once_every_pair_is_a_repeat(name: str) -> None:
    rounds = FACTS["rounds"][name]
    size = len(rounds[0][0])
    everybody = sorted(one for group in rounds[0] for one in group)
    answer = next_round(rounds, everybody, size)
    assert answer.objective.repeats == len(rounds[0]) * size * (size - 1) // 2


@pytest.mark.parametrize(("groups", "size", "fewest"), [(2, 3, 2), (2, 4, 4), (3, 4, 3)])
def test_fewer_groups_than_people_in_one_cannot_avoid_repeats(
    groups: int, size: int, fewest: int
) -> None:
    """By counting: each new group of `size` takes from `groups` old ones; the evenest split of
    3 over 2 repeats one pair, of 4 over 2 two pairs, of 4 over 3 one pair."""
    everybody = list(range(groups * size))
    first = [everybody[start : start + size] for start in range(0, len(everybody), size)]
    assert next_round([first], everybody, size).objective.repeats == fewest
