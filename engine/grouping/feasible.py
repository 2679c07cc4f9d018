"""The rules of one group as plain predicates, and what a set of groups is worth.

A group is asked about by its `roles`: role name -> ids of the students who hold it. Kilograms
and centimetres compare exactly in the decimals in which they were written down, with a tolerance
of 1e-9; nothing is rounded.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from functools import cache, lru_cache
from itertools import combinations

from engine.grouping.problem import (
    BASE,
    FLYER,
    Group,
    Objective,
    Pair,
    Problem,
    Role,
    Skill,
    Student,
)

TOLERANCE = Fraction(1, 10**9)

Roles = Mapping[str, Sequence[str]]


@lru_cache(maxsize=4096)
def exact(value: float) -> Fraction:
    """The number as its shortest decimal says it: 0.95 is 19/20, not the double beside it."""
    return Fraction(repr(float(value)))


# -- rule 1: seats ---------------------------------------------------------------------------


def seats_filled(skill: Skill, roles: Roles) -> bool:
    """Rule 1 without the number of adults: one student or more, nobody twice, min to max people
    in each role, students only where they may be, adults where no student is and they may be."""
    members = [one for held in roles.values() for one in held]
    if not members or len(set(members)) != len(members) or not skill.role.keys() >= roles.keys():
        return False
    return all(_seats_of(role, len(roles.get(role.name, ()))) for role in skill.roles)


def _seats_of(role: Role, students: int) -> bool:
    if students and not role.open_to_students:
        return False
    return role.min <= students + role.adults_beside(students) and students <= role.max


def adults_needed(skill: Skill, roles: Roles) -> int:
    """The fewest adults that a group needs."""
    return sum(role.adults_beside(len(roles.get(role.name, ()))) for role in skill.roles)


# -- rule 2: who may hold a role -------------------------------------------------------------


def ready_for(role: Role, student: Student) -> bool:
    return student.readiness.get(role.name, 0.0) >= role.min_readiness


def may_hold(role: Role, student: Student) -> bool:
    """Rule 2."""
    return role.name not in student.barred and ready_for(role, student)


# -- rules 3 and 4: load and height ----------------------------------------------------------


def to_agree(problem: Problem, roles: Roles) -> tuple[Pair, ...]:
    """The (base, flyer) pairs of a group that no teacher has said yes to, in order."""
    return tuple(
        (base, flyer)
        for base in sorted(roles.get(BASE, ()))
        for flyer in sorted(roles.get(FLYER, ()))
        if (base, flyer) not in problem.agreed
    )


def carries(skill: Skill, bases: Iterable[Student], flyers: Iterable[Student]) -> bool | None:
    """Whether these bases may carry these flyers under the skill's load ratio; None when a mass
    is not known. Cautious: the flyers' upper ends against the bases' lower ends."""
    if skill.max_load_ratio is None:
        return True
    carrying, carried = Fraction(0), Fraction(0)
    for base in bases:
        if base.mass_kg is None:
            return None
        carrying += exact(base.mass_kg[0])
    for flyer in flyers:
        if flyer.mass_kg is None:
            return None
        carried += exact(flyer.mass_kg[1])
    limit = exact(skill.max_load_ratio) * carrying + TOLERANCE
    return exact(skill.carried_share) * carried <= limit


def load_fits(problem: Problem, roles: Roles) -> bool:
    """Rule 3; a group with an ask fits."""
    if not to_agree(problem, roles):
        return True
    carried = _carries(problem, roles)
    return problem.skill.if_mass_unknown == "ask" if carried is None else carried


def asks(problem: Problem, roles: Roles) -> tuple[Pair, ...]:
    """The (base, flyer) pairs that a teacher is asked about since a mass is not known."""
    if problem.skill.if_mass_unknown != "ask" or _carries(problem, roles) is not None:
        return ()
    return to_agree(problem, roles)


def _carries(problem: Problem, roles: Roles) -> bool | None:
    people = problem.by_id
    return carries(
        problem.skill,
        [people[one] for one in roles.get(BASE, ())],
        [people[one] for one in roles.get(FLYER, ())],
    )


def height_fits(skill: Skill, base: Student, flyer: Student) -> bool:
    """Rule 4 for one base and one flyer without a yes."""
    apart, taller = skill.max_height_difference_cm, skill.flyer_taller_by_at_most_cm
    if apart is None and taller is None:
        return True
    if base.height_cm is None or flyer.height_cm is None:
        return False
    above = exact(flyer.height_cm) - exact(base.height_cm) - TOLERANCE
    below = exact(base.height_cm) - exact(flyer.height_cm) - TOLERANCE
    if apart is not None and max(above, below) > exact(apart):
        return False
    return taller is None or above <= exact(taller)


def heights_fit(problem: Problem, roles: Roles) -> bool:
    """Rule 4."""
    people = problem.by_id
    return all(
        height_fits(problem.skill, people[base], people[flyer])
        for base, flyer in to_agree(problem, roles)
    )


# -- rule 5: wishes --------------------------------------------------------------------------


def kept_apart(problem: Problem, roles: Roles) -> bool:
    """Whether no two who are to be kept apart are in the group."""
    members = [one for held in roles.values() for one in held]
    return all(problem.apart_from[one].isdisjoint(members) for one in members)


def kept_together(problem: Problem, roles: Roles) -> bool:
    """Whether everybody's wished-for companions are in the group too."""
    members = {one for held in roles.values() for one in held}
    return all(problem.together_with[one] <= members for one in members)


def fits(problem: Problem, roles: Roles) -> bool:
    """Whether a group obeys rules 1 to 4 with the adults there are, and the wishes of rule 5.
    Mats and the sum of adults concern all groups together."""
    people, skill = problem.by_id, problem.skill
    return (
        seats_filled(skill, roles)
        and adults_needed(skill, roles) <= problem.adults
        and all(may_hold(skill.role[name], people[one]) for name in roles for one in roles[name])
        and load_fits(problem, roles)
        and heights_fit(problem, roles)
        and kept_apart(problem, roles)
        and kept_together(problem, roles)
    )


# -- groups and their worth ------------------------------------------------------------------


def form(problem: Problem, roles: Roles) -> Group:
    """The group in canonical order, with the fewest adults and its asks."""
    held = {role.name: tuple(sorted(roles.get(role.name, ()))) for role in problem.skill.roles}
    return Group(held, adults_needed(problem.skill, held), asks(problem, held))


def most_turns(problem: Problem) -> dict[str, int]:
    """T_r of base and flyer: the most turns among those who may hold the role."""
    return {
        name: max(
            (
                one.turns.get(name, 0)
                for one in problem.students
                if may_hold(problem.skill.role[name], one)
            ),
            default=0,
        )
        for name in (BASE, FLYER)
        if name in problem.skill.role
    }


def thousandths(student: Student, role: str) -> int:
    """Readiness in the role as the level `readiness` counts it."""
    return round(1000 * float(student.readiness.get(role, 0.0)))


def worth(problem: Problem, groups: Sequence[Group]) -> Objective:
    """All levels of the objective for these groups."""
    most = most_turns(problem)
    seats = [
        (problem.by_id[one], role)
        for group in groups
        for role, held in group.roles.items()
        for one in held
    ]
    return Objective(
        placed=len(seats),
        kept=kept(problem, groups) if problem.standing else None,
        fairness=sum(most[role] - one.turns.get(role, 0) for one, role in seats if role in most),
        asks=sum(len(group.ask) for group in groups),
        readiness=sum(thousandths(one, role) for one, role in seats),
        repeats=sum(
            problem.past.get(pair, 0) for group in groups for pair in combinations(group.members, 2)
        ),
    )


def kept(problem: Problem, groups: Sequence[Group]) -> int:
    """How many keep group and role, where each standing group lives on in at most one group
    and each group carries on at most one standing group (the pairing that keeps most)."""
    overlaps = [
        {
            index: count
            for index, group in enumerate(groups)
            if (count := shared_seats(standing, group))
        }
        for standing in problem.standing
    ]
    # Only groups that a later standing group could still want need to be remembered.
    wanted_later = [frozenset[int]().union(*overlaps[i + 1 :]) for i in range(len(overlaps))]

    @cache
    def most(position: int, taken: frozenset[int]) -> int:
        if position == len(overlaps):
            return 0
        later = wanted_later[position]
        return max(
            most(position + 1, taken & later),
            *(
                count + most(position + 1, (taken | {index}) & later)
                for index, count in overlaps[position].items()
                if index not in taken
            ),
            0,
        )

    return most(0, frozenset())


def shared_seats(one: Group, other: Group) -> int:
    """How many hold the same role in both groups."""
    return sum(len(set(held) & set(other.roles.get(role, ()))) for role, held in one.roles.items())
