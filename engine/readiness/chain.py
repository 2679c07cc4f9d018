"""From counted rows to beliefs: what a student's tries in one skill and role have come to.

The row-level door of `engine.readiness.kernel`, which does the computing for one chain and for
many.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from itertools import accumulate, chain
from typing import TypeVar

import numpy as np

from engine.readiness import kernel
from engine.readiness.kernel import NO_DAY, NoChance, Tries
from engine.readiness.parameters import OUTCOMES, SPOTS, Parameters
from engine.readiness.register import Row, by_chain, counted

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
MICROSECOND = timedelta(microseconds=1)

Key = TypeVar("Key", bound=Hashable)

_SPOT_CODE = {spot: code for code, spot in enumerate(SPOTS)}
_OUTCOME_CODE = {outcome: code for code, outcome in enumerate(OUTCOMES)}


class ImpossibleRow(ArithmeticError):
    """The parameters give a row no chance at all, so no belief follows from it.

    `row` is that row, `field` the parameter at fault: "spot_given" or "emission".
    """

    def __init__(self, row: Row, field: str) -> None:
        self.row = row
        self.field = field
        super().__init__(
            f'no_chance: {field} leaves no state in which the row "{row.id}" could happen'
        )


@dataclass(frozen=True, slots=True)
class Belief:
    """What the counted tries of one chain have come to. It knows no "now".

    state: [S] probabilities after the last try, the prior without one.
    last_at: the last try. counted, days: tries, distinct dates of them.
    last_clean_on: date of the last clean try for each of SPOTS.
    clean_unspotted, clean_unspotted_days: clean tries with no spot, distinct dates of them.
    """

    state: tuple[float, ...]
    last_at: datetime | None
    counted: int
    days: int
    last_clean_on: tuple[date | None, date | None, date | None]
    clean_unspotted: int
    clean_unspotted_days: int


@dataclass(frozen=True, slots=True)
class Step:
    """One counted row on its way: states [S] and the log of the chance of its outcome."""

    row: Row
    before: tuple[float, ...]
    posterior: tuple[float, ...]
    after: tuple[float, ...]
    log_likelihood: float


def replay(rows: Iterable[Row], parameters: Parameters) -> dict[Hashable, Belief]:
    """The beliefs that a log comes to; the same for any order, split and repetition of it.

    Raises `IdReused` and `ImpossibleRow`.
    """
    return beliefs(by_chain(counted(rows)), parameters)


def beliefs(chains: Mapping[Key, Sequence[Row]], parameters: Parameters) -> dict[Key, Belief]:
    """The belief of each chain of counted rows, which stand in the order of `counted`.

    A chain without rows gets the prior. Raises `ImpossibleRow`.
    """
    rows = list(chain.from_iterable(chains.values()))
    with _naming(rows):
        columns = kernel.run(_tries(rows, map(len, chains.values())), parameters)
    columns_as_lists = zip(
        chains.items(),
        columns.states.tolist(),
        columns.counted.tolist(),
        columns.days.tolist(),
        columns.last_clean_day.tolist(),
        columns.clean_unspotted.tolist(),
        columns.clean_unspotted_days.tolist(),
        strict=True,
    )
    return {
        key: Belief(
            state=tuple(state),
            last_at=members[-1].happened_at if members else None,
            counted=tries,
            days=days,
            last_clean_on=_dates(last_clean_day),
            clean_unspotted=unspotted,
            clean_unspotted_days=unspotted_days,
        )
        for (key, members), state, tries, days, last_clean_day, unspotted, unspotted_days in (
            columns_as_lists
        )
    }


def trace(rows: Sequence[Row], parameters: Parameters) -> tuple[Step, ...]:
    """Every step of one chain of counted rows. Raises `ImpossibleRow`."""
    with _naming(rows):
        _, steps = kernel.run_with_steps(_tries(rows, [len(rows)]), parameters)
    return tuple(
        Step(row, tuple(before), tuple(posterior), tuple(after), math.log(chance))
        for row, before, posterior, after, chance in zip(
            rows,
            steps.before.tolist(),
            steps.posterior.tolist(),
            steps.after.tolist(),
            steps.chance.tolist(),
            strict=True,
        )
    )


@contextmanager
def _naming(rows: Sequence[Row]) -> Iterator[None]:
    try:
        yield
    except NoChance as error:
        raise ImpossibleRow(rows[error.row], error.field) from None


def _tries(rows: Sequence[Row], lengths: Iterable[int]) -> Tries:
    return Tries(
        starts=np.array([0, *accumulate(lengths)], dtype=np.int64),
        at_us=_column((row.happened_at - EPOCH) // MICROSECOND for row in rows),
        day=_column(row.date.toordinal() for row in rows),
        spot=_column(_SPOT_CODE[row.spot] for row in rows),
        outcome=_column(_OUTCOME_CODE[row.outcome] for row in rows),
        weight=np.fromiter((row.weight for row in rows), dtype=np.float64),
    )


def _column(numbers: Iterable[int]) -> kernel.Ints:
    return np.fromiter(numbers, dtype=np.int64)


def _dates(ordinals: Sequence[int]) -> tuple[date | None, date | None, date | None]:
    on, near, none = (None if day == NO_DAY else date.fromordinal(day) for day in ordinals)
    return on, near, none
