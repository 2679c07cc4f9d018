"""Stop, ask, say: what is checked before a child is lifted, balanced or inverted.

A stop is passed by nobody in the tool; an ask is passed by a teacher with a reason; a say is one
line. Every text here may be read aloud before the children.
"""

from dataclasses import dataclass
from uuid import UUID

from accounts.names import folded
from classes.models.children import BEGIN, HANDS_ON, LIFTING, NO_SPOT
from curriculum.cards import CardView
from planning.evening import Child, Evening
from planning.words import RESTED, day, spoken

PASSED_BY_EVENT = ("height", "back", "floor", "line")
NO_SPOTTER, ADULTS_IN_ROOM = CLASS_STOPS = ("no_spotter", "adults_in_room")
FALL = "a teacher looks at it first, since there was a fall or a near miss"


@dataclass(frozen=True)
class Stop:
    """Why one child may not take one role, or why nobody may do a skill tonight."""

    code: str
    sentence: str
    detail: str = ""

    @property
    def told(self) -> str:
        """What `tonight --why` says to the teacher who asks: the sheet hangs on the wall."""
        return self.detail or self.sentence


@dataclass(frozen=True)
class Ask:
    """What a teacher says yes to before the first go.

    `names` are the children it is about; `about` says the same inside a sentence. `students` are
    their ids, of a pair the base first; `role` is hers where it is about one child in a role.
    """

    code: str
    names: tuple[str, ...]
    about: str
    students: tuple[UUID, ...] = ()
    role: str | None = None


def spotters_for(evening: Evening, card: CardView) -> tuple[str, ...]:
    """The names of the adults free tonight who may spot this card's family, alphabetical."""
    return tuple(
        adult.name
        for adult in evening.spotters
        if "all" in adult.may_spot or card.skill.family in adult.may_spot
    )


def class_stops(evening: Evening, card: CardView) -> tuple[Stop, ...]:
    """Stops that hold for everybody: adults missing."""
    stops = []
    if card.spotted and not spotters_for(evening, card):
        stops.append(Stop(NO_SPOTTER, "no adult is free tonight who may spot this"))
    needed, there = adults_needed(evening), evening.adults_in_room
    if (card.lifted or card.spotted) and there < needed:
        stops.append(
            Stop(
                ADULTS_IN_ROOM,
                f"{spoken(needed, 'adult')} should be in the room for this,"
                f" {spoken(there, 'is', 'are') if there else 'none are'} named",
            )
        )
    return tuple(stops)


def adults_needed(evening: Evening) -> int:
    """How many adults the school's policy wants in the room for the children who are here."""
    policy = evening.policy
    by_children = -(-len(evening.here) // policy.children_per_adult)
    return max(policy.adults_in_room, by_children)


def stops(evening: Evening, card: CardView, role: str, child: Child) -> tuple[Stop, ...]:
    """Stops that hold for one child in one role of a card, the plainest first."""
    found = []
    if child.not_today and (card.spotted or card.lifted or role != "solo"):
        found.append(Stop("not_today", "not today"))
    found += [
        Stop("restricted", f"{RESTED[block.blocks]} until {day(block.until)}")
        for block in child.restricted
        if block.blocks == role or block.blocks in card.loads.get(role, ())
    ]
    if any((id_, key) == (child.id, card.key) for id_, key, _ in evening.open_falls):
        found.append(Stop("fall", "a teacher looks at it first", FALL))
    if card.youngest_age is not None and (child.age is None or child.age < card.youngest_age):
        unknown = "" if child.age is not None else ", and the age is not known"
        found.append(Stop("age", "comes later", f"from {card.youngest_age} years on{unknown}"))
    if card.lifted:
        if child.trial:
            found.append(Stop("trial", "on trial: no lifts yet"))
        if not evening.policy.agreements_kept_elsewhere:
            for kind, words in ((LIFTING, "lifting"), (HANDS_ON, "hands-on spotting")):
                if kind not in child.agreed:
                    how = "was withdrawn" if kind in child.withdrawn else "is missing"
                    found.append(
                        Stop("agreement", "no lifts for now", f"the agreement to {words} {how}")
                    )
    return tuple(found)


def has_yes(evening: Evening, card: CardView, role: str, child: Child) -> bool:
    """Whether a teacher's yes to begin this skill in this role holds tonight."""
    return (child.id, card.key, role, BEGIN) in evening.yeses


def may_go_unspotted(evening: Evening, card: CardView, role: str, child: Child) -> bool:
    """Whether a teacher's yes to do this with no spot holds tonight."""
    return (child.id, card.key, role, NO_SPOT) in evening.yeses


def weeks_away(evening: Evening, child: Child) -> int | None:
    """Full weeks since she was last here, None when she has not been here before."""
    return None if child.last_here is None else (evening.lesson.on - child.last_here).days // 7


def is_back(evening: Evening, child: Child) -> bool:
    """Whether the child is back after more weeks than the school's policy allows."""
    if child.last_here is None:
        return False
    return (evening.lesson.on - child.last_here).days > 7 * evening.policy.back_after_weeks


def is_new_floor(evening: Evening, child: Child) -> bool:
    """Whether nothing is logged of the child, in the time looked back on, on the floor that is
    named for tonight."""
    return evening.surface is not None and (child.id, folded(evening.surface)) not in evening.floors


def hands_may_touch(evening: Evening, child: Child) -> bool:
    """Whether the guardian's agreement to hands-on spotting is there."""
    return evening.policy.agreements_kept_elsewhere or HANDS_ON in child.agreed


def group_asks(
    evening: Evening, card: CardView, seats: dict[str, tuple[Child, ...]]
) -> tuple[Ask, ...]:
    """What a teacher says yes to before this group's first go.

    Lifts ask for a yes to begin, a yes for the pair and a height that is not old; whatever is
    spotted asks for a look after a break and on a floor that is new to somebody. Two children
    are asked about alike whether nothing is known about the load or only the pair is new: nobody
    can read anything else out of it.
    """
    asks = []
    people = [(role, child) for role, children in seats.items() for child in children]
    if card.lifted:
        asks += _lift_asks(evening, card, seats, people)
    if card.lifted or card.spotted:
        for _, child in people:
            if is_back(evening, child):
                weeks = spoken(weeks_away(evening, child), "week")
                about = f"{child.name}, back after {weeks}"
                asks.append(Ask("back", (child.name,), about, (child.id,)))
            if is_new_floor(evening, child):
                asks.append(Ask("floor", (child.name,), child.name, (child.id,)))
    return tuple(ask for ask in asks if not is_answered(evening, card, ask))


def is_answered(evening: Evening, card: CardView, ask: Ask) -> bool:
    """Whether a teacher has passed just this ask for tonight. A yes and a pair are kept as what
    they are, and may be taken back: the event beside them passes nothing."""
    return ask.code in PASSED_BY_EVENT and (card.key, ask.code, ask.students) in evening.answered


def _lift_asks(evening, card, seats, people):
    asks = []
    for role, child in people:
        if not has_yes(evening, card, role, child):
            asks.append(Ask("yes", (child.name,), f"{child.name} as {role}", (child.id,), role))
    for base in seats.get("base", ()):
        for flyer in seats.get("flyer", ()):
            if (base.id, flyer.id) not in evening.pairs_ok:
                asks.append(pair_ask(base, flyer))
    for role, child in people:
        if role in ("base", "flyer") and has_old_height(evening, child):
            asks.append(Ask("height", (child.name,), child.name, (child.id,)))
    return asks


def pair_ask(base: Child, flyer: Child) -> Ask:
    """“These two: yes”, whatever it is asked for."""
    about = f"{base.name} with {flyer.name}"
    return Ask("pair", (base.name, flyer.name), about, (base.id, flyer.id))


def flyer_taller_by_at_most_cm(evening: Evening, card: CardView) -> float | None:
    """The limit between flyer and base: the card's, else for lifts the school's policy."""
    if card.flyer_taller_by_at_most_cm is None and card.lifted:
        return evening.policy.flyer_taller_by_at_most_cm
    return card.flyer_taller_by_at_most_cm


def has_old_height(evening: Evening, child: Child) -> bool:
    """Whether a child's height is older than the school's policy; an unknown one is not old."""
    if child.height_on is None:
        return False
    return (evening.lesson.on - child.height_on).days > evening.policy.height_days
