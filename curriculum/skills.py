"""Skills: identity alone, so what they were called is asked of the editions."""

from collections.abc import Collection
from uuid import UUID

from accounts.scope import Scope
from curriculum.models import Card


def last_names(scope: Scope, *, keys: Collection[str]) -> dict[str, str]:
    """This will tell what the newest edition that stands and has a card of a skill calls it."""
    return dict(_published(scope).filter(skill__key__in=keys).values_list("skill__key", "name"))


def last_names_by_id(scope: Scope, *, skill_ids: Collection[UUID]) -> dict[UUID, str]:
    """This will tell the same of skills by their ids."""
    return dict(_published(scope).filter(skill_id__in=skill_ids).values_list("skill_id", "name"))


def _published(scope):
    return Card.objects.filter(
        school_id=scope.school_id,
        edition__published_at__isnull=False,
        edition__withdrawn_at__isnull=True,
    ).order_by("edition__number")
