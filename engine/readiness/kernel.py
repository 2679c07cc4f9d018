"""The forward pass of the hidden Markov chain over many chains at once: columns in, columns out.

The chains are taken longest first, in blocks, and each block is stepped through its first tries,
its second tries, and so on. One chain is the same call with one chain in it. Everything is
computed element by element, so a chain comes out bit for bit the same whatever is beside it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine.readiness.forgetting import Floats, Forgetting
from engine.readiness.parameters import OUTCOMES, SPOTS, Parameters

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

NO_DAY = 0  # ordinals of dates begin at 1
MICROSECONDS_PER_DAY = 86_400_000_000
CLEAN = OUTCOMES.index("clean")
UNSPOTTED = SPOTS.index("none")
BLOCK = 8192  # chains at a time: their states stay in the processor's cache


class NoChance(ArithmeticError):
    """The parameters give a row no chance at all.

    `row` is its index in the columns, `field` the parameter at fault: "spot_given" or "emission".
    """

    def __init__(self, row: int, field: str) -> None:
        self.row = row
        self.field = field
        super().__init__(f"no_chance: {field} leaves no state in which row {row} could happen")


@dataclass(frozen=True, slots=True)
class Tries:
    """The tries of C chains in columns of N, chain after chain, each in order of time.

    starts: [C + 1]; chain c has the tries starts[c] to starts[c + 1], and may have none.
    at_us: [N] microseconds since any fixed moment. day: [N] ordinal of the studio's local date.
    spot, outcome: [N] indices into SPOTS and OUTCOMES. weight: [N] in (0, 1].
    """

    starts: Ints
    at_us: Ints
    day: Ints
    spot: Ints
    outcome: Ints
    weight: Floats


@dataclass(frozen=True, slots=True)
class BeliefColumns:
    """What C chains have come to, after the last try of each.

    states: [C, S], the prior where there is no try. counted, days: [C] tries, distinct dates.
    last_clean_day: [C, spot] ordinal of the last clean try's date, or NO_DAY.
    clean_unspotted, clean_unspotted_days: [C] clean tries with no spot, their distinct dates.
    """

    states: Floats
    counted: Ints
    days: Ints
    last_clean_day: Ints
    clean_unspotted: Ints
    clean_unspotted_days: Ints


@dataclass(frozen=True, slots=True)
class StepColumns:
    """The steps of N tries: states [N, S] and the chance [N] of each outcome before it came."""

    before: Floats
    posterior: Floats
    after: Floats
    chance: Floats


def run(tries: Tries, parameters: Parameters) -> BeliefColumns:
    """The beliefs of all chains. Raises `NoChance`, and `ValueError` for columns out of shape."""
    states, _ = _forward(tries, parameters, keep_steps=False)
    return _summary(tries, states)


def run_with_steps(tries: Tries, parameters: Parameters) -> tuple[BeliefColumns, StepColumns]:
    """As `run`, with every step of every chain."""
    states, steps = _forward(tries, parameters, keep_steps=True)
    return _summary(tries, states), steps


def _forward(
    tries: Tries, parameters: Parameters, *, keep_steps: bool
) -> tuple[Floats, StepColumns]:
    _check(tries)
    lengths = np.diff(tries.starts)
    order = np.argsort(-lengths, kind="stable")
    states = np.tile(np.array(parameters.prior), (len(lengths), 1))
    shape = (len(tries.day) if keep_steps else 0, parameters.states)
    steps = StepColumns(np.empty(shape), np.empty(shape), np.empty(shape), np.empty(shape[0]))
    stepper = _Stepper(tries, parameters)
    for begin in range(0, len(order), BLOCK):
        block = order[begin : begin + BLOCK]
        remaining = lengths[block]
        belief = np.ascontiguousarray(states[block].T)
        for index in range(int(remaining[0])):
            busy = int(np.searchsorted(-remaining, -index))
            rows = tries.starts[block[:busy]] + index
            before = stepper.before(belief[:, :busy], rows)
            posterior, chance = stepper.posterior(before, rows)
            after = stepper.practised(posterior)
            belief[:, :busy] = after
            if keep_steps:
                steps.before[rows] = before.T
                steps.posterior[rows] = posterior.T
                steps.after[rows] = after.T
                steps.chance[rows] = chance
        states[block] = belief.T
    return states, steps


class _Stepper:
    """One step of many chains: states [S, m] and the index [m] of the row that each takes."""

    def __init__(self, tries: Tries, parameters: Parameters) -> None:
        self._forgetting = Forgetting(parameters)
        self._gap_days = _gap_days(tries)
        self._likelihood, self._seen = _likelihoods(tries, parameters)
        practice = np.array(parameters.practice)
        self._stay = np.diag(practice)[:, None]
        self._up = np.diag(practice, 1)[:, None]
        self._spot_given: Floats | None = None
        if parameters.spot_given is not None:
            self._spot_given = np.array(parameters.spot_given)
            self._spot = tries.spot
            self._chosen = _spot_chosen(tries)

    def before(self, belief: Floats, rows: Ints) -> Floats:
        decayed = self._forgetting.after(belief, self._gap_days[rows])
        if self._spot_given is None:
            return decayed
        chosen = np.flatnonzero(self._chosen[rows])
        picked = rows[chosen]
        weighed = decayed[:, chosen] * self._spot_given[:, self._spot[picked]]
        decayed[:, chosen] = weighed / _total(weighed, picked, "spot_given")
        return decayed

    def posterior(self, before: Floats, rows: Ints) -> tuple[Floats, Floats]:
        weighed = before * self._likelihood[:, self._seen[rows]]
        chance = _total(weighed, rows, "emission")
        return weighed / chance, chance

    def practised(self, posterior: Floats) -> Floats:
        after = posterior * self._stay
        after[1:] += posterior[:-1] * self._up
        return after


def _total(weighed: Floats, rows: Ints, field: str) -> Floats:
    total: Floats = weighed[0] + weighed[1]
    for state in weighed[2:]:
        total = total + state
    impossible = total == 0
    if impossible.any():
        raise NoChance(int(rows[impossible].min()), field)
    return total


def _likelihoods(tries: Tries, parameters: Parameters) -> tuple[Floats, Ints]:
    """The distinct likelihoods [S, K] that occur, and which of them [N] each row has.

    The powers are taken one by one: numpy's own depend in the last bit on what else is in the
    array.
    """
    weights = np.sort(tries.weight)
    weights = weights[np.diff(weights, prepend=0) != 0]
    kinds = len(SPOTS) * len(OUTCOMES)
    kind = tries.spot * len(OUTCOMES) + tries.outcome
    wanted = np.searchsorted(weights, tries.weight) * kinds + kind
    occurring = np.flatnonzero(np.bincount(wanted))
    likelihood = np.empty((parameters.states, len(occurring)))
    for column, code in enumerate(occurring.tolist()):
        spot, outcome = divmod(code % kinds, len(OUTCOMES))
        weight = float(weights[code // kinds])
        for state, chances in enumerate(parameters.emission[spot]):
            likelihood[state, column] = chances[outcome] ** weight
    return likelihood, np.searchsorted(occurring, wanted)


def _firsts(tries: Tries) -> Bools:
    first = np.zeros(len(tries.day) + 1, dtype=np.bool_)
    first[tries.starts] = True
    return first[:-1]


def _gap_days(tries: Tries) -> Floats:
    """Days since the previous try of the chain, 0 for the first."""
    gap_us = np.diff(tries.at_us, prepend=tries.at_us[:1])
    gap_us[_firsts(tries)] = 0
    if (gap_us < 0).any():
        raise ValueError("the tries of a chain should be in order of time")
    return gap_us / MICROSECONDS_PER_DAY


def _spot_chosen(tries: Tries) -> Bools:
    """Where the teacher chose the spot anew: the first try, another date, another spot."""
    chosen = _firsts(tries)
    chosen[1:] |= (tries.day[1:] != tries.day[:-1]) | (tries.spot[1:] != tries.spot[:-1])
    return chosen


def _check(tries: Tries) -> None:
    size = len(tries.day)
    columns = (tries.at_us, tries.spot, tries.outcome, tries.weight)
    if any(len(column) != size for column in columns):
        raise ValueError("the columns should have one length")
    starts = tries.starts
    if len(starts) == 0 or starts[0] != 0 or starts[-1] != size or (np.diff(starts) < 0).any():
        raise ValueError("starts should rise from 0 to the number of tries")
    for name, codes, count in (
        ("spot", tries.spot, len(SPOTS)),
        ("outcome", tries.outcome, len(OUTCOMES)),
    ):
        if ((codes < 0) | (codes >= count)).any():
            raise ValueError(f"{name} should be from 0 to {count - 1}")
    if not ((tries.weight > 0) & (tries.weight <= 1)).all():
        raise ValueError("weight should be above 0 and at most 1")


def _summary(tries: Tries, states: Floats) -> BeliefColumns:
    counted = np.diff(tries.starts)
    size = len(counted)
    chain = np.repeat(np.arange(size), counted)
    clean = tries.outcome == CLEAN
    last_clean_day = np.full((size, len(SPOTS)), NO_DAY, dtype=np.int64)
    np.maximum.at(last_clean_day, (chain[clean], tries.spot[clean]), tries.day[clean])

    unspotted = clean & (tries.spot == UNSPOTTED)
    return BeliefColumns(
        states=states,
        counted=counted,
        days=_distinct_days(chain, tries.day, size),
        last_clean_day=last_clean_day,
        clean_unspotted=np.bincount(chain[unspotted], minlength=size),
        clean_unspotted_days=_distinct_days(chain[unspotted], tries.day[unspotted], size),
    )


def _distinct_days(chain: Ints, day: Ints, size: int) -> Ints:
    span = int(day.max(initial=NO_DAY)) + 1
    both = np.sort(chain * span + day)
    distinct = both[np.diff(both, prepend=-1) != 0]
    return np.bincount(distinct // span, minlength=size)
