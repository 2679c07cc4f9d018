"""Groups as they were decided for a lesson."""

from django.db import models

from accounts.models import Member
from accounts.tenancy import OfSchool, of_school, once, one_of, to
from classes.models import Lesson, Student
from curriculum.models import ROLES, Skill


class Preparation(OfSchool):
    """What was worked out overnight for a coming lesson: skill keys and ids, no sentences."""

    lesson = to(Lesson, models.CASCADE)
    made_at = models.DateTimeField()
    document = models.JSONField()

    class Meta:
        db_table = "preparation"
        constraints = [*of_school("lesson"), *once("lesson")]


class Grouping(OfSchool):
    """The groups of one lesson in one skill; `version` guards against two hands at once."""

    lesson = to(Lesson)
    skill = to(Skill)
    version = models.PositiveIntegerField(default=1)
    made_at = models.DateTimeField()
    member = to(Member)

    class Meta:
        db_table = "grouping"
        constraints = [
            *of_school("lesson", "skill", "member"),
            *once("lesson", "skill"),
        ]


class Group(OfSchool):
    grouping = to(Grouping, models.CASCADE, related_name="groups")
    position = models.PositiveSmallIntegerField()
    adults = models.PositiveSmallIntegerField(default=0)
    locked = models.BooleanField(default=False)

    class Meta:
        db_table = "group"
        constraints = [
            *of_school("grouping"),
            *once("grouping", "position"),
        ]


class Seat(OfSchool):
    """One child in one role of a group."""

    group = to(Group, models.CASCADE, related_name="seats")
    student = to(Student, models.CASCADE)
    role = models.CharField(max_length=8)

    class Meta:
        db_table = "seat"
        constraints = [
            *of_school("group", "student"),
            *once("group", "student"),
            one_of("role", ROLES),
        ]
