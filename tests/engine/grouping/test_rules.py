"""Each rule of one group at its very edge."""

from __future__ import annotations

from fractions import Fraction

import pytest

from engine.grouping.feasible import (
    adults_needed,
    asks,
    carries,
    exact,
    fits,
    height_fits,
    heights_fit,
    kept_apart,
    kept_together,
    load_fits,
    may_hold,
    ready_for,
    seats_filled,
    to_agree,
)
from engine.grouping.problem import Role, Skill
from tests.engine.grouping.make import PAIR, problem, role, skill, student

SPOTTED = skill(
    role("base"), role("flyer"), role("spotter", 1, 2, adults_may_fill=True, students_may_fill=True)
)


def test_numbers_are_taken_as_written() -> None:
    assert exact(0.95) == Fraction(19, 20)
    assert exact(27.5) == Fraction(55, 2)
    assert exact(3) == 3


# -- rule 1 ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("roles", "expected"),
    [
        ({"base": ["a"], "flyer": ["b"]}, True),
        ({"base": ["a"], "flyer": []}, False),
        ({"base": ["a"]}, False),
        ({"flyer": ["b"]}, False),
        ({"base": ["a", "b"], "flyer": ["c"]}, False),
        ({"base": ["a"], "flyer": ["a"]}, False),
        ({"base": ["a"], "flyer": ["b"], "porter": []}, False),
        ({"base": [], "flyer": []}, False),
        ({}, False),
    ],
)
def test_a_pair_needs_one_of_each(roles: dict[str, list[str]], expected: bool) -> None:
    assert seats_filled(PAIR, roles) is expected


@pytest.mark.parametrize(
    ("count", "expected"), [(0, False), (1, False), (2, True), (3, True), (4, True), (5, False)]
)
def test_from_min_to_max_inclusive(count: int, expected: bool) -> None:
    partners = skill(role("partner", 2, 4))
    assert seats_filled(partners, {"partner": [f"s{n}" for n in range(count)]}) is expected


def test_a_role_with_min_0_may_stay_empty_but_not_the_whole_group() -> None:
    loose = skill(role("base", 0, 1), role("flyer", 0, 1))
    assert seats_filled(loose, {"base": ["a"]})
    assert seats_filled(loose, {"flyer": ["a"]})
    assert not seats_filled(loose, {"base": [], "flyer": []})


@pytest.mark.parametrize(
    ("students_may", "adults_may", "least", "spotters", "filled", "adults"),
    [
        (True, True, 1, [], True, 1),
        (True, True, 1, ["c"], True, 0),
        (True, True, 1, ["c", "d"], True, 0),
        (True, True, 2, ["c"], True, 1),
        (True, True, 1, ["c", "d", "e"], False, 0),
        (True, False, 1, [], False, 0),
        (True, False, 1, ["c"], True, 0),
        (False, True, 1, [], True, 1),
        (False, True, 2, [], True, 2),
        (False, True, 1, ["c"], False, 0),
        (False, False, 1, [], False, 0),
        (False, False, 0, [], True, 0),
        (True, True, 0, [], True, 0),
    ],
)
def test_who_spots(
    students_may: bool, adults_may: bool, least: int, spotters: list[str], filled: bool, adults: int
) -> None:
    spotter = Role("spotter", least, 2, 0.5, students_may, adults_may)
    what = skill(role("base"), role("flyer"), spotter)
    roles = {"base": ["a"], "flyer": ["b"], "spotter": spotters}
    assert seats_filled(what, roles) is filled
    assert adults_needed(what, roles) == adults


def test_only_the_spotter_role_knows_adults() -> None:
    base = Role("base", 1, 1, 0.5, students_may_fill=False, adults_may_fill=True)
    assert base.open_to_students
    assert not base.open_to_adults
    assert base.adults_beside(0) == 0
    assert seats_filled(skill(base), {"base": ["a"]})
    assert not seats_filled(skill(base), {"base": []})


# -- rule 2 ----------------------------------------------------------------------------------


@pytest.mark.parametrize(("readiness", "ready"), [(0.7499999999999999, False), (0.75, True)])
def test_readiness_compares_exactly(readiness: float, ready: bool) -> None:
    base = role("base", ready=0.75)
    assert ready_for(base, student("a", readiness={"base": readiness})) is ready
    assert may_hold(base, student("a", readiness={"base": readiness})) is ready


def test_a_role_left_out_counts_as_0() -> None:
    nobody = student("a", readiness={})
    assert may_hold(role("base", ready=0.0), nobody)
    assert not may_hold(role("base", ready=0.001), nobody)


def test_barred_from_one_role_only() -> None:
    one = student("a", barred=frozenset({"flyer"}))
    assert may_hold(role("base"), one)
    assert not may_hold(role("flyer"), one)
    assert ready_for(role("flyer"), one)


# -- rule 3 ----------------------------------------------------------------------------------

LIMIT = Skill(PAIR.roles, max_load_ratio=0.95)


@pytest.mark.parametrize(
    ("base", "flyer", "expected"),
    [
        (30.0, 28.5, True),  # 0.95 * 30 = 28.5 exactly
        (30.0, 28.500000001, True),  # within 1e-9
        (30.0, 28.5000000011, False),
        (30.0, 28.499999, True),
        (30.0, 28.6, False),
    ],
)
def test_load_at_its_limit(base: float, flyer: float, expected: bool) -> None:
    b, f = student("b", mass_kg=(base, base)), student("f", mass_kg=(flyer, flyer))
    assert carries(LIMIT, [b], [f]) is expected
    assert load_fits(problem(LIMIT, b, f), {"base": ["b"], "flyer": ["f"]}) is expected


def test_the_flyer_counts_in_full_and_the_base_at_her_least() -> None:
    even = Skill(PAIR.roles, max_load_ratio=1.0)
    base, flyer = student("b", mass_kg=(25.0, 40.0)), student("f", mass_kg=(10.0, 26.0))
    assert carries(even, [base], [flyer]) is False
    assert carries(even, [base], [student("g", mass_kg=(10.0, 25.0))]) is True
    assert carries(even, [student("c", mass_kg=(26.0, 26.0))], [flyer]) is True


def test_shares_and_sums() -> None:
    half = Skill((role("base", 2, 2), role("flyer", 2, 2)), carried_share=0.5, max_load_ratio=0.6)
    bases = [student(name, mass_kg=(20.0, 21.0)) for name in "ab"]
    flyers = [student(name, mass_kg=(23.0, 24.0)) for name in "cd"]
    assert carries(half, bases, flyers) is True  # 0.5 * 48 = 24 = 0.6 * 40
    heavier = [flyers[0], student("e", mass_kg=(23.0, 24.1))]
    assert carries(half, bases, heavier) is False
    assert carries(half, bases[:1], flyers[:1]) is True
    assert carries(half, bases[:1], flyers) is False


def test_without_a_ratio_everything_carries() -> None:
    base, flyer = student("b"), student("f", mass_kg=(90.0, 90.0))
    assert carries(PAIR, [base], [flyer]) is True
    here = problem(Skill(PAIR.roles, if_mass_unknown="ask"), base, flyer)
    assert load_fits(here, {"base": ["b"], "flyer": ["f"]})
    assert asks(here, {"base": ["b"], "flyer": ["f"]}) == ()


@pytest.mark.parametrize("missing", ["b", "f"])
def test_an_unknown_mass_bars_or_asks(missing: str) -> None:
    known = {"mass_kg": (30.0, 30.0)}
    ones = [student(name, **({} if name == missing else known)) for name in "bf"]
    roles = {"base": ["b"], "flyer": ["f"]}
    bar = problem(LIMIT, *ones)
    assert carries(LIMIT, ones[:1], ones[1:]) is None
    assert not load_fits(bar, roles)
    assert asks(bar, roles) == ()
    ask = problem(Skill(PAIR.roles, max_load_ratio=0.95, if_mass_unknown="ask"), *ones)
    assert load_fits(ask, roles)
    assert asks(ask, roles) == (("b", "f"),)
    agreed = problem(LIMIT, *ones, pairs_ok=(("b", "f"),))
    assert load_fits(agreed, roles)
    other_way_round = problem(LIMIT, *ones, pairs_ok=(("f", "b"),))
    assert not load_fits(other_way_round, roles)


def test_a_yes_lifts_load_only_if_every_pair_has_one() -> None:
    two = Skill((role("base", 2, 2), role("flyer")), max_load_ratio=0.5)
    ones = [student(name, mass_kg=(30.0, 30.0)) for name in "bc"]
    flyer = student("f", mass_kg=(31.0, 31.0))
    roles = {"base": ["c", "b"], "flyer": ["f"]}
    assert to_agree(problem(two, *ones, flyer), roles) == (("b", "f"), ("c", "f"))
    assert not load_fits(problem(two, *ones, flyer, pairs_ok=(("b", "f"),)), roles)
    assert load_fits(problem(two, *ones, flyer, pairs_ok=(("b", "f"), ("c", "f"))), roles)


def test_one_unknown_mass_asks_about_every_pair_without_a_yes() -> None:
    two = Skill(
        (role("base", 2, 2), role("flyer", 1, 2)), max_load_ratio=0.1, if_mass_unknown="ask"
    )
    here = problem(
        two,
        student("b", mass_kg=(30.0, 30.0)),
        student("c"),
        student("f", mass_kg=(30.0, 30.0)),
        student("g", mass_kg=(30.0, 30.0)),
        pairs_ok=(("c", "f"),),
    )
    roles = {"base": ["b", "c"], "flyer": ["g", "f"]}
    assert load_fits(here, roles)
    assert asks(here, roles) == (("b", "f"), ("b", "g"), ("c", "g"))


def test_no_base_or_no_flyer_no_load() -> None:
    asking = Skill(PAIR.roles, max_load_ratio=0.95, if_mass_unknown="ask")
    for rules in (LIMIT, asking):
        here = problem(rules, student("f", mass_kg=(90.0, 90.0)), student("b"))
        for roles in ({"flyer": ["f"]}, {"base": ["b"]}, {"base": ["b"], "flyer": []}):
            assert load_fits(here, roles)
            assert asks(here, roles) == ()


# -- rule 4 ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("base", "flyer", "difference", "taller", "expected"),
    [
        (130.0, 140.0, 10.0, None, True),
        (140.0, 130.0, 10.0, None, True),
        (130.0, 140.000000001, 10.0, None, True),
        (130.0, 140.0000000011, 10.0, None, False),
        (140.0000000011, 130.0, 10.0, None, False),
        (140.000000001, 130.0, 10.0, None, True),
        (130.0, 135.0, None, 5.0, True),
        (130.0, 135.000000001, None, 5.0, True),
        (130.0, 135.0000000011, None, 5.0, False),
        (160.0, 120.0, None, 5.0, True),
        (130.0, 128.0, None, -2.0, True),
        (130.0, 128.1, None, -2.0, False),
        (130.0, 135.0, 4.9, 5.0, False),
        (130.0, 135.0, 5.0, 4.9, False),
        (130.0, 130.0, 0.0, 0.0, True),
        (130.3, 130.2, 0.1, None, True),  # in doubles the difference is above 0.1
        (None, 130.0, 50.0, None, False),
        (130.0, None, None, 50.0, False),
        (None, None, None, None, True),
        (90.0, 190.0, None, None, True),
    ],
)
def test_heights(
    base: float | None,
    flyer: float | None,
    difference: float | None,
    taller: float | None,
    expected: bool,
) -> None:
    what = Skill(PAIR.roles, max_height_difference_cm=difference, flyer_taller_by_at_most_cm=taller)
    b, f = student("b", height_cm=base), student("f", height_cm=flyer)
    assert height_fits(what, b, f) is expected
    roles = {"base": ["b"], "flyer": ["f"]}
    assert heights_fit(problem(what, b, f), roles) is expected
    assert heights_fit(problem(what, b, f, pairs_ok=(("b", "f"),)), roles)
    assert heights_fit(problem(what, b, f, pairs_ok=(("f", "b"),)), roles) is expected


def test_every_pair_of_a_group_has_to_fit_by_height() -> None:
    what = Skill((role("base", 2, 2), role("flyer")), max_height_difference_cm=5.0)
    ones = [student("b", height_cm=130.0), student("c", height_cm=124.0)]
    here = problem(what, *ones, student("f", height_cm=130.0))
    assert not heights_fit(here, {"base": ["b", "c"], "flyer": ["f"]})
    assert heights_fit(here, {"base": ["b"], "flyer": ["f"]})


# -- rule 5 ----------------------------------------------------------------------------------


def test_wishes_are_unordered_and_count_in_any_role() -> None:
    trio = skill(role("base"), role("flyer"), role("spotter"))
    ones = [student(name) for name in "abcd"]
    roles = {"base": ["c"], "flyer": ["b"], "spotter": ["a"]}
    for pair in (("a", "c"), ("c", "a")):
        assert not kept_apart(problem(trio, *ones, apart=(pair,)), roles)
        assert kept_together(problem(trio, *ones, together=(pair,)), roles)
    for pair in (("a", "d"), ("d", "a")):
        assert kept_apart(problem(trio, *ones, apart=(pair,)), roles)
        assert not kept_together(problem(trio, *ones, together=(pair,)), roles)
    assert kept_together(problem(trio, *ones, student("e"), together=(("d", "e"),)), roles)


def test_pairs_that_name_somebody_else_are_passed_over() -> None:
    here = problem(
        PAIR,
        student("a"),
        student("b"),
        apart=(("a", "gone"),),
        together=(("gone", "b"),),
        past_pairs=(("a", "gone", 2), ("b", "a", 1), ("a", "b", 2), ("a", "b", 0)),
    )
    assert fits(here, {"base": ["a"], "flyer": ["b"]})
    assert here.past == {("a", "b"): 3}


# -- all at once -----------------------------------------------------------------------------


def test_a_group_fits_if_it_breaks_no_rule() -> None:
    what = Skill(SPOTTED.roles, max_load_ratio=1.0, max_height_difference_cm=5.0)
    ones = {
        "b": student("b", height_cm=130.0, mass_kg=(30.0, 30.0)),
        "f": student("f", height_cm=130.0, mass_kg=(30.0, 30.0)),
        "s": student("s", "spotter"),
    }
    roles = {"base": ["b"], "flyer": ["f"], "spotter": []}
    with_s = {**roles, "spotter": ["s"]}

    def here(adults: int = 1, rules: Skill = what, **rest: object):
        return problem(rules, *ones.values(), adults=adults, **rest)

    assert fits(here(), roles)
    assert fits(here(0), with_s)
    assert not fits(here(0), roles)
    assert not fits(here(), {"base": ["b"]})
    assert not fits(here(), {"base": ["s"], "flyer": ["f"]})
    assert not fits(here(apart=(("b", "f"),)), roles)
    assert not fits(here(together=(("b", "s"),)), roles)
    ones["f"] = student("f", height_cm=135.1, mass_kg=(30.0, 30.0))
    assert not fits(here(), roles)
    ones["f"] = student("f", height_cm=130.0, mass_kg=(30.0, 30.1))
    assert not fits(here(), roles)
