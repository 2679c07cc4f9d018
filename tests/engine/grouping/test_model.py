"""The exact inequality of the integer model for factors of any size."""

from __future__ import annotations

from itertools import product
from random import Random

import pytest
from ortools.sat.python import cp_model

from engine.grouping.model import add_at_most, new_solver
from engine.grouping.solve import solve
from tests.engine.grouping import twin
from tests.engine.grouping.make import problem, role, skill, student


@pytest.mark.parametrize("bits", [8, 40, 55, 56, 57, 58, 64, 100, 200])
@pytest.mark.parametrize("seed", range(6))
def test_at_most(bits: int, seed: int) -> None:
    dice = Random(1000 * bits + seed)
    factors = [dice.randint(-(2**bits), 2**bits) for _ in range(6)]
    gains = [dice.randint(1, 9) for _ in factors]
    edge = sum(factor for factor in factors if dice.random() < 0.5)
    for room in (edge - 1, edge, edge + 1):
        inside = [
            sum(g * x for g, x in zip(gains, choice, strict=True))
            for choice in product((0, 1), repeat=len(factors))
            if sum(f * x for f, x in zip(factors, choice, strict=True)) <= room
        ]
        model = cp_model.CpModel()
        literals = [model.new_bool_var("") for _ in factors]
        add_at_most(model, list(zip(factors, literals, strict=True)), room, [])
        model.maximize(sum(g * x for g, x in zip(gains, literals, strict=True)))
        solver = new_solver()
        status = solver.solve(model)
        if inside:
            assert status == cp_model.OPTIMAL
            assert round(solver.objective_value) == max(inside)
        else:
            assert status == cp_model.INFEASIBLE


@pytest.mark.parametrize("bits", [10, 100])
def test_at_most_only_when_asked(bits: int) -> None:
    model = cp_model.CpModel()
    literal, when = model.new_bool_var(""), model.new_bool_var("")
    add_at_most(model, [(2**bits, literal)], 2**bits - 1, [when])
    model.add(literal == 1)
    model.maximize(when)
    solver = new_solver()
    assert solver.solve(model) == cp_model.OPTIMAL
    assert solver.value(when) == 0


@pytest.mark.parametrize(("flyer", "placed"), [(26.12345678901234, 3), (26.12345678901235, 0)])
def test_masses_of_sixteen_digits_are_not_rounded(flyer: float, placed: int) -> None:
    """Two bases whose lower ends times the ratio make 26.123456788012340 and a bit: with the
    tolerance of 1e-9 the last digit of the flyer's mass decides."""
    two = skill(role("base", 2, 2), role("flyer"), max_load_ratio=0.5)
    here = problem(
        two,
        student("b", "base", mass_kg=(26.0, 30.0)),
        student("c", "base", mass_kg=(26.24691357602468, 30.0)),
        student("f", "flyer", mass_kg=(20.0, flyer)),
    )
    answer = solve(here)
    twin.check(here, answer.groups)
    assert answer.objective.placed == placed == twin.best(here).values[0]
