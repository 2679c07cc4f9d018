from datetime import date, timedelta

import pytest

from engine.readiness.advice import only_cleans, spot_advice
from tests.engine.readiness.build import row
from tests.engine.readiness.cards import TODAY, seen

NOT_YET = seen((0.7, 0.1, 0.1, 0.1), days_ago=3)
ON = seen((0.1, 0.7, 0.1, 0.1), days_ago=3)
NEAR = seen((0.1, 0.1, 0.7, 0.1), days_ago=3)
ALONE = seen((0.0, 0.0, 0.02, 0.98), days_ago=3, counted=2, cleans=2)
STEADY = seen((0.0, 0.0, 0.02, 0.98), days_ago=3, counted=3, cleans=3)
NEVER = seen((0.0, 0.0, 0.0, 1.0), days_ago=3, counted=0, cleans=0)


def advice(evidence, last_spot, *, new_pair=False, new_floor=False, after_break=False):
    return spot_advice(
        evidence,
        new_pair=new_pair,
        new_floor=new_floor,
        after_break=after_break,
        last_spot=last_spot,
    )


@pytest.mark.parametrize(
    ("evidence", "after_hands_on", "after_hands_near", "after_none"),
    [
        (NOT_YET, "hands_on", "hands_on", "hands_on"),
        (ON, "hands_on", "hands_on", "hands_on"),
        (NEAR, "hands_near", "hands_near", "hands_near"),
        (ALONE, "hands_near", "hands_near", "hands_near"),
        (STEADY, "hands_near", "none", "none"),
        (NEVER, "hands_on", "hands_on", "hands_on"),
        (None, "hands_on", "hands_on", "hands_on"),
    ],
    ids=["not yet", "hands on", "hands near", "alone, not steady", "steady", "untried", "nothing"],
)
def test_what_she_needs_one_step_down_at_most(
    evidence, after_hands_on, after_hands_near, after_none
):
    assert advice(evidence, "hands_on") == after_hands_on
    assert advice(evidence, "hands_near") == after_hands_near
    assert advice(evidence, "none") == after_none


@pytest.mark.parametrize("reason", ["new_pair", "new_floor", "after_break"])
def test_a_fresh_start_is_hands_on_even_for_the_steady(reason):
    assert advice(STEADY, "none", **{reason: True}) == "hands_on"


def test_an_unknown_last_spot_is_hands_on():
    assert advice(STEADY, None) == "hands_on"


def log(*days_ago_and_outcome):
    return [
        row(str(number), on=TODAY - timedelta(days=days_ago), outcome=outcome)
        for number, (days_ago, outcome) in enumerate(days_ago_and_outcome)
    ]


@pytest.mark.parametrize(
    ("rows", "flatters"),
    [
        (log((30, "clean"), (3, "clean")), True),
        (log((30, "shaky"), (3, "clean")), True),
        (log((21, "shaky"), (20, "clean")), True),
        (log((30, "clean"), (20, "shaky"), (3, "clean")), False),
        (log((30, "clean"), (3, "clean"), (3, "not_there")), False),
        (log((20, "clean"), (3, "clean")), False),
        (log((21, "clean"), (21, "clean")), False),
        (log((21, "clean"), (0, "clean")), True),
        (log((30, "clean"), (0, "shaky")), False),
        (log(), False),
    ],
    ids=str,
)
def test_three_weeks_of_nothing_but_cleans(rows, flatters):
    assert only_cleans([(one.date, one.outcome) for one in rows], TODAY) is flatters


def test_the_day_of_these_logs():
    assert date(2026, 3, 20) == TODAY
