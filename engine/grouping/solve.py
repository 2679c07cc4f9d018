"""Groups for a class: most placed first, then the lower levels, each proven.

Ties: of all groupings that are best on every level the answer is the one with the least sum of
`tie_weight(student, role, anchor)` over its seats (see `search` for the anchor), so the order of
the input has no part in it.
"""

from __future__ import annotations

from dataclasses import replace
from hashlib import blake2b
from typing import TYPE_CHECKING

from engine.grouping.explain import explain
from engine.grouping.feasible import fits, form, worth
from engine.grouping.levels import Stage, stages_of
from engine.grouping.model import new_solver
from engine.grouping.problem import Answer, Gap, Group, Problem
from engine.grouping.search import Search

if TYPE_CHECKING:
    from ortools.sat.python import cp_model


def solve(problem: Problem, effort: float | None = None) -> Answer:
    """The best groups for a problem, and for everybody still to place the reason.

    Without `effort` the search runs until every level is proven. With it (above 0, in units of
    the solver's deterministic time: about a second each, and the same on every machine) the best
    groups found by then are given, with the gap of the first level that is not proven.
    """
    if effort is not None and not effort > 0:
        raise ValueError("effort should be above 0")
    run = Run(Search(problem), effort)
    gap = run.prove_levels()
    if gap is None:
        run.break_tie()
    groups = run.all_groups()
    _check(problem, run.groups)
    return Answer(
        status="optimal" if gap is None else "best_found",
        gap=gap,
        groups=groups,
        still_to_place=explain(problem, groups),
        objective=worth(problem, groups),
    )


def tie_weight(student: str, role: str, anchor: str) -> int:
    """A fixed number from 0 to 2**32 - 1 for a seat, the same on every machine."""
    text = "\0".join((student, role, anchor)).encode()
    return int.from_bytes(blake2b(text, digest_size=4).digest(), "big")


def _check(problem: Problem, groups: list[Group]) -> None:
    """Safety never rests on the model alone: what it found has to pass the plain rules too."""
    adults = sum(group.adults for group in (*problem.locked, *groups))
    if not (
        all(fits(problem, group.roles) for group in groups)
        and (not groups or len(groups) + len(problem.locked) <= problem.mats)
        and (
            adults <= problem.adults * problem.turns_under_one_spot
            or not any(g.adults for g in groups)
        )
    ):
        raise RuntimeError("the groups found break a rule")


class Run:
    """One search, stage by stage; `groups` is the best so far, without the locked ones."""

    def __init__(self, search: Search, effort: float | None) -> None:
        self.groups: list[Group] = []
        self._search = search
        self._problem = problem = search.problem
        self._left = effort
        self._finished = False  # whether the last search was not cut short
        self._locked = [
            replace(form(problem, group.roles), adults=group.adults) for group in problem.locked
        ]
        self._locked_worth = worth(replace(problem, standing=()), self._locked)

    def all_groups(self) -> tuple[Group, ...]:
        """Locked and found groups in canonical order."""
        return tuple(sorted([*self._locked, *self.groups], key=lambda group: group.members))

    def prove_levels(self) -> Gap | None:
        """Work through the stages; the first level that stays unproven ends it."""
        for stage in stages_of(self._search):
            if stage.best > 0:
                gap = self._prove(stage)
                if gap is not None:
                    return gap
            if not self.groups:
                return None  # nobody can be placed, so there is nothing to weigh
        return None

    def _prove(self, stage: Stage) -> Gap | None:
        model, expression = self._search.model, stage.expression()
        model.add(expression <= stage.best)
        limit = self._search_on(stage, expression)
        credits = self._credits(stage, self.groups)
        reached = stage.fuse(credits)
        if reached != limit:
            if self._finished:
                raise RuntimeError("the model and the rules differ in what groups are worth")
            return self._gap(stage, credits, stage.digits(limit))
        model.add(expression >= reached)
        self._search.hint(self.groups)
        return None

    def break_tie(self) -> None:
        from ortools.sat.python import cp_model

        if not self.groups:
            return
        seats = self._search.seats
        weights = [tie_weight(*seat) for seat in seats]
        self._search.model.minimize(cp_model.LinearExpr.weighted_sum(list(seats.values()), weights))
        before = worth(self._problem, self.all_groups())
        solver = self._solve()
        if solver is not None:
            self.groups = self._search.groups(solver)
        if worth(self._problem, self.all_groups()) != before:
            raise RuntimeError("breaking the tie changed the objective")

    def _search_on(self, stage: Stage, expression: cp_model.LinearExprT) -> int:
        """Take over better groups, if any are found; gives back the bound of the stage."""
        self._search.model.maximize(expression)
        solver = self._solve()
        if solver is None:
            return stage.best
        found = self._search.groups(solver)
        if self._fused(stage, found) >= self._fused(stage, self.groups):
            self.groups = found
        # A whole number, but reported as a double that may be off in its last digits.
        return min(stage.best, round(solver.best_objective_bound))

    def _solve(self) -> cp_model.CpSolver | None:
        """A solver that holds a solution, or None if the limit came before one was found."""
        self._finished = False
        if self._left is not None and self._left <= 0:
            return None
        solver = new_solver()
        if self._left is not None:
            solver.parameters.max_deterministic_time = self._left
        status = solver.solve(self._search.model)
        self._finished = status == status.OPTIMAL
        if self._left is not None:
            self._left -= solver.deterministic_time
        if status in (status.OPTIMAL, status.FEASIBLE):
            return solver
        if status == status.UNKNOWN and self._left is not None:
            return None
        raise RuntimeError(f"the model of the groups is {status.name}")

    def _fused(self, stage: Stage, groups: list[Group]) -> int:
        return stage.fuse(self._credits(stage, groups))

    def _credits(self, stage: Stage, groups: list[Group]) -> list[int]:
        value = worth(self._problem, [*self._locked, *groups])
        return [
            level.credit(getattr(value, level.name) - self._from_locked(level.name))
            for level in stage.levels
        ]

    def _from_locked(self, level: str) -> int:
        value: int | None = getattr(self._locked_worth, level)
        return value or 0

    def _gap(self, stage: Stage, credits: list[int], bounds: list[int]) -> Gap:
        level, credit, most = next(
            entry
            for entry in zip(stage.levels, credits, bounds, strict=True)
            if entry[1] != entry[2]
        )
        locked = self._from_locked(level.name)
        return Gap(level.name, level.value(credit) + locked, level.value(most) + locked)
