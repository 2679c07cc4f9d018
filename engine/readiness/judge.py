"""Who is ready for what, and what is missing.

Judged here, after the stop gates have had their say elsewhere: first a child's own tries, then
the prerequisite tree by its deciding leaf.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from engine.progression import Leaf
from engine.readiness.evidence import NOT_TRIED, Evidence
from engine.readiness.readings import Readings


@dataclass(frozen=True, slots=True)
class Missing:
    """The leaf on which a "not ready" hangs, with what is known of it.

    p: chance of being at or above what it asks. last_at, counted: her own tries in it.
    """

    leaf: Leaf
    p: float
    last_at: datetime | None
    counted: int


@dataclass(frozen=True, slots=True)
class Judgement:
    """Is this child ready for this skill in this role?

    number: what grouping gets, in [0, 1]. source: "own" tries, "tree", or "no_tree".
    missing: None if ready. evidence: her own counted tries, None if there is none.
    """

    skill: str
    role: str
    ready: bool
    number: float
    source: str
    missing: Missing | None
    evidence: Evidence | None

    @property
    def likely(self) -> str | None:
        """The help she most probably needs; None if never tried."""
        return None if self.evidence is None else self.evidence.likely

    @property
    def word(self) -> str:
        return NOT_TRIED if self.evidence is None else self.evidence.word

    @property
    def steady(self) -> bool:
        return self.evidence is not None and self.evidence.steady


def judge(skill: str, role: str, readings: Readings, bar: float) -> Judgement:
    """Is she ready, by what was logged?

    Her own tries with P(hands_on or better) at or above `bar`: ready to go on, whatever the tree
    says. Else the tree, by its deciding leaf. No tree asks for nothing. A habit's own tries
    count once it is ticked. Spotters have no chain and are not judged: `ValueError`.
    """
    if role == "spotter":
        raise ValueError("a spotter is chosen by who may spot, not by tries")
    own = readings.own(skill, role)
    chance = readings.by_own_tries(skill, role)
    if chance is not None and chance >= bar:
        return Judgement(skill, role, True, chance, "own", None, own)
    decides = readings.deciding(skill, role)
    if decides is None:
        return Judgement(skill, role, True, 1.0, "no_tree", None, own)
    p, leaf = decides
    if p >= bar:
        return Judgement(skill, role, True, p, "tree", None, own)
    seen = readings.own(leaf.skill, leaf.role)
    if seen is None:
        missing = Missing(leaf, p, last_at=None, counted=0)
    else:
        missing = Missing(leaf, p, seen.belief.last_at, seen.belief.counted)
    return Judgement(skill, role, False, p, "tree", missing, own)
