"""Groups that were decided for a lesson, kept so that later changes stay small."""

from collections.abc import Callable
from datetime import datetime
from uuid import uuid5

from django.db import transaction

from accounts.events import record
from accounts.scope import Scope
from classes import lessons
from engine.grouping.problem import Group as EngineGroup
from planning.evening import Evening
from planning.models import Group, Grouping, Seat
from planning.proposals import Proposal


def keep(scope: Scope, evening: Evening, *, proposals: tuple[Proposal, ...], at: datetime) -> None:
    """This will keep proposed groups as the ones decided for their lesson.

    They replace whatever was kept for that lesson before; the version of a skill that stays goes
    up. Raises `NotAllowed` for an assistant where a lift is among them.
    """
    if any(proposal.card.lifted for proposal in proposals):
        scope.need_teacher("keeping groups for a lift")
    with transaction.atomic():
        lesson = lessons.ensure(scope, klass=evening.klass, on=evening.lesson.on)
        skill_ids = [evening.edition.skill_ids[proposal.card.key] for proposal in proposals]
        Grouping.objects.filter(school_id=scope.school_id, lesson_id=lesson.id).exclude(
            skill_id__in=skill_ids
        ).delete()
        for proposal in proposals:
            skill_id = evening.edition.skill_ids[proposal.card.key]
            grouping, is_new = Grouping.objects.get_or_create(
                school_id=scope.school_id,
                lesson_id=lesson.id,
                skill_id=skill_id,
                defaults={
                    "id": uuid5(lesson.id, proposal.card.key),
                    "made_at": at,
                    "member_id": scope.member_id,
                },
            )
            if not is_new:
                Group.objects.filter(school_id=scope.school_id, grouping=grouping).delete()
                Grouping.objects.filter(school_id=scope.school_id, id=grouping.id).update(
                    version=grouping.version + 1, made_at=at, member_id=scope.member_id
                )
            _store(scope, grouping, proposal)
        record(scope, what="keep_groups", at=at, about=lesson.id, skills=len(proposals))


def _store(scope, grouping, proposal):
    for position, seats in enumerate(proposal.groups, 1):
        group = Group.objects.create(
            school_id=scope.school_id,
            grouping=grouping,
            position=position,
            adults=len(seats.spotters),
        )
        Seat.objects.bulk_create(
            Seat(school_id=scope.school_id, group=group, student_id=child.id, role=role)
            for role, held in seats.seats.items()
            for child in held
        )


def standing(scope: Scope, evening: Evening) -> Callable[[str], tuple[EngineGroup, ...]]:
    """This will look up the groups kept for a lesson, as the engine's groups for a skill key."""
    rank = {child.id: child.rank for child in evening.here}
    found: dict[str, dict] = {}
    rows = Seat.objects.filter(
        school_id=scope.school_id, group__grouping__lesson_id=evening.lesson.id
    ).values_list("group__grouping__skill__key", "group_id", "role", "student_id")
    for key, group_id, role, student_id in rows:
        if student_id in rank:
            roles = found.setdefault(key, {}).setdefault(group_id, {})
            roles.setdefault(role, []).append(rank[student_id])

    def of_skill(key: str) -> tuple[EngineGroup, ...]:
        groups = [
            {role: tuple(sorted(ranks)) for role, ranks in roles.items()}
            for roles in found.get(key, {}).values()
        ]
        # The order of rows differs between databases; the engine's answer must not.
        return tuple(EngineGroup(roles=roles) for roles in sorted(groups, key=_lowest))

    return of_skill


def _lowest(roles):
    """A stable order of groups: by their lowest rank."""
    return min(rank for ranks in roles.values() for rank in ranks)
