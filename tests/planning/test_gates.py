from dataclasses import replace
from datetime import timedelta

import pytest

from curriculum.models import LOADS, ROLES
from planning import gates
from tests.planning.build import AGREED, AROHA, CARDS, ON, ZEYNEP, Pupil, child, evening, pupils

CHILD_ROLES = [
    (key, role) for key, card in CARDS.items() for role in card.skill.roles if role != "spotter"
]
LATER = ON + timedelta(days=30)


def days_ago(days):
    return ON - timedelta(days=days)


def found(key, role, tonight=None, /, **known):
    """The sentences of what stops Amara; `known` is what is known of her, all agreed if silent."""
    return [stop.sentence for stop in stops_of(key, role, tonight, **known)]


def told(key, role, tonight=None, /, **known):
    """The same as the teacher who asks is told it."""
    return [stop.told for stop in stops_of(key, role, tonight, **known)]


def stops_of(key, role, tonight=None, /, **known):
    tonight = tonight or evening(Pupil("Amara", **{"agreed": AGREED} | known))
    return gates.stops(tonight, CARDS[key], role, child(tonight, "Amara"))


def codes(key, role, **known):
    return [stop.code for stop in stops_of(key, role, **known)]


# -- who is stopped --------------------------------------------------------------------------


@pytest.mark.parametrize(("key", "role"), CHILD_ROLES)
def test_nothing_stops_a_child_of_whom_nothing_is_said(key, role):
    assert found(key, role) == []


@pytest.mark.parametrize(
    ("key", "role", "stopped"),
    [
        ("tight", "solo", False),  # alone and on the floor: she does as much as she likes
        ("bridge", "solo", True),
        ("lean", "partner", True),
        ("straight_lean", "partner", True),
        ("chest_rest", "flyer", True),
        ("seat", "base", True),
        ("line", "back", True),
    ],
)
def test_not_today(key, role, stopped):
    assert found(key, role, not_today=True) == (["not today"] if stopped else [])


@pytest.mark.parametrize("blocked", [*LOADS, *ROLES])
@pytest.mark.parametrize(("key", "role"), CHILD_ROLES)
def test_what_rests_stops_its_role_or_what_loads_it(key, role, blocked):
    touched = blocked == role or blocked in CARDS[key].loads.get(role, ())
    assert codes(key, role, restricted=((blocked, LATER),)) == ["restricted"] * touched


def test_what_rests_is_said_with_its_last_day_and_no_reason():
    resting = (("wrists", ON), ("base", LATER))
    assert found("seat", "base", restricted=resting) == [
        "the wrists rest until 10 March",
        "not as base until 9 April",
    ]
    assert found("seat", "flyer", restricted=resting) == []


@pytest.mark.parametrize("role", ["base", "flyer"])
def test_an_open_fall_closes_every_role_of_the_skill(role):
    tonight = evening(
        *pupils("Amara", "Bao", agreed=AGREED), open_falls=[("Amara", "seat", "flyer")]
    )
    assert found("seat", role, tonight) == ["a teacher looks at it first"]
    assert told("seat", role, tonight) == [
        "a teacher looks at it first, since there was a fall or a near miss"
    ]
    assert found("chest_rest", role, tonight) == []
    assert gates.stops(tonight, CARDS["seat"], role, child(tonight, "Bao")) == ()


@pytest.mark.parametrize(
    ("age", "said"),
    [
        (6, ["from 7 years on"]),
        (7, []),
        (8, []),
        (None, ["from 7 years on, and the age is not known"]),
    ],
)
def test_the_age_on_the_card(age, said):
    for role in ("base", "flyer"):
        assert found("seat", role, age=age) == ["comes later"] * len(said)
        assert told("seat", role, age=age) == said
    assert found("chest_rest", "base", age=age) == []


@pytest.mark.parametrize(("key", "role"), CHILD_ROLES)
def test_a_child_on_trial_is_not_lifted_and_lifts_nobody(key, role):
    assert codes(key, role, trial=True) == ["trial"] * CARDS[key].lifted


@pytest.mark.parametrize(("key", "role"), CHILD_ROLES)
def test_lifts_alone_wait_for_the_agreements(key, role):
    assert codes(key, role, agreed=frozenset()) == ["agreement"] * 2 * CARDS[key].lifted


@pytest.mark.parametrize(
    ("agreed", "withdrawn", "said"),
    [
        ({"hands_on", "lifting"}, (), []),
        ({"hands_on"}, (), ["the agreement to lifting is missing"]),
        ({"lifting"}, (), ["the agreement to hands-on spotting is missing"]),
        ({"hands_on"}, {"lifting"}, ["the agreement to lifting was withdrawn"]),
        ({"lifting"}, {"hands_on"}, ["the agreement to hands-on spotting was withdrawn"]),
        (
            {},
            {"lifting"},
            [
                "the agreement to lifting was withdrawn",
                "the agreement to hands-on spotting is missing",
            ],
        ),
        ({"hands_on", "lifting"}, {"mass"}, []),
    ],
)
def test_agreements(agreed, withdrawn, said):
    known = {"agreed": frozenset(agreed), "withdrawn": frozenset(withdrawn)}
    assert told("seat", "flyer", **known) == said
    # On the wall nobody reads which of them it is, nor that a guardian took one back.
    assert found("seat", "flyer", **known) == ["no lifts for now"] * len(said)


def test_agreements_kept_elsewhere_stop_nobody_here():
    amara = Pupil("Amara", withdrawn=frozenset({"lifting"}))
    tonight = evening(amara, policy={"agreements_kept_elsewhere": True})
    assert found("seat", "flyer", tonight) == []


def test_all_that_stops_is_said_the_plainest_first():
    amara = Pupil(
        "Amara", not_today=True, age=6, trial=True, restricted=(("flyer", LATER),), agreed=AGREED
    )
    tonight = evening(amara, open_falls=[("Amara", "seat", "base")])
    stops = gates.stops(tonight, CARDS["seat"], "flyer", child(tonight, "Amara"))
    assert [stop.code for stop in stops] == ["not_today", "restricted", "fall", "age", "trial"]


# -- the adults ------------------------------------------------------------------------------


def may_spot(*families, name="Aroha T."):
    return replace(AROHA, name=name, may_spot=frozenset(families))


@pytest.mark.parametrize(
    ("families", "free"),
    [(("all",), True), (("lifts",), True), (("leans", "lifts"), True), (("leans",), False)],
)
def test_who_may_spot_a_family(families, free):
    tonight = evening(spotters=(may_spot(*families),))
    assert gates.spotters_for(tonight, CARDS["seat"]) == (("Aroha T.",) if free else ())
    stops = () if free else ("no adult is free tonight who may spot this",)
    assert tuple(stop.sentence for stop in gates.class_stops(tonight, CARDS["seat"])) == stops


def test_an_adult_who_may_spot_nothing():
    tonight = evening(spotters=(may_spot(),))
    assert gates.spotters_for(tonight, CARDS["bridge"]) == ()


def test_of_several_adults_those_who_may():
    tonight = evening(spotters=(may_spot("lifts"), may_spot("leans", name="Signe H."), ZEYNEP))
    assert gates.spotters_for(tonight, CARDS["seat"]) == ("Aroha T.", "Zeynep A.")


@pytest.mark.parametrize("key", CARDS)
def test_what_is_spotted_waits_for_an_adult(key):
    tonight = evening(spotters=(), adults_in_room=3)
    codes = [stop.code for stop in gates.class_stops(tonight, CARDS[key])]
    assert codes == ["no_spotter"] * CARDS[key].spotted


@pytest.mark.parametrize(
    ("in_room", "said"),
    [
        (0, ["two adults should be in the room for this, none are named"]),
        (1, ["two adults should be in the room for this, one is named"]),
        (2, []),
        (3, []),
    ],
)
def test_adults_in_the_room(in_room, said):
    tonight = evening(adults_in_room=in_room)
    assert [stop.sentence for stop in gates.class_stops(tonight, CARDS["seat"])] == said
    # What is spotted on the floor needs a second pair of eyes as much as a lift does.
    assert [stop.sentence for stop in gates.class_stops(tonight, CARDS["bridge"])] == said
    assert gates.class_stops(tonight, CARDS["lean"]) == ()


def test_the_school_may_want_more_adults():
    tonight = evening(adults_in_room=3, policy={"adults_in_room": 4})
    assert [stop.sentence for stop in gates.class_stops(tonight, CARDS["seat"])] == [
        "four adults should be in the room for this, three are named"
    ]


@pytest.mark.parametrize(("children", "needed"), [(0, 2), (16, 2), (17, 3), (24, 3), (25, 4)])
def test_children_for_each_adult(children, needed):
    names = [f"Child {place:02d}" for place in range(children)]
    tonight = evening(*pupils(*names), adults_in_room=needed - 1)
    assert gates.adults_needed(tonight) == needed
    assert [stop.code for stop in gates.class_stops(tonight, CARDS["seat"])] == ["adults_in_room"]
    assert gates.class_stops(replace(tonight, adults_in_room=needed), CARDS["seat"]) == ()


def test_who_is_here_and_not_up_for_it_needs_an_adult_too():
    names = [f"Child {place:02d}" for place in range(17)]
    assert gates.adults_needed(evening(*pupils(*names, not_today=True))) == 3


def test_both_stops_of_the_adults_at_once():
    stops = gates.class_stops(evening(spotters=(), adults_in_room=1), CARDS["seat"])
    assert [stop.code for stop in stops] == ["no_spotter", "adults_in_room"]


# -- what is asked ---------------------------------------------------------------------------


def asked(tonight, key="seat", **seats):
    children = {
        role: tuple(child(tonight, name) for name in names) for role, names in seats.items()
    }
    return [(ask.code, ask.about) for ask in gates.group_asks(tonight, CARDS[key], children)]


def two(**known):
    """Amara and Bao, measured tonight."""
    return pupils("Amara", "Bao", **{"height_cm": 130.0, "height_on": ON} | known)


YESES = [("Amara", "seat", "base"), ("Bao", "seat", "flyer")]
PAIR = [("Amara", "Bao")]
SEATS = {"base": ("Amara",), "flyer": ("Bao",)}


def test_a_lift_asks_for_a_yes_for_each_and_for_the_pair():
    assert asked(evening(*two()), **SEATS) == [
        ("yes", "Amara as base"),
        ("yes", "Bao as flyer"),
        ("pair", "Amara with Bao"),
    ]


def test_what_was_said_yes_to_is_not_asked_again():
    assert asked(evening(*two(), yeses=YESES, pairs_ok=PAIR), **SEATS) == []
    assert asked(evening(*two(), yeses=YESES), **SEATS) == [("pair", "Amara with Bao")]
    assert asked(evening(*two(), yeses=YESES[1:], pairs_ok=PAIR), **SEATS) == [
        ("yes", "Amara as base")
    ]


def test_a_yes_holds_for_its_own_role_and_skill():
    other = [("Amara", "seat", "flyer"), ("Bao", "chest_rest", "flyer")]
    assert asked(evening(*two(), yeses=other, pairs_ok=PAIR), **SEATS) == [
        ("yes", "Amara as base"),
        ("yes", "Bao as flyer"),
    ]


@pytest.mark.parametrize("kind", ["no_spot", "show"])
def test_only_a_yes_to_begin_begins(kind):
    tonight = evening(*two(), yeses=YESES, pairs_ok=PAIR)
    yeses = frozenset((*held[:3], kind) for held in tonight.yeses)
    assert asked(replace(tonight, yeses=yeses), **SEATS) == [
        ("yes", "Amara as base"),
        ("yes", "Bao as flyer"),
    ]


def test_a_pair_check_names_the_base_first():
    assert asked(evening(*two(), yeses=YESES, pairs_ok=[("Bao", "Amara")]), **SEATS) == [
        ("pair", "Amara with Bao")
    ]


def test_two_bases_are_two_pairs():
    tonight = evening(*pupils("Amara", "Bao", "Demba", height_on=ON), pairs_ok=[("Demba", "Bao")])
    codes = asked(tonight, base=("Amara", "Demba"), flyer=("Bao",))
    assert codes[3:] == [("pair", "Amara with Bao")]


def test_what_is_spotted_on_the_floor_asks_for_a_look_after_a_break_alone():
    tonight = evening(*pupils("Amara", "Bao", last_here=days_ago(300)))
    assert asked(tonight, "chest_rest", **SEATS) == [
        ("back", "Amara, back after 42 weeks"),
        ("back", "Bao, back after 42 weeks"),
    ]
    assert asked(evening(*two()), "chest_rest", **SEATS) == []
    assert asked(tonight, "lean", partner=("Amara", "Bao")) == []


@pytest.mark.parametrize(
    ("last_here", "back"),
    [
        (None, []),
        (days_ago(7), []),
        (days_ago(21), []),
        (days_ago(22), [("back", "Bao, back after three weeks")]),
        (days_ago(28), [("back", "Bao, back after four weeks")]),
        (days_ago(77), [("back", "Bao, back after 11 weeks")]),
    ],
)
def test_back_after_some_weeks(last_here, back):
    amara, bao = two()
    tonight = evening(amara, replace(bao, last_here=last_here), yeses=YESES, pairs_ok=PAIR)
    assert asked(tonight, **SEATS) == back
    assert gates.is_back(tonight, child(tonight, "Bao")) == bool(back)


def test_the_weeks_are_the_school_s():
    tonight = evening(
        *two(last_here=days_ago(8)), yeses=YESES, pairs_ok=PAIR, policy={"back_after_weeks": 1}
    )
    assert asked(tonight, **SEATS) == [
        ("back", "Amara, back after one week"),
        ("back", "Bao, back after one week"),
    ]


@pytest.mark.parametrize(
    ("height_on", "again"),
    # With no height at all the rule lets nobody in but a pair with a yes: it asks already.
    [(ON, False), (days_ago(120), False), (days_ago(121), True), (None, False)],
)
def test_an_old_height_is_measured_again(height_on, again):
    tonight = evening(*two(height_on=height_on), yeses=YESES, pairs_ok=PAIR)
    heights = [("height", "Amara"), ("height", "Bao")]
    assert asked(tonight, **SEATS) == (heights if again else [])


def test_heights_are_asked_of_base_and_flyer_alone():
    tonight = evening(*two(height_on=days_ago(200)))
    seats = {role: (child(tonight, name),) for role, name in (("front", "Amara"), ("back", "Bao"))}
    asks = gates.group_asks(tonight, replace(CARDS["seat"], loads={}), seats)
    assert [ask.code for ask in asks] == ["yes", "yes"]


@pytest.mark.parametrize(
    ("of_card", "of_school", "lifted", "limit"),
    [
        (None, 5, True, 5),
        (None, 0, True, 0),
        (12, 5, True, 12),
        (-3, 5, True, -3),
        (0, 5, True, 0),
        (None, 5, False, None),
        (12, 5, False, 12),
    ],
)
def test_how_much_taller_a_flyer_may_be(of_card, of_school, lifted, limit):
    card = CARDS["seat"] if lifted else CARDS["chest_rest"]
    card = replace(card, flyer_taller_by_at_most_cm=of_card)
    tonight = evening(policy={"flyer_taller_by_at_most_cm": of_school})
    assert gates.flyer_taller_by_at_most_cm(tonight, card) == limit


def test_an_ask_names_the_children_it_is_about():
    tonight = evening(*two(height_on=days_ago(121), last_here=days_ago(30)))
    seats = {role: (child(tonight, names[0]),) for role, names in SEATS.items()}
    assert [(ask.code, ask.names) for ask in gates.group_asks(tonight, CARDS["seat"], seats)] == [
        ("yes", ("Amara",)),
        ("yes", ("Bao",)),
        ("pair", ("Amara", "Bao")),
        ("height", ("Amara",)),
        ("height", ("Bao",)),
        ("back", ("Amara",)),
        ("back", ("Bao",)),
    ]
