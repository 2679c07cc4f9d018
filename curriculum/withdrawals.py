"""Withdrawing an edition that no studio took on; what it says never changes."""

from datetime import datetime

from django.db import transaction

from accounts.events import record
from accounts.names import alphabetical
from accounts.scope import Conflict, Scope
from curriculum.editions import need
from curriculum.models import Adoption
from curriculum.writing import one_at_a_time


def withdraw(scope: Scope, *, number: int, reason: str, at: datetime) -> None:
    """This will withdraw an edition that no studio took on: it is taken on no more.

    It keeps its number and can still be read. Once more is no change. Raises `NotAllowed`,
    `Unknown`, and `Conflict` with the studios that took it on.
    """
    scope.need_head("withdrawing an edition")
    with transaction.atomic():
        one_at_a_time(scope)
        edition = need(scope, number=number)
        rows = Adoption.objects.filter(school_id=scope.school_id).select_related("studio")
        took = {
            row.studio.name
            for row in rows
            if row.edition_id == edition.id or number in (gave_way for gave_way, _ in row.gave_way)
        }
        if took:
            names = ", ".join(sorted(took, key=alphabetical))
            raise Conflict(f"it is taken on at {names}: take that back first")
        if edition.withdrawn_at:
            return
        edition.withdrawn_at, edition.withdrawn_why = at, reason
        edition.save(update_fields=["withdrawn_at", "withdrawn_why"])
        record(scope, what="withdraw_edition", at=at, about=edition.id, number=number)
