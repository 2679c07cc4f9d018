"""Tokens: a program's key to ask as one member. Only a hash of it is kept."""

from datetime import datetime, timedelta
from uuid import UUID

from django.db import transaction

from accounts.events import record
from accounts.models import Account, Member, Token
from accounts.scope import Scope, Unknown

TOKEN_DAYS = 90


def issue(scope: Scope, *, member_id: UUID, at: datetime) -> str:
    """This will make a token with which a program may ask as a member for ninety days.

    A head teacher does so for anyone, others for themselves. The token is shown here once. Raises
    `NotAllowed`, `Unknown`.
    """
    if member_id != scope.member_id:
        scope.need_head("a token for somebody else")
    with transaction.atomic():
        member = _member(scope, member_id)
        if member.account is None:
            member.account = Account.objects.create_user()
            member.save(update_fields=["account"])
        _, text = Token.objects.create(
            member.account,
            expiry=timedelta(days=TOKEN_DAYS),
            school_id=scope.school_id,
            member=member,
        )
        record(scope, what="issue_token", at=at, about=member.id)
    return text


def withdraw(scope: Scope, *, member_id: UUID, at: datetime) -> int:
    """This will end all tokens of a member at once; how many. Raises `NotAllowed`, `Unknown`."""
    if member_id != scope.member_id:
        scope.need_head("withdrawing somebody else's tokens")
    with transaction.atomic():
        member = _member(scope, member_id)
        count, _ = Token.objects.filter(school_id=scope.school_id, member=member).delete()
        record(scope, what="withdraw_tokens", at=at, about=member.id, tokens=count)
    return count


def _member(scope, member_id):
    found = Member.objects.filter(
        school_id=scope.school_id, id=member_id, revoked_at__isnull=True
    ).first()
    if found is None:
        raise Unknown("nobody of that id is on the staff")
    return found
