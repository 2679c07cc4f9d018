"""Few lines cross: counted one by one, and compared with all orders there are."""

from itertools import combinations, pairwise, permutations, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.layout.crossings import by_mean, crossings, order, places, swap
from engine.layout.layers import Layered


def picture(*sizes, lines):
    """Layers of so many nodes, numbered from the lowest on, and these lines."""
    found = Layered({}, [[] for _ in sizes])
    for layer, size in enumerate(sizes):
        for _ in range(size):
            found.numbers[str(len(found.layer))] = found.add(layer)
    for low, high in lines:
        found.link(low, high)
    return found


SIZES = st.lists(st.integers(1, 4), min_size=2, max_size=4)


@st.composite
def pictures(draw, *, of=SIZES):
    sizes = draw(of)
    found = picture(*sizes, lines=())
    for low, high in pairwise(found.layers):
        for line in sorted(draw(st.sets(st.tuples(st.sampled_from(low), st.sampled_from(high))))):
            found.link(*line)
    return found


def counted(layers, above):
    """A plain twin: every pair of lines."""
    place = places(layers)
    count = 0
    for layer in layers:
        lines = [(place[low], place[high]) for low in layer for high in above[low]]
        count += sum((a - c) * (b - d) < 0 for (a, b), (c, d) in combinations(lines, 2))
    return count


def fewest(found):
    """The least over every order of every layer."""
    orders = product(*map(permutations, found.layers))
    return min(counted(layers, found.above) for layers in orders)


@given(pictures(of=st.tuples(st.integers(1, 6), st.integers(1, 5))))
def test_one_layer_by_the_mean_is_within_its_bound(found):
    """At most d - 1 times the fewest (Li and Stallmann 2002), none where none are needed."""
    low, high = found.layers
    least = min(counted([low, one], found.above) for one in permutations(high))
    by_mean(high, found.below, places(found.layers))
    most = max(map(len, found.below))
    assert counted([low, high], found.above) <= least * max(1, most - 1)


@given(pictures())
def test_swaps_take_crossings_away_until_no_swap_does(found):
    layer = found.layers[1]
    before = counted(found.layers, found.above)
    swap(layer, (found.below, found.above), places(found.layers))
    after = counted(found.layers, found.above)
    assert after <= before
    for at in range(len(layer) - 1):
        other = [*layer]
        other[at : at + 2] = layer[at + 1], layer[at]
        assert counted([found.layers[0], other, *found.layers[2:]], found.above) >= after


@given(pictures())
def test_crossings_are_those_that_one_counts_and_an_order_has_no_more(found):
    layers = [sorted(layer) for layer in found.layers]
    before = counted(found.layers, found.above)
    assert crossings(found.layers, found.above) == before
    order(found)
    assert counted(found.layers, found.above) <= before
    assert [sorted(layer) for layer in found.layers] == layers


# Lines from layer to layer; nodes are numbered from the lowest layer on.
LISTED = {
    "a crossing that a turn takes away": (2, 2, [(0, 3), (1, 2)]),
    "one that nothing takes away": (2, 2, [(0, 2), (0, 3), (1, 2), (1, 3)]),
    "three of each, all with all": (3, 3, [(a, b) for a in range(3) for b in range(3, 6)]),
    "a turned ladder": (3, 3, 3, [(0, 5), (1, 4), (2, 3), (3, 6), (4, 7), (5, 8)]),
    "two that only a turn above sets right": (2, 3, 2, [(0, 3), (1, 2), (1, 4), (4, 5), (2, 6)]),
    "a tree": (1, 2, 4, [(0, 1), (0, 2), (1, 3), (1, 6), (2, 4), (2, 5)]),
    "a ring": (1, 3, 3, 1, [(0, 1), (0, 2), (0, 3), (1, 6), (2, 5), (3, 4), (4, 7), (6, 7)]),
    "two pictures through each other": (2, 2, 2, [(0, 2), (1, 3), (2, 5), (3, 4)]),
    "what many share": (4, 3, [(0, 4), (1, 4), (2, 4), (3, 4), (0, 6), (3, 5), (1, 5)]),
    "one alone between": (3, 3, [(0, 5), (2, 3)]),
}


@pytest.mark.parametrize("name", LISTED)
def test_small_pictures_have_the_fewest_crossings_there_are(name):
    *sizes, lines = LISTED[name]
    found = picture(*sizes, lines=lines)
    least = fewest(found)
    order(found)
    assert counted(found.layers, found.above) == least
