"""Figures put where they rest, in the order they are written, their limbs where they reach."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import acos, degrees

from engine.pose.body import FOREARM, LIMB, SHANK, THIGH, UPPER_ARM
from engine.pose.figures import POINTS, SURFACES, Figure, Pair, Pose
from engine.pose.joints import (
    Body,
    Point,
    body_of,
    bottoms,
    depth,
    direction,
    distance,
    joints_of,
    mean,
    moved,
    point,
)

SAME = 1e-6  # heights that are one height


@dataclass(frozen=True)
class Short:
    """What does not meet what it is to touch: by how much, in statures."""

    figure: int
    key: str
    by: float


@dataclass(frozen=True)
class Placed:
    bodies: tuple[Body, ...]
    short: tuple[Short, ...]


@dataclass(frozen=True)
class _Mark:
    """Where a figure's own point goes; a surface leaves x open."""

    key: str
    x: float | None
    y: float


def placed(pose: Pose) -> Placed:
    """This will place the figures of a pose in which every contact leads somewhere."""
    bodies: dict[str, Body] = {}
    short: list[Short] = []
    waiting = [
        (index, key)
        for index, figure in enumerate(pose.figures)
        for key in POINTS
        if key in figure.reach
    ]
    for index, figure in enumerate(pose.figures):
        marks = [_mark(figure, key, pose, bodies) for key in POINTS if key in figure.on]
        marks.sort(key=lambda mark: mark.x is None)
        if len(marks) == 2:
            bodies[figure.name], by = _between(figure, *marks)
            short.append(Short(index, f"on/{marks[1].key}", by))
        elif marks:
            bodies[figure.name] = _at(body_of(figure, _upright(figure)), marks[0])
        else:
            bodies[figure.name] = _on_the_floor(figure)
        # As soon as what is reached for is there: later figures rest on hands that hold.
        for reaching, key in [entry for entry in waiting if _there(*entry, pose, bodies)]:
            waiting.remove((reaching, key))
            by = _reach(pose.figures[reaching], key, pose, bodies)
            short.append(Short(reaching, f"reach/{key}", by))
    return Placed(tuple(bodies.values()), tuple(short))


def _there(index: int, key: str, pose: Pose, bodies: dict[str, Body]) -> bool:
    figure = pose.figures[index]
    return figure.name in bodies and figure.reach[key].split(".")[0] in {*bodies, *SURFACES}


def _upright(figure: Figure) -> float:
    return figure.ahead * (figure.trunk or 0.0)


def surface(pose: Pose, where: str) -> float:
    return pose.box.height if where == "box" and pose.box else 0.0


def _mark(figure: Figure, key: str, pose: Pose, bodies: dict[str, Body]) -> _Mark:
    where = figure.on[key]
    if where in SURFACES:
        return _Mark(key, None, surface(pose, where) + depth(figure, key))
    name, theirs = where.split(".")
    x, y = _on_top(figure, key, bodies[name], theirs)
    return _Mark(key, x + figure.x, y)


def _on_top(figure: Figure, key: str, other: Body, theirs: str) -> Point:
    x, y = point(other, theirs)
    return x, y + depth(other.figure, theirs) + 2 * LIMB + depth(figure, key)


def _at(body: Body, mark: _Mark) -> Body:
    x, y = point(body, mark.key)
    return _shifted(body, (body.figure.x if mark.x is None else mark.x) - x, mark.y - y)


def _shifted(body: Body, x: float, y: float) -> Body:
    return replace(body, hips=(body.hips[0] + x, body.hips[1] + y))


def _between(figure: Figure, first: _Mark, second: _Mark) -> tuple[Body, float]:
    """Turned so that two points touch what they rest on; of two ways, the hips on top."""
    straight = body_of(figure, 0.0)
    start, end = point(straight, first.key), point(straight, second.key)
    length, leads = distance(start, end), direction(start, end)
    if second.x is None:
        rise = second.y - first.y
        lean = degrees(acos(_share(rise, length)))
        turns, by = [lean - leads, -lean - leads], max(0.0, abs(rise) - length)
    else:
        goal = (figure.x if first.x is None else first.x, first.y)
        turns = [direction(goal, (second.x, second.y)) - leads]
        by = abs(distance(goal, (second.x, second.y)) - length)
    bodies = [_at(body_of(figure, turn), first) for turn in turns]
    higher = bodies[-1].hips[1] > bodies[0].hips[1] + SAME
    return (bodies[-1] if higher else bodies[0]), by


def _share(part: float, whole: float) -> float:
    return max(-1.0, min(1.0, part / whole)) if whole else 1.0


def _on_the_floor(figure: Figure) -> Body:
    body = body_of(figure, _upright(figure))
    touching = list(bottoms(body))
    low = min(y for _, y in touching)
    under = [x for x, y in touching if y < low + SAME]
    return _shifted(body, figure.x - sum(under) / len(under), -low)


def _reach(figure: Figure, key: str, pose: Pose, bodies: dict[str, Body]) -> float:
    """This will bend the limbs that a contact names and say by how much they miss it."""
    kind, sides = POINTS[key]
    where, missed = figure.reach[key], 0.0
    for side in sides:
        own = _name(kind, side)
        body = bodies[figure.name]
        if where in SURFACES:
            goal = surface(pose, where) + depth(figure, own)
            bodies[figure.name], by = _lowered(body, kind, side, goal)
        else:
            name, theirs = where.split(".")
            their_kind, their_sides = POINTS[theirs]
            if len(sides) == 2 and len(their_sides) == 2:
                theirs = _name(their_kind, side)
            aim = _aim(body, own, bodies[name], theirs)
            bodies[figure.name], by = _bent_to(body, kind, side, aim)
        missed = max(missed, by)
    return missed


def _name(kind: str, side: int) -> str:
    return f"other_{kind}" if side else kind


def _aim(body: Body, own: str, other: Body, theirs: str) -> Point:
    """Where a limb's end goes; two that reach for each other meet in between."""
    if POINTS[own][0] == "foot":
        return _on_top(body.figure, own, other, theirs)
    if _reaches_back(other.figure, theirs, body.figure, own):
        mine, its = _root(body, own), _root(other, theirs)
        share = body.figure.size / (body.figure.size + other.figure.size)
        return mine[0] + (its[0] - mine[0]) * share, mine[1] + (its[1] - mine[1]) * share
    return point(other, theirs)


def _reaches_back(other: Figure, theirs: str, figure: Figure, own: str) -> bool:
    return any(
        _overlap(key, theirs) and name == figure.name and _overlap(at, own)
        for key, where in other.reach.items()
        if where not in SURFACES
        for name, at in (where.split("."),)
    )


def _overlap(one: str, two: str) -> bool:
    (kind, sides), (other_kind, other_sides) = POINTS[one], POINTS[two]
    return kind == other_kind and bool(set(sides) & set(other_sides))


def _root(body: Body, name: str) -> Point:
    joints, (_, sides) = joints_of(body), POINTS[name]
    return mean(joints.arms[side][0] for side in sides)


def _limb(body: Body, kind: str, side: int) -> tuple[Point, Point, Pair]:
    joints = joints_of(body)
    if kind == "hand":
        return joints.arms[side][0], joints.arms[side][2], body.arms[side]
    return joints.legs[side][0], joints.legs[side][2], body.legs[side]


def _with(body: Body, kind: str, side: int, limb: Pair) -> Body:
    limbs: Iterable[Pair] = body.arms if kind == "hand" else body.legs
    both = [limb if index == side else held for index, held in enumerate(limbs)]
    if kind == "hand":
        return replace(body, arms=(both[0], both[1]))
    return replace(body, legs=(both[0], both[1]))


def _lowered(body: Body, kind: str, side: int, goal: float) -> tuple[Body, float]:
    """The limb turned at its root, as little as need be, until its end is at a height."""
    root, end, limb = _limb(body, kind, side)
    length, leads, height = distance(root, end), direction(root, end), root[1] - goal
    lean = degrees(acos(_share(-height, length)))
    turns = [_around(lean - leads), _around(-lean - leads)]
    turn = turns[1] if abs(turns[1]) < abs(turns[0]) - SAME else turns[0]
    return (
        _with(body, kind, side, (limb[0] + turn, limb[1] + turn)),
        max(0.0, abs(height) - length),
    )


def _around(turn: float) -> float:
    return (turn + 180) % 360 - 180


def _bent_to(body: Body, kind: str, side: int, aim: Point) -> tuple[Body, float]:
    """The two segments of a limb bent the way they bend, until the end is at a point."""
    size, turns = body.figure.size, body.figure.turns(side)
    first, second, way = (UPPER_ARM, FOREARM, 1) if kind == "hand" else (THIGH, SHANK, -1)
    first, second = first * size, second * size
    root, _, _ = _limb(body, kind, side)
    length, leads = distance(root, aim), direction(root, aim)
    near = max(abs(first - second), min(first + second, length))
    inner = degrees(acos(_share(first**2 + near**2 - second**2, 2 * first * near)))
    start = leads + way * turns * inner
    elbow = moved(root, start, first)
    end = moved(root, leads, near)
    return _with(body, kind, side, (start, direction(elbow, end))), abs(length - near)
