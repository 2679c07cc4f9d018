"""The rows of groups kept for a lesson, and their versions."""

from collections.abc import Collection
from datetime import date, datetime
from uuid import UUID, uuid5

from django.db import transaction
from django.db.models import F

from accounts.scope import Scope, Stale
from classes import lessons
from planning.by_hand import Check, Formed
from planning.evening import Evening
from planning.models import Group, Grouping, Seat

Kept = dict[str, tuple[int, tuple[Formed, ...]]]


def of_lesson(scope: Scope, *, lesson_id: UUID) -> Kept:
    """This will read the version and the groups of each skill that was ever kept for a lesson in
    scope, by its key."""
    return _read(scope, _of_lesson(scope, lesson_id)).get(lesson_id, {})


def at_studio(scope: Scope, *, studio_id: UUID, since: date) -> dict[UUID, Kept]:
    """This will read what was ever kept for the lessons of a studio in scope from a date on, by
    lesson."""
    rows = _in_scope(scope).filter(lesson__on__gte=since, lesson__group_class__studio_id=studio_id)
    return _read(scope, rows)


def _read(scope, rows):
    groupings = list(rows.values_list("id", "lesson_id", "skill__key", "version"))
    mine = {"school_id": scope.school_id}
    ids = [id_ for id_, *_ in groupings]
    seats: dict[UUID, dict[str, list[UUID]]] = {}
    for group_id, role, student_id in Seat.objects.filter(
        **mine, group__grouping_id__in=ids
    ).values_list("group_id", "role", "student_id"):
        seats.setdefault(group_id, {}).setdefault(role, []).append(student_id)
    groups: dict[UUID, list[Formed]] = {}
    for row in Group.objects.filter(**mine, grouping_id__in=ids).order_by("position"):
        # A database hands rows back in any order.
        held = {role: tuple(sorted(found)) for role, found in sorted(seats.get(row.id, {}).items())}
        if held:
            groups.setdefault(row.grouping_id, []).append(Formed(held, row.id, row.locked))
    found: dict[UUID, Kept] = {}
    for id_, lesson_id, key, version in groupings:
        found.setdefault(lesson_id, {})[key] = (version, tuple(groups.get(id_, ())))
    return found


def standing(scope: Scope, *, lesson_id: UUID) -> dict[str, tuple[Formed, ...]]:
    """This will read the groups of each skill of which some are kept for a lesson, by its key."""
    known = of_lesson(scope, lesson_id=lesson_id)
    return {key: groups for key, (_, groups) in known.items() if groups}


def _of_lesson(scope, lesson_id):
    return _in_scope(scope).filter(lesson_id=lesson_id)


def _in_scope(scope):
    return Grouping.objects.filter(
        school_id=scope.school_id, lesson__group_class__studio_id__in=scope.studio_ids
    )


@transaction.atomic
def store(scope: Scope, *, evening: Evening, checked: Check, version: int, at: datetime) -> None:
    """This will replace the groups of a skill if they are still at this version, and count it on.

    Raises `Stale`.
    """
    lesson = lessons.ensure(scope, klass=evening.klass, on=evening.lesson.on)
    key = checked.card.key
    grouping, _ = Grouping.objects.get_or_create(
        school_id=scope.school_id,
        lesson_id=lesson.id,
        skill_id=evening.edition.skill_ids[key],
        defaults={
            "id": uuid5(lesson.id, key),
            "version": 0,
            "made_at": at,
            "member_id": scope.member_id,
        },
    )
    still = Grouping.objects.filter(school_id=scope.school_id, id=grouping.id, version=version)
    if not still.update(version=version + 1, made_at=at, member_id=scope.member_id):
        raise Stale("somebody else has changed these groups just now")
    Group.objects.filter(school_id=scope.school_id, grouping=grouping).delete()
    Group.objects.bulk_create(
        Group(
            school_id=scope.school_id,
            id=group.formed.id,
            grouping=grouping,
            position=position,
            adults=len(group.seats.spotters),
            locked=group.formed.locked,
        )
        # By id: two who take the same ids at once would else wait for each other.
        for position, group in sorted(
            enumerate(checked.groups, 1), key=lambda pair: pair[1].formed.id
        )
    )
    Seat.objects.bulk_create(
        Seat(school_id=scope.school_id, group_id=group.formed.id, student_id=one, role=role)
        for group in checked.groups
        for role, held in group.formed.seats.items()
        for one in held
    )


@transaction.atomic
def take_back(scope: Scope, *, lesson_id: UUID, skills: Collection[str], at: datetime) -> None:
    """This will take back the groups of some skills of a lesson but those that are locked; their
    versions go on."""
    ids = [row.id for row in _of_lesson(scope, lesson_id).filter(skill__key__in=skills)]
    mine = {"school_id": scope.school_id}
    Group.objects.filter(**mine, grouping_id__in=ids, locked=False).delete()
    Grouping.objects.filter(**mine, id__in=ids).update(
        version=F("version") + 1, made_at=at, member_id=scope.member_id
    )
