"""Groups made offline: rows that are each judged by themselves."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db import transaction

from accounts.faults import BadDocument
from accounts.scope import Conflict, NotAllowed, Scope, Stale, Unknown
from classes import batches, classes, lessons
from curriculum.models import Skill
from planning import group_changes, kept_groups
from planning.by_hand import Formed

NEWER, STOPPED, NOT_ALLOWED = "newer", "stopped", "not_allowed"
LATEST = timedelta(days=28)  # groups are made for an evening at most so far ahead


@dataclass(frozen=True)
class GroupsRow:
    """The groups of one skill in one lesson as a phone made them, out of the version that it had
    read; None where it knew of none."""

    id: UUID
    class_id: UUID
    on: date
    skill_id: UUID
    groups: tuple[Formed, ...]
    based_on: int | None = None


@dataclass(frozen=True)
class GroupsAnswer(batches.Answer):
    """What became of a row, with the version that stands now where there is one."""

    version: int | None = field(default=None)


def store(scope: Scope, *, rows: Sequence[GroupsRow], at: datetime) -> tuple[GroupsAnswer, ...]:
    """This will keep groups that were made offline, each row by itself, in the order given.

    Where something newer stands it stays, and the row is refused as `newer`; as `stopped` what
    something stops now; as `not_allowed` what an assistant may not keep. The lesson of a visible
    class that is not there yet is made.
    """
    keys = dict(
        Skill.objects.filter(
            school_id=scope.school_id, id__in={row.skill_id for row in rows}
        ).values_list("id", "key")
    )
    return tuple(_store(scope, row, keys.get(row.skill_id), at) for row in rows)


def _store(scope, row: GroupsRow, key, at) -> GroupsAnswer:
    def refused(code, pointer=None, version=None):
        return GroupsAnswer(row.id, batches.REFUSED, code, pointer, version)

    try:
        klass = classes.find(scope, class_id=row.class_id)
    except Unknown:
        return refused(batches.UNKNOWN, "/class")
    if row.on > classes.today(klass, at) + LATEST:
        return refused(batches.INVALID, "/on")
    lesson_id = lessons.lesson_id(row.class_id, row.on)
    known = kept_groups.of_lesson(scope, lesson_id=lesson_id)
    version, groups = known.get(key, (0, ()))
    if version and _same(groups, row.groups):
        return GroupsAnswer(row.id, batches.ALREADY_STORED, version=version)
    if key is None:
        return refused(batches.UNKNOWN, "/skill_id")
    try:
        with transaction.atomic():
            lessons.ensure(scope, klass=klass, on=row.on)
            kept = group_changes.put(
                scope,
                lesson_id=lesson_id,
                skill=key,
                version=row.based_on or 0,
                groups=row.groups,
                at=at,
            )
    except Stale:
        version, groups = kept_groups.of_lesson(scope, lesson_id=lesson_id).get(key, (0, ()))
        if _same(groups, row.groups):  # it was sent twice at once
            return GroupsAnswer(row.id, batches.ALREADY_STORED, version=version)
        return refused(NEWER, "/based_on", version)
    except NotAllowed:
        return refused(NOT_ALLOWED, None, version or None)
    except Conflict:
        return refused(STOPPED, "/groups", version or None)
    except Unknown:
        return refused(batches.UNKNOWN, "/skill_id")
    except BadDocument as error:
        first = error.faults[0]
        code = batches.UNKNOWN if first.message == "unknown" else batches.INVALID
        return refused(code, first.place)
    return GroupsAnswer(row.id, batches.STORED, version=kept.version)


def _same(kept, sent):
    """Whether the same children hold the same roles in the same groups."""
    return {group.places for group in kept} == {group.places for group in sent}
