"""What the log says of a child and a skill, in sentences a teacher would say."""

from collections.abc import Mapping
from dataclasses import dataclass

from curriculum.cards import CardView
from engine.progression import AllOf, Leaf, Tree
from engine.readiness.advice import HANDS_NEAR, HANDS_ON, NONE, spot_advice
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


def _asked(cards: Mapping[str, CardView], leaf: Leaf) -> str:
    """What a leaf asks: a skill with so much help, or a habit."""
    card = cards[leaf.skill]
    words = named(card, leaf.role)
    return words if card.skill.habit else f"{words} {HELP[leaf.help]}"


def needed(cards: Mapping[str, CardView], tree: Tree) -> str:
    """All that a tree asks, as one says it."""
    if isinstance(tree, Leaf):
        return _asked(cards, tree)
    parts = [needed(cards, part) for part in tree.parts]
    if isinstance(tree, AllOf) or len(parts) == 1:
        return joined(parts)
    return f"either {joined(parts, last='or')}"


def missing(evening: Evening, one: Standing, *, criterion: bool = True) -> str | None:
    """What is missing, None when nothing is: the skill on which the answer hangs, its criterion
    where asked for, and when it was last seen."""
    gap = one.judged.missing
    if gap is None:
        return None
    leaf: Leaf = gap.leaf
    card = evening.edition.cards[leaf.skill]
    words = _asked(evening.edition.cards, leaf)
    last_on = None if gap.last_at is None else local(gap.last_at, evening.klass).date()
    if criterion:
        words += f" ({card.criterion})"
    return f"{words}, {seen(last_on, evening.lesson.on)}"


def nearest_gap(evening: Evening, card: CardView, child: Child) -> str | None:
    """What is missing in the role of a card that the child is nearest to."""
    gaps = [
        one for role in open_roles(card) if not (one := Standing(card, role, child)).judged.ready
    ]
    if not gaps:
        return None
    return missing(evening, max(gaps, key=lambda one: one.judged.missing.p), criterion=False)


def why_ready(evening: Evening, one: Standing) -> str:
    """Why she is ready, in words."""
    judged = one.judged
    if judged.source == "own":
        last_on = local(judged.evidence.belief.last_at, evening.klass).date()
        return f"{HELP[judged.likely]} so far, {seen(last_on, evening.lesson.on)}"
    if judged.source == "no_tree":
        return "nothing else is needed for it"
    return "what it needs is there"


def advice(evening: Evening, card: CardView, role: str, child: Child, *, new_pair: bool) -> str:
    """The spot to begin with tonight: hands_on, hands_near or none."""
    advised = spot_advice(
        child.judged[card.key, role].evidence,
        new_pair=new_pair,
        new_floor=gates.is_new_floor(evening, child),
        after_break=gates.is_back(evening, child),
        last_spot=evening.last_spots.get((child.id, card.key, role)),
    )
    # On the floor hands stay near where no guardian has agreed to more; a lift goes without a
    # spot only after a teacher's yes to that.
    if advised == HANDS_ON and not gates.hands_may_touch(evening, child):
        return HANDS_NEAR
    if advised == NONE and card.lifted and not gates.may_go_unspotted(evening, card, role, child):
        return HANDS_NEAR
    return advised


def spot_words(spot: str) -> str:
    return SPOT[spot]


def ways(evening, card_ways, seats) -> str:
    """The ways that the children of a group have: all of a role must have what it needs."""
    return joined(
        [way.name for way in card_ways if all_have(evening, way, seats)],
        last="or",
    )


def all_have(evening, way, seats) -> bool:
    """Whether every child in a role that the way asks something of has it."""
    return all(
        _chance(child.readings, tree) >= evening.policy.bar
        for role, tree in way.needs.items()
        for child in seats.get(role, ())
    )


def _chance(readings, tree) -> float:
    """The probability on which a way's tree hangs."""
    if isinstance(tree, Leaf):
        return readings.at_or_above(tree.skill, tree.role, tree.help)
    chances = [_chance(readings, part) for part in tree.parts]
    return min(chances) if isinstance(tree, AllOf) else max(chances)
