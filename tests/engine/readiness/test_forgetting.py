"""The decay against scipy.linalg.expm (Padé approximation, SciPy 1.17) and exact cases."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.linalg import expm

from engine.readiness import forgetting
from engine.readiness.forgetting import decay
from engine.readiness.parameters import DEFAULTS
from tests.engine.readiness import twin
from tests.engine.readiness.build import two_states

SURE = (0.0, 0.0, 0.0, 1.0)
MIXED = (0.1, 0.2, 0.3, 0.4)


def with_rates(*rates):
    return replace(DEFAULTS, forgetting_per_day=(0.0, *rates))


def by_scipy(state, days, rates):
    """The states are shuffled first, because scipy's own way with triangular matrices divides by
    differences of rates and is wrong in the seventh digit where they are almost equal."""
    shuffled = np.array([2, 0, 3, 1])
    generator = np.diag([0.0, *(-rate for rate in rates)]) + np.diag(rates, -1)
    exponential = np.empty((4, 4))
    exponential[np.ix_(shuffled, shuffled)] = expm(generator[np.ix_(shuffled, shuffled)] * days)
    return np.array(state) @ exponential


def scipys_error(days, rates):
    """Plain squaring doubles what rounding has left, so it grows with rate times days."""
    return 1e-13 + 2e-16 * max(rates) * days


@pytest.mark.parametrize(
    "rates",
    [
        (0.002, 0.002, 0.003),
        (0.3, 0.3, 0.3),
        (0.3, 0.3, 0.1),
        (0.1, 0.3, 0.3),
        (0.3, 0.1, 0.3),
        (1.0, 1e-9, 1e-3),
        (1e-9, 1.0, 1e-3),
        (0.3, 0.0, 0.3),
        (0.0, 0.0, 0.3),
        (1e-13, 1e-13, 1e-13),
        (0.3, 0.3 + 1e-12, 0.3 - 1e-12),
    ],
    ids=str,
)
@pytest.mark.parametrize("days", [0, 1e-10, 1e-3, 0.25, 1, 7, 56, 365, 3650, 1e6])
def test_decay_is_the_matrix_exponential(rates, days):
    for state in (SURE, MIXED):
        found = decay([state], [days], with_rates(*rates))[0]
        scipys = by_scipy(state, days, rates)
        np.testing.assert_allclose(found, scipys, rtol=0, atol=scipys_error(days, rates))
        assert found.min() >= 0
        assert abs(found.sum() - 1) < 1e-13


@given(
    st.tuples(*[st.one_of(st.just(0.0), st.floats(1e-12, 1e3), st.just(0.01))] * 3),
    st.floats(0, 1e4),
)
def test_decay_of_any_rates(rates, days):
    found = decay([MIXED], [days], with_rates(*rates))[0]
    scipys = by_scipy(MIXED, days, rates)
    np.testing.assert_allclose(found, scipys, rtol=0, atol=scipys_error(days, rates))
    assert abs(found.sum() - 1) < 1e-13


EACH_SIDE_OF_A_HALVING = [0.1, 0.2499999, 0.25, 0.2500001, 0.26, 0.49, 0.5, 0.51, 1, 1.01, 3.99, 31]


@pytest.mark.parametrize("x", EACH_SIDE_OF_A_HALVING)
def test_equal_rates_give_the_poisson_law(x):
    """Equal rates: going down is a Poisson process stopped at the lowest state (closed form)."""
    steps = [math.exp(-x) * x**k / math.factorial(k) for k in range(3)]
    expected = [1 - sum(steps), steps[2], steps[1], steps[0]]
    found = decay([SURE], [x / 0.5], with_rates(0.5, 0.5, 0.5))[0]
    np.testing.assert_allclose(found, expected, rtol=0, atol=1e-15)


@pytest.mark.parametrize("days", [0.1, 10, 400, 1e5, 1e9])
def test_one_rate_alone_halves_as_a_half_life_does(days):
    """Two states: the upper one keeps exp(-rate · days) of its share, even over ages."""
    parameters = two_states(known=1, learn=0, guess=0.1, slip=0.1, forget=math.log(2) / 400)
    found = decay([(0.25, 0.75)], [days], parameters)[0]
    kept = 0.75 * 0.5 ** (days / 400)
    np.testing.assert_allclose(found, [1 - kept, kept], rtol=1e-13, atol=1e-300)


def test_the_greatest_rate_and_gap_leave_the_lowest_state():
    parameters = with_rates(1e12, 1e12, 1e12)
    found = decay([SURE], [3.65e6], parameters)[0]
    assert found.tolist() == [pytest.approx(1.0, abs=1e-15), 0.0, 0.0, 0.0]


def test_no_time_and_no_forgetting_change_nothing():
    assert decay([MIXED], [0], DEFAULTS)[0].tolist() == list(MIXED)
    assert decay([MIXED], [1000], with_rates(0, 0, 0))[0].tolist() == list(MIXED)


def test_many_states_decay_each_by_its_own_days():
    days = [0, 7, 100, 1e4]
    found = decay([SURE, MIXED, SURE, MIXED], days, DEFAULTS)
    assert found.shape == (4, 4)
    for row, state, gap in zip(found, [SURE, MIXED, SURE, MIXED], days, strict=True):
        assert row.tolist() == decay([state], [gap], DEFAULTS)[0].tolist()
    assert decay([], [], DEFAULTS).shape == (0, 4)


def test_negative_days_are_refused():
    with pytest.raises(ValueError, match=r"^days should not be negative$"):
        decay([MIXED, MIXED], [0, -1e-9], DEFAULTS)


def test_the_series_is_long_enough_for_what_it_is_used_on():
    small, terms = forgetting.SMALL, forgetting.TERMS
    assert small ** (terms + 1) / math.factorial(terms + 1) < 3e-18
    assert small == 2.0**-forgetting.HALVINGS_TO_SMALL


def test_the_twin_decays_alike():
    for days in (0, 0.5, 7, 365, 4000):
        found = decay([MIXED], [days], DEFAULTS)[0]
        plain = twin.decayed(MIXED, days, DEFAULTS.forgetting_per_day)
        np.testing.assert_allclose(found, plain, rtol=0, atol=1e-14)


def test_a_summer_costs_what_the_defaults_say():
    """P(no spot) of .98 falls to .83 over eight weeks (the source of the default rates)."""
    assert round(decay([(0, 0, 0.02, 0.98)], [56], DEFAULTS)[0][3], 2) == 0.83


@pytest.mark.parametrize("state", [SURE, (0, 0, 0.02, 0.98), MIXED])
def test_a_break_of_eight_weeks_keeps_most_of_the_gain(state):
    """Retention (Tatel and Ackerman, meta-analysis of 1,344 effects, doi 10.1037/bul0000481):
    half of a gain is gone after about 6.5 to 13 months without practice, so after eight weeks
    about .82 to .88 is kept (the exponential reading of it is ours). The rate between the upper
    two states sets it, and never does the child end below where she began."""
    before = np.array(state)
    after = decay([state], [56], DEFAULTS)[0]
    assert 0.82 <= after[3] / before[3] <= 0.88
    ready_before, ready_after = before[1:].sum(), after[1:].sum()
    prior = np.array(DEFAULTS.prior)
    assert ready_after < ready_before
    if ready_before > prior[1:].sum():
        assert ready_after > ready_before - 0.2 * (ready_before - prior[1:].sum())


def test_readiness_falls_with_every_day():
    tail = decay([SURE] * 200, range(200), DEFAULTS)[:, 3]
    assert (np.diff(tail) < 0).all()
