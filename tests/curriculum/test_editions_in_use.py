import json
from datetime import timedelta

import pytest

from accounts.faults import BadDocument, Fault
from accounts.scope import NotAllowed, Unknown
from curriculum import drafts, editions
from curriculum.cards import views
from curriculum.models import Adoption, Skill
from tests import factories
from tests.curriculum.build import (
    SPRING,
    SUMMER,
    in_use,
    publish,
    renamed,
    staff,
    studio,
    with_skill,
)
from tests.factories import AT, every_row

# -- which one is in use ---------------------------------------------------------------------


def test_before_anything_is_taken_on_nothing_is_in_use(head):
    publish(head)
    assert in_use(head) is None


def test_an_edition_is_in_use_from_its_local_date(head):
    publish(head)
    publish(head, with_skill("table", criterion="40 s") | {"name": "summer"})
    for number, from_date in ((1, SPRING), (2, SUMMER)):
        assert editions.adopt(
            head, studio_id=studio(head), number=number, from_date=from_date, at=AT
        )
    day = timedelta(days=1)
    assert in_use(head, SPRING - day) is None
    assert in_use(head, SPRING).number == 1
    assert in_use(head, SUMMER - day).number == 1
    found = in_use(head, SUMMER)
    assert (found.number, found.name) == (2, "summer")
    assert found.cards == views(with_skill("table", criterion="40 s")["skills"])
    assert list(found.cards) == ["table", "lean", "seat"]
    assert list(found.families) == ["tight", "lift"]
    assert found.skill_ids == dict(Skill.objects.values_list("key", "id"))


def test_taken_on_again_is_nothing_new_and_another_takes_its_place(head):
    publish(head)
    publish(head, with_skill("table", criterion="40 s"))
    asked = {"studio_id": studio(head), "from_date": SPRING, "at": AT}
    assert editions.adopt(head, number=1, **asked)
    before = every_row()
    assert not editions.adopt(head, number=1, **asked)
    assert every_row() == before
    assert editions.adopt(head, number=2, **asked)
    assert Adoption.objects.count() == 1
    assert in_use(head).number == 2


def test_an_edition_carries_on_what_those_before_it_did(head):
    publish(head)
    publish(head, renamed())
    publish(head, renamed() | {"succession": [], "name": "third"})
    for number in (1, 2, 3):
        editions.adopt(
            head,
            studio_id=studio(head),
            number=number,
            from_date=SPRING + timedelta(days=number),
            at=AT,
        )
    carried = [in_use(head, SPRING + timedelta(days=number)).succession for number in (1, 2, 3)]
    assert carried == [frozenset(), {("table", "flat_table")}, {("table", "flat_table")}]


@pytest.mark.parametrize("number", [0, 2, 99])
def test_what_is_not_published_is_not_taken_on(head, number):
    publish(head)
    drafts.load(head, content=json.dumps(renamed()).encode(), at=AT)
    with pytest.raises(BadDocument) as refused:
        editions.adopt(head, studio_id=studio(head), number=number, from_date=SPRING, at=AT)
    assert refused.value.faults == (Fault("/number", "unknown"),)


def test_only_at_a_studio_of_one_s_own_school(head):
    publish(head)
    elsewhere = factories.StudioFactory()
    with pytest.raises(Unknown, match="no such studio"):
        editions.adopt(head, studio_id=elsewhere.id, number=1, from_date=SPRING, at=AT)
    assert not Adoption.objects.exists()


@pytest.mark.parametrize("role", ["teacher", "assistant"])
def test_only_a_head_teacher_takes_an_edition_on(head, role):
    publish(head)
    with pytest.raises(NotAllowed, match="taking on an edition: a head teacher's right"):
        editions.adopt(staff(head, role), studio_id=studio(head), number=1, from_date=SPRING, at=AT)


def test_a_studio_without_any_takes_the_newest_for_always(head):
    assert editions.adopt_first(head, at=AT) == ()  # nothing is published
    publish(head)
    assert editions.adopt_first(head, at=AT) == ("Sellane Harbour",)
    assert editions.adopt_first(head, at=AT) == ()
    assert in_use(head, editions.ALWAYS).number == 1
    publish(head, with_skill("table", criterion="40 s"))
    factories.StudioFactory(school_id=head.school_id, name="Brackfold Mill")
    head = factories.scope(factories.Member.objects.get(id=head.member_id))
    assert editions.adopt_first(head, at=AT) == ("Brackfold Mill",)
    by_studio = editions.studios(head)
    assert list(by_studio) == ["Brackfold Mill", "Sellane Harbour"]
    assert [in_use(head, studio_id=id_).number for id_ in by_studio.values()] == [2, 1]


def test_everybody_sees_what_is_in_use_at_her_studios_and_nobody_elsewhere(head):
    publish(head)
    editions.adopt_first(head, at=AT)
    for role in ("teacher", "assistant"):
        assert in_use(staff(head, role)).number == 1
        assert editions.newest_number(staff(head, role)) == 1
    elsewhere = factories.scope(factories.MemberFactory())
    assert in_use(elsewhere, studio_id=studio(head)) is None
    assert editions.newest_number(elsewhere) is None
    away = factories.scope(
        factories.MemberFactory(
            school_id=head.school_id,
            role="teacher",
            studios=[factories.StudioFactory(school_id=head.school_id)],
        )
    )
    assert in_use(away, studio_id=studio(head)) is None


# -- finding a skill -------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["seat", "Seat", "SEAT", "  seat ", "the Kneel", "the_kneel"])
def test_a_skill_is_found_by_its_key_or_its_name(head, text):
    publish(head, with_skill("the_kneel", name="The kneel", roles={"solo": {}}))
    editions.adopt_first(head, at=AT)
    expected = "the_kneel" if "neel" in text else "seat"
    assert in_use(head).find(text) == expected


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("tables", "no skill “tables” in spring; close to it: Table, table"),
        ("Seet", "no skill “Seet” in spring; close to it: Seat, seat"),
        ("tower", "no skill “tower” in spring"),
        ("", "no skill “” in spring"),
    ],
)
def test_a_skill_that_is_not_found(head, text, said):
    publish(head)
    editions.adopt_first(head, at=AT)
    with pytest.raises(Unknown) as refused:
        in_use(head).find(text)
    assert str(refused.value) == said


def test_two_skills_of_one_name_are_told_apart_by_key(head):
    publish(head, with_skill("lean", name="TABLE"))
    editions.adopt_first(head, at=AT)
    with pytest.raises(Unknown) as refused:
        in_use(head).find("Table")
    assert str(refused.value) == "“Table” may be table or lean: write which"
    assert in_use(head).find("lean") == "lean"
