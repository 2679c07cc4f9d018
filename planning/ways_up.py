"""The holds in which a child could be up tonight: as flyer, or as one of two equal partners."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from itertools import combinations, islice, product
from uuid import UUID

from accounts.scope import Scope, Unknown
from curriculum.cards import CardView
from engine.grouping.feasible import fits, may_hold, to_agree
from engine.grouping.problem import FLYER, Problem
from planning import evening as evenings
from planning import gates, tonight
from planning.admission import told_to
from planning.child_lines import readiness
from planning.evening import Child, Evening
from planning.group_views import Somebody
from planning.pair_table import (
    ANOTHER_BASE,
    ANOTHER_PARTNER,
    ASK,
    ASKED,
    FITS,
    STOP,
    held,
)
from planning.proposals import open_roles, problem
from planning.reasons import Standing
from planning.words import CAUTION

PARTNER = "partner"
UP = (FLYER, PARTNER)
MISSING = "missing"
MOST_GROUPS = 5000  # of a skill that are looked at for one child
STATES = (FITS, ASK, MISSING, STOP)


@dataclass(frozen=True)
class WayUp:
    """One hold in one role. `state`: it fits, a teacher is asked first, something is missing, or
    something stops it; `says` are the sentences of that. `partners` are those here tonight with
    whom it can be proposed, by name; none where it cannot."""

    skill: str
    name: str
    role: str
    lifted: bool
    state: str
    says: tuple[str, ...]
    partners: tuple[Somebody, ...]
    caution: str | None


@dataclass(frozen=True)
class WaysUp:
    """All of them, in the order in which they are taught: nothing here is a rank."""

    student: Somebody
    lesson: UUID
    known: str
    holds: tuple[WayUp, ...]
    caution: str = CAUTION


def ways_up(scope: Scope, *, student_id: UUID, lesson_id: UUID, today: date) -> WaysUp:
    """This will tell in which holds a child could be up in a lesson, as if she were here.

    Raises `Unknown` for a lesson that cannot be seen, and for a child who is not on its list.
    """
    evening = told_to(scope, evenings.of_lesson(scope, lesson_id=lesson_id, today=today))
    child = next((one for one in evening.listed if one.id == student_id), None)
    if child is None:
        raise Unknown("no such child in this lesson")
    return WaysUp(
        student=Somebody(child.id, child.name),
        lesson=evening.lesson.id,
        known=tonight.known(evening),
        holds=tuple(
            _way_up(evening, card, role, child)
            for card in evening.edition.cards.values()
            if not card.skill.habit
            for role in open_roles(card)
            if role in UP
        ),
    )


def _way_up(evening: Evening, card: CardView, role, child: Child) -> WayUp:
    state, says, partners = _found(evening, card, role, child)
    return WayUp(card.key, card.name, role, card.lifted, state, says, partners, card.caution)


def _found(evening: Evening, card: CardView, role, child: Child):
    """The state with its sentences, and who could be with her."""
    if child.not_today:
        return STOP, ("not today",), ()
    own = held(evening, card, role, child)
    if own.state == STOP:
        return STOP, own.says, ()
    if not own.ready:
        return MISSING, (readiness(evening, Standing(card, role, child), ()),), ()
    if stops := gates.class_stops(evening, card):
        return STOP, tuple(stop.sentence for stop in stops), ()
    here = sorted({*evening.here, child}, key=lambda one: one.rank)
    stated = problem(replace(evening, here=tuple(here)), card)
    groups = list(_groups(stated, role, child.rank))
    if not groups:
        return STOP, (ANOTHER_BASE if role == FLYER else ANOTHER_PARTNER,), ()
    ranks = {rank for group in groups for people in group.values() for rank in people}
    partners = tuple(
        Somebody(one.id, one.name) for one in here if one.rank in ranks and one is not child
    )
    says = own.says
    if card.lifted and all(to_agree(stated, group) for group in groups):
        says = (*says, ASKED)
    return ASK if says else FITS, says, partners


def _groups(stated: Problem, role, me) -> Iterator[Mapping[str, tuple[str, ...]]]:
    """The groups that may be proposed with her in this role, as far as there are not too many."""
    every = islice(_every_group(stated, role, me), MOST_GROUPS)
    return (group for group in every if fits(stated, group))


def _every_group(stated, role, me):
    """All ways to put people who may hold them into the roles beside her, the small ones first."""
    roles = [one for one in stated.skill.roles if one.open_to_students]
    others = [
        [who.id for who in stated.students if may_hold(one, who) and who.id != me] for one in roles
    ]
    sizes = product(*(range(one.min, one.max + 1) for one in roles))
    for size in sorted(sizes, key=sum):
        beside = [most - (one.name == role) for one, most in zip(roles, size, strict=True)]
        if min(beside) < 0:
            continue
        for picked in product(*map(combinations, others, beside)):
            group = {one.name: people for one, people in zip(roles, picked, strict=True)}
            yield group | {role: (*group[role], me)}
