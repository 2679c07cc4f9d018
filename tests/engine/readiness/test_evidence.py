from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from engine.readiness.chain import Belief
from engine.readiness.evidence import Evidence, read
from engine.readiness.parameters import DEFAULTS
from tests.engine.readiness import twin
from tests.engine.readiness.build import two_states

AS_OF = datetime(2026, 3, 20, 16, 0, tzinfo=UTC)
TODAY = date(2026, 3, 20)

UNTRIED = Belief(DEFAULTS.prior, None, 0, 0, (None, None, None), 0, 0)


def evidence(
    no_spot=0.95,
    *,
    counted=5,
    days=2,
    clean_days_ago=7,
    cleans=3,
    clean_dates=2,
    seen_ago=timedelta(days=7),
):
    """Evidence of the given P(no_spot), the rest in hands_near."""
    clean_on = None if clean_days_ago is None else TODAY - timedelta(days=clean_days_ago)
    belief = Belief(
        state=(0.0, 0.0, 0.0, 1.0),
        last_at=AS_OF - seen_ago,
        counted=counted,
        days=days,
        last_clean_on=(None, None, clean_on),
        clean_unspotted=cleans,
        clean_unspotted_days=clean_dates,
    )
    return Evidence(belief, (0.0, 0.0, 1 - no_spot, no_spot), AS_OF, TODAY)


# -- reading -----------------------------------------------------------------------------------


def test_a_belief_decays_to_the_moment_it_is_read():
    belief = replace(UNTRIED, state=(0.1, 0.2, 0.3, 0.4), last_at=AS_OF, counted=1, days=1)
    later = AS_OF + timedelta(days=10, hours=12)
    found = read(
        {"a": belief, "b": UNTRIED}, as_of=later, on=date(2026, 3, 31), parameters=DEFAULTS
    )
    expected = twin.decayed(belief.state, 10.5, DEFAULTS.forgetting_per_day)
    assert found["a"].state == pytest.approx(expected, rel=1e-14)
    assert found["a"].belief is belief
    assert (found["a"].as_of, found["a"].on) == (later, date(2026, 3, 31))
    assert found["b"].state == DEFAULTS.prior
    assert (found["a"].tried, found["b"].tried) == (True, False)


def test_read_before_the_last_try_it_is_as_after_that_try():
    belief = replace(UNTRIED, state=(0.1, 0.2, 0.3, 0.4), last_at=AS_OF, counted=1)
    for earlier in (timedelta(0), timedelta(days=400)):
        found = read({0: belief}, as_of=AS_OF - earlier, on=TODAY, parameters=DEFAULTS)
        assert found[0].state == (0.1, 0.2, 0.3, 0.4)


def test_nothing_to_read():
    assert read({}, as_of=AS_OF, on=TODAY, parameters=DEFAULTS) == {}


def test_evidence_has_the_four_states():
    parameters = two_states(known=0.5, learn=0.1, guess=0.1, slip=0.1)
    with pytest.raises(ValueError, match=r"^evidence is read with 4 states, not 2$"):
        read({}, as_of=AS_OF, on=TODAY, parameters=parameters)


# -- words and numbers -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("no_spot", "word"),
    [
        (0.0, "not yet"),
        (0.1999, "not yet"),
        (0.20, "on the way"),
        (0.4999, "on the way"),
        (0.50, "mostly"),
        (0.7999, "mostly"),
        (0.80, "nearly always"),
        (0.8999, "nearly always"),
        (0.90, "steady"),
        (1.0, "steady"),
    ],
)
def test_words(no_spot, word):
    assert evidence(no_spot).word == word


def test_never_tried_has_its_own_word_and_no_likely_help():
    untried = Evidence(UNTRIED, (0.0, 0.0, 0.0, 1.0), AS_OF, TODAY)
    assert (untried.word, untried.likely, untried.percent) == ("not tried", None, None)


def test_without_the_cleans_of_a_steady_child_it_is_nearly_always():
    assert evidence(0.99, cleans=2).word == "nearly always"


@pytest.mark.parametrize(
    ("change", "steady"),
    [
        ({}, True),
        ({"no_spot": 0.9}, True),
        ({"no_spot": 0.8999999}, False),
        ({"cleans": 2}, False),
        ({"cleans": 4}, True),
        ({"clean_dates": 1}, False),
        ({"clean_dates": 3}, True),
        ({"clean_days_ago": 28}, True),
        ({"clean_days_ago": 29}, False),
        ({"clean_days_ago": 0}, True),
        ({"clean_days_ago": None}, False),
    ],
    ids=str,
)
def test_steady(change, steady):
    assert evidence(**change).steady is steady


def test_a_clean_under_a_spot_makes_nobody_steady():
    spotted = evidence()
    belief = replace(spotted.belief, last_clean_on=(TODAY, TODAY, None))
    assert replace(spotted, belief=belief).steady is False


DAY = timedelta(days=1)


@pytest.mark.parametrize(
    ("change", "percent"),
    [
        ({}, 100),
        ({"no_spot": 0.94}, 90),
        ({"no_spot": 0.96}, 100),
        ({"no_spot": 0.04}, 0),
        ({"no_spot": 0.06}, 10),
        ({"no_spot": 0.25}, 20),
        ({"no_spot": 0.75}, 80),
        ({"counted": 4}, None),
        ({"counted": 6}, 100),
        ({"days": 1}, None),
        ({"days": 3}, 100),
        ({"seen_ago": 60 * DAY - timedelta(microseconds=1)}, 100),
        ({"seen_ago": 60 * DAY}, None),
        ({"seen_ago": -DAY}, 100),
    ],
    ids=str,
)
def test_a_number_only_where_there_is_enough(change, percent):
    assert evidence(**{"no_spot": 0.96, **change}).percent == percent


@pytest.mark.parametrize(
    ("state", "likely"),
    [
        ((0.7, 0.1, 0.1, 0.1), "not_yet"),
        ((0.1, 0.4, 0.3, 0.2), "hands_on"),
        ((0.1, 0.2, 0.4, 0.3), "hands_near"),
        ((0.1, 0.2, 0.3, 0.4), "no_spot"),
        ((0.1, 0.4, 0.1, 0.4), "hands_on"),
        ((0.25, 0.25, 0.25, 0.25), "not_yet"),
    ],
)
def test_the_likely_help_is_the_most_probable_the_lower_of_two(state, likely):
    assert replace(evidence(), state=state).likely == likely


@pytest.mark.parametrize("spot", [0, 1, 2])
def test_one_clean_under_any_spot_ticks_a_habit(spot):
    cleans = [None, None, None]
    cleans[spot] = TODAY
    ticked = evidence()
    assert replace(ticked, belief=replace(ticked.belief, last_clean_on=tuple(cleans))).ticked
    assert not replace(ticked, belief=UNTRIED).ticked
