"""The chain against published worked examples, reference libraries and its plain-Python twin."""

import csv
import json
import math
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from random import Random

import numpy as np
import pytest
from hypothesis import given

from engine.readiness.chain import Belief, ImpossibleRow, beliefs, replay, trace
from engine.readiness.parameters import DEFAULTS, Parameters
from engine.readiness.register import by_chain, counted
from tests.depth import cases
from tests.engine.readiness import twin
from tests.engine.readiness.build import BEGIN, logs, parameter_sets, row, two_states

FACTS = Path(__file__).parent / "facts"
CASES = json.loads((FACTS / "bkt_params.json").read_text())
LIBRARY = json.loads((FACTS / "bkt_pybkt_output.json").read_text())
MARKOV = json.loads((FACTS / "hmm_examples.json").read_text())


# -- knowledge tracing (Corbett and Anderson 1995; pyBKT 1.4.3) -------------------------------


def knowledge_tracing(case):
    """The case as a two-state chain, a try a day.

    A step of tracing with forgetting is [[1 - T, T], [F, 1 - F]] at once; ours is practice and
    then a day's decay, the same matrix when learn = T / (1 - F) and rate = -log(1 - F).
    """
    forget = case.get("F", 0.0)
    parameters = two_states(
        known=case["L"],
        learn=case["T"] / (1 - forget),
        guess=case["G"],
        slip=case["S"],
        forget=-math.log1p(-forget),
    )
    rows = [
        row(str(day), days=day, outcome="clean" if right else "not_there")
        for day, right in enumerate(case["obs"])
    ]
    return trace(rows, parameters)


def published_steps(name):
    with (FACTS / "bkt_examples.csv").open() as file:
        return [line for line in csv.DictReader(file) if line["case"] == name and line["obs"]]


def predicted_right(step):
    """The chance of a right answer before it was seen."""
    chance = math.exp(step.log_likelihood)
    return chance if step.row.outcome == "clean" else 1 - chance


@pytest.mark.parametrize("name", CASES)
def test_worked_cases_of_knowledge_tracing(name):
    steps = knowledge_tracing(CASES[name])
    published = published_steps(name)
    assert len(steps) == len(published) == len(CASES[name]["obs"])
    for step, line in zip(steps, published, strict=True):
        assert step.before[1] == pytest.approx(float(line["p_known_before"]), abs=6e-9)
        assert step.posterior[1] == pytest.approx(float(line["p_known_given_obs"]), abs=6e-9)
        assert predicted_right(step) == pytest.approx(float(line["p_correct_predicted"]), abs=6e-9)
    if "F" not in CASES[name]:
        for step, line in zip(steps, published, strict=True):
            assert step.after[1] == pytest.approx(float(line["p_known_after_learn"]), abs=6e-9)


@pytest.mark.parametrize("name", LIBRARY)
def test_the_reference_library_predicts_the_same(name):
    """Stored output of pyBKT 1.4.3."""
    steps = knowledge_tracing(CASES[name])
    assert [step.before[1] for step in steps] == pytest.approx(
        LIBRARY[name]["state_predictions"], abs=6e-9
    )
    assert [predicted_right(step) for step in steps] == pytest.approx(
        LIBRARY[name]["correct_predictions"], abs=6e-9
    )


def test_without_information_the_answers_change_nothing():
    steps = knowledge_tracing(CASES["E_degenerate"])
    for step in steps:
        assert step.posterior == pytest.approx(step.before, abs=1e-15)


# -- hidden Markov models (values checked against hmmlearn 0.3.3) ------------------------------


def hidden_markov(example):
    """A two-state model as a chain: of each transition matrix, practice is what goes up and a
    day's decay is what then goes down. Symbols in order are not there, shaky, clean."""
    (_, up), (down, _) = example["A"]
    emission = tuple((*chances, *[0.0] * (3 - len(chances))) for chances in example["B"])
    learn = up / (1 - down)
    parameters = Parameters(
        states=2,
        prior=tuple(example["pi"]),
        emission=(emission,) * 3,
        practice=((1 - learn, learn), (0.0, 1.0)),
        forgetting_per_day=(0.0, -math.log1p(-down)),
    )
    outcomes = ("not_there", "shaky", "clean")
    rows = [
        row(str(day), days=day, outcome=outcomes[symbol])
        for day, symbol in enumerate(example["obs"])
    ]
    return trace(rows, parameters)


@pytest.mark.parametrize("name", MARKOV)
def test_forward_values_of_hidden_markov_models(name):
    example = MARKOV[name]
    steps = hidden_markov(example)
    reached = 1.0
    for step, alpha in zip(steps, example["alpha"], strict=True):
        reached *= math.exp(step.log_likelihood)
        assert [reached * share for share in step.posterior] == pytest.approx(alpha, rel=1e-12)
    assert reached == pytest.approx(example["likelihood"], rel=1e-12)
    assert math.fsum(step.log_likelihood for step in steps) == pytest.approx(
        example["loglik"], rel=1e-12
    )


def test_likelihoods_as_printed():
    likelihoods = {
        name: math.exp(math.fsum(step.log_likelihood for step in hidden_markov(example)))
        for name, example in MARKOV.items()
    }
    assert likelihoods == pytest.approx(
        {
            "icecream_JM": 0.028562,
            "doctor_wiki": 0.03628,
            "umbrella_RN": 0.0343037005,
            "bkt_caseA_as_hmm": 0.0418501632,
            "eisner_like": 2.658242688028127e-16,
        },
        rel=1e-10,
    )


# -- one try by hand ---------------------------------------------------------------------------


def test_a_first_try_by_hand():
    """prior × spot_given(none) = .035 .05 .08 .12, sum .285; × clean .03 .13 .40 .85."""
    (step,) = trace([row()], DEFAULTS)
    before = [0.035 / 0.285, 0.05 / 0.285, 0.08 / 0.285, 0.12 / 0.285]
    weighed = [b * e for b, e in zip(before, (0.03, 0.13, 0.40, 0.85), strict=True)]
    chance = sum(weighed)
    posterior = [w / chance for w in weighed]
    after = [
        posterior[0] * 0.88,
        posterior[0] * 0.12 + posterior[1] * 0.88,
        posterior[1] * 0.12 + posterior[2] * 0.92,
        posterior[2] * 0.08 + posterior[3],
    ]
    assert step.before == pytest.approx(before, rel=1e-14)
    assert step.posterior == pytest.approx(posterior, rel=1e-14)
    assert step.after == pytest.approx(after, rel=1e-14)
    assert step.log_likelihood == pytest.approx(math.log(chance), rel=1e-14)


def test_a_weight_is_an_exponent_of_the_likelihood():
    whole, part = (trace([row(weight=weight)], DEFAULTS)[0] for weight in (1.0, 0.35))
    weighed = [b * e**0.35 for b, e in zip(whole.before, (0.03, 0.13, 0.40, 0.85), strict=True)]
    assert part.before == whole.before
    assert math.exp(part.log_likelihood) == pytest.approx(sum(weighed), rel=1e-14)
    assert part.posterior == pytest.approx([w / sum(weighed) for w in weighed], rel=1e-14)


NO_DECAY = replace(DEFAULTS, forgetting_per_day=(0.0,) * 4)


@pytest.mark.parametrize(
    ("second", "chosen"),
    [
        ({"days": 0.01}, False),
        ({"days": 0.01, "spot": "none"}, True),
        ({"days": 1}, True),
        ({"days": 1, "on": BEGIN.date()}, False),
        ({"days": 0.01, "on": date(2026, 1, 6)}, True),
    ],
)
def test_the_spot_tells_something_when_it_is_chosen(second, chosen):
    """Chosen anew on another date or as another spot; then the belief is weighed by it."""
    rows = [row("a", spot="hands_near"), row("b", **{"spot": "hands_near", **second})]
    first, then = trace(rows, NO_DECAY)
    if chosen:
        column = {"hands_near": 1, "none": 2}[rows[1].spot]
        weighed = [
            share * given[column]
            for share, given in zip(first.after, NO_DECAY.spot_given, strict=True)
        ]
        assert then.before == pytest.approx([w / sum(weighed) for w in weighed], rel=1e-14)
    else:
        assert then.before == first.after


def test_equal_rows_of_spot_given_are_as_good_as_none():
    equal = replace(DEFAULTS, spot_given=((0.2, 0.3, 0.5),) * 4)
    absent = replace(DEFAULTS, spot_given=None)
    rows = [row("a", spot="hands_on"), row("b", days=7), row("c", days=8, outcome="shaky")]
    for one, other in zip(trace(rows, equal), trace(rows, absent), strict=True):
        assert one.after == pytest.approx(other.after, rel=1e-13)


def test_fractions_of_a_day_decay():
    rows = [row("a"), row("b", days=0.25)]
    first, then = trace(rows, replace(DEFAULTS, spot_given=None))
    expected = twin.decayed(first.after, 0.25, DEFAULTS.forgetting_per_day)
    assert then.before == pytest.approx(expected, rel=1e-14)
    assert then.before != first.after


@pytest.mark.parametrize("year", [1, 2026, 9999])
def test_a_microsecond_is_a_microsecond_in_any_year(year):
    fast = replace(DEFAULTS, spot_given=None, forgetting_per_day=(0.0, 0.0, 0.0, 8.64e9))
    at = datetime(year, 12, 31, 12, tzinfo=UTC)
    rows = [
        replace(row(str(number)), happened_at=at + timedelta(microseconds=number))
        for number in range(3)
    ]
    first, then, _ = trace(rows, fast)
    assert then.before[3] == pytest.approx(first.after[3] * math.exp(-0.1), rel=1e-14)


def test_two_days_count_at_least_as_much_as_one():
    """Spaced practice is worth at least as much as massed (Donovan and Radosevich 1999)."""

    def no_spot(*days):
        rows = [row(str(number), days=day) for number, day in enumerate(days)]
        return replay(rows, DEFAULTS)[()].state[3]

    assert no_spot(0, 2) >= no_spot(0, 0.001)
    assert no_spot(0, 0.001, 2, 2.001) >= no_spot(0, 0.001, 0.002, 0.003)


# -- what a belief says ------------------------------------------------------------------------


def test_a_belief_counts_tries_dates_and_last_cleans():
    rows = [
        row("a", spot="hands_on", outcome="clean"),
        row("b", days=0.001, spot="hands_near", outcome="shaky"),
        row("c", days=7, spot="none", outcome="clean"),
        row("d", days=7.001, spot="none", outcome="clean"),
        row("e", days=14, spot="none", outcome="clean"),
        row("f", days=21, spot="none", outcome="not_there"),
        row("g", days=21.001, spot="hands_on", outcome="shaky"),
    ]
    belief = replay(rows, DEFAULTS)[()]
    assert belief == Belief(
        state=trace(rows, DEFAULTS)[-1].after,
        last_at=BEGIN + timedelta(days=21.001),
        counted=7,
        days=4,
        last_clean_on=(date(2026, 1, 5), None, date(2026, 1, 19)),
        clean_unspotted=3,
        clean_unspotted_days=2,
    )


def test_dates_that_run_backwards_still_count_once():
    rows = [
        row("a", days=0, on=date(2026, 1, 9)),
        row("b", days=1, on=date(2026, 1, 5)),
        row("c", days=2, on=date(2026, 1, 9)),
    ]
    belief = replay(rows, DEFAULTS)[()]
    assert (belief.days, belief.clean_unspotted_days) == (2, 2)
    assert belief.last_clean_on[2] == date(2026, 1, 9)


def test_the_farthest_dates_are_kept():
    rows = [row("a", on=date(1, 1, 1)), row("b", days=1, on=date(9999, 12, 31), outcome="shaky")]
    belief = replay(rows, DEFAULTS)[()]
    assert (belief.days, belief.last_clean_on) == (2, (None, None, date(1, 1, 1)))


def test_a_chain_without_rows_has_the_prior():
    untried = Belief(DEFAULTS.prior, None, 0, 0, (None, None, None), 0, 0)
    assert beliefs({"untried": []}, DEFAULTS) == {"untried": untried}
    assert beliefs({}, DEFAULTS) == {}
    around = {"first": [row("a")], "untried": [], "last": [row("b", outcome="shaky")], "none": []}
    found = beliefs(around, DEFAULTS)
    assert list(found) == list(around)
    assert found["untried"] == found["none"] == untried
    assert found["first"] == beliefs({0: [row("a")]}, DEFAULTS)[0]
    assert found["last"] == beliefs({0: [row("b", outcome="shaky")]}, DEFAULTS)[0]


def test_rows_out_of_order_are_refused():
    with pytest.raises(ValueError, match=r"^the tries of a chain should be in order of time$"):
        beliefs({"c": [row("a", days=1), row("b", days=0)]}, DEFAULTS)


# -- rows that cannot happen -------------------------------------------------------------------

NEVER_CLEAN = replace(DEFAULTS, emission=(((0.5, 0.5, 0.0),) * 4, *DEFAULTS.emission[1:]))
NEVER_ALONE = replace(DEFAULTS, spot_given=((0.5, 0.5, 0.0),) * 4)


def test_an_impossible_outcome_names_its_row():
    fine = [row("a"), row("b", days=1)]
    bad = [row("c"), row("d", days=1), row("e", days=2, spot="hands_on"), row("f", days=3)]
    with pytest.raises(ImpossibleRow) as caught:
        beliefs({"fine": fine, "bad": bad}, NEVER_CLEAN)
    assert (caught.value.row, caught.value.field) == (bad[2], "emission")
    assert str(caught.value) == (
        'no_chance: emission leaves no state in which the row "e" could happen'
    )


def test_an_impossible_spot_names_its_row():
    bad = [row("a", spot="hands_on"), row("b", days=1)]
    with pytest.raises(ImpossibleRow) as caught:
        trace(bad, NEVER_ALONE)
    assert (caught.value.row, caught.value.field) == (bad[1], "spot_given")
    assert str(caught.value) == (
        'no_chance: spot_given leaves no state in which the row "b" could happen'
    )


def test_a_part_of_an_impossible_outcome_is_impossible_too():
    with pytest.raises(ImpossibleRow):
        trace([row("a", spot="hands_on", weight=0.35)], NEVER_CLEAN)


# -- against the twin --------------------------------------------------------------------------


def assert_as_the_twin(chains, parameters):
    found = beliefs(chains, parameters)
    assert list(found) == list(chains)
    for key, rows in chains.items():
        expected = twin.belief(rows, parameters)
        np.testing.assert_allclose(found[key].state, expected.state, rtol=0, atol=1e-12)
        assert replace(found[key], state=()) == replace(expected, state=())
        # The same alone as beside the others, to the last bit.
        assert beliefs({key: rows}, parameters)[key] == found[key]


@given(logs(), parameter_sets())
def test_any_log_under_any_parameters_is_as_the_twin_says(log, parameters):
    chains = by_chain(counted(log))
    assert_as_the_twin(chains, parameters)
    for rows in chains.values():
        plain = twin.steps(twin.plain(rows), parameters)
        for step, expected in zip(trace(rows, parameters), plain, strict=True):
            np.testing.assert_allclose(step.before, expected.before, rtol=0, atol=1e-12)
            np.testing.assert_allclose(step.posterior, expected.posterior, rtol=0, atol=1e-12)
            np.testing.assert_allclose(step.after, expected.after, rtol=0, atol=1e-12)
            assert step.log_likelihood == pytest.approx(math.log(expected.chance), abs=1e-12)
            assert abs(sum(step.after) - 1) < 1e-12
        assert trace(rows, parameters)[-1].after == beliefs({0: rows}, parameters)[0].state


@pytest.mark.parametrize("seed", cases(1, 60))
def test_many_chains_of_all_lengths_are_as_the_twin_says(seed):
    dice = Random(seed)
    chains = {
        chain: [
            row(
                f"{chain}-{number}",
                days=number * dice.choice([0, 0.001, 1, 7, 300]) + number,
                outcome=dice.choice(["not_there", "shaky", "clean"]),
                spot=dice.choice(["hands_on", "hands_near", "none"]),
                weight=dice.choice([1.0, 1.0, 0.35, 0.5]),
            )
            for number in range(dice.randint(0, 12))
        ]
        for chain in range(120)
    }
    for rows in chains.values():
        rows.sort(key=lambda one: one.happened_at)
    assert_as_the_twin(chains, DEFAULTS)
