import json
import math
from operator import attrgetter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.files import BadFile
from engine.readiness.prerequisites import (
    AllOf,
    AnyOf,
    Chance,
    Combined,
    combine,
    deciding,
    run_combine,
)


def answer(content):
    return json.loads(run_combine(json.dumps(content)))


def leaf(p, label="a"):
    return {"p": p, "label": label}


def test_a_lone_leaf_is_a_tree():
    assert answer(leaf(0.93, "bridge · solo · no_spot")) == {
        "decides": {"p": 0.93, "label": "bridge · solo · no_spot"},
        "probability": 0.93,
        "at_least": 0.93,
        "at_most": 0.93,
    }


def test_all_of_hangs_on_the_least():
    found = answer({"all_of": [leaf(0.9, "a"), leaf(0.8, "b"), leaf(0.85, "c")]})
    assert found == {
        "decides": {"p": 0.8, "label": "b"},
        "probability": pytest.approx(0.612),
        "at_least": pytest.approx(0.55),
        "at_most": 0.8,
    }


def test_any_of_hangs_on_the_greatest():
    found = answer({"any_of": [leaf(0.2, "a"), leaf(0.5, "b"), leaf(0.1, "c")]})
    assert found == {
        "decides": {"p": 0.5, "label": "b"},
        "probability": pytest.approx(1 - 0.8 * 0.5 * 0.9),
        "at_least": 0.5,
        "at_most": pytest.approx(0.8),
    }


def test_bounds_stop_at_zero_and_one():
    assert answer({"all_of": [leaf(0.5), leaf(0.4)]})["at_least"] == 0
    assert answer({"any_of": [leaf(0.7), leaf(0.6)]})["at_most"] == 1


def test_the_first_in_reading_order_on_a_tie():
    for kind in ("all_of", "any_of"):
        tree = {kind: [leaf(0.6, "a"), {kind: [leaf(0.6, "b"), leaf(0.6, "c")]}]}
        assert answer(tree)["decides"] == {"p": 0.6, "label": "a"}
        tree[kind].reverse()
        assert answer(tree)["decides"] == {"p": 0.6, "label": "b"}


def test_a_part_counts_by_its_own_deciding_leaf():
    """The way over two skills hangs on its weaker one, .7, and still beats the other way, .6."""
    tree = {
        "all_of": [
            leaf(0.9, "hold"),
            {"any_of": [leaf(0.6, "step"), {"all_of": [leaf(0.95, "lean"), leaf(0.7, "grip")]}]},
        ]
    }
    found = answer(tree)
    ways = 1 - 0.4 * (1 - 0.95 * 0.7)
    assert found == {
        "decides": {"p": 0.7, "label": "grip"},
        "probability": pytest.approx(0.9 * ways),
        "at_least": pytest.approx(0.9 + max(0.6, 0.95 + 0.7 - 1) - 1),
        "at_most": pytest.approx(0.9),
    }


def test_a_leaf_may_be_any_value_whose_probability_can_be_asked():
    tree = AllOf(("bridge", AnyOf(("lean", "grip"))))
    p_of = {"bridge": 0.9, "lean": 0.3, "grip": 0.5}.__getitem__
    assert deciding(tree, p_of) == (0.5, "grip")
    assert combine(tree, p_of) == Combined(
        decides="grip",
        p=0.5,
        probability=pytest.approx(0.9 * 0.65),
        at_least=pytest.approx(0.4),
        at_most=pytest.approx(0.8),
    )
    assert deciding("bridge", p_of) == (0.9, "bridge")


def test_a_deep_tree_within_the_reader_s_limit():
    tree = leaf(0.5)
    for _ in range(90):
        tree = {"all_of": [tree]}
    assert answer(tree)["probability"] == 0.5


P = attrgetter("p")

chances = st.floats(0, 1)
trees = st.recursive(
    st.builds(Chance, chances, st.integers()),
    lambda parts: st.builds(
        lambda kind, children: kind(tuple(children)),
        st.sampled_from([AllOf, AnyOf]),
        st.lists(parts, min_size=1, max_size=4),
    ),
    max_leaves=12,
)


def value(tree):
    if isinstance(tree, Chance):
        return tree.p
    return (min if isinstance(tree, AllOf) else max)(map(value, tree.parts))


def leaves(tree):
    return (
        [tree] if isinstance(tree, Chance) else [one for part in tree.parts for one in leaves(part)]
    )


@given(trees)
def test_laws_of_any_tree(tree):
    found = combine(tree, P)
    assert found.p == found.decides.p == value(tree)
    assert found.decides in leaves(tree)
    assert -1e-12 <= found.at_least <= found.probability + 1e-12
    assert found.probability <= found.at_most + 1e-12 <= 1 + 2e-12
    assert found.at_least <= found.decides.p <= found.at_most


@given(st.lists(st.booleans(), min_size=1, max_size=6), st.sampled_from([AllOf, AnyOf]))
def test_certain_leaves_are_plain_logic(facts, kind):
    tree = kind(tuple(Chance(float(fact), number) for number, fact in enumerate(facts)))
    true = float((all if kind is AllOf else any)(facts))
    found = combine(tree, P)
    assert (found.decides.p, found.probability, found.at_least, found.at_most) == (true,) * 4


@given(st.lists(st.integers(0, 20), min_size=2, max_size=4))
def test_frechet_bounds_are_reached(twentieths):
    """Fréchet's bounds are attained by laying the events, as intervals of a circle of chance,
    end to end (least overlap) or all from one point (greatest overlap)."""
    shares = [count / 20 for count in twentieths]
    covered = [0] * 20
    start = 0
    for count in twentieths:
        for step in range(count):
            covered[(start + step) % 20] += 1
        start += count
    nested = [sum(cell < count for count in twentieths) for cell in range(20)]
    every = len(twentieths)
    both = combine(AllOf(tuple(shares)), float)
    either = combine(AnyOf(tuple(shares)), float)
    assert math.isclose(both.at_most, nested.count(every) / 20, abs_tol=1e-12)
    assert math.isclose(either.at_least, sum(cell > 0 for cell in nested) / 20, abs_tol=1e-12)
    assert math.isclose(either.at_most, sum(cell > 0 for cell in covered) / 20, abs_tol=1e-12)
    missing = [20 - count for count in twentieths]
    uncovered = min(20, sum(missing))  # the gaps laid end to end leave the least in common
    assert math.isclose(both.at_least, (20 - uncovered) / 20, abs_tol=1e-12)


BAD = {
    "not JSON": ("", "", "not JSON: Expecting value (line 1, column 1)"),
    "a list": ([], "", "should be an object"),
    "nothing": ({}, "", "should have all_of, any_of, or p and label"),
    "a number": (0.5, "", "should be an object"),
    "a format key": (
        {"format": "readiness/1", **leaf(0.5)},
        "/format",
        "unknown key; known are all_of, any_of, label, p",
    ),
    "empty all_of": ({"all_of": []}, "/all_of", "should not be empty"),
    "empty any_of inside": (
        {"all_of": [leaf(1), {"any_of": []}]},
        "/all_of/1/any_of",
        "should not be empty",
    ),
    "all_of as an object": ({"all_of": {}}, "/all_of", "should be a list"),
    "any_of as nothing": ({"any_of": None}, "/any_of", "should be a list"),
    "both kinds": (
        {"all_of": [leaf(1)], "any_of": [leaf(1)]},
        "/any_of",
        "unknown key; known are all_of",
    ),
    "a leaf with parts": (
        {"any_of": [leaf(1)], "p": 0.5},
        "/p",
        "unknown key; known are any_of",
    ),
    "p missing": ({"label": "a"}, "/p", "missing"),
    "label missing": ({"all_of": [leaf(1), {"p": 0.5}]}, "/all_of/1/label", "missing"),
    "label empty": (leaf(0.5, ""), "/label", "should not be empty"),
    "label a number": (leaf(0.5, 7), "/label", "should be a text"),
    "p below zero": (leaf(-0.01), "/p", "should be at least 0"),
    "p above one": ({"any_of": [leaf(1.01)]}, "/any_of/0/p", "should be at most 1"),
    "p a text": (leaf("0.5"), "/p", "should be a number"),
    "p true": (leaf(True), "/p", "should be a number"),
    "a part that is a text": ({"all_of": ["a"]}, "/all_of/0", "should be an object"),
    "an unknown key inside": (
        {"all_of": [{**leaf(0.5), "weight": 1}]},
        "/all_of/0/weight",
        "unknown key; known are all_of, any_of, label, p",
    ),
}


@pytest.mark.parametrize(("content", "pointer", "message"), BAD.values(), ids=BAD.keys())
def test_a_bad_tree_gets_one_line_that_points_at_the_field(content, pointer, message):
    text = content if isinstance(content, str) else json.dumps(content)
    with pytest.raises(BadFile) as caught:
        run_combine(text)
    assert caught.value.pointer == pointer
    assert caught.value.message == message


def test_a_tree_too_deep_is_refused_before_it_is_read():
    tree = leaf(0.5)
    for _ in range(110):
        tree = {"all_of": [tree]}
    with pytest.raises(BadFile) as caught:
        run_combine(json.dumps(tree))
    assert (caught.value.pointer, caught.value.message) == ("", "nested deeper than 200")


def test_bytes_are_read_too():
    assert run_combine(b'{"p": 0.1, "label": "a"}') == (
        '{"decides": {"p": 0.1, "label": "a"}, "probability": 0.1, "at_least": 0.1, "at_most": 0.1}'
    )
