from dataclasses import replace
from datetime import timedelta

import pytest

from engine.grouping.problem import Group, Role
from planning import proposals
from tests.planning.build import (
    AGREED,
    AROHA,
    DOCUMENTS,
    FOUR,
    ON,
    ZEYNEP,
    Pupil,
    child,
    clean,
    evening,
    pupils,
    with_card,
)

BAR = 0.80
LATER = ON + timedelta(days=30)


def problem(tonight, key, **asked):
    return proposals.problem(tonight, tonight.edition.cards[key], **asked)


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


def test_a_card_that_lets_the_spotter_out_still_has_one():
    roles = DOCUMENTS["seat"]["roles"] | {"spotter": {"min": 0, "max": 2}}
    tonight = evening(documents=with_card("seat", roles=roles))
    last = problem(tonight, "seat").skill.roles[-1]
    assert (last.name, last.min, last.max) == ("spotter", 1, 2)


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
