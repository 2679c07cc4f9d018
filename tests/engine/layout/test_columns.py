"""The columns: distances kept, and the least lean that a reference solver finds."""

from itertools import pairwise

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linprog

from engine.layout.columns import WEIGHTS, columns
from tests.engine.layout.test_crossings import picture, pictures


@st.composite
def bent(draw):
    """A picture of which the last numbers are bends, and the widths of all."""
    found = draw(pictures())
    for name in list(found.numbers)[draw(st.integers(0, len(found.numbers))) :]:
        del found.numbers[name]
    size = st.sampled_from([2, 4, 8])
    return found, draw(st.lists(size, min_size=len(found.layer), max_size=len(found.layer)))


def weight(found, low, high):
    return WEIGHTS[sum(number >= len(found.numbers) for number in (low, high))]


def lean(found, x):
    return sum(
        weight(found, low, high) * abs(x[low] - x[high])
        for low, ends in enumerate(found.above)
        for high in ends
    )


def least_lean(found, widths):
    """The same as a linear programme, by HiGHS."""
    lines = [(low, high) for low, ends in enumerate(found.above) for high in ends]
    count = len(widths)
    rows, limits = [], []

    def say(limit, **parts):
        rows.append(np.zeros(count + len(lines)))
        limits.append(limit)
        for at, factor in parts.values():
            rows[-1][at] = factor

    for at, (low, high) in enumerate(lines, count):
        say(0, one=(low, 1), other=(high, -1), lean=(at, -1))
        say(0, one=(low, -1), other=(high, 1), lean=(at, -1))
    for layer in found.layers:
        for one, other in pairwise(layer):
            say(-(widths[one] + widths[other]) / 2, one=(one, 1), other=(other, -1))
    if not rows:
        return 0
    cost = [0] * count + [weight(found, *line) for line in lines]
    return linprog(cost, A_ub=np.array(rows), b_ub=limits, method="highs").fun


@given(bent())
def test_lines_lean_as_little_as_they_can(case):
    found, widths = case
    x = columns(found, widths)
    for layer in found.layers:
        for one, other in pairwise(layer):
            assert x[other] - x[one] >= (widths[one] + widths[other]) / 2
    assert min(at - width / 2 for at, width in zip(x, widths, strict=True)) >= 0
    assert abs(lean(found, x) - least_lean(found, widths)) < 1e-6


def test_room_is_shared_on_both_sides():
    found = picture(3, 1, 2, lines=[(0, 3), (1, 3), (2, 3)])
    assert columns(found, [8] * 6) == [4, 12, 20, 12, 8, 16]
    assert columns(picture(lines=()), []) == []


def test_a_long_line_stands_straight_and_the_short_ones_lean():
    """Two bends in the middle: what is at the ends of the line gives way."""
    found = picture(2, 2, 2, 2, lines=[(0, 2), (2, 4), (4, 6), (1, 3), (5, 7)])
    found.numbers = {name: at for name, at in found.numbers.items() if at < 2}
    x = columns(found, [8, 8, *[2] * 6])
    assert x[2] == x[4] == x[6] == x[0]
