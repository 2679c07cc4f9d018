"""What stops and what asks in groups that children or a teacher formed."""

from dataclasses import replace
from datetime import timedelta

import pytest

from accounts.faults import BadDocument
from planning import by_hand
from tests.planning.build import (
    AROHA,
    CARDS,
    FOUR,
    KNOWS_STOP,
    LEANS,
    LIFTED,
    ON,
    PROPS,
    SIX,
    ZEYNEP,
    Pupil,
    evening,
    id_of,
    pupils,
    with_card,
)
from tests.planning.by_names import asks, formed, named, stops

PAIR = {"base": "Amara", "flyer": "Bao"}


def check(tonight, key, *groups):
    return by_hand.check(tonight, tonight.edition.cards[key], formed(*groups))


# -- stops -----------------------------------------------------------------------------------


def test_what_nothing_stops():
    checked = check(evening(*pupils(*FOUR, tries=LEANS)), "lean", {"partner": "Amara Bao"})
    assert (stops(checked), asks(checked)) == ([], [])


@pytest.mark.parametrize(
    ("facts", "sentence"),
    [
        ({"not_today": True}, "Amara: not today"),
        (
            {"restricted": (("wrists", ON + timedelta(days=54)),)},
            "Amara: the wrists rest until 3 May",
        ),
        ({"age": 6}, "Amara: comes later"),
        ({"trial": True}, "Amara: on trial: no lifts yet"),
        ({"agreed": frozenset({"hands_on"})}, "Amara: no lifts for now"),
    ],
)
def test_stops_of_one_child(facts, sentence):
    tonight = evening(Pupil("Amara", **LIFTED | facts), Pupil("Bao", **LIFTED))
    checked = check(tonight, "seat", PAIR)
    assert stops(checked) == [sentence]
    [stop] = checked.groups[0].stops
    assert (stop.students, stop.role) == ((id_of("Amara"),), "base")


def test_an_open_fall_stops():
    tonight = evening(*pupils(*FOUR, **LIFTED), open_falls=[("Bao", "seat", "base")])
    assert stops(check(tonight, "seat", PAIR)) == ["Bao: a teacher looks at it first"]


def test_who_is_away_has_no_place():
    tonight = evening(Pupil("Amara", **LIFTED), away=pupils("Bao", **LIFTED))
    checked = check(tonight, "seat", PAIR)
    assert stops(checked) == ["Bao is not here tonight"]
    assert [child.name for child in checked.groups[0].seats.children] == ["Amara"]


def test_who_has_left_the_class_since_is_not_named():
    tonight = evening(*pupils(*FOUR, tries=LEANS))
    checked = check(tonight, "lean", {"partner": "Amara Sunniva"})
    assert stops(checked) == ["somebody who has left the class is in this group"]


@pytest.mark.parametrize(
    ("group", "sentences"),
    [
        ({"base": "Amara"}, ["one more as flyer"]),
        ({"flyer": "Amara"}, ["one more as base"]),
        ({"base": "Amara Bao", "flyer": "Hana"}, ["one too many as base"]),
        ({"base": "Amara Bao Hana"}, ["one more as flyer", "two too many as base"]),
    ],
)
def test_too_few_and_too_many_in_a_role(group, sentences):
    assert sorted(stops(check(evening(*pupils(*FOUR, **LIFTED)), "seat", group))) == sentences


def test_a_role_that_the_card_no_longer_has():
    tonight = evening(*pupils(*FOUR, tries=LEANS))
    checked = check(tonight, "lean", {"partner": "Amara Bao", "front": "Hana"})
    assert stops(checked) == ["one too many as front"]


def test_an_adult_missing_stops_all_groups_once():
    tonight = evening(*pupils(*FOUR, **LIFTED), spotters=(), adults_in_room=2)
    two = (PAIR, {"base": "Hana", "flyer": "Tariq"})
    assert stops(check(tonight, "seat", *two)) == ["no adult is free tonight who may spot this"]


def test_more_groups_than_spots_and_mats_in_turn():
    tonight = evening(*pupils(*FOUR, **LIFTED), policy={"turns_under_one_spot": 1})
    two = (PAIR, {"base": "Hana", "flyer": "Tariq"})
    assert stops(check(tonight, "seat", *two)) == [
        "whoever is free to spot takes one group in turn, not two"
    ]
    assert stops(check(replace(tonight, spotters=(AROHA, ZEYNEP)), "seat", *two)) == []
    assert stops(check(tonight, "seat", PAIR)) == []
    no_room = replace(tonight, mats=1, policy=replace(tonight.policy, turns_under_one_spot=1))
    leans = ({"partner": "Amara Bao"}, {"partner": "Hana Tariq"})
    assert stops(check(no_room, "lean", *leans)) == ["the mats hold one group in turn, not two"]
    assert stops(check(replace(no_room, mats=2), "lean", *leans)) == []


# -- asks ------------------------------------------------------------------------------------


def test_a_lift_asks_for_a_yes_for_each_and_for_the_pair():
    tonight = evening(*pupils(*FOUR, **LIFTED))
    assert asks(check(tonight, "seat", PAIR)) == [
        ("yes", "Amara as base"),
        ("yes", "Bao as flyer"),
        ("pair", "Amara with Bao"),
    ]
    agreed = evening(
        *pupils(*FOUR, **LIFTED),
        yeses=[("Amara", "seat", "base"), ("Bao", "seat", "flyer")],
        pairs_ok=[("Amara", "Bao")],
    )
    assert asks(check(agreed, "seat", PAIR)) == []
    turned = {"base": "Bao", "flyer": "Amara"}
    assert [code for code, _ in asks(check(agreed, "seat", turned))] == ["yes", "yes", "pair"]


def test_who_is_not_ready_is_asked_about_and_not_stopped():
    tonight = evening(Pupil("Amara", tries=LEANS), Pupil("Bao", tries=KNOWS_STOP))
    checked = check(tonight, "lean", {"partner": "Amara Bao"})
    assert stops(checked) == []
    [ask] = checked.groups[0].asks
    assert (ask.code, ask.students, ask.role) == ("not_ready", (id_of("Bao"),), "partner")
    assert ask.about == "Bao as partner: missing is standing tight with hands near, not tried yet"
    agreed = replace(tonight, yeses=frozenset({(id_of("Bao"), "lean", "partner", "begin")}))
    assert asks(check(agreed, "lean", {"partner": "Amara Bao"})) == []


def test_who_is_not_ready_for_a_lift_is_asked_about_once():
    bao = Pupil("Bao", **LIFTED | {"tries": KNOWS_STOP})
    checked = check(evening(Pupil("Amara", **LIFTED), bao), "seat", PAIR)
    assert [code for code, _ in asks(checked)] == ["not_ready", "yes", "pair"]


def heights(base, flyer, **asked):
    amara = Pupil("Amara", tries=PROPS, height_cm=base, height_on=ON)
    bao = Pupil("Bao", tries=PROPS, height_cm=flyer, height_on=ON)
    documents = with_card("chest_rest", max_height_difference_cm=10)
    return asks(check(evening(amara, bao, documents=documents, **asked), "chest_rest", PAIR))


@pytest.mark.parametrize(
    ("base", "flyer", "asked"),
    [
        (130.0, 140.0, []),
        (130.0, 140.1, [("pair", "Amara with Bao")]),
        (140.1, 130.0, [("pair", "Amara with Bao")]),
        (130.0, None, [("pair", "Amara with Bao")]),
    ],
)
def test_on_the_floor_heights_ask_where_a_proposal_would_not_go(base, flyer, asked):
    assert heights(base, flyer) == asked
    assert heights(base, flyer, pairs_ok=[("Amara", "Bao")]) == []


def test_a_line_longer_than_its_learning_size_is_asked_about():
    tonight = evening(*pupils(*SIX, tries=PROPS))
    three = {"front": "Amara", "middle": "Bao", "back": "Demba"}
    assert asks(check(tonight, "line", three)) == []
    four = {"front": "Amara", "middle": "Bao Hana", "back": "Demba"}
    [ask] = check(tonight, "line", four).groups[0].asks
    assert (ask.code, ask.about) == ("line", "a line of four")
    assert ask.names == ("Amara", "Bao", "Demba", "Hana")
    answered = replace(tonight, answered=frozenset({("line", "line", ask.students)}))
    assert asks(check(answered, "line", four)) == []
    other = {"front": "Amara", "middle": "Bao Hana", "back": "Tariq"}
    assert [code for code, _ in asks(check(answered, "line", other))] == ["line"]


def test_what_a_teacher_has_looked_at_tonight_is_not_asked_again():
    back = Pupil("Amara", **LIFTED | {"last_here": ON - timedelta(days=40)})
    tonight = evening(back, Pupil("Bao", **LIFTED), surface="grass")
    codes = [code for code, _ in asks(check(tonight, "seat", PAIR))]
    assert codes == ["yes", "yes", "pair", "back", "floor", "floor"]
    for code, name in (("back", "Amara"), ("floor", "Bao")):
        answered = replace(tonight, answered=frozenset({("seat", code, (id_of(name),))}))
        left = asks(check(answered, "seat", PAIR))
        assert len(left) == 5
        assert not [about for said, about in left if said == code and about.startswith(name)]
    elsewhere = replace(tonight, answered=frozenset({("line", "back", (id_of("Amara"),))}))
    assert len(asks(check(elsewhere, "seat", PAIR))) == 6


@pytest.mark.parametrize(
    "masses", [(None, None), (40.0, None), (40.0, 20.0), (40.0, 38.1), (20.0, 60.0)]
)
def test_above_the_limit_of_load_reads_like_a_load_that_is_not_known(masses):
    tonight = evening(*pupils(*FOUR, **LIFTED))
    unknown = check(tonight, "seat", PAIR)
    known = dict(zip(("Amara", "Bao"), masses, strict=True))
    weighed = replace(
        tonight,
        here=tuple(replace(one, mass_kg=known.get(one.name)) for one in tonight.here),
    )
    checked = check(weighed, "seat", PAIR)
    assert (stops(checked), asks(checked)) == (stops(unknown), asks(unknown))


# -- what makes no groups at all -------------------------------------------------------------


def test_every_fault_of_what_is_sent_at_once():
    tonight = evening(*pupils(*FOUR, **LIFTED))
    groups = formed(
        {"base": "Amara", "flyer": "Sunniva"},
        {"partner": "Bao", "flyer": "Amara"},
        {"base": ""},
        {"spotter": "Hana"},
    )
    with pytest.raises(BadDocument) as refused:
        by_hand.need_formed(tonight, CARDS["seat"], groups)
    assert str(refused.value).splitlines() == [
        "/groups/0/seats/flyer/0: unknown",
        "/groups/1/seats/partner: Seat on a table has the roles base, flyer",
        "/groups/1/seats/flyer/0: has a place already",
        "/groups/2/seats: nobody is in it",
        "/groups/3/seats/spotter: Seat on a table has the roles base, flyer",
    ]


@pytest.mark.parametrize(
    ("key", "words"),
    [("bridge", "needs no groups"), ("stop_word", "needs no groups"), ("salute", "unknown")],
)
def test_skills_without_groups(key, words):
    with pytest.raises(BadDocument) as refused:
        by_hand.card_named(evening(), key)
    assert str(refused.value) == f"/skill: {words}"


# -- changes ---------------------------------------------------------------------------------

TWO = ({"base": "Amara", "flyer": "Bao"}, {"base": "Hana", "flyer": "Tariq"})


def swapped(a, b):
    tonight = evening(*pupils(*SIX, **LIFTED))
    return named(tonight, by_hand.swapped(tonight, formed(*TWO), id_of(a), id_of(b)))


def test_two_in_each_others_place():
    assert swapped("Amara", "Tariq") == [
        {"base": "Tariq", "flyer": "Bao"},
        {"base": "Hana", "flyer": "Amara"},
    ]
    assert swapped("Amara", "Bao")[0] == {"base": "Bao", "flyer": "Amara"}
    assert swapped("Demba", "Hana") == [TWO[0], {"base": "Demba", "flyer": "Tariq"}]


@pytest.mark.parametrize(
    ("a", "b", "faults"),
    [
        ("Sunniva", "Zola", ["/a: unknown", "/b: unknown"]),
        ("Amara", "Amara", ["/b: the same child as in a"]),
        ("Demba", "Mireille", ["/a: neither of the two is in a group"]),
    ],
)
def test_what_cannot_be_swapped(a, b, faults):
    with pytest.raises(BadDocument) as refused:
        swapped(a, b)
    assert str(refused.value).splitlines() == faults


def moved(name, *, group=None, role=None):
    tonight = evening(*pupils(*SIX, **LIFTED))
    before = tuple(
        replace(one, id=id_of(called))
        for one, called in zip(formed(*TWO), ("one", "two"), strict=True)
    )
    after = by_hand.moved(
        tonight, CARDS["seat"], before, id_of(name), group=group and id_of(group), role=role
    )
    return named(
        tonight, [replace(one, seats={r: h for r, h in one.seats.items() if h}) for one in after]
    )


def test_a_child_moves_into_another_group_a_new_one_or_none():
    assert moved("Amara", group="two", role="base") == [
        {"flyer": "Bao"},
        {"base": "Amara Hana", "flyer": "Tariq"},
    ]
    assert moved("Amara", group="one", role="flyer")[0] == {"flyer": "Amara Bao"}
    assert moved("Demba", role="base") == [*TWO, {"base": "Demba"}]
    assert moved("Amara") == [{"flyer": "Bao"}, TWO[1]]


def test_a_move_says_all_that_is_wrong_with_it():
    with pytest.raises(BadDocument) as refused:
        moved("Sunniva", group="three", role="front")
    assert str(refused.value).splitlines() == [
        "/student: unknown",
        "/group: unknown",
        "/role: Seat on a table has the roles base, flyer",
    ]
    with pytest.raises(BadDocument) as refused:
        moved("Amara", group="one")
    assert str(refused.value) == "/role: say in which role of the group"


def test_who_is_against_a_wish():
    tonight = evening(
        *pupils(*FOUR, tries=LEANS), apart=[("Amara", "Bao")], together=[("Hana", "Tariq")]
    )
    for group, against in (
        ("Amara Bao", [("Amara", "Bao")]),
        ("Amara Hana", [("Hana", "Tariq")]),
        ("Hana Tariq", []),
    ):
        found = by_hand.wished(tonight, formed({"partner": group})[0])
        assert list(found) == [(id_of(a), id_of(b)) for a, b in against]
