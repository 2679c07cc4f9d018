"""Two evenings of one studio, alike but for the edition: the one in use there, and another."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import cached_property
from uuid import UUID

from accounts.scope import Scope
from classes import falls, replay, students
from classes.classes import ClassView
from classes.standing_yeses import Standing as StandingYes
from curriculum.candidates import Turnover
from curriculum.cards import CardView
from curriculum.editions import EditionInUse
from engine.readiness import evidence
from engine.readiness.parameters import DEFAULTS
from engine.readiness.readings import Needs, Readings
from planning import evening as evenings
from planning import gates
from planning.child_lines import readiness
from planning.evening import Asked, Child, Evening, judgements
from planning.map_overlays import GOES_ON, MAY_BEGIN, stands
from planning.reasons import Standing


@dataclass(frozen=True)
class Weighed:
    """All children of a studio today, judged under the edition in use there and under another.

    `yeses` are those that hold or were given for an evening to come. What an adoption today would
    do is read from `turnover`; nothing is stored.
    """

    before: Evening
    after: Evening
    turnover: Turnover
    yeses: tuple[StandingYes, ...]
    on: date

    @cached_property
    def run_out(self) -> tuple[StandingYes, ...]:
        """The yeses that another edition ends: their skill is taught no more, or its card is
        another than on the day they were given."""
        return tuple(one for one in self.yeses if not self._outlives(one))

    def holding(
        self, *, after: bool, on: date, lesson_id: UUID | None = None
    ) -> frozenset[tuple[UUID, str, str, str]]:
        """The yeses as an evening keeps them, general ones and those for one lesson."""
        return frozenset(
            (one.student, one.skill, one.role, one.kind)
            for one in self.yeses
            if one.lesson in (None, lesson_id) and one.given_on <= on
            if not after or self._outlives(one)
        )

    def _outlives(self, one: StandingYes) -> bool:
        taught = one.skill in self.after.edition.cards
        return taught and one.outlives(self.turnover.changed, since=self.on)


def weighed(
    scope: Scope,
    *,
    klass: ClassView,
    student_ids: Collection[UUID],
    on_trial: Mapping[UUID, bool],
    on: date,
    at: datetime,
    edition: EditionInUse,
    turnover: Turnover,
    yeses: tuple[StandingYes, ...],
) -> Weighed:
    """This will judge children of a studio twice, as known at `at`; `klass` is any class there,
    and `on_trial` tells of its own children how they count.

    Beliefs are read from the cache, none is worked out anew for an edition.
    """
    asked = Asked(on=on, visitors=frozenset(student_ids), as_of=at)
    evening = evenings.load(scope, klass=klass, asked=asked)
    # Who is away or rests on that one day says nothing of an edition.
    here = tuple(
        replace(child, not_today=False, trial=on_trial.get(child.id, child.trial))
        for child in evening.listed
    )
    before = replace(evening, here=here, away=())
    found = Weighed(before, _under(scope, before, edition), turnover, yeses, on)
    return replace(
        found,
        before=replace(found.before, yeses=found.holding(after=False, on=on)),
        after=replace(found.after, yeses=found.holding(after=True, on=on)),
    )


def _under(scope: Scope, evening: Evening, edition: EditionInUse) -> Evening:
    """The same evening with another edition: evidence flows along its successions."""
    on, as_of = evening.lesson.on, evening.as_of
    ids = students.visible(scope, student_ids=[child.id for child in evening.here])
    beliefs = replay.beliefs(scope, student_ids=ids, succession=edition.succession)
    needs = Needs({key: card.skill for key, card in edition.cards.items()})

    def child(one: Child) -> Child:
        seen = evidence.read(beliefs.get(one.id, {}), as_of=as_of, on=on, parameters=DEFAULTS)
        known = Readings(needs, seen, DEFAULTS)
        return replace(one, readings=known, judged=judgements(known, evening.policy.bar))

    return replace(
        evening,
        edition=edition,
        here=tuple(child(one) for one in evening.here),
        open_falls=falls.open_falls(scope, student_ids=ids, on=on, edition=edition),
    )


@dataclass(frozen=True)
class Stand:
    """Where one child stands in a role of a skill of an evening, with what stops her there."""

    evening: Evening
    standing: Standing
    stops: tuple[gates.Stop, ...]

    @property
    def stands(self) -> str:
        """One of `map_overlays.STANDS`."""
        return stands(self.evening, self.standing, self.stops)

    @property
    def ready(self) -> bool:
        return self.stands in (GOES_ON, MAY_BEGIN)

    @property
    def says(self) -> str:
        """The same in a sentence, with what is missing."""
        return readiness(self.evening, self.standing, self.stops)


def stand(evening: Evening, card: CardView, role: str, child: Child) -> Stand:
    """This will find where a child stands."""
    return Stand(evening, Standing(card, role, child), gates.stops(evening, card, role, child))
