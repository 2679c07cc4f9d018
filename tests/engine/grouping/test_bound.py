"""The quick bound on `placed` (that it never is too low is part of the twin's test)."""

from __future__ import annotations

import pytest

from engine.grouping.bound import bound
from engine.grouping.problem import Role, Skill
from tests.engine.grouping.make import PAIR, group, problem, role, skill, student


def many(count: int, roles: str = "base flyer", **facts: object):
    return [student(f"{roles[0]}{n}", roles, **facts) for n in range(count)]


@pytest.mark.parametrize(("count", "expected"), [(0, 0), (1, 0), (2, 2), (3, 2), (4, 4), (9, 8)])
def test_pairs(count: int, expected: int) -> None:
    assert bound(problem(PAIR, *many(count))) == expected


@pytest.mark.parametrize(("mats", "expected"), [(0, 0), (1, 2), (3, 6), (4, 8), (5, 8)])
def test_mats(mats: int, expected: int) -> None:
    assert bound(problem(PAIR, *many(8), mats=mats)) == expected


def test_the_rarest_role_decides() -> None:
    assert bound(problem(PAIR, *many(5, "base"), *many(2, "flyer"))) == 4
    two = skill(role("base", 2, 3), role("flyer"))
    assert bound(problem(two, *many(9, "base"), *many(2, "flyer"))) == 8
    assert bound(problem(two, *many(3, "base"), *many(2, "flyer"))) == 4
    assert bound(problem(two, *many(1, "base"), *many(2, "flyer"))) == 0


@pytest.mark.parametrize(
    ("adults", "turns", "expected"),
    [(0, 1, 0), (1, 1, 2), (1, 2, 4), (2, 1, 4), (2, 2, 8), (9, 9, 8)],
)
def test_adults(adults: int, turns: int, expected: int) -> None:
    spotter = Role("spotter", 1, 1, 0.5, students_may_fill=False, adults_may_fill=True)
    trio = skill(*PAIR.roles, spotter)
    assert bound(problem(trio, *many(8), adults=adults, turns_under_one_spot=turns)) == expected


def test_an_adult_is_in_one_group_at_a_time() -> None:
    two_spot = skill(*PAIR.roles, role("spotter", 2, 2, adults_may_fill=True))
    assert bound(problem(two_spot, *many(4), adults=1, turns_under_one_spot=4)) == 0
    here = problem(two_spot, *many(4), *many(1, "spotter"), adults=1, turns_under_one_spot=4)
    assert bound(here) == 3


def test_children_who_spot() -> None:
    trio = skill(*PAIR.roles, role("spotter", adults_may_fill=True))
    assert bound(problem(trio, *many(2), *many(1, "spotter"))) == 3
    assert bound(problem(trio, *many(4), *many(1, "spotter"), adults=1)) == 5


def test_who_has_no_partner_is_left_out() -> None:
    rules = Skill(PAIR.roles, max_height_difference_cm=5.0)
    near = many(4, height_cm=130.0)
    far = student("x", height_cm=150.0)
    assert bound(problem(rules, *near, far, student("y", height_cm=110.0))) == 4
    assert bound(problem(rules, *near, far, pairs_ok=(("x", "b0"),))) == 4
    assert bound(problem(rules, *near[:1], far, pairs_ok=(("x", "b0"),))) == 2
    assert bound(problem(rules, *near[:1], far, pairs_ok=(("b0", "b0"),))) == 0


def test_without_a_base_a_flyer_needs_no_partner() -> None:
    loose = Skill((role("base", 0, 1), role("flyer", 0, 1)), max_height_difference_cm=5.0)
    for roles in (("base", "flyer"), ("flyer", "flyer"), ("base", "base")):
        x = student("x", roles[0], height_cm=150.0)
        assert bound(problem(loose, x, student("y", roles[1], height_cm=110.0))) == 2
    needs_base = Skill((role("base"), role("flyer", 0, 1)), max_height_difference_cm=5.0)
    ones = (student("x", "base", height_cm=150.0), student("y", "flyer", height_cm=110.0))
    assert bound(problem(needs_base, *ones)) == 1
    needs_flyer = Skill((role("base", 0, 1), role("flyer")), max_height_difference_cm=5.0)
    assert bound(problem(needs_flyer, *ones)) == 1


@pytest.mark.parametrize(
    ("rules", "masses", "expected"),
    [
        ({"max_load_ratio": 1.0}, [30.0, 30.0], 2),
        ({"max_load_ratio": 0.9}, [30.0, 30.0], 0),
        ({"max_load_ratio": 0.9}, [None, 30.0], 0),
        ({"max_load_ratio": 0.9, "if_mass_unknown": "ask"}, [None, 30.0], 2),
        ({"max_load_ratio": 0.9, "if_mass_unknown": "ask"}, [30.0, 30.0], 0),
    ],
)
def test_load(rules: dict[str, object], masses: list[float | None], expected: int) -> None:
    ones = [
        student(f"s{n}", mass_kg=None if mass is None else (mass, mass))
        for n, mass in enumerate(masses)
    ]
    assert bound(problem(Skill(PAIR.roles, **rules), *ones)) == expected


def test_the_strongest_others_are_thought_beside_a_base() -> None:
    two = Skill((role("base", 1, 2), role("flyer")), max_load_ratio=0.5)
    b, c, f = (
        student(name, roles, mass_kg=(mass, mass))
        for name, roles, mass in (("b", "base", 20.0), ("c", "base", 40.0), ("f", "flyer", 30.0))
    )
    d = student("d", "base", mass_kg=(30.0, 90.0))
    assert bound(problem(two, b, c, f)) == 3
    assert bound(problem(two, b, c, d, f)) == 3
    assert bound(problem(two, b, d, student("f", "flyer", mass_kg=(30.1, 30.1)))) == 0
    assert bound(problem(two, c, d, student("f", "flyer", mass_kg=(35.0, 35.0)))) == 3
    assert bound(problem(two, b, f)) == 0
    asking = Skill(two.roles, max_load_ratio=0.5, if_mass_unknown="ask")
    assert bound(problem(asking, b, f, student("u", "base"))) == 3
    assert bound(problem(asking, b, f)) == 0
    flyers = Skill((role("base"), role("flyer", 1, 2)), max_load_ratio=0.5, if_mass_unknown="ask")
    assert bound(problem(flyers, b, f, student("u", "flyer"))) == 3
    one = Skill(PAIR.roles, max_load_ratio=0.5, if_mass_unknown="ask")
    assert bound(problem(one, b, f, student("u", "base"), student("v", "base"))) == 2
    assert bound(problem(one, b, d, f, student("u", "flyer"))) == 2
    light = student("g", "flyer", mass_kg=(9.0, 9.0))
    assert bound(problem(one, b, f, light, student("u", "base", barred=frozenset({"base"})))) == 2


def test_locked_groups_count_and_take_mats_and_adults() -> None:
    spotter = Role("spotter", 1, 1, 0.5, students_may_fill=False, adults_may_fill=True)
    trio = skill(*PAIR.roles, spotter)
    locked = (group(1, base="b0", flyer="b1"),)
    assert bound(problem(trio, *many(6), adults=3, mats=2, locked=locked)) == 4
    assert bound(problem(trio, *many(6), adults=3, mats=1, locked=locked)) == 2
    assert bound(problem(trio, *many(6), adults=3, mats=9, locked=locked)) == 6
    assert bound(problem(trio, *many(6), adults=1, mats=9, locked=locked)) == 2
    assert bound(problem(trio, *many(6), adults=0, mats=0, locked=locked)) == 2


def test_many_roles_are_counted_roughly() -> None:
    eleven = skill(*(role(f"place {n}") for n in range(11)))
    ones = [student(f"s{n}", readiness={"place 0": 1.0}) for n in range(3)]
    assert bound(problem(eleven, *ones, student("x"))) == 3
    ten = skill(*(role(f"place {n}") for n in range(10)))
    assert bound(problem(ten, *ones)) == 0
