from dataclasses import replace
from datetime import timedelta

import pytest

from planning.gates import Ask
from planning.group_lines import ask_words, group_section
from planning.proposals import propose
from planning.sheet import Entry
from tests.planning.build import (
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
    clean,
    evening,
    pupils,
    with_card,
)

RESTS = {"restricted": (("wrists", ON + timedelta(days=30)),)}


def section(tonight, key, *others):
    found = [propose(tonight, tonight.edition.cards[one]) for one in (key, *others)]
    return group_section(tonight, found[0], found)


def groups(tonight, key):
    return [one for one in section(tonight, key).entries if one.label.startswith("Group")]


def still(found):
    """The entry of those still to place."""
    [entry] = [one for one in found.entries if one.label == "Still to place"]
    return entry


# -- above the groups ------------------------------------------------------------------------


def test_above_the_groups_of_a_lean():
    found = section(evening(*pupils(*FOUR, tries=LEANS)), "lean")
    assert found.heading == "Groups: Facing lean"
    assert found.leads == (
        "Clean when: 3 of 3, feet do not slide.",
        "In: toes to toes. Out: pull up together.",
        "Agreed before: “3, 2, 1, lean”, right hand first, four steps, way out: pull up together.",
    )


def test_above_the_groups_of_a_lift():
    found = section(evening(*pupils("Amara", "Bao", **LIFTED)), "seat")
    assert found.leads == (
        "Clean when: 5 s, feet off the floor.",
        "Spot: in front. One group up at a time for each adult; the others wait beside the mat.",
        "this one tips backward: a hand stays behind the hips.",
    )


def test_full_stops_are_not_doubled():
    documents = with_card(
        "seat", criterion="5 s.", caution="It tips.", spot={"stands": "In front."}
    )
    found = section(evening(*pupils("Amara", "Bao", **LIFTED), documents=documents), "seat")
    assert "Clean when: 5 s." in found.leads
    assert found.leads[-1] == "It tips."
    assert found.leads[1].startswith("Spot: In front. One group")


@pytest.mark.parametrize(
    ("agreed", "said"),
    [
        ({}, ()),
        ({"steps": 1}, ("Agreed before: one step.",)),
        ({"steps": 4}, ("Agreed before: four steps.",)),
        ({"way_out": "roll"}, ("Agreed before: way out: roll.",)),
        (
            {"way_out": "roll", "steps": 12, "first": "left foot", "count": "“5, 6, 7, 8”"},
            ("Agreed before: “5, 6, 7, 8”, left foot, 12 steps, way out: roll.",),
        ),
    ],
)
def test_what_is_agreed_before_in_the_order_in_which_it_is_said(agreed, said):
    documents = with_card("line", agreed_before=agreed)
    found = section(evening(*pupils(*FOUR, tries=PROPS), documents=documents), "line")
    assert found.leads == ("Clean when: 5 s, nobody sags.", *said)


def test_groups_whose_search_was_cut_off_are_said_to_be():
    tonight = evening(*pupils(*FOUR, tries=LEANS))
    found = propose(tonight, CARDS["lean"])
    cut = group_section(tonight, replace(found, proven=False), [])
    assert cut.leads[-1] == "Found in the time there was."
    assert cut.leads[:-1] == group_section(tonight, found, []).leads


# -- a group ---------------------------------------------------------------------------------


def test_equals_are_named_without_a_role():
    assert groups(evening(*pupils(*FOUR, tries=LEANS)), "lean") == [
        Entry("Amara and Bao", "Group 1"),
        Entry("Hana and Tariq", "Group 2"),
    ]


def test_roles_are_said_in_their_order():
    two = (Pupil("Amara", PROPS, **RESTS), Pupil("Bao", PROPS))
    [entry] = groups(evening(*two), "chest_rest")
    assert entry.text == "base Bao; flyer Amara"
    [line] = groups(evening(*pupils("Amara", "Bao", "Hana", tries=PROPS)), "line")
    assert [part.split()[0] for part in line.text.split("; ")] == ["front", "middle", "back"]


def test_with_an_adult_for_each_group_there_is_no_turn():
    one = groups(evening(*pupils("Amara", "Bao", tries=PROPS)), "chest_rest")
    assert [entry.label for entry in one] == ["Group 1"]
    four = pupils(*FOUR, tries=PROPS)
    assert [one.label for one in groups(evening(*four), "chest_rest")] == [
        "Group 1, turn 1",
        "Group 2, turn 2",
    ]
    both = groups(evening(*four, spotters=(AROHA, ZEYNEP)), "chest_rest")
    assert [one.label for one in both] == ["Group 1", "Group 2"]
    assert [one.lines[0].split(" spots")[0] for one in both] == ["Aroha T.", "Zeynep A."]


def test_a_new_pair_begins_with_hands_on():
    known = (*PROPS, *clean("chest_rest", role="base"), *clean("chest_rest", role="flyer"))
    [entry] = groups(evening(*pupils("Amara", "Bao", tries=known)), "chest_rest")
    assert entry.lines == ("Aroha T. spots, hands on",)


def chest_rests(role, spot, *, together=True):
    shared = {"group": "two"} if together else {}
    return clean("chest_rest", role=role, spot=spot, weeks=(4, 3, 2, 1), **shared)


@pytest.mark.parametrize(
    ("of_base", "of_flyer", "said"),
    [
        ("none", "none", "stands by, no spot"),
        ("none", "hands_near", "spots, hands near"),
        ("none", "hands_on", "spots, hands on"),
        # The one on top is spotted; who carries on the floor is not.
        ("hands_on", "none", "stands by, no spot"),
    ],
)
def test_the_spot_of_a_known_pair_is_the_flyer_s(of_base, of_flyer, said):
    base = Pupil("Amara", (*PROPS, *chest_rests("base", of_base)), restricted=(("flyer", ON),))
    flyer = Pupil("Bao", (*PROPS, *chest_rests("flyer", of_flyer)), restricted=(("base", ON),))
    [entry] = groups(evening(base, flyer), "chest_rest")
    assert entry.text == "base Amara; flyer Bao"
    assert entry.lines == (f"Aroha T. {said}",)


def test_two_who_spot_one_group():
    roles = DOCUMENTS["seat"]["roles"] | {"spotter": {"min": 2, "max": 2}}
    tonight = evening(
        *pupils("Amara", "Bao", **LIFTED),
        spotters=(AROHA, ZEYNEP),
        documents=with_card("seat", roles=roles),
    )
    [entry] = groups(tonight, "seat")
    assert entry.lines[0] == "Aroha T. and Zeynep A. spot, hands on"


def test_of_equals_the_strictest_spot_counts():
    shared = {"role": "partner", "group": "two", "weeks": (4, 3, 2, 1)}
    first = (*LEANS, *clean("lean", role="partner"))
    known = Pupil("Amara", (*first, *clean("straight_lean", spot="none", **shared)))
    newer = Pupil("Bao", (*first, *clean("straight_lean", spot="hands_near", **shared)))
    [entry] = groups(evening(known, newer), "straight_lean")
    assert entry.lines == ("Aroha T. spots, hands near",)


def test_ways_that_all_groups_have_are_said_once_above_them():
    able = (*LEANS, *clean("bridge"))
    found = section(evening(*pupils(*FOUR, tries=able)), "lean")
    assert "In: toes to toes. Out: pull up together or turn out." in found.leads
    assert [entry.lines for entry in found.entries] == [(), ()]


def test_ways_that_one_group_has_stand_with_it():
    able = (*LEANS, *clean("bridge"))
    tonight = evening(
        *pupils("Amara", "Bao", tries=able),
        *pupils("Hana", "Tariq", tries=LEANS),
        together=[("Amara", "Bao")],
    )
    found = section(tonight, "lean")
    assert "In: toes to toes." in found.leads
    assert [(entry.text, entry.lines) for entry in found.entries] == [
        ("Amara and Bao", ("Out: pull up together or turn out.",)),
        ("Hana and Tariq", ("Out: pull up together.",)),
    ]


def test_asks_stand_with_their_group():
    [entry] = groups(evening(*pupils("Amara", "Bao", **LIFTED)), "seat")
    base, flyer = entry.text.removeprefix("base ").split("; flyer ")
    assert entry.lines == (
        "Aroha T. spots, hands on",
        f"Ask before the first go: a teacher's yes to begin for {base} as base and {flyer} as"
        f" flyer; “these two: yes” for {base} with {flyer}",
    )


def test_asks_of_a_kind_are_said_together_and_nobody_twice():
    asks = [
        Ask("yes", ("Amara",), "Amara as base"),
        Ask("pair", ("Amara", "Bao"), "Amara with Bao"),
        Ask("height", ("Amara",), "Amara"),
        Ask("back", ("Bao",), "Bao, back after four weeks"),
        Ask("height", ("Bao",), "Bao"),
        Ask("height", ("Amara",), "Amara"),
        Ask("floor", ("Bao",), "Bao"),
        Ask("yes", ("Bao",), "Bao as flyer"),
    ]
    assert ask_words(asks) == (
        "a teacher's yes to begin for Amara as base and Bao as flyer; “these two: yes” for Amara"
        " with Bao; a teacher's look at Amara and Bao; a look at Bao, back after four weeks;"
        " a look at Bao, new to this floor"
    )
    assert ask_words([]) == ""


# -- who is still to place -------------------------------------------------------------------


def test_nobody_is_left():
    found = section(evening(*pupils(*FOUR, tries=LEANS)), "lean")
    assert [entry.label for entry in found.entries] == ["Group 1", "Group 2"]


def test_what_is_missing_is_named_for_who_is_not_ready():
    tonight = evening(*pupils("Amara", "Bao", tries=LEANS), *pupils("Hana", "Tariq"))
    assert still(section(tonight, "lean")) == Entry(
        "two", "Still to place", ("Hana and Tariq: missing is the stop word, not tried yet",)
    )


def test_children_left_for_one_reason_share_a_line_in_the_order_of_the_alphabet():
    tonight = evening(
        Pupil("Amara"), *pupils("Bao", "Hana", tries=LEANS), Pupil("Rangi", LEANS), Pupil("Tariq")
    )
    entry = still(section(tonight, "lean"))
    assert entry.text == "three"
    assert entry.lines[0] == "Amara and Tariq: missing is the stop word, not tried yet"
    assert len(entry.lines) == 2


def test_a_stop_says_itself():
    tonight = evening(Pupil("Amara", **LIFTED | RESTS | {"trial": True}), Pupil("Bao", **LIFTED))
    assert still(section(tonight, "seat")).lines[0] == (
        "Amara: the wrists rest until 9 April; on trial: no lifts yet"
    )


def test_who_is_left_is_told_neutrally_and_in_lower_case():
    """The sheet hangs on the wall: neither an age nor an agreement is read off it."""
    tonight = evening(
        Pupil("Amara", **LIFTED | {"age": 6}),
        Pupil("Bao", **LIFTED | {"agreed": frozenset()}),
        Pupil("Hana", **LIFTED),
        open_falls=[("Hana", "seat", "flyer")],
    )
    assert still(section(tonight, "seat")).lines == (
        "Amara: comes later",
        "Bao: no lifts for now",
        "Hana: a teacher looks at it first",
    )
    alone = still(section(evening(*pupils("Amara", "Bao", "Hana", tries=LEANS)), "lean"))
    name, _, sentence = alone.lines[0].partition(": ")
    assert name in ("Amara", "Bao", "Hana")
    assert sentence[0].islower()
    assert not sentence.endswith(".")


def test_a_hold_in_which_there_is_a_place_is_named():
    tonight = evening(*pupils("Amara", "Bao", tries=PROPS), *pupils("Hana", "Tariq", tries=LEANS))
    found = section(tonight, "line", "chest_rest", "lean")
    assert still(found).lines == (
        "Hana and Tariq: missing is hands-and-knees table with hands near, not tried yet;"
        " has a place in chest rest",
    )
    assert still(section(tonight, "line", "lean", "chest_rest")).lines[0].endswith("in facing lean")
    assert "has a place" not in still(section(tonight, "line")).lines[0]


def test_a_stop_for_everybody_stands_alone():
    found = section(evening(*pupils("Amara", "Bao", **LIFTED), spotters=()), "seat")
    assert found.entries == (
        Entry("no adult is free tonight who may spot this", "Stop"),
        Entry("two adults should be in the room for this, one is named", "Stop"),
    )
