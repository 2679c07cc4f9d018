"""From skills to a picture."""

from itertools import pairwise
from random import Random

from hypothesis import given
from hypothesis import strategies as st

from engine.layout import Line, Need, Placed, pictured
from engine.layout.layers import DOWN, ROUND, UP
from engine.progression import faults
from tests.engine.progression.build import any_of, by_key, need, role, skill, solo
from tests.engine.progression.test_against_twins import curricula

WIDTHS = {"skill": 1, "unknown": 1, "one_of": 0.5, "all_of": 0.5}


def test_a_picture_in_full():
    lift = skill("c", {"solo": role(any_of("a", need("b", help_="hands_on")))})
    made = pictured(by_key(solo("a"), solo("b"), lift))
    ask, none = Need("solo", "solo", "no_spot"), Need("solo", None, None)
    same = {"circle": False, "runs": UP}
    assert (made.width, made.layers) == (2, 3)
    assert made.nodes == (
        Placed("a", "skill", "a", 0, 0.5),
        Placed("b", "skill", "b", 0, 1.5),
        Placed("c.1", "one_of", "c", 1, 1.0),
        Placed("c", "skill", "c", 2, 1.0),
    )
    assert made.lines == (
        Line("a", "c.1", "any_of", (ask,), points=((0.5, 0), (1.0, 1)), **same),
        Line(
            "b",
            "c.1",
            "any_of",
            (Need("solo", "solo", "hands_on"),),
            points=((1.5, 0), (1.0, 1)),
            **same,
        ),
        Line("c.1", "c", "all_of", (none,), points=((1.0, 1), (1.0, 2)), **same),
    )
    assert pictured({}).nodes == ()


@given(st.data(), curricula(most=5))
def test_a_picture_is_sound(data, skills):
    made = pictured(skills)
    assert_sound(made)
    assert pictured(dict(data.draw(st.permutations(list(skills.items()))))) == made
    cycles = any(fault.code == "cycle" for fault in faults(skills))
    assert any(line.circle for line in made.lines) is cycles


def test_a_picture_of_two_hundred_cards():
    dice = Random(3)
    skills = by_key(*(solo(f"k{at:03d}", *_some(dice, at)) for at in range(200)))
    made = pictured(skills)
    assert_sound(made)
    assert {line.runs for line in made.lines} == {UP}
    assert len(made.nodes) == 200


def _some(dice, at):
    """Needs of the card `at`, among the forty before it."""
    return [need(f"k{dice.randrange(max(0, at - 40), at):03d}") for _ in range(3 * (at > 30))]


def assert_sound(made):
    at = {node.key: (node.x, node.layer) for node in made.nodes}
    for line in made.lines:
        assert (line.points[0], line.points[-1]) == (at[line.start], at[line.end])
        steps = [high - low for (_, low), (_, high) in pairwise(line.points)]
        assert min(steps) > 0 if line.runs == UP else max(steps) <= 0
        assert (line.runs == ROUND) is (line.start == line.end)
    for layer in range(made.layers):
        row = sorted((n.x, WIDTHS[n.kind]) for n in made.nodes if n.layer == layer)
        for (x, width), (other, its) in pairwise(row):
            assert other - x >= (width + its) / 2
    assert all(
        0 <= n.x - WIDTHS[n.kind] / 2 < n.x + WIDTHS[n.kind] / 2 <= made.width for n in made.nodes
    )


def test_a_circle_is_told_through_its_choice_and_nowhere_else():
    skills = by_key(
        solo("a", need("c")),
        skill("b", {"solo": role(any_of("a", "d"))}),
        solo("c", need("b"), need("d")),
        solo("d"),
        solo("e", need("c")),
    )
    made = pictured(skills)
    assert {(line.start, line.end) for line in made.lines if line.circle} == {
        ("a", "b.1"),
        ("b.1", "b"),
        ("b", "c"),
        ("c", "a"),
    }
    assert sum(line.runs == DOWN for line in made.lines) == 1


def test_two_that_need_each_other_in_other_roles_are_no_circle():
    roles = {"base": role(), "flyer": role(need("b", "base"))}
    other = {"base": role(need("a", "base")), "flyer": role()}
    made = pictured(by_key(skill("a", roles), skill("b", other)))
    assert {line.runs: line.circle for line in made.lines} == {UP: False, DOWN: False}
