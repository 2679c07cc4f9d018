"""How long tokens and invitations are kept, with a clock that moves over each boundary."""

from datetime import timedelta

import pytest
import time_machine

from accounts import invitations, retention, tokens
from accounts.models import Event, Invitation, Token
from accounts.scope import scope_of_school
from tests import factories
from tests.factories import AT

NOTHING = {"tokens": 0, "invitations": 0}
ISSUED, INVITED = timedelta(days=tokens.TOKEN_DAYS), timedelta(days=invitations.DAYS)
TICK = timedelta(seconds=1)


def head_of(name):
    """The scope of a head teacher who has a token and has invited herself."""
    school = factories.SchoolFactory(name=name)
    head = factories.scope(factories.MemberFactory(school=school, name="Marit O."))
    with time_machine.travel(AT, tick=False):
        tokens.issue(head, member_id=head.member_id, at=AT)
    invitations.invite(head, member_id=head.member_id, at=AT)
    return head


@pytest.fixture
def job(db):
    return scope_of_school(school_id=head_of("Orrowmere School of Dance").school_id)


def test_a_token_goes_when_it_has_run_out(job):
    Invitation.objects.all().delete()
    assert retention.retain(job, now=AT + ISSUED - TICK) == NOTHING
    assert retention.retain(job, now=AT + ISSUED) == NOTHING | {"tokens": 1}
    assert not Token.objects.exists()


def test_an_invitation_goes_seven_days_after_it_has_run_out(job):
    last = AT + INVITED + timedelta(days=7)
    assert retention.retain(job, now=last - TICK) == NOTHING
    assert retention.retain(job, now=last) == NOTHING | {"invitations": 1}
    assert not Invitation.objects.exists()


def test_the_event_holds_counts_and_no_member(job):
    now = AT + timedelta(days=100)
    for _ in range(2):
        retention.retain(job, now=now)
    event = Event.objects.get(what="retain_accounts")
    assert (event.member_id, event.about, event.at) == (None, None, now)
    assert event.details == {"tokens": 1, "invitations": 1}


def test_another_school_keeps_what_is_its_own(job):
    head_of("Another School")
    retention.retain(job, now=AT + timedelta(days=100))
    assert (Token.objects.count(), Invitation.objects.count()) == (1, 1)
