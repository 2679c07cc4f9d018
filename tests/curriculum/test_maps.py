"""The map of an edition, and of a draft beside one."""

import json
from pathlib import Path
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from accounts.scope import NotAllowed, Unknown
from curriculum import maps
from tests.curriculum.build import (
    DOCUMENT,
    LATER,
    change_draft,
    draft_of,
    leaf,
    publish,
    renamed,
    staff,
    with_skill,
)

STATEMENTS = json.loads((Path(__file__).parent / "statements.json").read_text(encoding="utf-8"))


def nodes(found):
    return {one.key: one for one in found.nodes}


def edges(found):
    return {(one.start, one.end): one for one in found.edges}


def changes(found):
    return {one.key: one.changed for one in found.nodes}


def test_an_edition_in_full(head):
    document = with_skill("table", tier="low")
    document["skills"]["seat"]["roles"]["base"]["needs"] = {
        "any_of": [leaf("table"), leaf("lean", help="hands_on")]
    }
    publish(head, document)
    found = maps.of_edition(staff(head, "assistant"), number=1)
    assert (found.number, found.against, found.layers, found.width) == (1, None, 3, 2)
    assert [(one.key, one.name) for one in found.families] == [
        ("tight", "Holding tight"),
        ("lift", "Low lifts"),
    ]
    assert [(one.key, one.kind, one.card, one.layer) for one in found.nodes] == [
        ("lean", "skill", "lean", 0),
        ("table", "skill", "table", 0),
        ("seat.1", "one_of", "seat", 1),
        ("seat", "skill", "seat", 2),
    ]
    seat, table, join = (nodes(found)[key] for key in ("seat", "table", "seat.1"))
    assert (seat.name, seat.family, seat.lifted, seat.tier) == ("Seat", "lift", True, "floor")
    assert (seat.roles, seat.changed) == (("base", "flyer"), None)
    assert (table.lifted, table.tier, table.roles) == (False, "low", ("solo",))
    assert (join.name, join.family, join.lifted, join.tier, join.roles) == (*[None] * 4, ())
    found = edges(found)
    assert {ends: (one.kind, one.runs, one.circle) for ends, one in found.items()} == {
        ("table", "seat.1"): ("any_of", "up", False),
        ("lean", "seat.1"): ("any_of", "up", False),
        ("seat.1", "seat"): ("all_of", "up", False),
        ("lean", "seat"): ("all_of", "up", False),
    }
    # A leaf without a role means the only one that the needed skill has.
    [ask] = found["lean", "seat.1"].needs
    assert (ask.role, ask.of_role, ask.help) == ("base", "partner", "hands_on")
    with pytest.raises(Unknown, match="no such edition"):
        maps.of_edition(head, number=2)


def test_a_draft_beside_an_edition(head):
    publish(head)
    publish(head, LATER)
    draft = draft_of(head, renamed())
    found = maps.of_draft(head, draft_id=draft.id)
    assert (found.number, found.against) == (None, 2)
    expected = {"lean": "same", "seat": "changed", "flat_table": "added", "table": "gone"}
    assert changes(found) == expected
    draft = change_draft(head, draft, LATER)
    assert {*changes(maps.of_draft(head, draft_id=draft.id)).values()} == {"same"}
    found = maps.of_draft(head, draft_id=draft.id, number=1)
    assert found.against == 1
    assert changes(found) == {"lean": "same", "seat": "same", "table": "changed"}


def test_what_is_gone_is_drawn_as_it_was_with_its_family(head):
    publish(head)
    later = with_skill("mat", roles={"solo": {}})
    del later["skills"]["seat"], later["families"]["lift"]
    found = maps.of_draft(head, draft_id=draft_of(head, later).id)
    assert changes(found) == {"lean": "same", "mat": "added", "seat": "gone", "table": "same"}
    seat = nodes(found)["seat"]
    assert (seat.name, seat.layer, seat.lifted) == ("Seat", 1, True)
    assert {*edges(found)} == {("lean", "seat"), ("table", "seat")}
    assert [(one.key, one.name) for one in found.families] == [
        ("tight", "Holding tight"),
        ("lift", "Low lifts"),
    ]


def marks(found):
    return {ends: one.changed for ends, one in edges(found).items()}


def test_what_is_needed_by_now_and_no_more_is_marked(head):
    publish(head)
    later = with_skill("board", roles={"solo": {"needs": leaf("table")}})
    roles = later["skills"]["seat"]["roles"]
    roles["base"]["needs"] = {"any_of": [leaf("board"), leaf("lean", help="hands_on")]}
    roles["flyer"]["needs"] = leaf("table", role="solo")
    found = maps.of_draft(head, draft_id=draft_of(head, later).id)
    assert marks(found) == {
        ("table", "board"): "added",
        ("board", "seat.1"): "added",
        ("lean", "seat.1"): "changed",  # less is enough, and it is one of two
        ("seat.1", "seat"): "same",
        ("table", "seat"): "changed",  # another role needs it
    }
    later["skills"]["seat"]["roles"]["base"]["needs"] = {
        "any_of": [leaf("board"), {"all_of": [leaf("board"), leaf("mat")]}]
    }
    later["skills"]["mat"] = later["skills"]["board"] | {"name": "Mat"}
    found = maps.of_draft(head, draft_id=draft_of(head, later).id)
    assert {ends: what for ends, what in marks(found).items() if "seat" in ends} == {
        ("lean", "seat"): "gone",
        ("seat.2", "seat"): "added",
        ("table", "seat"): "changed",
    }
    # It is told as it was, and nothing but it is led round it.
    gone = edges(found)["lean", "seat"]
    assert [(one.role, one.of_role, one.help) for one in gone.needs] == [
        ("base", "partner", "no_spot"),
        ("flyer", "partner", "no_spot"),
    ]
    assert {one.runs for one in found.edges} == {"up"}


def test_a_need_that_is_turned_round_is_no_circle(head):
    publish(head)
    later = with_skill("table", roles={"solo": {"needs": leaf("seat", role="flyer")}})
    later["skills"]["seat"]["roles"]["base"]["needs"] = leaf("lean")
    found = maps.of_draft(head, draft_id=draft_of(head, later).id)
    told = {ends: (one.changed, one.runs, one.circle) for ends, one in edges(found).items()}
    assert told == {
        ("lean", "seat"): ("same", "up", False),
        ("seat", "table"): ("added", "up", False),
        ("table", "seat"): ("gone", "down", False),
    }


def test_nothing_is_marked_where_nothing_is_compared(head):
    publish(head)
    assert {*marks(maps.of_edition(head, number=1)).values()} == {None}
    assert {*marks(maps.of_draft(head, draft_id=draft_of(head).id)).values()} == {"same"}


def test_a_draft_with_faults_is_drawn_and_tells_them(head):
    document = with_skill("table", roles={"solo": {"needs": leaf("seat", role="base")}})
    document["skills"]["lean"]["roles"]["partner"]["needs"] = leaf("tower")
    document["skills"]["seat"]["roles"]["flyer"]["needs"] = leaf("lean", role="flyer")
    found = maps.of_draft(head, draft_id=draft_of(head, document).id)
    assert found.against is None
    assert changes(found) == {"lean": "added", "seat": "added", "table": "added", "tower": None}
    tower = nodes(found)["tower"]
    assert (tower.kind, tower.card, tower.name) == ("unknown", "tower", None)
    assert {ends for ends, one in edges(found).items() if one.circle} == {
        ("seat", "table"),
        ("table", "seat"),
    }
    assert sorted(one.runs for one in found.edges if one.circle) == ["down", "up"]


def test_a_draft_is_drawn_for_a_head_teacher_of_its_school(head):
    draft = draft_of(head, DOCUMENT)
    with pytest.raises(NotAllowed):
        maps.of_draft(staff(head, "teacher"), draft_id=draft.id)
    with pytest.raises(Unknown, match="no such draft"):
        maps.of_draft(head, draft_id=uuid4())
    with pytest.raises(Unknown, match="no such edition"):
        maps.of_draft(head, draft_id=draft.id, number=0)


def test_statements_are_counted_and_hang_on_nothing(head):
    publish(head)
    draft = draft_of(head)
    with CaptureQueriesContext(connection) as asked:
        maps.of_edition(head, number=1)
    assert len(asked) == STATEMENTS["edition map"]
    with CaptureQueriesContext(connection) as asked:
        maps.of_draft(head, draft_id=draft.id)
    assert len(asked) == STATEMENTS["draft map"]
