"""The yeses of a studio that hold, each with its day: what another edition there would end."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db.models import Q

from accounts.scope import Scope
from classes.models import Yes
from classes.students import visible
from classes.yeses import ended
from curriculum.editions import EditionInUse


@dataclass(frozen=True)
class Standing:
    """One yes that holds, with a `lesson` for that evening only; `skill` is a key."""

    id: UUID
    student: UUID
    skill: str
    role: str
    kind: str
    given_on: date
    lesson: UUID | None

    def outlives(self, changed: Collection[str], *, since: date) -> bool:
        """Whether it would still hold if the cards of some skills were others since a day."""
        return self.skill not in changed or self.given_on >= since


def standing(
    scope: Scope,
    *,
    student_ids: Collection[UUID],
    on: date,
    studio_id: UUID,
    edition: EditionInUse,
) -> tuple[Standing, ...]:
    """This will find the yeses that hold at a studio on a day, and those that were given for
    evenings from then on; `edition` is the one in use there."""
    keys = {skill_id: key for key, skill_id in edition.skill_ids.items()}
    rows = list(
        Yes.objects.filter(
            Q(lesson__isnull=True, given_on__lte=on) | Q(lesson__isnull=False, given_on__gte=on),
            school_id=scope.school_id,
            student_id__in=visible(scope, student_ids=student_ids),
            skill_id__in=keys,
        ).order_by("given_on", "id")
    )
    over = ended(scope, rows=rows, studio_id=studio_id, on=on)
    return tuple(
        Standing(
            id=row.id,
            student=row.student_id,
            skill=keys[row.skill_id],
            role=row.role,
            kind=row.kind,
            given_on=row.given_on,
            lesson=row.lesson_id,
        )
        for row in rows
        if row.id not in over
    )
