"""What a phone knows of each child tonight: words, no numbers, never a birth month or a size."""

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from classes.attendance import STATES as STATES
from classes.attendance import Entered
from classes.models.lessons import AWAY, HERE, NOT_TODAY
from curriculum.cards import CardView
from engine.readiness.parameters import SPOTS as SPOTS
from planning import gates
from planning.evening import Child, Evening
from planning.proposals import number_for, open_roles
from planning.reasons import Standing, advice, all_have, missing, why_ready
from planning.tonight import not_for_now
from planning.words import HELP, joined

NOT_TRIED = "not tried yet"
SOLO = "solo"
AT_HOME = ("hands_near", "no_spot")  # the help that she needs of what she may practise there


@dataclass(frozen=True)
class SkillLine:
    """One child in one role of a skill.

    `ready` is by the log or a teacher's yes; nobody who is `stopped` goes on, ready or not. `spot`
    is the one to begin with, None where nobody spots; `without` are the keys of the ways in and
    out and of the shapes for which something is missing.
    """

    skill: str
    role: str
    ready: bool
    stopped: bool
    spot: str | None
    help: str
    says: str
    without: tuple[str, ...]


@dataclass(frozen=True)
class ChildLine:
    """One child of tonight's list. Without an entry she counts as here and `revision` is None;
    a correction needs a greater one. `at_home` are the keys of what she may practise there."""

    id: UUID
    name: str
    trial: bool
    visitor: bool
    state: str
    revision: int | None
    not_for_now: tuple[str, ...]
    at_home: tuple[str, ...]
    skills: tuple[SkillLine, ...]


def child_lines(evening: Evening, entered: Mapping[UUID, Entered]) -> tuple[ChildLine, ...]:
    """This will tell of everybody of tonight's list, by name; `entered` is what the register of
    the lesson says of them."""
    away = {child.id for child in evening.away}
    return tuple(
        ChildLine(
            id=child.id,
            name=child.name,
            trial=child.trial,
            visitor=entered[child.id].visitor,
            state=AWAY if child.id in away else NOT_TODAY if child.not_today else HERE,
            revision=entered[child.id].revision,
            not_for_now=not_for_now(evening, child),
            at_home=_at_home(evening, child),
            skills=tuple(
                _skill(evening, Standing(card, role, child))
                for card in evening.edition.cards.values()
                for role in open_roles(card)
            ),
        )
        for child in evening.listed
    )


def _skill(evening, one: Standing) -> SkillLine:
    card, role, child = one.card, one.role, one.child
    stops = gates.stops(evening, card, role, child)
    spot = advice(evening, card, role, child, new_pair=False) if card.spotted else None
    return SkillLine(
        skill=card.key,
        role=role,
        ready=number_for(evening, card, role, child) >= evening.policy.bar,
        stopped=bool(stops),
        spot=spot,
        help=HELP[one.judged.likely] if one.judged.likely else NOT_TRIED,
        says=readiness(evening, one, stops),
        without=_without(evening, card, role, child),
    )


def readiness(evening: Evening, one: Standing, stops: tuple[gates.Stop, ...]) -> str:
    """Whether she goes on with a skill or may begin it, else what is missing."""
    if stops:
        return f"not for now: {joined(dict.fromkeys(stop.sentence for stop in stops))}"
    if not one.judged.ready:
        if gates.has_yes(evening, one.card, one.role, one.child):
            return "a teacher has said yes to begin"
        return f"missing is {missing(evening, one, criterion=False)}"
    begins = "goes on" if one.judged.source == "own" else "may begin"
    return f"{begins}: {why_ready(evening, one)}"


def _at_home(evening, child: Child):
    """What nobody spots and she does, where its card says how it is practised at home: only a card
    of what is done alone and on the floor may. What still grows comes first; nothing where she
    rests tonight."""
    if child.not_today:
        return ()
    return tuple(
        card.key
        for help_needed in AT_HOME
        for card in evening.edition.cards.values()
        if card.at_home and not card.spotted
        if child.judged[card.key, SOLO].likely == help_needed
        if not gates.stops(evening, card, SOLO, child)
    )


def _without(evening, card: CardView, role, child: Child):
    return tuple(
        way.key
        for way in (*card.ways_in, *card.shapes, *card.ways_out)
        if not all_have(evening, way, {role: (child,)})
    )
