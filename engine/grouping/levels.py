"""The levels of the objective as sums over a search, most important first."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import prod
from typing import TYPE_CHECKING

from engine.grouping.bound import bound
from engine.grouping.feasible import most_turns, shared_seats, thousandths
from engine.grouping.problem import BASE, FLYER
from engine.grouping.search import Search

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

LARGEST_FUSED = 2**50  # the solver reports bounds as doubles, exact to 2**53

Term = tuple[int, "cp_model.LinearExprT"]


@dataclass(frozen=True)
class Level:
    """The sum of the terms, from 0 to `most`, over all groups that are not locked.

    Its credit is the value itself, or counts down from `most` where the smallest is best.
    """

    name: str
    terms: list[Term]
    most: int
    smallest_is_best: bool = False

    def credit(self, value: int) -> int:
        return self.most - value if self.smallest_is_best else value

    def value(self, credit: int) -> int:
        return self.most - credit if self.smallest_is_best else credit


@dataclass(frozen=True)
class Stage:
    """Consecutive levels proven at once: digits of one number, the most important one first."""

    levels: Sequence[Level]

    @property
    def radices(self) -> list[int]:
        return [level.most + 1 for level in self.levels]

    @property
    def best(self) -> int:
        return prod(self.radices) - 1

    def expression(self) -> cp_model.LinearExprT:
        """The fused credit; each level weighs more than all below it together."""
        from ortools.sat.python import cp_model

        factors: list[int] = []
        parts: list[cp_model.LinearExprT] = []
        constant = 0
        for position, level in enumerate(self.levels):
            weight = prod(self.radices[position + 1 :])
            sign = -1 if level.smallest_is_best else 1
            constant += weight * level.credit(0)
            for factor, part in level.terms:
                factors.append(sign * weight * factor)
                parts.append(part)
        return cp_model.LinearExpr.weighted_sum(parts, factors) + constant

    def fuse(self, credits: Sequence[int]) -> int:
        fused = 0
        for credit, radix in zip(credits, self.radices, strict=True):
            fused = fused * radix + credit
        return fused

    def digits(self, fused: int) -> list[int]:
        """The credits of the levels; a fused bound gives the bound of the first level in which
        it differs from what was found."""
        found: list[int] = []
        for radix in reversed(self.radices):
            fused, digit = divmod(fused, radix)
            found.append(digit)
        return found[::-1]


def stages_of(search: Search) -> list[Stage]:
    """`placed` alone, then `kept` alone, then the rest fused as far as the numbers stay small."""
    problem = search.problem
    stages = [Stage([_placed(search)])]
    if problem.standing:
        stages.append(Stage([_kept(search)]))
    fused: list[Level] = []
    for level in (_fairness(search), _asks(search), _readiness(search), _repeats(search)):
        if fused and Stage([*fused, level]).best > LARGEST_FUSED:
            stages.append(Stage(fused))
            fused = []
        fused.append(level)
    return [*stages, Stage(fused)]


def _placed(search: Search) -> Level:
    terms: list[Term] = [(1, literal) for literal in search.seats.values()]
    return Level("placed", terms, bound(search.problem) - len(search.problem.locked_ids))


def _kept(search: Search) -> Level:
    """Each standing group lives on in at most one group and each group carries on at most one;
    who holds her old role in the group that carries on hers has kept it."""
    problem, model = search.problem, search.model
    terms: list[Term] = []
    carried_on: dict[str | int, list[cp_model.IntVar]] = {}  # by anchor or place in `locked`
    most = 0
    for standing in problem.standing:
        lives_on: list[cp_model.IntVar] = []
        most += sum(one in problem.by_id for one in standing.members)
        for place, locked in enumerate(problem.locked):
            if count := shared_seats(standing, locked):
                lives_on.append(model.new_bool_var(""))
                carried_on.setdefault(place, []).append(lives_on[-1])
                terms.append((count, lives_on[-1]))
        for anchor in search.open:
            held = [
                search.seats[student, role, anchor]
                for role, holders in standing.roles.items()
                for student in holders
                if (student, role, anchor) in search.seats
            ]
            if held:
                lives_on.append(model.new_bool_var(""))
                carried_on.setdefault(anchor, []).append(lives_on[-1])
            for literal in held:
                stays = model.new_bool_var("")
                model.add(stays <= literal)
                model.add(stays <= lives_on[-1])
                terms.append((1, stays))
        model.add_at_most_one(lives_on)
    for choices in carried_on.values():
        model.add_at_most_one(choices)
    return Level("kept", terms, most)


def _fairness(search: Search) -> Level:
    people, most = search.problem.by_id, most_turns(search.problem)

    def gain(student: str, role: str) -> int:
        return most[role] - people[student].turns.get(role, 0) if role in most else 0

    return _over_seats(search, "fairness", gain)


def _readiness(search: Search) -> Level:
    people = search.problem.by_id
    return _over_seats(
        search, "readiness", lambda student, role: thousandths(people[student], role)
    )


def _over_seats(search: Search, name: str, worth: Callable[[str, str], int]) -> Level:
    terms: list[Term] = []
    best: dict[str, int] = {}
    for (student, role, _), literal in search.seats.items():
        value = worth(student, role)
        terms.append((value, literal))
        best[student] = max(best.get(student, 0), value)
    return Level(name, terms, sum(best.values()))


def _asks(search: Search) -> Level:
    roles = search.problem.skill.role
    most = 0
    if search.asks:
        size = len(search.problem.students)
        pairs_in_group = min(roles[BASE].max, size) * min(roles[FLYER].max, size)
        most = min(len(search.asks), min(len(search.open), search.problem.mats) * pairs_in_group)
    return Level("asks", [(1, ask) for ask in search.asks], most, smallest_is_best=True)


def _repeats(search: Search) -> Level:
    """How often those who work together have done so before."""
    problem = search.problem
    keep = problem.skill.keep_partners
    places = search.of_student()
    meetings: dict[str, list[Term]] = {student: [] for student in places}
    terms: list[Term] = []
    most = 0
    for (one, other), count in problem.past.items():
        if one in places and other in places:
            most += count
            meeting = [(count, part) for part in _meeting(search, places, one, other)]
            terms += meeting
            meetings[one] += meeting
            meetings[other] += meeting
    if not keep:
        for student, mine in meetings.items():
            _add_least_repeats(search, places, student, mine)
    return Level("repeats", terms, most, smallest_is_best=not keep)


def _meeting(
    search: Search, places: dict[str, dict[str, list[cp_model.IntVar]]], one: str, other: str
) -> list[cp_model.LinearExprT]:
    """Parts whose sum is 1 if the two are in one group: at least that where repeats are avoided,
    at most that where partners are kept, as the objective pulls the other way."""
    model = search.model
    mine, theirs = places[one], places[other]
    # With one of the two as the anchor the other's seats say it all.
    parts: list[cp_model.LinearExprT] = [*mine.get(other, ()), *theirs.get(one, ())]
    shared = [anchor for anchor in mine if anchor in theirs and anchor not in (one, other)]
    if not shared or not search.may_meet(one, other):
        return parts
    if search.problem.skill.keep_partners:
        for anchor in shared:
            meet = model.new_bool_var("")
            model.add(meet <= sum(mine[anchor]))
            model.add(meet <= sum(theirs[anchor]))
            parts.append(meet)
        return parts
    meet = model.new_bool_var("")
    for anchor in shared:
        model.add(sum(mine[anchor]) + sum(theirs[anchor]) <= search.open[anchor] + meet)
    return [*parts, meet]


def _add_least_repeats(
    search: Search,
    places: dict[str, dict[str, list[cp_model.IntVar]]],
    student: str,
    meetings: list[Term],
) -> None:
    """Whoever is placed meets at least the others of a smallest group: implied by the rest, but
    without it the bound stays near 0 where everybody has worked with everybody."""
    from ortools.sat.python import cp_model

    past = search.problem.past
    counts = sorted(
        past.get((min(student, other), max(student, other)), 0)
        for other in places
        if other != student
    )
    least = sum(counts[: search.least_students - 1])
    if least > 0:
        seats = [literal for literals in places[student].values() for literal in literals]
        met = cp_model.LinearExpr.weighted_sum(
            [part for _, part in meetings], [count for count, _ in meetings]
        )
        search.model.add(met >= least * sum(seats))
