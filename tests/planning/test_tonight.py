from dataclasses import replace
from datetime import timedelta

import pytest

from accounts.scope import Unknown
from planning.by_hand import Formed
from planning.sheet import Entry
from planning.tonight import make_sheet
from planning.words import CAUTION
from tests.planning.build import (
    AROHA,
    DOCUMENTS,
    FOUR,
    KLASS,
    LEANS,
    LIFTED,
    ON,
    PROPS,
    SIX,
    STARTS,
    ZEYNEP,
    Pupil,
    clean,
    evening,
    id_of,
    pupils,
)
from tests.planning.evenings import entries, headings

LATER = ON + timedelta(days=54)


def sheet(tonight, *skills, **asked):
    return make_sheet(tonight, skills=skills, **asked)[0]


# -- the head and the order ------------------------------------------------------------------


def test_the_head_of_a_sheet():
    made = sheet(evening(Pupil("Amara", LEANS)))
    assert made.title == "Tuesday beginners, Tuesday 10 March 2026"
    assert made.subtitle == (
        "17:00, 45 minutes, Sellane Harbour; curriculum, spring 2026 (edition 2)"
    )
    assert made.known == "As known at 17:00 on 10 March, from tries up to 3 March."
    assert made.foot == CAUTION


def test_times_are_the_studio_s_own():
    azores = replace(KLASS, zone="Atlantic/Azores")
    made = sheet(evening(Pupil("Amara", LEANS), klass=azores))
    assert made.subtitle.startswith("16:00, 45 minutes")
    assert made.known == "As known at 16:00 on 10 March, from tries up to 3 March."


def test_tries_that_are_later_than_the_moment_judged_at_are_said():
    """A night looked back on is judged with everything that is known by now."""
    looked_back = evening(Pupil("Amara", LEANS), as_of=STARTS - timedelta(weeks=2))
    assert sheet(looked_back).known == (
        "Judged as at 17:00 on 24 February, with all tries that are known, the last of 3 March."
    )


def test_a_day_without_a_lesson_is_said():
    assert sheet(evening(closed="spring break")).subtitle.endswith(
        "; no lesson that day: spring break"
    )


def test_an_empty_log_is_said():
    assert sheet(evening(*pupils(*FOUR))).known == "As known before anything was logged."


def test_a_log_that_rests_since_long_is_no_empty_one():
    amara = Pupil("Amara", clean("tight", weeks=(20,)))
    assert sheet(evening(amara)).known == (
        "As known at 17:00 on 10 March, from tries up to 21 October."
    )


def test_the_sections_in_their_order():
    tonight = evening(
        Pupil("Amara", **LIFTED | {"restricted": (("neck", LATER),)}),
        *pupils("Bao", "Hana", "Tariq", **LIFTED),
    )
    assert headings(tonight, "seat", "lean") == [
        "Who is here (4)",
        "Not for now",
        "What suits tonight",
        "Groups: Seat on a table",
        "Groups: Facing lean",
        "To keep in mind",
        "Child by child",
    ]


def test_nobody_here():
    assert headings(evening()) == ["Who is here (0)"]
    assert sheet(evening()).foot == CAUTION


def test_one_child():
    tonight = evening(Pupil("Amara", PROPS))
    assert headings(tonight) == ["Who is here (1)", "What suits tonight", "Child by child"]
    assert entries(tonight, "What suits") == [("Bridge, each alone", "moves on everybody")]


def test_nobody_up_for_it():
    tonight = evening(*pupils(*FOUR, tries=PROPS, not_today=True))
    assert headings(tonight) == ["Who is here (4)", "Child by child"]
    assert entries(tonight, "Who is here")[:2] == [
        ("Here", "nobody"),
        ("Not today", "Amara, Bao, Hana and Tariq"),
    ]


# -- who is here, and what rests -------------------------------------------------------------


def test_who_is_here():
    tonight = evening(
        Pupil("Amara"),
        Pupil("Bao", not_today=True),
        Pupil("Hana", trial=True),
        spotters=(AROHA, ZEYNEP),
        away=pupils("Rangi", "Sunniva"),
        mats=1,
    )
    assert entries(tonight, "Who is here") == [
        ("Here", "Amara and Hana"),
        ("Away", "Rangi and Sunniva"),
        ("Not today", "Bao"),
        ("Free to spot", "Aroha T. and Zeynep A."),
        ("Room", "three adults in the room; one mat"),
        ("On trial", "Hana"),
    ]


def test_nobody_free_to_spot():
    found = entries(evening(*pupils(*FOUR), spotters=()), "Who is here")
    assert found[1:] == [
        ("Free to spot", "nobody is named: no lifts and nothing that is spotted"),
        ("Room", "one adult in the room, two should be; eight mats"),
    ]


def test_one_adult_is_wanted():
    tonight = evening(spotters=(), adults_in_room=0, policy={"adults_in_room": 1})
    assert entries(tonight, "Who is here")[-1] == (
        "Room",
        "no adults in the room, one should be; eight mats",
    )


def test_the_floor_is_said_with_the_room():
    tonight = evening(Pupil("Amara"), surface="the stage")
    assert ("Room", "two adults in the room; floor: the stage; eight mats") in entries(
        tonight, "Who is here"
    )
    short = replace(tonight, adults_in_room=1)
    assert entries(short, "Who is here")[-1] == (
        "Room",
        "one adult in the room, two should be; floor: the stage; eight mats",
    )


def test_what_is_not_for_now():
    tonight = evening(
        Pupil("Amara", restricted=(("wrists", LATER), ("base", ON))),
        Pupil("Bao"),
        Pupil("Hana", last_here=ON - timedelta(days=22)),
        Pupil("Tariq", last_here=ON - timedelta(days=21)),
        open_falls=[("Bao", "seat", "flyer"), ("Bao", "seat", "base"), ("Amara", "bridge", "solo")],
    )
    assert entries(tonight, "Not for now") == [
        (
            "Amara",
            "the wrists rest until 3 May; not as base until 10 March;"
            " bridge: a teacher looks at it first",
        ),
        ("Bao", "seat on a table: a teacher looks at it first"),
        ("Hana", "back after three weeks: begin with hands on"),
    ]


def test_a_fall_in_a_skill_that_is_no_longer_taught_is_not_said():
    tonight = evening(Pupil("Bao"), open_falls=[("Bao", "tower", "flyer")])
    assert entries(tonight, "Not for now") == []


# -- what to look at first -------------------------------------------------------------------


def test_with_an_empty_log_the_skills_that_settle_most():
    made = sheet(evening(*pupils(*FOUR)))
    [section] = [one for one in made.sections if one.heading == "What to look at first"]
    assert section.leads == ("Little is logged yet. These few settle most of what comes after.",)
    # By how many answers hang on each: the table six of a child, standing tight two, and so on.
    assert [(one.label, one.text) for one in section.entries] == [
        ("hands-and-knees table", "30 s, flat back"),
        ("standing tight", "10 s, does not fold when tipped"),
        ("the stop word", "everybody comes down the taught way"),
        ("facing lean", "3 of 3, feet do not slide"),
    ]


@pytest.mark.parametrize(
    ("tries", "looks"),
    [
        (clean("tight", "table"), True),
        (clean("tight", "tight", "table", weeks=(4, 3, 2, 1)), True),  # two skills, many tries
        (clean("tight", "table", "bridge"), False),
    ],
)
def test_little_is_fewer_than_three_skills_a_child(tries, looks):
    assert bool(entries(evening(*pupils(*FOUR, tries=tries)), "What to look at first")) == looks


def test_at_most_five_to_look_at():
    documents = DOCUMENTS | {
        f"hold_{place}": DOCUMENTS["tight"] | {"name": f"Hold {place}"} for place in range(9)
    }
    needs = [{"skill": f"hold_{place}", "help": "no_spot"} for place in range(9)]
    for place, need in enumerate(needs):
        documents[f"after_{place}"] = DOCUMENTS["tight"] | {"roles": {"solo": {"needs": need}}}
    found = entries(evening(*pupils(*FOUR), documents=documents), "What to look at first")
    assert len(found) == 5


# -- what suits ------------------------------------------------------------------------------


def test_what_suits_says_what_is_worked_out():
    tonight = evening(*pupils("Amara", "Bao", tries=PROPS), *pupils("Hana", "Tariq", tries=LEANS))
    assert entries(tonight, "What suits") == [
        ("Chest rest", "four of four can be placed, moves on everybody"),
        ("Facing lean", "four of four can be placed, moves on everybody"),
        ("Plank line", "two of four can be placed, moves on Amara and Bao"),
        ("Hands-and-knees table, each alone", "moves on Hana and Tariq"),
        ("Bridge, each alone", "moves on Amara and Bao"),
    ]


def test_nearly_everybody_is_told_by_who_is_not():
    tonight = evening(*pupils("Amara", "Bao", "Hana", "Rangi", tries=LEANS), Pupil("Tariq"))
    assert entries(tonight, "What suits")[0] == (
        "Facing lean",
        "four of five can be placed, moves on everybody but Tariq",
    )


@pytest.mark.parametrize(
    ("others", "said"),
    [(4, "six of ten"), (5, "6 of 11"), (6, "6 of 12")],
)
def test_two_numbers_are_both_words_or_both_figures(others, said):
    rest = pupils(*(f"Child {place}" for place in range(others)))
    tonight = evening(*pupils(*SIX, tries=LEANS), *rest)
    [text] = [text for label, text in entries(tonight, "What suits") if label == "Facing lean"]
    assert text.startswith(f"{said} can be placed, ")


def test_what_carries_on_says_since_when():
    begun = (*PROPS, *clean("chest_rest", role="base", weeks=(1,), spot="hands_on", group="a"))
    tonight = evening(*pupils("Amara", "Bao", tries=begun), *pupils("Hana", "Tariq", tries=PROPS))
    assert entries(tonight, "What suits")[0] == (
        "Chest rest",
        "carries on from 3 March; four of four can be placed, moves on everybody",
    )


def test_beyond_the_first_five_there_is_only_a_bound():
    documents = {key: DOCUMENTS[key] for key in ("stop_word", "tight", "table", "bridge")}
    documents |= {
        f"lean_{place}": DOCUMENTS["lean"] | {"name": f"Lean {place}"} for place in range(1, 8)
    }
    found = entries(evening(*pupils(*FOUR, tries=LEANS), documents=documents), "What suits")
    assert [label for label, _ in found[:5]] == [f"Lean {place}" for place in (7, 6, 5, 4, 3)]
    assert found[5] == ("Also", "lean 2 (at most four) and lean 1 (at most four)")


# -- which groups ----------------------------------------------------------------------------


def test_leans_and_props_place_children_with_nothing_agreed_and_nothing_measured():
    tonight = evening(*pupils(*FOUR, tries=PROPS, agreed=frozenset()))
    assert headings(tonight)[2:4] == ["Groups: Plank line", "Groups: Chest rest"]
    for section in sheet(tonight).sections[2:4]:
        assert [one.label[:7] for one in section.entries] == ["Group 1", "Group 2"]
        assert not any("Ask" in line for one in section.entries for line in one.lines)


@pytest.mark.parametrize(
    ("minutes", "many"), [(10, 1), (19, 1), (39, 1), (40, 2), (59, 2), (60, 3), (240, 3)]
)
def test_as_many_skills_as_there_is_time_for(minutes, many):
    tonight = evening(*pupils(*FOUR, **LIFTED), minutes=minutes)
    groups = [heading for heading in headings(tonight) if heading.startswith("Groups")]
    assert len(groups) == many


def test_the_skills_are_of_different_families():
    documents = DOCUMENTS | {"lean_two": DOCUMENTS["lean"] | {"name": "Another lean"}}
    tonight = evening(*pupils(*FOUR, tries=LEANS), documents=documents)
    groups = [heading for heading in headings(tonight) if heading.startswith("Groups")]
    assert groups == ["Groups: Another lean"]


def test_the_skills_named_in_their_order_and_once():
    tonight = evening(*pupils(*FOUR, tries=PROPS))
    made, proposals = make_sheet(tonight, skills=("lean", "chest_rest", "lean"))
    assert [one.card.key for one in proposals] == ["lean", "chest_rest"]
    groups = [one.heading for one in made.sections if one.kind == "groups"]
    assert groups == ["Groups: Facing lean", "Groups: Chest rest"]


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("tower", "--skill: no skill “tower” in curriculum, spring 2026"),
        ("bridge", "--skill: Bridge needs no groups"),
        ("stop_word", "--skill: The stop word needs no groups"),
    ],
)
def test_what_needs_no_groups_is_refused(key, said):
    with pytest.raises(Unknown) as refused:
        make_sheet(evening(*pupils(*FOUR)), skills=("lean", key))
    assert str(refused.value) == said


def test_groups_kept_before_stay():
    pairs = (("Amara", "Tariq"), ("Bao", "Hana"))
    before = {"lean": [Formed({"partner": tuple(map(id_of, pair))}) for pair in pairs]}
    tonight = evening(*pupils(*FOUR, tries=LEANS))
    made, _ = make_sheet(tonight, skills=("lean",), before=before)
    [section] = [one for one in made.sections if one.kind == "groups"]
    assert section.entries == (
        Entry("Amara and Tariq", "Group 1"),
        Entry("Bao and Hana", "Group 2"),
    )


def test_no_spotter_stops_what_is_spotted_and_leaves_the_rest():
    tonight = evening(*pupils(*FOUR, **LIFTED), spotters=())
    groups = [heading for heading in headings(tonight) if heading.startswith("Groups")]
    assert groups == ["Groups: Plank line", "Groups: Facing lean"]
    assert entries(tonight, "Groups: Seat", "seat") == [
        ("Stop", "no adult is free tonight who may spot this"),
        ("Stop", "two adults should be in the room for this, one is named"),
    ]
