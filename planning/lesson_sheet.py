"""The sheet of a lesson as one document: all that a phone needs for the evening with no signal.

Equal data give equal bytes: nothing in it comes from a clock, and nothing hangs on the order in
which a database answers.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from accounts.models import ASSISTANT
from accounts.scope import Scope
from classes import attendance
from planning import by_hand, gates, kept_groups, says, tonight
from planning import evening as evenings
from planning.admission import told_to
from planning.card_lines import CardLines, card_lines
from planning.child_lines import ChildLine, child_lines
from planning.evening import Evening, local
from planning.group_views import GroupsView, as_kept, told
from planning.kept_groups import Kept
from planning.least_change import carried_on
from planning.pair_table import PairTable, pair_table
from planning.proposals import Proposal
from planning.sheet import as_html
from planning.suggestions import Suggestions, suggestions
from planning.words import CAUTION


@dataclass(frozen=True)
class Named:
    """A class, a studio or an adult."""

    id: UUID
    name: str


@dataclass(frozen=True)
class LessonLines:
    """The lesson; times are the studio's own, with their offset from UTC. `adults_needed` is what
    the school's policy wants in the room, `closed` why there is no lesson that day."""

    id: UUID
    on: date
    starts_at: datetime
    ends_at: datetime
    zone: str
    minutes: int
    state: str
    closed: str | None
    mats: int
    surface: str | None
    note: str
    spotters: tuple[Named, ...]
    adults_in_room: int
    adults_needed: int


@dataclass(frozen=True)
class EditionLines:
    id: UUID
    number: int
    name: str


@dataclass(frozen=True)
class SuggestionLine:
    """A skill that suits tonight. Where groups were `worked_out`, so many `can_be_placed`, else at
    most so many; of what is done alone it is how many it moves on."""

    skill: str
    name: str
    carries_on: bool
    worked_out: bool
    can_be_placed: int
    moves_on: tuple[UUID, ...]
    says: str


@dataclass(frozen=True)
class SuggestionLines:
    """Skills for groups and, apart, for each alone; the best first."""

    lesson: UUID
    known: str
    groups: tuple[SuggestionLine, ...]
    alone: tuple[SuggestionLine, ...]
    caution: str = CAUTION


@dataclass(frozen=True)
class Say:
    about: str
    says: str


@dataclass(frozen=True)
class LessonSheet:
    """The whole sheet. `kept` are the groups that were kept for the lesson, `proposed` the best
    where there are none; the pair tables are those of all suggested and kept skills. `private` is
    for a teacher alone."""

    lesson: LessonLines
    klass: Named
    studio: Named
    edition: EditionLines
    known: str
    children: tuple[ChildLine, ...]
    cards: tuple[CardLines, ...]
    suggestions: SuggestionLines
    kept: tuple[GroupsView, ...]
    proposed: tuple[GroupsView, ...]
    pair_tables: tuple[PairTable, ...]
    says: tuple[Say, ...]
    private: str | None
    caution: str = CAUTION


def lesson_sheet(scope: Scope, *, lesson_id: UUID, today: date) -> LessonSheet:
    """This will make the sheet of a lesson, as known at its start.

    A lesson that nobody has entered yet is looked for around `today`. Raises `Unknown`.
    """
    evening = evenings.of_lesson(scope, lesson_id=lesson_id, today=today)
    register = attendance.register(scope, lesson_id=lesson_id, around=today)
    known = kept_groups.of_lesson(scope, lesson_id=lesson_id)
    cards = evening.edition.cards
    checked = _checked(evening, known)
    kept = [one.card for one in checked]
    found = suggestions(evening)
    proposals = [] if kept else _best(evening, found)
    stations = [(one.card, [group.seats for group in one.groups]) for one in checked]
    stations += [(one.card, one.groups) for one in proposals]
    tables = dict.fromkeys([*(card.key for card in kept), *(one.card.key for one in found.groups)])
    return LessonSheet(
        lesson=_lesson(evening),
        klass=Named(evening.klass.id, evening.klass.name),
        studio=Named(evening.klass.studio_id, evening.klass.studio_name),
        edition=EditionLines(evening.edition.id, evening.edition.number, evening.edition.name),
        known=tonight.known(evening),
        children=child_lines(evening, {one.student_id: one for one in register}),
        cards=tuple(card_lines(evening.edition, card) for card in cards.values()),
        suggestions=_suggested(evening, found),
        kept=tuple(as_kept(scope, evening, card, known) for card in kept),
        proposed=tuple(_proposed(scope, evening, one) for one in proposals),
        pair_tables=tuple(pair_table(told_to(scope, evening), cards[key]) for key in tables),
        says=tuple(Say(about, text) for about, text in says.says(evening, stations)),
        private=None if scope.role == ASSISTANT else says.private_note(evening),
    )


def page(scope: Scope, *, lesson_id: UUID, today: date) -> str:
    """This will make the sheet of a lesson as one HTML page for print: the groups that were kept,
    as they are and with what stops and asks now, else those that are proposed. Raises `Unknown`."""
    evening = evenings.of_lesson(scope, lesson_id=lesson_id, today=today)
    kept = _checked(evening, kept_groups.of_lesson(scope, lesson_id=lesson_id))
    made, _ = tonight.make_sheet(
        evening, kept=tuple(by_hand.as_they_stand(evening, one) for one in kept)
    )
    return as_html(made)


def suggested(scope: Scope, *, lesson_id: UUID, today: date) -> SuggestionLines:
    """This will tell which skills suit a lesson, the best first. Raises `Unknown`."""
    evening = evenings.of_lesson(scope, lesson_id=lesson_id, today=today)
    return _suggested(evening, suggestions(evening))


def table(scope: Scope, *, lesson_id: UUID, skill: str, today: date) -> PairTable:
    """This will work out the pair table of a skill for a lesson.

    Raises `Unknown` for the lesson, and for a skill that is not in the edition in use or is done
    in no groups.
    """
    evening = evenings.of_lesson(scope, lesson_id=lesson_id, today=today)
    return pair_table(told_to(scope, evening), by_hand.card_of(evening, skill))


def _lesson(evening: Evening) -> LessonLines:
    starts = local(evening.lesson.starts_at, evening.klass)
    ends = evening.lesson.starts_at + timedelta(minutes=evening.minutes)
    return LessonLines(
        id=evening.lesson.id,
        on=evening.lesson.on,
        starts_at=starts,
        ends_at=local(ends, evening.klass),
        zone=evening.klass.zone,
        minutes=evening.minutes,
        state=evening.lesson.state,
        closed=evening.closed,
        mats=evening.mats,
        surface=evening.surface,
        note=evening.note,
        spotters=tuple(Named(one.id, one.name) for one in evening.spotters),
        adults_in_room=evening.adults_in_room,
        adults_needed=gates.adults_needed(evening),
    )


def _suggested(evening: Evening, found: Suggestions) -> SuggestionLines:
    def line(one, placed):
        return SuggestionLine(
            skill=one.card.key,
            name=one.card.name,
            carries_on=one.carries_on,
            worked_out=one.proposal is not None,
            can_be_placed=placed,
            moves_on=tuple(child.id for child in one.learners),
            says=tonight.suggested(evening, one),
        )

    return SuggestionLines(
        lesson=evening.lesson.id,
        known=tonight.known(evening),
        groups=tuple(line(one, one.at_most) for one in found.groups),
        alone=tuple(line(one, len(one.learners)) for one in found.alone),
    )


def _checked(evening: Evening, known: Kept) -> list[by_hand.Check]:
    """The kept groups of each skill, in teaching order, with what stops and asks now."""
    return [
        by_hand.check(evening, card, known[key][1])
        for key, card in evening.edition.cards.items()
        if known.get(key, (0, ()))[1]
    ]


def _best(evening: Evening, found: Suggestions) -> list[Proposal]:
    best = {card.key for card in tonight.chosen(evening, found, ())}
    return [one.proposal for one in found.groups if one.card.key in best]


def _proposed(scope, evening, proposal: Proposal) -> GroupsView:
    formed = carried_on(proposal, ()).groups
    return told(
        scope,
        evening,
        by_hand.check(evening, proposal.card, formed),
        version=0,
        left=proposal.still_to_place,
        proven=proposal.proven,
    )
