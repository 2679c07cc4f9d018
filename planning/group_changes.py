"""Changes of the groups of a lesson by hand.

Every change runs through `_change`: apply it, check it as known now, store it, one version on.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from uuid import UUID

from django.db import IntegrityError, transaction
from uuid6 import uuid7

from accounts.events import record
from accounts.faults import BadDocument, Fault
from accounts.scope import Conflict, Scope, Stale
from planning import by_hand, kept_groups
from planning import evening as evenings
from planning.admission import admit
from planning.by_hand import Check, Formed
from planning.evening import Evening
from planning.group_views import GroupsView, as_kept
from planning.least_change import carried_on, proposed_again, taken_in
from planning.models import Group

Make = Callable[[Evening, Check], Sequence[Formed]]


def regroup(scope: Scope, *, lesson_id: UUID, skill: str, version: int, at: datetime) -> GroupsView:
    """This will keep what is proposed for a skill: round what is locked, and with the least change
    of what is kept. With version 0 it keeps a first proposal. Raises as `_change` does."""

    def make(tonight, before):
        found = proposed_again(tonight, before.card, _formed(before))
        if found.class_stops:
            raise Conflict("; ".join(stop.sentence for stop in found.class_stops))
        return carried_on(found, _formed(before)).groups

    return _change(scope, lesson_id, skill, version, at, how="regroup", make=make)


def put(
    scope: Scope,
    *,
    lesson_id: UUID,
    skill: str,
    version: int,
    groups: Sequence[Formed],
    at: datetime,
) -> GroupsView:
    """This will keep groups as they were formed; a lock stays with its group.

    Raises as `_change` does, and `BadDocument` for roles, children and ids.
    """

    def make(tonight, before):
        by_hand.need_formed(tonight, before.card, groups)
        _need_free_ids(tonight, skill, groups)
        known = [group.formed for group in before.groups]
        return [_as_known(group, known) for group in groups]

    return _change(scope, lesson_id, skill, version, at, how="put", make=make)


def swap(
    scope: Scope, *, lesson_id: UUID, skill: str, version: int, a: UUID, b: UUID, at: datetime
) -> GroupsView:
    """This will put two children in each other's place; one of them may be without a group.

    Raises as `_change` does, and `BadDocument`.
    """
    return _change(
        scope,
        lesson_id,
        skill,
        version,
        at,
        how="swap",
        make=lambda tonight, before: by_hand.swapped(tonight, _formed(before), a, b),
    )


def move(
    scope: Scope,
    *,
    lesson_id: UUID,
    skill: str,
    version: int,
    student: UUID,
    group: UUID | None,
    role: str | None,
    at: datetime,
) -> GroupsView:
    """This will put a child into a role of a group; without a group into a new one, and without
    a role into none. Raises as `_change` does, and `BadDocument`."""
    return _change(
        scope,
        lesson_id,
        skill,
        version,
        at,
        how="move",
        make=lambda tonight, before: by_hand.moved(
            tonight, before.card, _formed(before), student, group=group, role=role
        ),
    )


def take_in(
    scope: Scope, *, lesson_id: UUID, skill: str, version: int, student: UUID, at: datetime
) -> GroupsView:
    """This will find a place for a child who comes late. Raises as `_change` does, `BadDocument`,
    and `Conflict` where there is no place for her."""
    return _change(
        scope,
        lesson_id,
        skill,
        version,
        at,
        how="take_in",
        make=lambda tonight, before: taken_in(tonight, before, student),
    )


def lock(
    scope: Scope,
    *,
    lesson_id: UUID,
    skill: str,
    version: int,
    group: UUID,
    locked: bool,
    at: datetime,
) -> GroupsView:
    """This will lock a group, so that nothing changes it, or unlock it: a teacher's right.

    Raises as `_change` does, and `BadDocument`.
    """

    def make(tonight, before):
        scope.need_teacher("locking a group")
        formed = _formed(before)
        if group not in {one.id for one in formed}:
            raise BadDocument([Fault("/group", "unknown")])
        return [replace(one, locked=locked) if one.id == group else one for one in formed]

    return _change(scope, lesson_id, skill, version, at, how="lock", make=make)


def clear(scope: Scope, *, lesson_id: UUID, skill: str, version: int, at: datetime) -> GroupsView:
    """This will take back all groups of a skill, a teacher's right; the version goes on from
    there. Raises as `_change` does."""

    def make(tonight, before):
        scope.need_teacher("taking groups back")
        return ()

    return _change(scope, lesson_id, skill, version, at, how="clear", make=make)


def _change(scope, lesson_id, skill, version, at, *, how, make: Make) -> GroupsView:
    """Apply a change, check what it makes, store it.

    Raises `Unknown` (lesson, skill), `Stale`, `NotAllowed` (an assistant with a lift or an open
    ask), `Conflict` (no lesson, something stops, a locked group would change).
    """
    tonight = evenings.of_lesson(scope, lesson_id=lesson_id, today=at.date())
    card = by_hand.card_of(tonight, skill)
    known = kept_groups.of_lesson(scope, lesson_id=tonight.lesson.id)
    now, formed = known.get(skill, (0, ()))
    if now != version:
        raise Stale(f"somebody else has changed these groups: they are at v{now}")
    if tonight.closed:
        raise Conflict(f"no lesson that day: {tonight.closed}")
    made = make(tonight, by_hand.check(tonight, card, formed))
    checked = by_hand.check(tonight, card, [replace(one, id=one.id or uuid7()) for one in made])
    admit(scope, tonight, formed, checked)
    try:
        with transaction.atomic():
            kept_groups.store(scope, evening=tonight, checked=checked, version=version, at=at)
            record(
                scope,
                what="change_groups",
                at=at,
                about=tonight.lesson.id,
                skill=skill,
                how=how,
                version=version + 1,
            )
    except IntegrityError:
        # Somebody took one of the ids after it was looked for.
        _need_free_ids(tonight, skill, _formed(checked))
        raise
    known[skill] = (version + 1, _formed(checked))
    return as_kept(scope, tonight, card, known)


def _need_free_ids(tonight, skill, groups):
    """The ids of groups are one list for all: what is taken elsewhere cannot be kept here."""
    taken = set(
        Group.objects.filter(id__in=[group.id for group in groups if group.id])
        .exclude(grouping__lesson_id=tonight.lesson.id, grouping__skill__key=skill)
        .values_list("id", flat=True)
    )
    found = [
        Fault(f"/groups/{place}/id", "unknown")
        for place, group in enumerate(groups)
        if group.id in taken
    ]
    if found:
        raise BadDocument(found)


def _as_known(group, known):
    """The group with the lock of the kept one that it is, by its id or else by who is in it."""
    for old in known:
        if old.id == group.id or (group.id is None and old.places == group.places):
            return replace(group, id=old.id, locked=old.locked)
    return group


def _formed(checked: Check) -> tuple[Formed, ...]:
    return tuple(group.formed for group in checked.groups)
