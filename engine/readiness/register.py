"""The log of tries as a register of revisions: which rows count, and in what order.

Law: any order, split and repetition of the same rows gives the same counted rows.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import NamedTuple

from engine.readiness.parameters import OUTCOMES, SPOTS

REMOVED = "removed"


class IdReused(ValueError):
    """Two rows carry one id and differ. `position` is the index of the later one as given."""

    def __init__(self, row_id: str, position: int) -> None:
        self.row_id = row_id
        self.position = position
        super().__init__(f'id_reused: the id "{row_id}" is used for two different rows')


class Chain(NamedTuple):
    """The usual key of a chain: one student in one skill and role, as texts."""

    student: str
    skill: str
    role: str


@dataclass(frozen=True, slots=True)
class Row:
    """One full statement about one try.

    `happened_at` is aware and kept in UTC; `date` is the studio's local date; `spot` is one of
    SPOTS; `outcome` one of OUTCOMES or "removed"; `weight` is in (0, 1]; `chain` is any hashable
    key of the chain it belongs to (`Chain`), which a correction may change. Raises `ValueError`.
    """

    id: str
    attempt: str
    revision: int
    happened_at: datetime
    date: date
    spot: str
    outcome: str
    weight: float = 1.0
    chain: Hashable = ()

    def __post_init__(self) -> None:
        if self.revision < 1:
            raise ValueError(f"revision should be at least 1: {self.revision}")
        if self.happened_at.utcoffset() is None:
            raise ValueError(f"happened_at needs its offset from UTC: {self.happened_at}")
        if self.spot not in SPOTS:
            raise ValueError(f"unknown spot: {self.spot}")
        if self.outcome not in OUTCOMES and self.outcome != REMOVED:
            raise ValueError(f"unknown outcome: {self.outcome}")
        if not 0 < self.weight <= 1:
            raise ValueError(f"weight should be above 0 and at most 1: {self.weight}")
        # One zone, because equality across zones depends on the hour that a clock repeats.
        object.__setattr__(self, "happened_at", self.happened_at.astimezone(UTC))


def counted(rows: Iterable[Row]) -> tuple[Row, ...]:
    """The rows that count, ordered by (happened_at, attempt).

    Of all rows of an attempt the one with the greatest (revision, id) counts, unless its outcome
    is "removed". `rows` must hold all rows of each attempt in it, wherever a correction has moved
    it, since they are compared before they are split into chains. Raises `IdReused`.
    """
    by_id: dict[str, Row] = {}
    latest: dict[str, Row] = {}
    for position, row in enumerate(rows):
        known = by_id.setdefault(row.id, row)
        if known is not row and known != row:
            raise IdReused(row.id, position)
        rival = latest.get(row.attempt)
        if rival is None or (row.revision, row.id) > (rival.revision, rival.id):
            latest[row.attempt] = row
    standing = [row for row in latest.values() if row.outcome != REMOVED]
    standing.sort(key=lambda row: (row.happened_at, row.attempt))
    return tuple(standing)


def by_chain(rows: Iterable[Row]) -> dict[Hashable, tuple[Row, ...]]:
    """Counted rows split into their chains, each in the order given."""
    chains: dict[Hashable, list[Row]] = {}
    for row in rows:
        chains.setdefault(row.chain, []).append(row)
    return {chain: tuple(members) for chain, members in chains.items()}
