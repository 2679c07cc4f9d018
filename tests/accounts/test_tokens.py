from datetime import timedelta
from uuid import uuid4

import pytest
from knox.crypto import hash_token

from accounts import tokens
from accounts.models import Account, Event, Token
from accounts.scope import Conflict, NotAllowed, Unknown
from tests.factories import AT, MemberFactory, SchoolFactory, StudioFactory, every_row, scope

pytestmark = pytest.mark.django_db


@pytest.fixture
def studio(db):
    return StudioFactory(school=SchoolFactory())


@pytest.fixture
def head(studio):
    return MemberFactory(school=studio.school)


@pytest.fixture
def teacher(studio):
    return MemberFactory(school=studio.school, role="teacher", studios=[studio])


def issue(by, member, at=AT):
    return tokens.issue(scope(by), member_id=member.id, at=at)


def test_only_a_hash_of_a_token_is_kept(head, teacher):
    text = issue(head, teacher)
    row = Token.objects.get()
    assert row.digest == hash_token(text)
    assert (row.member_id, row.school_id) == (teacher.id, teacher.school_id)
    assert row.expiry == AT + timedelta(days=90)
    assert text not in str(every_row())
    event = Event.objects.get()
    assert (event.what, event.about, event.member_id) == ("issue_token", teacher.id, head.id)


def test_a_member_has_one_account_and_many_tokens(head, teacher):
    assert issue(head, teacher) != issue(teacher, teacher)
    account = Account.objects.get()
    assert {row.user_id for row in Token.objects.all()} == {account.id}
    assert (account.email, account.has_usable_password()) == (None, False)


def test_a_token_is_for_oneself_and_a_head_teacher_makes_all(head, teacher, studio):
    assistant = MemberFactory(school=studio.school, role="assistant", studios=[studio])
    assert issue(assistant, assistant)
    with pytest.raises(NotAllowed, match="a token for somebody else: a head teacher's right"):
        issue(teacher, assistant)
    with pytest.raises(NotAllowed):
        issue(assistant, head)


def test_whom_one_cannot_see_is_nobody(head, teacher):
    elsewhere = MemberFactory(school=head.school, role="teacher", studios=[])
    foreign = MemberFactory()
    for by, member in ((teacher, elsewhere), (head, foreign), (teacher, foreign)):
        with pytest.raises(Unknown, match="nobody of that id is on the staff"):
            issue(by, member)
        with pytest.raises(Unknown, match="nobody of that id is on the staff"):
            tokens.withdraw(scope(by), member_id=member.id, at=AT)
    with pytest.raises(Unknown):
        tokens.issue(scope(head), member_id=uuid4(), at=AT)
    assert not Token.objects.exists()


def test_whose_access_was_taken_away_gets_none(head, studio):
    gone = MemberFactory(school=studio.school, name="Pilar G.", revoked_at=AT)
    with pytest.raises(Conflict, match=r"the access of Pilar G\. was taken away"):
        issue(head, gone)
    assert not Token.objects.exists()


def test_all_tokens_of_one_end_at_once(head, teacher):
    issue(head, teacher), issue(teacher, teacher), issue(head, head)
    assert tokens.withdraw(scope(head), member_id=teacher.id, at=AT) == 2
    assert [row.member_id for row in Token.objects.all()] == [head.id]
    event = Event.objects.get(what="withdraw_tokens")
    assert (event.about, event.details) == (teacher.id, {"tokens": 2})
    assert tokens.withdraw(scope(teacher), member_id=teacher.id, at=AT) == 0
    with pytest.raises(NotAllowed, match="withdrawing somebody else's tokens"):
        tokens.withdraw(scope(teacher), member_id=head.id, at=AT)


def test_signing_out_ends_the_one_token_that_asks(head, teacher):
    text, kept, others = issue(teacher, teacher), issue(teacher, teacher), issue(head, head)
    tokens.sign_out(scope(teacher), text=text, at=AT)
    digests = {row.digest for row in Token.objects.all()}
    assert digests == {hash_token(kept), hash_token(others)}
    tokens.sign_out(scope(teacher), text=others, at=AT)
    tokens.sign_out(scope(teacher), text=text, at=AT)
    assert Token.objects.count() == 2
    assert Event.objects.filter(what="sign_out", about=teacher.id).count() == 1
