"""Where the joints of a figure are, once it is known how it is turned and where its hips are.

Directions are degrees clockwise from straight up, lengths are in statures of a figure of size 1,
x grows to the right and y upward.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import atan2, cos, degrees, hypot, radians, sin

from engine.pose.body import (
    ANKLE,
    BROAD,
    FOOT,
    FOREARM,
    FORESHORTENED,
    HALF_HIPS,
    HALF_SHOULDERS,
    HEAD,
    HEEL,
    LIMB,
    NECK,
    SHANK,
    THIGH,
    TRUNK,
    UPPER_ARM,
)
from engine.pose.figures import POINTS, Figure, Pair

Point = tuple[float, float]

POINTED, TUCKED = 65.0, 0.0
HIGH_ON_THE_THIGH = 1 / 3
NEAR_THE_FLOOR = 0.1  # a foot that is nearer is flat on it or about to be
STEEP = cos(radians(120))  # a shank that points down steeply enough to stand on its sole


@dataclass(frozen=True)
class Body:
    """A figure as turned and bent. `arms` and `legs` are the directions of their two segments."""

    figure: Figure
    turn: float
    hips: Point
    arms: tuple[Pair, Pair]
    legs: tuple[Pair, Pair]


@dataclass(frozen=True)
class Joints:
    """`arms` are root, elbow and hand; `legs` root, knee, ankle, heel and toe."""

    head: Point
    shoulders: Point
    back: Point
    hips: Point
    arms: tuple[tuple[Point, ...], tuple[Point, ...]]
    legs: tuple[tuple[Point, ...], tuple[Point, ...]]


def body_of(figure: Figure, turn: float) -> Body:
    """This will bend a figure as it is written, its hips at the origin."""
    upper = turn + figure.ahead * figure.back / 2 + 180
    lower = turn - figure.ahead * figure.back / 2 + 180

    def limb(root: float, first: Pair, second: Pair, side: int, way: int) -> Pair:
        start = root - figure.turns(side) * first[side]
        return start, start - way * figure.turns(side) * second[side]

    arms = [limb(upper, figure.shoulder, figure.elbow, side, 1) for side in (0, 1)]
    legs = [limb(lower, figure.hip, figure.knee, side, -1) for side in (0, 1)]
    return Body(figure, turn, (0.0, 0.0), (arms[0], arms[1]), (legs[0], legs[1]))


def moved(start: Point, direction: float, length: float) -> Point:
    return (
        start[0] + length * sin(radians(direction)),
        start[1] + length * cos(radians(direction)),
    )


def direction(start: Point, end: Point) -> float:
    return degrees(atan2(end[0] - start[0], end[1] - start[1]))


def distance(start: Point, end: Point) -> float:
    return hypot(end[0] - start[0], end[1] - start[1])


def mean(points: Iterable[Point]) -> Point:
    every = list(points)
    return sum(x for x, _ in every) / len(every), sum(y for _, y in every) / len(every)


def joints_of(body: Body) -> Joints:
    figure, size = body.figure, body.figure.size
    bend = figure.ahead * figure.back / 2
    upper, lower = body.turn + bend, body.turn - bend
    back = moved(body.hips, lower, size * TRUNK / 2)
    shoulders = moved(back, upper, size * TRUNK / 2)
    head = moved(shoulders, upper + figure.ahead * figure.neck, size * NECK)

    def root(middle: Point, along: float, half: float, side: int) -> Point:
        if figure.faces != "viewer":
            return middle
        return moved(middle, along + 90, -half * size if side else half * size)

    arms, legs = [], []
    for side in (0, 1):
        start = root(shoulders, upper, HALF_SHOULDERS, side)
        elbow = moved(start, body.arms[side][0], size * UPPER_ARM)
        arms.append((start, elbow, moved(elbow, body.arms[side][1], size * FOREARM)))
        start = root(body.hips, lower, HALF_HIPS, side)
        knee = moved(start, body.legs[side][0], size * THIGH)
        ankle = moved(knee, body.legs[side][1], size * SHANK)
        legs.append((start, knee, ankle, *_foot(body, side, ankle)))
    return Joints(head, shoulders, back, body.hips, (arms[0], arms[1]), (legs[0], legs[1]))


def _foot(body: Body, side: int, ankle: Point) -> tuple[Point, Point]:
    """Heel and toe; off the floor the heel is not told from the ankle."""
    figure, turns = body.figure, body.figure.turns(side)
    length = figure.size * FOOT * (FORESHORTENED if figure.faces == "viewer" else 1)
    flat = _stands(body, side, ankle[1])
    along = turns * 90 if flat else body.legs[side][1] - turns * (90 - _bent(body, side))
    under = moved(ankle, along + turns * 90, figure.size * ANKLE)
    toe = moved(under, along, (1 - HEEL) * length)
    return (moved(under, along, -HEEL * length) if flat else ankle), toe


def _touches(figure: Figure, kind: str, side: int) -> bool:
    """Whether a side's own point of that kind is named among what it rests on or reaches with."""
    named = (POINTS[name] for name in (*figure.on, *figure.reach))
    return any(kind == its and side in sides for its, sides in named)


def _bent(body: Body, side: int) -> float:
    """The ankle's angle where the foot does not lie flat on what is below."""
    written = body.figure.ankle[side]
    if written is not None:
        return written
    return TUCKED if _touches(body.figure, "toe", side) else POINTED


def _steep(body: Body, side: int) -> bool:
    return cos(radians(body.legs[side][1])) < STEEP


def _stands(body: Body, side: int, ankle_y: float) -> bool:
    """Whether a foot whose ankle is not written lies flat: it carries, or is near the floor."""
    figure = body.figure
    if figure.ankle[side] is not None:
        return False
    if _touches(figure, "foot", side):
        return True
    if _touches(figure, "toe", side) or _touches(figure, "instep", side):
        return False
    near = ankle_y - figure.size * ANKLE < NEAR_THE_FLOOR * figure.size
    return near and _steep(body, side)


def point(body: Body, name: str) -> Point:
    """Where a named point is; of two sides, half-way between them."""
    joints = joints_of(body)
    kind, sides = POINTS[name]
    if not sides:
        return {
            "hips": joints.hips,
            "back": joints.back,
            "shoulders": joints.shoulders,
            "head": joints.head,
        }[kind]
    return mean(_of_limb(joints, kind, side) for side in sides)


def _of_limb(joints: Joints, kind: str, side: int) -> Point:
    _, elbow, hand = joints.arms[side]
    root, knee, ankle, _, toe = joints.legs[side]
    if kind == "thigh":
        share = HIGH_ON_THE_THIGH
        return root[0] + (knee[0] - root[0]) * share, root[1] + (knee[1] - root[1]) * share
    return {
        "elbow": elbow,
        "hand": hand,
        "knee": knee,
        "shin": mean((knee, ankle)),
        "instep": ankle,
        "foot": ankle,
        "toe": toe,
    }[kind]


def depth(figure: Figure, name: str) -> float:
    """How far what touches lies below a named point, beyond half a limb's breadth."""
    return {
        "head": figure.size * HEAD - LIMB,
        "shoulders": BROAD - LIMB,
        "back": BROAD - LIMB,
        "hips": BROAD - LIMB,
        "foot": figure.size * ANKLE,
    }.get(POINTS[name][0], 0.0)


def bottoms(body: Body) -> Iterator[Point]:
    """The places where a figure could touch the floor, half a limb's breadth above its skin.

    Before it is placed it is not known which feet are near the floor: a steep one counts as flat.
    """
    figure, joints = body.figure, joints_of(body)
    for name in ("head", "shoulders", "back", "hips"):
        x, y = point(body, name)
        yield x, y - depth(figure, name)
    for side in (0, 1):
        yield from joints.arms[side][1:]
        _, knee, ankle, _, toe = joints.legs[side]
        yield knee
        written = figure.ankle[side] is not None
        if _stands(body, side, ankle[1]) or (not written and _steep(body, side)):
            yield ankle[0], ankle[1] - figure.size * ANKLE
        else:
            yield from (ankle, toe)
