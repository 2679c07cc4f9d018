"""Invitations: a member's way to her first token, used once, within seven days."""

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db import transaction

from accounts import staff, tokens
from accounts.events import record
from accounts.models import STAFF_ROLES, TEACHER, Invitation
from accounts.scope import Conflict, NotAllowed, Scope, SignedOut, Unknown, scope_of_member

DAYS = 7
RANK = STAFF_ROLES.index


@dataclass(frozen=True)
class Invited:
    """The secret is shown here once; only its hash is kept."""

    secret: str
    expires_at: datetime


def invite(scope: Scope, *, member_id: UUID, at: datetime) -> Invited:
    """This will invite one of the staff, whose role and studios stand already.

    A teacher invites whoever shares a studio with her and has no role above hers; earlier
    invitations of that member end. Raises `NotAllowed`, `Unknown`, and `Conflict` for one whose
    access was taken away.
    """
    found = staff.member(scope, member_id=member_id, on=at.date())
    scope.need_teacher("inviting")
    if RANK(found.role) < RANK(scope.role):
        raise NotAllowed("inviting: a role above one's own")
    if found.revoked_at:
        raise Conflict(f"the access of {found.name} was taken away")
    secret = secrets.token_urlsafe(32)
    with transaction.atomic():
        Invitation.objects.filter(
            school_id=scope.school_id, member_id=member_id, used_at__isnull=True, expires_at__gt=at
        ).update(expires_at=at)
        row = Invitation.objects.create(
            school_id=scope.school_id,
            member_id=member_id,
            secret_hash=_hash(secret),
            invited_by_id=scope.member_id,
            made_at=at,
            expires_at=at + timedelta(days=DAYS),
        )
        record(scope, what="invite", at=at, about=member_id, invitation=str(row.id))
    return Invited(secret, row.expires_at)


def accept(*, secret: str, at: datetime) -> str:
    """This will use up an invitation and hand out a token of the invited member.

    An invitation that was used, has run out, or whose inviter has lost her right is answered
    like one that never was. Raises `Unknown`.
    """
    with transaction.atomic():
        open_ones = Invitation.objects.filter(
            secret_hash=_hash(secret), used_at__isnull=True, expires_at__gt=at
        )
        row = open_ones.first()
        # Of two who come with the same secret the second updates nothing.
        if row is None or not _may(row, at) or not open_ones.update(used_at=at):
            raise Unknown("no such invitation")
        scope = scope_of_member(member_id=row.member_id, now=at)
        record(scope, what="accept_invitation", at=at, about=row.member_id, invitation=str(row.id))
        return tokens.issue(scope, member_id=row.member_id, at=at)


def _may(row, at):
    """Whether the invited may ask today, and her inviter might still invite her."""
    try:
        invited = scope_of_member(member_id=row.member_id, now=at)
        inviter = scope_of_member(member_id=row.invited_by_id, now=at)
        staff.member(inviter, member_id=row.member_id, on=at.date())
    except (SignedOut, Unknown):
        return False
    return RANK(inviter.role) <= min(RANK(invited.role), RANK(TEACHER))


def _hash(secret):
    return hashlib.sha256(secret.encode()).hexdigest()
