"""What changed, in words: every field of a card, needs, what is carried on, and what stands."""

import json
from copy import deepcopy

import pytest

from accounts.scope import NotAllowed, Unknown
from curriculum import differences, withdrawals
from curriculum.card_changes import KINDS, SAID
from curriculum.checks import SCHEMA
from curriculum.differences import difference
from curriculum.successions import carried_on
from tests import factories
from tests.curriculum.build import (
    DOCUMENT,
    LATER,
    draft_of,
    leaf,
    publish,
    renamed,
    staff,
    with_skill,
)
from tests.factories import AT

CARD = json.loads(SCHEMA.read_text(encoding="utf-8"))["$defs"]["card"]
SEAT = DOCUMENT["skills"]["seat"]
WAY = {"key": "roll", "name": "Roll down"}
TWO = {"all_of": [leaf("table"), leaf("lean", role="partner")]}
CHOICE = {"any_of": [leaf("table", help="hands_on"), TWO]}


def told(before, after, **said):
    """What changed from one document to another: for each skill the kinds and sentences."""
    found = difference(before, after, number=1, **said)
    assert all(change.kind in KINDS for card in found.cards for change in card.changes)
    return {
        card.skill: (card.what, [change.sentence for change in card.changes])
        for card in found.cards
    }


def seat(**changes):
    return with_skill("seat", **changes)


def sentences(before, after):
    [(what, said)] = told(before, after).values()
    assert what == "changed"
    return said


def as_base(needs):
    return seat(roles=SEAT["roles"] | {"base": {"needs": needs} if needs else {}})


# -- every field -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ({}, {"name": "Chair"}, "renamed from “Seat” to “Chair”"),
        ({}, {"family": "tight"}, "moved from “Low lifts” to “Holding tight”"),
        ({}, {"habit": True}, "it is a habit now: ticked, never spotted"),
        ({}, {"lifted": None}, "it is not lifted any more"),
        ({"lifted": None}, {}, "it is lifted now: no part of the flyer on the floor"),
        ({}, {"tier": "mid"}, "how high: at mid height now, it was on the floor"),
        ({}, {"tier": "floor"}, "it is written in another way and says the same"),
        ({"youngest_age": 6}, {"youngest_age": 7}, "from 7 years on now, it was 6"),
        ({}, {"criterion": "8 s"}, "what counts as clean has changed"),
        ({}, {"measure": {"unit": "s", "figure": 10}}, "new: measured: 10 s"),
        (
            {"measure": {"unit": "s", "figure": 5}},
            {"measure": {"unit": "s", "figure": 7.5}},
            "the hold is now 7.5 s, it was 5 s",
        ),
        (
            {"measure": {"unit": "s", "figure": 5}},
            {"measure": {"unit": "times", "figure": 3}},
            "clean is now 3 times, it was 5 s",
        ),
        (
            {"carried_share": 0.5},
            {"carried_share": 0.55},
            "the hold puts 55 % of the flyer on the bases now, it was 50 %",
        ),
        (
            {"max_height_difference_cm": 20},
            {},
            "no longer: base and flyer at most 20 cm apart in height",
        ),
        (
            {},
            {"flyer_taller_by_at_most_cm": -2},
            "new: the flyer at most -2 cm taller than the base",
        ),
        ({}, {"keep_partners": True}, "partners stay together now while it is learned"),
        ({}, {"learning_size": 3}, "new: at most 3 in a group while it is learned"),
        ({}, {"spot": {"stands": "behind"}}, "where the spot stands has changed"),
        (
            {},
            {"spot": SEAT["spot"] | {"child_helper": True}},
            "a child with a teacher's yes may now stand beside the adult",
        ),
        ({}, {"contacts": "hands"}, "who holds where is new"),
        ({"grip": "wrists"}, {}, "the grip is gone"),
        ({"steps": ["a"]}, {"steps": ["b"]}, "how it is taught has changed"),
        ({}, {"cues": ["Tall"]}, "what is called out is new"),
        ({}, {"faults": [{"see": "a", "say": "b"}]}, "what is seen and said is new"),
        ({}, {"ways_in": [WAY]}, "way in “Roll down” is new"),
        ({"shapes": [WAY]}, {}, "shape “Roll down” is gone"),
        (
            {"ways_out": [WAY]},
            {"ways_out": [WAY | {"name": "Roll"}]},
            "way out “Roll down” is called “Roll” now",
        ),
        (
            {"ways_out": [WAY]},
            {"ways_out": [WAY | {"needs": {"base": leaf("table")}}]},
            "for the way out “Roll down” the base now needs: table with no spot",
        ),
        ({}, {"way_down": "roll"}, "the way down has changed"),
        ({}, {"stop": "down"}, "how it is stopped is new"),
        ({}, {"bail_out": "step away"}, "what the others do when somebody slips is new"),
        ({}, {"caution": "tips forward"}, "the caution has changed"),
        ({}, {"pose": {"figures": [{"role": "base"}]}}, "the picture of the hold is new"),
        ({}, {"agreed_before": {"steps": 3}}, "what is agreed before is new"),
        ({"at_home": "a"}, {"at_home": "b"}, "what may be done at home has changed"),
        ({}, {"roles": SEAT["roles"] | {"spotter": {}}}, "new: spotters: 1"),
        (
            {},
            {"roles": SEAT["roles"] | {"flyer": SEAT["roles"]["flyer"] | {"loads": ["neck"]}}},
            "loads on the flyer: now also neck",
        ),
    ],
)
def test_each_field_in_a_sentence(before, after, said):
    assert sentences(seat(**before), seat(**after)) == [said]


def test_no_field_of_a_card_is_forgotten():
    assert CARD["properties"].keys() == SAID


def test_texts_are_told_before_and_after():
    before = seat(faults=[{"see": "sways", "say": "tall"}], agreed_before={"count": "1, 2"})
    [card] = difference(before, seat(faults=None, cues=["a", "b"]), number=1).cards
    assert [(change.before, change.after) for change in card.changes] == [
        (None, "a\nb"),
        ("sways: tall", None),
        ("count: 1, 2", None),
    ]


# -- needs -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        (None, leaf("table"), ["the base now needs: table with no spot"]),
        (TWO, leaf("table"), ["the base no longer needs: lean with no spot"]),
        (
            TWO,
            {"all_of": [leaf("table", help="hands_near"), TWO["all_of"][1]]},
            ["the base now needs table with hands near, it was with no spot"],
        ),
        (
            leaf("lean", role="partner"),
            {"all_of": [leaf("lean", role="partner"), CHOICE]},
            [
                "the base now needs: one of: table with hands on,"
                " (all of: table with no spot, lean with no spot)"
            ],
        ),
        (
            TWO,
            {"all_of": [{"all_of": [leaf("table")]}, leaf("lean", role="partner")]},
            ["what the base needs is written in another way"],
        ),
        # A role that goes without saying.
        (
            leaf("table"),
            leaf("table", role="solo"),
            ["it is written in another way and says the same"],
        ),
    ],
)
def test_needs_in_words(before, after, said):
    assert sentences(as_base(before), as_base(after)) == said


def test_the_whole_of_what_is_needed_stands_beside():
    [card] = difference(as_base(TWO), as_base(CHOICE), number=1).cards
    assert {(change.before, change.after) for change in card.changes} == {
        (
            "all of: table with no spot, lean with no spot",
            "one of: table with hands on, (all of: table with no spot, lean with no spot)",
        )
    }


# -- carried on ------------------------------------------------------------------------------

COUNT = "tries of “Table” count for it, a teacher's yes does not"


def carried(heirs, cards):
    after = carried_on(DOCUMENT, skill="table", heirs=heirs, cards=cards, published=True)
    steps = {(step["from"], step["to"]) for step in after["succession"]}
    return told(DOCUMENT, after, steps=steps)


def test_a_rename_is_no_new_skill_and_no_old_one_gone():
    table = DOCUMENT["skills"]["table"]
    assert carried(["flat"], {"flat": table | {"criterion": "9 s"}}) == {
        "flat": (
            "renamed",
            [
                "it has another key: tries count on, a teacher's yes does not",
                "what counts as clean has changed",
            ],
        ),
        "seat": ("changed", ["the base now needs table with no spot, by its new key"]),
    }


def test_a_split():
    table = DOCUMENT["skills"]["table"]
    assert carried(["high", "low"], {"high": table | {"name": "High"}, "low": table}) == {
        "high": ("carries_on", [COUNT]),
        "low": ("carries_on", [COUNT]),
        "seat": (
            "changed",
            ["the base now needs high with no spot and table with no spot, from what was table"],
        ),
        "table": ("gone", ["its tries count for “High” and “Table”, a teacher's yes does not"]),
    }


def test_a_merge():
    found = carried(["lean"], {})
    assert found["lean"] == ("changed", [COUNT])
    assert found["table"] == (
        "gone",
        ["its tries count for “Lean”, a teacher's yes does not"],
    )


# -- beside the cards ------------------------------------------------------------------------


def test_what_is_new_or_gone_or_stands_elsewhere():
    after = with_skill("kneel", roles={"solo": {"needs": leaf("table")}})
    order = ("seat", "table", "kneel")
    after["skills"] = {key: after["skills"][key] for key in order}
    assert told(DOCUMENT, after) == {
        "seat": ("changed", ["it comes first now"]),
        "kneel": ("new", ["it needs: table with no spot"]),
        "lean": ("gone", ["it is taught no more; what was tried stays in the log"]),
    }


def test_the_outline_in_words():
    after = DOCUMENT | {
        "name": "summer",
        "note": "for the hall",
        "families": {"lift": "Lifts", "turn": "Turns"},
    }
    found = difference(DOCUMENT | {"families": DOCUMENT["families"] | {"x": "X"}}, after, number=1)
    assert [change.sentence for change in found.outline] == [
        "called “summer” now, it was “spring”",
        "the note on the whole has changed",
        "the family “Low lifts” is called “Lifts” now",
        "the family “Turns” is new",
        "the family “Holding tight” is gone",
        "the family “X” is gone",
    ]
    assert difference(DOCUMENT, deepcopy(DOCUMENT), number=1).cards == ()


# -- against which edition -------------------------------------------------------------------


def test_editions_and_drafts_against_the_last_that_stands(head):
    publish(head)
    publish(head, renamed())
    publish(head, renamed() | {"name": "third", "succession": []})

    def keys(found):
        return found.number, [(card.skill, card.what) for card in found.cards]

    both = [("seat", "changed"), ("flat_table", "renamed")]
    assert keys(differences.of_edition(head, number=3)) == (2, [])
    # What the second carried on holds from the first to the third too, and not back again.
    assert keys(differences.of_edition(head, number=3, since=1)) == (1, both)
    assert keys(differences.of_edition(head, number=1, since=3)) == (
        3,
        [("table", "new"), ("seat", "changed"), ("flat_table", "gone")],
    )
    assert keys(differences.of_edition(head, number=1)) == (
        None,
        [("table", "new"), ("lean", "new"), ("seat", "new")],
    )
    withdrawals.withdraw(head, number=2, reason="x", at=AT)
    assert differences.of_edition(head, number=3).number == 1
    draft = draft_of(head, LATER)
    assert keys(differences.of_draft(head, draft_id=draft.id, number=1)) == (
        1,
        [("table", "changed")],
    )
    assert differences.of_draft(head, draft_id=draft.id).number == 3


def test_differences_that_cannot_be_seen(head):
    publish(head)
    draft = draft_of(head, LATER)
    other = factories.scope(factories.MemberFactory())
    with pytest.raises(NotAllowed):
        differences.of_draft(staff(head, "teacher"), draft_id=draft.id)
    for asked in (
        lambda: differences.of_draft(other, draft_id=draft.id),
        lambda: differences.of_draft(head, draft_id=draft.id, number=2),
        lambda: differences.of_edition(other, number=1),
        lambda: differences.of_edition(head, number=1, since=2),
    ):
        with pytest.raises(Unknown):
            asked()
