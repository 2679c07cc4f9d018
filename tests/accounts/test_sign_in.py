"""Whose account an email and a password open, and what a school may not open with them."""

from datetime import timedelta

import pytest

from accounts import sign_in, tokens
from accounts.faults import BadDocument
from accounts.models import Account, Event, Member, Token
from accounts.scope import SignedOut
from accounts.sign_in import OtherMember, Taken
from tests.factories import AT, MemberFactory, every_row, scope

pytestmark = pytest.mark.django_db
EMAIL, OTHER_EMAIL = "tendai@lantern.example", "bram@lantern.example"
PASSWORD, OTHER = "five cold lanterns", "six warm kettles"


@pytest.fixture
def member(db):
    return MemberFactory(name="Tendai R.")


def give(member, email=EMAIL, password=PASSWORD, **said):
    sign_in.give(scope(member), member_id=member.id, email=email, password=password, at=AT, **said)
    member.refresh_from_db()
    return member.account


def is_taken(member, email=EMAIL, password=PASSWORD, **said):
    before = every_row()
    with pytest.raises(Taken) as caught:
        give(member, email, password, **said)
    assert every_row() == before
    return str(caught.value)


def opens(account, password):
    return Account.objects.get(id=account.id).check_password(password)


def test_an_email_that_nobody_has_begins_an_account(member):
    account = give(member, "Tendai@Lantern.Example")
    assert (account.email, account.check_password(PASSWORD)) == (EMAIL, True)
    event = Event.objects.get()
    assert (event.what, event.about, event.details) == ("give_sign_in", member.id, {})
    assert PASSWORD not in str(every_row())


def test_an_account_that_had_tokens_alone_is_signed_in_with_from_now_on(member):
    tokens.issue(scope(member), member_id=member.id, at=AT)
    before = Account.objects.get()
    assert give(member) == before
    assert Token.objects.get().user == before


def test_a_new_password_and_a_new_email_replace_the_old(member):
    account = give(member)
    assert give(member, password=OTHER) == account
    assert not opens(account, PASSWORD)
    assert give(member, email=OTHER_EMAIL, password=OTHER) == account
    assert Account.objects.get().email == OTHER_EMAIL


def test_with_both_of_an_account_it_asks_for_her_too(member):
    account = give(member)
    elsewhere = MemberFactory(name="T. R.")
    tokens.issue(scope(elsewhere), member_id=elsewhere.id, at=AT)
    assert give(elsewhere) == account
    assert Account.objects.get() == account  # the one that had her token alone is gone
    assert Token.objects.get().user == account


def test_what_one_school_hands_out_opens_no_door_of_another(member):
    """A head teacher may invite one of hers anew, and could use the invitation herself."""
    account = give(member)
    elsewhere = MemberFactory()
    give(elsewhere)
    said = is_taken(elsewhere, password=OTHER)
    assert said == "the email stands for somebody else of the school, or has another password"
    assert opens(account, PASSWORD)
    # With another email she gets an account of that school's own.
    assert give(elsewhere, email=OTHER_EMAIL, password=OTHER) != account
    assert (opens(account, PASSWORD), opens(account, OTHER)) == (True, False)
    assert Account.objects.get(id=account.id).email == EMAIL
    # Now each is asked for by one school again.
    assert give(member, password=OTHER) == account
    assert opens(account, OTHER)


def test_an_email_of_somebody_else_is_not_taken_over(member):
    account = give(member)
    colleague = MemberFactory(school=member.school)
    for password in (OTHER, PASSWORD):  # one account is one of the staff of a school
        is_taken(colleague, password=password)
        is_taken(colleague, password=password, by_operator=True)
    is_taken(MemberFactory(), password=OTHER)
    assert Account.objects.get() == account


def test_an_operator_gives_a_new_password_whoever_is_asked_for(member):
    account = give(member)
    give(MemberFactory())
    assert give(member, password=OTHER, by_operator=True) == account
    assert opens(account, OTHER)


def test_who_was_quicker_with_an_email_keeps_it(member, monkeypatch):
    """The unique column decides, where two have both seen that nobody has it."""
    account = give(MemberFactory())
    monkeypatch.setattr("accounts.sign_in.Account.objects.select_for_update", Account.objects.none)
    is_taken(member)
    assert Account.objects.get() == account


@pytest.mark.parametrize(
    ("password", "said"),
    [
        ("eleven char", ["is too short. It must contain at least 12 characters."]),
        ("password1234", ["is too common."]),
        ("192837465564738291", ["is entirely numeric."]),
        ("123", ["at least 12 characters.", "is too common.", "is entirely numeric."]),
    ],
)
def test_a_weak_password_is_told_at_its_place(member, password, said):
    before = every_row()
    with pytest.raises(BadDocument) as caught:
        give(member, password=password)
    assert [fault.place for fault in caught.value.faults] == ["/password"] * len(said)
    for fault, text in zip(caught.value.faults, said, strict=True):
        assert text in fault.message
    assert every_row() == before


def test_whom_an_account_asks_for(member):
    account = give(member)
    found = {"account_id": account.id, "now": AT}
    assert sign_in.scope_of_account(**found, member_id=None) == scope(member)
    assert sign_in.scope_of_account(**found, member_id=member.id) == scope(member)
    with pytest.raises(OtherMember):
        sign_in.scope_of_account(**found, member_id=MemberFactory().id)
    Member.objects.filter(id=member.id).update(until=AT.date() - timedelta(days=1))
    with pytest.raises(SignedOut):
        sign_in.scope_of_account(**found, member_id=None)
    late = sign_in.scope_of_account(**found, member_id=None, late=True)
    assert (late.member_id, late.studio_ids) == (member.id, frozenset())
    assert [one.ended for one in sign_in.memberships(**found)] == [True]
