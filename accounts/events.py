"""The register of who did or read what: ids, keys and numbers only."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Q

from accounts.models import Event
from accounts.scope import Scope


@dataclass(frozen=True)
class EventView:
    """What a member did or read (None: a job) about whom or what; ids, keys and numbers only."""

    id: UUID
    member_id: UUID | None
    at: datetime
    what: str
    about: UUID | None
    details: Mapping[str, object]


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


def about(
    scope: Scope, *, what: str, about: UUID, since: datetime
) -> tuple[Mapping[str, object], ...]:
    """This will read the details of all events of a kind about one thing, oldest first.

    The register is long: it is read from a moment on, by the index on its time.
    """
    rows = Event.objects.filter(school_id=scope.school_id, at__gte=since, what=what, about=about)
    return tuple(row.details for row in rows.order_by("at", "id"))


def events(
    scope: Scope,
    *,
    most: int,
    before: tuple[datetime, UUID] | None = None,
    since: datetime | None = None,
    what: str | None = None,
    about: UUID | None = None,
    member_id: UUID | None = None,
) -> tuple[EventView, ...]:
    """This will read the register, the newest first; `before` is the place of one read already.

    It is long: with `since` it is read by the index on its time.

    Raises `NotAllowed`.
    """
    scope.need_head("reading the register")
    rows = Event.objects.filter(school_id=scope.school_id)
    said = {"what": what, "about": about, "member_id": member_id}
    rows = rows.filter(**{name: value for name, value in said.items() if value is not None})
    if since is not None:
        rows = rows.filter(at__gte=since)
    if before is not None:
        at, id_ = before
        rows = rows.filter(Q(at__lt=at) | Q(at=at, id__lt=id_))
    names = EventView.__dataclass_fields__
    return tuple(EventView(**row) for row in rows.order_by("-at", "-id").values(*names)[:most])
