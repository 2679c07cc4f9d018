"""Tokens: a program's key to ask as one member. Only a hash of it is kept."""

from datetime import datetime, timedelta
from uuid import UUID

from django.db import transaction
from knox.crypto import hash_token
from knox.models import get_digest_token
from knox.settings import CONSTANTS

from accounts import staff
from accounts.events import record
from accounts.models import Account, Member, Token
from accounts.scope import Conflict, Scope, SignedOut, scope_now

TOKEN_DAYS = 90


def issue(scope: Scope, *, member_id: UUID, at: datetime) -> str:
    """This will make a token with which a program may ask as a member for ninety days.

    A head teacher does so for anyone, others for themselves. The token is shown here once. Raises
    `NotAllowed`, `Unknown`, and `Conflict` for one whose access was taken away.
    """
    found = staff.member(scope, member_id=member_id, at=at)
    if member_id != scope.member_id:
        scope.need_head("a token for somebody else")
    if found.revoked_at:
        raise Conflict(f"the access of {found.name} was taken away")
    digest, text = get_digest_token()
    with transaction.atomic():
        # Two first tokens at once would make two accounts.
        member = Member.objects.select_for_update(no_key=True).get(
            school_id=scope.school_id, id=member_id
        )
        if member.account is None:
            member.account = Account.objects.create_user()
            member.save(update_fields=["account"])
        # The manager of the library would count the days by a clock of its own.
        Token(
            digest=digest,
            token_key=text[: CONSTANTS.TOKEN_KEY_LENGTH],
            user=member.account,
            expiry=at + timedelta(days=TOKEN_DAYS),
            school_id=scope.school_id,
            member=member,
        ).save(force_insert=True)
        record(scope, what="issue_token", at=at, about=member_id)
    return text


def holder(*, text: str, now: datetime, late: bool = False) -> tuple[Account, Scope]:
    """This will find who asks with a token: her account and her scope.

    `late` is as for `scope_of_member`. Raises `SignedOut`.
    """
    rows = Token.objects.select_related("user", "member__school")
    try:
        found = rows.get(digest=hash_token(text))
    except Token.DoesNotExist:
        raise SignedOut("Invalid token.") from None
    if found.expiry <= now or not found.user.is_active:
        raise SignedOut("Invalid token.")
    return found.user, scope_now(found.member, now=now, late=late)


def withdraw(scope: Scope, *, member_id: UUID, at: datetime) -> int:
    """This will end all tokens of a member at once; how many. Raises `NotAllowed`, `Unknown`."""
    staff.member(scope, member_id=member_id, at=at)
    if member_id != scope.member_id:
        scope.need_head("withdrawing somebody else's tokens")
    with transaction.atomic():
        rows = Token.objects.filter(school_id=scope.school_id, member_id=member_id)
        count, _ = rows.delete()
        record(scope, what="withdraw_tokens", at=at, about=member_id, tokens=count)
    return count


def sign_out(scope: Scope, *, text: str, at: datetime) -> None:
    """This will end the one token of her own with which a program asks."""
    with transaction.atomic():
        rows = Token.objects.filter(
            school_id=scope.school_id, member_id=scope.member_id, digest=hash_token(text)
        )
        if rows.delete()[0]:
            record(scope, what="sign_out", at=at, about=scope.member_id)
