"""Figures are placed as plane geometry worked out by hand says."""

from math import atan, cos, degrees, radians, sin, sqrt

import pytest

from engine.pose import joints_of, placed, pose_of
from engine.pose.body import (
    ANKLE,
    BROAD,
    FOREARM,
    HEAD,
    LIMB,
    SHANK,
    SHOULDERS,
    THIGH,
    TRUNK,
    UPPER_ARM,
)
from engine.pose.joints import point

ARM = UPPER_ARM + FOREARM
LEG = THIGH + SHANK


def bodies(*figures, **pose):
    return placed(pose_of({"figures": list(figures), **pose})).bodies


def joints(*figures, **pose):
    return [joints_of(body) for body in bodies(*figures, **pose)]


def close(x, y):
    return pytest.approx((x, y), abs=1e-12)


# -- one figure ------------------------------------------------------------------------------


@pytest.mark.parametrize("size", [1.0, 0.9])
def test_who_stands_straight_is_as_tall_as_her_stature(size):
    [child] = joints({"role": "solo", "size": size, "x": 2})
    assert child.head == close(2, size * (1 - HEAD))
    assert child.shoulders == close(2, size * SHOULDERS)
    assert [leg[2] for leg in child.legs] == [close(2, size * ANKLE)] * 2
    assert [leg[3][1] for leg in child.legs] == pytest.approx([0, 0], abs=1e-12)  # the heels
    assert [arm[2] for arm in child.arms] == [close(2, size * (SHOULDERS - ARM))] * 2


def test_lengths_are_those_of_the_tables():
    # De Leva (1996), table 4, mean of the sexes, as shares of 1735 mm and 1741 mm.
    assert pytest.approx((275.1 / 1735 + 281.7 / 1741) / 2, abs=1e-4) == UPPER_ARM
    assert pytest.approx((264.3 / 1735 + 268.9 / 1741) / 2, abs=1e-4) == FOREARM
    assert pytest.approx((368.5 / 1735 + 422.2 / 1741) / 2, abs=1e-4) == THIGH
    assert pytest.approx((438.6 / 1735 + 440.3 / 1741) / 2, abs=1e-4) == SHANK
    assert pytest.approx((497.9 / 1735 + 515.5 / 1741) / 2, abs=1e-4) == TRUNK


def test_who_sits_with_legs_long_has_them_on_the_floor():
    [child] = joints({"role": "solo", "hip": 90, "shoulder": 90})
    seat = BROAD - LIMB
    assert child.hips == close(0, seat)
    assert child.legs[0][2] == close(LEG, seat)
    assert child.shoulders == close(0, seat + TRUNK)


def test_facing_left_is_the_mirror_image():
    bent = {"role": "solo", "trunk": 30, "shoulder": 120, "elbow": 40, "hip": 70, "knee": 50}
    [right], [left] = joints(bent), joints(bent | {"faces": "left"})
    assert (-left.head[0], left.head[1]) == pytest.approx(right.head, abs=1e-12)
    assert (-left.arms[0][2][0], left.arms[0][2][1]) == pytest.approx(right.arms[0][2], abs=1e-12)
    assert (-left.legs[0][4][0], left.legs[0][4][1]) == pytest.approx(right.legs[0][4], abs=1e-12)


def test_facing_the_viewer_opens_both_sides_alike():
    [child] = joints({"role": "solo", "faces": "viewer", "shoulder": 90, "hip": 20})
    (near, far), (leg, other) = child.arms, child.legs
    assert near[2] == close(near[0][0] + ARM, child.shoulders[1])
    assert far[2] == close(-near[2][0], near[2][1])
    assert other[2] == close(-leg[2][0], leg[2][1])


def test_a_plank_leans_as_its_right_angled_triangle_says():
    [body] = bodies({"role": "solo", "shoulder": 90, "on": {"hands": "floor", "insteps": "floor"}})
    child = joints_of(body)
    assert 90 - body.turn == pytest.approx(degrees(atan(ARM / (LEG + TRUNK))), abs=1e-9)
    assert child.legs[0][2] == close(0, 0)  # x is about the feet
    assert child.arms[0][2] == close(sqrt(ARM**2 + (LEG + TRUNK) ** 2), 0)
    assert child.hips[1] > 0


def test_a_bent_back_bows_the_trunk_but_not_its_direction():
    [child] = joints({"role": "solo", "back": 60, "on": {"hips": "floor"}})
    assert child.shoulders == close(0, child.hips[1] + TRUNK * cos(radians(30)))
    assert child.back == close(
        -TRUNK / 2 * sin(radians(30)), child.hips[1] + TRUNK / 2 * cos(radians(30))
    )


def test_a_foot_in_the_air_is_pointed_and_one_on_the_floor_is_flat():
    [child] = joints({"role": "solo", "hip": [0, 90]})
    (_, _, ankle, _, toe), (_, _, lifted, _, lifted_toe) = child.legs
    assert toe[1] == pytest.approx(ankle[1] - ANKLE, abs=1e-12)
    assert lifted_toe[0] > lifted[0] + 0.08


def test_on_a_box():
    [child] = joints(
        {"role": "solo", "on": {"feet": "box"}}, box={"x": 0, "width": 1, "height": 0.25}
    )
    assert child.legs[0][2] == close(0, 0.25 + ANKLE)


# -- contacts --------------------------------------------------------------------------------

TABLE = {
    "role": "base",
    "shoulder": 73,
    "hip": 73,
    "knee": 90,
    "on": {"hands": "floor", "knees": "floor"},
}


def test_who_is_carried_rests_on_top_of_what_carries():
    base, flyer = bodies(TABLE, {"role": "flyer", "hip": 90, "on": {"hips": "base.hips"}})
    x, y = point(base, "hips")
    assert point(flyer, "hips") == close(x, y + 2 * BROAD)


def test_x_moves_along_what_carries():
    base, flyer = bodies({"role": "base"}, {"role": "flyer", "x": 0.1, "on": {"feet": "base.head"}})
    x, y = point(base, "head")
    assert point(flyer, "feet") == close(x + 0.1, y + HEAD - LIMB + 2 * LIMB + 0.9 * ANKLE)


def test_two_contacts_turn_a_figure_from_one_child_to_the_floor():
    back, front = bodies(
        {"role": "back", "shoulder": 72, "on": {"hands": "floor", "toes": "floor"}},
        {"role": "front", "shoulder": 85, "on": {"insteps": "back.shoulders", "hands": "floor"}},
    )
    x, y = point(back, "shoulders")
    assert point(front, "insteps") == close(x, y + LIMB + BROAD)
    assert point(front, "hands")[1] == pytest.approx(0, abs=1e-12)


def test_two_who_reach_for_each_other_meet_by_the_length_of_their_arms():
    one, two = joints(
        {"role": "partner", "x": -0.2, "reach": {"hands": "partner_2.hands"}},
        {
            "role": "partner",
            "x": 0.2,
            "faces": "left",
            "size": 0.8,
            "reach": {"hands": "partner.hands"},
        },
    )
    assert one.arms[0][2] == pytest.approx(two.arms[0][2], abs=1e-12)
    share = 1 / 1.8
    assert one.arms[0][2] == close(
        -0.2 + 0.4 * share, SHOULDERS + (0.8 * SHOULDERS - SHOULDERS) * share
    )
    assert one.arms[0][1][1] < one.arms[0][0][1]  # elbows hang


def test_a_knee_bends_forward_when_a_foot_is_put_up():
    base, flyer = bodies(
        {"role": "base", "x": 0.2, "hip": 90, "knee": 90},
        {"role": "flyer", "size": 1.0, "reach": {"foot": "base.knee"}},
    )
    _, knee, ankle, *_ = joints_of(flyer).legs[0]
    x, y = point(base, "knee")
    assert ankle == close(x, y + 2 * LIMB + ANKLE)
    assert knee[0] > 0


def test_a_limb_reaches_for_the_floor_by_turning_as_little_as_it_can():
    child = {"role": "solo", "hip": [60, -40], "knee": [60, 0], "on": {"foot": "floor"}}
    [found] = joints(child | {"reach": {"other_foot": "floor"}})
    _, (root, knee, ankle, heel, _) = found.legs
    assert heel[1] == pytest.approx(0, abs=1e-12)
    assert ankle[0] < root[0]  # still behind
    assert (knee[0] - root[0]) / THIGH == pytest.approx((ankle[0] - root[0]) / LEG, abs=1e-12)


def test_what_is_too_far_is_told_with_the_distance():
    found = placed(
        pose_of(
            {
                "figures": [
                    {"role": "partner", "reach": {"hands": "partner_2.hands"}},
                    {"role": "partner", "x": 2, "faces": "left"},
                ]
            }
        )
    )
    [short] = found.short
    missed = sqrt(2**2 + ARM**2) - ARM
    assert (short.figure, short.key, short.by) == (0, "reach/hands", pytest.approx(missed))


def test_a_hand_that_holds_can_carry_a_later_figure():
    base, flyer = bodies(
        {"role": "base", "reach": {"hands": "base.head"}},
        {"role": "flyer", "on": {"feet": "base.hands"}},
    )
    assert point(base, "hands") == pytest.approx(point(base, "head"), abs=1e-12)
    assert point(flyer, "feet")[0] == pytest.approx(point(base, "head")[0], abs=1e-12)
