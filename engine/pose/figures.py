"""A pose as it is written: figures in one plane, each with its joints' angles and its contacts."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

Pair = tuple[float, float]

SIZES = {"flyer": 0.9, "spotter": 1.2}
TRUNK_POINTS = ("hips", "back", "shoulders", "head")
# The order decides which of two contacts a figure's `x` is about: a document has none of its own.
LIMB_POINTS = {
    "foot": "feet",
    "toe": "toes",
    "instep": "insteps",
    "shin": "shins",
    "knee": "knees",
    "thigh": "thighs",
    "elbow": "elbows",
    "hand": "hands",
}
# What is meant by a point: its kind, and which of the two sides.
POINTS: dict[str, tuple[str, tuple[int, ...]]] = {
    name: meant
    for one, two in LIMB_POINTS.items()
    for name, meant in (
        (two, (one, (0, 1))),
        (one, (one, (0,))),
        (f"other_{one}", (one, (1,))),
    )
} | {name: (name, ()) for name in TRUNK_POINTS}
SURFACES = ("floor", "box")
FACES = ("right", "left", "viewer")


@dataclass(frozen=True)
class Box:
    x: float
    width: float
    height: float


@dataclass(frozen=True)
class Figure:
    """One figure. Pairs are the two sides: the one drawn in front, then the other."""

    name: str
    role: str
    size: float
    faces: str
    x: float
    trunk: float | None
    back: float
    neck: float
    shoulder: Pair
    elbow: Pair
    hip: Pair
    knee: Pair
    ankle: tuple[float | None, float | None]
    on: Mapping[str, str] = field(default_factory=dict)
    reach: Mapping[str, str] = field(default_factory=dict)

    @property
    def ahead(self) -> int:
        """1 if forward is to the right of the picture."""
        return -1 if self.faces == "left" else 1

    def turns(self, side: int) -> int:
        """1 if what bends forward on this side turns against the clock in the picture."""
        return -1 if side and self.faces == "viewer" else self.ahead


@dataclass(frozen=True)
class Pose:
    figures: tuple[Figure, ...]
    box: Box | None


def pose_of(document: Mapping[str, Any]) -> Pose:
    """This will read a pose that follows the schema of curriculum/1.

    The second figure of a role is called after it with “_2”, and so on.
    """
    seen: dict[str, int] = {}
    figures = []
    for written in document["figures"]:
        role = written["role"]
        seen[role] = seen.get(role, 0) + 1
        name = role if seen[role] == 1 else f"{role}_{seen[role]}"
        figures.append(
            Figure(
                name=name,
                role=role,
                size=written.get("size", SIZES.get(role, 1.0)),
                faces=written.get("faces", "right"),
                x=written.get("x", 0.0),
                trunk=written.get("trunk"),
                back=written.get("back", 0.0),
                neck=written.get("neck", 0.0),
                shoulder=_pair(written.get("shoulder", 0.0)),
                elbow=_pair(written.get("elbow", 0.0)),
                hip=_pair(written.get("hip", 0.0)),
                knee=_pair(written.get("knee", 0.0)),
                ankle=_pair(written.get("ankle")),
                on=written.get("on", {}),
                reach=written.get("reach", {}),
            )
        )
    box = document.get("box")
    return Pose(tuple(figures), Box(box["x"], box["width"], box["height"]) if box else None)


def _pair(written: Any) -> Any:
    return tuple(written) if isinstance(written, list) else (written, written)
