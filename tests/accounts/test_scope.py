from datetime import date

import pytest

from accounts.scope import NotAllowed, Unknown, scope_of
from tests.factories import AT, TODAY, MemberFactory, SchoolFactory, StudioFactory, scope

pytestmark = pytest.mark.django_db


def unknown(school, member, on=TODAY):
    with pytest.raises(Unknown) as caught:
        scope_of(school=school, member=member, on=on)
    return str(caught.value)


def test_a_head_teacher_sees_every_studio_of_her_school():
    head = MemberFactory()
    studios = {StudioFactory(school=head.school).id for _ in range(2)}
    StudioFactory()
    found = scope(head)
    assert (found.school_id, found.member_id, found.role) == (
        head.school_id,
        head.id,
        "head_teacher",
    )
    assert (found.studio_ids, found.is_head, found.may_see_mass) == (studios, True, False)


@pytest.mark.parametrize("role", ["teacher", "assistant"])
def test_the_others_see_theirs(role):
    school = SchoolFactory(uses_mass=True)
    mine, _ = StudioFactory(school=school), StudioFactory(school=school)
    found = scope(MemberFactory(school=school, role=role, studios=[mine]))
    assert (found.studio_ids, found.is_head, found.may_see_mass) == ({mine.id}, False, False)


def test_only_a_head_teacher_sees_masses_and_only_where_there_are_any():
    assert scope(MemberFactory(school=SchoolFactory(uses_mass=True))).may_see_mass
    assert not scope(MemberFactory()).may_see_mass


def test_access_begins_and_ends_by_itself():
    first, last = date(2026, 3, 1), date(2026, 3, 31)
    cover = MemberFactory(name="Signe H.", from_date=first, until=last)
    school = cover.school.name
    assert unknown(school, "Signe H.", date(2026, 2, 28)) == (
        "the access of “Signe H.” does not hold on 2026-02-28"
    )
    for on in (first, last):
        assert scope_of(school=school, member="Signe H.", on=on).member_id == cover.id
    assert unknown(school, "Signe H.", date(2026, 4, 1)) == (
        "the access of “Signe H.” does not hold on 2026-04-01"
    )


def test_who_is_not_there():
    member = MemberFactory(name="Marit O.")
    gone = MemberFactory(school=member.school, name="Bram V.", revoked_at=AT)
    elsewhere = MemberFactory(name="Pilar G.")
    school = member.school.name
    assert unknown("Nowhere", "Marit O.") == "no school is called “Nowhere”"
    for name in (gone.name, elsewhere.name, "Nobody"):
        assert unknown(school, name) == f"nobody called “{name}” is on the staff of “{school}”"


@pytest.mark.parametrize(
    ("role", "teacher", "head"),
    [("head_teacher", True, True), ("teacher", True, False), ("assistant", False, False)],
)
def test_what_each_role_may(role, teacher, head):
    found = scope(MemberFactory(role=role))
    for need, allowed, whose in (
        (found.need_teacher, teacher, "a teacher's right, not an assistant's"),
        (found.need_head, head, "a head teacher's right"),
    ):
        if allowed:
            need("this")
        else:
            with pytest.raises(NotAllowed) as caught:
                need("this")
            assert str(caught.value) == f"this: {whose}"
