"""Counted tries as the engine's chains: what they had come to by a day, in words."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import TypeVar
from uuid import UUID
from zoneinfo import ZoneInfo

from classes.classes import ClassView
from classes.tries import Try
from curriculum.cards import CardView
from curriculum.editions import EditionInUse
from engine.readiness import chain, evidence
from engine.readiness.chain import Belief
from engine.readiness.evidence import Evidence
from engine.readiness.parameters import DEFAULTS, WEIGHTS
from engine.readiness.register import Row
from planning.proposals import open_roles
from planning.words import HELP, day

KINDS = tuple(WEIGHTS)
TICKED, NOT_TICKED = "there", "not there yet"  # of a habit, which nobody spots

Chain = tuple[UUID, str, str]  # child, skill key, role
Key = TypeVar("Key")


@dataclass(frozen=True)
class When:
    """A moment at which tries up to a local date are read, the studio's date then being `on`."""

    until: date
    at: datetime
    on: date


@dataclass(frozen=True)
class Reading:
    """What her own tries in one skill and role say; `on` is the studio's date then.

    help: the help she most probably needs, None of a habit; `says` is the same in words.
    word, percent: how likely she needs no spot, of which a number is told only from a minimum of
    evidence on. Both are for a press, never for the eye alone.
    """

    on: date
    help: str | None
    says: str
    word: str
    percent: int | None


class Log:
    """Counted tries of children, oldest first, by the chains for which an edition counts them: a
    try counts for its own skill and for all that carry it on there."""

    def __init__(self, tries: Iterable[Try], edition: EditionInUse) -> None:
        tries = tuple(tries)
        counts_for = {
            key: (key, *sorted(edition.heirs(key))) for key in {one.skill_key for one in tries}
        }
        chains: dict[Chain, list[Try]] = defaultdict(list)
        rows: dict[Chain, list[Row]] = defaultdict(list)
        for one in tries:
            row = _row(one)
            for key in counts_for[one.skill_key]:
                chains[one.student_id, key, one.role].append(one)
                rows[one.student_id, key, one.role].append(row)
        self.chains: Mapping[Chain, Sequence[Try]] = dict(chains)
        self._rows = dict(rows)
        self._beliefs: dict[tuple[Chain, int], Belief] = {}

    def read(self, asked: Collection[tuple[Chain, When]]) -> dict[tuple[Chain, When], Evidence]:
        """What each chain says, as a sheet of that moment would have read it; no tries by then are
        evidence that counts none."""
        rows = {
            (key, when): [row for row in self._rows.get(key, ()) if row.date <= when.until]
            for key, when in asked
        }
        # As many tries of a chain are the same tries, however much later they are read.
        distinct = {(key, len(of)): of for (key, _), of in rows.items()}
        new = {one: of for one, of in distinct.items() if one not in self._beliefs}
        self._beliefs |= chain.beliefs(new, DEFAULTS)
        by_moment: dict[When, dict] = defaultdict(dict)
        for (key, when), of in rows.items():
            by_moment[when][key, when] = self._beliefs[key, len(of)]
        found = {}
        for when, then in by_moment.items():
            found |= read(then, when)
        return found


def read(beliefs: Mapping[Key, Belief], when: When) -> dict[Key, Evidence]:
    """What beliefs say at a moment."""
    return evidence.read(beliefs, as_of=when.at, on=when.on, parameters=DEFAULTS)


def _row(one: Try) -> Row:
    return Row(
        id=str(one.attempt),
        attempt=str(one.attempt),
        revision=1,  # of all revisions the one that counts was found before
        happened_at=one.at,
        date=one.local_date,
        spot=one.spot,
        outcome=one.outcome,
        weight=WEIGHTS[one.weight],
    )


def reading(own: Evidence, *, habit: bool) -> Reading:
    """Evidence that counts tries, in words."""
    if habit:
        says = TICKED if own.ticked else NOT_TICKED
        return Reading(own.on, None, says, says, None)
    return Reading(own.on, own.likely, HELP[own.likely], own.word, own.percent)


def taught(edition: EditionInUse) -> dict[tuple[str, str], CardView]:
    """The card of each skill and role that children hold, in teaching order."""
    return {(key, role): card for key, card in edition.cards.items() for role in open_roles(card)}


def known(tried: Iterable[date], klass: ClassView, *, at: datetime) -> str:
    """As known at which moment, and from tries up to when."""
    moment = at.astimezone(ZoneInfo(klass.zone))
    said = f"As known at {moment:%H:%M} on {day(moment.date())}"
    last = max(tried, default=None)
    return f"{said}, from tries up to {day(last)}." if last else f"{said}: nothing was logged."
