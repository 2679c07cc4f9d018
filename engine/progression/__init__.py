"""The prerequisite graph of a curriculum: is it sound, what opens next, what does a target need.

A role's prerequisite is a tree over (skill, role, help needed). Nothing here recurses, so a tree
may be as deep as it likes. Answers never hang on the order in which the skills come.
"""

from engine.progression.order import teaching_order
from engine.progression.paths import needed_for, opens_next
from engine.progression.publishing import Fault, Warning, faults, warnings
from engine.progression.trees import (
    HELP,
    AllOf,
    AnyOf,
    Leaf,
    Role,
    Skill,
    SkillRole,
    Tree,
    leaves,
)

__all__ = [
    "HELP",
    "AllOf",
    "AnyOf",
    "Fault",
    "Leaf",
    "Role",
    "Skill",
    "SkillRole",
    "Tree",
    "Warning",
    "faults",
    "leaves",
    "needed_for",
    "opens_next",
    "teaching_order",
    "warnings",
]
