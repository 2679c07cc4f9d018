"""Groups of a lesson: proposed, checked, told as they are kept, and kept with a sheet."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from uuid import UUID

from django.db import transaction
from uuid6 import uuid7

from accounts.events import record
from accounts.scope import Scope
from planning import by_hand, kept_groups
from planning import evening as evenings
from planning.admission import admit
from planning.by_hand import Formed
from planning.evening import Evening
from planning.group_views import GroupsView, as_kept, places, told
from planning.least_change import carried_on, least_change, proposed_again
from planning.proposals import Proposal


def propose(scope: Scope, *, lesson_id: UUID, skill: str, at: datetime) -> GroupsView:
    """This will propose tonight's groups for a skill, round what is locked and with the least
    change of what is kept; nothing is stored.

    Raises `Unknown` for the lesson, `BadDocument` for the skill.
    """
    tonight = evenings.of_lesson(scope, lesson_id=lesson_id, today=at.date())
    card = by_hand.card_named(tonight, skill)
    known = kept_groups.of_lesson(scope, lesson_id=tonight.lesson.id)
    version, before = known.get(skill, (0, ()))
    found = proposed_again(tonight, card, before)
    checked = by_hand.check(tonight, card, carried_on(found, before).groups)
    return told(
        scope,
        tonight,
        replace(checked, stops=checked.stops or _as_found(found)),
        version=version,
        left=found.still_to_place,
        proven=found.proven,
        others=places(known),
        before=before,
    )


def check(
    scope: Scope, *, lesson_id: UUID, skill: str, groups: Sequence[Formed], at: datetime
) -> GroupsView:
    """This will check groups as children or a teacher formed them, with the least change that
    makes them work; nothing is stored.

    Raises `Unknown` for the lesson, `BadDocument` for the skill, its roles and the children.
    """
    tonight = evenings.of_lesson(scope, lesson_id=lesson_id, today=at.date())
    card = by_hand.card_named(tonight, skill)
    by_hand.need_formed(tonight, card, groups)
    known = kept_groups.of_lesson(scope, lesson_id=tonight.lesson.id)
    version, before = known.get(skill, (0, ()))
    checked = by_hand.check(tonight, card, groups)
    return told(
        scope,
        tonight,
        checked,
        version=version,
        changes=least_change(tonight, checked),
        others=places(known),
        before=before,
    )


def of_lesson(scope: Scope, *, lesson_id: UUID, at: datetime) -> tuple[GroupsView, ...]:
    """This will tell all groups kept for a lesson, by the place of the skill in the curriculum,
    with the stops and asks as they stand now. Raises `Unknown`."""
    tonight = evenings.of_lesson(scope, lesson_id=lesson_id, today=at.date())
    known = kept_groups.of_lesson(scope, lesson_id=tonight.lesson.id)
    return tuple(
        as_kept(scope, tonight, card, known)
        for card in tonight.edition.cards.values()
        if known.get(card.key, (0, ()))[1]
    )


def of_skill(scope: Scope, *, lesson_id: UUID, skill: str, at: datetime) -> GroupsView:
    """This will tell the groups kept for a lesson in one skill; version 0 where there never were
    any. Raises `Unknown` for the lesson or the skill."""
    tonight = evenings.of_lesson(scope, lesson_id=lesson_id, today=at.date())
    return as_kept(
        scope,
        tonight,
        by_hand.card_of(tonight, skill),
        kept_groups.of_lesson(scope, lesson_id=tonight.lesson.id),
    )


def _as_found(found: Proposal):
    """Stops of the whole class, which a proposal of no groups tells of too."""
    return tuple(by_hand.Found(stop.code, stop.sentence) for stop in found.class_stops)


# -- with a sheet ----------------------------------------------------------------------------


def keep(scope: Scope, evening: Evening, *, proposals: tuple[Proposal, ...], at: datetime) -> None:
    """This will keep proposed groups as the ones decided for their lesson.

    They replace whatever was kept for that lesson before but locked groups; the version of each
    skill that changes goes up. A group in which nobody changes keeps its id and its lock. Raises
    `NotAllowed` for an assistant where a lift or an ask is among them or where groups would be
    taken back, `Conflict` where a locked group would change.
    """
    with transaction.atomic():
        known = kept_groups.of_lesson(scope, lesson_id=evening.lesson.id)
        chosen = {proposal.card.key for proposal in proposals}
        left = [
            key
            for key, (_, groups) in known.items()
            if key not in chosen and not all(group.locked for group in groups)
        ]
        if left:
            scope.need_teacher("taking groups back")
            kept_groups.take_back(scope, lesson_id=evening.lesson.id, skills=left, at=at)
        for proposal in proposals:
            version, before = known.get(proposal.card.key, (0, ()))
            made = [
                replace(one, id=one.id or uuid7()) for one in carried_on(proposal, before).groups
            ]
            checked = by_hand.check(evening, proposal.card, made)
            admit(scope, evening, before, checked)
            kept_groups.store(scope, evening=evening, checked=checked, version=version, at=at)
        record(scope, what="keep_groups", at=at, about=evening.lesson.id, skills=len(proposals))
