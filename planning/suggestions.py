"""Which skills suit a class tonight: how many can be placed, and whom it moves on."""

from dataclasses import dataclass

from curriculum.cards import CardView
from planning.evening import Child, Evening
from planning.proposals import Proposal, moves_on, open_roles, propose, upper_bound

WORKED_OUT = 5  # so many of the first are solved exactly; the others show a bound
TRIED_MOST = 10  # skills solved at most to find them
ALSO = 3  # further skills named with their bound alone


@dataclass(frozen=True)
class Suggestion:
    """A skill for tonight. `proposal` is there when the groups were worked out; else
    `at_most` children can be placed."""

    card: CardView
    carries_on: bool
    at_most: int
    learners: tuple[Child, ...]
    proposal: Proposal | None


@dataclass(frozen=True)
class Suggestions:
    """Skills for groups and, apart, skills that each child does alone."""

    groups: tuple[Suggestion, ...]
    alone: tuple[Suggestion, ...]


def suggestions(evening: Evening) -> Suggestions:
    """This will rank the skills for an evening: what was begun last time and still places half of
    the class first, then by how many are placed and moved on; of equals the one further on."""
    begun = {one.skill_key for one in evening.last_tries}
    found = []
    for card in evening.edition.cards.values():
        if card.skill.habit:
            continue
        learners = tuple(child for child in evening.playing if moves_on(evening, card, child))
        if learners:
            found.append(Suggestion(card, card.key in begun, 0, learners, None))
    alone = [one for one in found if open_roles(one.card) == ("solo",)]
    together = [
        Suggestion(one.card, one.carries_on, bound, one.learners, None)
        for one in found
        if one not in alone and (bound := upper_bound(evening, one.card))
    ]
    return Suggestions(
        groups=_worked_out(evening, sorted(together, key=_order(evening))),
        alone=tuple(
            sorted(
                alone,
                key=lambda one: (not one.carries_on, -len(one.learners), one.card.position),
            )
        ),
    )


def _order(evening):
    half = len(evening.playing) / 2

    def order(one):
        reach = min(one.at_most, len(one.learners))
        return (not (one.carries_on and one.at_most >= half), -reach, -one.card.position)

    return order


def _worked_out(evening, ranked):
    """The first ones solved, leaving out what turns out to place nobody, then a few bounds."""
    solved = []
    tried = 0
    for one in ranked[:TRIED_MOST]:
        if len(solved) == WORKED_OUT:
            break
        tried += 1
        proposal = propose(evening, one.card)
        if proposal.moved_on:
            solved.append(
                Suggestion(one.card, one.carries_on, proposal.placed, proposal.moved_on, proposal)
            )
    return (*sorted(solved, key=_order(evening)), *ranked[tried : tried + ALSO])
