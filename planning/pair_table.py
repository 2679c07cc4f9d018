"""The pair table of one skill tonight: what a phone needs to change groups with no signal.

It holds no kilograms and no centimetres. Whether a load, a height or a wish stops a set of
children cannot be told from it; what is asked reads alike whether a load is unknown or a pair is
only new. For an assistant it is made of an evening without wishes.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations
from math import comb
from uuid import UUID

from curriculum.cards import CardView
from engine.grouping import feasible
from engine.grouping.problem import BASE, FLYER, Problem
from planning import gates
from planning.evening import Child, Evening
from planning.group_lines import ask_words
from planning.proposals import number_for, open_roles, problem
from planning.reasons import Standing, missing

FITS, ASK, STOP = STATES = ("fits", "ask", "stop")
EVERYBODY, READY, NOBODY = COVERS = ("everybody", "ready", "nobody")
MOST_SETS = 8000  # in a table; a class of 24 with pairs of bases stays below
ASKED = "“these two: yes”"
ANOTHER_BASE = "another base"
ANOTHER_PARTNER = "another partner"

Places = tuple[int, ...]


@dataclass(frozen=True)
class Held:
    """A child in a role. `says` are the sentences of an ask or a stop; of those whom nothing
    stops, only who is `ready` (by the log or by a teacher's yes) stands in a proposal."""

    state: str
    ready: bool
    says: tuple[str, ...]
    turns: int


@dataclass(frozen=True)
class TableStop:
    """What stops the skill for everybody; by its code a phone knows what it can count anew."""

    code: str
    sentence: str


@dataclass(frozen=True)
class RoleTable:
    """A role that children hold, with how many of them in each group; each of the table's
    children in it, in their order."""

    role: str
    min: int
    max: int
    children: tuple[Held, ...]


@dataclass(frozen=True)
class Sets:
    """What stands against these bases with one set of flyers or another; any other set fits."""

    bases: Places
    ask: tuple[Places, ...]
    stop: tuple[Places, ...]


@dataclass(frozen=True)
class PairTable:
    """Who may hold which role, and who may be held by whom.

    Children are meant by their place in `children`, from 0, those who are away among them, in the
    order in which ties are broken. `covers` says for whom `sets` are worked out: everybody whom
    nothing stops, those of them who are ready, or, where they are too many, nobody; a set of
    others is an ask. A group with a pair of `not_with`, or with one of `only_with` and not the
    other, is a stop. `agreed` are (base, flyer) with a teacher's yes: all other pairs in a set
    that is an ask count as asks. `groups_at_most` and `adults` bound all groups together.
    """

    skill: str
    name: str
    children: tuple[UUID, ...]
    stops: tuple[TableStop, ...]
    roles: tuple[RoleTable, ...]
    covers: str
    sets: tuple[Sets, ...]
    agreed: tuple[tuple[int, int], ...]
    not_with: tuple[tuple[int, int], ...]
    only_with: tuple[tuple[int, int], ...]
    past_pairs: tuple[tuple[int, int, int], ...]
    keep_partners: bool
    adults: int
    adults_a_group: int
    turns_under_one_spot: int
    groups_at_most: int
    ask_says: str
    stop_says: str
    partner_says: str


def pair_table(evening: Evening, card: CardView) -> PairTable:
    """This will work out the table of a skill for whoever is on tonight's list and up for it."""
    everybody = replace(evening, here=evening.listed)
    stated = problem(everybody, card)
    children = everybody.playing
    place = {child.rank: at for at, child in enumerate(children)}
    roles = tuple(
        RoleTable(
            role,
            stated.skill.role[role].min,
            stated.skill.role[role].max,
            tuple(held(everybody, card, role, child) for child in children),
        )
        for role in open_roles(card)
    )
    covers, sets = _sets(card, stated, {one.role: one for one in roles}, children)

    def pairs(rows):
        return tuple(sorted((place[one], place[other]) for one, other in rows))

    # Where each group has a base and a flyer and nobody else, the sets say who is kept apart, and
    # nobody can tell it from them.
    told_by_sets = covers == EVERYBODY and all(
        one.role in (BASE, FLYER) and one.min for one in roles
    )
    return PairTable(
        skill=card.key,
        name=card.name,
        children=tuple(child.id for child in children),
        stops=tuple(
            TableStop(stop.code, stop.sentence) for stop in gates.class_stops(evening, card)
        ),
        roles=roles,
        covers=covers,
        sets=sets,
        agreed=pairs(stated.pairs_ok),
        not_with=() if told_by_sets else pairs(stated.apart),
        only_with=pairs(stated.together),
        past_pairs=tuple((place[a], place[b], count) for (a, b), count in stated.past.items()),
        keep_partners=card.keep_partners,
        adults=stated.adults,
        adults_a_group=feasible.adults_needed(stated.skill, {}),
        turns_under_one_spot=stated.turns_under_one_spot,
        groups_at_most=stated.mats,
        ask_says=ASKED,
        stop_says=ANOTHER_BASE,
        partner_says=ANOTHER_PARTNER,
    )


def held(evening: Evening, card: CardView, role: str, child: Child) -> Held:
    """What stands against a child in a role of a skill tonight, whoever else is in the group."""
    ready = number_for(evening, card, role, child) >= evening.policy.bar
    turns = evening.turns.get((child.id, role), 0)
    stops = gates.stops(evening, card, role, child)
    if stops:
        said = dict.fromkeys(stop.sentence for stop in stops)
        return Held(STOP, ready, tuple(said), turns)
    asks = gates.group_asks(evening, card, {role: (child,)})
    if not ready:
        gap = missing(evening, Standing(card, role, child), criterion=False)
        about = f"{child.name} as {role}: missing is {gap}"
        begin = gates.Ask("not_ready", (child.name,), about, (child.id,), role)
        asks = (begin, *(ask for ask in asks if ask.code != "yes"))
    return Held(ASK if asks else FITS, ready, tuple(ask_words([ask]) for ask in asks), turns)


def _sets(card, stated: Problem, roles, children) -> tuple[str, tuple[Sets, ...]]:
    """For whom the sets are worked out, and those of them that do not simply fit."""
    skill = stated.skill
    limits = (
        skill.max_load_ratio,
        skill.max_height_difference_cm,
        skill.flyer_taller_by_at_most_cm,
    )
    if not {BASE, FLYER} <= roles.keys() or not (
        any(limit is not None for limit in limits) or stated.apart
    ):
        return EVERYBODY, ()
    for covers in (EVERYBODY, READY):
        who = {
            name: [
                at
                for at, one in enumerate(roles[name].children)
                if one.state != STOP and (one.ready or covers == EVERYBODY)
            ]
            for name in (BASE, FLYER)
        }
        if _count(roles[BASE], who[BASE]) * _count(roles[FLYER], who[FLYER]) <= MOST_SETS:
            rows = _rows(card, stated, roles, who, [child.rank for child in children])
            return covers, tuple(row for row in rows if row.ask or row.stop)
    return NOBODY, ()


def _sizes(role: RoleTable, who):
    return range(max(1, role.min), min(role.max, len(who)) + 1)


def _count(role, who):
    return sum(comb(len(who), size) for size in _sizes(role, who))


def _rows(card, stated, roles, who, ranks) -> Iterator[Sets]:
    all_bases, all_flyers = (
        [some for size in _sizes(roles[name], who[name]) for some in combinations(who[name], size)]
        for name in (BASE, FLYER)
    )
    for bases in all_bases:
        found: dict[str, list[Places]] = {state: [] for state in STATES}
        for flyers in all_flyers:
            if not set(bases) & set(flyers):
                seats = {BASE: [ranks[at] for at in bases], FLYER: [ranks[at] for at in flyers]}
                found[_state(card, stated, seats)].append(flyers)
        yield Sets(bases, tuple(found[ASK]), tuple(found[STOP]))


def _state(card, stated: Problem, seats) -> str:
    """A lift of two who have no teacher's yes yet is always an ask, known or not."""
    rules = (feasible.load_fits, feasible.heights_fit, feasible.kept_apart)
    if not all(rule(stated, seats) for rule in rules):
        return STOP
    return ASK if card.lifted and feasible.to_agree(stated, seats) else FITS
