"""The demo's pictures, and the answers that the phone's own drawing is held to.

After an expected change write golden/poses.jsonl anew with GOLDEN=write in the environment and look
at the pictures.
"""

import json
import os
from pathlib import Path

import pytest

from curriculum.documents import read_yaml
from demo.management.commands.demo import CURRICULUM
from demo.second_edition import HEIRS, second
from engine.pose import joints_of, placed, pose_of
from engine.pose.joints import bottoms

GOLDEN = Path(__file__).parent / "golden" / "poses.jsonl"
FIRST = read_yaml(CURRICULUM.read_bytes())
CARDS = FIRST["skills"] | {key: second(FIRST)["skills"][key] for key in HEIRS}
DRAWN = {key: card["pose"] for key, card in CARDS.items() if "pose" in card}


def test_every_card_is_drawn():
    assert [key for key in CARDS if key not in DRAWN] == []


@pytest.mark.parametrize("key", [key for key, card in CARDS.items() if card.get("lifted")])
def test_whoever_is_lifted_is_in_the_picture_and_so_is_who_carries(key):
    assert {"base", "flyer"} <= {figure["role"] for figure in DRAWN[key]["figures"]}


@pytest.mark.parametrize("key", sorted(DRAWN))
def test_nobody_floats(key):
    pose = pose_of(DRAWN[key])
    low = min(y for body in placed(pose).bodies for _, y in bottoms(body))
    on_the_box = pose.box and low == pytest.approx(pose.box.height, abs=1e-9)
    assert on_the_box or abs(low) < 0.03


def test_the_answers_are_those_that_are_kept():
    told = [
        {"skill": key, "pose": pose, "joints": [*map(_joints, placed(pose_of(pose)).bodies)]}
        for key, pose in DRAWN.items()
    ]
    if os.environ.get("GOLDEN") == "write":
        GOLDEN.write_text("".join(json.dumps(one) + "\n" for one in told), encoding="utf-8")
    kept = [json.loads(line) for line in GOLDEN.read_text(encoding="utf-8").splitlines()]
    assert [(one["skill"], one["pose"]) for one in told] == [
        (one["skill"], one["pose"]) for one in kept
    ]
    for one, other in zip(told, kept, strict=True):
        assert one["joints"] == [pytest.approx(body, abs=2e-5) for body in other["joints"]]


def _joints(body):
    """All coordinates in one row: head, shoulders, back, hips, then arms and legs."""
    found = joints_of(body)
    points = (found.head, found.shoulders, found.back, found.hips)
    limbs = (point for limb in (*found.arms, *found.legs) for point in limb)
    return [round(value, 5) for point in (*points, *limbs) for value in point]
