import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.comparison import between_variance, distances, pooled
from tests.engine.comparison.twins import (
    between_by_contrasts,
    facts,
    levels_by_conditioning,
    misfit_of_contrasts,
)

GROUPS = st.lists(st.tuples(st.floats(0, 1), st.floats(0.002, 0.05)), min_size=2, max_size=9).map(
    lambda rows: [np.array(column) for column in zip(*rows, strict=True)]
)


def test_eighteen_batters():
    # Efron and Morris: figures of facts/README.md.
    rows = facts("shrinkage_efron_morris.csv")
    hits = np.array([int(row["hits_first45"]) for row in rows]) / 45
    rest = np.array([float(row["rest_avg"]) for row in rows])
    mean = hits.mean()
    variance = mean * (1 - mean) / 45
    squares = ((hits - mean) ** 2).sum()
    assert (mean, variance, squares) == pytest.approx((0.265432, 0.00433284, 0.0824417), rel=2e-6)

    found = pooled(hits, [variance] * 18)
    assert found.mean == pytest.approx(mean)
    assert found.between == pytest.approx(squares / 17 - variance)
    # The published rule divides by k - 3 where this one divides by k - 1.
    assert 1 - (1 - found.kept) * 15 / 17 == pytest.approx([0.211653] * 18, abs=5.1e-7)
    # What they hit afterwards is far nearer to the pooled figures; theirs: .0213.
    raw, shrunk = (((one - rest) ** 2).sum() for one in (hits, found.levels))
    assert raw == pytest.approx(0.075317, abs=5.1e-7)
    assert shrunk < raw / 3


@given(GROUPS)
def test_the_variance_between_is_that_of_the_likeliest_contrasts(groups):
    y, v = groups
    ours, twin = (
        misfit_of_contrasts(y, v, one)
        for one in (between_variance(y, v), between_by_contrasts(y, v))
    )
    assert ours <= twin + 1e-9


@given(GROUPS)
def test_levels_are_the_normal_vector_given_the_estimates(groups):
    y, v = groups
    found = pooled(y, v)
    levels, spread = levels_by_conditioning(y, v, found.between)
    assert found.levels == pytest.approx(levels, abs=1e-3)
    # That the variance between is guessed too can only add to what is not known.
    assert (found.mean_squared_errors > spread - 1e-3).all()
    assert ((found.levels - found.mean) * (y - found.mean) >= -1e-12).all()
    assert (np.abs(found.levels - found.mean) <= np.abs(y - found.mean) + 1e-12).all()


@given(GROUPS)
def test_distances_are_those_from_all_others(groups):
    y, v = groups
    for one, distance in enumerate(distances(y, v)):
        weight = np.delete(1 / v, one)
        others = np.average(np.delete(y, one), weights=weight)
        assert distance == pytest.approx((y[one] - others) / (v[one] + 1 / weight.sum()) ** 0.5)
    if len(y) == 2:
        assert distances(y, v).sum() == pytest.approx(0, abs=1e-9)


def test_what_says_little_is_drawn_further():
    found = pooled([0.2, 0.8, 0.2, 0.8], [0.001, 0.001, 0.05, 0.05])
    assert found.kept[0] > 0.9 > 0.7 > found.kept[2]
    assert found.kept[:2] == pytest.approx(found.kept[0])


def test_the_same_everywhere_is_one_level_and_not_sure_of_itself():
    found = pooled([0.5, 0.5, 0.5], [0.01, 0.01, 0.01])
    assert (found.between, found.mean) == (0, 0.5)
    # Fay and Herriot's first two terms would say .01 / 3; three groups say little of what is
    # between them, and each is no surer than it was by itself.
    assert found.mean_squared_errors == pytest.approx([0.01 / 3 + 2 * 0.02 / 3] * 3)


def test_intervals_hold_the_true_level_as_often_as_they_say():
    dice = np.random.default_rng(7)
    held = many = 0
    for _ in range(400):
        v = dice.uniform(0.002, 0.02, size=5)
        levels = dice.normal(0.5, 0.08, size=5)
        found = pooled(dice.normal(levels, np.sqrt(v)), v)
        held += (np.abs(found.levels - levels) < 1.96 * np.sqrt(found.mean_squared_errors)).sum()
        many += 5
    assert held / many > 0.94
