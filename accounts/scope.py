"""Who is asking: every public function of a noun takes a `Scope` first."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from accounts.models import ASSISTANT, HEAD_TEACHER, Member, MemberStudio, School, Studio


class NotAllowed(Exception):
    """A member asks for what her role may not do; the text says which role may."""


class Unknown(Exception):
    """Nothing of that name or id can be seen by who asks; absent and foreign answer alike."""


class Stale(Exception):
    """What somebody wants to change has been changed by somebody else since she read it."""


class Conflict(Exception):
    """What is asked is clear and does not go with what stands; the text says why."""


class SignedOut(Exception):
    """Her access was taken away or has ended: she may ask for nothing."""


@dataclass(frozen=True)
class Scope:
    """One member of one school, with what she may see. `may_see_mass` is for forms only.

    A job asks for no member: `member_id` is None, and so it stands in its events.
    """

    school_id: UUID
    member_id: UUID | None
    role: str
    studio_ids: frozenset[UUID]
    may_see_mass: bool

    @property
    def is_head(self) -> bool:
        return self.role == HEAD_TEACHER

    def need_teacher(self, what: str) -> None:
        """Raise `NotAllowed` for an assistant."""
        if self.role == ASSISTANT:
            raise NotAllowed(f"{what}: a teacher's right, not an assistant's")

    def need_head(self, what: str) -> None:
        """Raise `NotAllowed` for everyone but a head teacher."""
        if not self.is_head:
            raise NotAllowed(f"{what}: a head teacher's right")


def scope_of(*, school: str, member: str, on: date) -> Scope:
    """This will find the scope of a member by the names of her school and herself.

    `on` is the date for which her access is asked (a cover teacher's ends by itself).
    Raises `Unknown`.
    """
    found = (
        Member.objects.select_related("school")
        .filter(school__name=school, name=member, revoked_at__isnull=True)
        .first()
    )
    if found is None:
        if not School.objects.filter(name=school).exists():
            raise Unknown(f"no school is called “{school}”")
        raise Unknown(f"nobody called “{member}” is on the staff of “{school}”")
    if not _holds(found, on):
        raise Unknown(f"the access of “{member}” does not hold on {on}")
    return _scope(found, frozenset(_zones(found)))


def scope_of_member(
    *, member_id: UUID, now: datetime, early: bool = False, late: bool = False
) -> Scope:
    """This will find the scope of a member who has shown who she is.

    A cover teacher's access holds until her last day has ended in all of her studios. With `early`
    one whose access has not begun gets the scope of her first day, with `late` one whose access
    has ended a scope without studios: it can hand in what she has left. Raises `SignedOut`.
    """
    found = Member.objects.select_related("school").filter(id=member_id).first()
    if found is None:
        raise SignedOut("the access was taken away")
    return scope_now(found, now=now, early=early, late=late)


def scope_now(found: Member, *, now: datetime, early: bool = False, late: bool = False) -> Scope:
    """The same for a member who has just been read, together with her school."""
    if found.revoked_at is not None:
        raise SignedOut("the access was taken away")
    zones = _zones(found)
    days = _days(zones.values(), now)
    begins_later = found.from_date is not None and max(days) < found.from_date
    if any(_holds(found, on) for on in days) or (early and begins_later):
        return _scope(found, frozenset(zones))
    if late and found.until and now.date() >= found.until:
        return _scope(found, frozenset())
    raise SignedOut("the access does not hold today")


def days_now(scope: Scope, *, at: datetime) -> frozenset[date]:
    """This will tell the dates that it is now at the studios in scope, one or two; without a studio
    the one in UTC."""
    ours = Studio.objects.filter(school_id=scope.school_id, id__in=scope.studio_ids)
    return _days(ours.values_list("zone", flat=True).distinct(), at)


def day_ends(scope: Scope, *, on: date) -> datetime:
    """This will tell when a date has ended at all studios in scope; without a studio in UTC."""
    ours = Studio.objects.filter(school_id=scope.school_id, id__in=scope.studio_ids)
    zones = ours.values_list("zone", flat=True).distinct()
    return max(_end_of(on, zone) for zone in zones or ("UTC",))


def _days(zones, at):
    return frozenset(at.astimezone(ZoneInfo(zone)).date() for zone in zones or ("UTC",))


def scope_of_school(*, school_id: UUID) -> Scope:
    """This will make the scope of a job: all studios of a school, no member. For jobs alone.

    Raises `Unknown`.
    """
    if not School.objects.filter(id=school_id).exists():
        raise Unknown("no such school")
    studios = Studio.objects.filter(school_id=school_id).values_list("id", flat=True)
    return Scope(
        school_id=school_id,
        member_id=None,
        role=HEAD_TEACHER,
        studio_ids=frozenset(studios),
        may_see_mass=False,
    )


def ended(scope: Scope) -> dict[UUID, datetime]:
    """This will tell for which studios the member's role held once, and when it ended."""
    found = Member.objects.get(id=scope.member_id)
    zones = _zones(found)
    ends = {
        studio_id: _end_of(found.until, zone)
        for studio_id, zone in zones.items()
        if found.until and studio_id not in scope.studio_ids
    }
    for studio_id, zone, at in MemberStudio.objects.filter(
        school_id=scope.school_id, member_id=scope.member_id, ended_at__isnull=False
    ).values_list("studio_id", "studio__zone", "ended_at"):
        if studio_id in scope.studio_ids:
            continue
        if found.until:
            at = min(at, _end_of(found.until, zone))
        ends[studio_id] = max(at, ends.get(studio_id, at))
    return ends


def _end_of(day, zone):
    return datetime.combine(day + timedelta(days=1), time.min, ZoneInfo(zone)).astimezone(UTC)


def _holds(member, on):
    return (member.from_date or on) <= on <= (member.until or on)


def _zones(member):
    """The zones of the studios that her role holds for, by id."""
    studios = Studio.objects.filter(school_id=member.school_id)
    if member.role != HEAD_TEACHER:
        holding = MemberStudio.objects.filter(member=member, ended_at__isnull=True)
        studios = studios.filter(id__in=holding.values("studio_id"))
    return dict(studios.values_list("id", "zone"))


def _scope(member, studio_ids):
    return Scope(
        school_id=member.school_id,
        member_id=member.id,
        role=member.role,
        studio_ids=studio_ids,
        may_see_mass=member.role == HEAD_TEACHER and member.school.uses_mass,
    )
