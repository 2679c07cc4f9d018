from pathlib import Path

import pytest

from curriculum.cards import views
from curriculum.documents import read_yaml
from curriculum.models import ROLES
from engine.progression import AllOf, AnyOf, Leaf, Role

ROOT = Path(__file__).parents[2]


def card(**changes):
    return {
        "name": "Plank",
        "family": "tight",
        "criterion": "20 s",
        "roles": {"solo": {}},
    } | changes


def view(**changes):
    return views({"plank": card(**changes)})["plank"]


def leaf(skill, **changes):
    return {"skill": skill, "help": "no_spot"} | changes


# -- roles -----------------------------------------------------------------------------------


def test_roles_stand_in_one_order_whatever_the_document_s():
    written = {name: {} for name in reversed(ROLES)}
    assert tuple(view(roles=written).skill.roles) == ROLES
    assert tuple(view(roles={"flyer": {}, "base": {}}).skill.roles) == ("base", "flyer")


@pytest.mark.parametrize(
    ("role", "low", "high"),
    [
        ({}, 1, 1),
        ({"min": 2}, 2, 2),
        ({"max": 6}, 1, 6),
        ({"min": 0}, 0, 1),
        ({"min": 0, "max": 6}, 0, 6),
        ({"min": 2, "max": 4}, 2, 4),
    ],
)
def test_how_many_hold_a_role(role, low, high):
    assert view(roles={"partner": role}).skill.roles["partner"] == Role(low, high, None)


def test_loads_are_those_of_each_role():
    seen = view(roles={"base": {"loads": ["wrists", "knees"]}, "flyer": {}})
    assert seen.loads == {"base": {"wrists", "knees"}, "flyer": frozenset()}


# -- trees -----------------------------------------------------------------------------------

NEEDED = {
    "lean": card(roles={"partner": {"min": 2}}),
    "plank": card(),
    "lift": card(roles={"base": {}, "flyer": {}}),
    "both": card(roles={"solo": {}, "partner": {}}),
}


def needs(tree, role="solo"):
    documents = NEEDED | {"asking": card(roles={role: {"needs": tree}})}
    return views(documents)["asking"].skill.roles[role].needs


@pytest.mark.parametrize(
    ("asking", "needed", "meant"),
    [
        ("solo", leaf("both"), "solo"),  # the same role where the needed skill has it
        ("partner", leaf("both"), "partner"),
        ("base", leaf("lift"), "base"),
        ("base", leaf("plank"), "solo"),  # else its only role
        ("solo", leaf("lean"), "partner"),
        ("flyer", leaf("lift", role="base"), "base"),  # else what is written
        ("solo", leaf("plank", role="flyer"), "flyer"),  # written wrongly: found when publishing
        ("solo", leaf("lift"), "solo"),  # cannot be told: found when publishing
        ("base", leaf("unknown"), "base"),
    ],
)
def test_the_role_that_a_leaf_means(asking, needed, meant):
    assert needs(needed, asking) == Leaf(needed["skill"], meant, "no_spot")


def test_trees_in_trees():
    tree = {
        "all_of": [
            leaf("plank", help="hands_on"),
            {"any_of": [leaf("lean"), {"all_of": [leaf("lift", role="flyer", help="hands_near")]}]},
        ]
    }
    assert needs(tree) == AllOf(
        (
            Leaf("plank", "solo", "hands_on"),
            AnyOf(
                (
                    Leaf("lean", "partner", "no_spot"),
                    AllOf((Leaf("lift", "flyer", "hands_near"),)),
                )
            ),
        )
    )


def test_ways_have_their_own_needs_in_the_role_that_asks():
    documents = NEEDED | {
        "asking": card(
            roles={"partner": {"min": 2}},
            ways_in=[{"key": "plain", "name": "plain"}],
            ways_out=[
                {
                    "key": "hop",
                    "name": "hop",
                    "spot": "in front",
                    "needs": {"partner": leaf("lean")},
                }
            ],
            shapes=[{"key": "star", "name": "star"}],
        )
    }
    asking = views(documents)["asking"]
    assert [(way.key, way.name, way.needs, way.spot) for way in asking.ways_in] == [
        ("plain", "plain", {}, None)
    ]
    [hop] = asking.ways_out
    assert hop.needs == {"partner": Leaf("lean", "partner", "no_spot")}
    assert hop.spot == "in front"
    assert [way.key for way in asking.shapes] == ["star"]


# -- the rest of a card ----------------------------------------------------------------------


def test_what_a_card_does_not_say():
    seen = view()
    assert (seen.key, seen.name, seen.position, seen.tier) == ("plank", "Plank", 0, "floor")
    assert not (seen.lifted or seen.spotted or seen.keep_partners)
    skill = seen.skill
    assert not (skill.habit or skill.way_down or skill.caution)
    assert (seen.steps, seen.cues, seen.ways_in, seen.shapes, seen.ways_out) == ((),) * 5
    assert seen.agreed_before == {}
    unsaid = (
        *("youngest_age", "measure", "carried_share", "max_height_difference_cm", "learning_size"),
        *("flyer_taller_by_at_most_cm", "spot", "contacts", "grip", "way_down", "stop"),
        *("bail_out", "caution", "at_home"),
    )
    assert {getattr(seen, name) for name in unsaid} == {None}


SAID = {
    "tier": "mid",
    "youngest_age": 8,
    "measure": {"unit": "s", "figure": 5},
    "carried_share": 0.5,
    "max_height_difference_cm": 30,
    "flyer_taller_by_at_most_cm": -2,
    "keep_partners": True,
    "learning_size": 3,
    "spot": {"stands": "in front"},
    "contacts": "hips",
    "grip": "wrist to wrist",
    "way_down": "feet first",
    "stop": "down",
    "bail_out": "stay",
    "caution": "tips",
    "agreed_before": {"steps": 4},
    "at_home": "three times",
}


@pytest.mark.parametrize("key", SAID)
def test_what_a_card_says(key):
    assert getattr(view(**{key: SAID[key]}), key) == SAID[key]


def test_lists_become_tuples():
    seen = view(steps=["one", "two"], cues=["long"])
    assert (seen.steps, seen.cues) == (("one", "two"), ("long",))


@pytest.mark.parametrize(
    ("said", "name"),
    [
        ({"lifted": True}, "lifted"),
        ({"habit": True}, "habit"),
        ({"spot": {"stands": "in front"}}, "spotted"),
        ({"way_down": "feet first"}, "way_down"),
        ({"caution": "tips"}, "caution"),
    ],
)
def test_what_the_engine_knows_of_a_card(said, name):
    names = ("lifted", "habit", "spotted", "way_down", "caution")
    skill = view(**said).skill
    assert [other for other in names if getattr(skill, other)] == [name]


def test_cards_keep_the_teaching_order():
    seen = views({key: card(name=key) for key in ("b", "a", "c")})
    assert [(key, one.position) for key, one in seen.items()] == [("b", 0), ("a", 1), ("c", 2)]


@pytest.mark.parametrize("name", ["demo/curriculum.yaml", "docs/formats/examples/curriculum.yaml"])
def test_a_curriculum_whose_members_come_in_any_order_is_the_same(name):
    """A database hands the members of objects back as it likes; lists and cards keep theirs."""

    def turned(value):
        if isinstance(value, dict):
            return {key: turned(inner) for key, inner in reversed(value.items())}
        return [turned(inner) for inner in value] if isinstance(value, list) else value

    skills = read_yaml((ROOT / name).read_bytes())["skills"]
    straight, other = views(skills), views({key: turned(card) for key, card in skills.items()})
    assert other == straight
    for key, one in other.items():
        assert list(one.skill.roles) == list(straight[key].skill.roles)
