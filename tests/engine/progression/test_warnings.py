import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.progression import Warning, warnings
from tests.engine.progression.build import all_of, any_of, by_key, duo, need, role, skill, solo


def redundant(skills):
    return [(it.skill, it.role, it.sentence) for it in warnings(skills) if it.code == "redundant"]


def test_a_need_that_follows_from_another():
    skills = by_key(
        solo("a"), solo("b", "a"), solo("c", "b"), duo("d", all_of("c", "a"), need("c"))
    )
    assert warnings(skills) == (
        Warning(
            "redundant", "d", "base", "“D” (base) need not ask for “A”: “C” asks for it already"
        ),
    )


def test_a_need_for_less_help_does_not_follow():
    near = need("a", help_="hands_near")
    skills = by_key(solo("a"), solo("b", near))
    assert redundant(skills | by_key(solo("c", "b", "a"))) == []
    assert redundant(skills | by_key(solo("c", "b", near))) == [
        ("c", "solo", "“C” need not ask for “A”: “B” asks for it already")
    ]
    assert len(redundant(skills | by_key(solo("c", "b", need("a", help_="hands_on"))))) == 1


def test_the_need_that_asks_first_is_named():
    skills = by_key(
        solo("a"),
        solo("b", need("a", help_="hands_near")),
        solo("c", "a"),
        solo("d", "a"),
        solo("e", "b", "c", "d", "a"),
    )
    assert redundant(skills) == [("e", "solo", "“E” need not ask for “A”: “C” asks for it already")]


def test_only_what_really_asks_for_it_is_named():
    near = need("a", help_="hands_near")
    skills = by_key(solo("a"), solo("b"), solo("c", "a"), solo("d", "b", "c", near))
    assert redundant(skills) == [("d", "solo", "“D” need not ask for “A”: “C” asks for it already")]


@pytest.mark.parametrize(
    "parts",
    [
        ("a", "a"),
        (need("a", help_="hands_on"), "a"),
        ("a", need("a", help_="hands_near")),
        (all_of("a"), any_of("a")),
    ],
)
def test_a_need_given_twice(parts):
    assert redundant(by_key(solo("a"), solo("b", *parts))) == [
        ("b", "solo", "“B” need not ask for “A”: it asks for it twice")
    ]


def test_a_choice_that_is_settled():
    settled = [("c", "solo", "“C” need not ask for the choice: its other needs settle it")]
    skills = by_key(solo("a"), solo("b", "a"), solo("x"))
    assert redundant(skills | by_key(solo("c", "b", any_of("x", "a")))) == settled
    assert redundant(skills | by_key(solo("c", any_of("x", "b"), "b"))) == settled
    assert redundant(skills | by_key(solo("c", any_of("a", "b"), "x"))) == []
    assert redundant(skills | by_key(solo("c", any_of("x", "a"), "b", "a"))) == [
        *settled,
        ("c", "solo", "“C” need not ask for “A”: “B” asks for it already"),
    ]


def test_what_lies_behind_a_choice_does_not_follow():
    skills = by_key(solo("a"), solo("x"), solo("b", any_of("a", "x")), solo("c", "b", "a"))
    assert redundant(skills) == []


@given(st.sets(st.tuples(st.integers(0, 6), st.integers(0, 6)).filter(lambda e: e[0] < e[1])))
def test_redundant_needs_are_those_of_a_transitive_reduction(edges):
    # networkx.transitive_reduction as the reference.
    skills = by_key(
        *(
            solo(f"k{at}", *(f"k{low}" for low, high in sorted(edges) if high == at))
            for at in range(7)
        )
    )
    graph = nx.DiGraph([(f"k{high}", f"k{low}") for low, high in edges])
    kept = set(nx.transitive_reduction(graph).edges)
    expected = {(high, low.capitalize()) for high, low in set(graph.edges) - kept}
    assert {
        (key, sentence.split("“")[2].split("”")[0]) for key, _, sentence in redundant(skills)
    } == (expected)


def dead_ends(*skills):
    return [it for it in warnings(by_key(*skills)) if it.code == "dead_end"]


def test_what_is_done_alone_and_leads_to_nothing():
    assert dead_ends(solo("b"), solo("a"), duo("c", need("a"))) == [
        Warning("dead_end", "b", None, "“B” leads to no other skill")
    ]
    assert dead_ends(solo("a", habit=True), duo("c")) == []
    assert dead_ends(solo("a"), duo("c", None, any_of(need("a", help_="hands_on")))) == []


def first_lifts(*skills):
    return [(it.skill, it.role) for it in warnings(by_key(*skills)) if it.code == "lifted_first"]


def test_a_lift_before_any_partner_work():
    skills = by_key(duo("seat", lifted=True))
    assert warnings(skills) == (
        Warning(
            "lifted_first",
            "seat",
            "flyer",
            "“Seat” (flyer) can come before any partner work on the floor",
        ),
    )


def test_skills_done_alone_and_habits_are_no_partner_work():
    plank = solo("plank")
    habit = skill("count", {"partner": role(low=2)}, habit=True)
    flyer = all_of("plank", need("count", "partner"))
    assert first_lifts(plank, habit, duo("seat", None, flyer, lifted=True)) == [("seat", "flyer")]


def test_partner_work_on_the_floor_before_a_lift():
    lean = skill("lean", {"partner": role(low=2)})
    after = need("lean", "partner", "hands_on")
    assert first_lifts(lean, duo("seat", None, after, lifted=True)) == []
    assert first_lifts(lean, duo("seat", after, None, lifted=True)) == [("seat", "flyer")]
    round_ = any_of("plank", after)
    assert first_lifts(lean, solo("plank"), duo("seat", None, round_, lifted=True)) == [
        ("seat", "flyer")
    ]
    assert (
        first_lifts(lean, solo("roll", after), duo("seat", None, need("roll"), lifted=True)) == []
    )


def test_only_the_first_of_several_lifts_is_named():
    seat = duo("seat", lifted=True)
    stand = duo("stand", None, need("seat", "flyer"), lifted=True)
    assert first_lifts(seat, stand) == [("seat", "flyer")]


def test_every_lifted_role_but_the_base_counts():
    carried = skill(
        "carry", {"base": role(low=2), "middle": role(), "spotter": role()}, lifted=True
    )
    assert first_lifts(carried) == [("carry", "middle")]


def test_warnings_come_in_a_fixed_order():
    skills = by_key(
        solo("a"), solo("b", "a", "a"), solo("c", "a", "a"), duo("d", lifted=True), duo("e")
    )
    assert [(it.code, it.skill) for it in warnings(skills)] == [
        ("redundant", "b"),
        ("redundant", "c"),
        ("dead_end", "b"),
        ("dead_end", "c"),
        ("lifted_first", "d"),
    ]
