from datetime import UTC, date, datetime, timedelta
from uuid import uuid4

import pytest

from accounts import staff
from accounts.models import MemberStudio
from accounts.scope import SignedOut, Unknown, ended, scope_of_member, scope_of_school
from tests.factories import AT, MemberFactory, SchoolFactory, StudioFactory, scope

pytestmark = pytest.mark.django_db
LAST = date(2026, 3, 10)
A_MINUTE = timedelta(minutes=1)
# Midnight after the last day, where the studio is.
ENDS = {
    "Pacific/Auckland": datetime(2026, 3, 10, 11, tzinfo=UTC),
    "Europe/Lisbon": datetime(2026, 3, 11, tzinfo=UTC),
    "Pacific/Honolulu": datetime(2026, 3, 11, 10, tzinfo=UTC),
}


def cover(*zones, **said):
    school = SchoolFactory()
    studios = [StudioFactory(school=school, zone=zone) for zone in zones]
    return MemberFactory(school=school, role="teacher", studios=studios, **said), studios


def signed_out(member, now, **options):
    with pytest.raises(SignedOut) as caught:
        scope_of_member(member_id=member.id, now=now, **options)
    return str(caught.value)


@pytest.mark.parametrize("zone", ENDS)
def test_a_cover_teacher_asks_until_her_last_day_has_ended_where_she_is(zone):
    member, [studio] = cover(zone, until=LAST)
    found = scope_of_member(member_id=member.id, now=ENDS[zone] - A_MINUTE)
    assert (found.member_id, found.role, found.studio_ids) == (member.id, "teacher", {studio.id})
    assert signed_out(member, ENDS[zone]) == "the access does not hold today"


@pytest.mark.parametrize("zone", ENDS)
def test_her_first_day_begins_where_she_is(zone):
    member, [studio] = cover(zone, from_date=LAST + timedelta(days=1))
    assert signed_out(member, ENDS[zone] - A_MINUTE) == "the access does not hold today"
    assert scope_of_member(member_id=member.id, now=ENDS[zone]).studio_ids == {studio.id}


@pytest.mark.parametrize("zone", ENDS)
def test_before_her_first_day_only_who_asks_for_it_is_told_what_it_will_be(zone):
    member, [studio] = cover(zone, from_date=LAST + timedelta(days=1), until=date(2026, 3, 20))
    for now in (AT - timedelta(days=90), ENDS[zone] - A_MINUTE):
        found = scope_of_member(member_id=member.id, now=now, early=True)
        assert (found.role, found.studio_ids) == ("teacher", {studio.id})
        signed_out(member, now)
    signed_out(member, AT + timedelta(days=20), early=True)


def test_with_studios_east_and_west_the_last_one_counts():
    member, studios = cover(*ENDS, until=LAST)
    late = ENDS["Pacific/Honolulu"]
    found = scope_of_member(member_id=member.id, now=late - A_MINUTE)
    assert found.studio_ids == {studio.id for studio in studios}
    signed_out(member, late)


def test_without_a_studio_the_day_in_utc_counts():
    member = MemberFactory(until=LAST)
    assert scope_of_member(member_id=member.id, now=datetime(2026, 3, 10, 23, 59, tzinfo=UTC))
    signed_out(member, datetime(2026, 3, 11, tzinfo=UTC))


@pytest.mark.parametrize("zone", ENDS)
def test_who_has_lost_her_access_hands_in_what_is_left_and_sees_nothing(zone):
    member, [studio] = cover(zone, until=LAST)
    for now in (ENDS[zone], ENDS[zone] + timedelta(days=3)):
        found = scope_of_member(member_id=member.id, now=now, late=True)
        assert (found.member_id, found.role) == (member.id, "teacher")
        assert (found.studio_ids, ended(found)) == (frozenset(), {studio.id: ENDS[zone]})


def test_whose_access_has_not_begun_has_nothing_to_hand_in():
    member, _ = cover("Europe/Lisbon", from_date=date(2026, 4, 1))
    assert signed_out(member, AT, late=True) == "the access does not hold today"


def test_what_was_taken_away_is_never_late():
    member, _ = cover("Europe/Lisbon", until=LAST, revoked_at=AT)
    assert signed_out(member, AT, late=True) == "the access was taken away"
    assert signed_out(member, AT) == "the access was taken away"


def test_nobody_is_signed_out():
    with pytest.raises(SignedOut):
        scope_of_member(member_id=uuid4(), now=AT)


def test_a_studio_that_was_taken_from_her_ends_at_that_moment():
    member, [harbour, mill] = cover("Europe/Lisbon", "Europe/Lisbon")
    head = scope(MemberFactory(school=member.school))
    staff.change(head, member_id=member.id, said={"studios": [harbour.id]}, at=AT)
    found = scope_of_member(member_id=member.id, now=AT)
    assert (found.studio_ids, ended(found)) == ({harbour.id}, {mill.id: AT})
    later = AT + timedelta(days=2)
    staff.change(head, member_id=member.id, said={"studios": [harbour.id, mill.id]}, at=later)
    found = scope_of_member(member_id=member.id, now=later)
    assert (found.studio_ids, ended(found)) == ({harbour.id, mill.id}, {})


def test_of_two_ends_the_earlier_holds_and_of_two_times_there_the_later():
    member, [harbour, mill] = cover("Europe/Lisbon", "Europe/Lisbon", until=LAST)
    places = MemberStudio.objects.filter(member=member)
    places.filter(studio=harbour).update(ended_at=AT + timedelta(days=5))
    places.filter(studio=mill).update(ended_at=AT - timedelta(days=9))
    MemberStudio.objects.create(
        school=member.school, member=member, studio=mill, ended_at=AT - timedelta(days=4)
    )
    found = scope_of_member(member_id=member.id, now=AT + timedelta(days=6), late=True)
    assert ended(found) == {
        harbour.id: ENDS["Europe/Lisbon"],
        mill.id: AT - timedelta(days=4),
    }


def test_a_job_asks_for_the_whole_of_one_school():
    member, studios = cover("Europe/Lisbon", "Europe/Lisbon")
    StudioFactory()
    found = scope_of_school(school_id=member.school_id)
    assert (found.member_id, found.is_head, found.may_see_mass) == (None, True, False)
    assert found.studio_ids == {studio.id for studio in studios}
    with pytest.raises(Unknown, match="no such school"):
        scope_of_school(school_id=uuid4())
