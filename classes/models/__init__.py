"""Children, classes, lessons and the log of tries, in one module a subject."""

from classes.models.children import (
    Agreement,
    Fall,
    Identity,
    Measurement,
    PairCheck,
    Restriction,
    Student,
    Wish,
    Yes,
)
from classes.models.lessons import (
    Attendance,
    Class,
    Closure,
    Enrolment,
    Lesson,
    LessonSpotter,
    Term,
)
from classes.models.log import Attempt, Belief, Erased, ErasedCount, HeldRow, Replay

__all__ = [
    "Agreement",
    "Attempt",
    "Attendance",
    "Belief",
    "Class",
    "Closure",
    "Enrolment",
    "Erased",
    "ErasedCount",
    "Fall",
    "HeldRow",
    "Identity",
    "Lesson",
    "LessonSpotter",
    "Measurement",
    "PairCheck",
    "Replay",
    "Restriction",
    "Student",
    "Term",
    "Wish",
    "Yes",
]
