from dataclasses import FrozenInstanceError
from itertools import pairwise

import pytest

from engine.progression import (
    HELP,
    AllOf,
    AnyOf,
    faults,
    leaves,
    needed_for,
    opens_next,
    teaching_order,
    warnings,
)
from tests.engine.progression.build import (
    all_of,
    any_of,
    by_key,
    deep,
    duo,
    need,
    role,
    skill,
    solo,
)


def test_leaves_come_in_reading_order():
    tree = all_of("a", any_of("b", all_of("c", "a")), "d")
    assert [leaf.skill for leaf in leaves(tree)] == ["a", "b", "c", "a", "d"]
    assert leaves(need("a")) == (need("a"),)
    assert leaves(None) == ()


def test_values_are_frozen():
    with pytest.raises(FrozenInstanceError):
        need("a").help = "hands_on"
    with pytest.raises(FrozenInstanceError):
        solo("a").lifted = True


def test_help_goes_from_much_to_none():
    assert HELP == ("hands_on", "hands_near", "no_spot")


def test_teaching_order():
    skills = by_key(
        solo("a", "z"),
        duo("m", need("a"), need("z")),
        skill("z", {"solo": role(), "spotter": role(need("a"))}),
        solo("b"),
    )
    assert teaching_order(skills) == (
        ("b", "solo"),
        ("z", "solo"),
        ("a", "solo"),
        ("m", "base"),
        ("m", "flyer"),
    )


def test_a_circle_has_no_teaching_order():
    with pytest.raises(ValueError, match=r"^the needs of these skills go in a circle$"):
        teaching_order(by_key(solo("a", "b"), solo("b", "a"), solo("c")))


LEANS = by_key(
    solo("plank"),
    solo("squat"),
    solo("roll", any_of("plank", need("squat", help_="hands_near"))),
    duo("lean", all_of("plank", "squat"), need("squat", help_="hands_on")),
    duo("seat", need("lean", "base"), need("lean", "flyer", "hands_near")),
)


@pytest.mark.parametrize(
    ("has", "opens"),
    [
        ([], {("plank", "solo"), ("squat", "solo")}),
        ([need("squat", help_="hands_on")], {("plank", "solo"), ("lean", "flyer")}),
        (
            [need("squat", help_="hands_near")],
            {("plank", "solo"), ("lean", "flyer"), ("roll", "solo")},
        ),
        ([need("plank"), need("squat")], {("roll", "solo"), ("lean", "base"), ("lean", "flyer")}),
        (
            [need("lean", "flyer", "hands_on")],
            {("plank", "solo"), ("squat", "solo")},
        ),
        (
            [need("lean", "flyer", "hands_near"), need("lean", "flyer", "hands_on")],
            {("plank", "solo"), ("squat", "solo"), ("seat", "flyer")},
        ),
    ],
)
def test_what_opens_next(has, opens):
    order = teaching_order(LEANS)
    assert opens_next(LEANS, has) == tuple(node for node in order if node in opens)


def test_what_is_needed():
    assert needed_for(LEANS, "plank", "solo") == ()
    assert needed_for(LEANS, "seat", "flyer") == (
        need("squat", help_="hands_on"),
        need("lean", "flyer", "hands_near"),
    )
    assert needed_for(LEANS, "seat", "base") == (
        need("plank"),
        need("squat"),
        need("lean", "base"),
    )


def test_the_least_help_on_the_way_counts():
    skills = by_key(
        solo("a"),
        solo("b", need("a", help_="hands_near")),
        solo("c", need("a", help_="hands_on"), "b"),
        solo("d", need("c", help_="hands_near"), need("a", help_="hands_on")),
    )
    assert needed_for(skills, "d", "solo") == (
        need("a", help_="hands_near"),
        need("b"),
        need("c", help_="hands_near"),
    )


def keys_needed(skills, target):
    return [leaf.skill for leaf in needed_for(by_key(*skills), target, "solo")]


def test_of_a_choice_the_shortest_is_taken():
    skills = solo("a"), solo("b", "a"), solo("c"), solo("t", any_of("b", "c"))
    assert keys_needed(skills, "t") == ["c"]


def test_of_equal_choices_the_first_is_taken():
    assert keys_needed((solo("a"), solo("b"), solo("t", any_of("b", "a"))), "t") == ["b"]


def test_what_is_needed_anyway_costs_nothing():
    skills = (
        solo("a"),
        solo("b", "a"),
        solo("c"),
        solo("d", "c"),
        solo("t", any_of("d", "b"), "a"),
    )
    assert keys_needed(skills, "t") == ["a", "b"]


def test_choices_are_made_in_reading_order():
    skills = (
        solo("a"),
        solo("b"),
        solo("t", any_of("a", "b"), any_of(all_of("b"), all_of("b", "a"))),
    )
    assert keys_needed(skills, "t") == ["a", "b"]
    assert keys_needed(
        (solo("a"), solo("b"), solo("t", any_of("b", "a"), any_of("a", "b"))), "t"
    ) == ["b"]


def test_a_choice_of_bundles():
    bundles = any_of(all_of("a", "b"), all_of("c", any_of("a", "d")), any_of("e", "f"))
    skills = (*map(solo, "abcd"), solo("e", "a", "b"), solo("f", "c"), solo("t", bundles))
    assert keys_needed(skills, "t") == ["a", "b"]
    skills = (*map(solo, "abcd"), solo("e", "a", "b"), solo("f", "c"), solo("t", bundles, "c"))
    assert keys_needed(skills, "t") == ["a", "c"]


def test_a_spotter_may_need_something_too():
    skills = by_key(solo("a"), skill("w", {"solo": role(), "spotter": role(need("a"), low=0)}))
    assert needed_for(skills, "w", "spotter") == (need("a"),)


@pytest.mark.parametrize("others", [(), (need("a"),)])
def test_a_deep_tree_is_no_trouble(others):
    tree = deep(3_000, need("a"), others=others)
    skills = by_key(solo("a"), solo("b", tree), duo("c", need("b")))
    assert len(leaves(tree)) == 3_000 * len(others) + 1
    assert faults(skills) == ()
    assert warnings(skills) == ()
    assert opens_next(skills, [need("a")]) == (("b", "solo"), ("c", "flyer"))
    assert needed_for(skills, "b", "solo") == (need("a"),)


@pytest.mark.parametrize("kind", [AllOf, AnyOf])
@pytest.mark.parametrize("first", [True, False])
def test_a_deep_tree_of_one_kind_is_no_trouble(kind, first):
    tree = need("a")
    for _ in range(3_000):
        tree = kind((tree, need("x")) if first else (need("x"), tree))
    skills = by_key(solo("a"), solo("x"), solo("b", tree))
    assert faults(skills) == ()
    opened = ("b", "solo") in opens_next(skills, [need("a")])
    assert opened is (kind is AnyOf)
    assert len(needed_for(skills, "b", "solo")) == (1 if kind is AnyOf else 2)


def test_a_long_chain_is_no_trouble():
    names = [f"s{number:04}" for number in range(3_000)]
    chain = by_key(solo(names[0]), *(solo(key, before) for before, key in pairwise(names)))
    assert faults(chain) == ()
    assert teaching_order(chain) == tuple((key, "solo") for key in names)
    assert len(needed_for(chain, names[300], "solo")) == 300
    ring = chain | by_key(solo(names[0], names[-1]))
    [fault] = faults(ring)
    assert fault.sentence.count("→") == 2 * 3_000 // 2
