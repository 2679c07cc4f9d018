"""Studios side by side, fairly: how much and how strictly is logged, then what can be said.

Never a ranking: studios stand by name, nothing is sorted by a figure, and no child is named or told
of by a figure about fewer than five. The bounds stand in `policy`, with their reasons.
"""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from accounts.scope import Scope
from classes.timetable import TermView
from planning.comparison import words
from planning.comparison.explained import explanations
from planning.comparison.gathered import gather
from planning.comparison.logged import SAYS as SAYS
from planning.comparison.logged import Logging, Strict, logging, strict
from planning.comparison.reached import Reached, reached
from planning.comparison.times import SkillTimes, times


@dataclass(frozen=True)
class StudioBeside:
    """One studio: how much it logs, how strictly, and what its children have reached."""

    studio: UUID
    name: str
    logging: Logging
    strictness: Strict
    reached: Reached


@dataclass(frozen=True)
class Comparison:
    """The studios of a school in one term as known at a moment, in alphabetical order.

    `term` is None where a school has entered none: the year that ends then. With one studio there
    is a sentence and nothing else.
    """

    term: TermView | None
    as_of: datetime
    sentence: str
    studios: tuple[StudioBeside, ...]
    skills: tuple[SkillTimes, ...]
    notes: tuple[str, ...]


def comparison(scope: Scope, *, at: datetime, term_id: UUID | None = None) -> Comparison:
    """This will put the studios of a school side by side, up to a moment of a term: the one asked
    for, else the last that has begun. Raises `NotAllowed` and `Unknown`.
    """
    found = gather(scope, term_id=term_id, at=at)
    if len(found.studios) < 2:
        return Comparison(found.term, found.as_of, words.NOTHING, (), (), ())
    logs = logging(found)
    strictly = strict(found, logs)
    explains = explanations(found, logs, strictly)
    what, notes = reached(scope, found, logs, explains)
    return Comparison(
        term=found.term,
        as_of=found.as_of,
        sentence=words.heading(len(found.studios)),
        studios=tuple(
            StudioBeside(
                studio=studio.id,
                name=studio.name,
                logging=logs[studio.id],
                strictness=strictly[studio.id],
                reached=what[studio.id],
            )
            for studio in found.studios
        ),
        skills=times(scope, found, explains),
        notes=notes,
    )
