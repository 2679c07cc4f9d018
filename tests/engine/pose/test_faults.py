"""What a writer is told about a pose that cannot be."""

import pytest

from engine.pose import PoseFault, faults, pose_of

PLANK = {"role": "base", "shoulder": 72, "on": {"hands": "floor", "toes": "floor"}}


def told(*figures, lifted=False, **pose):
    found = faults(pose_of({"figures": list(figures), **pose}), lifted=lifted)
    return [(one.figure, one.key, one.sentence) for one in found]


def test_a_sound_pose_has_none():
    assert told(PLANK, {"role": "flyer", "on": {"feet": "base.hips"}}, lifted=True) == []


POINTS = (
    "feet, foot, other_foot, toes, toe, other_toe, insteps, instep, other_instep, "
    "shins, shin, other_shin, knees, knee, other_knee, thighs, thigh, other_thigh, "
    "elbows, elbow, other_elbow, hands, hand, other_hand, hips, back, shoulders, head"
)


@pytest.mark.parametrize(
    ("flyer", "key", "sentence"),
    [
        ({"on": {"feet": "box"}}, "on/feet", "this pose has no box"),
        (
            {"on": {"feet": "thighs"}},
            "on/feet",
            "“thighs” should be floor, box or a point of a figure, such as base.hips",
        ),
        ({"on": {"feet": "bases.hips"}}, "on/feet", "no figure “bases”; there are base"),
        ({"on": {"feet": "flyer.hips"}}, "on/feet", "no figure “flyer”; there are base"),
        ({"on": {"feet": "base.hipps"}}, "on/feet", f"no point “hipps”; there are {POINTS}"),
        (
            {"reach": {"hands": "spotter.hands"}},
            "reach/hands",
            "no figure “spotter”; there are base, flyer",
        ),
        (
            {"trunk": 10, "on": {"feet": "base.hips", "hands": "floor"}},
            "trunk",
            "two contacts turn the figure: leave this out",
        ),
    ],
)
def test_what_leads_nowhere(flyer, key, sentence):
    assert told(PLANK, {"role": "flyer", **flyer}) == [(1, key, sentence)]


def test_the_first_figure_has_none_above_it():
    [(_, key, sentence)] = told({"role": "flyer", "on": {"feet": "base.hips"}}, PLANK)
    assert (key, sentence) == ("on/feet", "no figure “base” above")


def test_hands_that_do_not_get_there():
    # A whole stature away at the height of the shoulders, with arms of 0.3136.
    flyer = {"role": "flyer", "size": 1, "x": 1, "reach": {"hands": "base.shoulders"}}
    said = "misses it by 69% of a child's height"
    assert told({"role": "base"}, flyer) == [(1, "reach/hands", said)]


def test_two_contacts_that_are_further_apart_than_the_figure():
    flyer = {"role": "flyer", "on": {"feet": "base.hips", "knees": "base.head"}}
    assert told(PLANK, flyer) == [(1, "on/knees", "misses it by 20% of a child's height")]


def test_a_figure_in_the_floor():
    # Standing straight, the hands hang 0.4876 above the soles.
    said = "is 49% of a child's height below the floor"
    assert told({"role": "base", "on": {"hands": "floor"}}) == [(0, "", said)]


def test_a_figure_in_the_air():
    # Upside down on her hands, which then reach for the head: 0.3136 - 0.1339 - (0.065 - 0.03).
    child = {"role": "solo", "trunk": 180, "shoulder": 180, "reach": {"hands": "solo.head"}}
    said = "is 14% of a child's height above the floor: say what it is on"
    assert told(child) == [(0, "", said)]


def test_a_lifted_flyer_does_not_stand_on_the_floor():
    said = "the card says lifted, but here the flyer is on the floor"
    assert told(PLANK, {"role": "flyer"}, lifted=True) == [(1, "", said)]
    assert told(PLANK, {"role": "flyer"}) == []


def test_all_are_told_at_once():
    pose = {
        "figures": [PLANK | {"reach": {"foot": "box"}}, {"role": "flyer", "on": {"feet": "wall"}}]
    }
    assert [one.figure for one in faults(pose_of(pose), lifted=False)] == [0, 1]
    assert isinstance(faults(pose_of(pose), lifted=False)[0], PoseFault)
