"""From an evening to groups: one grouping problem for a skill, solved, with stops and asks.

The engine knows children by their place in the alphabetical list, so that ties are broken the
same way on every machine.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from curriculum.cards import CardView
from engine.grouping.bound import bound
from engine.grouping.explain import explain
from engine.grouping.feasible import adults_needed
from engine.grouping.problem import Group as EngineGroup
from engine.grouping.problem import Problem, Role, Skill, StillToPlace, Student
from engine.grouping.solve import solve
from planning import gates
from planning.evening import SPOTTER, Child, Evening

EFFORT = 4.0  # the solver's deterministic time for one skill: well under a second here
SPOTTER_READINESS = 0.5  # adults fill this role; a child never does in a proposal


@dataclass(frozen=True)
class Seats:
    """One group: who holds which role, who spots it, in which turn under that spot. Of a kept one
    `stops` are the sentences of what stops it now."""

    seats: Mapping[str, tuple[Child, ...]]
    spotters: tuple[str, ...]
    turn: int
    asks: tuple[gates.Ask, ...]
    stops: tuple[str, ...] = ()

    @property
    def children(self) -> tuple[Child, ...]:
        return tuple(child for held in self.seats.values() for child in held)


@dataclass(frozen=True)
class Unplaced:
    """A child still to place in a skill, with the reason's code and a sentence."""

    child: Child
    reason: str
    sentence: str


@dataclass(frozen=True)
class Proposal:
    """Groups for one skill tonight. `proven` says that nothing better exists by the rules."""

    card: CardView
    groups: tuple[Seats, ...]
    still_to_place: tuple[Unplaced, ...]
    class_stops: tuple[gates.Stop, ...]
    proven: bool
    placed: int
    moved_on: tuple[Child, ...]


def open_roles(card: CardView) -> tuple[str, ...]:
    """The roles that children hold."""
    return tuple(role for role in card.skill.roles if role != SPOTTER)


def number_for(evening: Evening, card: CardView, role: str, child: Child) -> float:
    """The readiness that grouping gets; a teacher's yes lets her in."""
    own = child.judged[card.key, role].number
    if gates.has_yes(evening, card, role, child):
        return max(own, evening.policy.bar)
    return own


def moves_on(evening: Evening, card: CardView, child: Child) -> bool:
    """Whether this skill has something left to learn for her in a role that is open to her."""
    return any(
        not child.judged[card.key, role].steady
        and number_for(evening, card, role, child) >= evening.policy.bar
        and not gates.stops(evening, card, role, child)
        for role in open_roles(card)
    )


def problem(
    evening: Evening,
    card: CardView,
    *,
    standing: tuple[EngineGroup, ...] = (),
    locked: tuple[EngineGroup, ...] = (),
) -> Problem:
    """This will state the grouping problem of one skill tonight.

    Groups take turns on a mat as they do under a spot; nobody is proposed into a line longer
    than its learning size.
    """
    children = evening.playing
    rank = {child.id: child.rank for child in children}
    turns = evening.policy.turns_under_one_spot

    def pairs(rows):
        return tuple(sorted((rank[a], rank[b]) for a, b in rows if a in rank and b in rank))

    return Problem(
        skill=_skill(evening, card),
        students=tuple(
            Student(
                id=child.rank,
                height_cm=child.height_cm,
                mass_kg=None if child.mass_kg is None else (child.mass_kg, child.mass_kg),
                readiness={
                    role: number_for(evening, card, role, child) for role in open_roles(card)
                },
                barred=frozenset(
                    role for role in open_roles(card) if gates.stops(evening, card, role, child)
                ),
                turns={
                    role: count
                    for role in open_roles(card)
                    if (count := evening.turns.get((child.id, role)))
                },
            )
            for child in children
        ),
        adults=len(gates.spotters_for(evening, card)) if card.spotted else 0,
        turns_under_one_spot=turns,
        mats=evening.mats * turns,
        apart=pairs(evening.apart),
        together=pairs(evening.together),
        pairs_ok=pairs(evening.pairs_ok),
        past_pairs=tuple(
            sorted(
                (*sorted((rank[a], rank[b])), count)
                for (a, b), count in evening.past_pairs.items()
                if a in rank and b in rank
            )
        ),
        standing=standing,
        locked=locked,
    )


def _skill(evening, card):
    bar = evening.policy.bar
    roles = [
        Role(name, role.min, role.max, min_readiness=bar)
        for name, role in _sized(card).items()
        if name != SPOTTER
    ]
    if card.spotted:
        spotter = card.skill.roles.get(SPOTTER)
        roles.append(
            Role(
                SPOTTER,
                max(1, spotter.min) if spotter else 1,  # nothing that is spotted goes without
                spotter.max if spotter else 1,
                min_readiness=SPOTTER_READINESS,
                adults_may_fill=True,
                students_may_fill=False,
            )
        )
    return Skill(
        name=card.name,
        roles=tuple(roles),
        carried_share=1.0 if card.carried_share is None else card.carried_share,
        # What stays on the floor is not weighed; a lift with nothing known asks for a yes.
        max_load_ratio=evening.policy.max_load_ratio if card.lifted else None,
        if_mass_unknown="ask",
        max_height_difference_cm=card.max_height_difference_cm,
        flyer_taller_by_at_most_cm=gates.flyer_taller_by_at_most_cm(evening, card),
        keep_partners=card.keep_partners,
    )


def _sized(card):
    """The roles, those of open size cut so that no group is longer than the learning size."""
    roles = dict(card.skill.roles)
    if card.learning_size is None:
        return roles
    spare = card.learning_size - sum(roles[name].min for name in open_roles(card))
    for name in open_roles(card):
        role = roles[name]
        more = max(0, min(spare, role.max - role.min))
        roles[name] = type(role)(role.min, role.min + more, role.needs)
        spare -= more
    return roles


def upper_bound(evening: Evening, card: CardView) -> int:
    """At most so many children can be placed in this skill tonight; no solver runs."""
    if gates.class_stops(evening, card):
        return 0
    return bound(problem(evening, card))


def propose(evening: Evening, card: CardView) -> Proposal:
    """This will find tonight's groups for one skill, with reasons for whoever is left."""
    return solved(evening, card, problem(evening, card))


def solved(evening: Evening, card: CardView, stated: Problem) -> Proposal:
    """This will solve a problem of tonight as it is stated."""
    stops = gates.class_stops(evening, card)
    by_rank = {child.rank: child for child in evening.playing}
    if stops:
        return Proposal(
            card=card,
            groups=(),
            still_to_place=(),
            class_stops=stops,
            proven=True,
            placed=0,
            moved_on=(),
        )
    answer = solve(stated, effort=EFFORT)
    seatings = [
        {role: tuple(by_rank[rank] for rank in held) for role, held in group.roles.items() if held}
        for group in answer.groups
    ]
    groups = seated(evening, card, seatings)
    placed = [child for group in groups for child in group.children]
    return Proposal(
        card=card,
        groups=groups,
        still_to_place=tuple(
            _unplaced(evening, card, by_rank[left.id], left) for left in answer.still_to_place
        ),
        class_stops=(),
        proven=answer.status == "optimal",
        placed=answer.objective.placed,
        moved_on=tuple(
            child for child in evening.playing if child in placed and moves_on(evening, card, child)
        ),
    )


def left_over(
    evening: Evening, card: CardView, seatings: Sequence[Mapping[str, tuple[Child, ...]]]
) -> tuple[Unplaced, ...]:
    """This will tell why each child who plays is in none of these groups."""
    groups = [EngineGroup(ranked(seats)) for seats in seatings]
    by_rank = {child.rank: child for child in evening.playing}
    left = explain(problem(evening, card), groups)
    return tuple(_unplaced(evening, card, by_rank[one.id], one) for one in left)


def ranked(seats: Mapping[str, tuple[Child, ...]]) -> dict[str, tuple[str, ...]]:
    """The seats of a group as the engine knows them: those who play, by their ranks."""
    return {
        role: tuple(sorted(child.rank for child in held if not child.not_today))
        for role, held in seats.items()
    }


def seated(
    evening: Evening, card: CardView, seatings: Sequence[Mapping[str, tuple[Child, ...]]]
) -> tuple[Seats, ...]:
    """The groups with who spots: adults in the order of their names take the groups in turn,
    nobody two at once."""
    skill = _skill(evening, card)
    last_turn = dict.fromkeys(gates.spotters_for(evening, card), 0)
    found = []
    for seats in seatings:
        adults = adults_needed(skill, seats)
        spotters = tuple(sorted(last_turn, key=last_turn.__getitem__)[:adults])
        turn = 1 + max((last_turn[name] for name in spotters), default=0)
        last_turn.update(dict.fromkeys(spotters, turn))
        asks = gates.group_asks(evening, card, seats)
        found.append(Seats(seats=seats, spotters=spotters, turn=turn, asks=asks))
    return tuple(found)


def _unplaced(evening, card, child, left: StillToPlace) -> Unplaced:
    """The engine's reason, made plainer where a stop or the log explains it."""
    if left.reason == "barred":
        stops = {
            stop.sentence: None
            for role in open_roles(card)
            if number_for(evening, card, role, child) >= evening.policy.bar
            for stop in gates.stops(evening, card, role, child)
        }
        return Unplaced(child, left.reason, "; ".join(stops))
    return Unplaced(child, left.reason, left.detail)
