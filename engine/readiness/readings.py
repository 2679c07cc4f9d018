"""How likely a child is at or above each help needed, for every skill and role of an edition."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from engine.progression import AllOf, Leaf, Skill, Tree
from engine.readiness import prerequisites
from engine.readiness.evidence import Evidence
from engine.readiness.parameters import HELP, Parameters

SkillRole = tuple[str, str]

LEVEL = {help_needed: level for level, help_needed in enumerate(HELP)}
_LEVELS = len(HELP)


class Needs:
    """What an edition's skills ask for, laid out once so as to be read for many children.

    `leaves` are all leaves of all trees; `trees` are those of progression with the number of
    each leaf in `leaves`; None asks for nothing. `slots` says where the probability of a skill
    and role stands in a child's list, one place for each of HELP.
    """

    def __init__(self, skills: Mapping[str, Skill]) -> None:
        keys = [(name, role) for name, skill in skills.items() for role in skill.roles]
        self.slots = {key: _LEVELS * number for number, key in enumerate(keys)}
        self.habits = {key for key in keys if skills[key[0]].habit}
        self.leaf_at: dict[int, Leaf] = {}
        self.trees: dict[SkillRole, prerequisites.Tree[int] | None] = {}
        self.flows: dict[SkillRole, tuple[tuple[SkillRole, int], ...]] = {}
        for name, role in keys:
            needs = skills[name].roles[role].needs
            self.trees[name, role] = None if needs is None else self._laid_out(needs)
            self.flows[name, role] = tuple(
                ((leaf.skill, leaf.role), LEVEL[leaf.help])
                for leaf in _leaves_that_must_hold(needs)
                if not skills[leaf.skill].habit
            )

    def _laid_out(self, tree: Tree) -> prerequisites.Tree[int]:
        if isinstance(tree, Leaf):
            place = self.slots[tree.skill, tree.role] + LEVEL[tree.help]
            self.leaf_at[place] = tree
            return place
        parts = tuple(self._laid_out(part) for part in tree.parts)
        return prerequisites.AllOf(parts) if isinstance(tree, AllOf) else prerequisites.AnyOf(parts)


def _leaves_that_must_hold(tree: Tree | None) -> Iterator[Leaf]:
    if isinstance(tree, Leaf):
        yield tree
    elif isinstance(tree, AllOf):
        for part in tree.parts:
            yield from _leaves_that_must_hold(part)


class Readings:
    """One child, everything that is taught: probability of needing no more than some help.

    The greatest of two: her own chain (the prior if untried), and what flows down to it. What
    she does with no spot, she has the way to: P(no_spot) of a skill with counted tries flows to
    the leaves of its tree that all must hold, to theirs, and so on, never through an `AnyOf`,
    and raises each leaf only up to the help which that leaf asks for.

    A habit is ticked: it has no chain, p is 1 once a clean try is counted and 0 before, and
    nothing flows from or to it. Evidence of what is no longer taught is left out.
    """

    def __init__(
        self, needs: Needs, evidence: Mapping[SkillRole, Evidence], parameters: Parameters
    ) -> None:
        self.needs = needs
        self._evidence = {
            key: own for key, own in evidence.items() if own.tried and key in needs.slots
        }
        self._untried = list(_at_or_above(parameters.prior)) * len(needs.slots)
        for key in needs.habits:
            own = self.own(*key)
            ticked = float(own is not None and own.ticked)
            self._untried[self._places(key)] = (1.0, ticked, ticked, ticked)
        self._now = self._untried.copy()
        chains = [item for item in self._evidence.items() if item[0] not in needs.habits]
        for key, own in chains:
            self._now[self._places(key)] = _at_or_above(own.state)
        reached: set[SkillRole] = set()
        for key, own in sorted(chains, key=_no_spot, reverse=True):
            self._flow_down(key, _no_spot((key, own)), reached)

    def own(self, skill: str, role: str) -> Evidence | None:
        """Her own evidence, if there is a counted try."""
        return self._evidence.get((skill, role))

    def by_own_tries(self, skill: str, role: str) -> float | None:
        """P(hands_on or better) by her own tries alone; None if there is no counted try."""
        own = self.own(skill, role)
        if own is None:
            return None
        if (skill, role) in self.needs.habits:
            return float(own.ticked)
        return _at_or_above(own.state)[LEVEL["hands_on"]]

    def at_or_above(self, skill: str, role: str, help_needed: str) -> float:
        """Probability of needing no more help than this. `KeyError` for what is not taught."""
        return self._now[self.needs.slots[skill, role] + LEVEL[help_needed]]

    def deciding(self, skill: str, role: str) -> tuple[float, Leaf] | None:
        """The leaf on which the tree hangs, after its p; None without a tree."""
        tree = self.needs.trees[skill, role]
        if tree is None:
            return None
        p, place = prerequisites.deciding(tree, self._now.__getitem__)
        return p, self.needs.leaf_at[place]

    def worth(self, skill: str, role: str) -> tuple[float, float] | None:
        """The deciding p of the tree: now, and if no try had been seen; None without a tree.

        A habit has no prior: it stands as it is.
        """
        tree = self.needs.trees[skill, role]
        if tree is None:
            return None
        now, untried = (
            prerequisites.deciding(tree, chances.__getitem__)[0]
            for chances in (self._now, self._untried)
        )
        return now, untried

    def _places(self, key: SkillRole) -> slice:
        begin = self.needs.slots[key]
        return slice(begin, begin + _LEVELS)

    def _flow_down(self, source: SkillRole, chance: float, reached: set[SkillRole]) -> None:
        """The strongest source comes first, so what it has reached no other can raise."""
        pending = [source]
        while pending:
            key = pending.pop()
            if key in reached:
                continue
            reached.add(key)
            for below, level in self.needs.flows[key]:
                begin = self.needs.slots[below]
                for place in range(begin + 1, begin + level + 1):
                    self._now[place] = max(self._now[place], chance)
                pending.append(below)


def _no_spot(chain: tuple[SkillRole, Evidence]) -> float:
    return chain[1].state[-1]


def _at_or_above(state: tuple[float, ...]) -> tuple[float, ...]:
    """At or above the lowest state is certain."""
    _, hands_on, hands_near, no_spot = state
    return 1.0, hands_on + hands_near + no_spot, hands_near + no_spot, no_spot
