"""Drafts: kept with their faults, changed under their version, checked, published."""

from copy import deepcopy
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction

from accounts.faults import BadDocument
from accounts.models import Event
from accounts.scope import Conflict, NotAllowed, Stale, Unknown
from curriculum import drafts, editions
from curriculum.models import Card, Edition, Skill, Succession
from tests import factories
from tests.curriculum.build import (
    DOCUMENT,
    LATER,
    SPRING,
    change_draft,
    draft_of,
    in_use,
    leaf,
    publish,
    publish_draft,
    renamed,
    said,
    staff,
    studio,
    with_skill,
)
from tests.factories import AT, every_row

FAULTY = with_skill("seat", spot=None)


def events():
    return list(Event.objects.order_by("id").values_list("what", "about", "details"))


# -- loading ---------------------------------------------------------------------------------


def test_a_draft_is_its_document_and_no_skill_yet(head):
    draft = draft_of(head, DOCUMENT | {"note": "for the autumn"})
    assert (draft.name, draft.note, draft.version) == ("spring", "for the autumn", 1)
    assert draft.document == DOCUMENT | {"note": "for the autumn"}
    assert list(draft.document["skills"]) == ["table", "lean", "seat"]
    assert drafts.draft(head, draft_id=draft.id) == draft
    assert not Skill.objects.exists()
    assert not Card.objects.exists()
    assert events() == [("load_draft", draft.id, {})]


def test_the_same_again_is_the_same_draft(head):
    draft = draft_of(head)
    before = every_row()
    assert draft_of(head) == draft
    assert every_row() == before


def test_a_draft_with_faults_of_its_graph_is_kept(head):
    assert draft_of(head, FAULTY).document == FAULTY


def test_what_breaks_the_schema_is_no_draft(head):
    before = every_row()
    with pytest.raises(BadDocument) as refused:
        draft_of(head, with_skill("table", criterion=None, colour="red") | {"name": ""})
    assert [fault.place for fault in refused.value.faults] == [
        "/name",
        "/skills/table/colour",
        "/skills/table/criterion",
    ]
    assert every_row() == before


def test_several_drafts_stand_side_by_side_up_to_a_handful(head):
    found = [draft_of(head, DOCUMENT | {"name": f"plan {n}"}) for n in range(drafts.MOST)]
    assert drafts.drafts(head) == tuple(found)
    before = every_row()
    with pytest.raises(Conflict) as refused:
        draft_of(head, DOCUMENT | {"name": "one more"})
    assert str(refused.value) == "there are 8 drafts already: delete or publish one first"
    assert draft_of(head, DOCUMENT | {"name": "plan 3"}) == found[3]
    assert every_row() == before


def test_a_draft_begins_with_what_an_edition_says(head):
    publish(head)
    document = renamed() | {"note": "one name changed"}
    publish(head, document)
    draft = drafts.begin(head, number=2, at=AT)
    assert draft.document == document
    assert list(draft.document["skills"]) == ["lean", "seat", "flat_table"]
    assert drafts.begin(head, number=2, at=AT) == draft
    assert drafts.begin(head, number=1, at=AT).document == DOCUMENT
    with pytest.raises(Conflict, match="edition 2 says the same already"):
        publish_draft(head, draft)
    with pytest.raises(Unknown):
        drafts.begin(head, number=3, at=AT)


# -- changing --------------------------------------------------------------------------------


def test_a_change_counts_the_version(head):
    draft = draft_of(head)
    changed = change_draft(head, draft, LATER | {"name": "summer"})
    assert (changed.id, changed.version, changed.name) == (draft.id, 2, "summer")
    assert changed.digest != draft.digest
    assert drafts.draft(head, draft_id=draft.id) == changed
    assert events()[1:] == [("change_draft", draft.id, {})]


def test_the_same_content_is_no_change(head):
    draft = draft_of(head)
    before = every_row()
    assert change_draft(head, draft, DOCUMENT) == draft
    assert every_row() == before


def test_who_read_an_older_version_changes_nothing(head):
    draft = draft_of(head)
    change_draft(head, draft, LATER)
    before = every_row()
    for late in (
        lambda: change_draft(head, draft, FAULTY),
        lambda: publish_draft(head, draft),
        lambda: drafts.discard(head, draft_id=draft.id, version=1, at=AT),
    ):
        with pytest.raises(Stale) as refused:
            late()
        assert str(refused.value) == "the draft is at version 2 by now"
    assert every_row() == before


def test_a_change_that_breaks_the_schema_leaves_the_draft(head):
    draft = draft_of(head)
    with pytest.raises(BadDocument):
        change_draft(head, draft, DOCUMENT | {"families": {}})
    assert drafts.draft(head, draft_id=draft.id) == draft


def test_a_draft_is_deleted_for_good(head):
    draft = draft_of(head)
    drafts.discard(head, draft_id=draft.id, version=1, at=AT)
    assert drafts.drafts(head) == ()
    assert not Edition.objects.exists()
    assert events()[1:] == [("delete_draft", draft.id, {})]


# -- checks ----------------------------------------------------------------------------------


def checked(scope, document):
    found = drafts.check(scope, draft_id=draft_of(scope, document).id)
    return [str(fault) for fault in found.faults], [str(one) for one in found.warnings], found


def test_a_sound_draft_against_no_edition(head):
    faults, warnings, found = checked(head, DOCUMENT)
    assert (faults, warnings) == ([], [])
    assert found.difference == editions.Difference(
        number=None, added=("table", "lean", "seat"), changed=(), gone=()
    )


def test_all_faults_of_a_draft_with_their_places(head):
    publish(head)
    document = with_skill("table", family="bends", roles={"solo": {"needs": leaf("tower")}})
    document = with_skill("seat", document, spot=None)
    document |= {"succession": [{"from": "old", "to": "seat"}]}
    faults, warnings, found = checked(head, document)
    assert faults == [
        "/skills/seat: “Seat” is lifted, but has no spot",
        "/skills/table/roles/solo: needs “tower”, which is no skill of this curriculum",
        "/skills/table/family: no family “bends”",
        "/succession/0/from: no edition ever had a skill “old”",
    ]
    assert warnings == []
    assert (found.difference.number, found.difference.changed) == (1, ("table", "seat"))


def test_warnings_point_at_the_skill_and_the_role(head):
    document = with_skill("kick", name="Kick", roles={"solo": {}})
    needs = {"all_of": [leaf("lean", role="partner"), leaf("table")]}
    document = with_skill("lean", document, roles={"partner": {"min": 2, "needs": leaf("table")}})
    document["skills"]["seat"]["roles"]["flyer"]["needs"] = needs
    document["skills"]["seat"]["roles"]["base"]["needs"] = leaf("lean", role="partner")
    faults, warnings, _ = checked(head, document)
    assert faults == []
    assert [warning.split(": ")[0] for warning in warnings] == [
        "/skills/seat/roles/flyer",
        "/skills/kick",
    ]


def test_what_a_draft_would_change(head):
    publish(head)
    document = with_skill("kneel", LATER, roles={"solo": {}})
    del document["skills"]["seat"]
    _, _, found = checked(head, document)
    assert found.difference == editions.Difference(
        number=1, added=("kneel",), changed=("table",), gone=("seat",)
    )


# -- publishing ------------------------------------------------------------------------------


def test_a_draft_becomes_the_next_edition(head):
    publish(head)
    draft = draft_of(head, renamed() | {"note": "one name changed"})
    assert publish_draft(head, draft) == editions.Published(
        number=2, is_new=True, added=("flat_table",), changed=("seat",), gone=("table",)
    )
    edition = Edition.objects.get(number=2)
    assert (edition.id, edition.note, edition.document) == (draft.id, "one name changed", "")
    assert (edition.published_at, edition.published_by_id) == (AT, head.member_id)
    assert [card.skill.key for card in edition.cards.order_by("position")] == [
        "lean",
        "seat",
        "flat_table",
    ]
    assert Succession.objects.get().edition_id == draft.id
    editions.adopt(head, studio_id=studio(head), number=2, from_date=SPRING, at=AT)
    assert in_use(head).heirs("table") == {"flat_table"}
    assert events()[-2] == ("publish_edition", draft.id, {"number": 2})


def test_what_is_published_is_no_draft_any_more(head):
    draft = draft_of(head)
    publish_draft(head, draft)
    assert drafts.drafts(head) == ()
    before = every_row()
    for late in (
        lambda: publish_draft(head, draft),
        lambda: change_draft(head, draft, LATER),
        lambda: drafts.discard(head, draft_id=draft.id, version=1, at=AT),
    ):
        with pytest.raises(Conflict) as refused:
            late()
        assert str(refused.value) == "it was published as edition 1"
    for gone in (drafts.draft, drafts.check):
        with pytest.raises(Unknown):
            gone(head, draft_id=draft.id)
    assert every_row() == before


def test_faults_refuse_publishing_and_lose_nothing(head):
    document = deepcopy(FAULTY) | {"succession": [{"from": "old", "to": "seat"}]}
    draft = draft_of(head, document)
    before = every_row()
    with pytest.raises(BadDocument) as refused:
        publish_draft(head, draft)
    assert [str(fault) for fault in refused.value.faults] == [
        "/skills/seat: “Seat” is lifted, but has no spot",
        "/succession/0/from: no edition ever had a skill “old”",
    ]
    assert every_row() == before


def test_what_the_newest_edition_says_already_is_not_published_again(head):
    publish(head)
    draft = draft_of(head)
    before = every_row()
    with pytest.raises(Conflict) as refused:
        publish_draft(head, draft)
    assert str(refused.value) == "edition 1 says the same already"
    assert every_row() == before


def test_a_draft_is_taken_for_no_edition(head):
    publish(head)
    draft_of(head, LATER)
    assert editions.newest_number(head) == 1
    assert [edition.number for edition in editions.editions(head, at=AT)] == [1]
    assert publish(head, with_skill("table", criterion="50 s")).number == 2
    assert publish(head, with_skill("table", criterion="50 s")).is_new is False


@pytest.mark.parametrize("columns", [{"number": 1}, {"published_at": AT}])
def test_a_number_and_a_moment_come_together(head, columns):
    with pytest.raises(IntegrityError), transaction.atomic():
        Edition.objects.create(
            school_id=head.school_id, name="x", families=[], digest="", **columns
        )


# -- who -------------------------------------------------------------------------------------


@pytest.mark.parametrize("role", ["teacher", "assistant"])
def test_drafts_are_a_head_teacher_s(head, role):
    draft = draft_of(head)
    scope = staff(head, role)
    before = every_row()
    for asked, refusal in (
        (lambda: draft_of(scope, LATER), "writing a draft"),
        (lambda: change_draft(scope, draft, LATER), "writing a draft"),
        (lambda: drafts.begin(scope, number=1, at=AT), "writing a draft"),
        (lambda: drafts.drafts(scope), "reading drafts"),
        (lambda: drafts.draft(scope, draft_id=draft.id), "reading drafts"),
        (lambda: drafts.check(scope, draft_id=draft.id), "reading drafts"),
        (lambda: publish_draft(scope, draft), "publishing a curriculum"),
        (
            lambda: drafts.discard(scope, draft_id=draft.id, version=1, at=AT),
            "deleting a draft",
        ),
    ):
        with pytest.raises(NotAllowed) as refused:
            asked()
        assert str(refused.value) == f"{refusal}: a head teacher's right"
    assert every_row() == before


def test_another_school_s_draft_is_not_there(head):
    draft = draft_of(head)
    other = factories.scope(factories.MemberFactory())
    assert drafts.drafts(other) == ()
    before = every_row()
    for id_ in (draft.id, uuid4()):
        for asked in (
            lambda id_: drafts.draft(other, draft_id=id_),
            lambda id_: drafts.check(other, draft_id=id_),
            lambda id_: drafts.publish(other, draft_id=id_, version=1, at=AT),
            lambda id_: drafts.discard(other, draft_id=id_, version=1, at=AT),
            lambda id_: drafts.change(other, draft_id=id_, version=1, content=said(LATER), at=AT),
        ):
            with pytest.raises(Unknown) as refused:
                asked(id_)
            assert str(refused.value) == "no such draft"
    assert every_row() == before
