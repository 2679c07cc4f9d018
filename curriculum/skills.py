"""Skills: identity alone, so what they are called and which are habits is asked of the editions."""

from collections.abc import Collection
from uuid import UUID

from django.db.models import F

from accounts.scope import Scope
from curriculum.models import Card


def last_names(scope: Scope, *, keys: Collection[str]) -> dict[str, str]:
    """This will tell what the last edition with a card of a skill calls it: each has a name."""
    return dict(_last_said(scope).filter(skill__key__in=keys).values_list("skill__key", "name"))


def last_names_by_id(scope: Scope, *, skill_ids: Collection[UUID]) -> dict[UUID, str]:
    """This will tell the same of skills by their ids."""
    return dict(_last_said(scope).filter(skill_id__in=skill_ids).values_list("skill_id", "name"))


def habits(scope: Scope) -> frozenset[str]:
    """This will list the keys of the skills that are habits, ticked and never spotted, in the last
    edition with a card of them."""
    said = dict(_last_said(scope).values_list("skill__key", "document__habit"))
    return frozenset(key for key, habit in said.items() if habit)


def _last_said(scope):
    """Cards of which the last one of a skill counts: of the newest edition that stands, else of one
    that was withdrawn, since a try of it may have come in all the same."""
    last = F("edition__withdrawn_at").asc(nulls_last=True)
    return Card.objects.filter(school_id=scope.school_id).order_by(last, "edition__number")
