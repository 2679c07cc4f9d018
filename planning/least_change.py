"""The least that must change in groups: of those formed, and of those that a late child joins."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from uuid import UUID

from accounts.faults import BadDocument, Fault
from accounts.scope import Conflict
from curriculum.cards import CardView
from engine.grouping.feasible import fits
from engine.grouping.problem import Group as EngineGroup
from engine.grouping.problem import Problem
from planning import gates
from planning.by_hand import HAS_LEFT, Check, Formed, as_they_stand, check
from planning.evening import Evening
from planning.proposals import Proposal, left_over, open_roles, problem, ranked, solved
from planning.words import joined


@dataclass(frozen=True)
class Change:
    """What must be otherwise in one group: who comes into a role of it and who leaves it.

    `group` counts from 1 in the order in which the groups were formed; new ones come after, and
    None is said of whoever is left without one.
    """

    group: int | None
    sentence: str
    role: str | None = None
    comes: tuple[UUID, ...] = ()
    goes: tuple[UUID, ...] = ()


@dataclass(frozen=True)
class CarriedOn:
    """What groups became: for each of those before its next self, or None; and what is new."""

    became: tuple[Formed | None, ...]
    new: tuple[Formed, ...]

    @property
    def groups(self) -> tuple[Formed, ...]:
        return (*(group for group in self.became if group), *self.new)


def least_change(evening: Evening, checked: Check) -> tuple[Change, ...]:
    """This will tell what must be otherwise for the groups to work; nothing where nothing stops,
    or where a stop holds for the whole class."""
    after = mended(evening, checked)
    return tuple(_changes(evening, checked, after)) if after else ()


def mended(evening: Evening, checked: Check) -> CarriedOn | None:
    """This will find groups that nothing stops, with the most children placed and of these the
    ones with the most who keep group and role.

    What only asks stays as it was formed. Those who were formed change among themselves; only
    where that leaves one of them over the others come in.
    """
    if not checked.all_stops or gates.class_stops(evening, checked.card):
        return None
    formed = tuple(group.formed for group in checked.groups)
    asked = {one for group in formed for one in group.students}
    stated = as_formed(evening, checked)
    own = {child.rank for child in evening.playing if child.id in asked}
    among = replace(stated, students=tuple(one for one in stated.students if one.id in own))
    found = solved(evening, checked.card, among)
    if found.placed < len(own):
        found = solved(evening, checked.card, stated)
    after = carried_on(found, formed)
    return replace(after, new=tuple(group for group in after.new if group.students & asked))


def locked(checked: Check) -> tuple[EngineGroup, ...]:
    """The locked groups that nothing stops: the engine keeps them as they are."""
    return tuple(
        EngineGroup(ranked(group.seats.seats), adults=len(group.seats.spotters))
        for group in checked.groups
        if group.formed.locked and not group.stops
    )


def standing(checked: Check) -> tuple[EngineGroup, ...]:
    """All groups, as what least change is measured against."""
    groups = [ranked(group.seats.seats) for group in checked.groups]
    return tuple(EngineGroup(roles) for roles in groups if any(roles.values()))


def as_formed(evening: Evening, checked: Check) -> Problem:
    """This will state tonight's problem so that whatever was formed counts as agreed, unless it
    is stopped: groups are not taken apart because of what a teacher may still say yes to."""
    card = checked.card
    stated = problem(evening, card, standing=standing(checked), locked=locked(checked))
    seats = [group.seats.seats for group in checked.groups]
    chosen = {(child.rank, role) for one in seats for role, held in one.items() for child in held}
    pairs = {
        (base.rank, flyer.rank)
        for one in seats
        for base in one.get("base", ())
        for flyer in one.get("flyer", ())
    }

    def sized(role):
        if role.name not in open_roles(card):
            return role
        longest = max((len(one.get(role.name, ())) for one in seats), default=0)
        most = card.skill.roles[role.name].max
        return replace(role, max=min(most, max(role.max, longest)))

    def agreed(student):
        chances = {
            role: max(p, evening.policy.bar) if (student.id, role) in chosen else p
            for role, p in student.readiness.items()
        }
        return replace(student, readiness=chances)

    return replace(
        stated,
        skill=replace(stated.skill, roles=tuple(sized(role) for role in stated.skill.roles)),
        students=tuple(agreed(student) for student in stated.students),
        pairs_ok=tuple(sorted({*stated.pairs_ok, *pairs})),
    )


def proposed_again(evening: Evening, card: CardView, before: Sequence[Formed]) -> Proposal:
    """This will propose groups round what is locked and with the least change of what stood."""
    checked = check(evening, card, before)
    found = solved(evening, card, as_formed(evening, checked))
    if found.class_stops or not before:
        return found
    groups = check(evening, card, carried_on(found, before).groups)
    return replace(found, groups=as_they_stand(evening, groups).groups)


def carried_on(found: Proposal, before: Sequence[Formed]) -> CarriedOn:
    """This will tell which group of a proposal carries on which one before it: the two that share
    the most places first, then the most children. It keeps the id, and the lock if nobody changed.
    """
    made = [
        Formed({role: tuple(one.id for one in held) for role, held in group.seats.items()})
        for group in found.groups
    ]
    shares = sorted(
        (-len(group.places & old.places), -len(group.students & old.students), there, here)
        for here, group in enumerate(made)
        for there, old in enumerate(before)
        if group.students & old.students
    )
    became: dict[int, int] = {}
    for *_, there, here in shares:
        if there not in became and here not in became.values():
            became[there] = here
    return CarriedOn(
        became=tuple(
            _next_self(old, made[became[there]]) if there in became else None
            for there, old in enumerate(before)
        ),
        new=tuple(group for here, group in enumerate(made) if here not in became.values()),
    )


def _next_self(old, new):
    return replace(new, id=old.id, locked=old.locked and new.places == old.places)


def _changes(evening, checked, after: CarriedOn):
    formed = tuple(group.formed for group in checked.groups)
    names = {child.id: child.name for child in evening.listed}
    for place, (old, new) in enumerate(zip(formed, after.became, strict=True), 1):
        if new is None:
            yield Change(place, f"group {place} is not there this time", goes=_ids(old))
        else:
            yield from _changes_of(place, old, new, names)
    for place, group in enumerate(after.new, len(formed) + 1):
        roles = "; ".join(_role_words(role, held, names) for role, held in group.seats.items())
        yield Change(place, f"group {place} is new: {roles}", comes=_ids(group))
    placed = {one for group in after.groups for one in group.students}
    asked = {one for group in formed for one in group.students}
    left = [child for child in evening.playing if child.id in asked - placed]
    if left:
        words = f"still to place: {joined(child.name for child in left)}"
        yield Change(None, words, goes=tuple(child.id for child in left))


def _changes_of(place, old, new, names):
    for role in dict.fromkeys((*old.seats, *new.seats)):
        was, is_ = old.seats.get(role, ()), new.seats.get(role, ())
        comes = tuple(one for one in is_ if one not in was)
        goes = tuple(one for one in was if one not in is_)
        come, go = (joined(names.get(one, HAS_LEFT) for one in some) for some in (comes, goes))
        if comes and goes:
            words = f"another {role}, {come} instead of {go}"
        elif comes:
            words = f"{come} as {role} too"
        elif goes:
            words = f"without {go} as {role}"
        else:
            continue
        yield Change(place, f"group {place}: {words}", role, comes, goes)


def _role_words(role, held, names):
    who = joined(names[one] for one in held)
    return who if role == "partner" else f"{role} {who}"


def _ids(group):
    return tuple(one for held in group.seats.values() for one in held)


# -- a child who comes late ------------------------------------------------------------------


def taken_in(evening: Evening, checked: Check, student: UUID) -> tuple[Formed, ...]:
    """The groups with a child who comes late: at the end of a line, else in a free place without
    a change for anybody else, else by the least change.

    Raises `BadDocument` for a child who is not on the list or has a place already, `Conflict`
    where there is none for her, with what would help.
    """
    formed = tuple(group.formed for group in checked.groups)
    child = next((one for one in evening.playing if one.id == student), None)
    if child is None:
        known = {one.id: one.name for one in evening.listed}
        if student not in known:
            raise BadDocument([Fault("/student", "unknown")])
        raise Conflict(f"{known[student]} is not here for it tonight")
    if any(student in group.students for group in formed):
        raise BadDocument([Fault("/student", "has a place already")])
    stops = gates.class_stops(evening, checked.card)
    if stops:
        raise Conflict("; ".join(stop.sentence for stop in stops))
    stated = as_formed(evening, checked)
    for place in reversed(range(len(formed))):
        if formed[place].locked or checked.groups[place].stops:
            continue
        for seats in _with_one_more(checked.groups[place].seats.seats, child, checked.card):
            if fits(stated, ranked(seats)):
                ids = {role: tuple(one.id for one in held) for role, held in seats.items()}
                return (*formed[:place], replace(formed[place], seats=ids), *formed[place + 1 :])
    return _with_a_place(evening, checked, stated, child)


def _with_a_place(evening, checked, stated, child):
    """The least change that places her too and leaves nobody over who has a place: among those who
    have one, then with one of those who wait, then with all of them."""
    formed = tuple(group.formed for group in checked.groups)
    placed = {
        one
        for group in checked.groups
        for one in group.seats.children
        if not group.stops and not one.not_today
    }
    waiting = [one for one in evening.playing if one not in placed and one is not child]
    for others in ((), *((one,) for one in waiting), waiting):
        ranks = {one.rank for one in (*placed, child, *others)}
        students = tuple(one for one in stated.students if one.id in ranks)
        found = solved(evening, checked.card, replace(stated, students=students))
        if {child, *placed} <= {one for group in found.groups for one in group.children}:
            return carried_on(found, formed).groups
    seatings = [group.seats.seats for group in checked.groups]
    left = left_over(evening, checked.card, seatings)
    raise Conflict(next(f"{child.name}: {one.sentence}" for one in left if one.child is child))


def _with_one_more(seats, child, card):
    """The ways in which a group can be longer by one: in a line the newest joins at the back and
    whoever was there is then in the middle; she moves nobody. Later roles first."""
    if {"middle", "back"} <= card.skill.roles.keys():
        middle = (*seats.get("middle", ()), *seats.get("back", ()))
        yield {**seats, "middle": middle, "back": (child,)}
    for role in reversed(open_roles(card)):
        yield {**seats, role: (*seats.get(role, ()), child)}
