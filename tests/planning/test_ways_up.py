"""In which holds a child could be up tonight."""

from dataclasses import replace
from itertools import permutations

import pytest

from accounts.scope import Unknown
from engine.grouping import feasible
from planning import ways_up as module
from planning.proposals import problem
from planning.ways_up import ways_up
from tests import factories
from tests.planning import school
from tests.planning.build import (
    AGREED,
    CARDS,
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

YES = "a teacher's yes to begin for {}"
HOLDS = [
    ("lean", "partner"),
    ("straight_lean", "partner"),
    ("chest_rest", "flyer"),
    ("seat", "flyer"),
]


def found(tonight, name, key, role="flyer"):
    card = tonight.edition.cards[key]
    who = next(one for one in tonight.listed if one.name == name)
    way = module._way_up(tonight, card, role, who)
    return way.state, list(way.says), [one.name for one in way.partners]


def test_what_fits_and_what_is_asked():
    tonight = evening(*pupils("Amara", "Bao", "Hana", **LIFTED))
    assert found(tonight, "Bao", "lean", "partner") == ("fits", [], ["Amara", "Hana"])
    assert found(tonight, "Bao", "chest_rest") == ("fits", [], ["Amara", "Hana"])
    asks = [YES.format("Bao as flyer"), "“these two: yes”"]
    assert found(tonight, "Bao", "seat") == ("ask", asks, ["Amara", "Hana"])
    agreed = replace(tonight, pairs_ok=frozenset({(tonight.here[0].id, tonight.here[1].id)}))
    assert found(agreed, "Bao", "seat") == ("ask", asks[:1], ["Amara", "Hana"])


def test_with_a_teacher_s_yes_for_her_and_for_the_two_nothing_is_asked():
    tonight = evening(
        *pupils("Amara", "Bao", **LIFTED),
        yeses=[("Bao", "seat", "flyer")],
        pairs_ok=[("Amara", "Bao")],
    )
    assert found(tonight, "Bao", "seat") == ("fits", [], ["Amara"])


def test_what_is_missing():
    tonight = evening(Pupil("Amara", PROPS), Pupil("Bao", clean("table")))
    missing = "missing is standing tight with no spot, not tried yet"
    assert found(tonight, "Bao", "chest_rest") == ("missing", [missing], [])


def test_what_stops_it():
    two = (Pupil("Amara", **LIFTED), Pupil("Bao", **LIFTED | {"agreed": frozenset()}))
    assert found(evening(*two), "Bao", "seat") == ("stop", ["no lifts for now"], [])
    nobody = ["no adult is free tonight who may spot this"]
    assert found(evening(*two, spotters=(), adults_in_room=2), "Bao", "chest_rest") == (
        "stop",
        nobody,
        [],
    )
    resting = Pupil("Bao", **LIFTED | {"not_today": True})
    assert found(evening(two[0], resting), "Bao", "lean", "partner") == ("stop", ["not today"], [])


def test_load_height_and_a_wish_read_alike():
    two = pupils("Amara", "Bao", **LIFTED)
    tonight = evening(*two)
    masses = tuple(replace(one, mass_kg=40.0) for one in tonight.here)
    small = Pupil("Amara", **LIFTED | {"height_cm": 90.0})
    for world in (
        replace(tonight, here=masses),
        evening(small, two[1]),
        evening(*two, apart=[("Amara", "Bao")]),
        evening(two[1]),
    ):
        assert found(world, "Bao", "seat") == ("stop", ["another base"], [])
    apart = evening(*two, apart=[("Amara", "Bao")])
    assert found(apart, "Bao", "lean", "partner") == ("stop", ["another partner"], [])


def test_whoever_is_away_is_told_what_she_could_do_and_is_nobody_s_partner():
    tonight = evening(Pupil("Amara", PROPS), Pupil("Bao", PROPS), away=pupils("Hana", tries=PROPS))
    assert found(tonight, "Hana", "chest_rest") == ("fits", [], ["Amara", "Bao"])
    assert found(tonight, "Amara", "chest_rest") == ("fits", [], ["Bao"])


def test_two_bases_where_one_is_not_enough():
    role = {"needs": {"skill": "tight", "role": "solo", "help": "no_spot"}}
    documents = with_card("seat", roles={"base": {"min": 1, "max": 2} | role, "flyer": role})
    tonight = evening(*pupils("Amara", "Bao", "Hana", **LIFTED), documents=documents)
    here = tuple(
        replace(one, mass_kg=kg) for one, kg in zip(tonight.here, (30.0, 30.0, 40.0), strict=True)
    )
    heavy = replace(tonight, here=here)
    assert found(heavy, "Hana", "seat")[2] == ["Amara", "Bao"]
    assert found(replace(heavy, here=here[1:]), "Hana", "seat")[:2] == ("stop", ["another base"])


@pytest.mark.parametrize("key", ["seat", "chest_rest"])
def test_partners_are_those_of_the_engine(key):
    tonight = evening(
        Pupil("Amara", **LIFTED),
        Pupil("Bao", **LIFTED | {"height_cm": 150.0}),
        Pupil("Demba", clean("table"), agreed=AGREED, height_cm=131.0, height_on=ON),
        Pupil("Hana", **LIFTED | {"restricted": (("base", ON),)}),
        Pupil("Tariq", **LIFTED | {"height_cm": None, "height_on": None}),
        pairs_ok=[("Tariq", "Amara")],
        together=[("Demba", "Hana")],
    )
    stated = problem(tonight, CARDS[key])
    for flyer in tonight.here:
        fitting = [
            base.name
            for base, other in permutations(tonight.here, 2)
            if other is flyer
            and feasible.fits(stated, {"base": [base.rank], "flyer": [flyer.rank]})
        ]
        assert found(tonight, flyer.name, key)[2] == fitting


def test_of_a_child_in_the_order_in_which_holds_are_taught(db):
    rows = school.build(*pupils("Amara", "Bao", **LIFTED))
    lesson = rows.lesson()
    told = ways_up(rows.teacher, student_id=rows.children["Bao"], lesson_id=lesson.id, today=ON)
    assert [(one.skill, one.role) for one in told.holds] == HOLDS
    assert (told.student.name, told.lesson) == ("Bao", lesson.id)
    assert [one.lifted for one in told.holds] == [False, False, False, True]
    assert told.holds[3].caution == "this one tips backward: a hand stays behind the hips"
    assert told.caution.startswith("Partner work can injure.")


def test_a_child_who_is_not_on_the_list(db):
    rows = school.build(*pupils("Amara", **LIFTED))
    other = factories.ClassFactory(studio=rows.klass.studio, name="Thursday second year")
    stranger = factories.StudentFactory(
        school_id=rows.id, identity__given_name="Oğuz", classes=[other]
    )
    asked = {"lesson_id": rows.lesson().id, "today": ON}
    with pytest.raises(Unknown, match="no such child in this lesson"):
        ways_up(rows.teacher, student_id=stranger.id, **asked)
    with pytest.raises(Unknown, match="no such lesson"):
        foreign = school.build(name="Another school").head
        ways_up(foreign, student_id=rows.children["Amara"], **asked)


def test_a_large_class_of_a_large_hold():
    role = {"needs": {"skill": "tight", "role": "solo", "help": "no_spot"}}
    documents = with_card("seat", roles={"base": {"min": 4, "max": 8} | role, "flyer": role})
    names = tuple(f"{place:02d} Amara" for place in range(24))
    tonight = evening(*pupils(*names, **LIFTED), documents=documents, adults_in_room=4)
    state, _, partners = found(tonight, names[0], "seat")
    assert (state, child(tonight, names[1]).name in partners) == ("ask", True)
