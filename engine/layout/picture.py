"""The whole way from skills to a picture: graph, layers, order, columns."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from engine.layout.columns import columns
from engine.layout.crossings import order
from engine.layout.graph import ALL_OF, ONE_OF, SKILL, UNKNOWN, Edge, Graph, Need, graph_of
from engine.layout.layers import layered
from engine.progression import Skill
from engine.progression.order import needs_graph, rings

# What each takes of its layer, in eighths of a cell, free space beside it among it.
CELL = 8
WIDTHS = {SKILL: CELL, UNKNOWN: CELL, ONE_OF: CELL // 2, ALL_OF: CELL // 2}
BEND = CELL // 4

ANY_OF = "any_of"
LINES = (ALL_OF, ANY_OF)

Point = tuple[float, int]  # cells from the left edge, and the layer


@dataclass(frozen=True)
class Placed:
    """A node with its place: `layer` counts from 0 at the bottom, `x` is its middle in cells from
    the left edge. `card` is the key of the skill that it belongs to."""

    key: str
    kind: str
    card: str
    layer: int
    x: float


@dataclass(frozen=True)
class Line:
    """From what is needed to what needs it. `kind` is all_of where all that comes to the end is
    needed, any_of where one is enough. `circle`: among its needs is one that leads back to itself.

    `points` go from the middle of the start to the middle of the end. In a layer a line goes
    straight up; it leans only between two.
    """

    start: str
    end: str
    kind: str
    needs: tuple[Need, ...]
    circle: bool
    runs: str
    points: tuple[Point, ...]


@dataclass(frozen=True)
class Picture:
    """`width` in cells, `layers` how many. A card takes one cell, a joining node half of one. The
    nodes stand from the lowest layer on and from left to right."""

    width: float
    layers: int
    nodes: tuple[Placed, ...]
    lines: tuple[Line, ...]


def pictured(skills: Mapping[str, Skill], gone: Sequence[Edge] = ()) -> Picture:
    """The picture of these skills, the same in whatever order they come.

    Takes skills with faults too: a need that names nothing gets a node of its own, and needs that
    go round are told as such. Edges that are `gone` are drawn between cards of it.
    """
    graph = graph_of(skills)
    graph = replace(graph, edges=(*graph.edges, *gone))
    families = {key: skill.family for key, skill in skills.items()}
    found = layered(graph, lambda name: (families.get(graph.nodes[name].card, ""), name))
    order(found)
    widths = [WIDTHS[graph.nodes[name].kind] for name in found.numbers]
    widths += [BEND] * (len(found.layer) - len(widths))
    middles = [middle / CELL for middle in columns(found, widths)]
    edges = [middle + width / CELL / 2 for middle, width in zip(middles, widths, strict=True)]
    return Picture(
        width=max(edges, default=0.0),
        layers=len(found.layers),
        nodes=tuple(
            Placed(name, node.kind, node.card, found.layer[number], middles[number])
            for number, name, node in sorted(
                ((found.numbers[name], name, node) for name, node in graph.nodes.items()),
                key=lambda one: (found.layer[one[0]], middles[one[0]]),
            )
        ),
        lines=tuple(
            Line(
                start=edge.start,
                end=edge.end,
                kind=ANY_OF if graph.nodes[edge.end].kind == ONE_OF else ALL_OF,
                needs=edge.needs,
                circle=circle,
                runs=run,
                points=_bent([(middles[number], found.layer[number]) for number in path]),
            )
            for edge, circle, run, path in zip(
                graph.edges, _circles(skills, graph), found.runs, found.paths, strict=True
            )
        ),
    )


def _circles(skills: Mapping[str, Skill], graph: Graph) -> list[bool]:
    """Of each edge whether it is a step of a circle, or leads one on from a joining node."""
    steps = {step for ring in rings(needs_graph(skills)) for step in pairwise(ring)}
    through: set[tuple[str, str]] = set()  # joining nodes, each with the role whose circle it is
    found = []
    for edge in graph.edges:
        card = graph.nodes[edge.end].card
        roles = {
            need.role
            for need in edge.needs
            if (edge.start, need.role) in through
            or (need.of_role and ((card, need.role), (edge.start, need.of_role)) in steps)
        }
        through.update((edge.end, role) for role in roles if edge.end != card)
        found.append(bool(roles))
    return found


def _bent(points: Sequence[Point]) -> tuple[Point, ...]:
    """The points without those in the middle of a straight line."""
    kept = [points[0]]
    for before, at, after in zip(points, points[1:], points[2:], strict=False):
        if at[0] - before[0] != after[0] - at[0]:
            kept.append(at)
    return (*kept, points[-1])
