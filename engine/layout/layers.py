"""Nodes in layers, the lowest first, and the lines from each layer to the next.

The first steps of Sugiyama, Tagawa and Toda (1981, doi 10.1109/TSMC.1981.4308636): no circles,
layers by the longest path from below, and a bend wherever a long edge crosses a layer.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from heapq import heappop, heappush

from engine.layout.graph import SKILL, UNKNOWN, Edge, Graph

UP, DOWN, ROUND = RUNS = ("up", "down", "round")
# More would take many seconds to order and nobody could read it: what is so dense gets no bends,
# its edges go straight. A thousand cards with three needs each have half as many.
MOST_LINES = 10_000


@dataclass
class Layered:
    """All nodes and bends have a number, first the nodes. `layers` holds the numbers of each layer
    from left to right, `above` and `below` those in the next layers to which each has a line.

    Of each edge `runs` tells whether it goes up, down, or back into its own node, and `paths` the
    numbers along it, in its own direction.
    """

    numbers: dict[str, int]
    layers: list[list[int]]
    layer: list[int] = field(default_factory=list)
    above: list[list[int]] = field(default_factory=list)
    below: list[list[int]] = field(default_factory=list)
    paths: list[list[int]] = field(default_factory=list)
    runs: list[str] = field(default_factory=list)

    def add(self, layer: int) -> int:
        number = len(self.layer)
        self.layers[layer].append(number)
        self.layer.append(layer)
        self.above.append([])
        self.below.append([])
        return number

    def link(self, low: int, high: int) -> None:
        self.above[low].append(high)
        self.below[high].append(low)


def layered(graph: Graph, key: Callable[[str], tuple[str, str]]) -> Layered:
    """The graph in layers, the nodes of each sorted by `key`.

    Edges that go the same way from one node share their bends as far as the shorter one reaches,
    so a node has at most two bends a layer. Where needs go round, and where two cards need each
    other in different roles, some edges go down: few, by a greedy order.
    """
    runs = _runs(graph)
    ends = [
        (edge.end, edge.start) if run == DOWN else (edge.start, edge.end)
        for edge, run in zip(graph.edges, runs, strict=True)
    ]
    layer = _longest(graph, [(low, high) for low, high in ends if low != high])
    found = Layered({}, [[] for _ in range(max(layer.values(), default=-1) + 1)], runs=runs)
    for name in sorted(graph.nodes, key=key):
        found.numbers[name] = found.add(layer[name])
    reach: dict[tuple[str, str], int] = {}
    for (low, high), run in zip(ends, runs, strict=True):
        reach[low, run] = max(reach.get((low, run), 1), layer[high] - layer[low])
    dense = len(ends) + sum(reach.values()) - len(reach) > MOST_LINES
    trunks: dict[tuple[str, str], list[int]] = {}
    for (low, high), run in zip(ends, runs, strict=True):
        first, last = found.numbers[low], found.numbers[high]
        trunk = trunks.setdefault((low, run), [first])
        steps = 1 if dense else max(1, layer[high] - layer[low])
        while len(trunk) < steps:
            bend = found.add(layer[low] + len(trunk))
            found.link(trunk[-1], bend)
            trunk.append(bend)
        if low != high and not dense:
            found.link(trunk[steps - 1], last)
        path = [*trunk[:steps], last]
        found.paths.append(path[::-1] if run == DOWN else path)
    return found


def _longest(graph: Graph, ends: Sequence[tuple[str, str]]) -> dict[str, int]:
    """The layer of each node: one above the highest of those that it stands on, else 0.

    `ends` are pairs of a lower and a higher node, in no circle.
    """
    above: dict[str, list[str]] = {name: [] for name in graph.nodes}
    waits = dict.fromkeys(graph.nodes, 0)
    for low, high in ends:
        above[low].append(high)
        waits[high] += 1
    layer = dict.fromkeys(graph.nodes, 0)
    free = [name for name, count in waits.items() if count == 0]
    while free:
        low = free.pop()
        for high in above[low]:
            layer[high] = max(layer[high], layer[low] + 1)
            waits[high] -= 1
            if waits[high] == 0:
                free.append(high)
    return layer


def _runs(graph: Graph) -> list[str]:
    """Which way each edge goes; a joining node is always below its card."""
    ranks = {card: rank for rank, card in enumerate(_from_below(graph))}

    def run(edge: Edge) -> str:
        start, end = graph.nodes[edge.start], graph.nodes[edge.end]
        if start is end:
            return ROUND
        if start.card == end.card:
            return DOWN if start.kind == SKILL else UP
        return UP if ranks[start.card] < ranks[end.card] else DOWN

    return [run(edge) for edge in graph.edges]


def _from_below(graph: Graph) -> Iterator[str]:
    """The cards in an order that few edges go against, none where there is no circle.

    The greedy order of Eades, Lin and Smyth (1993, doi 10.1016/0020-0190(93)90079-O): a card with
    nothing left below it goes next to the bottom, one with nothing left above it next to the top;
    where there is neither, the one with most more above it than below it. Ties by key.
    """
    cards = sorted(node.card for node in graph.nodes.values() if node.kind in (SKILL, UNKNOWN))
    above: dict[str, dict[str, int]] = {card: {} for card in cards}
    below: dict[str, dict[str, int]] = {card: {} for card in cards}
    for edge in graph.edges:
        low, high = graph.nodes[edge.start].card, graph.nodes[edge.end].card
        if low != high and not edge.gone:
            above[low][high] = below[high][low] = above[low].get(high, 0) + 1
    left = dict.fromkeys(cards)
    lowest = [card for card in cards if not below[card]]
    highest = [card for card in cards if not above[card]]
    top: list[str] = []
    while left:
        lies_low = bool(lowest) or not highest
        if lowest:
            card = heappop(lowest)
        elif highest:
            card = heappop(highest)
        else:
            card = max(left, key=lambda one: sum(above[one].values()) - sum(below[one].values()))
        if card not in left:  # it lay free at both ends
            continue
        del left[card]
        for high in above.pop(card):
            del below[high][card]
            if not below[high]:
                heappush(lowest, high)
        for low in below.pop(card):
            del above[low][card]
            if not above[low]:
                heappush(highest, low)
        if lies_low:
            yield card
        else:
            top.append(card)
    yield from reversed(top)
