"""The graph of (skill, role) by what each needs: its order, and its circles."""

from collections import deque
from collections.abc import Collection, Mapping
from heapq import heapify, heappop, heappush
from itertools import pairwise

from engine.progression.trees import Skill, SkillRole, leaves, needs_of

Graph = Mapping[SkillRole, Collection[SkillRole]]  # what each waits for


def needs_graph(skills: Mapping[str, Skill]) -> dict[SkillRole, list[SkillRole]]:
    """Each (skill, role) that one learns, in order, and those that its tree names."""
    nodes = [(key, role) for key in sorted(skills) for role in skills[key].learnt]
    known = set(nodes)
    return {
        node: list(
            dict.fromkeys(
                leaf.node for leaf in leaves(needs_of(skills, node)) if leaf.node in known
            )
        )
        for node in nodes
    }


def teaching_order(skills: Mapping[str, Skill]) -> tuple[SkillRole, ...]:
    """Each (skill, role) that one learns after all that its tree names, ties by key.

    Raises `ValueError` where needs go in a circle.
    """
    graph = needs_graph(skills)
    order = ordered(graph)
    if len(order) < len(graph):
        raise ValueError("the needs of these skills go in a circle")
    return tuple(order)


def ordered(graph: Graph) -> list[SkillRole]:
    """Each node after all it waits for, ties by key; leaves out what waits for itself."""
    waiting = {node: len(targets) for node, targets in graph.items()}
    opens: dict[SkillRole, list[SkillRole]] = {node: [] for node in graph}
    for node, targets in graph.items():
        for target in targets:
            opens[target].append(node)
    heap = [node for node, count in waiting.items() if count == 0]
    heapify(heap)
    order = []
    while heap:
        node = heappop(heap)
        order.append(node)
        for next_ in opens[node]:
            waiting[next_] -= 1
            if waiting[next_] == 0:
                heappush(heap, next_)
    return order


def rings(graph: Graph) -> list[list[SkillRole]]:
    """Circles that have no step in common; without their steps there is no circle left.

    Each is a shortest one through its least node, written back to it: [a, b, a].
    """
    steps = {node: dict.fromkeys(targets) for node, targets in graph.items()}
    for node in ordered(graph):
        del steps[node]
    found = []
    for start in sorted(steps):
        while ring := _shortest_ring(steps, start):
            found.append(ring)
            for here, there in pairwise(ring):
                del steps[here][there]
        del steps[start]
    return found


def _shortest_ring(
    steps: Mapping[SkillRole, Mapping[SkillRole, None]], start: SkillRole
) -> list[SkillRole]:
    came_from: dict[SkillRole, SkillRole] = {}
    queue = deque([start])
    while queue:
        here = queue.popleft()
        for there in steps[here]:
            if there == start:
                ring = [start]
                while here != start:
                    ring.append(here)
                    here = came_from[here]
                return [start, *reversed(ring)]
            if there in steps and there not in came_from:
                came_from[there] = here
                queue.append(there)
    return []
