import math
from dataclasses import FrozenInstanceError, replace

import pytest

from engine.readiness.parameters import (
    DEFAULTS,
    HELP,
    MOST_FORGETTING_PER_DAY,
    OUTCOMES,
    SPOTS,
    WEIGHTS,
    BadParameters,
    Parameters,
)
from tests.engine.readiness.build import two_states


def with_entry(table, *path_and_value):
    """The nested tuples once more, with one entry replaced."""
    *path, value = path_and_value
    head, *rest = path
    inner = with_entry(table[head], *rest, value) if rest else value
    return (*table[:head], inner, *table[head + 1 :])


def test_the_words_and_their_order():
    assert OUTCOMES == ("not_there", "shaky", "clean")
    assert SPOTS == ("hands_on", "hands_near", "none")
    assert HELP == ("not_yet", "hands_on", "hands_near", "no_spot")
    assert WEIGHTS == {"own": 1.0, "together": 0.35, "summary": 0.5}


def test_the_default_table():
    assert (
        Parameters(
            states=4,
            prior=(0.35, 0.25, 0.20, 0.20),
            emission=(
                ((0.65, 0.25, 0.10), (0.15, 0.30, 0.55), (0.05, 0.15, 0.80), (0.02, 0.08, 0.90)),
                ((0.80, 0.15, 0.05), (0.35, 0.35, 0.30), (0.10, 0.25, 0.65), (0.03, 0.10, 0.87)),
                ((0.90, 0.07, 0.03), (0.60, 0.27, 0.13), (0.25, 0.35, 0.40), (0.04, 0.11, 0.85)),
            ),
            practice=((0.88, 0.12, 0, 0), (0, 0.88, 0.12, 0), (0, 0, 0.92, 0.08), (0, 0, 0, 1)),
            forgetting_per_day=(0, 0.002, 0.002, 0.003),
            spot_given=((0.70, 0.20, 0.10), (0.55, 0.25, 0.20), (0.3, 0.3, 0.4), (0.2, 0.2, 0.6)),
        )
        == DEFAULTS
    )


def test_help_names_the_states():
    assert DEFAULTS.help == HELP
    assert two_states(known=0.5, learn=0.1, guess=0.1, slip=0.1).help == ("not_yet", "no_spot")


def test_parameters_are_frozen():
    with pytest.raises(FrozenInstanceError):
        DEFAULTS.states = 2


ROWS = DEFAULTS.emission[0]

BAD = {
    "three states": ({"states": 3}, ("states",), "should be 2 or 4"),
    "one state": ({"states": 1}, ("states",), "should be 2 or 4"),
    "states of two, tables of four": ({"states": 2}, ("prior",), "should have 2 items, has 4"),
    "prior too long": (
        {"prior": (0.2,) * 5},
        ("prior",),
        "should have 4 items, has 5",
    ),
    "prior sums to less": (
        {"prior": (0.35, 0.25, 0.20, 0.19)},
        ("prior",),
        "should sum to 1, sums to 0.99",
    ),
    "prior below zero": (
        {"prior": (-0.1, 0.7, 0.2, 0.2)},
        ("prior", 0),
        "should be between 0 and 1",
    ),
    "prior above one": ({"prior": (0, 0, 0, 1.5)}, ("prior", 3), "should be between 0 and 1"),
    "prior not a number": (
        {"prior": (0.5, math.nan, 0.5, 0)},
        ("prior", 1),
        "should be between 0 and 1",
    ),
    "emission without a spot": (
        {"emission": DEFAULTS.emission[:2]},
        ("emission",),
        "should have 3 items, has 2",
    ),
    "emission without a state": (
        {"emission": (ROWS, ROWS[:3], ROWS)},
        ("emission", "hands_near"),
        "should have 4 items, has 3",
    ),
    "emission without an outcome": (
        {"emission": (ROWS, ROWS, with_entry(ROWS, 2, (0.5, 0.5)))},
        ("emission", "none", 2),
        "should have 3 items, has 2",
    ),
    "emission row sums to more": (
        {"emission": (with_entry(ROWS, 1, 0, 0.16), ROWS, ROWS)},
        ("emission", "hands_on", 1),
        "should sum to 1, sums to 1.01",
    ),
    "practice goes down": (
        {"practice": with_entry(DEFAULTS.practice, 1, (0.1, 0.8, 0.1, 0.0))},
        ("practice", 1, 0),
        "should be 0: practice stays or goes up one state",
    ),
    "practice jumps two": (
        {"practice": with_entry(DEFAULTS.practice, 1, (0.0, 0.8, 0.1, 0.1))},
        ("practice", 1, 3),
        "should be 0: practice stays or goes up one state",
    ),
    "practice row does not sum": (
        {"practice": with_entry(DEFAULTS.practice, 3, 3, 0.9)},
        ("practice", 3),
        "should sum to 1, sums to 0.9",
    ),
    "practice without a row": (
        {"practice": DEFAULTS.practice[:3]},
        ("practice",),
        "should have 4 items, has 3",
    ),
    "forgetting too short": (
        {"forgetting_per_day": (0, 0.1)},
        ("forgetting_per_day",),
        "should have 4 items, has 2",
    ),
    "forgetting below zero": (
        {"forgetting_per_day": (0, 0.1, -0.1, 0)},
        ("forgetting_per_day", 2),
        "should be between 0 and 1e+12",
    ),
    "forgetting infinite": (
        {"forgetting_per_day": (0, 0.1, 0.1, math.inf)},
        ("forgetting_per_day", 3),
        "should be between 0 and 1e+12",
    ),
    "forgetting from the lowest state": (
        {"forgetting_per_day": (0.1, 0.1, 0.1, 0.1)},
        ("forgetting_per_day", 0),
        "should be 0: no state lies below",
    ),
    "spot_given without a state": (
        {"spot_given": DEFAULTS.spot_given[:3]},
        ("spot_given",),
        "should have 4 items, has 3",
    ),
    "spot_given row does not sum": (
        {"spot_given": with_entry(DEFAULTS.spot_given, 2, 2, 0.5)},
        ("spot_given", 2),
        "should sum to 1, sums to 1.1",
    ),
}


@pytest.mark.parametrize(("change", "path", "message"), BAD.values(), ids=BAD.keys())
def test_a_fault_is_named_with_its_place(change, path, message):
    with pytest.raises(BadParameters) as caught:
        replace(DEFAULTS, **change)
    assert (caught.value.path, caught.value.message) == (path, message)
    assert str(caught.value) == f"{'/'.join(map(str, path))}: {message}"


def test_sums_within_the_tolerance_stand_as_they_are():
    off = (0.35, 0.25, 0.20, 0.20 + 0.9e-9)
    assert replace(DEFAULTS, prior=off).prior == off
    with pytest.raises(BadParameters):
        replace(DEFAULTS, prior=(0.35, 0.25, 0.20, 0.20 + 1.1e-9))


def test_the_edges_of_the_ranges_are_allowed():
    edges = replace(
        DEFAULTS,
        prior=(0, 0, 0, 1),
        forgetting_per_day=(0, 0, MOST_FORGETTING_PER_DAY, 0),
        spot_given=None,
    )
    assert edges.prior == (0, 0, 0, 1)
