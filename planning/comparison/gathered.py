"""What the log of one term holds, gathered once for everything that is put side by side."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import cached_property
from uuid import UUID
from zoneinfo import ZoneInfo

import numpy as np

from accounts.scope import Scope
from classes import lessons, tallies, timetable
from classes.lessons import LONGEST_LIST_DAYS, NamedLesson
from classes.tallies import ChainTally, LessonTally, Place
from classes.timetable import TERM, StudioView, TermView
from curriculum.skills import habits
from engine.readiness.parameters import OUTCOMES, SPOTS

NO_DAY = -1
A_DAY = timedelta(days=1)
A_YEAR_BACK = timedelta(days=LONGEST_LIST_DAYS - 1)


@dataclass(frozen=True)
class Gathered:
    """One term up to a moment, from the local dates `first` to `last`; `term` None: the year that
    ends today, where a school has entered no terms.

    `studios` stand by name. `held` are the lessons that were over and had children on their list.
    `goes_on`: no later term has begun, so what is known now is what was known of this one.
    `on_list`: how many children had a place in the class of a lesson on its day. `at_once`: tries
    on one clock by lesson. `chains` are without habits, which are only ever ticked.
    """

    term: TermView | None
    first: date
    last: date
    as_of: datetime
    goes_on: bool
    studios: tuple[StudioView, ...]
    held: tuple[NamedLesson, ...]
    on_list: dict[UUID, int]
    places: tuple[Place, ...]
    logged: tuple[LessonTally, ...]
    at_once: dict[UUID, int]
    chains: tuple[ChainTally, ...]

    @cached_property
    def of_studio(self) -> dict[UUID, list[NamedLesson]]:
        """The lessons held at each studio."""
        found = defaultdict(list)
        for lesson in self.held:
            found[lesson.studio_id].append(lesson)
        return found

    @cached_property
    def home(self) -> dict[UUID, Place]:
        """The place, the one that lasts longest, of each child who belongs to one studio alone.

        Who dances at two says nothing of a difference between them, and who came to try it is
        not anybody's yet.
        """
        found: dict[UUID, list[Place]] = defaultdict(list)
        for place in self.places:
            if not place.trial:
                found[place.student_id].append(place)
        return {
            id_: max(those, key=lambda place: (place.until or date.max, place.class_id))
            for id_, those in found.items()
            if len({place.studio_id for place in those}) == 1
        }

    @cached_property
    def ours(self) -> "Ours":
        """What was tried by the children of one studio."""
        return Ours(self)


class Ours:
    """The chains of children of one studio in columns [n], since there may be a great many.

    `studio`, `student` and `item` are places in `studios`, `students` and `items`, an item being
    a skill key and a role. `first` and `alone` are days as ordinals, NO_DAY where there is none;
    `counts` [n, spots, outcomes] numbers of tries.
    """

    def __init__(self, found: Gathered) -> None:
        self.studios = [studio.id for studio in found.studios]
        self.students = list(found.home)
        student = {id_: place for place, id_ in enumerate(self.students)}
        chains = [chain for chain in found.chains if chain.student_id in student]
        self.items = sorted({(chain.skill, chain.role) for chain in chains})
        item = {key: place for place, key in enumerate(self.items)}
        studio = {id_: place for place, id_ in enumerate(self.studios)}
        lives_at = [studio[found.home[id_].studio_id] for id_ in self.students]
        self.student = _column(student[chain.student_id] for chain in chains)
        self.studio = _column(lives_at)[self.student]
        self.item = _column(item[chain.skill, chain.role] for chain in chains)
        self.first = _column(chain.first_on.toordinal() for chain in chains)
        self.alone = _column(
            chain.alone_on.toordinal() if chain.alone_on else NO_DAY for chain in chains
        )
        self.counts = np.array([chain.counts for chain in chains], dtype=np.int64).reshape(
            -1, len(SPOTS), len(OUTCOMES)
        )

    def of_studios(self, ids: Collection[UUID]) -> np.ndarray:
        """Which rows [n] are of these studios."""
        return np.isin(self.studio, [self.studios.index(id_) for id_ in ids])


def _column(numbers):
    return np.fromiter(numbers, dtype=np.int64)


def gather(scope: Scope, *, term_id: UUID | None, at: datetime) -> Gathered:
    """This will gather a term up to a moment: the one asked for, else the last that has begun.

    Raises `NotAllowed` and `Unknown`.
    """
    scope.need_head("putting studios side by side")
    terms, studios = timetable.terms(scope), timetable.studios(scope)
    # A day begins where it comes first.
    days_there = (at.astimezone(ZoneInfo(studio.zone)).date() for studio in studios)
    today = max(days_there, default=at.date())
    begun = [term for term in terms if term.first_on <= today]
    if term_id is not None:
        term = timetable.find(scope, kind=TERM, row_id=term_id)
    else:
        term = begun[-1] if begun else (terms[0] if terms else None)
    first = term.first_on if term else today - A_YEAR_BACK
    last = min(term.last_on, today) if term else today
    first = max(first, last - A_YEAR_BACK)
    days = {"first": first, "last": last}
    places = tallies.places(scope, **days)
    over = [
        lesson
        for lesson in lessons.between(scope, **days)
        if lesson.closed is None and lesson.starts_at + timedelta(minutes=lesson.minutes) <= at
    ]
    on_list = _on_list(over, places)
    ticked = habits(scope)
    counted = tallies.of_days(scope, **days)
    return Gathered(
        term=term,
        **days,
        as_of=min(at, datetime.combine(last + A_DAY, time.min, UTC)),
        goes_on=not any(one.first_on > term.first_on for one in begun),
        studios=studios,
        held=tuple(lesson for lesson in over if on_list[lesson.id]),
        on_list=on_list,
        places=places,
        logged=counted.lessons,
        at_once=counted.at_once,
        chains=tuple(chain for chain in counted.chains if chain.skill not in ticked),
    )


def _on_list(over, places):
    by_class = defaultdict(list)
    for place in places:
        by_class[place.class_id].append(place)
    return {
        lesson.id: sum(place.held_on(lesson.on) for place in by_class[lesson.class_id])
        for lesson in over
    }
