"""Invitations: a member's way to her first token, used once, within seven days."""

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db import transaction

from accounts import tokens
from accounts.events import record
from accounts.models import STAFF_ROLES, TEACHER, Invitation, Member
from accounts.scope import NotAllowed, Scope, SignedOut, Unknown, scope_of_member

DAYS = 7


@dataclass(frozen=True)
class Invited:
    """The secret is shown here once; only its hash is kept."""

    secret: str
    expires_at: datetime


def invite(scope: Scope, *, member_id: UUID, at: datetime) -> Invited:
    """This will invite one of the staff, whose role and studios stand already.

    A teacher invites whoever shares a studio with her and has no role above hers; earlier
    invitations of that member end. Raises `NotAllowed`, `Unknown`.
    """
    scope.need_teacher("inviting")
    with transaction.atomic():
        member = Member.objects.filter(
            school_id=scope.school_id, id=member_id, revoked_at__isnull=True
        ).first()
        if member is None or not _in_sight(scope, member):
            raise Unknown("nobody of that id is on the staff")
        if STAFF_ROLES.index(member.role) < STAFF_ROLES.index(scope.role):
            raise NotAllowed("inviting: a role above one's own")
        Invitation.objects.filter(
            school_id=scope.school_id, member=member, used_at__isnull=True, expires_at__gt=at
        ).update(expires_at=at)
        secret = secrets.token_urlsafe(32)
        row = Invitation.objects.create(
            school_id=scope.school_id,
            member=member,
            secret_hash=_hash(secret),
            invited_by_id=scope.member_id,
            made_at=at,
            expires_at=at + timedelta(days=DAYS),
        )
        record(scope, what="invite", at=at, about=member.id, invitation=str(row.id))
    return Invited(secret, row.expires_at)


def accept(*, secret: str, at: datetime) -> str:
    """This will use up an invitation and hand out a token of the invited member.

    An invitation that was used, has run out, or whose inviter has lost her right is answered
    like one that never was. Raises `Unknown`.
    """
    with transaction.atomic():
        used = Invitation.objects.filter(
            secret_hash=_hash(secret), used_at__isnull=True, expires_at__gt=at
        )
        row = used.select_related("member").first()
        if row is None or not _inviter_may(row, at) or not used.update(used_at=at):
            raise Unknown("no such invitation")
        try:
            scope = scope_of_member(member_id=row.member_id, now=at)
        except SignedOut:
            raise Unknown("no such invitation") from None
        text = tokens.issue(scope, member_id=row.member_id, at=at)
        record(scope, what="accept_invitation", at=at, about=row.member_id, invitation=str(row.id))
    return text


def _in_sight(scope, member):
    if scope.is_head or member.id == scope.member_id:
        return True
    places = member.studios.filter(ended_at__isnull=True)
    return places.filter(studio_id__in=scope.studio_ids).exists()


def _inviter_may(row, at):
    try:
        inviter = scope_of_member(member_id=row.invited_by_id, now=at)
    except SignedOut:
        return False
    rank = STAFF_ROLES.index
    may = rank(inviter.role) <= min(rank(row.member.role), rank(TEACHER))
    return may and _in_sight(inviter, row.member)


def _hash(secret):
    return hashlib.sha256(secret.encode()).hexdigest()
