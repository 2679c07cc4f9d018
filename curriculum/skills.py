"""Skills: identity alone, so what they were called is asked of the editions."""

from collections.abc import Collection

from accounts.scope import Scope
from curriculum.models import Card


def last_names(scope: Scope, *, keys: Collection[str]) -> dict[str, str]:
    """This will tell what the newest edition that stands and has a card of a skill calls it."""
    rows = Card.objects.filter(
        school_id=scope.school_id,
        skill__key__in=keys,
        edition__published_at__isnull=False,
        edition__withdrawn_at__isnull=True,
    )
    return dict(rows.order_by("edition__number").values_list("skill__key", "name"))
