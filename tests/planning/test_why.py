from datetime import timedelta

import pytest

from accounts.scope import Unknown
from classes.students import UnknownStudent
from planning import groups, why
from planning.proposals import propose
from planning.words import CAUTION
from tests.factories import AT
from tests.planning import school
from tests.planning.build import (
    AGREED,
    KNOWS_STOP,
    LEANS,
    LIFTED,
    ON,
    PROPS,
    Pupil,
    Tried,
    clean,
    pupils,
    tries_of,
    with_card,
)
from tests.planning.read_aloud import assert_fit_to_read_aloud

pytestmark = pytest.mark.django_db
LATER = ON + timedelta(days=54)


def said(rows, name, skill, **asked):
    """The sentences between the head and the caution, fit to be read aloud."""
    text = why.explain(rows.teacher, rows.load(**asked), name, skill)
    assert_fit_to_read_aloud(text)
    head, *lines, foot = text.split("\n")
    assert head.startswith(f"{name} and ")
    assert foot == CAUTION
    return lines


def test_the_head_names_the_skill_and_when_a_try_is_clean():
    rows = school.build(Pupil("Amara"))
    text = why.explain(rows.teacher, rows.load(), "amara", "Hands-and-Knees table")
    assert text.splitlines()[0] == "Amara and hands-and-knees table (30 s, flat back)."


# -- where she stands ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("tries", "skill", "line"),
    [
        ((), "tight", "Ready to go on: nothing else is needed for it; not tried."),
        (
            clean("table"),
            "bridge",
            "Ready to go on: what it needs is there; not tried. Spot for the next try: hands on.",
        ),
        (
            clean("tight", weeks=(1,)),
            "tight",
            "Ready to go on: with no spot so far, last seen on 3 March; mostly.",
        ),
        (
            (*clean("table"), *clean("bridge", weeks=(3, 2, 1), spot="hands_near")),
            "bridge",
            "Ready to go on: with hands near so far, last seen on 3 March; on the way."
            " Spot for the next try: hands near.",
        ),
        (
            clean("tight"),
            "tight",
            "Ready to go on: with no spot so far, last seen on 3 March; steady.",
        ),
        (
            (),
            "bridge",
            "Not yet; what is missing: hands-and-knees table with no spot (30 s, flat back), not"
            " tried yet.",
        ),
        (
            KNOWS_STOP,
            "lean",
            "Not yet; what is missing: standing tight with hands near (10 s, does not fold when"
            " tipped), not tried yet.",
        ),
    ],
)
def test_where_she_stands(tries, skill, line):
    assert said(school.build(Pupil("Amara", tries)), "Amara", skill)[0] == line


def test_a_line_for_each_role_where_there_are_several():
    rows = school.build(Pupil("Amara", (*KNOWS_STOP, *clean("table")), agreed=AGREED))
    rows.say_yes("Amara", "seat", "flyer")
    assert said(rows, "Amara", "seat")[:2] == [
        "As base: ready to go on: what it needs is there; not tried. Spot for the next try: hands"
        " on.",
        "As flyer: a teacher has said yes to begin; not tried.",
    ]


def test_what_stops_her():
    amara = Pupil("Amara", **LIFTED | {"restricted": (("wrists", LATER),), "trial": True})
    assert said(school.build(amara), "Amara", "seat")[:2] == [
        "As base: not for now: the wrists rest until 3 May and on trial: no lifts yet.",
        "As flyer: not for now: on trial: no lifts yet.",
    ]


@pytest.mark.parametrize(
    ("known", "told"),
    [
        ({"agreed": frozenset({"hands_on"})}, "the agreement to lifting is missing"),
        (
            {"agreed": frozenset({"hands_on"}), "withdrawn": frozenset({"lifting"})},
            "the agreement to lifting was withdrawn",
        ),
        ({"age": 6}, "from 7 years on"),
    ],
)
def test_the_teacher_who_asks_is_told_what_the_wall_is_not(known, told):
    rows = school.build(Pupil("Amara", **LIFTED | known))
    assert said(rows, "Amara", "seat")[:2] == [
        f"As base: not for now: {told}.",
        f"As flyer: not for now: {told}.",
    ]


def test_every_sentence_has_a_capital_and_one_point():
    documents = with_card("table", criterion="30 s.")
    rows = school.build(*pupils("Amara", "Bao", "Hana", tries=LEANS), documents=documents)
    for skill in ("tight", "table", "bridge", "lean", "seat", "line"):
        for line in said(rows, "Amara", skill):
            assert line[0].isupper()
            assert line.endswith(".")
            assert not line.endswith("..")


def test_an_open_fall_is_no_fault_of_hers():
    rows = school.build(Pupil("Amara", **LIFTED))
    rows.fell("Amara", "seat", "flyer")
    for line in said(rows, "Amara", "seat")[:2]:
        assert line.endswith(
            "not for now: a teacher looks at it first, since there was a fall or a near miss."
        )


def test_what_stops_everybody():
    rows = school.build(*pupils("Amara", "Bao", **LIFTED))
    lines = said(rows, "Amara", "seat", spotters=())
    assert lines[2:4] == [
        "Nobody tonight: no adult is free tonight who may spot this.",
        "Nobody tonight: two adults should be in the room for this, one is named.",
    ]


def test_who_is_not_here():
    rows = school.build(*pupils("Amara", "Bao"))
    evening = rows.load(absent=("Amara",))
    assert why.explain(rows.teacher, evening, "Amara", "lean") == "Amara is not here tonight."


# -- what is logged --------------------------------------------------------------------------


def test_no_try_is_logged():
    assert said(school.build(Pupil("Amara")), "Amara", "tight")[1:] == ["No try of this is logged."]


def test_one_try_is_logged():
    rows = school.build(Pupil("Amara", (Tried("bridge", "solo", 1, "hands_on", "not_there"),)))
    assert "One try logged; the last: not there (hands on, 3 March)." in said(
        rows, "Amara", "bridge"
    )


def test_of_many_tries_the_last_three_the_newest_first():
    spots = ((5, "hands_on", "clean"), (3, "hands_on", "shaky"), (2, "hands_near", "shaky"))
    tries = [Tried("bridge", "solo", *one) for one in (*spots, (1, "none", "clean"))]
    rows = school.build(Pupil("Amara", (*tries, *clean("table"))))
    assert (
        "Four tries logged; the last: clean (no spot, 3 March), shaky (hands near, 24 February)"
        " and shaky (hands on, 17 February)."
    ) in said(rows, "Amara", "bridge")


def test_tries_of_long_ago_are_counted_too():
    rows = school.build(Pupil("Amara", clean("tight", weeks=(40,))))
    assert "One try logged; the last: clean (no spot, 3 June)." in said(rows, "Amara", "tight")


def test_a_correction_says_itself_and_changes_a_group():
    """The whole way: a try is corrected, her group goes, and the answer says why."""
    rows = school.build(*pupils("Amara", "Bao", tries=LEANS))
    assert said(rows, "Bao", "lean")[-1] == "Tonight: partner in group 1 with Amara."
    for tried in tries_of(Pupil("Bao", LEANS)):
        if tried.skill_key == "tight":
            rows.correct("Bao", tried, outcome="not_there", spot="hands_on")
    assert said(rows, "Bao", "lean") == [
        "Not yet; what is missing: standing tight with hands near (10 s, does not fold when"
        " tipped), last seen on 3 March.",
        "No try of this is logged.",
        "Tonight still to place: a few more tries come first; a teacher's yes would open this hold"
        " already.",
    ]


# -- tonight ---------------------------------------------------------------------------------


def test_her_place_tonight_with_what_is_asked_of_her():
    rows = school.build(
        Pupil("Amara", (*KNOWS_STOP, *clean("table")), agreed=AGREED, height_cm=130, height_on=ON),
        Pupil("Bao", LEANS, agreed=AGREED, height_cm=120, height_on=ON - timedelta(days=121)),
    )
    assert said(rows, "Amara", "seat")[-1] == (
        "Tonight: base in group 1 with Bao. Before the first go: a teacher's yes to begin for"
        " Amara as base; “these two: yes” for Amara with Bao."
    )
    assert said(rows, "Bao", "seat")[-1].endswith(
        "a teacher's yes to begin for Bao as flyer; “these two: yes” for Amara with Bao;"
        " a teacher's look at Bao."
    )


def test_groups_kept_are_her_place_tonight():
    rows = school.build(*pupils("Amara", "Bao", "Hana", "Tariq", tries=LEANS))
    assert said(rows, "Amara", "lean")[-1] == "Tonight: partner in group 1 with Bao."
    evening = rows.load(absent=("Bao",))
    found = propose(evening, evening.edition.cards["lean"])
    groups.keep(rows.teacher, evening, proposals=(found,), at=AT)
    [group] = found.groups
    first, second = (one.name for one in group.children)
    assert f"with {second}." in said(rows, first, "lean")[-1]


def test_what_is_done_alone_or_ticked_has_no_place():
    rows = school.build(*pupils("Amara", "Bao", tries=PROPS))
    for skill in ("bridge", "stop_word"):
        assert "Tonight" not in said(rows, "Amara", skill)[-1]


def test_who_is_not_up_for_it_is_asked_into_no_group():
    rows = school.build(*pupils("Amara", "Bao", tries=LEANS))
    lines = said(rows, "Amara", "lean", not_today=("Amara",))
    assert lines == ["Not for now: not today.", "No try of this is logged."]


# -- what is not known -----------------------------------------------------------------------


def test_nobody_of_that_name():
    rows = school.build(Pupil("Amara"))
    with pytest.raises(UnknownStudent, match="no child is called “Amarra”; close to it: Amara"):
        why.explain(rows.teacher, rows.load(), "Amarra", "lean")


def test_no_skill_of_that_name():
    rows = school.build(Pupil("Amara"))
    with pytest.raises(Unknown, match="no skill “leen” in curriculum, spring 2026; close to it:"):
        why.explain(rows.teacher, rows.load(), "Amara", "leen")
