"""The rules of one group as constraints of an integer model.

A group is described by literals: `open_` says that there is such a group, `seats[(id, role)]`
that a student holds a role in it. The same constraints serve the search (one group for each
anchor, see `solve`) and the reasons (one group that must be there, see `explain`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from functools import cached_property
from math import floor, gcd, lcm
from typing import TYPE_CHECKING

from engine.grouping.feasible import TOLERANCE, carries, exact, height_fits, may_hold
from engine.grouping.problem import BASE, FLYER, Pair, Problem

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

Seat = tuple[str, str]  # student id, role name

LARGEST_SUM = 2**58  # the solver's arithmetic is 64 bits wide
LIMB = 2**40


def new_solver() -> cp_model.CpSolver:
    """A solver that does the same on every machine: one worker, a fixed seed, no clock.

    Of the settings tried these prove groups soonest.
    """
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.linearization_level = 2
    solver.parameters.cp_model_probing_level = 0
    solver.parameters.symmetry_level = 0
    # OR-Tools 9.15 sums factors in 32 bits in one presolve rule (presolve_util.cc,
    # RemoveEnforcementThatMakesConstraintTrivial) and so loses solutions of rows beyond 2**31,
    # which fused levels reach. Without work for inclusions that rule is never applied.
    solver.parameters.presolve_inclusion_work_limit = 0
    return solver


class Verdict(Enum):
    """What rules 3 and 4 say of a base and a flyer before the rest of their group is known."""

    FREE = "nothing to weigh"
    NEVER = "not in one group"
    WEIGH = "the group's load decides"
    ASK = "allowed, and asked about"


class Table:
    """What the constraints ask of a problem again and again, worked out once."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.seats: tuple[Seat, ...] = tuple(
            (student.id, role.name)
            for student in problem.by_id.values()
            for role in sorted(problem.skill.roles, key=lambda role: role.name)
            if role.max > 0 and role.open_to_students and may_hold(role, student)
        )
        self._verdicts: dict[Pair, Verdict] = {}

    def verdict(self, base: str, flyer: str) -> Verdict:
        pair = (base, flyer)
        if pair not in self._verdicts:
            self._verdicts[pair] = self._judge(pair)
        return self._verdicts[pair]

    def _judge(self, pair: Pair) -> Verdict:
        skill = self.problem.skill
        base, flyer = (self.problem.by_id[one] for one in pair)
        if pair in self.problem.agreed:
            return Verdict.FREE
        if not height_fits(skill, base, flyer):
            return Verdict.NEVER
        if skill.max_load_ratio is None:
            return Verdict.FREE
        carried = carries(skill, [base], [flyer])
        if carried is None:
            return Verdict.ASK if skill.if_mass_unknown == "ask" else Verdict.NEVER
        if skill.role[BASE].max > 1 or skill.role[FLYER].max > 1:
            return Verdict.WEIGH
        return Verdict.FREE if carried else Verdict.NEVER

    def mass_known(self, student: str) -> bool:
        return self.problem.by_id[student].mass_kg is not None

    @cached_property
    def load(self) -> tuple[dict[Seat, int], int]:
        """What each base (negative) and flyer adds to the load, and the room that the tolerance
        leaves: whole numbers in one exact unit. The load fits if the sum is within the room."""
        ratio, share = self.problem.skill.max_load_ratio, self.problem.skill.carried_share
        parts: dict[Seat, Fraction] = {}
        for seat in self.seats:
            mass = self.problem.by_id[seat[0]].mass_kg
            if ratio is None or mass is None:
                continue
            if seat[1] == BASE:
                parts[seat] = -exact(ratio) * exact(mass[0])
            elif seat[1] == FLYER:
                parts[seat] = exact(share) * exact(mass[1])
        unit = lcm(*(part.denominator for part in parts.values()))
        whole = {seat: int(part * unit) for seat, part in parts.items()}
        common = gcd(*whole.values()) or 1
        return (
            {seat: value // common for seat, value in whole.items()},
            floor(unit * TOLERANCE / common),
        )


@dataclass(frozen=True)
class OneGroup:
    """What a group adds to the sums over all groups: its adults, and its asks one by one."""

    adults: cp_model.LinearExprT
    asks: list[cp_model.LinearExprT]


def add_group(
    model: cp_model.CpModel,
    table: Table,
    seats: Mapping[Seat, cp_model.IntVar],
    open_: cp_model.IntVar,
) -> OneGroup:
    """Hold `seats` to the rules of one group: 1 to 4, adults there are, kept apart and together.

    A seat whose literal is `open_` itself belongs to whoever is always in the group.
    """
    people: dict[str, list[cp_model.IntVar]] = {}
    for (student, _), literal in seats.items():
        people.setdefault(student, []).append(literal)
    for literals in people.values():
        if not any(literal is open_ for literal in literals):
            model.add(sum(literals) <= open_)
    adults = _add_roles(model, table, seats, open_)
    _add_wishes(model, table.problem, people, open_)
    return OneGroup(adults, _add_pairs(model, table, seats, open_))


def _add_roles(
    model: cp_model.CpModel,
    table: Table,
    seats: Mapping[Seat, cp_model.IntVar],
    open_: cp_model.IntVar,
) -> cp_model.LinearExprT:
    adults: cp_model.LinearExprT = 0
    for role in table.problem.skill.roles:
        holding = [literal for (_, name), literal in seats.items() if name == role.name]
        if holding:
            model.add(sum(holding) <= min(role.max, len(holding)) * open_)
        if role.min > len(holding) + (table.problem.adults if role.open_to_adults else 0):
            model.add(open_ == 0)
        elif role.open_to_adults:
            # The sum over all groups pushes this down to what is really needed.
            there = model.new_int_var(0, min(role.min, table.problem.adults), "")
            model.add(there + sum(holding) >= role.min * open_)
            adults = there
        elif role.min:
            model.add(sum(holding) >= role.min * open_)
    return adults


def _add_wishes(
    model: cp_model.CpModel,
    problem: Problem,
    people: Mapping[str, list[cp_model.IntVar]],
    open_: cp_model.IntVar,
) -> None:
    for student, literals in people.items():
        for other in sorted(problem.apart_from[student]):
            if student < other and other in people:
                model.add(sum(literals) + sum(people[other]) <= open_)
        for other in sorted(problem.together_with[student]):
            if other not in people:
                model.add(sum(literals) == 0)
            elif student < other:
                model.add(sum(literals) == sum(people[other]))


def _add_pairs(
    model: cp_model.CpModel,
    table: Table,
    seats: Mapping[Seat, cp_model.IntVar],
    open_: cp_model.IntVar,
) -> list[cp_model.LinearExprT]:
    """Rules 3 and 4; gives back the asks."""
    bases = {one: literal for (one, role), literal in seats.items() if role == BASE}
    flyers = {one: literal for (one, role), literal in seats.items() if role == FLYER}
    found: dict[Verdict, list[Pair]] = {verdict: [] for verdict in Verdict}
    for base in bases:
        for flyer in flyers:
            if base != flyer:
                found[table.verdict(base, flyer)].append((base, flyer))

    def both(pair: Pair) -> list[cp_model.IntVar]:
        """The literals that must hold for this pair to work together in an open group."""
        return [lit for lit in (bases[pair[0]], flyers[pair[1]]) if lit is not open_]

    def implies(literals: list[cp_model.IntVar], then: cp_model.IntVar | int) -> None:
        model.add(sum(literals) <= then + (len(literals) - 1) * open_)

    for pair in found[Verdict.NEVER]:
        implies(both(pair), 0)
    asks = [_conjunction(model, both(pair), open_) for pair in found[Verdict.ASK]]
    if not found[Verdict.WEIGH]:
        return asks

    unknown = [
        literal
        for holders in (bases, flyers)
        for one, literal in holders.items()
        if not table.mass_known(one)
    ]
    everybody_weighed = not found[Verdict.FREE] and not found[Verdict.ASK] and not unknown
    if everybody_weighed and table.problem.skill.role[BASE].min > 0:
        _add_load(model, table, seats, [])  # holds for a closed group too: nothing is carried
        return asks
    weighed = model.new_bool_var("")
    for pair in found[Verdict.WEIGH]:
        implies(both(pair), weighed)
    if table.problem.skill.if_mass_unknown == "ask" and unknown:
        some_unknown = model.new_bool_var("")
        model.add(some_unknown <= sum(unknown))
        for literal in unknown:
            model.add(some_unknown >= literal)
        _add_load(model, table, seats, [weighed, some_unknown.negated()])
        return asks + [
            _conjunction(model, [*both(pair), some_unknown], open_) for pair in found[Verdict.WEIGH]
        ]
    for literal in unknown:
        model.add(literal + weighed <= 1)
    _add_load(model, table, seats, [weighed])
    return asks


def _conjunction(
    model: cp_model.CpModel, literals: list[cp_model.IntVar], open_: cp_model.IntVar
) -> cp_model.LinearExprT:
    """An expression that is 1 if all literals hold, and can be 0 otherwise."""
    if len(literals) == 1:
        return literals[0]
    together = model.new_bool_var("")
    model.add(sum(literals) <= together + (len(literals) - 1) * open_)
    return together


def _add_load(
    model: cp_model.CpModel,
    table: Table,
    seats: Mapping[Seat, cp_model.IntVar],
    when: list[cp_model.LiteralT],
) -> None:
    loads, room = table.load
    terms = [(loads[seat], literal) for seat, literal in seats.items() if loads.get(seat)]
    add_at_most(model, terms, room, when)


def add_at_most(
    model: cp_model.CpModel,
    terms: list[tuple[int, cp_model.IntVar]],
    room: int,
    when: list[cp_model.LiteralT],
) -> None:
    """Hold sum(factor * variable) <= room, exactly for factors of any size, if all of `when`.

    Factors beyond the solver's 64 bits are split into a high and a low part. With a carry c, low
    <= c * LIMB and high + c <= 0 can both hold just when high * LIMB + low <= 0.
    Variables are 0 or 1.
    """
    booleans = reach = len(terms)  # reach: the largest sum of the variables
    while sum(abs(factor) for factor, _ in terms) * reach + abs(room) >= LARGEST_SUM:
        carry = model.new_int_var(0, reach, "")
        low = sum(factor % LIMB * variable for factor, variable in terms)
        model.add(low <= carry * LIMB + room % LIMB).only_enforce_if(when)
        terms = [(factor // LIMB, variable) for factor, variable in terms] + [(1, carry)]
        room //= LIMB
        reach += booleans
    model.add(sum(factor * variable for factor, variable in terms) <= room).only_enforce_if(when)
