from dataclasses import replace
from datetime import timedelta

import pytest

from engine.grouping.problem import Group, Role
from planning import proposals
from planning.proposals import propose
from tests.planning.build import (
    AGREED,
    AROHA,
    CARDS,
    DOCUMENTS,
    LEANS,
    ON,
    PROPS,
    ZEYNEP,
    Pupil,
    child,
    clean,
    evening,
    pupils,
)

BAR = 0.80
FOUR = ("Amara", "Bao", "Hana", "Tariq")
RANKS = ("001", "002", "003", "004")
LATER = ON + timedelta(days=30)
SIGNE = replace(AROHA, name="Signe H.")
LIFTED = {"tries": PROPS, "agreed": AGREED, "height_cm": 130.0, "height_on": ON}


def problem(tonight, key, **asked):
    return proposals.problem(tonight, tonight.edition.cards[key], **asked)


def proposed(tonight, key, **asked):
    return propose(tonight, tonight.edition.cards[key], **asked)


def names(group):
    return {role: tuple(one.name for one in held) for role, held in group.seats.items()}


def left(proposal):
    return {one.child.name: (one.reason, one.sentence) for one in proposal.still_to_place}


def with_card(key, **changes):
    return DOCUMENTS | {key: DOCUMENTS[key] | changes}


# -- the problem -----------------------------------------------------------------------------


def test_the_bar_stands_at_every_role_that_children_hold():
    assert problem(evening(), "line").skill.roles == (
        Role("front", 1, 1, BAR),
        Role("middle", 0, 1, BAR),
        Role("back", 1, 1, BAR),
    )
    assert problem(evening(policy={"bar": 0.9}), "lean").skill.roles == (
        Role("partner", 2, 2, 0.9),
    )


@pytest.mark.parametrize("key", ["bridge", "straight_lean", "chest_rest", "seat"])
def test_an_adult_spots_whether_the_card_has_the_role_or_not(key):
    last = problem(evening(*pupils(*FOUR)), key).skill.roles[-1]
    assert last.name == "spotter"
    assert (last.min, last.max) == (1, 1)
    assert last.adults_may_fill
    assert not last.students_may_fill


def test_the_card_says_how_many_spot():
    roles = DOCUMENTS["seat"]["roles"] | {"spotter": {"min": 2, "max": 2}}
    tonight = evening(documents=with_card("seat", roles=roles))
    last = problem(tonight, "seat").skill.roles[-1]
    assert (last.name, last.min, last.max) == ("spotter", 2, 2)


@pytest.mark.parametrize("key", ["lean", "line"])
def test_what_is_not_spotted_takes_no_adult(key):
    found = problem(evening(spotters=(AROHA, ZEYNEP)), key)
    assert "spotter" not in found.skill.role
    assert found.adults == 0


def test_the_adults_are_those_who_may_spot_the_family():
    spotters = (AROHA, replace(ZEYNEP, may_spot=frozenset({"leans"})))
    tonight = evening(spotters=spotters)
    assert problem(tonight, "straight_lean").adults == 2
    assert problem(tonight, "seat").adults == 1


def test_readiness_is_what_the_log_says():
    tonight = evening(Pupil("Amara", clean("table")), Pupil("Bao"))
    amara, bao = problem(tonight, "chest_rest").students
    for one in (amara, bao):
        judged = child(tonight, "Amara" if one is amara else "Bao").judged
        assert one.readiness == {
            role: judged["chest_rest", role].number for role in ("base", "flyer")
        }
    assert amara.readiness["base"] > BAR > amara.readiness["flyer"]
    # Nothing is seen: the chance of a class that nobody knows.
    assert bao.readiness["base"] == bao.readiness["flyer"] == pytest.approx(0.2)


def test_a_yes_lifts_readiness_to_the_bar_and_never_lowers_it():
    yeses = [("Amara", "seat", "base"), ("Amara", "seat", "flyer"), ("Bao", "seat", "flyer")]
    tonight = evening(Pupil("Amara", clean("table")), Pupil("Bao"), yeses=yeses)
    amara, bao = problem(tonight, "seat").students
    assert amara.readiness["base"] == child(tonight, "Amara").judged["seat", "base"].number > BAR
    assert amara.readiness["flyer"] == BAR
    assert bao.readiness == {"base": pytest.approx(0.2), "flyer": BAR}


def test_stops_bar_their_roles():
    tonight = evening(
        Pupil("Amara", agreed=AGREED, restricted=(("wrists", LATER),)),
        Pupil("Bao", agreed=AGREED),
        Pupil("Hana"),
    )
    assert [one.barred for one in problem(tonight, "seat").students] == [
        {"base"},
        frozenset(),
        {"base", "flyer"},
    ]
    assert [one.barred for one in problem(tonight, "chest_rest").students] == [
        {"base"},
        frozenset(),
        frozenset(),
    ]


def test_turns_count_in_their_role_alone():
    tries = (
        *clean("seat", role="base", weeks=(2, 1)),
        *clean("chest_rest", role="flyer", weeks=(1,)),
    )
    [amara] = problem(evening(Pupil("Amara", tries)), "seat").students
    assert amara.turns == {"base": 2, "flyer": 1}
    [amara] = problem(evening(Pupil("Amara", tries)), "lean").students
    assert amara.turns == {}


@pytest.mark.parametrize(("mats", "turns", "groups"), [(0, 3, 0), (2, 3, 6), (4, 1, 4)])
def test_groups_take_turns_on_a_mat(mats, turns, groups):
    tonight = evening(mats=mats, policy={"turns_under_one_spot": turns})
    assert problem(tonight, "seat").mats == groups
    assert problem(tonight, "seat").turns_under_one_spot == turns


def test_pairs_are_told_by_rank():
    tonight = evening(
        *pupils(*FOUR),
        Pupil("Zola", not_today=True),
        apart=[("Tariq", "Bao"), ("Amara", "Zola")],
        together=[("Hana", "Amara")],
        pairs_ok=[("Tariq", "Amara"), ("Zola", "Bao")],
    )
    found = problem(tonight, "seat")
    assert found.apart == (("004", "002"),)
    assert found.together == (("003", "001"),)
    assert found.pairs_ok == (("004", "001"),)


def test_past_pairs_are_the_lessons_of_a_common_try():
    shared = clean("lean", role="partner", weeks=(3, 2, 1), group="first")
    once = clean("lean", role="partner", weeks=(2,), group="second")
    alone = clean("tight", weeks=(1,), group="whole class")
    tonight = evening(
        Pupil("Amara", (*shared, *alone)),
        Pupil("Bao", (*shared, *once, *alone)),
        Pupil("Hana", (*once, *alone)),
        Pupil("Tariq", (*once, *alone), not_today=True),
    )
    assert problem(tonight, "seat").past_pairs == (("001", "002", 3), ("002", "003", 1))


def test_only_who_is_up_for_it_is_asked():
    tonight = evening(Pupil("Amara"), Pupil("Bao", not_today=True), Pupil("Hana"))
    assert [one.id for one in problem(tonight, "lean").students] == ["001", "003"]


def test_load_counts_where_somebody_is_lifted():
    heavy = {"mass_kg": 31.5, "height_cm": 131.0}
    tonight = evening(Pupil("Amara", **heavy), Pupil("Bao"), policy={"max_load_ratio": 0.6})
    lifted, propped = problem(tonight, "seat"), problem(tonight, "chest_rest")
    assert lifted.skill.max_load_ratio == 0.6
    assert propped.skill.max_load_ratio is None
    assert lifted.skill.if_mass_unknown == propped.skill.if_mass_unknown == "ask"
    assert (lifted.skill.carried_share, propped.skill.carried_share) == (1.0, 0.5)
    assert [one.mass_kg for one in lifted.students] == [(31.5, 31.5), None]
    assert [one.height_cm for one in lifted.students] == [131.0, None]


def test_what_else_the_card_rules():
    skill = problem(
        evening(documents=with_card("seat", flyer_taller_by_at_most_cm=8)), "seat"
    ).skill
    assert skill.max_height_difference_cm == 30
    assert skill.flyer_taller_by_at_most_cm == 8
    assert skill.keep_partners
    assert not problem(evening(), "lean").skill.keep_partners


def test_where_the_card_is_silent_the_school_says_how_much_taller():
    tonight = evening(policy={"flyer_taller_by_at_most_cm": 4})
    assert problem(tonight, "seat").skill.flyer_taller_by_at_most_cm == 4
    assert problem(tonight, "chest_rest").skill.flyer_taller_by_at_most_cm is None


@pytest.mark.parametrize(("size", "middle"), [(None, 6), (2, 0), (3, 1), (5, 3), (20, 6)])
def test_nobody_is_proposed_into_a_group_longer_than_its_learning_size(size, middle):
    document = {key: value for key, value in DOCUMENTS["line"].items() if key != "learning_size"}
    if size:
        document["learning_size"] = size
    tonight = evening(documents=DOCUMENTS | {"line": document})
    assert {role.name: role.max for role in problem(tonight, "line").skill.roles} == {
        "front": 1,
        "middle": middle,
        "back": 1,
    }


def test_two_open_roles_share_one_learning_size():
    roles = {"base": {"min": 1, "max": 3}, "flyer": {"min": 1, "max": 3}}
    tonight = evening(documents=with_card("chest_rest", roles=roles, learning_size=3))
    sized = problem(tonight, "chest_rest").skill.role
    assert sized["base"].max + sized["flyer"].max == 3
    assert min(sized["base"].max, sized["flyer"].max) == 1


def test_standing_groups_go_along():
    standing = (Group({"partner": ("001", "003")}),)
    assert problem(evening(*pupils(*FOUR)), "lean", standing=standing).standing == standing


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


def test_standing_groups_stay_as_far_as_they_can():
    four = pupils(*FOUR, tries=LEANS)
    standing = (Group({"partner": ("001", "004")}), Group({"partner": ("002", "003")}))
    stayed = proposed(evening(*four), "lean", standing=standing)
    assert [names(group)["partner"] for group in stayed.groups] == [
        ("Amara", "Tariq"),
        ("Bao", "Hana"),
    ]
    without = evening(*four)
    without = replace(without, here=tuple(one for one in without.here if one.name != "Bao"))
    left_over = proposed(without, "lean", standing=standing)
    assert [names(group)["partner"] for group in left_over.groups] == [("Amara", "Tariq")]


def test_the_names_of_the_ranks_are_the_children_s():
    assert [one.rank for one in evening(*pupils(*FOUR)).here] == list(RANKS)
