"""What groups are worth on each level."""

from __future__ import annotations

from engine.grouping.feasible import form, kept, most_turns, shared_seats, thousandths, worth
from engine.grouping.problem import Group, Objective, Skill
from tests.engine.grouping.make import PAIR, group, problem, role, skill, student

SPOTTED = skill(
    role("base"), role("flyer"), role("spotter", 1, 2, adults_may_fill=True, students_may_fill=True)
)


def test_readiness_in_thousandths_halves_to_even() -> None:
    def rounded(value: float) -> int:
        return thousandths(student("a", readiness={"base": value}), "base")

    assert rounded(0.0005) == 0
    assert rounded(0.0015) == 2
    assert rounded(0.9125) == 912  # 912.5, to even
    assert rounded(0.9135) == 914  # 913.5, to even
    assert rounded(0.9999) == 1000
    assert thousandths(student("a"), "spotter") == 0


def test_most_turns_are_of_those_who_may_hold_the_role() -> None:
    ones = (
        student("a", turns={"base": 2, "flyer": 1}),
        student("b", turns={"base": 9}, barred=frozenset({"base"})),
        student("c", "flyer", turns={"base": 8, "flyer": 3}),
        student("d", turns={}),
    )
    assert most_turns(problem(PAIR, *ones)) == {"base": 2, "flyer": 3}
    assert most_turns(problem(skill(role("front")), *ones)) == {}
    assert most_turns(problem(PAIR)) == {"base": 0, "flyer": 0}


def test_worth_of_groups() -> None:
    what = Skill(SPOTTED.roles, max_load_ratio=1.0, if_mass_unknown="ask")
    here = problem(
        what,
        student("b", turns={"base": 1}, readiness={"base": 0.8, "spotter": 0.5}),
        student("c", turns={"base": 4}, readiness={"base": 0.9}),
        student("f", turns={"flyer": 0}, readiness={"flyer": 0.7}),
        student("g", turns={"flyer": 2, "spotter": 5}, readiness={"flyer": 0.6, "spotter": 0.65}),
        adults=2,
        past_pairs=(("f", "b", 2), ("g", "b", 1), ("f", "g", 1), ("c", "b", 7)),
    )
    formed = form(here, {"flyer": ["f"], "base": ["b"], "spotter": ["g"]})
    assert formed == Group(
        {"base": ("b",), "flyer": ("f",), "spotter": ("g",)}, adults=0, ask=(("b", "f"),)
    )
    assert list(formed.roles) == ["base", "flyer", "spotter"]
    assert formed.members == ("b", "f", "g")
    assert worth(here, [formed]) == Objective(
        placed=3, kept=None, fairness=3 + 2, asks=1, readiness=800 + 700 + 650, repeats=4
    )
    assert worth(here, []) == Objective(0, None, 0, 0, 0, 0)
    assert form(here, {"base": ["b"], "flyer": ["g"]}).adults == 1


def test_kept_pairs_off_standing_groups_and_groups() -> None:
    standing = (group(base="a", flyer="b"), group(base="c", flyer="d"))
    here = problem(PAIR, *(student(name) for name in "abcde"), standing=standing)
    assert shared_seats(standing[0], group(base="a", flyer="b")) == 2
    assert shared_seats(standing[0], group(base="b", flyer="a")) == 0
    assert shared_seats(group(base="a b"), group(base="b c", flyer="a")) == 1

    def stays(*groups: Group) -> int:
        return kept(here, groups)

    assert stays(*standing) == 4
    assert stays(*reversed(standing)) == 4
    assert stays(group(base="a", flyer="d"), group(base="c", flyer="b")) == 2
    assert stays(group(base="a", flyer="d")) == 1  # one group carries on one standing group
    assert stays(group(base="a", flyer="e"), group(base="e", flyer="b")) == 1  # lives on once
    assert stays(group(base="b", flyer="a")) == 0
    assert stays() == 0
    assert worth(here, standing).kept == 4


def test_kept_takes_the_best_pairing_not_the_first() -> None:
    standing = (group(base="a b c"), group(base="d", flyer="e"))
    line = skill(role("base", 1, 3), role("flyer", 0, 3))
    here = problem(line, *(student(name) for name in "abcde"), standing=standing)
    both = group(base="a b d", flyer="e")
    assert kept(here, [both]) == 2
    assert kept(here, [both, group(base="c")]) == 3  # c carries on the first, both the second
