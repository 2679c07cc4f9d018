"""Who is asking: every public function of a noun takes a `Scope` first."""

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from accounts.models import ASSISTANT, HEAD_TEACHER, Member, School, Studio


class NotAllowed(Exception):
    """A member asks for what her role may not do; the text says which role may."""


class Unknown(Exception):
    """Nothing of that name or id can be seen by who asks; absent and foreign answer alike."""


@dataclass(frozen=True)
class Scope:
    """One member of one school, with what she may see. `may_see_mass` is for forms only."""

    school_id: UUID
    member_id: UUID
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
    if (found.until and on > found.until) or (found.from_date and on < found.from_date):
        raise Unknown(f"the access of “{member}” does not hold on {on}")
    if found.role == HEAD_TEACHER:
        studios = Studio.objects.filter(school=found.school).values_list("id", flat=True)
    else:
        studios = found.studios.values_list("studio_id", flat=True)
    return Scope(
        school_id=found.school_id,
        member_id=found.id,
        role=found.role,
        studio_ids=frozenset(studios),
        may_see_mass=found.role == HEAD_TEACHER and found.school.uses_mass,
    )
