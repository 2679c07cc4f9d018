"""The side view of a hold: figures bent and placed as a card says, in one plane.

`web/src/card/figure` draws the same and is held to the same cases.
"""

from engine.pose.faults import PoseFault, faults
from engine.pose.figures import FACES, Figure, Pose, pose_of
from engine.pose.joints import Joints, joints_of
from engine.pose.placing import Placed, Short, placed

__all__ = [
    "FACES",
    "Figure",
    "Joints",
    "Placed",
    "Pose",
    "PoseFault",
    "Short",
    "faults",
    "joints_of",
    "placed",
    "pose_of",
]
