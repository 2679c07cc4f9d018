"""All groups of a problem as one integer model.

Direct assignment. A group is named by its *anchor*, a student who is surely in it: its single
flyer, else its single base, else the holder of another single role, else the lowest id of a role
that every group has, else its lowest id. `seats[(student, role, anchor)]` says who holds what in
which group; each anchor has the rules of one group (see `model`).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from engine.grouping.feasible import form
from engine.grouping.model import Seat, Table, Verdict, add_group
from engine.grouping.problem import BASE, FLYER, Group, Problem, Role

if TYPE_CHECKING:
    from ortools.sat.python import cp_model


class Search:
    """The model with its seats, its open groups and its asks; locked groups are left out."""

    def __init__(self, problem: Problem) -> None:
        from ortools.sat.python import cp_model

        self.problem = problem
        self.model = cp_model.CpModel()
        self.open: dict[str, cp_model.IntVar] = {}  # by anchor
        self.seats: dict[tuple[str, str, str], cp_model.IntVar] = {}  # student, role, anchor
        self.asks: list[cp_model.LinearExprT] = []
        self._table = Table(problem)
        self._free = [seat for seat in self._table.seats if _is_free(problem, seat[0])]
        self._anchor_role = _anchor_role(problem.skill.roles)
        self._seat_everybody()
        self._add_groups()

    def groups(self, solver: cp_model.CpSolver) -> list[Group]:
        """The groups of a solution."""
        found: dict[str, dict[str, list[str]]] = {}
        for (student, role, anchor), literal in self.seats.items():
            if solver.value(literal):
                found.setdefault(anchor, {}).setdefault(role, []).append(student)
        return [form(self.problem, roles) for roles in found.values()]

    def hint(self, groups: Sequence[Group]) -> None:
        """Start the next search from these groups."""
        held = {
            (student, role, self._anchor(group))
            for group in groups
            for role, students in group.roles.items()
            for student in students
        }
        self.model.clear_hints()  # type: ignore[no-untyped-call]
        for seat, literal in self.seats.items():
            self.model.add_hint(literal, seat in held)

    def _anchor(self, group: Group) -> str:
        if self._anchor_role is None:
            return group.members[0]
        return group.roles[self._anchor_role.name][0]

    def of_student(self) -> dict[str, dict[str, list[cp_model.IntVar]]]:
        """For each student and anchor the literals of her seats there: one of them, or none."""
        found: dict[str, dict[str, list[cp_model.IntVar]]] = {}
        for (student, _, anchor), literal in self.seats.items():
            found.setdefault(student, {}).setdefault(anchor, []).append(literal)
        return found

    @property
    def least_students(self) -> int:
        """How many students the smallest group has."""
        return max(1, sum(role.min for role in self.problem.skill.roles if not role.open_to_adults))

    def may_meet(self, one: str, other: str) -> bool:
        """Whether two students can be in one group of which neither is the anchor."""
        roles = {student: set[str]() for student in (one, other)}
        for student, role in self._free:
            if student in roles:
                roles[student].add(role)
        for mine in roles[one]:
            for theirs in roles[other]:
                shared = self.problem.skill.role[mine]
                beside_anchor = shared.max - (shared is self._anchor_role)
                if beside_anchor >= 1 + (mine == theirs):
                    return True
        return False

    def _seat_everybody(self) -> None:
        if self._anchor_role is None:
            self._seat_by_lowest_id()
        else:
            self._seat_by_role(self._anchor_role)

    def _seat_by_role(self, anchor_role: Role) -> None:
        for anchor in [student for student, role in self._free if role == anchor_role.name]:
            self.open[anchor] = self.model.new_bool_var("")
            self.seats[anchor, anchor_role.name, anchor] = self.open[anchor]
            for student, role in self._free:
                as_anchor = role == anchor_role.name
                if student == anchor or (as_anchor and (anchor_role.max == 1 or student < anchor)):
                    continue
                if not self._never_meet((anchor, anchor_role.name), (student, role)):
                    self.seats[student, role, anchor] = self.model.new_bool_var("")

    def _seat_by_lowest_id(self) -> None:
        for anchor in dict.fromkeys(student for student, _ in self._free):
            self.open[anchor] = self.model.new_bool_var("")
            for student, role in self._free:
                if student >= anchor and student not in self.problem.apart_from[anchor]:
                    self.seats[student, role, anchor] = self.model.new_bool_var("")
            own = [self.seats[seat, role, anchor] for seat, role in self._free if seat == anchor]
            self.model.add(sum(own) == self.open[anchor])

    def _never_meet(self, one: Seat, other: Seat) -> bool:
        if other[0] in self.problem.apart_from[one[0]]:
            return True
        held = {one[1]: one[0], other[1]: other[0]}
        return held.keys() == {BASE, FLYER} and (
            self._table.verdict(held[BASE], held[FLYER]) is Verdict.NEVER
        )

    def _add_groups(self) -> None:
        problem, model = self.problem, self.model
        of_anchor: dict[str, dict[Seat, cp_model.IntVar]] = {anchor: {} for anchor in self.open}
        for (student, role, anchor), literal in self.seats.items():
            of_anchor[anchor][student, role] = literal
        for places in self.of_student().values():
            model.add_at_most_one(literal for literals in places.values() for literal in literals)
        groups = [
            add_group(model, self._table, seats, self.open[anchor])
            for anchor, seats in of_anchor.items()
        ]
        mats = max(0, problem.mats - len(problem.locked))
        model.add(sum(self.open.values()) <= min(mats, len(groups)))
        adults = problem.adults * problem.turns_under_one_spot
        adults = max(0, adults - sum(group.adults for group in problem.locked))
        most = len(groups) * sum(role.min for role in problem.skill.roles if role.open_to_adults)
        model.add(sum(group.adults for group in groups) <= min(adults, most))
        self.asks = [ask for group in groups for ask in group.asks]


def _is_free(problem: Problem, student: str) -> bool:
    """Whether a student can be in a group that is not locked."""
    return problem.locked_ids.isdisjoint({student} | problem.together_with[student])


def _anchor_role(roles: Sequence[Role]) -> Role | None:
    """The role whose (lowest) holder names the group: students hold it in every group."""
    certain = [
        role for role in roles if role.min > 0 and role.open_to_students and not role.open_to_adults
    ]
    preferred = {FLYER: 0, BASE: 1}
    return min(
        certain, key=lambda role: (role.max, preferred.get(role.name, 2), role.name), default=None
    )
