"""The obvious, slow way to the same answer: every group there can be, and every way to choose
among them. Written from the rules alone; it shares nothing with the engine but the plain data.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from hashlib import blake2b
from itertools import combinations

from engine.grouping.problem import Group, Problem, Role, Student

TOLERANCE = Decimal("1e-9")


@dataclass(frozen=True)
class Option:
    """A group under rules 1 (any number of adults) and 2, and what else there is to say of it."""

    roles: dict[str, tuple[str, ...]]
    adults: int
    asks: tuple[tuple[str, str], ...]
    load_and_height: bool
    apart: bool
    together: bool

    @property
    def members(self) -> frozenset[str]:
        return frozenset(one for held in self.roles.values() for one in held)


@dataclass(frozen=True)
class Best:
    """`values` are the levels in their order, each so that more is better, then the tie."""

    values: tuple[int, ...]
    groups: tuple[dict[str, tuple[str, ...]], ...]


# -- every group -----------------------------------------------------------------------------


def people(problem: Problem) -> dict[str, Student]:
    return {one.id: one for one in problem.students}


def options(problem: Problem) -> list[Option]:
    students = people(problem)
    found = []
    for roles in _seatings(list(problem.skill.roles), students):
        if any(roles.values()):
            found.append(_option(problem, students, roles))
    return found


def _seatings(roles: list[Role], free: dict[str, Student]):
    if not roles:
        yield {}
        return
    role, rest = roles[0], roles[1:]
    by_adults = role.name == "spotter" and role.adults_may_fill
    by_students = role.name != "spotter" or role.students_may_fill
    able = [
        one.id
        for one in free.values()
        if by_students
        and role.name not in one.barred
        and one.readiness.get(role.name, 0) >= role.min_readiness
    ]
    for count in range(0 if by_adults else role.min, min(role.max, len(able)) + 1):
        for held in combinations(sorted(able), count):
            left = {name: one for name, one in free.items() if name not in held}
            for seating in _seatings(rest, left):
                yield {role.name: held, **seating}


def _option(problem: Problem, students: dict[str, Student], roles: dict[str, tuple[str, ...]]):
    adults = 0
    for role in problem.skill.roles:
        if role.name == "spotter" and role.adults_may_fill:
            adults = max(0, role.min - len(roles["spotter"]))
    members = [one for held in roles.values() for one in held]
    load, asks = load_of(problem, students, roles)
    return Option(
        roles,
        adults,
        asks,
        load and heights_of(problem, students, roles),
        not any(a in members and b in members for a, b in problem.apart),
        all((a in members) == (b in members) for a, b in problem.together),
    )


def open_pairs(problem: Problem, roles: dict[str, tuple[str, ...]]):
    return tuple(
        (base, flyer)
        for base in sorted(roles.get("base", ()))
        for flyer in sorted(roles.get("flyer", ()))
        if (base, flyer) not in problem.pairs_ok
    )


def load_of(problem: Problem, students: dict[str, Student], roles: dict[str, tuple[str, ...]]):
    """Rule 3: whether the load is allowed, and the asks."""
    skill, pairs = problem.skill, open_pairs(problem, roles)
    if skill.max_load_ratio is None or not pairs:
        return True, ()
    bases = [students[one].mass_kg for one in roles["base"]]
    flyers = [students[one].mass_kg for one in roles["flyer"]]
    if None in bases or None in flyers:
        return skill.if_mass_unknown == "ask", pairs if skill.if_mass_unknown == "ask" else ()
    carried = dec(skill.carried_share) * sum(dec(mass[1]) for mass in flyers)
    carrying = dec(skill.max_load_ratio) * sum(dec(mass[0]) for mass in bases)
    return carried <= carrying + TOLERANCE, ()


def heights_of(problem: Problem, students: dict[str, Student], roles: dict[str, tuple[str, ...]]):
    """Rule 4."""
    skill = problem.skill
    if skill.max_height_difference_cm is None and skill.flyer_taller_by_at_most_cm is None:
        return True
    for base, flyer in open_pairs(problem, roles):
        low, high = students[base].height_cm, students[flyer].height_cm
        if low is None or high is None:
            return False
        taller = dec(high) - dec(low)
        limit = skill.max_height_difference_cm
        if limit is not None and abs(taller) > dec(limit) + TOLERANCE:
            return False
        limit = skill.flyer_taller_by_at_most_cm
        if limit is not None and taller > dec(limit) + TOLERANCE:
            return False
    return True


def dec(value: float) -> Decimal:
    return Decimal(str(value))


# -- every choice of groups ------------------------------------------------------------------


def best(problem: Problem) -> Best:
    """The best choice of groups by all levels and the stated tie."""
    ids = sorted(one.id for one in problem.students)
    locked = {one for group in problem.locked for one in group.members}
    usable = [
        option
        for option in options(problem)
        if option.load_and_height
        and option.apart
        and option.together
        and option.adults <= problem.adults
        and not option.members & locked
    ]
    by_lowest: dict[str, list[Option]] = {one: [] for one in ids}
    for option in usable:
        by_lowest[min(option.members)].append(option)
    levels = {id(option): _levels(problem, option.roles, option.asks) for option in usable}
    ties = {id(option): _tie(problem, option.roles) for option in usable}

    @cache
    def from_(place: int, used: frozenset[str], mats: int, adults: int, lived_on: frozenset[int]):
        if place == len(ids):
            return (0,) * 7, ()
        found = from_(place + 1, used, mats, adults, lived_on)
        one = ids[place]
        if one in used or mats <= 0:
            return found
        for option in by_lowest[one]:
            if option.members & used or option.adults > adults:
                continue
            for index, count in _carried_on(problem, option.roles, lived_on):
                values, groups = from_(
                    place + 1,
                    used | option.members,
                    mats - 1,
                    adults - option.adults,
                    lived_on | ({index} - {None}),
                )
                placed, fairness, asks, readiness, repeats = levels[id(option)]
                own = (placed, count, fairness, asks, readiness, repeats, ties[id(option)])
                total = tuple(a + b for a, b in zip(own, values, strict=True))
                if total > found[0]:
                    found = total, (option.roles, *groups)
        return found

    start = [((0,) * 7, frozenset())]
    for group in problem.locked:
        students = people(problem)
        asks = load_of(problem, students, dict(group.roles))[1]
        placed, fairness, asked, readiness, repeats = _levels(problem, dict(group.roles), asks)
        start = [
            (
                tuple(
                    a + b
                    for a, b in zip(
                        values,
                        (placed, count, fairness, asked, readiness, repeats, 0),
                        strict=True,
                    )
                ),
                lived_on | ({index} - {None}),
            )
            for values, lived_on in start
            for index, count in _carried_on(problem, dict(group.roles), lived_on)
        ]
    mats = problem.mats - len(problem.locked)
    adults = problem.adults * problem.turns_under_one_spot
    adults -= sum(group.adults for group in problem.locked)
    found = Best((-1,), ())
    for before, lived_on in start:
        values, groups = from_(0, frozenset(locked), mats, max(0, adults), lived_on)
        total = tuple(a + b for a, b in zip(before, values, strict=True))
        if total > found.values:
            found = Best(total, groups)
    return found


def _levels(problem: Problem, roles: dict[str, tuple[str, ...]], asks) -> tuple[int, ...]:
    students = people(problem)
    placed = fairness = readiness = repeats = 0
    for role, held in roles.items():
        for one in held:
            placed += 1
            readiness += round(1000 * students[one].readiness.get(role, 0.0))
            if role in ("base", "flyer"):
                fairness += _most_turns(problem, role) - students[one].turns.get(role, 0)
    members = [one for held in roles.values() for one in held]
    for one, other, count in problem.past_pairs:
        if one in members and other in members:
            repeats += count
    return (
        placed,
        fairness,
        -len(asks),
        readiness,
        repeats if problem.skill.keep_partners else -repeats,
    )


def _most_turns(problem: Problem, name: str) -> int:
    role = next(role for role in problem.skill.roles if role.name == name)
    turns = [
        one.turns.get(name, 0)
        for one in problem.students
        if name not in one.barred and one.readiness.get(name, 0) >= role.min_readiness
    ]
    return max(turns) if turns else 0


def _carried_on(problem: Problem, roles: dict[str, tuple[str, ...]], lived_on: frozenset[int]):
    """The standing groups that a group may carry on, with how many keep their role in it."""
    yield None, 0
    for index, standing in enumerate(problem.standing):
        if index not in lived_on:
            pairs = {(role, one) for role, held in standing.roles.items() for one in held}
            same = pairs & {(role, one) for role, held in roles.items() for one in held}
            if same:
                yield index, len(same)


def _tie(problem: Problem, roles: dict[str, tuple[str, ...]]) -> int:
    anchor = _anchor(problem, roles)
    total = 0
    for role, held in roles.items():
        for one in held:
            digest = blake2b(f"{one}\0{role}\0{anchor}".encode(), digest_size=4).hexdigest()
            total -= int(digest, 16)
    return total


def _anchor(problem: Problem, roles: dict[str, tuple[str, ...]]) -> str:
    """The flyer if the skill has exactly one, else the one base, else the one holder of the first
    role by name with exactly one student; else the lowest id of the least such role, if any."""
    certain = [
        role
        for role in problem.skill.roles
        if role.min >= 1
        and (role.name != "spotter" or (role.students_may_fill and not role.adults_may_fill))
    ]
    if not certain:
        return min(one for held in roles.values() for one in held)
    least = min(role.max for role in certain)
    names = sorted(role.name for role in certain if role.max == least)
    for name in ("flyer", "base"):
        if name in names:
            return min(roles[name])
    return min(roles[names[0]])


# -- reasons ---------------------------------------------------------------------------------


def reason(problem: Problem, student: Student, every_option: list[Option]) -> str:
    """Why a student is still to place, everybody else free."""
    ready = [
        role.name
        for role in problem.skill.roles
        if student.readiness.get(role.name, 0) >= role.min_readiness
    ]
    if not ready:
        return "not_ready"
    if set(ready) <= student.barred:
        return "barred"
    mine = [option for option in every_option if student.id in option.members]
    mine = [option for option in mine if option.load_and_height]
    if not mine:
        return "no_fitting_partner"
    mine = [option for option in mine if option.adults <= problem.adults]
    if not mine:
        return "no_spotter"
    mine = [option for option in mine if option.apart]
    if not mine:
        return "kept_apart"
    mine = [option for option in mine if option.together]
    if not mine:
        return "kept_together"
    return "no_mat" if problem.mats == 0 else "would_break_another"


# -- an answer under the magnifying glass ----------------------------------------------------


def check(problem: Problem, groups: tuple[Group, ...], locked: tuple[Group, ...] = ()) -> None:
    """Every rule for every group of an answer, and for all of them together."""
    students = people(problem)
    locked_members = [set(group.members) for group in locked]
    everybody = [one for group in groups for one in group.members]
    assert len(everybody) == len(set(everybody))
    free = [group for group in groups if set(group.members) not in locked_members]
    assert len(groups) - len(free) == len(locked)
    for group in groups:
        assert list(group.roles) == [role.name for role in problem.skill.roles]
        assert all(list(held) == sorted(held) for held in group.roles.values())
        assert group.ask == load_of(problem, students, dict(group.roles))[1]
    for group in free:
        assert group.members
        for role in problem.skill.roles:
            held = group.roles[role.name]
            adults = group.adults if role.name == "spotter" and role.adults_may_fill else 0
            assert role.min <= len(held) + adults <= max(role.max, role.min)
            assert adults == 0 or len(held) + adults == role.min
            if role.name == "spotter" and not role.students_may_fill:
                assert not held
            for one in held:
                assert role.name not in students[one].barred
                assert students[one].readiness.get(role.name, 0) >= role.min_readiness
        if not any(role.name == "spotter" and role.adults_may_fill for role in problem.skill.roles):
            assert group.adults == 0
        assert group.adults <= problem.adults
        assert load_of(problem, students, dict(group.roles))[0]
        assert heights_of(problem, students, dict(group.roles))
        for one, other in problem.apart:
            assert not (one in group.members and other in group.members)
        for one, other in problem.together:
            assert (one in group.members) == (other in group.members)
    assert list(groups) == sorted(groups, key=lambda group: sorted(group.members))
    if free:
        assert len(groups) <= problem.mats
        adults = sum(group.adults for group in groups)
        assert adults <= problem.adults * problem.turns_under_one_spot or not any(
            group.adults for group in free
        )
