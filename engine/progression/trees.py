"""Skills as the prerequisite graph sees them, and the trees of what their roles need."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import TypeVar

HELP = ("hands_on", "hands_near", "no_spot")  # from much help to none
LEVEL = {help_: level for level, help_ in enumerate(HELP)}

SkillRole = tuple[str, str]
Levels = dict[SkillRole, int]  # how far each is had or asked for, as an index into HELP

T = TypeVar("T")


@dataclass(frozen=True)
class Leaf:
    """One need: this skill in this role, with no more help than `help` (one of `HELP`)."""

    skill: str
    role: str
    help: str

    @property
    def node(self) -> SkillRole:
        return self.skill, self.role


@dataclass(frozen=True)
class AllOf:
    parts: tuple[Tree, ...]


@dataclass(frozen=True)
class AnyOf:
    parts: tuple[Tree, ...]


Tree = Leaf | AllOf | AnyOf


@dataclass(frozen=True)
class Role:
    """How many play it (`min` to `max`), and what each of them needs; None needs nothing."""

    min: int
    max: int
    needs: Tree | None


@dataclass(frozen=True)
class Skill:
    """One card.

    lifted: no part of the flyer on the floor. habit: a safe habit, ticked and never spotted.
    spotted, way_down, caution: whether the card says where the spot stands, how one comes down,
    what to mind.
    """

    key: str
    name: str
    family: str
    lifted: bool
    habit: bool
    spotted: bool
    way_down: bool
    caution: bool
    roles: dict[str, Role]

    @property
    def learnt(self) -> list[str]:
        """The roles one learns, sorted. A spotter is an adult, or a child with a teacher's yes."""
        return sorted(role for role in self.roles if role != "spotter")

    @property
    def alone(self) -> bool:
        return self.learnt == ["solo"]

    @property
    def fewest(self) -> int:
        """How many children it takes at least, spotters aside."""
        return sum(self.roles[role].min for role in self.learnt)


def named(skills: Mapping[str, Skill], node: SkillRole) -> str:
    """A (skill, role) in a sentence; the role only where there is more than one."""
    skill = skills[node[0]]
    return f"“{skill.name}”" + (f" ({node[1]})" if len(skill.learnt) > 1 else "")


def needs_of(skills: Mapping[str, Skill], node: SkillRole) -> Tree | None:
    return skills[node[0]].roles[node[1]].needs


def leaves(tree: Tree | None) -> tuple[Leaf, ...]:
    """The leaves of a tree in reading order; none for None."""
    found = []
    stack = [] if tree is None else [tree]
    while stack:
        node = stack.pop()
        if isinstance(node, Leaf):
            found.append(node)
        else:
            stack.extend(reversed(node.parts))
    return tuple(found)


def flat(tree: AllOf | AnyOf) -> list[Tree]:
    """The parts in reading order, with those of an all_of in an all_of, or any_of in an any_of.

    What has but one part is that part.
    """
    found: list[Tree] = []
    stack: list[Tree] = [*reversed(tree.parts)]
    while stack:
        part = stack.pop()
        if isinstance(part, Leaf) or (type(part) is not type(tree) and len(part.parts) != 1):
            found.append(part)
        else:
            stack.extend(reversed(part.parts))
    return found


def fold(
    tree: Tree,
    leaf: Callable[[Leaf], T],
    all_of: Callable[[list[T]], T],
    any_of: Callable[[list[T]], T],
) -> T:
    """The value of a tree from the values of its flat parts."""
    values: list[T] = []
    stack: list[tuple[Tree, int | None]] = [(tree, None)]
    while stack:
        node, count = stack.pop()
        if isinstance(node, Leaf):
            values.append(leaf(node))
        elif count is None:
            parts = flat(node)
            stack.append((node, len(parts)))
            stack.extend((part, None) for part in reversed(parts))
        else:
            first = len(values) - count
            combine = all_of if isinstance(node, AllOf) else any_of
            values[first:] = [combine(values[first:])]
    return values[0]


def holds(tree: Tree | None, had: Callable[[Leaf], bool]) -> bool:
    """Whether a tree is true when those leaves are for which `had` is."""
    return tree is None or fold(tree, had, all, any)


def holds_at(tree: Tree | None, levels: Levels) -> bool:
    """Whether a tree is true for somebody at these levels; not had at all = absent."""
    return holds(tree, lambda leaf: levels.get(leaf.node, -1) >= LEVEL[leaf.help])


def levels_of(asked: Iterable[Leaf]) -> Levels:
    levels: Levels = {}
    for leaf in asked:
        raise_to(levels, {leaf.node: LEVEL[leaf.help]})
    return levels


def raise_to(levels: Levels, others: Levels) -> None:
    """Raise `levels` to the greater of both, in place."""
    for node, level in others.items():
        levels[node] = max(level, levels.get(node, level))
