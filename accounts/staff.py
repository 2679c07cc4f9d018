"""The staff of a school: who is on it on a date, with what role, and who may spot what."""

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db.models import Q

from accounts.models import Member
from accounts.scope import Scope

ALL_FAMILIES = "all"


@dataclass(frozen=True)
class Colleague:
    """A member as others see her; `may_spot` are family keys, or the single entry "all"."""

    id: UUID
    name: str
    role: str
    adult: bool
    may_spot: frozenset[str]
    studio_ids: frozenset[UUID]


def staff(scope: Scope, *, on: date) -> dict[str, Colleague]:
    """This will list the staff whose access holds on a date, by name."""
    members = (
        Member.objects.filter(school_id=scope.school_id, revoked_at__isnull=True)
        .filter(Q(until__isnull=True) | Q(until__gte=on))
        .filter(Q(from_date__isnull=True) | Q(from_date__lte=on))
        .prefetch_related("studios")
        .order_by("name")
    )
    return {
        member.name: Colleague(
            id=member.id,
            name=member.name,
            role=member.role,
            adult=member.adult,
            may_spot=frozenset(member.may_spot),
            studio_ids=frozenset(place.studio_id for place in member.studios.all()),
        )
        for member in members
    }
