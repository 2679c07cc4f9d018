"""Signing in: the email and password of an account, and for whom it may then ask."""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from accounts.events import record
from accounts.faults import BadDocument, Fault
from accounts.models import Account, Member, Token
from accounts.names import alphabetical
from accounts.scope import Conflict, Scope, SignedOut, scope_now

TAKEN = "the email stands for somebody else of the school, or has another password"


class Taken(Conflict):
    """The email stands for somebody else here, or for an account with another password."""


class OtherMember(Conflict):
    """The account does not ask for that member, or for several and it was not said for whom."""

    code = "other_member"


@dataclass(frozen=True)
class Membership:
    """For whom an account asks; with `ended` she can hand in what she has left, and no more."""

    member_id: UUID
    name: str
    role: str
    school_id: UUID
    school_name: str
    until: date | None
    ended: bool


@dataclass(frozen=True)
class Beginning:
    """A school for which an account asks from a day on that is still to come."""

    school_name: str
    from_date: date


def check(password: str) -> None:
    """Raise `BadDocument` for a password that is too short or one of the usual ones."""
    try:
        validate_password(password)
    except ValidationError as error:
        raise BadDocument(Fault("/password", text) for text in error.messages) from None


def give(
    scope: Scope,
    *,
    member_id: UUID,
    email: str,
    password: str,
    at: datetime,
    by_operator: bool = False,
) -> None:
    """This will let a member sign in with an email and a password.

    An account that has both already asks for her too. A new password replaces the old one of her
    own account where that asks for nobody else, since what one school hands out should open no
    door of another; an operator may do so all the same. Raises `BadDocument` and `Taken`.
    """
    check(password)
    try:
        with transaction.atomic():
            member = Member.objects.select_for_update(no_key=True).get(
                school_id=scope.school_id, id=member_id
            )
            before = member.account
            member.account = _account(member, email.lower(), password, by_operator)
            member.save(update_fields=["account"])
            if before is not None and before != member.account:
                rows = Token.objects.filter(school_id=scope.school_id, member=member)
                rows.update(user=member.account)
                if not Member.objects.filter(account=before).exists():
                    before.delete()
            record(scope, what="give_sign_in", at=at, about=member_id)
    except IntegrityError:  # somebody else was quicker with that email
        raise Taken(TAKEN) from None


def _account(member, email, password, by_operator):
    """Whichever it turns out to be, one password is hashed: the time it takes tells nothing."""
    own = member.account
    found = Account.objects.select_for_update().filter(email=email).first()
    hers = own is not None and (by_operator or not _others(own, member).exists())
    if found is None and not hers:
        return Account.objects.create_user(email, password)
    if found is not None and (found != own or not hers):
        right = found.check_password(password)
        if not right or _others(found, member).filter(school_id=member.school_id).exists():
            raise Taken(TAKEN)
        return found
    own.email = email
    own.set_password(password)
    own.save(update_fields=["email", "password"])
    return own


def _others(account, member):
    return Member.objects.filter(account=account).exclude(id=member.id)


def memberships(*, account_id: UUID, now: datetime) -> tuple[Membership, ...]:
    """This will list for whom an account asks, by the names of school and member."""
    found = (
        Membership(
            member_id=row.id,
            name=row.name,
            role=row.role,
            school_id=row.school_id,
            school_name=row.school.name,
            until=row.until,
            ended=_scope(row, now) is None,
        )
        for row in _members(account_id)
        if _scope(row, now, late=True)
    )
    return tuple(
        sorted(found, key=lambda one: (alphabetical(one.school_name), alphabetical(one.name)))
    )


def beginnings(*, account_id: UUID, now: datetime) -> tuple[Beginning, ...]:
    """This will list for which schools an account will ask, by their first days."""
    found = (
        Beginning(school_name=row.school.name, from_date=row.from_date)
        for row in _members(account_id).filter(from_date__isnull=False)
        if _scope(row, now, early=True) and not _scope(row, now)
    )
    return tuple(sorted(found, key=lambda one: (one.from_date, alphabetical(one.school_name))))


def scope_of_account(
    *, account_id: UUID, member_id: UUID | None, now: datetime, late: bool = False
) -> Scope:
    """This will find the scope in which a signed-in account asks.

    `member_id` says for whom; None is enough where she is the only one whose access holds. `late`
    is as for `scope_of_member`. Raises `OtherMember` and `SignedOut`.
    """
    rows = _members(account_id)
    if member_id is not None:
        row = rows.filter(id=member_id).first()
        if row is None:
            raise OtherMember("Somebody else is signed in here: this account does not ask for her.")
        return scope_now(row, now=now, late=late)
    found = [scope for row in rows if (scope := _scope(row, now))]
    if late and not found:
        found = [scope for row in rows if (scope := _scope(row, now, late=True))]
    if not found:
        raise SignedOut("the account asks for nobody today")
    if len(found) > 1:
        raise OtherMember("This account asks for several: say for whom in the header X-Member.")
    return found[0]


def _members(account_id):
    return Member.objects.select_related("school").filter(account_id=account_id)


def _scope(row, now, **which) -> Scope | None:
    try:
        return scope_now(row, now=now, **which)
    except SignedOut:
        return None
