"""The map: what needs what in an edition or a draft, as a picture in numbers."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from uuid import UUID

from accounts.scope import Scope
from curriculum import drafts, editions
from curriculum.cards import CardView, views
from engine.layout import KINDS as KINDS
from engine.layout import LINES as LINES
from engine.layout import RUNS as RUNS
from engine.layout import SKILL, UNKNOWN, Edge, Graph, Line, Need, Placed, graph_of, pictured
from engine.progression import HELP as HELP

ADDED, CHANGED, GONE, SAME = CHANGES = ("added", "changed", "gone", "same")


@dataclass(frozen=True)
class MapNode:
    """A card in the picture, a skill that is needed and has no card, or where edges join.

    `card` is the key of the skill it belongs to; what a card says is None where there is none.
    `changed` is None where nothing is compared, and for a skill without a card.
    """

    key: str
    kind: str
    card: str
    layer: int
    x: float
    name: str | None = None
    family: str | None = None
    lifted: bool | None = None
    tier: str | None = None
    roles: tuple[str, ...] = ()
    changed: str | None = None


@dataclass(frozen=True)
class MapEdge(Line):
    """`changed` is None where nothing is compared. One that is gone is drawn as it was.

    One between two cards is changed where it is needed in another way: another role, more or less
    help, one of a choice. One from a joining node is what all of its choice is, else the same.
    """

    changed: str | None = None


@dataclass(frozen=True)
class Family:
    key: str
    name: str


@dataclass(frozen=True)
class Map:
    """Places are in cells: `x` and `width` from the left edge, `layer` from 0 at the bottom.

    `number` is that of the edition, None of a draft; `against` of the edition it is compared with.
    `families` are in teaching order.
    """

    number: int | None
    against: int | None
    families: tuple[Family, ...]
    width: float
    layers: int
    nodes: tuple[MapNode, ...]
    edges: tuple[MapEdge, ...]


def of_edition(scope: Scope, *, number: int) -> Map:
    """This will draw a published edition; it never changes. Raises `Unknown`."""
    families, documents = _said(scope, number)
    return _map(families, views(documents), number=number)


def of_draft(scope: Scope, *, draft_id: UUID, number: int | None = None) -> Map:
    """This will draw a draft, faults and all, beside a published edition or the newest one.

    A card or a need that the draft no longer has is drawn as it was. Raises `NotAllowed`,
    `Unknown`.
    """
    draft = drafts.draft(scope, draft_id=draft_id)
    if number is None:
        number = editions.newest_number(scope)
    families, before = ({}, {}) if number is None else _said(scope, number)
    after = draft.document["skills"]
    gone = {key: card for key, card in views(before).items() if key not in after}
    changes = dict.fromkeys(gone, GONE)
    for key, card in after.items():
        changes[key] = ADDED if key not in before else SAME if before[key] == card else CHANGED
    of_gone = {card.skill.family for card in gone.values()} - draft.document["families"].keys()
    return _map(
        draft.document["families"] | {key: families[key] for key in families if key in of_gone},
        gone | views(after),
        against=number,
        changes=changes,
        before=graph_of({key: card.skill for key, card in views(before).items()}),
    )


def _said(scope, number):
    """The names of an edition's families and the documents of its cards, by key."""
    found = editions.document(scope, number=number)
    families = {family["key"]: family["name"] for family in found["families"]}
    return families, {card["skill"]: card["document"] for card in found["cards"]}


def _map(
    families: Mapping[str, str],
    cards: Mapping[str, CardView],
    *,
    number: int | None = None,
    against: int | None = None,
    changes: Mapping[str, str] = MappingProxyType({}),
    before: Graph | None = None,
) -> Map:
    skills = {key: card.skill for key, card in cards.items()}
    graph = graph_of(skills)
    picture = pictured(skills, _gone(graph, before) if before else ())

    def node(one: Placed) -> MapNode:
        placed = {name: getattr(one, name) for name in ("key", "kind", "card", "layer", "x")}
        found = MapNode(**placed, changed=changes.get(one.card))
        if one.kind != SKILL:
            return found
        card = cards[one.key]
        return replace(
            found,
            name=card.name,
            family=card.skill.family,
            lifted=card.lifted,
            tier=card.tier,
            roles=tuple(card.skill.roles),
        )

    return Map(
        number=number,
        against=against,
        families=tuple(Family(key, name) for key, name in families.items()),
        width=picture.width,
        layers=picture.layers,
        nodes=tuple(map(node, picture.nodes)),
        edges=_edges(picture.lines, graph, before, changes),
    )


def _asked(graph: Graph) -> dict[tuple[str, str], set[tuple[Need, str]]]:
    """What a card needs of another, by the two, and in what kind of node that joins."""
    found: dict[tuple[str, str], set[tuple[Need, str]]] = {}
    for edge in graph.edges:
        end = graph.nodes[edge.end]
        if graph.nodes[edge.start].kind in (SKILL, UNKNOWN):
            asked = found.setdefault((edge.start, end.card), set())
            asked.update((need, end.kind) for need in edge.needs)
    return found


def _gone(graph: Graph, before: Graph) -> list[Edge]:
    """The needs of cards that are still there which these no longer have."""
    now = _asked(graph)
    return [
        Edge(*ends, tuple(sorted({need for need, _ in asked}, key=str)), gone=True)
        for ends, asked in sorted(_asked(before).items())
        if ends not in now and {*ends} <= graph.nodes.keys()
    ]


def _edges(lines, graph, before, changes) -> tuple[MapEdge, ...]:
    if before is None:
        return tuple(MapEdge(**vars(line)) for line in lines)
    was, now = _asked(before), _asked(graph)

    def changed(line: Line) -> str:
        card = graph.nodes[line.end].card
        if changes.get(card) == GONE or (line.start, card) not in now:
            return GONE
        if (line.start, card) not in was:
            return ADDED
        return SAME if was[line.start, card] == now[line.start, card] else CHANGED

    found: dict[str, set[str]] = {}  # by joining node
    edges = []
    # A joining node is before its card, and what comes to it before what leaves it.
    for line in lines:
        if graph.nodes[line.start].kind in (SKILL, UNKNOWN):
            what = changed(line)
        else:
            joined = found[line.start]
            what = next(iter(joined)) if len(joined) == 1 else SAME
        found.setdefault(line.end, set()).add(what)
        edges.append(MapEdge(**vars(line), changed=what))
    return tuple(edges)
