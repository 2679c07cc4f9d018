"""Habits: skills that are ticked and never spotted, by what was said of them last."""

from accounts.scope import Scope
from curriculum.models import Card


def habits(scope: Scope) -> frozenset[str]:
    """This will list the keys of the skills that are habits in the newest edition that stands and
    has a card of them.
    """
    rows = Card.objects.filter(
        school_id=scope.school_id,
        edition__published_at__isnull=False,
        edition__withdrawn_at__isnull=True,
    )
    said = dict(rows.order_by("edition__number").values_list("skill__key", "document__habit"))
    return frozenset(key for key, habit in said.items() if habit)
