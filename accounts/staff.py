"""Staff: who is there on a date, at which studios, and what each may spot."""

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db.models import Q

from accounts.models import HEAD_TEACHER, Member
from accounts.scope import Scope

EVERYTHING = "all"  # in may_spot: every family


@dataclass(frozen=True)
class Colleague:
    """One of the staff. `may_spot` holds family keys, or the single entry “all”.

    `studio_ids` are those of her studios that whoever asks may see.
    """

    id: UUID
    name: str
    role: str
    adult: bool
    may_spot: frozenset[str]
    studio_ids: frozenset[UUID]


def staff(scope: Scope, *, on: date) -> dict[str, Colleague]:
    """This will list by name the staff whose access holds on a date.

    A head teacher sees all of the school; others see the head teachers, themselves and whoever
    shares a studio with them.
    """
    rows = (
        Member.objects.filter(
            Q(from_date__isnull=True) | Q(from_date__lte=on),
            Q(until__isnull=True) | Q(until__gte=on),
            Q(revoked_at__isnull=True) | Q(revoked_at__date__gt=on),
            school_id=scope.school_id,
        )
        .prefetch_related("studios")
        .order_by("name")
    )
    found = {}
    for row in sorted(rows, key=lambda row: (row.name.casefold(), row.name)):
        studio_ids = scope.studio_ids
        if row.role != HEAD_TEACHER:
            studio_ids &= {place.studio_id for place in row.studios.all()}
        if studio_ids or scope.is_head or scope.member_id == row.id or row.role == HEAD_TEACHER:
            found[row.name] = Colleague(
                id=row.id,
                name=row.name,
                role=row.role,
                adult=row.adult,
                may_spot=frozenset(row.may_spot),
                studio_ids=studio_ids,
            )
    return found
