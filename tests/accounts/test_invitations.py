import hashlib
from datetime import UTC, date, datetime, timedelta

import pytest
from knox.crypto import hash_token

from accounts import invitations, staff, tokens
from accounts.faults import BadDocument
from accounts.models import Event, Invitation, Member, Token
from accounts.scope import Conflict, NotAllowed, SignedOut, Unknown, scope_of_member
from tests.factories import AT, MemberFactory, SchoolFactory, StudioFactory, every_row, scope

pytestmark = pytest.mark.django_db
LATER = AT + timedelta(hours=1)


@pytest.fixture
def studios(db):
    school = SchoolFactory()
    return [StudioFactory(school=school) for _ in range(2)]


@pytest.fixture
def people(studios):
    """Two head teachers, teachers at the first studio, an assistant there, one at the second."""
    school, [here, there] = studios[0].school, studios
    return {
        "head": MemberFactory(school=school),
        "other head": MemberFactory(school=school),
        "teacher": MemberFactory(school=school, role="teacher", studios=[here]),
        "other teacher": MemberFactory(school=school, role="teacher", studios=[here]),
        "assistant": MemberFactory(school=school, role="assistant", studios=[here]),
        "elsewhere": MemberFactory(school=school, role="assistant", studios=[there]),
        "foreign": MemberFactory(),
    }


@pytest.fixture
def invite(people):
    def make(by, member, at=AT):
        return invitations.invite(scope(people[by]), member_id=people[member].id, at=at)

    return make


def accept(secret, at=LATER):
    return invitations.accept(secret=secret, at=at)


def is_refused(secret, at=LATER):
    """Whether it is answered as one that never was, and changes nothing."""
    before = every_row()
    with pytest.raises(Unknown) as caught:
        accept(secret, at)
    assert every_row() == before
    return str(caught.value) == "no such invitation"


def change(people, who, **said):
    by = people["other head" if who == "head" else "head"]
    staff.change(scope(by), member_id=people[who].id, said=said, at=AT)


def test_it_gives_a_token_of_whom_it_was_made_for(invite, people):
    invited = invite("teacher", "assistant")
    assert invited.expires_at == AT + timedelta(days=7)
    text = accept(invited.secret)
    row = Token.objects.get()
    assert (row.digest, row.member_id) == (hash_token(text), people["assistant"].id)
    found = scope_of_member(member_id=row.member_id, now=LATER)
    assert (found.role, len(found.studio_ids)) == ("assistant", 1)
    assert Invitation.objects.get().used_at == LATER
    told = {event.what: (event.member_id, event.about) for event in Event.objects.all()}
    invited_id = people["assistant"].id
    assert told == {
        "invite": (people["teacher"].id, invited_id),
        "accept_invitation": (invited_id, invited_id),
        "issue_token": (invited_id, invited_id),
    }


def test_the_secret_has_256_bits_and_only_its_hash_is_kept(invite):
    secret = invite("head", "assistant").secret
    assert len(secret) == 43
    assert Invitation.objects.get().secret_hash == hashlib.sha256(secret.encode()).hexdigest()
    assert secret not in str(every_row())


def test_it_is_used_once(invite):
    secret = invite("head", "assistant").secret
    accept(secret)
    assert is_refused(secret)
    assert Token.objects.count() == 1


def test_it_holds_for_seven_days(invite):
    secret = invite("head", "assistant").secret
    end = AT + timedelta(days=7)
    assert is_refused(secret, end)
    assert accept(secret, end - timedelta(seconds=1))


def test_a_later_invitation_ends_the_one_before(invite):
    first, other = invite("head", "assistant").secret, invite("head", "teacher").secret
    second = invite("teacher", "assistant", LATER).secret
    assert is_refused(first)
    assert accept(second)
    assert accept(other)


@pytest.mark.parametrize("secret", ["", "x", "é" * 43, "a" * 5000, "\x00"])
def test_one_that_never_was(invite, secret):
    invite("head", "assistant")
    assert is_refused(secret)


@pytest.mark.parametrize(
    ("by", "member"),
    [
        ("head", "other head"),
        ("head", "elsewhere"),
        ("teacher", "other teacher"),
        ("teacher", "teacher"),
    ],
)
def test_who_may_invite_whom(invite, by, member):
    assert accept(invite(by, member).secret)


@pytest.mark.parametrize(
    ("by", "member", "error", "said"),
    [
        ("teacher", "head", NotAllowed, "inviting: a role above one's own"),
        ("assistant", "assistant", NotAllowed, "inviting: a teacher's right, not an assistant's"),
        ("assistant", "teacher", NotAllowed, "inviting: a teacher's right, not an assistant's"),
        ("teacher", "elsewhere", Unknown, "nobody of that id is on the staff"),
        ("head", "foreign", Unknown, "nobody of that id is on the staff"),
        ("assistant", "elsewhere", Unknown, "nobody of that id is on the staff"),
    ],
)
def test_who_may_not(invite, by, member, error, said):
    before = every_row()
    with pytest.raises(error) as caught:
        invite(by, member)
    assert str(caught.value) == said
    assert every_row() == before


def beyond(invite, who="assistant"):
    """A teacher is refused in the same words, whether it is for a studio or for a token."""
    before = every_row()
    with pytest.raises(NotAllowed) as caught:
        invite("teacher", who)
    assert every_row() == before
    return str(caught.value) == (
        "inviting somebody who has had a token, or has a studio beyond one's own: a head teacher's"
        " right"
    )


@pytest.mark.parametrize("who", ["assistant", "other teacher"])
def test_a_teacher_invites_for_no_studio_that_is_not_hers(invite, people, studios, who):
    change(people, who, studios=[studio.id for studio in studios])
    assert beyond(invite, who)
    assert accept(invite("head", who).secret)


def test_a_studio_that_is_lost_bars_nobody(invite, people, studios):
    change(people, "assistant", studios=[studio.id for studio in studios])
    change(people, "assistant", studios=[studios[0].id])
    assert accept(invite("teacher", "assistant").secret)


@pytest.mark.parametrize("how", ["invitation", "token", "a token that was withdrawn"])
def test_a_head_teacher_alone_invites_whoever_has_had_a_token(invite, people, how):
    member_id, head = people["assistant"].id, scope(people["head"])
    if how == "invitation":
        accept(invite("teacher", "assistant").secret)
    else:
        tokens.issue(head, member_id=member_id, at=AT)
    if how == "a token that was withdrawn":
        tokens.withdraw(head, member_id=member_id, at=AT)
    assert beyond(invite)
    assert accept(invite("head", "assistant").secret)


def test_whose_access_was_taken_away_is_not_invited(invite, people):
    staff.revoke(scope(people["head"]), member_id=people["assistant"].id, at=AT)
    with pytest.raises(Conflict, match="was taken away"):
        invite("head", "assistant")
    with pytest.raises(Unknown):
        invite("teacher", "assistant")


# -- void, because the inviter has lost the right ------------------------------------------------


def test_void_when_the_inviters_access_was_taken_away(invite, people):
    secret = invite("teacher", "assistant").secret
    staff.revoke(scope(people["head"]), member_id=people["teacher"].id, at=AT)
    assert is_refused(secret)


def test_void_when_the_inviters_access_has_ended_by_itself(invite, people):
    change(people, "teacher", until=date(2026, 3, 12))
    secret = invite("teacher", "assistant").secret
    assert is_refused(secret, AT + timedelta(days=2))
    assert accept(secret, AT + timedelta(days=1))


def test_void_when_the_inviter_became_an_assistant(invite, people):
    secret = invite("teacher", "assistant").secret
    change(people, "teacher", role="assistant")
    assert is_refused(secret)


def test_void_when_the_invited_has_a_role_above_the_inviters_by_now(invite, people, studios):
    secret = invite("head", "other head").secret
    lifted = invite("teacher", "other teacher").secret
    change(people, "head", role="teacher", studios=[studio.id for studio in studios])
    assert is_refused(secret)
    Member.objects.filter(id=people["other teacher"].id).update(role="head_teacher")
    assert is_refused(lifted)


def test_void_when_they_share_no_studio_any_more(invite, people, studios):
    secrets = [invite("teacher", who).secret for who in ("assistant", "other teacher")]
    change(people, "teacher", studios=[studios[1].id])
    assert all(is_refused(secret) for secret in secrets)


def test_void_when_the_invited_has_studios_beyond_the_inviters_by_now(invite, people, studios):
    secret = invite("teacher", "assistant").secret
    change(people, "assistant", studios=[studio.id for studio in studios])
    assert is_refused(secret)


def test_void_when_the_invited_got_a_token_otherwise(invite, people):
    secret = invite("teacher", "assistant").secret
    tokens.issue(scope(people["head"]), member_id=people["assistant"].id, at=AT)
    assert is_refused(secret)


def test_void_while_the_inviter_would_not_see_the_invited_yet(invite, people):
    secret = invite("teacher", "assistant").secret
    change(people, "assistant", from_date=date(2026, 3, 14))
    assert is_refused(secret)
    assert accept(secret, AT + timedelta(days=4))


def test_it_holds_while_the_inviter_keeps_enough_of_her_right(invite, people, studios):
    secret = invite("head", "assistant").secret
    change(people, "head", role="teacher", studios=[studios[0].id])
    assert accept(secret)


# -- void, because the invited may not ask -------------------------------------------------------


def test_void_when_the_invited_has_lost_her_own_access(invite, people):
    taken, ended = invite("head", "assistant").secret, invite("head", "teacher").secret
    staff.revoke(scope(people["head"]), member_id=people["assistant"].id, at=AT)
    change(people, "teacher", until=date(2026, 3, 10))
    assert is_refused(taken)
    assert is_refused(ended)


def test_before_her_first_day_it_gives_a_token_that_asks_from_then_on(invite, people):
    change(people, "assistant", from_date=date(2026, 3, 20))
    assert accept(invite("head", "assistant").secret)
    token = Token.objects.get()
    with pytest.raises(SignedOut):
        scope_of_member(member_id=token.member_id, now=LATER)
    first_day = datetime(2026, 3, 20, 9, tzinfo=UTC)
    assert scope_of_member(member_id=token.member_id, now=first_day).role == "assistant"


class TestSigningIn:
    """With an email and a password; `tests/accounts/test_sign_in.py` says whose may be taken."""

    EMAIL, PASSWORD = "aroha@lantern.example", "five cold lanterns"

    def accept(self, secret, email=EMAIL, password=PASSWORD, at=LATER):
        invitations.accept_sign_in(secret=secret, email=email, password=password, at=at)

    def refused(self, secret, **said):
        with pytest.raises(Unknown) as caught:
            self.accept(secret, **said)
        return str(caught.value) == "no such invitation"

    def test_it_is_used_up(self, people, invite):
        secret = invite("head", "assistant").secret
        self.accept(secret)
        member = Member.objects.get(id=people["assistant"].id)
        assert (member.account.email, Token.objects.exists()) == (self.EMAIL, False)
        kinds = ["invite", "give_sign_in", "accept_invitation"]
        assert [event.what for event in Event.objects.order_by("id")] == kinds
        assert self.refused(secret)
        assert is_refused(secret)

    def test_a_weak_password_leaves_it_as_it_is(self, people, invite):
        secret = invite("head", "assistant").secret
        before = every_row()
        for told in (secret, "of nobody"):
            with pytest.raises(BadDocument):
                self.accept(told, password="short")
        assert every_row() == before
        self.accept(secret)

    def test_an_email_of_others_is_answered_like_a_secret_of_nobody(self, people, invite):
        self.accept(invite("head", "teacher").secret)
        secret = invite("head", "assistant").secret
        for _ in range(4):
            assert self.refused(secret, password="six warm kettles")
            assert Invitation.objects.filter(used_at=None).count() == 1
        self.accept(secret, email="mine@lantern.example")

    def test_so_a_few_times_only_is_told_which_emails_are_known(self, people, invite):
        self.accept(invite("head", "teacher").secret)
        secret = invite("head", "assistant").secret
        assert [self.refused(secret, password="six warm kettles") for _ in range(5)] == [True] * 5
        assert self.refused(secret, email="mine@lantern.example")
        assert is_refused(secret)
        self.accept(invite("head", "assistant").secret, email="mine@lantern.example")

    def test_before_her_first_day(self, people, invite):
        change(people, "assistant", from_date=(AT + timedelta(days=20)).date())
        self.accept(invite("head", "assistant").secret)
        assert Member.objects.get(id=people["assistant"].id).account.email == self.EMAIL

    def test_whom_an_inviter_might_not_invite_any_more_does_not_sign_in(self, people, invite):
        secret = invite("teacher", "assistant").secret
        staff.revoke(scope(people["head"]), member_id=people["teacher"].id, at=AT)
        before = every_row()
        assert self.refused(secret)
        assert every_row() == before
