"""Schools: how one begins."""

import unicodedata
from datetime import datetime
from uuid import UUID

from django.db import transaction

from accounts.events import record
from accounts.models import HEAD_TEACHER, Member, School
from accounts.names import composed
from accounts.scope import Scope

LONGEST_SCHOOL_NAME, LONGEST_MEMBER_NAME = 120, 80


class CannotBegin(Exception):
    """A school of that name cannot begin so; the text says why."""


def begin(*, name: str, head: str, at: datetime) -> bool:
    """This will make a school with its first head teacher.

    True when it is new, False when it stands with that head teacher already. Raises `CannotBegin`
    for a name that is empty, too long or holds control characters, and when another head teacher
    has begun a school of that name.
    """
    name = _clean("the school's name", name, LONGEST_SCHOOL_NAME)
    head = _clean("--head", head, LONGEST_MEMBER_NAME)
    with transaction.atomic():
        school = School.objects.filter(name=name).first()
        if school is None:
            school = School.objects.create(name=name, created_at=at)
            member = Member.objects.create(school=school, name=head, role=HEAD_TEACHER, adult=True)
            scope = Scope(
                school_id=school.id,
                member_id=member.id,
                role=HEAD_TEACHER,
                studio_ids=frozenset(),
                may_see_mass=False,
            )
            record(scope, what="begin_school", at=at, about=member.id)
            return True
        if Member.objects.filter(school=school, name=head, role=HEAD_TEACHER).exists():
            return False
    raise CannotBegin(
        f"--head: “{name}” stands already with another head teacher;"
        " she takes on further staff with load_staff"
    )


def ids() -> tuple[UUID, ...]:
    """This will list the ids of all schools: where each job begins, one school at a time."""
    return tuple(School.objects.order_by("id").values_list("id", flat=True))


def _clean(place, text, longest):
    text = composed(text)
    if not text:
        raise CannotBegin(f"{place}: should not be empty")
    if len(text) > longest:
        raise CannotBegin(f"{place}: longer than {longest} characters")
    # A lone surrogate is what a shell makes of bytes that are no text.
    if any(unicodedata.category(letter) in ("Cc", "Cs") for letter in text):
        raise CannotBegin(f"{place}: holds a character that is no text")
    return text
