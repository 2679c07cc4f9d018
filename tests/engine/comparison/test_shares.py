import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from engine.comparison import (
    Z_95,
    Z_998,
    funnel_limit,
    funnel_limits,
    wilson,
    within_funnel,
)
from tests.engine.comparison.twins import facts


def test_quantiles():
    assert stats.norm.ppf([0.975, 0.999]) == pytest.approx([Z_95, Z_998], rel=1e-15)


def test_wilson_is_what_is_published():
    for row in facts("wilson.csv"):
        limits = wilson(int(row["successes"]), int(row["n"]))
        assert limits == pytest.approx((float(row["lo95"]), float(row["hi95"])), abs=5.1e-7)


@given(st.integers(1, 400).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_wilson_is_that_of_the_reference_library_and_surprised_by_nothing_inside(counts):
    successes, n = counts
    low, high = wilson(successes, n)
    theirs = stats.binomtest(successes, n).proportion_ci(method="wilson")
    assert (low, high) == pytest.approx((theirs.low, theirs.high), abs=1e-12)
    # The twin: at a limit strictly inside the score test is at its bound.
    for limit in {low, high} - {0.0, 1.0}:
        score = (successes / n - limit) / (limit * (1 - limit) / n) ** 0.5
        assert abs(score) == pytest.approx(Z_95, rel=1e-6)


def test_funnel_limits_are_what_is_published():
    for row in facts("funnel_limits.csv"):
        target, n = float(row["target"]), int(row["n"])
        for column, p in (
            ("exact_lo_0.001", 0.001),
            ("exact_lo_0.025", 0.025),
            ("exact_hi_0.975", 0.975),
            ("exact_hi_0.999", 0.999),
        ):
            # Below nothing no share can fall.
            expected = max(0.0, float(row[column]))
            assert funnel_limit(target, n, p) == pytest.approx(expected, abs=5.1e-7)


@given(st.floats(0.01, 0.99), st.integers(1, 3000), st.sampled_from([0.001, 0.025, 0.5, 0.999]))
def test_funnel_limits_interpolate_the_quantiles_of_the_reference_library(target, n, p):
    limit = funnel_limit(target, n, p) * n
    r = stats.binom.ppf(p, n, target)
    assert max(0, r - 1) - 1e-6 <= limit <= r + 1e-6


@given(
    st.integers(1, 60).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))),
    st.floats(0.01, 0.99),
)
def test_what_chance_gives_is_neither_tail_of_the_reference_library(counts, target):
    successes, n = counts
    few, many = stats.binom.cdf(successes, n, target), stats.binom.sf(successes - 1, n, target)
    if min(abs(few - 0.001), abs(many - 0.001)) > 1e-9:
        assert within_funnel(successes, n, target, 0.998) == (min(few, many) > 0.001)


@pytest.mark.parametrize("target", [0.0, 1.0])
def test_where_everything_is_alike_chance_gives_nothing_else(target):
    assert funnel_limits(target, 12, 0.998) == (target, target)
    assert within_funnel(int(12 * target), 12, target, 0.998)
    assert not within_funnel(6, 12, target, 0.998)
