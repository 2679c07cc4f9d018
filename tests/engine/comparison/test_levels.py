import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.comparison import adjusted, comparable, without_difficulty
from tests.engine.comparison import twins


@st.composite
def tried(draw):
    """Rows of (member, item, group), each member with one to four of five items."""
    groups = draw(st.lists(st.integers(0, 2), min_size=3, max_size=12))
    groups[:3] = [0, 1, 2]
    rows = []
    for member, group in enumerate(groups):
        items = draw(st.sets(st.integers(0, 4), min_size=1, max_size=4))
        rows += [(member, item, group) for item in items | ({0} if member < 3 else set())]
    member, item, group = (np.array(column) for column in zip(*rows, strict=True))
    item = np.unique(item, return_inverse=True)[1]
    value = draw(st.lists(st.floats(0, 1), min_size=len(rows), max_size=len(rows)).map(np.array))
    return value, member, item, group


@given(tried())
def test_difficulty_is_taken_out_as_one_large_design_does(rows):
    value, member, item, group = rows
    found = without_difficulty(value, member=member, item=item, group=group)
    assert found == pytest.approx(twins.without_difficulty(*rows), abs=1e-8)
    raw = np.bincount(member, value) / np.bincount(member)
    assert found.mean() == pytest.approx(raw.mean(), abs=1e-9)


def test_hard_things_make_nobody_weaker():
    """The second group tries the hard thing more; by what both tried they are alike."""
    rows = [(0, 0, 0), (0, 1, 0), (1, 0, 0), (2, 0, 1), (2, 1, 1), (3, 1, 1)]
    member, item, group = (np.array(column) for column in zip(*rows, strict=True))
    value = np.where(item == 0, 0.9, 0.3)
    found = without_difficulty(value, member=member, item=item, group=group)
    assert found == pytest.approx([0.6] * 4)


@given(st.integers(0, 2**32 - 1), st.integers(2, 5))
def test_levels_are_those_of_one_design_matrix(seed, groups):
    dice = np.random.default_rng(seed)
    group = np.concatenate([np.arange(groups), dice.integers(0, groups, size=14)])
    x = dice.normal(9, 2, size=(len(group), 2))
    y = dice.uniform(size=len(group))
    found = adjusted(y, group=group, covariates=x)
    means, variances, slopes, errors, residual = twins.adjusted(y, group, x)
    assert found.means == pytest.approx(means, abs=1e-9)
    assert found.variances == pytest.approx(variances, abs=1e-9)
    assert found.slopes == pytest.approx(slopes, abs=1e-9)
    assert found.slope_errors == pytest.approx(errors, abs=1e-9)
    assert found.residual == pytest.approx(residual, abs=1e-9)


def test_an_older_group_is_not_taken_for_a_further_one():
    age = np.array([6, 7, 8, 9, 10, 11, 12, 13], dtype=float)
    group = np.array([0, 0, 0, 0, 1, 1, 1, 1])
    noise = np.array([0.01, -0.01, -0.01, 0.01] * 2)
    found = adjusted(0.05 * age + noise, group=group, covariates=age[:, None])
    assert found.slopes == pytest.approx([0.05])
    assert found.means == pytest.approx([0.475, 0.475])


def test_a_covariate_that_is_one_for_each_group_adjusts_nothing():
    group = np.array([0, 0, 0, 1, 1, 1])
    y = np.array([0.1, 0.2, 0.3, 0.5, 0.6, 0.7])
    found = adjusted(y, group=group, covariates=group[:, None] * 3.0)
    assert found.means == pytest.approx([0.2, 0.6])
    assert found.variances == pytest.approx([0.01 / 3] * 2)


@pytest.mark.parametrize(
    ("pairs", "expected"),
    [
        ([(0, 0), (1, 0), (2, 1)], [0, 1]),
        ([(0, 0), (1, 0), (1, 1), (2, 1), (3, 2)], [0, 1, 2]),
        ([(0, 0), (1, 1)], [0]),
        ([(3, 0), (2, 0), (0, 1)], [2, 3]),
        ([], []),
    ],
)
def test_who_can_be_compared_at_all(pairs, expected):
    group, item = zip(*pairs, strict=True) if pairs else ((), ())
    assert comparable(group, item).tolist() == expected


def test_a_long_chain_of_shared_items_links_all():
    group = [one for step in range(30) for one in (step, step + 1)]
    item = [step for step in range(30) for _ in range(2)]
    assert comparable(group, item).tolist() == list(range(31))
