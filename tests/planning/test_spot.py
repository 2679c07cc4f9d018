"""What the spot to begin with may not pass: an agreement, a yes for a lift, a floor new to her."""

from dataclasses import replace

import pytest

from planning import gates, reasons
from planning.group_lines import ask_words
from tests.planning.build import (
    AGREED,
    CARDS,
    HANDS_ON,
    ON,
    PROPS,
    Pupil,
    child,
    clean,
    evening,
    pupils,
)

STAGE = "the stage"
KEPT_ELSEWHERE = {"agreements_kept_elsewhere": True}


def advice(tonight, key, role):
    return reasons.advice(tonight, CARDS[key], role, child(tonight, "Amara"), new_pair=False)


# -- hands on only where a guardian has agreed ----------------------------------------------


@pytest.mark.parametrize(
    ("agreed", "policy", "spot"),
    [
        (HANDS_ON, {}, "hands_on"),
        (AGREED, {}, "hands_on"),
        (frozenset(), {}, "hands_near"),
        (frozenset({"lifting"}), {}, "hands_near"),
        (frozenset(), KEPT_ELSEWHERE, "hands_on"),
    ],
)
def test_hands_stay_near_without_the_agreement(agreed, policy, spot):
    tonight = evening(Pupil("Amara", clean("table"), agreed=agreed), policy=policy)
    assert advice(tonight, "bridge", "solo") == spot


@pytest.mark.parametrize(("used", "spot"), [("hands_near", "hands_near"), ("none", "none")])
@pytest.mark.parametrize("agreed", [HANDS_ON, frozenset()])
def test_what_needs_no_hands_is_the_same_without_the_agreement(agreed, used, spot):
    amara = Pupil("Amara", clean("bridge", spot=used), agreed=agreed)
    assert advice(evening(amara), "bridge", "solo") == spot


# -- a lift with no spot ---------------------------------------------------------------------


def lifting(key, *yeses):
    """Amara, steady with no spot as a flyer, and the kinds of yes that she has for it."""
    steady = (*PROPS, *clean(key, role="flyer"))
    tonight = evening(Pupil("Amara", steady, agreed=AGREED))
    amara = child(tonight, "Amara").id
    return replace(tonight, yeses=frozenset((amara, key, "flyer", kind) for kind in yeses))


@pytest.mark.parametrize(
    ("key", "yeses", "spot"),
    [
        ("seat", (), "hands_near"),
        ("seat", ("begin",), "hands_near"),
        ("seat", ("show",), "hands_near"),
        ("seat", ("no_spot",), "none"),
        ("seat", ("begin", "no_spot"), "none"),
        ("chest_rest", (), "none"),  # nobody's feet leave the floor
    ],
)
def test_a_lift_goes_unspotted_after_a_yes_to_that_alone(key, yeses, spot):
    assert advice(lifting(key, *yeses), key, "flyer") == spot


def test_a_yes_to_no_spot_holds_for_its_own_role_and_skill():
    tonight = lifting("seat")
    amara = child(tonight, "Amara").id
    for held in ((amara, "seat", "base", "no_spot"), (amara, "chest_rest", "flyer", "no_spot")):
        assert advice(replace(tonight, yeses=frozenset({held})), "seat", "flyer") == "hands_near"


# -- a floor new to her ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("surface", "tried_on", "new"),
    [
        (None, "", False),  # nobody names a floor: the usual one
        (STAGE, "", True),
        (STAGE, "grass", True),
        (STAGE, STAGE, False),
        (STAGE, "The  Stage", False),
    ],
)
def test_on_a_new_floor_hands_are_on_again(surface, tried_on, new):
    amara = Pupil("Amara", (*clean("bridge"), *clean("table", weeks=(1,), surface=tried_on)))
    tonight = evening(amara, surface=surface)
    assert gates.is_new_floor(tonight, child(tonight, "Amara")) == new
    assert advice(tonight, "bridge", "solo") == ("hands_on" if new else "none")


def test_who_has_not_agreed_to_hands_has_them_near_on_a_new_floor():
    tonight = evening(Pupil("Amara", clean("bridge"), agreed=frozenset()), surface=STAGE)
    assert advice(tonight, "bridge", "solo") == "hands_near"


def test_a_floor_is_new_to_each_child_by_herself():
    tonight = evening(
        Pupil("Amara", clean("table", surface=STAGE)), Pupil("Bao", clean("table")), surface=STAGE
    )
    assert [gates.is_new_floor(tonight, one) for one in tonight.here] == [False, True]


@pytest.mark.parametrize(
    ("key", "roles", "asks"),
    [
        ("seat", ("base", "flyer"), True),
        ("chest_rest", ("base", "flyer"), True),
        ("lean", ("partner",), False),
        ("line", ("front", "back"), False),
    ],
)
def test_a_look_at_whoever_is_new_to_the_floor_where_there_is_a_spot(key, roles, asks):
    known = {"height_cm": 130.0, "height_on": ON}
    tonight = evening(*pupils("Amara", "Bao", **known), surface=STAGE)
    seats = dict(zip(roles, ([one] for one in tonight.here), strict=False))
    found = [ask for ask in gates.group_asks(tonight, CARDS[key], seats) if ask.code == "floor"]
    assert bool(found) == asks
    if asks:
        assert [ask.names for ask in found] == [("Amara",), ("Bao",)]
        assert ask_words(found) == "a look at Amara and Bao, new to this floor"
