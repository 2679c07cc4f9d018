from dataclasses import replace
from datetime import timedelta

import pytest

from planning import proposals
from planning.proposals import propose
from tests.planning.build import (
    AGREED,
    AROHA,
    CARDS,
    DOCUMENTS,
    FOUR,
    LEANS,
    LIFTED,
    ON,
    PROPS,
    ZEYNEP,
    Pupil,
    child,
    clean,
    evening,
    pupils,
    with_card,
)

RANKS = ("001", "002", "003", "004")
LATER = ON + timedelta(days=30)
SIGNE = replace(AROHA, name="Signe H.")


def proposed(tonight, key):
    return propose(tonight, tonight.edition.cards[key])


def names(group):
    return {role: tuple(one.name for one in held) for role, held in group.seats.items()}


def left(proposal):
    return {one.child.name: (one.reason, one.sentence) for one in proposal.still_to_place}


# -- the proposal ----------------------------------------------------------------------------


def test_everybody_who_is_ready_has_a_place():
    found = proposed(evening(*pupils(*FOUR, tries=LEANS)), "lean")
    assert [names(group) for group in found.groups] == [
        {"partner": ("Amara", "Bao")},
        {"partner": ("Hana", "Tariq")},
    ]
    assert (found.placed, found.proven, left(found), found.class_stops) == (4, True, {}, ())
    assert all(group.spotters == () and group.turn == 1 for group in found.groups)


def test_moved_on_are_those_placed_who_have_something_to_learn():
    steady = (*LEANS, *clean("lean", role="partner"))
    tonight = evening(Pupil("Amara", steady), *pupils("Bao", "Hana", tries=LEANS))
    found = proposed(tonight, "lean")
    placed = {one.name for group in found.groups for one in group.children}
    assert len(placed) == 2
    assert {one.name for one in found.moved_on} == placed - {"Amara"}
    assert not proposals.moves_on(tonight, CARDS["lean"], child(tonight, "Amara"))
    assert proposals.moves_on(tonight, CARDS["lean"], child(tonight, "Bao"))


def test_nobody_moves_on_in_what_is_stopped_or_not_ready():
    tonight = evening(Pupil("Amara", PROPS), Pupil("Bao", agreed=AGREED))
    for one in tonight.here:
        assert not proposals.moves_on(tonight, CARDS["seat"], one)


def test_a_yes_lets_her_move_on():
    tonight = evening(Pupil("Bao", agreed=AGREED), yeses=[("Bao", "seat", "flyer")])
    assert proposals.moves_on(tonight, CARDS["seat"], child(tonight, "Bao"))


def spotting(proposal):
    return [(group.spotters, group.turn) for group in proposal.groups]


def eight(*spotters, documents=DOCUMENTS):
    called = ("Amara", "Bao", "Demba", "Hana", "Ikaika", "Mireille", "Rangi", "Tariq")
    return evening(*pupils(*called, **LIFTED), spotters=spotters, documents=documents)


def test_one_adult_takes_the_groups_in_turn():
    found = proposed(eight(AROHA), "seat")
    assert spotting(found) == [(("Aroha T.",), turn) for turn in (1, 2, 3)]
    assert len(found.still_to_place) == 2


def test_adults_take_the_groups_round_robin_by_name():
    assert spotting(proposed(eight(AROHA, SIGNE, ZEYNEP), "seat")) == [
        (("Aroha T.",), 1),
        (("Signe H.",), 1),
        (("Zeynep A.",), 1),
        (("Aroha T.",), 2),
    ]


@pytest.mark.parametrize("adults", [1, 2, 3, 4])
@pytest.mark.parametrize("each", [1, 2])
def test_no_adult_has_two_lifts_at_once(adults, each):
    roles = DOCUMENTS["seat"]["roles"] | {"spotter": {"min": each, "max": each}}
    spotters = (AROHA, replace(AROHA, name="Pilar G."), SIGNE, ZEYNEP)[:adults]
    found = proposed(eight(*spotters, documents=with_card("seat", roles=roles)), "seat")
    busy = [(name, group.turn) for group in found.groups for name in group.spotters]
    assert len(set(busy)) == len(busy)
    assert all(len(set(group.spotters)) == each for group in found.groups)
    assert bool(found.groups) == (adults >= each)


def test_lifts_with_agreements_come_as_asks():
    found = proposed(evening(*pupils("Amara", "Bao", **LIFTED)), "seat")
    [group] = found.groups
    assert [ask.code for ask in group.asks] == ["yes", "yes", "pair"]


def test_leans_and_props_ask_for_nothing_and_need_no_agreement():
    tonight = evening(*pupils(*FOUR, tries=PROPS))
    for key in ("lean", "chest_rest", "line"):
        found = proposed(tonight, key)
        assert found.placed == 4
        assert [group.asks for group in found.groups] == [()] * len(found.groups)


def test_a_stop_for_everybody_gives_no_groups():
    tonight = evening(*pupils(*FOUR, **LIFTED), spotters=())
    found = proposed(tonight, "seat")
    assert [stop.code for stop in found.class_stops] == ["no_spotter", "adults_in_room"]
    assert (found.groups, found.still_to_place, found.moved_on, found.placed) == ((), (), (), 0)
    assert proposals.upper_bound(tonight, CARDS["seat"]) == 0


@pytest.mark.parametrize("key", ["lean", "straight_lean", "chest_rest", "seat", "line"])
def test_the_bound_is_never_below_what_is_placed(key):
    tonight = evening(*pupils("Amara", "Bao", **LIFTED), *pupils("Hana", "Tariq", tries=LEANS))
    assert proposals.upper_bound(tonight, CARDS[key]) >= proposed(tonight, key).placed


def test_who_is_not_ready_is_left_with_a_reason():
    found = proposed(evening(*pupils("Amara", "Bao", tries=LEANS), Pupil("Hana")), "lean")
    assert left(found) == {
        "Hana": (
            "not_ready",
            "A few more tries come first; a teacher's yes would open this hold already.",
        )
    }


def test_who_is_stopped_is_told_by_what():
    resting = replace(
        Pupil("Hana", **LIFTED), restricted=(("wrists", LATER), ("flyer", LATER)), trial=True
    )
    found = proposed(evening(*pupils("Amara", "Bao", **LIFTED), resting), "seat")
    assert left(found) == {
        "Hana": (
            "barred",
            "the wrists rest until 9 April; on trial: no lifts yet; not as flyer until 9 April",
        )
    }


def test_only_stops_of_roles_she_is_ready_for_are_told():
    hana = Pupil("Hana", clean("tight"), agreed=AGREED, restricted=(("flyer", LATER),), trial=True)
    found = proposed(evening(*pupils("Amara", "Bao", **LIFTED), hana), "chest_rest")
    assert left(found)["Hana"] == ("barred", "not as flyer until 9 April")


def test_kept_apart_and_kept_together():
    found = proposed(
        evening(*pupils(*FOUR, tries=LEANS), apart=[("Amara", "Bao")], together=[("Bao", "Hana")]),
        "lean",
    )
    assert [names(group)["partner"] for group in found.groups] == [
        ("Amara", "Tariq"),
        ("Bao", "Hana"),
    ]


def test_a_mat_short():
    tonight = evening(*pupils(*FOUR, tries=LEANS), mats=1, policy={"turns_under_one_spot": 1})
    found = proposed(tonight, "lean")
    assert len(found.groups) == 1
    assert {reason for reason, _ in left(found).values()} == {"would_break_another"}
    none = proposed(replace(tonight, mats=0), "lean")
    assert {reason for reason, _ in left(none).values()} == {"no_mat"}


def test_the_names_of_the_ranks_are_the_children_s():
    assert [one.rank for one in evening(*pupils(*FOUR)).here] == list(RANKS)
