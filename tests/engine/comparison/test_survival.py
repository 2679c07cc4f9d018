import math
import warnings

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from engine.comparison import kaplan_meier, log_rank
from tests.engine.comparison.twins import facts, survival_by_redistribution

# Freireich and others' trial: weeks in remission, and whether it ended; facts/README.md.
TREATED = (
    [6, 6, 6, 7, 10, 13, 16, 22, 23, 6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35],
    [True] * 9 + [False] * 12,
)
PLACEBO = (
    [1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23],
    [True] * 21,
)
LOOKS = st.lists(st.tuples(st.integers(0, 12), st.booleans()), min_size=1, max_size=25)


@pytest.mark.parametrize(
    ("group", "sample", "median"), [("6-MP", TREATED, 23), ("placebo", PLACEBO, 8)]
)
def test_the_published_trial(group, sample, median):
    curve = kaplan_meier(*sample)
    rows = [row for row in facts("km_freireich.csv") if row["group"] == group]
    for name, column in (("times", "time"), ("at_risk", "n_at_risk"), ("events", "events")):
        assert getattr(curve, name).tolist() == [float(row[column]) for row in rows]
    assert curve.survival == pytest.approx([float(row["S_km"]) for row in rows], abs=5.1e-7)
    errors = [float(row["SE_greenwood"]) for row in rows]
    assert curve.standard_error == pytest.approx(errors, abs=5.1e-7, nan_ok=True)
    assert curve.median == median


def test_the_median_of_the_trial_with_its_limits():
    treated, placebo = kaplan_meier(*TREATED), kaplan_meier(*PLACEBO)
    # As the reference library's limits of the survival cross one half: 13 to beyond the last look.
    assert treated.median_limits() == (13, None)
    assert placebo.median_limits() == (4, 11)
    assert treated.median_limits(0.0) == (23, 23)


@given(LOOKS)
def test_it_is_the_curve_of_the_reference_library_and_of_the_slow_twin(looks):
    times, happened = zip(*looks, strict=True)
    curve = kaplan_meier(times, happened)
    twin = survival_by_redistribution(times, happened)
    assert curve.times.tolist() == sorted(twin)
    assert curve.survival == pytest.approx([twin[time] for time in sorted(twin)], abs=1e-12)

    seen = [time for time, event in looks if event]
    lost = [time for time, event in looks if not event]
    theirs = stats.ecdf(stats.CensoredData(uncensored=seen, right=lost)).sf
    assert curve.survival == pytest.approx(theirs.evaluate(curve.times), abs=1e-12)
    with np.errstate(all="ignore"), warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)
        limits = theirs.confidence_interval(method="log-log")
    there = curve.survival > 1e-9
    for ours, reference in zip(curve.limits(), (limits.low, limits.high), strict=True):
        assert ours[there] == pytest.approx(reference.evaluate(curve.times[there]), abs=1e-9)
        assert np.isnan(ours[~there]).all()
    low, high = curve.limits()
    assert (low[there] <= curve.survival[there]).all()
    assert (curve.survival[there] <= high[there]).all()


def test_the_log_rank_of_the_trial():
    # Computed with lifelines and statsmodels: 16.7929, with 9 ended where 19.2505 were expected;
    # the simple sum of (O - E)^2 / E would be 15.233.
    times, happened = ([*a, *b] for a, b in zip(TREATED, PLACEBO, strict=True))
    treated = [True] * 21 + [False] * 21
    found = log_rank(times, happened, here=treated)
    assert found < 0
    assert found**2 == pytest.approx(16.792940989216547)
    assert log_rank(times, happened, here=[not one for one in treated]) == pytest.approx(-found)


@given(LOOKS, LOOKS)
def test_the_log_rank_is_that_of_the_reference_library(here, there):
    times, happened = zip(*here, *there, strict=True)
    found = log_rank(times, happened, here=[True] * len(here) + [False] * len(there))
    samples = [
        stats.CensoredData(
            uncensored=[time for time, event in looks if event],
            right=[time for time, event in looks if not event],
        )
        for looks in (here, there)
    ]
    with np.errstate(all="ignore"):
        theirs = stats.logrank(*samples).statistic
    assert abs(found) == pytest.approx(abs(np.nan_to_num(theirs)), abs=1e-9)


def test_while_it_has_happened_to_nobody_there_is_no_median():
    curve = kaplan_meier([3, 5, 9], [False, False, False])
    assert curve.times.size == 0
    assert (curve.median, curve.median_limits()) == (None, (None, None))


def test_to_half_of_them_at_once():
    curve = kaplan_meier([0, 0, 4, 6], [True, True, False, True])
    assert curve.median == 0
    assert math.isnan(curve.standard_error[-1])
