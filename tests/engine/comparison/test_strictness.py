from collections import Counter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.comparison import strictness
from tests.engine.comparison import twins

TRIES = st.lists(
    st.tuples(st.integers(0, 7), st.integers(0, 3), st.integers(0, 2)), min_size=4, max_size=40
)
AHEAD = [(0, 0, 2), (1, 0, 1), (4, 0, 2), (5, 0, 0)]  # both sides, two members each


def found(tries):
    """Members 0 to 3 are asked about, the others stand beside them."""
    counts = Counter((member, stratum, outcome) for member, stratum, outcome in tries)
    keys = sorted({(member, stratum) for member, stratum, _ in tries})
    return strictness(
        [[counts[member, stratum, outcome] for outcome in range(3)] for member, stratum in keys],
        here=[member < 4 for member, _ in keys],
        stratum=[stratum for _, stratum in keys],
        member=[member for member, _ in keys],
    )


@given(TRIES)
def test_it_is_what_one_try_after_the_other_comes_to(tries):
    tries = AHEAD + tries
    result = found(tries)
    differences, errors = twins.strictness(
        [(member < 4, stratum, member, outcome) for member, stratum, outcome in tries]
    )
    assert result.differences == pytest.approx(differences, abs=1e-12)
    assert result.standard_errors == pytest.approx(errors, abs=1e-12)
    assert result.differences.sum() == pytest.approx(0, abs=1e-12)


def test_harder_things_do_not_make_a_logger_strict():
    # Both give the same shares in each stratum, one of them has more of the hard one.
    tries = [(0, 0, 2)] * 9 + [(0, 0, 1)] + [(4, 0, 2)] * 90 + [(4, 0, 1)] * 10
    tries += [(0, 1, 2)] * 30 + [(0, 1, 1)] * 70 + [(4, 1, 2)] * 3 + [(4, 1, 1)] * 7
    assert found(tries).differences == pytest.approx([0, 0, 0], abs=1e-12)


def test_nothing_shared_is_nothing_said():
    assert found([(0, 0, 2), (4, 1, 2)]) is None
    assert strictness(np.zeros((0, 3)), here=[], stratum=[], member=[]) is None


def test_one_child_s_many_tries_are_no_many_children():
    once = found(AHEAD * 3)
    often = found(AHEAD * 300)
    assert often.standard_errors == pytest.approx(once.standard_errors)
    assert (often.members, often.others, often.tries) == (2, 2, 600)


def test_errors_are_as_large_as_the_differences_vary():
    dice = np.random.default_rng(3)
    results = []
    for _ in range(300):
        clean = dice.beta(6, 2, size=8)
        tries = [
            (member, int(stratum), 2 if dice.uniform() < clean[member] else 1)
            for member in range(8)
            for stratum in dice.integers(0, 2, size=12)
        ]
        results.append(found(tries))
    spread = np.std([result.differences[2] for result in results])
    typical = np.mean([result.standard_errors[2] for result in results])
    assert typical == pytest.approx(spread, rel=0.15)
