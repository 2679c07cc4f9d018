"""What the log says of a child and a skill, in sentences a teacher would say."""

from dataclasses import dataclass

from curriculum.cards import CardView
from engine.progression import Leaf
from planning import gates
from planning.evening import Child, Evening, local
from planning.proposals import open_roles
from planning.words import HELP, SPOT, joined, lower_first, seen


@dataclass(frozen=True)
class Standing:
    """Where one child stands in one role of a skill tonight."""

    card: CardView
    role: str
    child: Child

    @property
    def judged(self):
        return self.child.judged[self.card.key, self.role]


def named(card: CardView, role: str) -> str:
    """A skill inside a sentence, with the role where it has more than one."""
    name = lower_first(card.name)
    return f"{name} as {role}" if len(open_roles(card)) > 1 else name


def missing(evening: Evening, one: Standing) -> str | None:
    """What is missing, None when she is ready: the skill on which the answer hangs, what counts
    for it, and when it was last seen."""
    gap = one.judged.missing
    if gap is None:
        return None
    leaf: Leaf = gap.leaf
    card = evening.edition.cards[leaf.skill]
    words = named(card, leaf.role)
    if not card.skill.habit:
        words += f" {HELP[leaf.help]}"
    last_on = None if gap.last_at is None else local(gap.last_at, evening.klass).date()
    return f"{words} ({card.criterion}), {seen(last_on, evening.lesson.on)}"


def why_ready(evening: Evening, one: Standing) -> str:
    """Why she is ready, in words."""
    judged = one.judged
    if judged.source == "own":
        last_on = local(judged.last_at, evening.klass).date()
        return f"{HELP[judged.help]} so far, {seen(last_on, evening.lesson.on)}"
    if judged.source == "no_tree":
        return "nothing else is needed for it"
    return "what it needs is there"


def advice(evening: Evening, card: CardView, role: str, child: Child, *, new_pair: bool) -> str:
    """The spot for her next try: hands_on, hands_near or none; never “none” to begin with."""
    return child.readings.spot_advice(
        card.key,
        role,
        new_pair=new_pair,
        after_break=gates.is_back(evening, child),
    )


def spot_words(spot: str) -> str:
    return SPOT[spot]


def ways(card_ways, seats) -> str:
    """The ways that the children of a group have: all of a role must have what it needs."""
    return joined(
        [way.name for way in card_ways if all_have(way, seats)],
        last="or",
    )


def all_have(way, seats) -> bool:
    """Whether every child in a role that the way asks something of has it."""
    return all(
        child.readings.holds(tree)
        for role, tree in way.needs.items()
        for child in seats.get(role, ())
    )
