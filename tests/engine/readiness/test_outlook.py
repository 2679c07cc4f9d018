from dataclasses import replace

import numpy as np
import pytest
from scipy.linalg import expm

from engine.progression import AllOf, Leaf
from engine.readiness.outlook import by_date, state_by, untried_prior, untried_state
from engine.readiness.parameters import DEFAULTS
from engine.readiness.readings import Needs, Readings
from tests.engine.readiness.build import two_states
from tests.engine.readiness.cards import seen, skills

PRIOR = DEFAULTS.prior


@pytest.mark.parametrize(
    ("now", "untried", "expected"),
    [
        (0.2, 0.2, PRIOR),
        (0.9, 0.2, PRIOR),
        (0.1, 0.2, (0.5 * 0.35 + 0.5, 0.125, 0.1, 0.1)),
        (0.05, 0.2, (0.25 * 0.35 + 0.75, 0.0625, 0.05, 0.05)),
        (0.0, 0.2, (1.0, 0.0, 0.0, 0.0)),
        (0.0, 0.0, (1.0, 0.0, 0.0, 0.0)),
        (0.1, 0.0, PRIOR),
    ],
)
def test_an_untried_skill_is_as_likely_as_its_needs(now, untried, expected):
    found = untried_prior(now, untried, PRIOR)
    assert found == pytest.approx(expected, abs=1e-15)
    assert sum(found) == pytest.approx(1, abs=1e-15)


CURRICULUM = skills(
    counting=("habit", {"solo": None}),
    plank={"solo": None},
    bridge={"solo": Leaf("plank", "solo", "no_spot")},
    stand={"base": AllOf((Leaf("counting", "solo", "no_spot"), Leaf("plank", "solo", "no_spot")))},
)
WEAK = seen((0.5, 0.3, 0.1, 0.1), days_ago=3)
TICKED = seen((1.0, 0.0, 0.0, 0.0), days_ago=3, cleans=1)


def shown(skill, role, evidence):
    readings = Readings(Needs(CURRICULUM), evidence, DEFAULTS)
    return untried_state(readings, skill, role, DEFAULTS)


def test_what_is_shown_of_an_untried_skill():
    assert shown("plank", "solo", {}) == PRIOR
    assert shown("bridge", "solo", {}) == pytest.approx(PRIOR)
    assert shown("bridge", "solo", {("plank", "solo"): WEAK}) == pytest.approx(
        (0.5 * 0.35 + 0.5, 0.125, 0.1, 0.1)
    )


def test_a_habit_stands_as_it_is():
    both = {("counting", "solo"): TICKED, ("plank", "solo"): WEAK}
    assert shown("stand", "base", both) == pytest.approx((0.5 * 0.35 + 0.5, 0.125, 0.1, 0.1))
    assert shown("stand", "base", {("counting", "solo"): TICKED}) == pytest.approx(PRIOR)
    assert shown("stand", "base", {("plank", "solo"): WEAK}) == (1.0, 0.0, 0.0, 0.0)


def test_lessons_ahead_are_forgetting_then_practice():
    """Against matrices: state · expm(7F) P P · expm(14F) P P (scipy.linalg.expm)."""
    rates = DEFAULTS.forgetting_per_day
    generator = np.diag([-rate for rate in rates]) + np.diag(rates[1:], -1)
    practice = np.array(DEFAULTS.practice)
    expected = np.array(PRIOR)
    for gap in (7, 14):
        expected = expected @ expm(generator * gap) @ practice @ practice
    np.testing.assert_allclose(state_by(PRIOR, [7, 14], 2, DEFAULTS), expected, atol=1e-14)


def test_no_lesson_and_no_try_change_nothing_else():
    assert state_by(PRIOR, [], 3, DEFAULTS) == PRIOR
    assert state_by(PRIOR, [0.0], 0, DEFAULTS) == PRIOR


EDGES = [(0.0999999, "unlikely"), (0.10, "perhaps"), (0.50, "perhaps"), (0.5000001, "likely")]


@pytest.mark.parametrize(("chance", "word"), EDGES)
def test_words_by_a_date(chance, word):
    assert by_date((1 - chance, 0.0, 0.0, chance), [], 1, DEFAULTS) == word


def test_a_term_of_practice_brings_it_near():
    near = (0.0, 0.0, 1.0, 0.0)
    assert by_date(near, [7.0], 1, DEFAULTS) == "unlikely"
    assert by_date(near, [7.0] * 2, 2, DEFAULTS) == "perhaps"
    assert by_date(near, [7.0] * 12, 3, DEFAULTS) == "likely"
    still = replace(DEFAULTS, practice=tuple(map(tuple, np.eye(4).tolist())))
    assert by_date(near, [7.0] * 12, 3, still) == "unlikely"


def test_two_states_look_ahead_too():
    parameters = two_states(known=0.4, learn=0.2, guess=0.1, slip=0.1)
    assert state_by((0.6, 0.4), [7, 7], 1, parameters) == pytest.approx((0.384, 0.616))
