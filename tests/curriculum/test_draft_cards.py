"""Two head teachers at one draft: at different cards both are kept, at one nothing is lost."""

import json
from copy import deepcopy
from dataclasses import replace
from uuid import uuid4

import pytest

from accounts.faults import BadDocument
from accounts.models import Event
from accounts.scope import Conflict, NotAllowed, Unknown
from curriculum import draft_cards, drafts, withdrawals
from curriculum.draft_cards import StalePart
from curriculum.parts import tag_of
from tests import factories
from tests.curriculum.build import (
    DOCUMENT,
    change_draft,
    draft_of,
    publish,
    publish_draft,
    renamed,
    said,
    staff,
    with_skill,
)
from tests.factories import AT, every_row

TABLE = DOCUMENT["skills"]["table"]
LONGER = TABLE | {"criterion": "40 s"}
KNEEL = {"name": "Kneel", "family": "tight", "criterion": "x", "roles": {"solo": {}}}


@pytest.fixture
def draft(head):
    return draft_of(head)


@pytest.fixture
def other(head):
    """The other head teacher."""
    return factories.scope(factories.MemberFactory(school_id=head.school_id, name="Oona P."))


def put(scope, draft, skill, card, tag=None, **asked):
    return draft_cards.put(
        scope, draft_id=draft.id, skill=skill, tag=tag, content=said(card), at=AT, **asked
    )


def read(scope, draft, skill="table"):
    return draft_cards.card(scope, draft_id=draft.id, skill=skill)


def keys(scope, draft):
    return list(drafts.draft(scope, draft_id=draft.id).document["skills"])


def stale(asked):
    before = every_row()
    with pytest.raises(StalePart) as refused:
        asked()
    assert every_row() == before
    return str(refused.value), refused.value.standing


# -- two at once -----------------------------------------------------------------------------


def test_two_at_two_cards_are_both_kept(head, other, draft):
    mine, hers = read(head, draft), read(other, draft, "lean")
    put(head, draft, "table", LONGER, mine.tag)
    lean = DOCUMENT["skills"]["lean"] | {"criterion": "5 of 5"}
    found = put(other, draft, "lean", lean, hers.tag)
    assert (found.document, found.version, found.tag) == (lean, 3, tag_of(lean))
    document = deepcopy(DOCUMENT)
    document["skills"] |= {"table": LONGER, "lean": lean}
    assert drafts.draft(head, draft_id=draft.id).document == document
    assert [event.details for event in Event.objects.filter(what="change_card")] == [
        {"skills": ["table"], "outline": False},
        {"skills": ["lean"], "outline": False},
    ]


def test_the_second_at_one_card_is_told_what_stands_and_by_whom(head, other, draft):
    tag = read(head, draft).tag
    put(other, draft, "table", LONGER, tag)
    put(
        head,
        draft,
        "lean",
        DOCUMENT["skills"]["lean"] | {"criterion": "x"},
        read(head, draft, "lean").tag,
    )
    text, stands = stale(lambda: put(head, draft, "table", TABLE | {"name": "Board"}, tag))
    assert text == "the card has changed meanwhile"
    assert (stands.document, stands.tag) == (LONGER, tag_of(LONGER))
    assert (stands.changed_by.name, stands.changed_at) == ("Oona P.", AT)
    # With both texts before her she says what it should be.
    assert put(head, draft, "table", LONGER | {"name": "Board"}, stands.tag).version == 4


def test_what_stands_already_is_no_change_whatever_was_read(head, draft):
    put(head, draft, "table", LONGER, read(head, draft).tag)
    before = every_row()
    backwards = dict(reversed(LONGER.items()))
    for tag in (None, "old", tag_of(LONGER)):
        assert put(head, draft, "table", backwards, tag).version == 2
    assert every_row() == before


def test_a_card_that_is_gone_or_there_already(head, other, draft):
    tag = read(head, draft).tag
    draft_cards.delete(other, draft_id=draft.id, skill="table", tag=tag, at=AT)
    text, stands = stale(lambda: put(head, draft, "table", LONGER, tag))
    assert text == "the card is gone from the draft"
    assert (stands.document, stands.tag, stands.changed_by.name) == (None, None, "Oona P.")
    put(head, draft, "table", LONGER)
    _, stands = stale(lambda: put(other, draft, "table", TABLE))
    assert (stands.document, stands.changed_by.name) == (LONGER, "Marit O.")


def test_after_the_whole_was_written_nobody_is_named_for_a_part_of_it(head, other, draft):
    tag = read(head, draft).tag
    put(head, draft, "table", LONGER, tag)
    change_draft(other, drafts.draft(head, draft_id=draft.id), with_skill("table", criterion="1"))
    _, stands = stale(lambda: put(head, draft, "table", TABLE | {"name": "Board"}, tag))
    assert (stands.changed_by, stands.changed_at) == (None, None)


def test_the_outline_hears_of_new_cards_and_not_of_changed_ones(head, other, draft):
    outline = draft_cards.outline(head, draft_id=draft.id)
    put(other, draft, "table", LONGER, tag_of(TABLE))

    def change(tag, **said):
        return draft_cards.change_outline(
            head, draft_id=draft.id, tag=tag, said=replace(outline.outline, **said), at=AT
        )

    found = change(outline.tag, name="summer", skills=("seat", "table", "lean"))
    assert (found.version, keys(head, draft)) == (3, ["seat", "table", "lean"])
    assert read(head, draft).document == LONGER
    put(other, draft, "kneel", KNEEL, after="seat")
    text, stands = stale(lambda: change(found.tag, name="autumn"))
    assert text == "the outline has changed meanwhile"
    assert stands.document.skills == ("seat", "kneel", "table", "lean")
    assert stands.changed_by.name == "Oona P."


def test_what_was_taught_before_may_be_carried_on(head):
    def taught_before(draft):
        found = draft_cards.outline(head, draft_id=draft.id).taught_before
        return [(one.skill, one.name) for one in found]

    publish(head)
    publish(head, with_skill("table", name="Board"))
    kneel = with_skill("kneel", roles={"solo": {}})
    publish(head, kneel)
    withdrawals.withdraw(head, number=3, reason="x", at=AT)
    draft = draft_of(head, renamed())
    # Of the last name that it had; of an edition that was withdrawn there are no tries.
    assert taught_before(draft) == [("table", "Board")]
    assert taught_before(draft_of(head, kneel)) == []


# -- one card --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("after", "order"),
    [
        (None, ["table", "lean", "seat", "kneel"]),
        ("table", ["table", "kneel", "lean", "seat"]),
        ("seat", ["table", "lean", "seat", "kneel"]),
    ],
)
def test_a_card_is_added_at_its_place(head, draft, after, order):
    put(head, draft, "kneel", KNEEL, after=after)
    assert keys(head, draft) == order


def test_a_card_stands_after_one_that_is_there(head, draft):
    for skill, tag, after in (("kneel", None, "tower"), ("table", tag_of(TABLE), "lean")):
        with pytest.raises(BadDocument, match="after: should name another card"):
            put(head, draft, skill, KNEEL, tag, after=after)


@pytest.mark.parametrize(
    ("content", "found"),
    [
        (json.dumps(TABLE | {"colour": 1, "name": ""}), ["/colour", "/name"]),
        ("[]", [""]),
        ('{"name": "a", "name": "b"}', ["/name"]),
        (json.dumps(TABLE | {"caution": "a\x01b"}), ["/caution"]),
        (json.dumps(TABLE)[:-1] + ', "youngest_age": NaN}', ["/youngest_age"]),
        ('{"roles": ' + '{"a":' * 60 + "1" + "}" * 61, [""]),
        (
            json.dumps(TABLE | {"roles": {"solo": {"needs": {"any_of": [{"skill": "a"}]}}}}),
            ["/roles/solo/needs/any_of/0/help"],
        ),
    ],
)
def test_what_is_no_card_is_told_with_places_in_it(head, draft, content, found):
    before = every_row()
    asked = {"draft_id": draft.id, "skill": "table", "content": content.encode()}
    for refused in (
        lambda: draft_cards.put(head, tag=tag_of(TABLE), at=AT, **asked),
        lambda: draft_cards.check(head, **asked),
    ):
        with pytest.raises(BadDocument) as bad:
            refused()
        assert [fault.place for fault in bad.value.faults] == found
    assert every_row() == before


def test_a_draft_is_never_empty_nor_too_full(head, monkeypatch):
    draft = draft_of(head, {**DOCUMENT, "skills": {"table": TABLE}})
    with pytest.raises(Conflict, match="it is the only card of the draft"):
        draft_cards.delete(head, draft_id=draft.id, skill="table", tag=tag_of(TABLE), at=AT)
    monkeypatch.setattr(draft_cards, "MOST_SKILLS", 1)
    with pytest.raises(Conflict, match="there are 1 cards already"):
        put(head, draft, "lean", TABLE)


def test_checks_as_one_types_begin_with_the_card_and_keep_nothing(head, draft):
    card = DOCUMENT["skills"]["seat"] | {"family": "bends"}
    card = {name: text for name, text in card.items() if name != "spot"}
    put(
        head,
        draft,
        "kneel",
        KNEEL | {"roles": {"solo": {"needs": {"skill": "tower", "help": "no_spot"}}}},
    )
    before = every_row()
    found = draft_cards.check(head, draft_id=draft.id, skill="seat", content=said(card))
    assert [(one.skill, one.pointer) for one in found.faults] == [
        ("seat", ""),
        ("seat", "/family"),
        ("kneel", "/roles/solo"),
    ]
    sound = draft_cards.check(head, draft_id=draft.id, skill="kneel", content=said(KNEEL))
    assert sound.faults == ()
    assert [(one.skill, one.pointer, one.message) for one in sound.warnings] == [
        ("kneel", "", "“Kneel” leads to no other skill")
    ]
    assert every_row() == before


# -- carried on ------------------------------------------------------------------------------


def test_a_rename_reaches_all_that_needs_it(head, draft):
    publish(head)
    asked = {"draft_id": draft.id, "skill": "table", "tag": tag_of(TABLE), "at": AT}
    found = draft_cards.rename(head, to="flat_table", **asked)
    document = renamed()
    assert found.changed == ("flat_table", "seat")
    assert [one.skill for one in found.cards] == ["flat_table", "lean", "seat"]
    now = drafts.draft(head, draft_id=draft.id)
    assert (now.document, now.cards) == (document, found.cards)
    assert publish_draft(head, now).number == 2


def test_a_split_and_a_merge_of_what_was_never_published(head, draft):
    asked = {"draft_id": draft.id, "skill": "table", "tag": tag_of(TABLE), "at": AT}
    into = [("table", "Table, hips high"), ("table_hands", "Table, hands back")]
    found = draft_cards.split(head, into=into, **asked)
    assert found.changed == ("table", "table_hands", "seat")
    document = drafts.draft(head, draft_id=draft.id).document
    assert [card["name"] for card in document["skills"].values()] == [
        "Table, hips high",
        "Table, hands back",
        "Lean",
        "Seat",
    ]
    hands = {"skill": "table_hands", "tag": found.cards[1].tag}
    merged = draft_cards.merge(head, into="table", **asked | hands)
    assert merged.changed == ("seat",)
    assert drafts.draft(head, draft_id=draft.id).document == with_skill(
        "table", name="Table, hips high"
    )


def test_what_cannot_be_carried_on(head, draft):
    asked = {"draft_id": draft.id, "skill": "table", "tag": tag_of(TABLE), "at": AT}
    before = every_row()
    for change, places in (
        (lambda: draft_cards.rename(head, to="lean", **asked), ["/to"]),
        (lambda: draft_cards.rename(head, to="table", **asked), ["/to"]),
        (lambda: draft_cards.merge(head, into="table", **asked), ["/into"]),
        (lambda: draft_cards.merge(head, into="tower", **asked), ["/into"]),
        (
            lambda: draft_cards.split(head, into=[("a", "A"), ("lean", "B"), ("a", "C")], **asked),
            ["/into/1/key", "/into/2/key"],
        ),
    ):
        with pytest.raises(BadDocument) as refused:
            change()
        assert [fault.place for fault in refused.value.faults] == places
    stale(lambda: draft_cards.rename(head, to="x", **asked | {"tag": "old"}))
    assert every_row() == before


# -- who -------------------------------------------------------------------------------------


def test_parts_are_a_head_teacher_s_and_of_drafts_in_sight(head, draft):
    teacher, elsewhere = staff(head, "teacher"), factories.scope(factories.MemberFactory())
    outline = draft_cards.outline(head, draft_id=draft.id).outline
    one = {"draft_id": draft.id, "skill": "table"}
    tagged = one | {"tag": tag_of(TABLE), "at": AT}
    before = every_row()
    for asked in (
        lambda scope: draft_cards.card(scope, **one),
        lambda scope: draft_cards.put(scope, content=said(TABLE), **tagged),
        lambda scope: draft_cards.delete(scope, **tagged),
        lambda scope: draft_cards.check(scope, content=said(TABLE), **one),
        lambda scope: draft_cards.rename(scope, to="x", **tagged),
        lambda scope: draft_cards.split(scope, into=[("x", "X"), ("y", "Y")], **tagged),
        lambda scope: draft_cards.merge(scope, into="lean", **tagged),
        lambda scope: draft_cards.outline(scope, draft_id=draft.id),
        lambda scope: draft_cards.change_outline(
            scope, draft_id=draft.id, tag="", said=outline, at=AT
        ),
    ):
        for scope, refusal in ((teacher, NotAllowed), (elsewhere, Unknown)):
            with pytest.raises(refusal):
                asked(scope)
    for unknown in (one | {"skill": "tower"}, one | {"draft_id": uuid4()}):
        with pytest.raises(Unknown):
            draft_cards.card(head, **unknown)
        with pytest.raises(Unknown):
            draft_cards.delete(head, **tagged | unknown)
    assert every_row() == before


def test_a_published_draft_has_no_parts_any_more(head, draft):
    publish_draft(head, draft)
    with pytest.raises(Conflict, match="it was published as edition 1"):
        put(head, draft, "table", LONGER, tag_of(TABLE))
