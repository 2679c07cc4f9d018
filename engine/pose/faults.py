"""What is wrong in a pose: contacts that lead nowhere, limbs that miss, figures in the floor."""

from collections.abc import Iterator
from dataclasses import dataclass

from engine.pose.figures import POINTS, SURFACES, Pose
from engine.pose.joints import bottoms
from engine.pose.placing import placed

# Of stature: a drawing's own tolerance, less than a limb is broad.
CLOSE = 0.04


@dataclass(frozen=True)
class PoseFault:
    """One thing that is wrong with a figure: which (from 0), at which key, and what."""

    figure: int
    key: str
    sentence: str


def faults(pose: Pose, *, lifted: bool) -> tuple[PoseFault, ...]:
    """This will name what is wrong; a figure that cannot be placed is not looked at further.

    `lifted` says that no part of the flyer is on the floor.
    """
    if astray := tuple(_astray(pose)):
        return astray
    return tuple(_misplaced(pose, lifted))


def _astray(pose: Pose) -> Iterator[PoseFault]:
    above: list[str] = []
    for index, figure in enumerate(pose.figures):
        if len(figure.on) == 2 and figure.trunk is not None:
            yield PoseFault(index, "trunk", "two contacts turn the figure: leave this out")
        for key, where in figure.on.items():
            if said := _unknown(where, above, pose):
                yield PoseFault(index, f"on/{key}", said)
        names = [other.name for other in pose.figures]
        for key, where in figure.reach.items():
            if said := _unknown(where, names, pose):
                yield PoseFault(index, f"reach/{key}", said)
        above.append(figure.name)


def _unknown(where: str, names: list[str], pose: Pose) -> str | None:
    if where == "box" and pose.box is None:
        return "this pose has no box"
    if where in SURFACES:
        return None
    name, dot, theirs = where.partition(".")
    if not dot:
        return f"“{where}” should be floor, box or a point of a figure, such as base.hips"
    if name not in names:
        return f"no figure “{name}”" + (f"; there are {', '.join(names)}" if names else " above")
    if theirs not in POINTS:
        return f"no point “{theirs}”; there are {', '.join(POINTS)}"
    return None


def _misplaced(pose: Pose, lifted: bool) -> Iterator[PoseFault]:
    found = placed(pose)
    for short in found.short:
        if short.by > CLOSE:
            yield PoseFault(short.figure, short.key, f"misses it by {_percent(short.by)}")
    for index, body in enumerate(found.bodies):
        low = min(y for _, y in bottoms(body))
        if low < -CLOSE:
            yield PoseFault(index, "", f"is {_percent(-low)} below the floor")
        elif lifted and body.figure.role == "flyer" and low < CLOSE:
            yield PoseFault(index, "", "the card says lifted, but here the flyer is on the floor")
        elif not body.figure.on and low > CLOSE:
            yield PoseFault(index, "", f"is {_percent(low)} above the floor: say what it is on")


def _percent(share: float) -> str:
    return f"{share:.0%} of a child's height"
