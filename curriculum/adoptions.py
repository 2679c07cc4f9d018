"""Adoptions: from which local date on a studio has which edition in use."""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import transaction

from accounts.events import record
from accounts.faults import BadDocument, Fault
from accounts.models import Studio
from accounts.names import alphabetical
from accounts.scope import Conflict, Scope, Unknown
from curriculum.models import Adoption, Edition


@dataclass(frozen=True)
class AdoptionView:
    """A studio has an edition in use from a local date on."""

    studio_id: UUID
    number: int
    name: str
    from_date: date


def adopt(scope: Scope, *, studio_id: UUID, number: int, from_date: date, at: datetime) -> bool:
    """This will take an edition into use at a studio from a local date.

    True when that is new; False when the same edition is taken on from that date already.
    Raises `NotAllowed`, `Unknown` for the studio and `BadDocument` for the number.
    """
    scope.need_head("taking on an edition")
    _need_studio(scope, studio_id)
    edition = Edition.objects.filter(
        school_id=scope.school_id, number=number, published_at__isnull=False
    ).first()
    if edition is None:
        raise BadDocument([Fault("/number", "unknown")])
    with transaction.atomic():
        standing = Adoption.objects.filter(
            school_id=scope.school_id, studio_id=studio_id, from_date=from_date
        ).first()
        if standing and standing.edition_id == edition.id:
            return False
        Adoption.objects.update_or_create(
            school_id=scope.school_id,
            studio_id=studio_id,
            from_date=from_date,
            defaults={"edition": edition, "member_id": scope.member_id},
        )
        record(scope, what="adopt_edition", at=at, about=studio_id, number=number)
    return True


def take_back(scope: Scope, *, studio_id: UUID, from_date: date, at: datetime) -> None:
    """This will take out an adoption whose first day at the studio is still to come.

    Raises `Unknown`, `NotAllowed`, and `Conflict` from that day on: what was taught stays.
    """
    _need_studio(scope, studio_id)
    scope.need_head("taking back an edition")
    with transaction.atomic():
        row = (
            Adoption.objects.select_for_update()
            .filter(school_id=scope.school_id, studio_id=studio_id, from_date=from_date)
            .first()
        )
        if row is None:
            raise Unknown("no edition is taken on from that day")
        if from_date <= _day(row.studio.zone, at):
            raise Conflict("it is in use or was: take on another edition from a day to come")
        number = row.edition.number
        row.delete()
        record(scope, what="take_back_edition", at=at, about=studio_id, number=number)


def adoptions(scope: Scope, *, studio_id: UUID) -> tuple[AdoptionView, ...]:
    """This will list what a studio has taken into use, by date. Raises `Unknown`."""
    _need_studio(scope, studio_id)
    return _adoptions(scope, studio_ids=[studio_id])


def adopted(scope: Scope, *, studio_id: UUID, at: datetime, on: date | None = None) -> AdoptionView:
    """This will tell which edition a studio has in use on a local date, or on its day of `at`.

    Raises `Unknown` for the studio, or when nothing is in use.
    """
    found = adoptions(scope, studio_id=studio_id)
    on = on or _day(Studio.objects.get(id=studio_id).zone, at)
    since = [adoption for adoption in found if adoption.from_date <= on]
    if not since:
        raise Unknown(f"no curriculum was in use on {on}")
    return since[-1]


def in_use_now(scope: Scope, *, at: datetime) -> tuple[AdoptionView, ...]:
    """This will tell what each studio in scope has in use on its day of `at`, by its name."""
    studios = Studio.objects.filter(school_id=scope.school_id, id__in=scope.studio_ids)
    day = {studio.id: _day(studio.zone, at) for studio in studios}
    latest = {
        adoption.studio_id: adoption
        for adoption in _adoptions(scope, studio_ids=day)
        if adoption.from_date <= day[adoption.studio_id]
    }
    by_name = sorted(studios, key=lambda studio: alphabetical(studio.name))
    return tuple(latest[studio.id] for studio in by_name if studio.id in latest)


def _adoptions(scope, *, studio_ids):
    rows = Adoption.objects.filter(school_id=scope.school_id, studio_id__in=studio_ids)
    return tuple(
        AdoptionView(studio_id=studio_id, number=number, name=name, from_date=from_date)
        for studio_id, number, name, from_date in rows.order_by("from_date").values_list(
            "studio_id", "edition__number", "edition__name", "from_date"
        )
    )


def _need_studio(scope, studio_id):
    if studio_id not in scope.studio_ids:
        raise Unknown("no such studio")


def _day(zone, at):
    return at.astimezone(ZoneInfo(zone)).date()
