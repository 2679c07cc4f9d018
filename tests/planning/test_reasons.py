from dataclasses import replace

import pytest

from engine.progression import AllOf, AnyOf, Leaf
from planning import reasons
from planning.reasons import Standing
from tests.planning.build import (
    CARDS,
    DOCUMENTS,
    KNOWS_STOP,
    LEANS,
    PROPS,
    Pupil,
    Tried,
    child,
    clean,
    evening,
    pupils,
)


def standing(tonight, key, role, name="Amara"):
    return Standing(tonight.edition.cards[key], role, child(tonight, name))


def missing(tries, key, role, **asked):
    tonight = evening(Pupil("Amara", tries))
    return reasons.missing(tonight, standing(tonight, key, role), **asked)


def test_a_skill_is_named_with_its_role_where_it_has_several():
    assert reasons.named(CARDS["tight"], "solo") == "standing tight"
    assert reasons.named(CARDS["lean"], "partner") == "facing lean"
    assert reasons.named(CARDS["seat"], "base") == "seat on a table as base"


# -- what is missing -------------------------------------------------------------------------


def test_nothing_is_missing_where_she_is_ready():
    assert missing(clean("table"), "bridge", "solo") is None
    assert missing((), "tight", "solo") is None


def test_what_is_missing_is_said_with_the_help_and_when_a_try_is_clean():
    said = "hands-and-knees table with no spot (30 s, flat back), not tried yet"
    assert missing((), "chest_rest", "base") == said
    assert missing((), "line", "back") == said.replace("no spot", "hands near")


def test_what_is_missing_is_said_without_its_criterion_where_there_is_no_room():
    assert missing((), "chest_rest", "base", criterion=False) == (
        "hands-and-knees table with no spot, not tried yet"
    )


def test_a_habit_is_missing_without_a_word_of_help():
    assert missing(clean("tight"), "lean", "partner") == (
        "the stop word (everybody comes down the taught way), not tried yet"
    )


@pytest.mark.parametrize(
    ("weeks", "seen"),
    [
        (1, "last seen on 3 March"),
        (6, "last seen on 27 January"),
        (7, "last seen in January"),
        (52, "last seen in March 2025"),
    ],
)
def test_what_is_missing_was_last_seen_then(weeks, seen):
    shaky = (Tried("table", "solo", weeks, outcome="shaky"),)
    assert missing(shaky, "chest_rest", "base").endswith(f", {seen}")


def test_of_several_needs_the_one_on_which_it_hangs():
    assert "standing tight with hands near" in missing(KNOWS_STOP, "lean", "partner")
    nearly = (*clean("tight"), Tried("lean", "partner", 1, outcome="not_there"))
    assert "the stop word" in missing(nearly, "lean", "partner")


@pytest.mark.parametrize(
    ("tries", "nearest"),
    [
        (clean("table", weeks=(1,), spot="hands_near"), "hands-and-knees table"),
        (clean("tight", weeks=(1,), spot="hands_near"), "standing tight"),
        ((), "hands-and-knees table"),  # alike: the base, whom the card lists first
    ],
)
def test_the_role_that_is_nearest(tries, nearest):
    tonight = evening(Pupil("Amara", tries))
    found = reasons.nearest_gap(tonight, CARDS["seat"], child(tonight, "Amara"))
    assert found.startswith(f"{nearest} with no spot, ")


def test_no_role_is_near_where_all_are_ready():
    tonight = evening(Pupil("Amara", PROPS))
    assert reasons.nearest_gap(tonight, CARDS["seat"], child(tonight, "Amara")) is None


@pytest.mark.parametrize(
    ("tree", "said"),
    [
        (Leaf("bridge", "solo", "no_spot"), "bridge with no spot"),
        (Leaf("seat", "base", "hands_near"), "seat on a table as base with hands near"),
        (Leaf("stop_word", "partner", "no_spot"), "the stop word"),
        (
            AllOf(
                (
                    Leaf("tight", "solo", "no_spot"),
                    Leaf("stop_word", "partner", "no_spot"),
                    AnyOf((Leaf("table", "solo", "hands_near"), Leaf("bridge", "solo", "no_spot"))),
                )
            ),
            "standing tight with no spot, the stop word"
            " and either hands-and-knees table with hands near or bridge with no spot",
        ),
        (AnyOf((Leaf("tight", "solo", "hands_on"),)), "standing tight with hands on"),
    ],
)
def test_all_that_a_tree_asks(tree, said):
    assert reasons.needed(CARDS, tree) == said


# -- why she is ready ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("tries", "key", "role", "said"),
    [
        ((), "tight", "solo", "nothing else is needed for it"),
        (clean("table"), "bridge", "solo", "what it needs is there"),
        (clean("tight"), "tight", "solo", "with no spot so far, last seen on 3 March"),
        (
            clean("bridge", spot="hands_on", weeks=(2, 1)),
            "bridge",
            "solo",
            "with hands on so far, last seen on 3 March",
        ),
    ],
)
def test_why_she_is_ready(tries, key, role, said):
    tonight = evening(Pupil("Amara", tries))
    one = standing(tonight, key, role)
    assert one.judged.ready
    assert reasons.why_ready(tonight, one) == said


# -- the spot to begin with ------------------------------------------------------------------


def advice(tries, *, new_pair=False, **known):
    tonight = evening(Pupil("Amara", tries, **known))
    amara = child(tonight, "Amara")
    return reasons.advice(tonight, CARDS["bridge"], "solo", amara, new_pair=new_pair)


def bridges(*spots, outcome="clean"):
    """A try a week, the last one last week."""
    return tuple(
        Tried("bridge", "solo", len(spots) - place, spot=spot, outcome=outcome)
        for place, spot in enumerate(spots)
    )


@pytest.mark.parametrize(
    ("tries", "spot"),
    [
        ((), "hands_on"),
        (bridges("hands_on"), "hands_on"),
        (bridges("hands_near", "hands_near"), "hands_near"),
        (bridges("none", "none", "none"), "none"),
        # One step at a time, whatever the log says of what she needs.
        (bridges("none", "none", "none", "hands_on"), "hands_near"),
        (bridges("none"), "hands_near"),
        (bridges("none", outcome="not_there"), "hands_on"),
    ],
)
def test_the_spot_goes_down_one_step_at_a_time(tries, spot):
    assert advice(tries) == spot


def test_the_last_try_in_this_skill_and_role_says_how_far_down():
    tries = (*bridges("none", "none", "none"), *clean("table", spot="hands_on", weeks=(1,)))
    assert advice(tries) == "none"


def test_a_new_pair_and_a_break_begin_with_hands_on():
    steady = bridges("none", "none", "none")
    assert advice(steady, new_pair=True) == "hands_on"
    tonight = evening(Pupil("Amara", steady))
    later = evening(Pupil("Amara", steady, last_here=tonight.lesson.on.replace(month=2, day=16)))
    for known, spot in ((tonight, "none"), (later, "hands_on")):
        amara = child(known, "Amara")
        found = reasons.advice(known, CARDS["bridge"], "solo", amara, new_pair=False)
        assert found == spot


# -- ways in and out -------------------------------------------------------------------------


def ways_out(*children, needs=None):
    documents = DOCUMENTS
    if needs:
        [pull_up, turn_out] = DOCUMENTS["lean"]["ways_out"]
        way = turn_out | {"needs": needs}
        documents = DOCUMENTS | {"lean": DOCUMENTS["lean"] | {"ways_out": [pull_up, way]}}
    tonight = evening(*children, documents=documents)
    seats = {"partner": tonight.here}
    return reasons.ways(tonight, tonight.edition.cards["lean"].ways_out, seats)


def test_a_way_is_named_when_everybody_in_the_role_has_what_it_needs():
    can, cannot = Pupil("Amara", clean("bridge")), Pupil("Bao")
    assert ways_out(can, cannot) == "pull up together"
    assert ways_out(can, replace(can, name="Bao")) == "pull up together or turn out"


def test_a_role_that_nobody_holds_needs_nothing():
    needs = {"base": {"skill": "bridge", "role": "solo", "help": "no_spot"}}
    assert ways_out(*pupils("Amara", "Bao"), needs=needs) == "pull up together or turn out"


@pytest.mark.parametrize(
    ("mark", "tries", "has"),
    [
        ("all_of", (), False),
        ("all_of", clean("tight"), False),
        ("all_of", PROPS, True),
        ("any_of", (), False),
        ("any_of", LEANS, True),
        ("any_of", clean("table"), True),
    ],
)
def test_trees_of_ways(mark, tries, has):
    tree = {mark: [{"skill": key, "role": "solo", "help": "no_spot"} for key in ("tight", "table")]}
    found = ways_out(Pupil("Amara", tries), needs={"partner": tree})
    assert found == ("pull up together or turn out" if has else "pull up together")


def test_no_way_is_an_empty_text():
    tonight = evening(Pupil("Amara"))
    assert reasons.ways(tonight, CARDS["tight"].ways_in, {"solo": tonight.here}) == ""
