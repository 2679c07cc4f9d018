"""What is said of a card's picture: at its place, in words a writer can act on."""

import re
from pathlib import Path

import pytest

from accounts.faults import BadDocument
from curriculum import checks
from curriculum.cards import views
from curriculum.documents import read_yaml
from tests.curriculum.build import DOCUMENT, said, with_skill

PAGE = Path(__file__).parents[2] / "docs" / "formats" / "curriculum.md"
TABLE = {
    "role": "base",
    "shoulder": 73,
    "hip": 73,
    "knee": 90,
    "on": {"hands": "floor", "knees": "floor"},
}
SITS = {"role": "flyer", "hip": 90, "knee": 90, "on": {"hips": "base.hips"}}


def drawn(*figures, **pose):
    return with_skill("seat", pose={"figures": list(figures), **pose})


def broken(*figures, **pose):
    """The faults of the first stage, as lines."""
    with pytest.raises(BadDocument) as refused:
        checks.read_document(said(drawn(*figures, **pose)))
    return str(refused.value).splitlines()


def found(*figures, **pose):
    """The faults of the second stage, as lines."""
    document = checks.read_document(said(drawn(*figures, **pose)))
    return [str(fault) for fault in checks.curriculum_of(document).faults]


def test_a_card_may_have_a_picture():
    adult = {"role": "spotter", "faces": "left", "x": -0.9}
    assert found(TABLE, SITS, adult) == []
    assert views(DOCUMENT["skills"])["seat"].pose is None


def test_a_picture_reads_the_same_whatever_order_a_database_keeps():
    pose = {"figures": [TABLE, SITS], "box": {"x": 1, "width": 0.5, "height": 0.2}}
    seen = views(with_skill("seat", pose=pose)["skills"])["seat"].pose
    assert seen == pose
    assert [*seen] == ["box", "figures"]
    assert [*seen["figures"][0]] == ["hip", "knee", "on", "role", "shoulder"]
    assert [*seen["figures"][0]["on"]] == ["hands", "knees"]


AT = "/skills/seat/pose/figures/0"


@pytest.mark.parametrize(
    ("figure", "fault"),
    [
        ({}, f"{AT}/role: missing"),
        (
            {"role": "basis"},
            f"{AT}/role: should be one of solo, partner, base, flyer, spotter, front, middle, back",
        ),
        ({"role": "base", "knee": 170}, f"{AT}/knee: should be at most 155"),
        ({"role": "base", "knee": -10}, f"{AT}/knee: should be at least 0"),
        ({"role": "base", "hip": [20, 160]}, f"{AT}/hip/1: should be at most 150"),
        ({"role": "base", "hip": [20]}, f"{AT}/hip: should have 2 items"),
        ({"role": "base", "hip": [1, 2, 3]}, f"{AT}/hip: more than 2 items"),
        ({"role": "base", "hip": "bent"}, f"{AT}/hip: should be a number or a list"),
        ({"role": "base", "trunk": [1, 2]}, f"{AT}/trunk: should be a number"),
        ({"role": "base", "faces": "up"}, f"{AT}/faces: should be one of right, left, viewer"),
        ({"role": "base", "size": 3}, f"{AT}/size: should be at most 1.6"),
        (
            {"role": "base", "reach": {"nose": "floor"}},
            f"{AT}/reach/nose: should be one of feet, foot, other_foot, hands, hand, other_hand",
        ),
        ({"role": "base", "on": {}}, f"{AT}/on: should not be empty"),
        ({"role": "base", "on": {"feet": 7}}, f"{AT}/on/feet: should be a text"),
    ],
)
def test_what_is_no_figure(figure, fault):
    assert broken(figure) == [fault]


def test_more_than_two_contacts():
    on = {"feet": "floor", "hands": "floor", "head": "floor"}
    assert broken({"role": "base", "on": on}) == [f"{AT}/on: more than 2 entries"]


def test_a_picture_of_nobody():
    assert broken() == ["/skills/seat/pose/figures: should not be empty"]


def test_a_box_has_all_its_measures():
    assert broken(TABLE, box={"x": 0}) == [
        "/skills/seat/pose/box/height: missing",
        "/skills/seat/pose/box/width: missing",
    ]


def test_roles_are_those_of_the_card():
    assert found(TABLE, SITS, {"role": "front"}) == [
        "/skills/seat/pose/figures/2/role: no such role on this card"
    ]


def test_no_more_figures_than_hold_the_role():
    assert found(TABLE, TABLE, SITS) == [
        "/skills/seat/pose/figures/1/role: at most 1 hold this role"
    ]


def test_an_adult_who_spots_stands_only_where_the_card_has_a_spot():
    pose = {"figures": [{"role": "solo"}, {"role": "spotter"}]}
    document = with_skill("table", pose=pose)
    assert [str(fault) for fault in checks.curriculum_of(document).faults] == [
        "/skills/table/pose/figures/1/role: no such role on this card"
    ]
    spotted = with_skill("table", document, spot={"stands": "beside"})
    assert checks.curriculum_of(spotted).faults == ()


def test_what_leads_nowhere_or_cannot_be_is_told_at_its_place():
    assert found(TABLE, SITS | {"on": {"hips": "bass.hips"}}) == [
        "/skills/seat/pose/figures/1/on/hips: no figure “bass”; there are base"
    ]
    assert found(TABLE, {"role": "flyer"}) == [
        "/skills/seat/pose/figures/1: the card says lifted, but here the flyer is on the floor"
    ]


def test_the_example_of_the_page_can_be_drawn():
    [example] = re.findall(r"```yaml\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL)
    assert found(*read_yaml(example.encode())["pose"]["figures"]) == []
