"""The register of who did or read what: ids, keys and numbers only."""

from datetime import datetime
from uuid import UUID

from accounts.models import Event
from accounts.scope import Scope


def record(
    scope: Scope, *, what: str, at: datetime, about: UUID | None = None, **details: object
) -> None:
    """This will add one event; call it inside the transaction of the change it tells of."""
    Event.objects.create(
        school_id=scope.school_id,
        member_id=scope.member_id,
        at=at,
        what=what,
        about=about,
        details=details,
    )
