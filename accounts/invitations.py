"""Invitations: a member's way to sign in or to a first token, used once, within seven days."""

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db import transaction

from accounts import sign_in, staff, tokens
from accounts.events import record
from accounts.models import STAFF_ROLES, Invitation, Member
from accounts.scope import Conflict, NotAllowed, Scope, SignedOut, Unknown, scope_of_member

DAYS = 7
REFUSALS = 5  # so often somebody may come with an email that is not hers
NONE = "no such invitation"
RANK = STAFF_ROLES.index
# Whoever invites a member or comes with an invitation of hers waits for her row.
ONE_AFTER_THE_OTHER = Member.objects.select_for_update(no_key=True)
BEYOND = "somebody who has had a token, or has a studio beyond one's own: a head teacher's right"


@dataclass(frozen=True)
class Invited:
    """The secret is shown here once; only its hash is kept."""

    secret: str
    expires_at: datetime


def invite(scope: Scope, *, member_id: UUID, at: datetime) -> Invited:
    """This will invite one of the staff, whose role and studios stand already.

    A teacher invites whoever has never asked yet, with no role above hers and no studio that is
    not hers; earlier invitations of that member end. Raises `NotAllowed`, `Unknown`, and
    `Conflict` for one whose access was taken away.
    """
    secret = secrets.token_urlsafe(32)
    with transaction.atomic():
        found = staff.member(scope, member_id=member_id, at=at)
        row = ONE_AFTER_THE_OTHER.get(school_id=scope.school_id, id=member_id)
        _need_right(scope, row)
        if row.revoked_at:
            raise Conflict(f"the access of {found.name} was taken away")
        Invitation.objects.filter(
            school_id=scope.school_id, member_id=member_id, used_at__isnull=True, expires_at__gt=at
        ).update(expires_at=at)
        made = Invitation.objects.create(
            school_id=scope.school_id,
            member_id=member_id,
            secret_hash=_hash(secret),
            invited_by_id=scope.member_id,
            made_at=at,
            expires_at=at + timedelta(days=DAYS),
        )
        record(scope, what="invite", at=at, about=member_id, invitation=str(made.id))
    return Invited(secret, made.expires_at)


def accept(*, secret: str, at: datetime) -> str:
    """This will use up an invitation and hand out a token of the invited member.

    Before her first day too: the token asks from then on. An invitation that was used, has run
    out, or whose inviter might not make it any more is answered like one that never was. Raises
    `Unknown`.
    """
    with transaction.atomic():
        row, scope = _held(secret, at)
        _use_up(row, scope, at)
        return tokens.issue(scope, member_id=row.member_id, at=at)


def accept_sign_in(*, secret: str, email: str, password: str, at: datetime) -> None:
    """This will use up an invitation, and let the invited member sign in with her own words.

    An email that is not hers to take is answered like an invitation that never was, and leaves it
    as it is: but a few times only, since each one tells that such an email is known here. Raises
    `Unknown`, and `BadDocument` for a weak password.
    """
    sign_in.check(password)
    with transaction.atomic():
        row, scope = _held(secret, at)
        try:
            sign_in.give(scope, member_id=row.member_id, email=email, password=password, at=at)
        except sign_in.Taken:
            row.refused += 1
            row.save(update_fields=["refused"])
            taken = True
        else:
            _use_up(row, scope, at)
            taken = False
    if taken:
        raise Unknown(NONE)


def _held(secret, at):
    """An invitation that may be used, and the scope of whom it invites. Raises `Unknown`."""
    same = Invitation.objects.filter(secret_hash=_hash(secret))
    invited = ONE_AFTER_THE_OTHER.filter(id__in=same.values("member_id")).first()
    # Read after that: of two who come with one secret the second finds it used.
    row = same.filter(used_at__isnull=True, expires_at__gt=at, refused__lt=REFUSALS).first()
    if row is None or not _holds(row, invited, at):
        raise Unknown(NONE)
    return row, scope_of_member(member_id=row.member_id, now=at, early=True)


def _use_up(row, scope, at):
    row.used_at = at
    row.save(update_fields=["used_at"])
    record(scope, what="accept_invitation", at=at, about=row.member_id, invitation=str(row.id))


def _need_right(scope, row):
    """Raise `NotAllowed` unless she may have that member's token made."""
    scope.need_teacher("inviting")
    if RANK(row.role) < RANK(scope.role):
        raise NotAllowed("inviting: a role above one's own")
    studios = row.studios.filter(ended_at__isnull=True).values_list("studio_id", flat=True)
    # An account comes with the first token and stays.
    if not scope.is_head and (row.account_id or not scope.studio_ids.issuperset(studios)):
        raise NotAllowed(f"inviting {BEYOND}")


def _holds(row, invited, at):
    """Whether the invited may ask, today or later, and her inviter might still invite her."""
    try:
        scope_of_member(member_id=invited.id, now=at, early=True)
        inviter = scope_of_member(member_id=row.invited_by_id, now=at)
        staff.member(inviter, member_id=invited.id, at=at)
        _need_right(inviter, invited)
    except (SignedOut, Unknown, NotAllowed):
        return False
    return True


def _hash(secret):
    return hashlib.sha256(secret.encode()).hexdigest()
