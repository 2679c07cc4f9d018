"""The staff one by one: taken on, changed, taken leave of, and seen."""

from datetime import date, timedelta
from uuid import uuid4

import pytest

from accounts import staff, tokens
from accounts.faults import BadDocument
from accounts.models import Event, Member, MemberStudio, Token
from accounts.scope import Conflict, NotAllowed, SignedOut, Unknown, scope_of_member
from tests.factories import (
    AT,
    TODAY,
    MemberFactory,
    SchoolFactory,
    StudioFactory,
    every_row,
    scope,
)

A_DAY = timedelta(days=1)


@pytest.fixture
def school(db):
    return SchoolFactory(name="Orrowmere School of Dance")


@pytest.fixture
def studios(school):
    return [StudioFactory(school=school, name=n) for n in ("Brackfold Mill", "Sellane Harbour")]


@pytest.fixture
def head(school, studios):
    return scope(MemberFactory(school=school, name="Marit O."))


@pytest.fixture
def teacher(school, studios):
    return MemberFactory(school=school, name="Tendai R.", role="teacher", studios=studios[:1])


def appoint(by, name="Aroha T.", **said):
    return staff.appoint(by, name=name, said={"role": "assistant", "adult": True, **said}, at=AT)


def change(by, member, at=AT, **said):
    return staff.change(by, member_id=member.id, said=said, at=at)


def faults(call, *args, **said):
    """What is wrong, after making sure that nothing changed."""
    before = every_row()
    with pytest.raises(BadDocument) as caught:
        call(*args, **said)
    assert every_row() == before
    return str(caught.value).splitlines()


# -- taken on ------------------------------------------------------------------------------------


def test_somebody_is_taken_on(head, studios):
    found = appoint(
        head,
        " Aroha T. ",
        studios=[studios[1].id, studios[0].id],
        may_spot=["tables", "leans", "tables"],
        until=date(2026, 6, 30),
    )
    assert found == staff.MemberView(
        id=Member.objects.get(name="Aroha T.").id,
        name="Aroha T.",
        role="assistant",
        adult=True,
        may_spot=("leans", "tables"),
        studio_ids=tuple(sorted(studio.id for studio in studios)),
        from_date=None,
        until=date(2026, 6, 30),
        revoked_at=None,
    )
    event = Event.objects.get()
    assert (event.what, event.about, event.member_id) == ("add_member", found.id, head.member_id)


def test_a_head_teacher_needs_no_studio(head, studios):
    found = appoint(head, "Signe H.", role="head_teacher")
    assert set(found.studio_ids) == {studio.id for studio in studios}


def test_everything_wrong_at_once(head, studios):
    foreign = StudioFactory()
    said = {
        "role": "teacher",
        "adult": False,
        "studios": [studios[0].id, foreign.id, uuid4()],
        "may_spot": ["all", "leans"],
        "from_date": TODAY,
        "until": TODAY - A_DAY,
    }
    assert faults(appoint, head, "marit o", **said) == [
        "/name: another of the staff is called so",
        "/studios/1: unknown",
        "/studios/2: unknown",
        "/adult: a teacher should be an adult",
        "/may_spot: only adults spot",
        "/may_spot: all stands alone",
        "/until: 2026-03-10 is before 2026-03-11",
    ]
    assert faults(appoint, head, "Tendai\nR.") == [
        "/name: holds a control character",
        "/studios: missing: at which studios does the role of assistant hold?",
    ]


def test_a_name_is_measured_composed(head):
    # Each of these letters is composed of two.
    assert faults(appoint, head, "\u0958" * 41, role="head_teacher") == [
        "/name: longer than 80 characters"
    ]
    assert appoint(head, "e\u0301" * 80, role="head_teacher").name == "\u00e9" * 80


def test_a_name_is_one_persons_in_a_school_alone(head):
    MemberFactory(name="Aroha T.")
    assert appoint(head, role="head_teacher").name == "Aroha T."


# -- changed -------------------------------------------------------------------------------------


def test_what_is_said_changes_and_the_rest_stays(head, teacher, studios):
    mill, harbour = studios
    found = change(head, teacher, studios=[harbour.id], may_spot=["all"])
    assert (found.role, found.may_spot, found.studio_ids) == ("teacher", ("all",), (harbour.id,))
    places = MemberStudio.objects.filter(member=teacher)
    assert {place.studio: place.ended_at for place in places} == {mill: AT, harbour: None}
    event = Event.objects.get()
    assert (event.what, event.about) == ("change_member", teacher.id)
    assert event.details == {"columns": ["may_spot", "studios"]}


def test_a_studio_that_comes_back_is_a_second_time_there(head, teacher, studios):
    mill, harbour = studios
    change(head, teacher, studios=[harbour.id])
    change(head, teacher, AT + A_DAY, studios=[harbour.id, mill.id])
    places = MemberStudio.objects.filter(member=teacher, studio=mill)
    assert {place.ended_at for place in places} == {AT, None}


def test_what_stands_already_is_no_change(head, teacher, studios):
    before = every_row()
    change(head, teacher, role="teacher", studios=[studios[0].id], until=None)
    change(head, teacher)
    assert every_row() == before


def test_a_change_is_judged_beside_what_stands(head, teacher, school, studios):
    assert faults(change, head, teacher, adult=False) == ["/adult: a teacher should be an adult"]
    assert faults(change, head, teacher, studios=[]) == [
        "/studios: missing: at which studios does the role of teacher hold?"
    ]
    spotter = MemberFactory(school=school, role="assistant", may_spot=["all"], studios=studios)
    assert faults(change, head, spotter, adult=False) == ["/may_spot: only adults spot"]
    assert not change(head, spotter, adult=False, may_spot=[]).adult


def test_a_role_without_studios_needs_them(head, school):
    other = MemberFactory(school=school, name="Signe H.")
    assert faults(change, head, other, role="assistant") == [
        "/studios: missing: at which studios does the role of assistant hold?"
    ]


@pytest.mark.parametrize(
    "said",
    [
        {"role": "assistant"},
        {"until": TODAY + timedelta(days=300)},
        {"from_date": TODAY + A_DAY},
    ],
)
def test_the_last_head_teacher_stays_one(head, school, studios, said):
    MemberFactory(school=school, revoked_at=AT)
    MemberFactory(school=school, until=TODAY)
    MemberFactory(school=school, from_date=TODAY + A_DAY)
    MemberFactory()
    me = Member.objects.get(id=head.member_id)
    before = every_row()
    with pytest.raises(Conflict, match="would leave the school without a head teacher"):
        change(head, me, studios=[studios[0].id], **said)
    with pytest.raises(Conflict, match="would leave the school without a head teacher"):
        staff.revoke(head, member_id=me.id, at=AT)
    assert every_row() == before
    MemberFactory(school=school)
    assert change(head, me, studios=[studios[0].id], **said).id == me.id


def test_a_change_leaves_the_way_in_that_she_was_given_meanwhile(head, teacher, monkeypatch):
    """Her first token does not wait for the desk: she may come while her row is being changed."""

    def meanwhile(*args, **asked):
        tokens.issue(head, member_id=teacher.id, at=AT)
        return True

    monkeypatch.setattr(staff, "keeps_a_head", meanwhile)
    change(head, teacher, may_spot=["all"])
    teacher.refresh_from_db()
    assert (teacher.may_spot, teacher.account) == (["all"], Token.objects.get().user)


# -- taken leave of ------------------------------------------------------------------------------


def test_access_that_is_taken_away_ends_at_once(head, teacher):
    tokens.issue(head, member_id=teacher.id, at=AT)
    kept = tokens.issue(head, member_id=head.member_id, at=AT)
    found = staff.revoke(head, member_id=teacher.id, at=AT)
    assert (found.revoked_at, found.name) == (AT, "Tendai R.")
    assert [row.member_id for row in Token.objects.all()] == [head.member_id]
    assert kept
    with pytest.raises(SignedOut):
        scope_of_member(member_id=teacher.id, now=AT)
    event = Event.objects.get(what="revoke_member")
    assert (event.about, event.details) == (teacher.id, {})


def test_a_second_time_changes_nothing(head, teacher):
    staff.revoke(head, member_id=teacher.id, at=AT)
    before = every_row()
    assert staff.revoke(head, member_id=teacher.id, at=AT + A_DAY).revoked_at == AT
    assert every_row() == before
    with pytest.raises(Conflict, match="was taken away; nothing gives it back"):
        change(head, teacher, may_spot=["all"])


def test_of_two_head_teachers_one_may_go(head, school):
    MemberFactory(school=school, name="Signe H.")
    found = staff.revoke(head, member_id=head.member_id, at=AT)
    assert (found.id, found.revoked_at) == (head.member_id, AT)


# -- seen ----------------------------------------------------------------------------------------


def test_a_head_teacher_sees_everybody_and_the_others_whom_they_work_with(
    head, teacher, school, studios
):
    mill, harbour = studios
    for name, said in (
        ("Pilar G.", {"role": "teacher", "studios": [harbour]}),
        ("Iolana K.", {"role": "assistant", "studios": [mill, harbour]}),
        ("Wiremu P.", {"role": "assistant", "studios": [mill], "until": TODAY - A_DAY}),
        ("Zeynep A.", {"role": "assistant", "studios": [mill], "from_date": TODAY + A_DAY}),
        ("Bram V.", {"role": "assistant", "studios": [mill], "revoked_at": AT}),
    ):
        MemberFactory(school=school, name=name, **said)
    MemberFactory(name="Oddny")
    everybody = [found.name for found in staff.members(head, at=AT)]
    assert everybody == [
        "Bram V.",
        "Iolana K.",
        "Marit O.",
        "Pilar G.",
        "Tendai R.",
        "Wiremu P.",
        "Zeynep A.",
    ]
    seen = {found.name: found.studio_ids for found in staff.members(scope(teacher), at=AT)}
    assert seen == {
        "Iolana K.": (mill.id,),
        "Marit O.": (mill.id,),
        "Tendai R.": (mill.id,),
    }


def test_whoever_asks_is_there_on_her_last_day_west_of_utc(school, head):
    far = StudioFactory(school=school, zone="Pacific/Honolulu")
    cover = MemberFactory(
        school=school, name="Signe H.", role="teacher", studios=[far], until=TODAY - A_DAY
    )
    myself = scope_of_member(member_id=cover.id, now=AT.replace(hour=3))
    found = staff.myself(myself, at=AT)
    assert (found.member.name, found.member.until) == ("Signe H.", TODAY - A_DAY)
    assert (found.school_id, found.school_name) == (school.id, "Orrowmere School of Dance")


@pytest.mark.parametrize(
    ("zone", "hour", "seen"),
    [("Pacific/Honolulu", 3, ["Last D."]), ("Pacific/Auckland", 20, ["First D."])],
)
def test_which_cover_is_there_is_told_by_the_date_where_they_work(school, zone, hour, seen):
    far, now = StudioFactory(school=school, zone=zone), AT.replace(hour=hour)
    covers = ("Last D.", {"until": TODAY - A_DAY}), ("First D.", {"from_date": TODAY + A_DAY})
    for name, access in covers:
        MemberFactory(school=school, name=name, role="teacher", studios=[far], **access)
    teacher = MemberFactory(school=school, name="Tendai R.", role="teacher", studios=[far])
    found = staff.members(scope(teacher), at=now)
    assert [one.name for one in found if one.role == "teacher"] == [*seen, "Tendai R."]


def test_with_one_studio_nobody_meets_the_word(head, school):
    assert not staff.myself(head, at=AT).one_studio
    single = scope(MemberFactory())
    assert staff.myself(single, at=AT).one_studio
    StudioFactory(school=Member.objects.get(id=single.member_id).school)
    assert staff.myself(single, at=AT).one_studio


def test_only_a_head_teacher_may_and_of_strangers_nobody_knows(head, teacher, school, studios):
    assistant = MemberFactory(school=school, role="assistant", studios=studios[:1])
    sister = MemberFactory(school=school, role="assistant", studios=studios[1:])
    foreign = MemberFactory()
    for by in (scope(teacher), scope(assistant)):
        with pytest.raises(NotAllowed, match="taking on staff: a head teacher's right"):
            appoint(by)
        with pytest.raises(NotAllowed, match="changing staff: a head teacher's right"):
            change(by, assistant, until=TODAY)
        with pytest.raises(NotAllowed, match="taking access away: a head teacher's right"):
            staff.revoke(by, member_id=assistant.id, at=AT)
    for by, member in ((scope(teacher), sister), (scope(teacher), foreign), (head, foreign)):
        for ask in (
            lambda by, id_: staff.member(by, member_id=id_, at=AT),
            lambda by, id_: staff.change(by, member_id=id_, said={}, at=AT),
            lambda by, id_: staff.revoke(by, member_id=id_, at=AT),
        ):
            with pytest.raises(Unknown, match="nobody of that id is on the staff"):
                ask(by, member.id)
