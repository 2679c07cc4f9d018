"""Why somebody is still to place, and what would help."""

from __future__ import annotations

import re

import pytest

from engine.grouping import explain
from engine.grouping.problem import Problem, Skill, StillToPlace
from engine.grouping.solve import solve
from tests.engine.grouping.make import PAIR, group, problem, role, skill, student

SPOTTED = skill(role("base"), role("flyer"), role("spotter", 2, 2, adults_may_fill=True))


def why(here: Problem, name: str) -> tuple[str, str]:
    answer = solve(here)
    return next((one.reason, one.detail) for one in answer.still_to_place if one.id == name)


def test_not_ready() -> None:
    a, b = student("a", readiness={"base": 0.49999, "flyer": 0.2}), student("b")
    assert why(problem(PAIR, a, b), "a") == ("not_ready", explain.NOT_READY_BUT)
    assert why(problem(PAIR, a, b), "b") == ("no_fitting_partner", explain.ANOTHER_HOLD)


def test_a_yes_is_named_only_where_it_would_count() -> None:
    barred = frozenset({"base", "flyer"})
    a = student("a", readiness={}, barred=barred)
    assert why(problem(PAIR, a), "a") == ("not_ready", explain.NOT_READY)
    a = student("a", readiness={}, barred=frozenset({"base"}))
    assert why(problem(PAIR, a), "a") == ("not_ready", explain.NOT_READY_BUT)
    adults_only = skill(role("spotter", 1, 1, adults_may_fill=True, students_may_fill=False))
    assert why(problem(adults_only, student("a")), "a") == ("not_ready", explain.NOT_READY)
    nobody = skill(role("partner", 0, 0))
    assert why(problem(nobody, student("a")), "a") == ("not_ready", explain.NOT_READY)
    one = skill(role("partner", 0, 1))
    assert why(problem(one, student("a")), "a") == ("not_ready", explain.NOT_READY_BUT)


def test_a_skill_without_roles() -> None:
    assert why(problem(skill(), student("a")), "a") == ("not_ready", explain.NOT_READY)


def test_barred_in_every_role_she_is_ready_for() -> None:
    one = student("a", readiness={"base": 0.9, "flyer": 0.1}, barred=frozenset({"base"}))
    assert why(problem(PAIR, one, student("b")), "a") == ("barred", explain.BARRED)
    other = student("a", barred=frozenset({"base"}))
    both = problem(PAIR, other, student("b", "base"), mats=0)
    assert why(both, "a") == ("no_mat", explain.FREE_MAT)


def test_only_ready_for_a_role_that_adults_fill() -> None:
    trio = skill(*PAIR.roles, role("spotter", students_may_fill=False, adults_may_fill=True))
    here = problem(trio, student("a", "spotter"), student("b"), student("c"), adults=1)
    assert why(here, "a") == ("no_fitting_partner", explain.ANOTHER_HOLD)


def test_no_fitting_partner_and_nothing_that_would_help() -> None:
    rules = Skill(PAIR.roles, max_load_ratio=0.9, max_height_difference_cm=5.0)
    far = student("a", height_cm=130.0, mass_kg=(30.0, 30.0))
    here = problem(rules, far, student("b", height_cm=136.0, mass_kg=(30.0, 30.0)))
    assert why(here, "a") == ("no_fitting_partner", explain.ANOTHER_HOLD)


def test_two_bases_would_help() -> None:
    rules = Skill(PAIR.roles, max_load_ratio=0.5)
    ones = [student(name, mass_kg=(30.0, 30.0)) for name in "abc"]
    assert why(problem(rules, *ones), "a") == ("no_fitting_partner", explain.TWO_BASES)
    assert why(problem(rules, *ones[:2]), "a") == ("no_fitting_partner", explain.ANOTHER_HOLD)
    three = Skill((role("base", 1, 2), role("flyer")), max_load_ratio=0.34)
    four = [*ones, student("d", mass_kg=(30.0, 30.0))]
    assert why(problem(three, *four), "a") == ("no_fitting_partner", explain.ONE_MORE_BASE)
    three = Skill(PAIR.roles, max_load_ratio=0.34)
    assert why(problem(three, *four), "a") == ("no_fitting_partner", explain.ANOTHER_HOLD)


def test_one_more_base_is_no_more_of_anything_else() -> None:
    closed = skill(*PAIR.roles, role("lantern", 0, 0))
    here = problem(closed, student("a", "lantern"), student("b"), student("c"))
    assert why(here, "a") == ("no_fitting_partner", explain.ANOTHER_HOLD)


def test_bases_without_flyers() -> None:
    ones = (student("a", "base"), student("b", "base"))
    here = problem(skill(role("base", 2, 2), role("lantern")), *ones)
    assert why(here, "a") == ("no_fitting_partner", explain.ANOTHER_HOLD)
    ones = (student("a", "flyer"), student("b", "flyer"))
    here = problem(skill(role("flyer", 3, 3)), *ones)
    assert why(here, "a") == ("no_fitting_partner", explain.ANOTHER_HOLD)


@pytest.mark.parametrize("roles", [PAIR.roles, (role("base", 1, 2), role("flyer"))])
def test_a_yes_would_help_where_a_mass_is_not_known(roles: tuple) -> None:
    rules = Skill(roles, max_load_ratio=0.5)
    a, b = student("a"), student("b", mass_kg=(30.0, 30.0))
    assert why(problem(rules, a, b), "a") == ("no_fitting_partner", explain.YES_FOR_A_PAIR)
    assert why(problem(rules, a, b), "b") == ("no_fitting_partner", explain.YES_FOR_A_PAIR)


def test_a_yes_would_help_where_a_height_is_not_known() -> None:
    rules = Skill(PAIR.roles, max_height_difference_cm=5.0)
    a, b = student("a"), student("b", height_cm=130.0)
    assert why(problem(rules, a, b), "a") == ("no_fitting_partner", explain.YES_FOR_A_PAIR)


def test_no_yes_is_suggested_against_what_is_known() -> None:
    rules = Skill(PAIR.roles, max_load_ratio=0.5, max_height_difference_cm=5.0)
    a = student("a", height_cm=130.0)
    b = student("b", height_cm=135.1, mass_kg=(30.0, 30.0))
    assert why(problem(rules, a, b), "a") == ("no_fitting_partner", explain.ANOTHER_HOLD)
    heavy = student("b", mass_kg=(30.0, 30.0))
    a = student("a", height_cm=130.0, mass_kg=(30.0, 30.0))
    assert why(problem(rules, a, heavy), "a") == ("no_fitting_partner", explain.ANOTHER_HOLD)
    barred = student("b", height_cm=130.0, barred=frozenset({"base", "flyer"}))
    assert why(problem(rules, a, barred), "a") == ("no_fitting_partner", explain.ANOTHER_HOLD)


def test_too_few_for_a_skill_without_bases() -> None:
    here = problem(skill(role("partner", 3, 4)), student("a", "partner"), student("b", "partner"))
    assert why(here, "a") == ("no_fitting_partner", explain.ANOTHER_HOLD)


@pytest.mark.parametrize(
    ("adults", "spotters", "detail"),
    [
        (0, 0, "2 more adults free to spot would help; so would another hold."),
        (1, 0, explain.ONE_MORE_ADULT),
        (0, 1, explain.ONE_MORE_ADULT),
    ],
)
def test_no_spotter(adults: int, spotters: int, detail: str) -> None:
    ones = [student(f"s{n}", "spotter") for n in range(spotters)]
    here = problem(SPOTTED, student("a"), student("b"), *ones, adults=adults)
    assert why(here, "a") == ("no_spotter", detail)
    enough = problem(SPOTTED, student("a"), student("b"), *ones, adults=2 - spotters)
    assert solve(enough).still_to_place == ()


def test_turns_under_one_spot_do_not_make_one_group_larger() -> None:
    here = problem(SPOTTED, student("a"), student("b"), adults=1, turns_under_one_spot=2)
    assert why(here, "a") == ("no_spotter", explain.ONE_MORE_ADULT)


def test_kept_apart() -> None:
    here = problem(PAIR, student("a"), student("b"), apart=(("b", "a"),))
    assert why(here, "a") == ("kept_apart", explain.ANOTHER_HOLD)


def test_kept_together() -> None:
    """In twos whoever comes with a third cannot, nor can anybody come with her."""
    here = problem(PAIR, student("a"), student("b"), student("c"), together=(("c", "a"),))
    assert why(here, "b") == ("kept_together", explain.ANOTHER_HOLD)
    ones = [student("a", "base"), student("c", "base"), student("b", "flyer")]
    here = problem(PAIR, *ones, together=(("c", "a"),))
    for name in "abc":
        assert why(here, name) == ("kept_together", explain.ANOTHER_HOLD)


def test_wishes_that_exclude_each_other() -> None:
    here = problem(
        PAIR, student("a"), student("b"), student("c"), apart=(("a", "b"),), together=(("a", "b"),)
    )
    assert why(here, "a") == ("kept_together", explain.ANOTHER_HOLD)


def test_the_first_reason_that_holds_is_given() -> None:
    """Each step of the ladder beside all the later ones."""
    rest = {
        "apart": (("a", "b"),),
        "together": (("a", "c"),),
        "mats": 0,
        "adults": 0,
    }
    rules = Skill(SPOTTED.roles, max_height_difference_cm=5.0)
    low = student("b", height_cm=120.0)
    assert why(problem(rules, student("a", readiness={}), low, **rest), "a")[0] == "not_ready"
    barred = student("a", barred=frozenset({"base", "flyer"}))
    assert why(problem(rules, barred, low, **rest), "a")[0] == "barred"
    far = student("a", height_cm=130.0)
    c = student("c", "spotter")
    assert why(problem(rules, far, low, c, **rest), "a")[0] == "no_fitting_partner"
    near = student("a", height_cm=121.0)
    assert why(problem(rules, near, low, c, **rest), "a")[0] == "no_spotter"
    rest["adults"] = 2
    assert why(problem(rules, near, low, c, **rest), "a")[0] == "kept_apart"
    rest["apart"] = ()
    c = student("c", "base", height_cm=140.0)
    assert why(problem(rules, near, low, c, **rest), "a")[0] == "kept_together"
    rest["together"] = ()
    assert why(problem(rules, near, low, c, **rest), "a")[0] == "no_mat"
    rest["mats"] = 1
    assert solve(problem(rules, near, low, c, **rest)).objective.placed == 2


def test_would_break_another_names_the_group_with_a_turn() -> None:
    ones = [
        student("a", "base"),
        student("b", "flyer"),
        student("c", "base"),
        student("d", "flyer"),
    ]
    here = problem(PAIR, *ones, student("e", "flyer", turns={"flyer": 9}), apart=(("a", "e"),))
    answer = solve(here)
    assert [one.roles["base"] for one in answer.groups] == [("a",), ("c",)]
    assert answer.still_to_place == (
        StillToPlace("e", "would_break_another", explain.TURN_WITH_GROUP.format(2)),
    )


def test_no_turn_is_promised_that_a_rule_forbids() -> None:
    rules = Skill(PAIR.roles, max_height_difference_cm=3.0)
    here = problem(
        rules,
        student("a", "base", height_cm=130.0),
        student("b", "flyer", height_cm=131.0),
        student("c", "base", height_cm=131.0),
        student("d", "flyer", height_cm=133.0),
        mats=1,
        together=(("a", "b"),),
    )
    answer = solve(here)
    assert answer.groups[0].members in (("a", "b"), ("c", "d"))
    assert {(one.reason, one.detail) for one in answer.still_to_place} == {
        ("would_break_another", explain.LATER_TURN)
    }


def test_locked_groups_are_no_reason_of_their_own() -> None:
    here = problem(
        PAIR, student("a"), student("b"), student("c"), locked=(group(base="a", flyer="b"),)
    )
    answer = solve(here)
    assert answer.still_to_place == (
        StillToPlace("c", "would_break_another", explain.TURN_WITH_GROUP.format(1)),
    )


def test_fit_to_be_read_aloud() -> None:
    sentences = [
        text
        for name, text in vars(explain).items()
        if name.isupper() and isinstance(text, str) and " " in text
    ]
    assert len(sentences) == 12
    for sentence in sentences:
        assert re.fullmatch(r"[A-Z{][^.]*\.", sentence)
        assert not re.search(
            r"weigh|heav|light|mass|\bkg|kilo|load|size|tall|small|short|height|big|large|strong|weak"
            r"|apart|together|quarrel|fight|rank|best|worst|last|behind|slow|hurt|ill\b|injur|fear",
            sentence.lower(),
        )
