"""The demo's cards, read against what a careful teacher wants to know before a lift."""

import pytest

from curriculum.documents import read_yaml
from curriculum.editions import read_curriculum
from demo.management.commands.demo import CURRICULUM

DOCUMENT = read_yaml(CURRICULUM.read_bytes())
LIFTED = sorted(key for key, card in DOCUMENT["skills"].items() if card.get("lifted"))
IN_DEPTH = sorted(key for key, card in DOCUMENT["skills"].items() if card.get("steps"))


def test_it_is_a_sound_curriculum_of_79_skills():
    assert len(read_curriculum(CURRICULUM.read_bytes()).cards) == 79


@pytest.mark.parametrize("key", LIFTED)
def test_a_lifted_card_says_what_keeps_children_whole(key):
    card = DOCUMENT["skills"][key]
    assert {"stands"} <= card["spot"].keys()
    assert {"way_down", "caution", "youngest_age", "carried_share"} <= card.keys()


@pytest.mark.parametrize("key", sorted(set(LIFTED) & set(IN_DEPTH)))
def test_a_lifted_card_in_depth_says_where_the_hands_are_all_the_way(key):
    card = DOCUMENT["skills"][key]
    assert {"stands", "way_up", "hold", "way_down"} <= card["spot"].keys()
    assert {"contacts", "stop", "bail_out", "steps", "cues", "faults"} <= card.keys()
    assert card["ways_in"]
    assert card["ways_out"]


def test_what_the_demo_class_works_on_is_written_in_depth():
    reached = {
        key
        for key, card in DOCUMENT["skills"].items()
        if card["family"] in ("safe", "lean", "line")
    }
    reached |= {
        "chest_rest_inverted_v",
        "hands_and_knees_table",
        "belly_up_table",
        "seat_on_a_table",
        "kneeling_on_a_table",
        "standing_on_a_table",
        "kneeling_on_two_tables",
        "thigh_stand_facing_base",
        "thigh_stand_facing_out",
    }
    pending = list(reached)
    while pending:
        for role in DOCUMENT["skills"][pending.pop()]["roles"].values():
            new = _needed(role.get("needs", {})) - reached
            reached |= new
            pending += new
    assert sorted(reached - set(IN_DEPTH)) == []


def _needed(tree):
    if "skill" in tree:
        return {tree["skill"]}
    parts = tree.get("all_of", []) + tree.get("any_of", [])
    return {key for part in parts for key in _needed(part)}


def test_nothing_may_be_practised_at_home_that_lifts():
    assert [key for key in LIFTED if "at_home" in DOCUMENT["skills"][key]] == []
