"""The readiness chain once more, slowly and obviously: one try after another in plain Python.

It shares nothing with the kernel but the parameters: the exponential is the Taylor series of F
itself (not uniformisation), over pieces short enough for it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime, timedelta
from typing import NamedTuple

from engine.readiness.chain import Belief
from engine.readiness.parameters import OUTCOMES, SPOTS, Parameters
from engine.readiness.register import Row

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
MICROSECONDS_PER_DAY = 86_400_000_000


class PlainTry(NamedTuple):
    at_us: int
    day: int
    spot: int
    outcome: int
    weight: float


def plain(rows: Iterable[Row]) -> list[PlainTry]:
    return [
        PlainTry(
            (row.happened_at - EPOCH) // timedelta(microseconds=1),
            row.date.toordinal(),
            SPOTS.index(row.spot),
            OUTCOMES.index(row.outcome),
            row.weight,
        )
        for row in rows
    ]


def decayed(state: Sequence[float], days: float, rates: Sequence[float]) -> list[float]:
    pieces = max(1, math.ceil(max(rates) * days))
    state = list(state)
    for _ in range(pieces):
        state = _taylor(state, days / pieces, rates)
    return state


def _taylor(state: list[float], days: float, rates: Sequence[float]) -> list[float]:
    total, term, k = state, state, 0
    flows = [rate * days for rate in rates]
    while max(map(abs, term)) > 1e-19:
        k += 1
        leaving = [share * flow / k for share, flow in zip(term, flows, strict=True)]
        term = [into - out for into, out in zip([*leaving[1:], 0.0], leaving, strict=True)]
        total = [share + change for share, change in zip(total, term, strict=True)]
    return total


def normalised(shares: list[float]) -> tuple[list[float], float]:
    total = sum(shares)
    if total == 0:
        raise ZeroDivisionError("no chance")
    return [share / total for share in shares], total


class PlainStep(NamedTuple):
    before: list[float]
    posterior: list[float]
    after: list[float]
    chance: float


def steps(tries: Sequence[PlainTry], parameters: Parameters) -> list[PlainStep]:
    result: list[PlainStep] = []
    state = list(parameters.prior)
    given, practice = parameters.spot_given, parameters.practice
    previous: PlainTry | None = None
    for this in tries:
        if previous is not None:
            days = (this.at_us - previous.at_us) / MICROSECONDS_PER_DAY
            state = decayed(state, days, parameters.forgetting_per_day)
        if given is not None and (
            previous is None or this.day != previous.day or this.spot != previous.spot
        ):
            state, _ = normalised([b * row[this.spot] for b, row in zip(state, given, strict=True)])
        before = state
        rows = parameters.emission[this.spot]
        state, chance = normalised(
            [b * row[this.outcome] ** this.weight for b, row in zip(state, rows, strict=True)]
        )
        posterior = state
        state = [posterior[0] * practice[0][0]] + [
            posterior[s] * practice[s][s] + posterior[s - 1] * practice[s - 1][s]
            for s in range(1, len(posterior))
        ]
        result.append(PlainStep(before, posterior, state, chance))
        previous = this
    return result


def belief(rows: Sequence[Row], parameters: Parameters) -> Belief:
    tries = plain(rows)
    done = steps(tries, parameters)
    clean = [row for row in rows if row.outcome == "clean"]
    unspotted = [row for row in clean if row.spot == "none"]

    def last_clean(spot: str) -> date | None:
        return max((row.date for row in clean if row.spot == spot), default=None)

    return Belief(
        state=tuple(done[-1].after if done else parameters.prior),
        last_at=rows[-1].happened_at if rows else None,
        counted=len(rows),
        days=len({row.date for row in rows}),
        last_clean_on=(last_clean("hands_on"), last_clean("hands_near"), last_clean("none")),
        clean_unspotted=len(unspotted),
        clean_unspotted_days=len({row.date for row in unspotted}),
    )
