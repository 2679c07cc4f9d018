from dataclasses import fields, replace

import numpy as np
import pytest

from bench.readiness import made_tries, plain_of
from engine.readiness import kernel
from engine.readiness.kernel import NO_DAY, NoChance, Tries, run, run_with_steps
from engine.readiness.parameters import DEFAULTS
from tests.engine.readiness import twin


def columns(**changes):
    """Three chains of 2, 0 and 1 tries."""
    fine = {
        "starts": [0, 2, 2, 3],
        "at_us": [0, 86_400_000_000, 5],
        "day": [700_000, 700_001, 700_000],
        "spot": [0, 2, 2],
        "outcome": [2, 1, 2],
        "weight": [1.0, 0.5, 1.0],
    }
    fine.update(changes)
    return Tries(
        **{
            name: np.array(column, dtype=np.float64 if name == "weight" else np.int64)
            for name, column in fine.items()
        }
    )


def test_columns_in_and_columns_out():
    found = run(columns(), DEFAULTS)
    assert found.states.shape == (3, 4)
    assert found.states[1].tolist() == list(DEFAULTS.prior)
    assert found.counted.tolist() == [2, 0, 1]
    assert found.days.tolist() == [2, 0, 1]
    assert found.last_clean_day.tolist() == [
        [700_000, NO_DAY, NO_DAY],
        [NO_DAY, NO_DAY, NO_DAY],
        [NO_DAY, NO_DAY, 700_000],
    ]
    assert found.clean_unspotted.tolist() == [0, 0, 1]
    assert found.clean_unspotted_days.tolist() == [0, 0, 1]


def test_the_steps_lie_in_the_order_of_the_rows():
    found, steps = run_with_steps(columns(), DEFAULTS)
    assert steps.after[1].tolist() == found.states[0].tolist()
    assert steps.after[2].tolist() == found.states[2].tolist()
    alone = run_with_steps(
        columns(starts=[0, 1], at_us=[0], day=[700_000], spot=[0], outcome=[2], weight=[1.0]),
        DEFAULTS,
    )[1]
    for field in fields(steps):
        assert getattr(steps, field.name)[0].tolist() == getattr(alone, field.name)[0].tolist()


def test_chains_beyond_one_block_are_as_the_twin_says():
    tries = made_tries(kernel.BLOCK + 300)
    found = run(tries, DEFAULTS)
    some = np.random.default_rng(2).choice(kernel.BLOCK + 300, 400, replace=False)
    plain = plain_of(tries)
    for chain in some:
        expected = twin.steps(plain[chain], DEFAULTS)[-1].after
        np.testing.assert_allclose(found.states[chain], expected, rtol=0, atol=1e-12)
        assert found.counted[chain] == len(plain[chain])
        assert found.days[chain] == len({one.day for one in plain[chain]})


def test_of_several_impossible_rows_the_first_is_named():
    never = replace(DEFAULTS, emission=(((0.5, 0.5, 0.0),) * 4,) * 3)
    with pytest.raises(NoChance) as caught:
        run(columns(outcome=[2, 2, 2]), never)
    assert (caught.value.row, caught.value.field) == (0, "emission")
    assert str(caught.value) == "no_chance: emission leaves no state in which row 0 could happen"


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"at_us": [0, 1]}, "the columns should have one length"),
        ({"day": [1, 1, 1, 1]}, "the columns should have one length"),
        ({"weight": [1.0]}, "the columns should have one length"),
        ({"spot": [0, 1]}, "the columns should have one length"),
        ({"outcome": [0, 1]}, "the columns should have one length"),
        ({"starts": []}, "starts should rise from 0 to the number of tries"),
        ({"starts": [1, 3]}, "starts should rise from 0 to the number of tries"),
        ({"starts": [0, 2]}, "starts should rise from 0 to the number of tries"),
        ({"starts": [0, 2, 1, 3]}, "starts should rise from 0 to the number of tries"),
        ({"spot": [0, 3, 0]}, "spot should be from 0 to 2"),
        ({"spot": [0, -1, 0]}, "spot should be from 0 to 2"),
        ({"outcome": [0, 3, 0]}, "outcome should be from 0 to 2"),
        ({"outcome": [0, 0, -1]}, "outcome should be from 0 to 2"),
        ({"weight": [1.0, 0.0, 1.0]}, "weight should be above 0 and at most 1"),
        ({"weight": [1.0, 1.5, 1.0]}, "weight should be above 0 and at most 1"),
        ({"weight": [1.0, float("nan"), 1.0]}, "weight should be above 0 and at most 1"),
        ({"at_us": [1, 0, 5]}, "the tries of a chain should be in order of time"),
    ],
)
def test_columns_are_checked_at_the_door(change, message):
    with pytest.raises(ValueError) as caught:
        run(columns(**change), DEFAULTS)
    assert str(caught.value) == message


def test_another_chain_may_begin_earlier():
    assert run(columns(at_us=[10, 20, 5]), DEFAULTS).counted.tolist() == [2, 0, 1]


def test_two_tries_at_one_moment():
    both = run(columns(at_us=[10, 10, 5]), DEFAULTS)
    assert both.counted.tolist() == [2, 0, 1]
