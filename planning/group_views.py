"""Groups of one skill as they are told to whoever stands beside the mat.

Every sentence may be read aloud before the children.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from accounts.models import ASSISTANT
from accounts.names import alphabetical
from accounts.scope import Scope
from curriculum.cards import CardView
from planning.admission import for_a_teacher
from planning.by_hand import HAS_LEFT, Check, Checked, Formed, Found, check, wished
from planning.evening import Child, Evening
from planning.gates import Ask, class_stops
from planning.group_lines import ASK_WORDS, agreed_before, spot_of
from planning.kept_groups import Kept
from planning.least_change import Change
from planning.proposals import Unplaced, left_over, moves_on
from planning.reasons import nearest_gap, ways
from planning.says import LESSONS_IN_A_ROW, always_base, last_lift
from planning.words import CAUTION, joined, lower_first, spoken

NO_PARTNER = "no_fitting_partner"
# Said to an assistant of each group that a teacher keeps, whatever for: a wish is not told from
# a lift or an ask by it, and what she checks agrees with what she may keep.
LOOK, LOOKED_AT = "look", "a teacher looks at this group first"
OF_A_WISH = ("kept_apart", "kept_together")


@dataclass(frozen=True)
class Somebody:
    """A child of the list; of one who is no longer on it the name says that she has left."""

    id: UUID
    name: str


@dataclass(frozen=True)
class RoleView:
    role: str
    students: tuple[Somebody, ...]


@dataclass(frozen=True)
class GroupView:
    """One group. `number` counts from 1; `turn` is its turn under the adults who spot it; `spot`
    is the one to begin with, None where nobody spots."""

    number: int
    id: UUID | None
    locked: bool
    turn: int
    seats: tuple[RoleView, ...]
    spotters: tuple[str, ...]
    spot: str | None
    ways_in: str
    ways_out: str
    stops: tuple[Found, ...]
    asks: tuple[Found, ...]
    says: tuple[Found, ...]


@dataclass(frozen=True)
class Elsewhere:
    """Another skill for a child without a group; `placed` where she has a place in it tonight."""

    skill: str
    sentence: str
    placed: bool


@dataclass(frozen=True)
class LeftView:
    """A child without a group. `reason` is the engine's, but never tells of a wish."""

    student: Somebody
    reason: str
    sentence: str
    alternative: Elsewhere | None


@dataclass(frozen=True)
class GroupsView:
    """All groups of one skill tonight. `version` 0 is: nothing kept yet. `proven` says that by
    the rules nothing better exists, None where somebody formed them."""

    skill: str
    name: str
    version: int
    as_of: datetime
    clean_when: str
    spot: str
    agreed_before: str
    caution: str
    proven: bool | None
    groups: tuple[GroupView, ...]
    still_to_place: tuple[LeftView, ...]
    stops: tuple[Found, ...]
    changes: tuple[Change, ...]
    foot: str = CAUTION


def told(
    scope: Scope,
    evening: Evening,
    checked: Check,
    *,
    version: int,
    left: Sequence[Unplaced] | None = None,
    proven: bool | None = None,
    changes: Sequence[Change] = (),
    others: Mapping[str, frozenset[UUID]] | None = None,
    before: Sequence[Formed] | None = (),
) -> GroupsView:
    """This will put groups into words. `left` are those still to place, worked out if not given;
    `others` maps further skills of the evening to those who have a place in them; `before` are the
    groups that stand, None where these are they: nobody keeps them anew."""
    card = checked.card
    looked_at = ()
    if scope.role == ASSISTANT and before is not None:
        looked_at = for_a_teacher(evening, before, checked)
    if left is None:
        left = left_over(evening, card, [group.seats.seats for group in checked.groups])
    return GroupsView(
        skill=card.key,
        name=card.name,
        version=version,
        as_of=evening.as_of,
        clean_when=card.criterion,
        spot=str(card.spot["stands"]) if card.spot else "",
        agreed_before=agreed_before(card),
        caution=card.caution or "",
        proven=proven,
        groups=tuple(
            _group(scope, evening, card, number, group, look=group in looked_at)
            for number, group in enumerate(checked.groups, 1)
        ),
        still_to_place=tuple(
            _left(evening, card, one, others or {})
            for one in sorted(left, key=lambda one: one.child.rank)
        ),
        stops=checked.stops,
        changes=tuple(changes),
    )


def as_kept(scope: Scope, evening: Evening, card: CardView, known: Kept) -> GroupsView:
    """This will tell the groups kept for a skill, with what stops and asks now."""
    version, groups = known.get(card.key, (0, ()))
    return told(
        scope,
        evening,
        check(evening, card, groups),
        version=version,
        others=places(known),
        before=None,
    )


def places(known: Kept) -> dict[str, frozenset[UUID]]:
    """Who has a place in which skill."""
    return {
        key: frozenset(one for group in groups for one in group.students)
        for key, (_, groups) in known.items()
    }


def _group(scope, evening, card, number, group: Checked, *, look) -> GroupView:
    seats, formed = group.seats, group.formed
    asks = [as_found(ask) for ask in group.asks]
    if look:
        asks.append(Found(LOOK, LOOKED_AT, tuple(sorted(formed.students))))
    return GroupView(
        number=number,
        id=formed.id,
        locked=formed.locked,
        turn=seats.turn,
        seats=tuple(
            RoleView(role, _named(evening, held)) for role, held in formed.seats.items() if held
        ),
        spotters=seats.spotters,
        spot=spot_of(evening, card, seats) if card.spotted and seats.children else None,
        ways_in=ways(evening, card.ways_in, seats.seats),
        ways_out=ways(evening, card.ways_out, seats.seats),
        stops=group.stops,
        asks=tuple(asks),
        says=tuple(_says(scope, evening, card, group)),
    )


def _named(evening, ids):
    names = {child.id: child.name for child in evening.listed}
    people = [Somebody(one, names.get(one, HAS_LEFT)) for one in ids]
    return tuple(sorted(people, key=lambda one: (alphabetical(one.name), one.id)))


def as_found(ask: Ask) -> Found:
    """This will put an ask into a sentence; an answer names the same code, children and role."""
    return Found(ask.code, ASK_WORDS[ask.code].format(ask.about), ask.students, ask.role)


def _says(scope, evening, card, group: Checked):
    for child in group.seats.seats.get("base", ()):
        if always_base(evening, child):
            lessons = spoken(LESSONS_IN_A_ROW, "lesson")
            yield Found(
                "base_again", f"{child.name}: base in the last {lessons}", (child.id,), "base"
            )
    if card.lifted:
        yield Found("last_lift", last_lift(evening))
    # A wish is a teacher's own, and neither kind nor reason is for the children's ears.
    if scope.role != ASSISTANT:
        for a, b in wished(evening, group.formed):
            names = joined(one.name for one in _named(evening, (a, b)))
            yield Found("wish", f"{names}: look at the wishes first", (a, b))


def _left(evening, card, one: Unplaced, others) -> LeftView:
    sentence = one.sentence
    if one.reason == "not_ready":
        sentence = f"missing is {nearest_gap(evening, card, one.child)}"
    return LeftView(
        Somebody(one.child.id, one.child.name),
        NO_PARTNER if one.reason in OF_A_WISH else one.reason,
        sentence,
        _elsewhere(evening, card, one.child, others),
    )


def _elsewhere(evening, card, child: Child, others) -> Elsewhere | None:
    """A place that she has in another skill tonight, else the skill furthest on that still moves
    her on."""
    cards = [one for one in evening.edition.cards.values() if one.key != card.key]
    for one in cards:
        if child.id in others.get(one.key, ()):
            return Elsewhere(one.key, f"has a place in {lower_first(one.name)}", placed=True)
    for one in reversed(cards):
        if not one.skill.habit and not class_stops(evening, one) and moves_on(evening, one, child):
            return Elsewhere(one.key, f"goes on with {lower_first(one.name)}", placed=False)
    return None
