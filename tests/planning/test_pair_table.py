"""The pair table against the engine's own rules, by brute force over small classes."""

import json
from collections import Counter
from dataclasses import asdict, replace
from datetime import timedelta
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.grouping import feasible
from engine.grouping.solve import solve
from planning import pair_table as tables
from planning.pair_table import ASK, EVERYBODY, FITS, NOBODY, READY, STOP, pair_table
from planning.proposals import open_roles, problem
from tests.planning.build import (
    AGREED,
    CARDS,
    FOUR,
    LIFTED,
    ON,
    PROPS,
    Pupil,
    child,
    clean,
    evening,
    pupils,
    with_card,
)
from tests.planning.phone import asks_of, every_group, proposable, regroup, state_of

FIVE = (*FOUR, "Zola")
ROLE = {"needs": {"skill": "tight", "role": "solo", "help": "no_spot"}}
TWO_BASES = with_card(
    "seat",
    max_height_difference_cm=12,
    roles={"base": {"min": 1, "max": 2} | ROLE, "flyer": {"min": 1, "max": 2} | ROLE},
)


def weighed(tonight, masses):
    """The evening with masses in kg, by name or in alphabetical order."""
    if not isinstance(masses, dict):
        masses = {one.name: kg for one, kg in zip(tonight.here, masses, strict=False)}
    here = tuple(replace(one, mass_kg=masses.get(one.name)) for one in tonight.here)
    return replace(tonight, here=here)


def table_of(tonight, key):
    return pair_table(tonight, tonight.edition.cards[key])


def says(table) -> bytes:
    return json.dumps(asdict(table), default=str).encode()


def agrees_with_the_engine(tonight, card, *, asks=True):
    """How many groups there are; each is told the same by the table and by the engine."""
    stated = problem(tonight, card)
    table = pair_table(tonight, card)
    ranks = [one.rank for one in tonight.playing]
    assert table.children == tuple(one.id for one in tonight.playing)
    found = 0
    for seats in every_group(table):
        roles = {role: [ranks[who] for who in people] for role, people in seats.items()}
        fits = feasible.fits(stated, roles)
        assert proposable(table, seats) == fits, (card.key, roles)
        if fits and asks:
            assert asks_of(table, seats) == len(feasible.form(stated, roles).ask)
        found += fits
    most = {
        role.role: max(
            (who.turns for who in role.children if who.ready and who.state != STOP), default=0
        )
        for role in table.roles
        if role.role in ("base", "flyer")
    }
    assert most == feasible.most_turns(stated)
    assert {(ranks[a], ranks[b]): count for a, b, count in table.past_pairs} == stated.past
    assert table.groups_at_most == stated.mats
    assert table.turns_under_one_spot == stated.turns_under_one_spot
    return found


# -- the engine's rules ----------------------------------------------------------------------

# Who has worked with whom, and been base or flyer how often.
BASE = (*PROPS, *clean("chest_rest", role="base", weeks=(2, 1), group="one"))
FLYER = (*PROPS, *clean("chest_rest", role="flyer", weeks=(2,), group="one"))
ALL = (*FLYER, *clean("lean", role="partner", group="two"))
SOME = st.sampled_from(FIVE)
PAIRS = st.sets(st.tuples(SOME, SOME).filter(lambda pair: pair[0] < pair[1]), max_size=2)
ORDERED = st.sets(st.tuples(SOME, SOME).filter(lambda pair: pair[0] != pair[1]), max_size=6)
PUPILS = st.fixed_dictionaries(
    {
        "tries": st.sampled_from(
            [ALL, BASE, BASE, FLYER, PROPS, clean("tight"), clean("table"), ()]
        ),
        "agreed": st.sampled_from([AGREED, AGREED, AGREED, frozenset()]),
        "height_cm": st.sampled_from([None, 121.0, 126.0, 126.1, 133.0, 138.0, 138.5]),
        "height_on": st.just(ON),
        "not_today": st.sampled_from([False, False, False, True]),
        "restricted": st.sampled_from([(), (), (("base", ON),), (("wrists", ON),)]),
    }
)


@given(
    st.lists(PUPILS, min_size=5, max_size=5),
    st.tuples(*[st.sampled_from([None, 24.0, 30.0, 37.5, 60.0])] * 5),
    ORDERED,
    PAIRS,
    PAIRS,
    st.sampled_from(["seat", "two bases", "chest_rest", "straight_lean", "line"]),
)
def test_a_phone_finds_the_groups_that_the_engine_finds(said, masses, pairs, apart, together, key):
    documents = {"documents": TWO_BASES} if key == "two bases" else {}
    tonight = evening(
        *(Pupil(name, **one) for name, one in zip(FIVE, said, strict=True)),
        pairs_ok=pairs,
        apart=apart,
        together=together,
        **documents,
    )
    card = tonight.edition.cards["seat" if key == "two bases" else key]
    agrees_with_the_engine(tonight, card)
    agrees_with_the_engine(weighed(tonight, masses), card, asks=False)


@pytest.mark.parametrize(
    ("key", "groups"),
    [("seat", 18), ("chest_rest", 18), ("lean", 9), ("straight_lean", 9), ("line", 60)],
)
def test_there_is_something_to_agree_about(key, groups):
    known = LIFTED | {"tries": (*PROPS, *clean("lean", role="partner"))}
    five = pupils(*FIVE, **known)
    tonight = evening(*five, pairs_ok=[("Amara", "Bao")], apart=[("Hana", "Zola")])
    assert agrees_with_the_engine(tonight, CARDS[key]) == groups


def test_bases_who_may_be_without_a_flyer():
    documents = with_card("seat", roles={"base": ROLE, "flyer": {"min": 0, "max": 1} | ROLE})
    documents["seat"]["roles"]["base"] |= {"min": 1, "max": 2}
    three = pupils("Amara", "Bao", "Hana", **LIFTED)
    tonight = evening(*three, apart=[("Amara", "Bao")], documents=documents)
    assert agrees_with_the_engine(tonight, tonight.edition.cards["seat"]) == 9


def test_a_group_of_several_weighs_together():
    """Two bases take a flyer whom neither takes alone."""
    tonight = evening(*pupils("Amara", "Bao", "Hana", **LIFTED), documents=TWO_BASES)
    table = table_of(weighed(tonight, [30.0, 30.0, 40.0]), "seat")
    assert state_of(table, [0], [2]) == state_of(table, [1], [2]) == STOP
    assert state_of(table, [0, 1], [2]) == ASK
    assert state_of(table, [2], [0, 1]) == STOP


@given(
    st.lists(PUPILS, min_size=5, max_size=5),
    ORDERED,
    PAIRS,
    PAIRS,
    st.sampled_from([0, 1, 8]),
    st.sampled_from(["seat", "chest_rest", "straight_lean", "line"]),
)
def test_the_best_groups_of_a_phone_are_worth_what_the_engine_s_are(
    said, pairs, apart, together, mats, key
):
    tonight = evening(
        *(Pupil(name, **one) for name, one in zip(FIVE, said, strict=True)),
        pairs_ok=pairs,
        apart=apart,
        together=together,
        mats=mats,
        policy={"turns_under_one_spot": 1},
    )
    engine = solve(problem(tonight, CARDS[key])).objective
    found = regroup(table_of(tonight, key))
    assert found[:3] == (engine.placed, engine.fairness, -engine.asks)
    # The engine looks at readiness before it looks at repeats.
    assert found[3] >= (engine.repeats if CARDS[key].keep_partners else -engine.repeats)


# -- what it says ----------------------------------------------------------------------------


def said_of(tonight, key, role, name):
    table = table_of(tonight, key)
    place = table.children.index(child(tonight, name).id)
    held = next(one for one in table.roles if one.role == role).children[place]
    return held.state, held.ready, list(held.says)


def test_each_child_in_each_role():
    tonight = evening(
        Pupil("Amara", **LIFTED),
        Pupil("Bao", clean("table"), agreed=AGREED, height_cm=130.0, height_on=ON),
        Pupil("Hana", **LIFTED | {"trial": True, "agreed": frozenset()}),
        Pupil("Tariq", **LIFTED | {"last_here": ON - timedelta(weeks=5)}),
        yeses=[("Tariq", "seat", "base"), ("Bao", "chest_rest", "flyer")],
    )
    yes = "a teacher's yes to begin for {}"
    assert said_of(tonight, "seat", "base", "Amara") == (ASK, True, [yes.format("Amara as base")])
    assert said_of(tonight, "seat", "flyer", "Bao") == (
        ASK,
        False,
        [
            "a teacher's yes to begin for Bao as flyer:"
            " missing is standing tight with no spot, not tried yet"
        ],
    )
    stops = ["on trial: no lifts yet", "no lifts for now"]
    assert said_of(tonight, "seat", "base", "Hana") == (STOP, True, stops)
    look = "a look at Tariq, back after five weeks"
    assert said_of(tonight, "seat", "base", "Tariq") == (ASK, True, [look])
    assert said_of(tonight, "chest_rest", "base", "Amara") == (FITS, True, [])
    assert said_of(tonight, "chest_rest", "flyer", "Bao") == (FITS, True, [])  # a teacher's yes


def test_a_lift_of_two_is_asked_about_until_a_teacher_has_said_yes():
    tonight = evening(*pupils("Amara", "Bao", **LIFTED), pairs_ok=[("Amara", "Bao")])
    table = table_of(tonight, "seat")
    assert (state_of(table, [0], [1]), state_of(table, [1], [0])) == (FITS, ASK)
    assert (table.agreed, table.ask_says) == (((0, 1),), "“these two: yes”")
    assert table_of(tonight, "chest_rest").sets == ()


def test_a_yes_for_the_pair_lifts_the_stop_of_height():
    two = (Pupil("Amara", **LIFTED), Pupil("Bao", **LIFTED | {"height_cm": 140.0}))
    assert state_of(table_of(evening(*two), "seat"), [0], [1]) == STOP
    agreed = evening(*two, pairs_ok=[("Amara", "Bao")])
    assert state_of(table_of(agreed, "seat"), [0], [1]) == FITS


def test_whoever_comes_late_is_in_it_and_whoever_is_not_up_for_it_is_not():
    tonight = evening(
        Pupil("Amara", **LIFTED),
        Pupil("Bao", **LIFTED | {"not_today": True}),
        away=pupils("Hana", **LIFTED),
    )
    table = table_of(tonight, "seat")
    assert table.children == (child(tonight, "Amara").id, tonight.away[0].id)
    assert state_of(table, [1], [0]) == ASK


def test_the_numbers_that_a_regrouping_needs():
    tonight = evening(
        *pupils(*FOUR, tries=(*PROPS, *clean("chest_rest", role="base", group="two"))),
        mats=2,
        adults_in_room=1,
    )
    table = table_of(tonight, "chest_rest")
    assert {one.turns for one in table.roles[0].children} == {3}
    assert {one.turns for one in table.roles[1].children} == {0}
    assert Counter(count for *_, count in table.past_pairs) == {3: 6}
    assert (table.adults, table.adults_a_group, table.turns_under_one_spot) == (1, 1, 3)
    assert (table.groups_at_most, table.keep_partners) == (6, False)
    two = "two adults should be in the room for this, one is named"
    assert table.stops == (tables.TableStop("adults_in_room", two),)
    assert table_of(tonight, "seat").keep_partners
    line = table_of(tonight, "line")
    assert [(one.role, one.min, one.max) for one in line.roles] == [
        ("front", 1, 1),
        ("middle", 0, 1),  # nobody is proposed into a line longer than its learning size
        ("back", 1, 1),
    ]


# -- nothing that tells ----------------------------------------------------------------------

KNOWN = {"tries": PROPS, "agreed": AGREED, "height_cm": 130.0, "height_on": ON}
LIMITS = {"Amara": 45.0, "Bao": 25.0, "Hana": 24.0, "Tariq": 46.0}


@pytest.mark.parametrize("documents", [None, TWO_BASES])
@pytest.mark.parametrize("name", FOUR)
@pytest.mark.parametrize("by", [-0.1, 0.1])
def test_another_mass_inside_the_same_decision_changes_no_byte(name, by, documents):
    tonight = evening(*pupils(*FOUR, **KNOWN), **({"documents": documents} if documents else {}))
    one = says(table_of(weighed(tonight, LIMITS), "seat"))
    other = LIMITS | {name: LIMITS[name] + by}
    assert says(table_of(weighed(tonight, other), "seat")) == one
    assert one != says(table_of(tonight, "seat"))


def test_a_load_within_the_limit_reads_as_one_of_which_nothing_is_known():
    tonight = evening(*pupils("Amara", "Bao", **KNOWN), pairs_ok=[("Bao", "Amara")])
    unknown = says(table_of(tonight, "seat"))
    for masses in ({"Amara": 40.0, "Bao": 32.0}, {"Amara": 60.0, "Bao": 20.0}, {"Bao": 20.0}):
        assert says(table_of(weighed(tonight, masses), "seat")) == unknown


def test_load_height_and_a_wish_read_alike():
    two = pupils("Amara", "Bao", **KNOWN)
    load = weighed(evening(*two), {"Amara": 20.0, "Bao": 90.0})
    load = weighed(load, {"Amara": 40.0, "Bao": 40.0})
    heights = evening(
        Pupil("Amara", **KNOWN | {"height_cm": 90.0}), Pupil("Bao", **KNOWN | {"height_cm": 140.0})
    )
    apart = evening(*two, apart=[("Amara", "Bao")])
    told = {says(table_of(tonight, "seat")) for tonight in (load, heights, apart)}
    assert len(told) == 1
    assert json.loads(told.pop())["stop_says"] == "another base"


def test_no_word_of_a_body():
    tonight = weighed(evening(*pupils(*FOUR, **KNOWN), apart=[("Amara", "Bao")]), LIMITS)
    for key in ("seat", "lean"):
        text = says(table_of(tonight, key)).decode()
        for word in ("kg", "mass", "cm", "height", "weigh", "load", "tall", "heavy", "13", "45.0"):
            assert word not in text.replace(str(child(tonight, "Amara").id), "")


# -- many ------------------------------------------------------------------------------------


def test_with_too_many_sets_only_those_who_are_ready_and_then_nobody(monkeypatch):
    ready, others = pupils("Amara", "Bao", "Hana", **KNOWN), pupils("Tariq", "Zola", agreed=AGREED)
    tonight = evening(*ready, *others, documents=TWO_BASES)
    everybody = table_of(tonight, "seat")
    assert everybody.covers == EVERYBODY
    assert len(everybody.sets) == 15  # five alone, ten in twos
    monkeypatch.setattr(tables, "MOST_SETS", 36)
    few = table_of(tonight, "seat")
    assert few.covers == READY
    assert [row.bases for row in few.sets] == [
        bases for size in (1, 2) for bases in combinations(range(3), size)
    ]
    monkeypatch.setattr(tables, "MOST_SETS", 35)
    assert (table_of(tonight, "seat").covers, table_of(tonight, "seat").sets) == (NOBODY, ())


def test_a_class_of_twenty_four():
    names = tuple(f"{place:02d} Amara" for place in range(24))
    table = table_of(evening(*pupils(*names, **KNOWN), documents=TWO_BASES), "seat")
    assert table.covers == NOBODY  # up to two on up to two of 24: 90,000 sets
    table = table_of(evening(*pupils(*names, **KNOWN)), "seat")
    assert table.covers == EVERYBODY
    assert sum(len(row.ask) for row in table.sets) == 24 * 23
    assert len(says(table)) < 20_000


def test_nobody_at_all():
    table = table_of(evening(), "seat")
    assert (table.children, table.sets) == ((), ())
    assert [one.children for one in table.roles] == [()] * len(open_roles(CARDS["seat"]))
