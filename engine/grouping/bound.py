"""A quick upper bound on how many students can be placed.

Ranking many skills needs no groups, only a number that the optimum never exceeds. Counted are
readiness, barred roles, who has any fitting partner, mats, adults, and how many a group takes in
each role; not who must share a partner with whom.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from engine.grouping.feasible import carries, exact, height_fits, may_hold
from engine.grouping.problem import BASE, FLYER, Problem, Role, Student

MOST_ROLES = 10  # the bound walks all subsets of roles; beyond, it counts students only


def bound(problem: Problem) -> int:
    """An upper bound on `placed`, locked groups included."""
    free = [one for one in problem.by_id.values() if one.id not in problem.locked_ids]
    roles = [role for role in problem.skill.roles if role.max > 0]
    holders = {
        role.name: [one for one in free if role.open_to_students and may_hold(role, one)]
        for role in roles
    }
    if BASE in holders and FLYER in holders:
        _leave_out_the_partnerless(problem, holders)
    able: dict[str, int] = {}
    for bit, role in enumerate(roles):
        for one in holders[role.name]:
            able[one.id] = able.get(one.id, 0) | 1 << bit
    masks = list(able.values())
    locked = len(problem.locked_ids)
    if len(roles) > MOST_ROLES:
        return locked + len(masks)

    adults = problem.adults * problem.turns_under_one_spot
    adults = max(0, adults - sum(group.adults for group in problem.locked))
    best = 0
    for groups in range(1, min(problem.mats - len(problem.locked), len(masks)) + 1):
        if not _enough_for(groups, roles, masks, min(adults, groups * problem.adults)):
            break
        best = max(best, _seated(groups, roles, masks))
    return locked + best


def _leave_out_the_partnerless(problem: Problem, holders: dict[str, list[Student]]) -> None:
    """Take those out of base and flyer whom nobody in the other role fits."""
    skill = problem.skill
    base_role, flyer_role = skill.role[BASE], skill.role[FLYER]
    known = [(one, one.mass_kg) for one in holders[BASE] if one.mass_kg is not None]
    known.sort(key=lambda entry: exact(entry[1][0]), reverse=True)
    beside = [one for one, _ in known[: base_role.max - 1]]
    several = base_role.max > 1 or flyer_role.max > 1
    someone_unknown = any(one.mass_kg is None for name in (BASE, FLYER) for one in holders[name])
    asking = skill.if_mass_unknown == "ask"

    def possible(base: Student, flyer: Student) -> bool:
        if base.id == flyer.id:
            return False
        if (base.id, flyer.id) in problem.agreed:
            return True
        if not height_fits(skill, base, flyer):
            return False
        if asking and several and someone_unknown:
            return True
        carried = carries(skill, [base, *beside], [flyer])
        return asking if carried is None else carried

    if flyer_role.min > 0:
        holders[BASE] = _with_partner(holders[BASE], holders[FLYER], possible)
    if base_role.min > 0:
        holders[FLYER] = _with_partner(
            holders[FLYER], holders[BASE], lambda flyer, base: possible(base, flyer)
        )


def _with_partner(
    ones: list[Student], others: list[Student], possible: Callable[[Student, Student], bool]
) -> list[Student]:
    return [one for one in ones if any(possible(one, other) for other in others)]


def _enough_for(groups: int, roles: Sequence[Role], masks: list[int], adults: int) -> bool:
    """Hall's condition: whatever roles one looks at, there are people for their least seats."""
    for chosen in range(1, 1 << len(roles)):
        picked = [role for bit, role in enumerate(roles) if chosen >> bit & 1]
        people = sum(1 for mask in masks if mask & chosen)
        if any(role.open_to_adults for role in picked):
            people += adults
        if groups * sum(role.min for role in picked) > people:
            return False
    return True


def _seated(groups: int, roles: Sequence[Role], masks: list[int]) -> int:
    """The most students whom so many groups can seat: the least cut between students and roles."""
    return min(
        groups * sum(role.max for bit, role in enumerate(roles) if chosen >> bit & 1)
        + sum(1 for mask in masks if mask & ~chosen)
        for chosen in range(1 << len(roles))
    )
