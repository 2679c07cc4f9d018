"""Ways through the graph: what opens next, and what a target needs."""

from collections.abc import Iterable, Mapping

from engine.progression.order import needs_graph, teaching_order
from engine.progression.trees import (
    HELP,
    Leaf,
    Levels,
    Skill,
    SkillRole,
    Tree,
    fold,
    holds_at,
    leaves,
    levels_of,
    needs_of,
    raise_to,
)


def opens_next(skills: Mapping[str, Skill], has: Iterable[Leaf]) -> tuple[SkillRole, ...]:
    """What is open to a child who has `has` and is not among it, in teaching order.

    A leaf of `has` says with how little help she does that skill in that role; who does it with
    less help does it with more. Takes skills without faults.
    """
    levels = levels_of(has)
    return tuple(
        node
        for node in teaching_order(skills)
        if node not in levels and holds_at(needs_of(skills, node), levels)
    )


def needed_for(skills: Mapping[str, Skill], skill: str, role: str) -> tuple[Leaf, ...]:
    """Everything that comes before this role of this skill, in teaching order.

    `help` is the least help that anything on the way asks for. Of a choice the option is taken
    that adds the fewest (skill, role) to what its own tree needs anyway, the first on a tie.
    Takes skills without faults.
    """
    graph = needs_graph(skills)
    target = skills[skill].roles[role].needs
    todo = [leaf.node for leaf in leaves(target)]
    wanted: set[SkillRole] = set()
    while todo:
        node = todo.pop()
        if node not in wanted:
            wanted.add(node)
            todo.extend(graph[node])
    order = [node for node in teaching_order(skills) if node in wanted]
    before: dict[SkillRole, Levels] = {}
    for node in order:
        before[node] = _cheapest(needs_of(skills, node), before)
    needed = _cheapest(target, before)
    return tuple(Leaf(*node, HELP[needed[node]]) for node in order if node in needed)


def _cheapest(tree: Tree | None, before: Mapping[SkillRole, Levels]) -> Levels:
    """What a tree asks for, with all that comes `before` it."""
    if tree is None:
        return {}

    # The value of a tree is its options: more than one only where the choice is still open.
    def one(leaf: Leaf) -> list[Levels]:
        option = dict(before[leaf.node])
        raise_to(option, levels_of([leaf]))
        return [option]

    def together(values: list[list[Levels]]) -> list[Levels]:
        needed: Levels = {}
        for options in sorted(values, key=lambda options: len(options) > 1):
            raise_to(needed, min(options, key=lambda option: len(option.keys() - needed.keys())))
        return [needed]

    def either(values: list[list[Levels]]) -> list[Levels]:
        return [option for options in values for option in options]

    options: list[Levels] = fold(tree, one, together, either)
    return min(options, key=len)
