"""Two at one invitation, or at one member's first token, at the same moment."""

from datetime import timedelta

import pytest
from django.db import connection

from accounts import invitations, staff, tokens
from accounts.models import Account, Invitation, Token
from accounts.scope import SignedOut, Unknown, scope_of_member
from tests.at_once import at_once
from tests.factories import AT, MemberFactory, StudioFactory, scope

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite has one writer at a time"),
]


@pytest.fixture
def teacher():
    studio = StudioFactory()
    return MemberFactory(school=studio.school, role="teacher", studios=[studio])


@pytest.fixture
def head(teacher):
    return scope(MemberFactory(school=teacher.school))


@pytest.fixture
def invite(head, teacher):
    def call():
        return invitations.invite(head, member_id=teacher.id, at=AT).secret

    return call


def accept(secret):
    try:
        return invitations.accept(secret=secret, at=AT)
    except Unknown:
        return None


def test_of_eight_who_come_with_one_secret_one_gets_a_token(invite):
    secret = invite()
    found = at_once(*[lambda: accept(secret)] * 8)
    assert sorted(map(type, found), key=str) == [type(None)] * 7 + [str]
    assert Token.objects.count() == Account.objects.count() == 1


def test_of_six_invitations_one_is_open(invite):
    secrets = at_once(*[invite] * 6)
    assert Invitation.objects.filter(used_at=None, expires_at__gt=AT).count() == 1
    assert len([secret for secret in secrets if accept(secret)]) == 1


@pytest.mark.parametrize("n", range(5))
def test_one_comes_while_another_is_made(invite, n):
    first = invite()
    token, second = at_once(lambda: accept(first), invite)
    assert (token is None or type(token) is str) and type(second) is str, (token, second)
    assert accept(second)
    assert Token.objects.count() == (1 if token is None else 2)


@pytest.mark.parametrize("n", range(5))
def test_one_comes_while_her_access_is_taken_away(invite, head, teacher, n):
    secret = invite()
    token, gone = at_once(
        lambda: accept(secret), lambda: staff.revoke(head, member_id=teacher.id, at=AT)
    )
    assert (token is None or type(token) is str) and gone.revoked_at == AT, (token, gone)
    assert not Token.objects.exists()
    with pytest.raises(SignedOut):
        scope_of_member(member_id=teacher.id, now=AT + timedelta(minutes=1))


def test_of_eight_first_tokens_all_are_of_one_account(head, teacher):
    found = at_once(*[lambda: tokens.issue(head, member_id=teacher.id, at=AT)] * 8)
    assert len(set(found)) == 8
    assert Token.objects.count() == 8
    account = Account.objects.get()
    assert set(Token.objects.values_list("user_id", flat=True)) == {account.id}
