"""What a grouping is asked and what it answers.

Everything is plain frozen data. Ids compare as text by code point. Masses are intervals in
kilograms, heights are centimetres, readiness is a probability, turns are counts.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

BASE, FLYER, SPOTTER = "base", "flyer", "spotter"

Pair = tuple[str, str]


@dataclass(frozen=True)
class Role:
    """One part of a skill and how many may hold it.

    `students_may_fill` and `adults_may_fill` count for the spotter only: students fill all else.
    """

    name: str
    min: int
    max: int
    min_readiness: float
    students_may_fill: bool = True
    adults_may_fill: bool = False

    @property
    def open_to_students(self) -> bool:
        return self.name != SPOTTER or self.students_may_fill

    @property
    def open_to_adults(self) -> bool:
        return self.name == SPOTTER and self.adults_may_fill

    def adults_beside(self, students: int) -> int:
        """The fewest adults that this role needs when `students` students hold it."""
        return max(0, self.min - students) if self.open_to_adults else 0


@dataclass(frozen=True)
class Skill:
    """A skill's roles in the order in which they are listed, and its rules of load and height.

    `max_load_ratio` None: no load rule; a height of None: no such limit.
    """

    roles: tuple[Role, ...]
    name: str = ""
    carried_share: float = 1.0
    max_load_ratio: float | None = None
    if_mass_unknown: str = "bar"  # or "ask"
    max_height_difference_cm: float | None = None
    flyer_taller_by_at_most_cm: float | None = None
    keep_partners: bool = False

    @cached_property
    def role(self) -> dict[str, Role]:
        return {role.name: role for role in self.roles}


@dataclass(frozen=True)
class Student:
    """One student: a role left out of `readiness` or `turns` counts as 0."""

    id: str
    height_cm: float | None = None
    mass_kg: tuple[float, float] | None = None
    readiness: Mapping[str, float] = field(default_factory=dict)
    barred: frozenset[str] = frozenset()
    turns: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True)
class Group:
    """Who works together: student ids for each role, adults who spot, pairs to ask about."""

    roles: Mapping[str, tuple[str, ...]]
    adults: int = 0
    ask: tuple[Pair, ...] = ()

    @property
    def members(self) -> tuple[str, ...]:
        return tuple(sorted(one for held in self.roles.values() for one in held))


@dataclass(frozen=True)
class Problem:
    """A class, a skill and what there is to work with.

    `apart`, `together` and `past_pairs` are unordered, `pairs_ok` is (base, flyer). Pairs that
    name somebody who is not among the students are passed over. `locked` groups are kept as
    they are, whatever the rules say of them (a teacher has formed them); `standing` groups are
    what least change is measured against, and may name people who are not here.
    Raises ValueError when two students share an id or a locked group names a role or a student
    that is not there, or a student twice.
    """

    skill: Skill
    students: tuple[Student, ...]
    adults: int
    mats: int
    turns_under_one_spot: int = 1
    apart: tuple[Pair, ...] = ()
    together: tuple[Pair, ...] = ()
    pairs_ok: tuple[Pair, ...] = ()
    past_pairs: tuple[tuple[str, str, int], ...] = ()
    locked: tuple[Group, ...] = ()
    standing: tuple[Group, ...] = ()

    def __post_init__(self) -> None:
        if len(self.by_id) != len(self.students):
            raise ValueError("two students have the same id")
        seen: set[str] = set()
        for group in self.locked:
            for name in group.roles:
                if name not in self.skill.role:
                    raise ValueError(f"a locked group has the unknown role {name!r}")
            for member in group.members:
                if member not in self.by_id:
                    raise ValueError(f"a locked group has the unknown student {member!r}")
                if member in seen:
                    raise ValueError(f"the student {member!r} is locked twice")
                seen.add(member)

    @cached_property
    def by_id(self) -> dict[str, Student]:
        """The students by id, ids ascending."""
        return {one.id: one for one in sorted(self.students, key=lambda one: one.id)}

    @cached_property
    def locked_ids(self) -> frozenset[str]:
        return frozenset(member for group in self.locked for member in group.members)

    @cached_property
    def apart_from(self) -> dict[str, frozenset[str]]:
        return self._neighbours(self.apart)

    @cached_property
    def together_with(self) -> dict[str, frozenset[str]]:
        return self._neighbours(self.together)

    @cached_property
    def agreed(self) -> frozenset[Pair]:
        """The (base, flyer) pairs with a teacher's yes."""
        return frozenset(self.pairs_ok)

    @cached_property
    def past(self) -> dict[Pair, int]:
        """How often two students worked together: (lower id, higher id) -> count above 0."""
        counts: dict[Pair, int] = {}
        for one, other, count in self.past_pairs:
            if count and one in self.by_id and other in self.by_id:
                pair = (min(one, other), max(one, other))
                counts[pair] = counts.get(pair, 0) + count
        return dict(sorted(counts.items()))

    def _neighbours(self, pairs: Iterable[Pair]) -> dict[str, frozenset[str]]:
        found: dict[str, set[str]] = {one: set() for one in self.by_id}
        for one, other in pairs:
            if one in found and other in found:
                found[one].add(other)
                found[other].add(one)
        return {one: frozenset(others) for one, others in found.items()}


@dataclass(frozen=True)
class Gap:
    """The first level that a limit left unproven: what was found, what may at best be there."""

    level: str
    found: int
    bound: int


@dataclass(frozen=True)
class StillToPlace:
    """A student without a group: the reason as a code and a sentence that may be read aloud."""

    id: str
    reason: str
    detail: str


@dataclass(frozen=True)
class Objective:
    """The levels in their order; `kept` (level 1b) is None without standing groups."""

    placed: int
    kept: int | None
    fairness: int
    asks: int
    readiness: int
    repeats: int


@dataclass(frozen=True)
class Answer:
    """Groups in canonical order. `status` is "optimal", or "best_found" with a `gap`."""

    status: str
    gap: Gap | None
    groups: tuple[Group, ...]
    still_to_place: tuple[StillToPlace, ...]
    objective: Objective
