"""What children or a teacher formed: what stops and what asks in it.

Every sentence may be read aloud before the children. Nothing here looks at what somebody weighs:
in a lift every pair without a teacher's yes is asked about in the same words, whether nothing is
known of the load, it is above the limit, or the two are only new to each other.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from uuid import UUID

from accounts.faults import BadDocument, Fault
from accounts.scope import Unknown
from curriculum.cards import CardView
from engine.grouping.feasible import adults_needed, height_fits
from planning import gates
from planning.evening import Evening
from planning.gates import Ask
from planning.proposals import Proposal, Seats, left_over, moves_on, open_roles, problem, seated
from planning.reasons import Standing, missing
from planning.words import number, spoken

NO_PLACE = "is not here tonight"
HAS_LEFT = "somebody who has left the class"  # since the groups were kept: no name here any more


@dataclass(frozen=True)
class Formed:
    """One group as somebody formed it: role -> ids of children. `id` is that of a kept group."""

    seats: Mapping[str, tuple[UUID, ...]]
    id: UUID | None = None
    locked: bool = False

    @property
    def places(self) -> frozenset[tuple[str, UUID]]:
        """Who is in which role."""
        return frozenset((role, one) for role, held in self.seats.items() for one in held)

    @property
    def students(self) -> frozenset[UUID]:
        return frozenset(one for _, one in self.places)


@dataclass(frozen=True)
class Found:
    """A stop, ask or say about a group as a whole sentence; `role` where it is about one."""

    code: str
    sentence: str
    students: tuple[UUID, ...] = ()
    role: str | None = None


@dataclass(frozen=True)
class Checked:
    """One formed group; `seats` holds those of it who are here, with spotters and open asks."""

    formed: Formed
    seats: Seats
    stops: tuple[Found, ...]
    asks: tuple[Ask, ...]


@dataclass(frozen=True)
class Check:
    """Formed groups of one skill; `stops` hold for all of them together."""

    card: CardView
    groups: tuple[Checked, ...]
    stops: tuple[Found, ...]

    @property
    def all_stops(self) -> tuple[Found, ...]:
        return (*self.stops, *(stop for group in self.groups for stop in group.stops))


def faults(
    evening: Evening, card: CardView, formed: Sequence[Formed], *, place: str = "/groups"
) -> list[Fault]:
    """What makes no groups of this skill at all: roles it does not have, children who are not on
    tonight's list or in two places, groups of nobody."""
    listed = {child.id for child in evening.listed}
    found, seen = [], set()
    for number_, group in enumerate(formed):
        where = f"{place}/{number_}/seats"
        if not group.students:
            found.append(Fault(where, "nobody is in it"))
        for role, held in group.seats.items():
            if role not in open_roles(card):
                roles = ", ".join(open_roles(card))
                found.append(Fault(f"{where}/{role}", f"{card.name} has the roles {roles}"))
            for index, student in enumerate(held):
                if student not in listed:
                    found.append(Fault(f"{where}/{role}/{index}", "unknown"))
                elif student in seen:
                    found.append(Fault(f"{where}/{role}/{index}", "has a place already"))
                seen.add(student)
    ids = [group.id for group in formed if group.id]
    if len(ids) != len(set(ids)):
        found.append(Fault(place, "two groups have one id"))
    return found


def check(evening: Evening, card: CardView, formed: Sequence[Formed]) -> Check:
    """This will tell what stops and what asks in groups as they were formed, as known now."""
    stated = problem(evening, card)
    here = {child.id: child for child in evening.here}
    formed = [_in_order(card, group) for group in formed]
    seatings = [
        {
            role: tuple(sorted(there, key=lambda child: child.rank))
            for role, held in group.seats.items()
            if role in open_roles(card) and (there := [here[one] for one in held if one in here])
        }
        for group in formed
    ]
    groups = tuple(
        Checked(
            group,
            seats,
            stops=tuple(_stops(evening, card, group, seats.seats)),
            asks=tuple(_asks(evening, stated, card, seats)),
        )
        for group, seats in zip(formed, seated(evening, card, seatings), strict=True)
    )
    return Check(card, groups, tuple(_common_stops(evening, stated, card, groups)))


def as_they_stand(evening: Evening, checked: Check) -> Proposal:
    """This will show groups where a sheet shows proposed ones: just as they are, with what stops
    and asks now."""
    groups = tuple(
        replace(one.seats, asks=one.asks, stops=tuple(stop.sentence for stop in one.stops))
        for one in checked.groups
    )
    placed = [child for group in groups for child in group.children]
    return Proposal(
        card=checked.card,
        groups=groups,
        still_to_place=left_over(evening, checked.card, [group.seats for group in groups]),
        class_stops=tuple(gates.Stop(stop.code, stop.sentence) for stop in checked.stops),
        proven=True,
        placed=len(placed),
        moved_on=tuple(child for child in placed if moves_on(evening, checked.card, child)),
    )


def _in_order(card, group):
    """The group with its roles as the card lists them; what the card has no longer comes last."""
    roles = [*open_roles(card), *(role for role in group.seats if role not in open_roles(card))]
    return replace(
        group, seats={role: group.seats[role] for role in roles if group.seats.get(role)}
    )


def _stops(evening, card, group, seats):
    away = {child.id: child.name for child in evening.away}
    here = {child.id for child in evening.here}
    for role, held in group.seats.items():
        for one in held:
            if one in away:
                yield Found("not_here", f"{away[one]} {NO_PLACE}", (one,), role)
            elif one not in here:
                yield Found("not_here", f"{HAS_LEFT} is in this group", (one,), role)
    for role, held in seats.items():
        for child in held:
            for stop in gates.stops(evening, card, role, child):
                yield Found(stop.code, f"{child.name}: {stop.sentence}", (child.id,), role)
    for role in {**card.skill.roles, **group.seats}:
        if role in open_roles(card):
            sized = card.skill.roles[role]
            least, most = sized.min, sized.max
        else:
            least = most = 0
        there = len(group.seats.get(role, ()))
        if there < least:
            yield Found("seats", f"{number(least - there)} more as {role}", role=role)
        if there > most:
            yield Found("seats", f"{number(there - most)} too many as {role}", role=role)


def _common_stops(evening, stated, card, groups):
    if not groups:
        return
    stops = gates.class_stops(evening, card)
    yield from (Found(stop.code, stop.sentence) for stop in stops)
    if len(groups) > stated.mats:
        room = spoken(stated.mats, "group")
        yield Found("mats", f"the mats hold {room} in turn, not {number(len(groups))}")
    adults = sum(adults_needed(stated.skill, group.seats.seats) for group in groups)
    turns = stated.adults * stated.turns_under_one_spot
    if adults > turns and not stops:
        yield Found(
            "turns",
            f"whoever is free to spot takes {spoken(turns, 'group')} in turn, not {number(adults)}",
        )


def _asks(evening, stated, card, seats: Seats):
    not_ready = [
        (role, child)
        for role, held in seats.seats.items()
        for child in held
        if not child.judged[card.key, role].ready and not gates.has_yes(evening, card, role, child)
    ]
    for role, child in not_ready:
        gap = missing(evening, Standing(card, role, child), criterion=False)
        about = f"{child.name} as {role}: missing is {gap}"
        yield Ask("not_ready", (child.name,), about, (child.id,), role)
    begun_anyway = {(role, child.id) for role, child in not_ready}
    for ask in seats.asks:
        if ask.code != "yes" or (ask.role, *ask.students) not in begun_anyway:
            yield ask
    if not card.lifted:
        yield from _height_asks(evening, stated, seats)
    size = len(seats.children)
    if card.learning_size is not None and size > card.learning_size:
        line = sorted(seats.children, key=lambda child: child.rank)
        ids = tuple(sorted(child.id for child in line))
        ask = Ask("line", tuple(child.name for child in line), f"a line of {number(size)}", ids)
        if not gates.is_answered(evening, card, ask):
            yield ask


def _height_asks(evening, stated, seats):
    """On the floor a pair is asked about where the card's heights do not let it be proposed; in a
    lift every pair is asked about anyway."""
    known = stated.by_id
    for base in seats.seats.get("base", ()):
        for flyer in seats.seats.get("flyer", ()):
            if (base.id, flyer.id) in evening.pairs_ok or {base.rank, flyer.rank} - known.keys():
                continue
            if not height_fits(stated.skill, known[base.rank], known[flyer.rank]):
                yield gates.pair_ask(base, flyer)


def wished(evening: Evening, group: Formed) -> tuple[tuple[UUID, UUID], ...]:
    """The pairs of a group against a teacher's wish: kept apart and both in it, or kept together
    and one of them not. An assistant is never told."""
    members = group.students
    against = [pair for pair in evening.apart if members.issuperset(pair)]
    against += [pair for pair in evening.together if len(members.intersection(pair)) == 1]
    return tuple(sorted(against))


# -- changes by hand -------------------------------------------------------------------------


def swapped(evening: Evening, formed: Sequence[Formed], a: UUID, b: UUID) -> tuple[Formed, ...]:
    """The groups with two children in each other's place; one of them may have none.

    Raises `BadDocument`.
    """
    listed = {child.id for child in evening.listed}
    bad = [Fault(f"/{name}", "unknown") for name, one in (("a", a), ("b", b)) if one not in listed]
    if not bad and a == b:
        bad.append(Fault("/b", "the same child as in a"))
    if not bad and not any({a, b} & group.students for group in formed):
        bad.append(Fault("/a", "neither of the two is in a group"))
    if bad:
        raise BadDocument(bad)
    other = {a: b, b: a}
    return tuple(
        replace(
            group,
            seats={
                role: tuple(other.get(one, one) for one in held)
                for role, held in group.seats.items()
            },
        )
        for group in formed
    )


def moved(
    evening: Evening,
    card: CardView,
    formed: Sequence[Formed],
    student: UUID,
    *,
    group: UUID | None,
    role: str | None,
) -> tuple[Formed, ...]:
    """The groups with a child in a role of a group; without a group in a new one, and without a
    role in none. A group that she leaves empty is gone. Raises `BadDocument`.
    """
    bad = []
    if student not in {child.id for child in evening.listed}:
        bad.append(Fault("/student", "unknown"))
    if group is not None and group not in {one.id for one in formed}:
        bad.append(Fault("/group", "unknown"))
    if role is None and group is not None:
        bad.append(Fault("/role", "say in which role of the group"))
    if role is not None and role not in open_roles(card):
        bad.append(Fault("/role", f"{card.name} has the roles {', '.join(open_roles(card))}"))
    if bad:
        raise BadDocument(bad)
    left = [_without(one, student) for one in formed]
    if role is not None and group is None:
        left.append(Formed({role: (student,)}))
    return tuple(
        _with(one, student, role) if group is not None and one.id == group else one
        for one in left
        if one.students or (group is not None and one.id == group)
    )


def _without(group, student):
    seats = {
        role: tuple(one for one in held if one != student) for role, held in group.seats.items()
    }
    return replace(group, seats=seats)


def _with(group, student, role):
    return replace(group, seats={**group.seats, role: (*group.seats.get(role, ()), student)})


# -- what somebody asks for ------------------------------------------------------------------


def card_of(evening: Evening, skill: str) -> CardView:
    """The card of a skill that is done in groups. Raises `Unknown`."""
    card = evening.edition.cards.get(skill)
    if card is None or open_roles(card) == ("solo",) or card.skill.habit:
        raise Unknown("no such skill with groups")
    return card


def card_named(evening: Evening, skill: str) -> CardView:
    """The card of a skill that a body names. Raises `BadDocument`."""
    try:
        return card_of(evening, skill)
    except Unknown:
        words = "needs no groups" if skill in evening.edition.cards else "unknown"
        raise BadDocument([Fault("/skill", words)]) from None


def need_formed(evening: Evening, card: CardView, formed: Sequence[Formed]) -> None:
    """Raise `BadDocument` for what makes no groups of this skill at all."""
    found = faults(evening, card, formed)
    if found:
        raise BadDocument(found)
