"""Nodes in layers, and what runs against them."""

from collections import defaultdict
from itertools import pairwise, permutations

import networkx as nx
import pytest
from hypothesis import given

from engine.layout import layers
from engine.layout.graph import graph_of
from engine.layout.layers import DOWN, ROUND, UP, layered
from tests.engine.progression.build import any_of, by_key, need, role, skill, solo
from tests.engine.progression.test_against_twins import curricula


def found_in(skills):
    graph = graph_of(skills)
    return graph, layered(graph, lambda name: ("", name))


def chain(*keys):
    """Each needs the one before it."""
    return [solo(keys[0]), *(solo(high, need(low)) for low, high in pairwise(keys))]


@given(curricula(most=5))
def test_layers_and_the_lines_between_them(skills):
    graph, found = found_in(skills)
    lines = {(low, high) for low, ends in enumerate(found.above) for high in ends}
    assert lines == {(low, high) for high, ends in enumerate(found.below) for low in ends}
    assert all(found.layer[high] - found.layer[low] == 1 for low, high in lines)
    used, begun = set(), defaultdict(set)
    drawn = nx.DiGraph()
    drawn.add_nodes_from(graph.nodes)
    for edge, run, path in zip(graph.edges, found.runs, found.paths, strict=True):
        assert (path[0], path[-1]) == (found.numbers[edge.start], found.numbers[edge.end])
        assert (run == ROUND) is (edge.start == edge.end)
        if run != ROUND:
            upwards = path[::-1] if run == DOWN else path
            used |= {*pairwise(upwards)}
            begun[upwards[0], run].update(one for one in upwards[1:2] if one >= len(graph.nodes))
            drawn.add_edge(*((edge.end, edge.start) if run == DOWN else (edge.start, edge.end)))
    assert used == lines
    assert all(len(bends) <= 1 for bends in begun.values())
    names = {number: name for name, number in found.numbers.items()}
    ours = [{names[n] for n in layer if n in names} for layer in found.layers]
    assert ours == [set(one) for one in nx.topological_generations(drawn)]
    assert_few_go_down(skills, graph, found)


def assert_few_go_down(skills, graph, found):
    """None where nothing goes round, never more than half (Eades, Lin and Smyth prove it)."""
    ends = [(graph.nodes[edge.start].card, graph.nodes[edge.end].card) for edge in graph.edges]
    between = [(low, high) for low, high in ends if low != high]
    down = sum(
        run == DOWN for run, (low, high) in zip(found.runs, ends, strict=True) if low != high
    )
    fewest = min(
        sum(order.index(low) > order.index(high) for low, high in between)
        for order in permutations(skills)
    )
    assert fewest <= down <= len(between) / 2
    assert down == 0 or fewest > 0


def test_what_runs_side_by_side_from_one_node_shares_its_bends():
    skills = by_key(*chain("a", "b", "c", "d"), solo("x", need("a"), need("c")))
    skills["d"] = solo("d", need("c"), need("a"))
    graph, found = found_in(skills)
    paths = dict(zip(graph.edges, found.paths, strict=True))
    to_d, to_x = (path for edge, path in paths.items() if edge.start == "a" and edge.end in "dx")
    assert to_d[:-1] == to_x[:-1]
    assert len(to_d) == 4


def test_two_cards_that_need_each_other_and_one_that_needs_itself():
    """In different roles, so nothing is wrong with it."""
    roles = {"base": role(), "flyer": role(need("b", "base"))}
    other = {"base": role(need("a", "base")), "flyer": role(any_of(need("b", "base"), need("a")))}
    graph, found = found_in(by_key(skill("a", roles), skill("b", other)))
    runs = {(edge.start, edge.end): run for edge, run in zip(graph.edges, found.runs, strict=True)}
    assert runs == {
        ("a", "b"): UP,
        ("b", "a"): DOWN,
        ("a", "b.1"): UP,
        ("b", "b.1"): DOWN,
        ("b.1", "b"): UP,
    }
    _, found = found_in(by_key(skill("a", {"base": role(), "flyer": role(need("a", "base"))})))
    assert found.runs == [ROUND]


@pytest.mark.parametrize(("most", "bends"), [(7, 0), (8, 3)])
def test_what_is_too_dense_has_straight_edges(monkeypatch, most, bends):
    monkeypatch.setattr(layers, "MOST_LINES", most)
    skills = by_key(*chain("a", "b", "c", "d"))
    skills["d"] = solo("d", need("c"), need("b"), need("a"))
    _, found = found_in(skills)
    assert len(found.layer) - len(found.numbers) == bends
    assert [len(layer) for layer in found.layers] == [1, 1 + (bends > 0), 1 + (bends > 0) * 2, 1]
