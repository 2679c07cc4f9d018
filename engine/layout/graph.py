"""What needs what, as nodes and edges: every card a node, every choice a joining node.

What a role needs is a tree; a card's own parts come straight to it, those of a choice come to a
joining node of its own, so that a picture tells “all of these” from “one of these”.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from engine.progression import AllOf, Leaf, Skill, Tree
from engine.progression.trees import flat, fold

SKILL, UNKNOWN, ONE_OF, ALL_OF = KINDS = ("skill", "unknown", "one_of", "all_of")


@dataclass(frozen=True)
class Need:
    """For which role of the needing card an edge stands, and what it asks for: the role of the
    needed skill and the most help. An edge out of a joining node asks for nothing by itself."""

    role: str
    of_role: str | None
    help: str | None


@dataclass(frozen=True)
class Node:
    """A card of the curriculum, a skill that is needed but has no card (`unknown`), or where edges
    join: `one_of` or `all_of` the nodes below it. `card` is the key of the skill it belongs to."""

    key: str
    kind: str
    card: str


@dataclass(frozen=True)
class Edge:
    """From what is needed to what needs it, once for all needs between the two.

    One that is `gone` is drawn, and is needed no more.
    """

    start: str
    end: str
    needs: tuple[Need, ...]
    gone: bool = False


@dataclass(frozen=True)
class Graph:
    """Nodes by card, its joining nodes from the inmost on before it; edges as they are read."""

    nodes: dict[str, Node]
    edges: tuple[Edge, ...]


def graph_of(skills: Mapping[str, Skill]) -> Graph:
    """The graph of these skills, the same in whatever order they come.

    A need that is written twice for a role is one need; of trees of one card that ask for the
    same, whichever role they are for, there is one joining node. Joining nodes are called after
    their card: `seat.1`, `seat.2`.
    """
    needs: dict[tuple[str, str], dict[Need, None]] = {}
    nodes: dict[str, Node] = {}
    for key in sorted(skills):
        card = _Card(key, needs)
        for role in sorted(skills[key].roles):
            tree = skills[key].roles[role].needs
            if tree is not None:
                card.needs(tree, role)
        nodes |= card.joins
        nodes[key] = Node(key, SKILL, key)
    for start in sorted({start for start, _ in needs} - nodes.keys()):
        nodes[start] = Node(start, UNKNOWN, start)
    return Graph(nodes, tuple(Edge(*ends, tuple(asked)) for ends, asked in needs.items()))


_End = tuple[str, str | None, str | None]  # where an edge begins, and the role and help it asks


class _Card:
    """The joining nodes of one card; its edges go into the `found` of all cards."""

    def __init__(self, key: str, found: dict[tuple[str, str], dict[Need, None]]) -> None:
        self.key = key
        self.joins: dict[str, Node] = {}
        self._found = found
        self._same: dict[tuple[str, frozenset[_End]], str] = {}

    def needs(self, tree: Tree, role: str) -> None:
        while not isinstance(tree, Leaf) and len(tree.parts) == 1:
            tree = tree.parts[0]
        for part in flat(tree) if isinstance(tree, AllOf) else [tree]:
            self._edge(self._end(part, role), self.key, role)

    def _end(self, tree: Tree, role: str) -> _End:
        """Where the edge of a part begins, after all edges within it."""

        def join(kind: str, ends: list[_End]) -> _End:
            parts = frozenset(ends)
            if len(parts) == 1:
                return ends[0]
            name = self._same.setdefault((kind, parts), f"{self.key}.{len(self._same) + 1}")
            self.joins[name] = Node(name, kind, self.key)
            for end in ends:
                self._edge(end, name, role)
            return name, None, None

        return fold(
            tree,
            lambda leaf: (leaf.skill, leaf.role, leaf.help),
            lambda ends: join(ALL_OF, ends),
            lambda ends: join(ONE_OF, ends),
        )

    def _edge(self, end: _End, to: str, role: str) -> None:
        start, of_role, help_ = end
        self._found.setdefault((start, to), {})[Need(role, of_role, help_)] = None
