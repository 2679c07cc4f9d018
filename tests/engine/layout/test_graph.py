"""What needs what, as nodes and edges."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.layout.graph import ALL_OF, ONE_OF, UNKNOWN, Need, graph_of
from engine.progression import HELP
from tests.engine.progression.build import all_of, any_of, by_key, deep, need, role, skill, solo
from tests.engine.progression.test_against_twins import curricula, true


def drawn(tree):
    """The edges of a card d with this tree, as texts; the joining nodes by what they are."""
    graph = graph_of(by_key(solo("a"), solo("b"), solo("c"), skill("d", {"solo": role(tree)})))
    kinds = {name: node.kind for name, node in graph.nodes.items() if "." in name}
    return {f"{edge.start} {edge.end}" for edge in graph.edges}, kinds


@pytest.mark.parametrize(
    ("tree", "edges", "joins"),
    [
        (None, set(), {}),
        (need("a"), {"a d"}, {}),
        (all_of("a", all_of("b", "c")), {"a d", "b d", "c d"}, {}),
        (all_of(any_of("a"), any_of(all_of("b", "c"))), {"a d", "b d", "c d"}, {}),
        (any_of("a", any_of("b", "c")), {"a d.1", "b d.1", "c d.1", "d.1 d"}, {"d.1": ONE_OF}),
        (any_of("a", "a"), {"a d"}, {}),
        (
            any_of("a", all_of("b", "c")),
            {"a d.2", "b d.1", "c d.1", "d.1 d.2", "d.2 d"},
            {"d.1": ALL_OF, "d.2": ONE_OF},
        ),
        (
            all_of("a", any_of("a", "b"), any_of("b", "c")),
            {"a d", "a d.1", "b d.1", "b d.2", "c d.2", "d.1 d", "d.2 d"},
            {"d.1": ONE_OF, "d.2": ONE_OF},
        ),
        (any_of(all_of("a", "b"), all_of("b", "a")), {"a d.1", "b d.1", "d.1 d"}, {"d.1": ALL_OF}),
    ],
)
def test_a_choice_is_joined_and_all_of_it_is_not(tree, edges, joins):
    assert drawn(tree) == (edges, joins)


def test_one_edge_for_all_roles_and_helps_between_two():
    tree = any_of("b", "c")
    front = all_of(need("a"), tree)
    middle = all_of(need("a"), need("a", help_="hands_on"), need("a"), tree)
    skills = by_key(
        *map(solo, "abc"), skill("line", {"middle": role(middle), "front": role(front)})
    )
    graph = graph_of(skills)
    assert {(edge.start, edge.end): edge.needs for edge in graph.edges} == {
        ("a", "line"): (
            Need("front", "solo", "no_spot"),
            Need("middle", "solo", "no_spot"),
            Need("middle", "solo", "hands_on"),
        ),
        ("b", "line.1"): (Need("front", "solo", "no_spot"), Need("middle", "solo", "no_spot")),
        ("c", "line.1"): (Need("front", "solo", "no_spot"), Need("middle", "solo", "no_spot")),
        ("line.1", "line"): (Need("front", None, None), Need("middle", None, None)),
    }


def test_what_is_needed_and_has_no_card_has_a_node():
    graph = graph_of(by_key(solo("a", need("tower"), need("tower"))))
    assert [(node.key, node.kind, node.card) for node in graph.nodes.values()][1:] == [
        ("tower", UNKNOWN, "tower")
    ]


def test_a_tree_may_be_as_deep_as_it_likes():
    graph = graph_of(
        by_key(solo("a"), solo("b"), skill("c", {"solo": role(deep(9000, need("a")))}))
    )
    assert [(edge.start, edge.end) for edge in graph.edges] == [("a", "c")]
    tree = deep(3001, need("a"), others=(need("b"),))
    assert (
        len(graph_of(by_key(solo("a"), solo("b"), skill("c", {"solo": role(tree)}))).nodes) > 3000
    )


def true_by_edges(graph, key, of, levels):
    """Whether somebody at these levels may begin a role, by the edges alone."""

    def holds(name):
        asked = [
            (edge.start, one) for edge in graph.edges if edge.end == name for one in edge.needs
        ]
        found = [
            holds(start)
            if one.help is None
            else levels.get((start, one.of_role), -1) >= HELP.index(one.help)
            for start, one in asked
            if one.role == of
        ]
        return (any if graph.nodes[name].kind == ONE_OF else all)(found)

    return holds(key)


@given(st.data(), curricula(most=5))
def test_edges_say_what_the_trees_say_and_say_it_once(data, skills):
    graph = graph_of(skills)
    nodes = [(key, name) for key, one in skills.items() for name in one.roles]
    levels = data.draw(st.dictionaries(st.sampled_from(nodes), st.integers(0, 2)))
    for key, name in nodes:
        tree = skills[key].roles[name].needs
        assert true_by_edges(graph, key, name, levels) == true(tree, levels)
    assert len({(edge.start, edge.end) for edge in graph.edges}) == len(graph.edges)
    assert all(len(set(edge.needs)) == len(edge.needs) for edge in graph.edges)
    assert graph_of(dict(reversed(skills.items()))) == graph
