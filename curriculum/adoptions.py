"""Adoptions: from which local date on a studio has which edition in use, or holds it back."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import transaction

from accounts.events import record
from accounts.faults import FARTHEST_YEARS, BadDocument, Fault
from accounts.models import Studio
from accounts.names import alphabetical
from accounts.scope import Conflict, Scope, Unknown
from curriculum.models import LONGEST_REASON as LONGEST_REASON
from curriculum.models import Adoption, Edition, HeldBack
from curriculum.writing import one_at_a_time

ALWAYS = date(2000, 1, 1)  # a studio's first edition also holds for tries of before


@dataclass(frozen=True)
class AdoptionView:
    """A studio has an edition in use from a local date on."""

    studio_id: UUID
    number: int
    name: str
    from_date: date


@dataclass(frozen=True)
class Taken:
    """An adoption as it stands: it holds `until` the day before that, None without end.

    `back_to` is the number of the edition that would be in use without it, if any.
    """

    edition_id: UUID
    number: int
    from_date: date
    until: date | None
    back_to: int | None


@dataclass(frozen=True)
class HeldBackView:
    """A studio does not take an edition on for now; `by` is the name of who said so."""

    studio_id: UUID
    number: int
    name: str
    reason: str
    from_date: date
    by: str | None


def adopt(
    scope: Scope, *, studio_id: UUID, number: int, at: datetime, from_date: date | None = None
) -> bool:
    """This will take an edition into use at a studio from a local date.

    Without one it is in use from today, or from the start where nothing is in use yet. True when
    that is new; False when the same edition is taken on from that date already. It is held back no
    more. Raises `NotAllowed`, `Unknown` for the studio and `BadDocument` for the date, and for the
    number, also of an edition that was withdrawn.
    """
    scope.need_head("taking on an edition")
    need_studio(scope, studio_id=studio_id)
    with transaction.atomic():
        one_at_a_time(scope)
        edition = _edition(scope, number)
        today = _today(studio_id, at)
        if from_date is None:
            begun = (row.from_date for row in _adoptions(scope, studio_ids=[studio_id]))
            from_date = today if any(day <= today for day in begun) else ALWAYS
        elif from_date.year - today.year > FARTHEST_YEARS:
            fault = f"{from_date} is more than {FARTHEST_YEARS} years from now"
            raise BadDocument([Fault("/from_date", fault)])
        standing = _at(scope, studio_id, from_date)
        if standing and standing.edition_id == edition.id:
            return False
        gave_way = []
        if standing:
            lifted = standing.lifted_id and str(standing.lifted_id)
            gave_way = [*standing.gave_way, (standing.edition.number, lifted)]
        held = _last_said(scope, studio_id, edition)
        if held and held.lifted_on is None:
            held.lifted_on = today
            held.save()
        elif held and held.id not in _lifted(scope, studio_id):
            held = None  # it ended by a word
        Adoption.objects.update_or_create(
            school_id=scope.school_id,
            studio_id=studio_id,
            from_date=from_date,
            defaults={
                "edition": edition,
                "member_id": scope.member_id,
                "gave_way": gave_way,
                "lifted": held,
            },
        )
        record(scope, what="adopt_edition", at=at, about=studio_id, number=number)
    return True


def taken(scope: Scope, *, studio_id: UUID, from_date: date) -> Taken:
    """This will tell what taking back an adoption comes to. Raises `Unknown`, `NotAllowed`."""
    need_studio(scope, studio_id=studio_id)
    scope.need_head("taking back an edition")
    row = _at(scope, studio_id, from_date)
    if row is None:
        raise Unknown("no edition is taken on from that day")
    others = Adoption.objects.filter(school_id=scope.school_id, studio_id=studio_id)
    before = others.filter(from_date__lt=from_date).order_by("-from_date")
    after = others.filter(from_date__gt=from_date).order_by("from_date")
    numbers = before.values_list("edition__number", flat=True)
    return Taken(
        edition_id=row.edition_id,
        number=row.edition.number,
        from_date=from_date,
        until=after.values_list("from_date", flat=True).first(),
        back_to=row.gave_way[-1][0] if row.gave_way else numbers.first(),
    )


def take_back(
    scope: Scope, *, studio_id: UUID, from_date: date, at: datetime, untried: bool = False
) -> None:
    """This will take out an adoption; an edition that gave way to it is in use again.

    It is held back as before if taking it on ended that, and nothing else was said of it since.
    From its first day at the studio on that is done where it is known to be `untried`: that no try
    names it there (`classes.adoptions` knows). Raises `Unknown`, `NotAllowed`, and `Conflict` from
    that day on where a try names it or where nothing would be in use without it, and where the
    edition in use without it is held back by now.
    """
    with transaction.atomic():
        one_at_a_time(scope)
        found = taken(scope, studio_id=studio_id, from_date=from_date)
        today = _today(studio_id, at)
        if from_date <= today:
            if found.back_to is None:
                raise Conflict("nothing would be in use then: take on another edition instead")
            if not untried:
                raise Conflict("it is in use or was: take on another edition from a day to come")
        row = _at(scope, studio_id, from_date)
        held = row.lifted
        if row.gave_way:
            *row.gave_way, (number, row.lifted_id) = row.gave_way
            row.edition = Edition.objects.get(school_id=scope.school_id, number=number)
            row.member_id = scope.member_id
            row.save()
        else:
            row.delete()
        standing = _standing(scope, studio_id, today)
        for number in (one.number for one in held_back(scope, studio_ids=[studio_id])):
            if number in standing:
                raise Conflict(
                    f"edition {number} would be in use again, and is held back: end that first"
                )
        if (
            held
            and held == _last_said(scope, studio_id, held.edition)
            and held.id not in _lifted(scope, studio_id)
            and found.number not in standing
        ):
            held.lifted_on = None
            held.save()
        record(scope, what="take_back_edition", at=at, about=studio_id, number=found.number)


def hold_back(scope: Scope, *, studio_id: UUID, number: int, reason: str, at: datetime) -> None:
    """This will say that a studio does not take an edition on for now, and why.

    What was said of it before gives way. Raises `NotAllowed`, `Unknown` for the studio,
    `BadDocument` for the number, and `Conflict` where it is in use or will be.
    """
    scope.need_head("holding back an edition")
    need_studio(scope, studio_id=studio_id)
    with transaction.atomic():
        one_at_a_time(scope)
        edition = _edition(scope, number)
        today = _today(studio_id, at)
        if number in _standing(scope, studio_id, today):
            raise Conflict("it is taken on there: take that back first")
        said = {"reason": reason, "from_date": today, "member_id": scope.member_id}
        HeldBack.objects.update_or_create(
            school_id=scope.school_id,
            studio_id=studio_id,
            edition=edition,
            lifted_on=None,
            defaults=said,
        )
        record(scope, what="hold_back_edition", at=at, about=studio_id, number=number)


def hold_no_more(scope: Scope, *, studio_id: UUID, number: int, at: datetime) -> None:
    """This will end that a studio holds an edition back. Raises `NotAllowed`, `Unknown`."""
    need_studio(scope, studio_id=studio_id)
    scope.need_head("holding back an edition")
    with transaction.atomic():
        rows = _held(scope, [studio_id]).filter(edition__number=number)
        if not rows.update(lifted_on=_today(studio_id, at)):
            raise Unknown("it is not held back")
        record(scope, what="hold_edition_no_more", at=at, about=studio_id, number=number)


def held_back(
    scope: Scope, *, studio_ids: Collection[UUID] | None = None
) -> tuple[HeldBackView, ...]:
    """This will list what studios in scope (None: all of them) hold back, by studio and number."""
    asked = scope.studio_ids if studio_ids is None else scope.studio_ids & {*studio_ids}
    rows = _held(scope, asked).select_related("edition", "studio", "member")
    return tuple(
        HeldBackView(
            studio_id=row.studio_id,
            number=row.edition.number,
            name=row.edition.name,
            reason=row.reason,
            from_date=row.from_date,
            by=row.member.name if row.member else None,
        )
        for row in sorted(rows, key=lambda row: (alphabetical(row.studio.name), row.edition.number))
    )


def adoptions(scope: Scope, *, studio_id: UUID) -> tuple[AdoptionView, ...]:
    """This will list what a studio has taken into use, by date. Raises `Unknown`."""
    need_studio(scope, studio_id=studio_id)
    return _adoptions(scope, studio_ids=[studio_id])


def adopted(scope: Scope, *, studio_id: UUID, at: datetime, on: date | None = None) -> AdoptionView:
    """This will tell which edition a studio has in use on a local date, or on its day of `at`.

    Raises `Unknown` for the studio, or when nothing is in use.
    """
    found = adoptions(scope, studio_id=studio_id)
    on = on or _today(studio_id, at)
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


def _standing(scope, studio_id, today):
    """The numbers of what a studio has in use today or will have."""
    rows = _adoptions(scope, studio_ids=[studio_id])
    over = sum(row.from_date <= today for row in rows) - 1
    return {row.number for row in rows[max(over, 0) :]}


def need_studio(scope: Scope, *, studio_id: UUID) -> None:
    """Raise `Unknown` for a studio that is not in scope."""
    if studio_id not in scope.studio_ids:
        raise Unknown("no such studio")


def _day(zone, at):
    return at.astimezone(ZoneInfo(zone)).date()


def _today(studio_id, at):
    return _day(Studio.objects.get(id=studio_id).zone, at)


def _edition(scope, number):
    edition = Edition.objects.filter(
        school_id=scope.school_id, number=number, published_at__isnull=False
    ).first()
    if edition is None:
        raise BadDocument([Fault("/number", "unknown")])
    if edition.withdrawn_at:
        raise BadDocument([Fault("/number", "it was withdrawn")])
    return edition


def _at(scope, studio_id, from_date):
    rows = Adoption.objects.select_related("edition")
    return rows.filter(school_id=scope.school_id, studio_id=studio_id, from_date=from_date).first()


def _held(scope, studio_ids):
    return HeldBack.objects.filter(
        school_id=scope.school_id,
        studio_id__in=studio_ids,
        lifted_on__isnull=True,
        edition__withdrawn_at__isnull=True,
    )


def _last_said(scope, studio_id, edition):
    """What was said last of holding an edition back at a studio, lifted or not."""
    rows = HeldBack.objects.filter(school_id=scope.school_id, studio_id=studio_id, edition=edition)
    return rows.order_by("from_date", "id").last()


def _lifted(scope, studio_id):
    """The ids of what was lifted by what the studio takes on, or took on until that gave way."""
    rows = Adoption.objects.filter(school_id=scope.school_id, studio_id=studio_id)
    found = {row.lifted_id for row in rows}
    return found | {UUID(held) for row in rows for _, held in row.gave_way if held}
