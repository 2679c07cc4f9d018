from dataclasses import replace

import pytest

from engine.progression import AllOf, AnyOf, Fault, Role, faults
from tests.engine.progression.build import all_of, any_of, by_key, duo, need, role, skill, solo


def test_a_sound_curriculum_has_no_faults():
    assert faults({}) == ()
    skills = by_key(
        solo("plank"),
        duo("lean", need("plank"), all_of("plank", any_of("plank", "plank"))),
        duo("seat", need("lean", "base"), need("lean", "flyer", "hands_near"), lifted=True),
        skill("line", {"front": role(), "middle": role(low=0, high=2), "back": role()}),
        skill("ring", {"partner": role(need("lean", "flyer"), low=3, high=6)}),
        skill("walk", {"solo": role(), "spotter": role(low=0)}),
    )
    assert faults(skills) == ()


@pytest.mark.parametrize(
    ("change", "code", "sentence"),
    [
        ({"spotted": False}, "lifted_without_spot", "“Seat” is lifted, but has no spot"),
        ({"way_down": False}, "lifted_without_way_down", "“Seat” is lifted, but has no way down"),
        ({"caution": False}, "lifted_without_caution", "“Seat” is lifted, but has no caution"),
        (
            {"habit": True},
            "lifted_habit",
            "“Seat” is lifted, so it cannot be a habit, which is only ticked",
        ),
    ],
)
def test_a_lifted_skill_says_how_it_is_made_safe(change, code, sentence):
    lifted = duo("seat", lifted=True, **change)
    assert faults(by_key(lifted)) == (Fault(code, "seat", None, sentence),)
    assert faults(by_key(replace(lifted, lifted=False))) == ()


def test_all_that_a_lifted_skill_lacks_is_named_at_once():
    bare = duo("seat", lifted=True, spotted=False, way_down=False, caution=False, habit=True)
    assert [fault.code for fault in faults(by_key(bare))] == [
        "lifted_without_spot",
        "lifted_without_way_down",
        "lifted_without_caution",
        "lifted_habit",
    ]


UNFILLED = {
    "min above max": (
        {"solo": role(low=2, high=1)},
        ("min_above_max", "solo", "at least 2 but at most 1 of them"),
    ),
    "at most none": (
        {"solo": role(), "middle": Role(0, 0, None)},
        ("unreachable", "middle", "nobody can reach it: at most 0 of them"),
    ),
    "a flyer without a base": (
        {"flyer": role(), "partner": role()},
        ("flyer_without_base", None, "“Odd” can have a flyer without a base"),
    ),
    "a flyer whose base may be missing": (
        {"flyer": role(low=2), "base": role(low=0)},
        ("flyer_without_base", None, "“Odd” can have a flyer without a base"),
    ),
    "nobody at all": (
        {"partner": role(low=0, high=4)},
        ("nobody_needed", None, "“Odd” needs nobody: each of its roles may stay empty"),
    ),
    "nobody but a spotter": (
        {"solo": role(low=0), "spotter": role()},
        ("nobody_needed", None, "“Odd” needs nobody: each of its roles may stay empty"),
    ),
    "a lone place, min above max": (
        {"front": role(low=1, high=0)},
        ("min_above_max", "front", "at least 1 but at most 0 of them"),
    ),
    "no roles": (
        {},
        ("nobody_needed", None, "“Odd” needs nobody: each of its roles may stay empty"),
    ),
    "a lone partner": (
        {"partner": role(high=4)},
        ("lone_role", None, "“Odd” is done together, so it should take at least two"),
    ),
    "a lone partner and a spotter": (
        {"partner": role(), "spotter": role()},
        ("lone_role", None, "“Odd” is done together, so it should take at least two"),
    ),
    "a lone base": (
        {"base": role()},
        ("lone_role", None, "“Odd” is done together, so it should take at least two"),
    ),
}


@pytest.mark.parametrize(("roles", "expected"), UNFILLED.values(), ids=UNFILLED)
def test_roles_that_cannot_be_filled(roles, expected):
    code, of, sentence = expected
    assert faults(by_key(skill("odd", roles))) == (Fault(code, "odd", of, sentence),)


@pytest.mark.parametrize(
    "roles",
    [
        {"solo": role()},
        {"solo": role(low=1, high=1), "spotter": role(low=0, high=1)},
        {"partner": role(low=2, high=2)},
        {"partner": role(), "base": role()},
        {"base": role(), "flyer": role(low=0)} | {"middle": role()},
        {"front": role(), "middle": role(low=0), "back": role()},
    ],
)
def test_roles_that_can_be_filled(roles):
    assert faults(by_key(skill("fine", roles))) == ()


def test_every_role_at_fault_is_named():
    odd = skill("odd", {"front": role(low=3, high=2), "back": role(low=2, high=1)})
    assert [(fault.code, fault.role) for fault in faults(by_key(odd))] == [
        ("min_above_max", "back"),
        ("min_above_max", "front"),
    ]


def test_needs_that_name_what_is_not_there():
    skills = by_key(
        duo("lean"),
        skill("seat", {"partner": role(all_of("plank", need("lean", "solo")), low=2)}),
    )
    assert faults(skills) == (
        Fault(
            "unknown_skill",
            "seat",
            "partner",
            "needs “plank”, which is no skill of this curriculum",
        ),
        Fault(
            "unknown_role",
            "seat",
            "partner",
            "needs the role solo of “lean”, which has no such role",
        ),
    )


def test_what_is_missing_twice_is_named_once():
    twice = solo("seat", "plank", any_of(need("plank", help_="hands_on"), "plank"))
    assert [fault.code for fault in faults(by_key(twice))] == ["unknown_skill"]


def test_a_spotter_is_not_learnt():
    skills = by_key(
        skill("walk", {"solo": role(), "spotter": role(need("other"), low=0)}),
        solo("roll", need("walk", "spotter")),
    )
    assert faults(skills) == (
        Fault(
            "unreachable",
            "roll",
            "solo",
            "nobody can reach it: the spotter of “walk” is not a role one learns",
        ),
        Fault(
            "unknown_skill",
            "walk",
            "spotter",
            "needs “other”, which is no skill of this curriculum",
        ),
    )


def test_a_choice_without_anything_to_choose():
    empty = Fault(
        "unreachable",
        "b",
        "solo",
        "nobody can reach it: it has a choice without anything to choose",
    )
    assert faults(by_key(solo("a"), solo("b", "a", AnyOf(())))) == (empty,)
    assert faults(by_key(solo("a"), solo("b", any_of("a", AnyOf(()))))) == ()
    assert faults(by_key(solo("a"), solo("b", "a", AllOf(())))) == ()


def test_a_circle_is_named_in_full():
    skills = by_key(solo("c", "b"), solo("b", "a"), solo("a", "c"), solo("d", "c"))
    assert faults(skills) == (
        Fault(
            "cycle",
            "a",
            "solo",
            "needs itself in the end: a → c → b → a: “A” needs “C”, that needs “B”, that needs “A”",
        ),
    )


def test_a_skill_that_needs_itself():
    assert faults(by_key(solo("a", "a"))) == (
        Fault("cycle", "a", "solo", "needs itself in the end: a → a: “A” needs “A”"),
    )


def test_a_circle_names_roles_where_there_are_several():
    skills = by_key(duo("a", need("b")), solo("b", need("a", "base")), solo("c"))
    assert faults(skills) == (
        Fault(
            "cycle",
            "a",
            "base",
            "needs itself in the end: a → b → a: “A” (base) needs “B”, that needs “A” (base)",
        ),
    )


def test_circles_apart_are_named_each():
    skills = by_key(
        solo("a", "b"),
        solo("b", "a", "c"),
        solo("c", "b", "d"),
        solo("d"),
        solo("e", "f"),
        solo("f", "e"),
    )
    assert [fault.sentence.split(": ")[1] for fault in faults(skills)] == [
        "a → b → a",
        "b → c → b",
        "e → f → e",
    ]


def test_of_circles_that_share_a_need_one_is_named():
    # One wrong need, d of a, and two ways back to it.
    skills = by_key(solo("a", "d"), solo("b", "a"), solo("c", "a"), solo("d", "b", "c"))
    assert [fault.sentence.split(": ")[1] for fault in faults(skills)] == ["a → d → b → a"]


def test_a_choice_can_close_a_circle():
    skills = by_key(solo("a"), solo("b", any_of("a", "c")), solo("c", "b"))
    assert [fault.code for fault in faults(skills)] == ["cycle"]


def test_two_roles_of_a_skill_are_no_circle():
    skills = by_key(
        skill("line", {"front": role(), "middle": role(need("walk"), low=0), "back": role()}),
        solo("walk", need("line", "front")),
    )
    assert faults(skills) == ()


def test_nobody_can_be_first_where_roles_wait_for_each_other():
    # To be a base she should have done b, which wants a flyer of a, who wants a base.
    skills = by_key(duo("a", need("b")), solo("b", need("a", "flyer")), solo("c", "b"))
    assert faults(skills) == (
        Fault(
            "unreachable",
            "a",
            "base",
            "nobody can be the first to reach it: a → b → a → a: “A” (base) waits for “B”, "
            "that waits for “A” (flyer), that waits for “A” (base)",
        ),
    )


def test_a_role_waits_for_its_own_skill():
    skills = by_key(duo("a", need("a", "flyer")))
    assert [(fault.code, fault.role) for fault in faults(skills)] == [("unreachable", "base")]


def test_a_way_round_lets_somebody_be_first():
    skills = by_key(
        duo("a", any_of("b", "c")), solo("b", need("a", "flyer")), solo("c"), solo("d", "b")
    )
    assert faults(skills) == ()


def test_a_role_that_may_stay_empty_holds_nobody_up():
    waits = {"base": role(), "flyer": role(), "middle": role(need("b"), low=0)}
    assert faults(by_key(skill("a", waits), solo("b", need("a", "flyer")))) == ()


def test_what_follows_from_another_fault_is_not_named():
    skills = by_key(
        duo("a", need("gone")),
        solo("b", need("a", "base"), need("a", "flyer")),
        solo("c", "c"),
        solo("d", "c", "b"),
        skill("e", {"partner": role(need("d"))}),
        duo("f", need("e", "partner"), need("a", "flyer")),
    )
    assert [(fault.code, fault.skill) for fault in faults(skills)] == [
        ("unknown_skill", "a"),
        ("lone_role", "e"),
        ("cycle", "c"),
    ]


def test_a_fault_of_one_role_hides_none_of_the_others():
    three = {"base": role(need("gone")), "flyer": role(need("b")), "middle": role()}
    skills = by_key(skill("a", three), solo("b", need("a", "middle")))
    assert [(fault.code, fault.role) for fault in faults(skills)] == [
        ("unknown_skill", "base"),
        ("unreachable", "flyer"),
    ]


def test_a_skill_that_cannot_be_filled_is_named_once():
    two = {"flyer": role(need("b")), "middle": role()}
    skills = by_key(skill("a", two), solo("b", need("a", "middle")))
    assert [(fault.code, fault.role) for fault in faults(skills)] == [("flyer_without_base", None)]


def test_a_lack_of_a_spot_hides_no_other_fault():
    skills = by_key(duo("a", need("b"), lifted=True, spotted=False), solo("b", need("a", "flyer")))
    assert [fault.code for fault in faults(skills)] == ["lifted_without_spot", "unreachable"]
