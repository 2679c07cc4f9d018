from dataclasses import replace
from datetime import timedelta

import pytest

from tests.planning import build
from tests.planning.build import (
    DOCUMENTS,
    KNOWS_STOP,
    LEANS,
    LIFTED,
    ON,
    PROPS,
    Pupil,
    Tried,
    clean,
    evening,
    pupils,
)
from tests.planning.evenings import entries

LATER = ON + timedelta(days=54)


def of_child(name, *children, **known):
    """The line of a child in “Child by child”."""
    return dict(entries(evening(*children, **known), "Child by child"))[name]


# -- to keep in mind -------------------------------------------------------------------------


def kept_in_mind(tonight, *skills):
    return entries(tonight, "To keep in mind", *skills)


def test_lifts_end_ten_minutes_before_the_class():
    tonight = evening(*pupils("Amara", "Bao", **LIFTED))
    assert kept_in_mind(tonight, "seat") == [("Lifts", "the last lift goes up by 17:35")]
    assert kept_in_mind(replace(tonight, minutes=60), "seat") == [
        ("Lifts", "the last lift goes up by 17:50")
    ]
    assert kept_in_mind(tonight, "lean") == []


def test_without_a_group_for_it_no_lift_ends():
    assert kept_in_mind(evening(*pupils("Amara", "Bao", tries=PROPS)), "seat") == []


def bases(*weeks, role="base"):
    return clean("chest_rest", role=role, weeks=weeks, spot="hands_on")


@pytest.mark.parametrize(
    ("before", "said"),
    [
        ((), False),
        (bases(3, 2), False),
        (bases(3, 2, 1), True),
        (bases(5, 4, 3, 2, 1), True),
        ((*bases(4, 3, 2), *bases(1, role="flyer")), False),
        ((*bases(3, 2, 1), *bases(1, role="flyer")), False),
        ((*bases(3, 2, 1), *bases(4, role="flyer")), True),
    ],
)
def test_who_is_always_the_base(before, said):
    amara = Pupil("Amara", (*PROPS, *before), restricted=(("flyer", LATER),))
    tonight = evening(amara, Pupil("Bao", PROPS))
    line = [("Amara", "base in the last three lessons")]
    assert kept_in_mind(tonight, "chest_rest") == (line if said else [])


def test_who_was_always_base_and_is_none_tonight_is_not_named():
    amara = Pupil("Amara", (*PROPS, *bases(3, 2, 1)), restricted=(("base", LATER),))
    assert kept_in_mind(evening(amara, Pupil("Bao", PROPS)), "chest_rest") == []


def copies(**cards):
    """More cards like those there are."""
    return DOCUMENTS | {
        key: DOCUMENTS[of] | {"name": key.replace("_", " ").capitalize()}
        for key, of in cards.items()
    }


def test_three_stations_on_the_wrists():
    documents = copies(line_two="line", line_three="line")
    tonight = evening(*pupils("Amara", "Bao", tries=PROPS), documents=documents)
    both = [
        ("Amara", "the wrists work three times in a row"),
        ("Bao", "the wrists work three times in a row"),
    ]
    assert kept_in_mind(tonight, "line", "line_two", "line_three") == both
    assert kept_in_mind(tonight, "line", "line_two") == []
    assert kept_in_mind(tonight, "line", "lean", "line_two") == []


def test_in_a_row_is_one_after_the_other():
    """Three of four stations are three in a row only where the other one is the first or last."""
    documents = copies(line_two="line", line_three="line")
    tonight = evening(*pupils("Amara", "Bao", tries=PROPS), documents=documents)
    told = [(name, "the wrists work three times in a row") for name in ("Amara", "Bao")]
    assert kept_in_mind(tonight, "lean", "line", "line_two", "line_three") == told
    assert kept_in_mind(tonight, "line", "line_two", "line_three", "lean") == told
    assert kept_in_mind(tonight, "line", "line_two", "lean", "line_three") == []


def test_base_three_times_in_a_row():
    documents = copies(rest_two="chest_rest", rest_three="chest_rest")
    amara = Pupil("Amara", PROPS, restricted=(("flyer", LATER),))
    tonight = evening(amara, Pupil("Bao", PROPS), documents=documents)
    found = kept_in_mind(tonight, "chest_rest", "rest_two", "rest_three")
    assert ("Amara", "base three times in a row") in found
    assert ("Bao", "base three times in a row") not in found


def test_two_back_bends_in_a_row():
    documents = copies(rest_two="chest_rest")
    bao = Pupil("Bao", PROPS, restricted=(("base", LATER),))
    tonight = evening(Pupil("Amara", PROPS), bao, documents=documents)
    assert kept_in_mind(tonight, "chest_rest", "rest_two") == [("Bao", "two back bends in a row")]
    assert kept_in_mind(tonight, "chest_rest", "lean", "rest_two") == []


# -- child by child --------------------------------------------------------------------------


def test_what_goes_on_the_last_tried_first_with_its_spot():
    worked = (
        *LEANS,
        *clean("table", weeks=(6, 5)),
        *clean("lean", role="partner", weeks=(3,)),
        *clean("bridge", weeks=(2,), spot="hands_near"),
    )
    assert of_child("Amara", Pupil("Amara", worked)).startswith(
        "goes on with bridge (hands near) and facing lean; "
    )


def test_what_was_last_tried_long_ago_goes_on_last():
    worked = (
        *clean("tight", weeks=(30, 29)),
        *clean("table", weeks=(3, 2)),
        *clean("bridge", weeks=(1,), spot="hands_near"),
    )
    assert of_child("Amara", Pupil("Amara", worked)).startswith(
        "goes on with bridge (hands near) and hands-and-knees table; "
    )


def test_what_may_begin_is_the_furthest_on():
    assert "may begin chest rest as flyer" in of_child("Amara", Pupil("Amara", LEANS))


def test_where_nothing_is_logged_she_may_begin_what_asks_for_nothing():
    assert of_child("Amara", Pupil("Amara")) == (
        "may begin hands-and-knees table; for plank line as front what is missing is"
        " hands-and-knees table with hands near, not tried yet"
    )


def test_what_is_missing_for_the_next_thing_with_a_partner():
    shaky = (*LEANS, Tried("table", "solo", 1, outcome="not_there"), *clean("lean", role="partner"))
    assert of_child("Amara", Pupil("Amara", shaky)).endswith(
        "for plank line as front what is missing is hands-and-knees table with hands near,"
        " last seen on 3 March"
    )


def test_work_with_a_partner_is_named_before_work_alone():
    documents = {key: DOCUMENTS[key] for key in ("stop_word", "tight", "table", "bridge", "lean")}
    nearly = (*KNOWS_STOP, *clean("table", spot="hands_near", weeks=(2, 1)))
    # She is nearer to the bridge, which she does alone.
    amara = build.child(evening(Pupil("Amara", nearly), documents=documents), "Amara")
    assert amara.judged["bridge", "solo"].missing.p > amara.judged["lean", "partner"].missing.p
    assert of_child("Amara", Pupil("Amara", nearly), documents=documents).endswith(
        "for facing lean what is missing is standing tight with hands near, not tried yet"
    )


def test_what_is_stopped_is_neither_begun_nor_missing():
    resting = (("wrists", LATER), ("partner", LATER), ("flyer", LATER), ("back_bend", LATER))
    assert of_child("Amara", Pupil("Amara", PROPS, restricted=resting)) == "nothing new tonight"


def test_who_has_learned_it_all_and_who_has_begun_nothing():
    only = {"tight": DOCUMENTS["tight"]}
    steady = Pupil("Amara", clean("tight"))
    found = entries(evening(steady, documents=only), "Child by child")
    assert found == [("Amara", "nothing new tonight")]
    none = evening(Pupil("Bao", restricted=(("solo", LATER),)), documents=only)
    assert entries(none, "Child by child") == [("Bao", "nothing logged yet")]


def test_every_child_who_is_here_has_a_line():
    tonight = evening(Pupil("Amara"), Pupil("Bao", not_today=True), away=pupils("Rangi"))
    assert [label for label, _ in entries(tonight, "Child by child")] == ["Amara", "Bao"]
