"""What publishing refuses a curriculum for, and what it warns of."""

from collections import deque
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from engine.progression.order import needs_graph, rings, teaching_order
from engine.progression.trees import (
    LEVEL,
    AllOf,
    Leaf,
    Levels,
    Skill,
    SkillRole,
    flat,
    holds,
    holds_at,
    leaves,
    levels_of,
    named,
    needs_of,
    raise_to,
)


@dataclass(frozen=True)
class Fault:
    """Why a curriculum cannot be published. `role` is None when it is the whole skill's."""

    code: str
    skill: str
    role: str | None
    sentence: str


@dataclass(frozen=True)
class Warning:
    """What to look at again before publishing. `role` is None when it is the whole skill's."""

    code: str
    skill: str
    role: str | None
    sentence: str


# -- faults --------------------------------------------------------------------------------------


def faults(skills: Mapping[str, Skill]) -> tuple[Fault, ...]:
    """Everything for which publishing refuses a curriculum, each once, in a fixed order.

    First the cards by key, then the circles of needs, then the roles that nobody can be the
    first to reach. What only follows from a fault named already is not named again; of circles
    that share a need one is named.
    """
    found: list[Fault] = []
    spoiled: set[SkillRole] = set()
    for key in sorted(skills):
        skill = skills[key]
        found.extend(_lifted_faults(skill))
        for fault in (*_filling_faults(skill), *_leaf_faults(skills, skill)):
            found.append(fault)
            spoiled.update((key, role) for role in ([fault.role] if fault.role else skill.roles))
    for ring in rings(needs_graph(skills)):
        sentence = f"needs itself in the end: {_told(skills, ring, 'needs')}"
        found.append(Fault("cycle", *ring[0], sentence))
        spoiled.update(ring)
    for ring in rings(_never_reached(skills, spoiled)):
        sentence = f"nobody can be the first to reach it: {_told(skills, ring, 'waits for')}"
        found.append(Fault("unreachable", *ring[0], sentence))
    return tuple(found)


def _lifted_faults(skill: Skill) -> Iterator[Fault]:
    if not skill.lifted:
        return
    for there, code, what in (
        (skill.spotted, "lifted_without_spot", "spot"),
        (skill.way_down, "lifted_without_way_down", "way down"),
        (skill.caution, "lifted_without_caution", "caution"),
    ):
        if not there:
            yield Fault(code, skill.key, None, f"“{skill.name}” is lifted, but has no {what}")
    if skill.habit:
        sentence = f"“{skill.name}” is lifted, so it cannot be a habit, which is only ticked"
        yield Fault("lifted_habit", skill.key, None, sentence)


def _filling_faults(skill: Skill) -> Iterator[Fault]:
    """Roles that no group of children can fill."""
    sound = True
    for name in sorted(skill.roles):
        role = skill.roles[name]
        if role.min > role.max:
            sound = False
            sentence = f"at least {role.min} but at most {role.max} of them"
            yield Fault("min_above_max", skill.key, name, sentence)
        elif role.max < 1:
            sound = False
            yield Fault("unreachable", skill.key, name, "nobody can reach it: at most 0 of them")
    if not sound:
        return
    base = skill.roles.get("base")
    if "flyer" in skill.roles and (base is None or base.min < 1):
        sentence = f"“{skill.name}” can have a flyer without a base"
        yield Fault("flyer_without_base", skill.key, None, sentence)
    elif skill.fewest < 1:
        sentence = f"“{skill.name}” needs nobody: each of its roles may stay empty"
        yield Fault("nobody_needed", skill.key, None, sentence)
    elif skill.fewest < 2 and not skill.alone:
        sentence = f"“{skill.name}” is done together, so it should take at least two"
        yield Fault("lone_role", skill.key, None, sentence)


def _leaf_faults(skills: Mapping[str, Skill], skill: Skill) -> Iterator[Fault]:
    for name in sorted(skill.roles):
        needs = skill.roles[name].needs
        if not holds(needs, lambda leaf: True):
            sentence = "nobody can reach it: it has a choice without anything to choose"
            yield Fault("unreachable", skill.key, name, sentence)
        for key, role in dict.fromkeys(leaf.node for leaf in leaves(needs)):
            if key not in skills:
                sentence = f"needs “{key}”, which is no skill of this curriculum"
                yield Fault("unknown_skill", skill.key, name, sentence)
            elif role not in skills[key].roles:
                sentence = f"needs the role {role} of “{key}”, which has no such role"
                yield Fault("unknown_role", skill.key, name, sentence)
            elif role == "spotter":
                sentence = f"nobody can reach it: the spotter of “{key}” is not a role one learns"
                yield Fault("unreachable", skill.key, name, sentence)


def _never_reached(
    skills: Mapping[str, Skill], mended: set[SkillRole]
) -> dict[SkillRole, list[SkillRole]]:
    """What nobody can ever reach, and what of it each waits for.

    A role is reached once its tree is true and somebody is ready for every other role that the
    skill must have. What is in `mended` has a fault of its own and counts as reached.
    """
    needs = needs_graph(skills)
    opens: dict[SkillRole, list[SkillRole]] = {node: [] for node in needs}
    for node, targets in needs.items():
        for target in targets:
            opens[target].append(node)
    must_have = {
        (key, role): [
            (key, other)
            for other in skills[key].learnt
            if other != role and skills[key].roles[other].min > 0
        ]
        for key, role in needs
    }
    ready, reached = set(mended), set(mended)
    todo = deque(needs)
    while todo:
        node = todo.popleft()
        if node in ready or not holds(needs_of(skills, node), lambda leaf: leaf.node in reached):
            continue
        ready.add(node)
        for role in skills[node[0]].learnt:
            fellow = node[0], role
            if fellow in ready and ready.issuperset(must_have[fellow]):
                reached.add(fellow)
                todo.extend(opens[fellow])
    return {
        node: [other for other in must_have[node] if other not in ready]
        if node in ready
        else [target for target in needs[node] if target not in reached]
        for node in needs
        if node not in reached
    }


def _told(skills: Mapping[str, Skill], ring: list[SkillRole], verb: str) -> str:
    keys = " → ".join(key for key, _ in ring)
    names = [named(skills, node) for node in ring]
    return f"{keys}: {names[0]} {verb} " + f", that {verb} ".join(names[1:])


# -- warnings ------------------------------------------------------------------------------------


def warnings(skills: Mapping[str, Skill]) -> tuple[Warning, ...]:
    """What to look at again before publishing, in a fixed order. Takes skills without faults.

    Needs that follow from the others, where these leave no choice; skills done alone that lead
    to nothing; lifted skills that can come before anything done together on the floor.
    """
    order = teaching_order(skills)
    return (*_redundant(skills, order), *_dead_ends(skills), *_first_lifts(skills, order))


def _redundant(skills: Mapping[str, Skill], order: tuple[SkillRole, ...]) -> Iterator[Warning]:
    must: dict[SkillRole, Levels] = {}  # all that comes before, whatever is chosen
    for node in order:
        tree = needs_of(skills, node)
        parts = [] if tree is None else flat(AllOf((tree,)))
        asked = levels_of(part for part in parts if isinstance(part, Leaf))
        before: Levels = {}
        for target in asked:
            raise_to(before, must[target])
        must[node] = dict(before)
        raise_to(must[node], asked)
        kept = set()
        for part in parts:
            if not isinstance(part, Leaf):
                if holds_at(part, must[node]):
                    yield _redundancy(skills, node, "the choice", "its other needs settle it")
                continue
            level, what = LEVEL[part.help], f"“{skills[part.skill].name}”"
            if before.get(part.node, -1) >= level:
                by = next(target for target in asked if must[target].get(part.node, -1) >= level)
                yield _redundancy(skills, node, what, f"{named(skills, by)} asks for it already")
            elif asked[part.node] > level or part.node in kept:
                yield _redundancy(skills, node, what, "it asks for it twice")
            else:
                kept.add(part.node)


def _redundancy(skills: Mapping[str, Skill], node: SkillRole, what: str, because: str) -> Warning:
    sentence = f"{named(skills, node)} need not ask for {what}: {because}"
    return Warning("redundant", *node, sentence)


def _dead_ends(skills: Mapping[str, Skill]) -> Iterator[Warning]:
    asked = {
        leaf.skill
        for skill in skills.values()
        for role in skill.roles.values()
        for leaf in leaves(role.needs)
    }
    for key in sorted(skills):
        skill = skills[key]
        if skill.alone and not skill.habit and key not in asked:
            yield Warning("dead_end", key, None, f"“{skill.name}” leads to no other skill")


def _first_lifts(skills: Mapping[str, Skill], order: tuple[SkillRole, ...]) -> Iterator[Warning]:
    had: Levels = {}  # what one does alone, and the safe habits
    for node in order:
        key, role = node
        if not holds_at(needs_of(skills, node), had):
            continue
        if skills[key].lifted:
            if role != "base":
                sentence = f"{named(skills, node)} can come before any partner work on the floor"
                yield Warning("lifted_first", key, role, sentence)
        elif skills[key].alone or skills[key].habit:
            had[node] = LEVEL["no_spot"]
