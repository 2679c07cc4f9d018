from dataclasses import replace
from itertools import product

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.progression import (
    HELP,
    AllOf,
    AnyOf,
    Leaf,
    faults,
    leaves,
    needed_for,
    opens_next,
    teaching_order,
    warnings,
)
from tests.engine.progression.build import by_key, need, role, skill, solo


def trees(nodes):
    leaf = st.builds(
        lambda node, help_: Leaf(*node, help_), st.sampled_from(nodes), st.sampled_from(HELP)
    )
    return st.recursive(
        leaf,
        lambda inner: st.one_of(
            st.lists(inner, min_size=1, max_size=3).map(lambda parts: AllOf(tuple(parts))),
            st.lists(inner, min_size=1, max_size=3).map(lambda parts: AnyOf(tuple(parts))),
        ),
        max_leaves=5,
    )


@st.composite
def curricula(draw, *, circles=True, most=6):
    """Up to `most` skills for one or two; without `circles` each needs only earlier ones."""
    shapes = draw(st.lists(st.sampled_from(["solo", "duo"]), min_size=1, max_size=most))
    roles = [("solo",) if shape == "solo" else ("base", "flyer") for shape in shapes]
    nodes = [(f"k{at}", name) for at, names in enumerate(roles) for name in names]
    skills = []
    for at, names in enumerate(roles):
        within = nodes if circles else [node for node in nodes if int(node[0][1:]) < at]
        needs = st.none() | trees(within) if within else st.none()
        skills.append(skill(f"k{at}", {name: role(draw(needs)) for name in names}))
    return by_key(*skills)


def graph_of(skills):
    graph = nx.DiGraph()
    for key, one in skills.items():
        for name, its in one.roles.items():
            graph.add_node((key, name))
            graph.add_edges_from(
                ((key, name), (leaf.skill, leaf.role)) for leaf in leaves(its.needs)
            )
    return graph


@given(curricula())
def test_circles_are_those_of_networkx(skills):
    graph = graph_of(skills)
    found = [fault for fault in faults(skills) if fault.code == "cycle"]
    assert bool(found) is not nx.is_directed_acyclic_graph(graph)
    circles = {
        tuple(key for key, _ in [*circle[at:], *circle[: at + 1]])
        for circle in nx.simple_cycles(graph)
        for at in range(len(circle))
    }
    for fault in found:
        named = tuple(fault.sentence.split(": ")[1].split(" → "))
        assert named in circles
    assert len({fault.sentence for fault in found}) == len(found)


@given(curricula(circles=False))
def test_the_teaching_order_is_that_of_networkx(skills):
    expected = nx.lexicographical_topological_sort(graph_of(skills).reverse())
    assert teaching_order(skills) == tuple(expected)


@given(st.data(), curricula())
def test_the_order_of_the_skills_changes_nothing(data, skills):
    shuffled = dict(data.draw(st.permutations(list(skills.items()))))
    assert faults(shuffled) == faults(skills)
    if not faults(skills):
        assert warnings(shuffled) == warnings(skills)


def true(tree, levels):
    """A plain recursive twin."""
    if tree is None:
        return True
    if isinstance(tree, Leaf):
        return levels.get((tree.skill, tree.role), -1) >= HELP.index(tree.help)
    return (all if isinstance(tree, AllOf) else any)(true(part, levels) for part in tree.parts)


@given(st.data(), curricula(circles=False))
def test_what_opens_is_what_is_true(data, skills):
    nodes = [(key, name) for key, one in skills.items() for name in one.roles]
    levels = data.draw(st.dictionaries(st.sampled_from(nodes), st.integers(0, 2)))
    has = [Leaf(*node, HELP[level]) for node, level in levels.items()]
    assert set(opens_next(skills, has)) == {
        (key, name)
        for key, name in nodes
        if (key, name) not in levels and true(skills[key].roles[name].needs, levels)
    }


@given(curricula(circles=False))
def test_what_is_needed_suffices(skills):
    for key, one in skills.items():
        for name, its in one.roles.items():
            needed = needed_for(skills, key, name)
            levels = {(leaf.skill, leaf.role): HELP.index(leaf.help) for leaf in needed}
            assert true(its.needs, levels)
            assert all(true(skills[k].roles[n].needs, levels) for k, n in levels)
            order = [node for node in teaching_order(skills) if node in levels]
            assert [(leaf.skill, leaf.role) for leaf in needed] == order


@given(curricula(circles=False))
def test_without_a_choice_all_ancestors_are_needed(skills):
    chosen = {
        key: replace(one, roles={n: role(AllOf(leaves(r.needs))) for n, r in one.roles.items()})
        for key, one in skills.items()
    }
    graph = graph_of(chosen)
    for node in graph:
        needed = {(leaf.skill, leaf.role) for leaf in needed_for(chosen, *node)}
        assert needed == nx.descendants(graph, node)


def possible(skills):
    """Everything somebody can reach, a plain twin: grow both sets until they stand still."""
    ready, reached = set(), set()
    for _ in range(4 * len(skills) + 1):
        levels = dict.fromkeys(reached, 2)
        for key, one in skills.items():
            ready |= {(key, name) for name, its in one.roles.items() if true(its.needs, levels)}
            if all((key, name) in ready for name in one.roles):
                reached |= {(key, name) for name in one.roles}
    return reached


@given(curricula())
def test_without_faults_everything_can_be_reached(skills):
    found = {fault.code for fault in faults(skills)}
    nodes = {(key, name) for key, one in skills.items() for name in one.roles}
    if not found:
        assert possible(skills) == nodes
    if "unreachable" in found:
        assert possible(skills) != nodes
    assert found <= {"cycle", "unreachable"}


@pytest.mark.parametrize("helps", [*product(HELP, HELP)])
def test_less_help_covers_more(helps):
    asked, had = helps
    skills = by_key(solo("a"), solo("b", need("a", help_=asked)))
    opened = opens_next(skills, [need("a", help_=had)])
    assert (("b", "solo") in opened) is (HELP.index(had) >= HELP.index(asked))
