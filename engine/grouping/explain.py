"""Why a student is still to place, and what would help.

Asked is whether there could be one group with this student in it, everybody else free: with all
rules, and if not, with ever more of them, so that the first rule too many is the reason. The
sentences are read aloud in front of children: they name what would help, never a weight, a size,
a quarrel or a rank.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property

from engine.grouping.feasible import (
    carries,
    fits,
    height_fits,
    may_hold,
    ready_for,
)
from engine.grouping.model import Table, add_group, new_solver
from engine.grouping.problem import (
    BASE,
    FLYER,
    Group,
    Pair,
    Problem,
    Skill,
    StillToPlace,
    Student,
)

NOT_READY = "A few more tries come first; another hold would help tonight."
NOT_READY_BUT = "A few more tries come first; a teacher's yes would open this hold already."
BARRED = "The roles that would suit are not for now; another hold would help."
ANOTHER_HOLD = "Another hold would suit tonight."
YES_FOR_A_PAIR = "A teacher's yes for a pair would help; so would another hold."
TWO_BASES = "Two bases would help; so would another hold."
ONE_MORE_BASE = "One more base would help; so would another hold."
ONE_MORE_ADULT = "One more adult free to spot would help; so would another hold."
MORE_ADULTS = "{} more adults free to spot would help; so would another hold."
FREE_MAT = "A free mat would help."
TURN_WITH_GROUP = "A turn with group {} would work, while somebody there rests."
LATER_TURN = "There is no group left over this time; a later turn or another hold would help."


def explain(problem: Problem, groups: Sequence[Group]) -> tuple[StillToPlace, ...]:
    """Reason and sentence for everybody who is in none of `groups` (all groups of the answer, in
    its order), ids ascending. Locked groups count as free: what they rule out is a matter of
    who works with whom, `would_break_another`."""
    placed = {one for group in groups for one in group.members}
    left = [one for one in problem.by_id.values() if one.id not in placed]
    ladder = _Ladder(problem)
    return tuple(
        StillToPlace(one.id, reason := ladder.reason(one), ladder.detail(one, reason, groups))
        for one in left
    )


class _Ladder:
    """The same problem with ever more rules, each rung worked out once for all students."""

    def __init__(self, problem: Problem) -> None:
        self._problem = problem

    @cached_property
    def _all_rules(self) -> Table:
        return Table(self._problem)

    @cached_property
    def _without_together(self) -> Table:
        return Table(replace(self._problem, together=()))

    @cached_property
    def _without_wishes(self) -> Table:
        return Table(replace(self._problem, together=(), apart=()))

    @cached_property
    def _any_adults(self) -> Table:
        most = max((role.min for role in self._problem.skill.roles), default=0)
        return Table(replace(self._without_wishes.problem, adults=most))

    def reason(self, student: Student) -> str:
        roles = [role for role in self._problem.skill.roles if ready_for(role, student)]
        if not roles:
            return "not_ready"
        if all(role.name in student.barred for role in roles):
            return "barred"
        if not _has_group(self._all_rules, student):
            if not _has_group(self._any_adults, student):
                return "no_fitting_partner"
            if not _has_group(self._without_wishes, student):
                return "no_spotter"
            if not _has_group(self._without_together, student):
                return "kept_apart"
            return "kept_together"
        return "would_break_another" if self._problem.mats else "no_mat"

    def detail(self, student: Student, reason: str, groups: Sequence[Group]) -> str:
        match reason:
            case "not_ready":
                return NOT_READY_BUT if self._yes_would_count(student) else NOT_READY
            case "barred":
                return BARRED
            case "no_fitting_partner":
                return self._what_would_fit(student)
            case "no_spotter":
                return self._adults_missing(student)
            case "no_mat":
                return FREE_MAT
            case "would_break_another":
                number = _turn_with(self._problem, student, groups)
                return LATER_TURN if number is None else TURN_WITH_GROUP.format(number)
            case _:
                return ANOTHER_HOLD

    def _yes_would_count(self, student: Student) -> bool:
        return any(
            role.max > 0 and role.open_to_students and role.name not in student.barred
            for role in self._problem.skill.roles
        )

    def _what_would_fit(self, student: Student) -> str:
        free = self._any_adults.problem
        agreed = replace(free, pairs_ok=(*free.pairs_ok, *_open_pairs(free, student)))
        if _has_group(Table(agreed), student):
            return YES_FOR_A_PAIR
        base = free.skill.role.get(BASE)
        if base is not None and _has_group(
            Table(replace(free, skill=_with_one_more_base(free.skill))), student
        ):
            return TWO_BASES if base.max == 1 else ONE_MORE_BASE
        return ANOTHER_HOLD

    def _adults_missing(self, student: Student) -> str:
        more = (_fewest_adults(self._any_adults, student) or 0) - self._problem.adults
        return ONE_MORE_ADULT if more == 1 else MORE_ADULTS.format(more)


def _has_group(table: Table, student: Student) -> bool:
    """Whether there can be a group with this student in it, everybody else free."""
    return _fewest_adults(table, student) is not None


def _fewest_adults(table: Table, student: Student) -> int | None:
    """The fewest adults of any group with this student in it; None if there is no such group."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    seats = {seat: model.new_bool_var("") for seat in table.seats}
    own = [literal for (one, _), literal in seats.items() if one == student.id]
    model.add(sum(own) == 1)
    group = add_group(model, table, seats, model.new_constant(1))
    model.minimize(group.adults)
    solver = new_solver()
    if solver.solve(model) != cp_model.OPTIMAL:
        return None
    return round(solver.objective_value)


def _open_pairs(problem: Problem, student: Student) -> list[Pair]:
    """The (base, flyer) pairs of a student that only a missing mass or height stands against: a
    yes is for a teacher to give where the tool does not know, not where it knows better."""
    skill = problem.skill
    if BASE not in skill.role or FLYER not in skill.role:
        return []
    found = []
    for other in problem.by_id.values():
        for base, flyer in ((student, other), (other, student)):
            if (
                base is not flyer
                and may_hold(skill.role[BASE], base)
                and may_hold(skill.role[FLYER], flyer)
                and (_heights_unknown(base, flyer) or height_fits(skill, base, flyer))
                and carries(skill, [base], [flyer]) is not False
            ):
                found.append((base.id, flyer.id))
    return found


def _heights_unknown(base: Student, flyer: Student) -> bool:
    return base.height_cm is None or flyer.height_cm is None


def _with_one_more_base(skill: Skill) -> Skill:
    return replace(
        skill,
        roles=tuple(
            replace(role, max=role.max + 1) if role.name == BASE else role for role in skill.roles
        ),
    )


def _turn_with(problem: Problem, student: Student, groups: Sequence[Group]) -> int | None:
    """The number (from 1) of the first group in which the student could take somebody's place."""
    for number, group in enumerate(groups, start=1):
        for role, held in group.roles.items():
            for resting in held:
                others = tuple(one for one in held if one != resting)
                if fits(problem, {**group.roles, role: (*others, student.id)}):
                    return number
    return None
