"""The file format readiness/1: what goes in and what comes out."""

import copy
import json
import math
import time
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.files import Node
from engine.readiness.chain import trace
from engine.readiness.parameters import DEFAULTS
from engine.readiness.register import counted
from engine.readiness.trace import expected_further_tries, read_rows, run_trace
from tests.engine.readiness import twin
from tests.engine.readiness.build import logs, parameter_sets, two_states
from tests.engine.readiness.documents import GONE, document, parameters_document, row_document


def answer(content):
    return json.loads(run_trace(json.dumps(content)))


# -- answers -----------------------------------------------------------------------------------


def test_a_whole_answer():
    """before and chance as in the chain's test by hand: (.00105 .0065 .032 .102) / .285."""
    found = answer(document(row_document("a"), now="2026-03-02T17:05:00Z"))
    assert list(found) == [
        "format",
        "steps",
        "now",
        "log_likelihood",
        "counted",
        "expected_further_tries",
    ]
    (step,) = found["steps"]
    assert list(step) == ["attempt", "before", "posterior", "after", "log_likelihood"]
    assert (found["format"], found["counted"], step["attempt"]) == ("readiness/1", 1, "try a")
    chance = (0.00105 + 0.0065 + 0.032 + 0.102) / 0.285
    posterior = [0.00105, 0.0065, 0.032, 0.102]
    posterior = [share / 0.285 / chance for share in posterior]
    assert step["posterior"] == pytest.approx(posterior, rel=1e-13)
    assert step["log_likelihood"] == found["log_likelihood"] == pytest.approx(math.log(chance))
    assert found["now"] == step["after"]
    one, two, three = step["after"][0], step["after"][1], step["after"][2]
    assert found["expected_further_tries"] == {
        "hands_on": pytest.approx(one / 0.12),
        "hands_near": pytest.approx(one * 2 / 0.12 + two / 0.12),
        "no_spot": pytest.approx(
            one * (2 / 0.12 + 1 / 0.08) + two * (1 / 0.12 + 1 / 0.08) + three / 0.08
        ),
    }


def test_no_row_leaves_the_prior():
    found = answer(document())
    assert found["steps"] == []
    assert found["now"] == list(DEFAULTS.prior)
    assert (found["log_likelihood"], found["counted"]) == (0, 0)
    assert found["expected_further_tries"]["hands_on"] == pytest.approx(0.35 / 0.12)


def test_removed_rows_alone_leave_the_prior_whenever_it_is_read():
    found = answer(document(row_document("a", outcome="removed"), now="2020-01-01T00:00:00Z"))
    assert (found["now"], found["counted"]) == (list(DEFAULTS.prior), 0)


def test_the_steps_are_the_counted_rows_in_order():
    later = row_document("later", happened_at="2026-03-09T17:00:00+01:00", date="2026-03-09")
    wrong = row_document("wrong", attempt="t")
    right = row_document("right", attempt="t", revision=2, outcome="shaky")
    found = answer(document(later, right, wrong, right))
    assert [step["attempt"] for step in found["steps"]] == ["t", "try later"]
    assert found["counted"] == 2
    assert found["log_likelihood"] == pytest.approx(
        sum(step["log_likelihood"] for step in found["steps"])
    )


def test_now_decays_the_last_belief():
    found = answer(document(row_document("a"), now="2026-03-20T05:05:00Z"))
    expected = twin.decayed(found["steps"][-1]["after"], 17.5, DEFAULTS.forgetting_per_day)
    assert found["now"] == pytest.approx(expected, rel=1e-13)


def test_defaults_of_a_row_and_of_the_file():
    whole = document(
        row_document("a"),
        row_document("b", happened_at="2026-03-03T00:30:00+01:00", date="2026-03-02"),
    )
    bare = copy.deepcopy(whole)
    del bare["format"]
    for row in bare["rows"]:
        del row["date"], row["weight"]
    bare["rows"][1]["date"] = None
    assert answer(bare) == answer(whole)
    whole["rows"][1]["date"] = "2026-03-03"
    assert answer(bare) != answer(whole)


def test_the_machine_s_own_zone_plays_no_part(monkeypatch):
    """Without a date it is that of UTC: two tries late on one evening in UTC share theirs."""
    rows = [
        row_document("a", happened_at="2026-03-02T10:00:00Z", date=GONE),
        row_document("b", happened_at="2026-03-02T23:00:00Z", date=GONE),
    ]
    here = run_trace(json.dumps(document(*rows)))
    monkeypatch.setenv("TZ", "Pacific/Auckland")
    time.tzset()
    try:
        assert run_trace(json.dumps(document(*rows))) == here
    finally:
        monkeypatch.undo()
        time.tzset()


def test_absent_spot_given_has_no_effect():
    plain, none = document(row_document("a")), document(row_document("a"))
    del plain["parameters"]["spot_given"]
    none["parameters"]["spot_given"] = None
    assert answer(plain) == answer(none)
    assert answer(plain)["steps"][0]["before"] == list(DEFAULTS.prior)


def test_the_same_row_twice_in_two_zones_and_with_its_defaults():
    twice = row_document("a", happened_at="2026-03-02T18:05:00+01:00", weight=GONE, date=GONE)
    assert answer(document(row_document("a"), twice)) == answer(document(row_document("a")))


def test_two_states_ask_for_one_number():
    parameters = two_states(known=0.4, learn=0.2, guess=0.2, slip=0.1)
    found = answer(document(row_document("a"), parameters=parameters_document(parameters)))
    assert found["now"] == pytest.approx([0.2, 0.8])
    assert found["expected_further_tries"] == {"no_spot": pytest.approx(0.2 / 0.2)}


def test_numbers_keep_full_precision():
    exact = trace(read_rows(Node([row_document("a")])), DEFAULTS)[0].posterior
    text = run_trace(json.dumps(document(row_document("a"))))
    assert json.loads(text)["steps"][0]["posterior"] == list(exact)


@given(logs(), parameter_sets(), st.integers(0, 300))
def test_a_file_is_as_the_twin_says(log, parameters, days):
    """One file is one chain, so the chain keys are left out."""
    rows = [replace(row, chain=()) for row in log]
    standing = counted(rows)
    last = max((row.happened_at for row in standing), default=twin.EPOCH)
    content = {
        "parameters": parameters_document(parameters),
        "rows": [
            {
                "id": row.id,
                "attempt": row.attempt,
                "revision": row.revision,
                "happened_at": row.happened_at.isoformat(),
                "date": row.date.isoformat(),
                "spot": row.spot,
                "outcome": row.outcome,
                "weight": row.weight,
            }
            for row in rows
        ],
        "now": (last + days * twin.timedelta(days=1)).isoformat(),
    }
    found = answer(content)
    steps = twin.steps(twin.plain(standing), parameters)
    assert found["counted"] == len(steps)
    for step, plain in zip(found["steps"], steps, strict=True):
        np.testing.assert_allclose(step["after"], plain.after, rtol=0, atol=1e-12)
    now = list(parameters.prior)
    if steps:
        now = twin.decayed(steps[-1].after, days, parameters.forgetting_per_day)
    np.testing.assert_allclose(found["now"], now, rtol=0, atol=1e-12)
    assert found["steps"] == [
        {
            "attempt": step.row.attempt,
            "before": list(step.before),
            "posterior": list(step.posterior),
            "after": list(step.after),
            "log_likelihood": step.log_likelihood,
        }
        for step in trace(standing, parameters)
    ]


# -- further tries -----------------------------------------------------------------------------


def with_practice(*ups):
    practice = [[0.0] * 4 for _ in range(4)]
    for state, up in enumerate((*ups, 0.0)):
        practice[state][state] = 1 - up
        if state < 3:
            practice[state][state + 1] = up
    return replace(DEFAULTS, practice=tuple(map(tuple, practice)))


def test_further_tries_are_those_of_the_absorbing_chain():
    """Against the fundamental matrix: t = (I - Q)^-1 · 1 (Kemeny and Snell 1960)."""
    parameters = with_practice(0.12, 0.3, 0.05)
    belief = (0.4, 0.3, 0.2, 0.1)
    for state in (1, 2, 3):
        transient = np.array(parameters.practice)[:state, :state]
        steps = np.linalg.solve(np.eye(state) - transient, np.ones(state))
        found = expected_further_tries(belief, state, parameters)
        assert found == pytest.approx(np.dot(belief[:state], steps), rel=1e-12)


def test_a_state_out_of_reach_is_null_only_for_who_is_below():
    parameters = with_practice(0.5, 0.0, 0.5)
    assert expected_further_tries((0.5, 0.5, 0, 0), 1, parameters) == 1.0
    assert expected_further_tries((0.5, 0.5, 0, 0), 2, parameters) is None
    assert expected_further_tries((0, 0, 0.5, 0.5), 2, parameters) == 0
    assert expected_further_tries((0, 0, 0.5, 0.5), 3, parameters) == 1.0
    assert expected_further_tries((0, 1e-300, 0.5, 0.5), 3, parameters) is None


def test_null_in_the_answer():
    content = document(parameters=parameters_document(with_practice(0.0, 0.5, 0.5)))
    assert answer(content)["expected_further_tries"] == {
        "hands_on": None,
        "hands_near": None,
        "no_spot": None,
    }
