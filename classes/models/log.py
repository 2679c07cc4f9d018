"""The log of tries, append-only, and the caches derived from it."""

from django.db import models
from django.db.models import F, Q

from accounts.models import Member, School
from accounts.tenancy import OfSchool, of_school, once, one_of, same_school, to
from classes.models.children import Student
from classes.models.lessons import Lesson
from curriculum.models import ROLES, Edition, Skill
from engine.readiness.parameters import OUTCOMES, SPOTS, WEIGHTS
from engine.readiness.register import REMOVED


class Attempt(models.Model):
    """One revision of one try of one child. Never updated: a correction is a new row.

    `happened_at` and `clock_offset_ms` are what the phone froze at the tap; `at` is what the
    server made of them when the row came first, and the time the estimate uses.
    """

    pk = models.CompositePrimaryKey("school_id", "id")
    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    id = models.UUIDField()
    attempt = models.UUIDField()
    revision = models.PositiveIntegerField()
    student = to(Student, models.CASCADE)
    skill = to(Skill)
    role = models.CharField(max_length=8)
    spot = models.CharField(max_length=12)
    outcome = models.CharField(max_length=12)
    measure = models.FloatField(null=True)
    weight = models.CharField(max_length=12)
    try_id = models.UUIDField()
    way_in = models.CharField(max_length=60, default="", blank=True)
    way_out = models.CharField(max_length=60, default="", blank=True)
    surface = models.CharField(max_length=60, default="", blank=True)
    lesson = to(Lesson, null=True)
    edition = to(Edition, null=True)
    member = to(Member)
    sent_by = to(Member)
    happened_at = models.DateTimeField()
    clock_offset_ms = models.BigIntegerField(default=0)
    at = models.DateTimeField()
    local_date = models.DateField()
    received_at = models.DateTimeField()

    class Meta:
        db_table = "attempt"
        constraints = [
            *same_school("student", "skill", "lesson", "edition", "member", "sent_by"),
            one_of("role", ROLES),
            one_of("spot", SPOTS),
            one_of("outcome", (*OUTCOMES, REMOVED)),
            one_of("weight", WEIGHTS),
            models.CheckConstraint(condition=Q(revision__gte=1), name="%(class)s_revision"),
        ]
        indexes = [
            models.Index(fields=["school", "student"], name="%(class)s_student"),
            models.Index(fields=["school", "attempt"], name="%(class)s_attempt"),
            models.Index(fields=["school", "lesson"], name="%(class)s_lesson"),
        ]


class HeldRow(OfSchool):
    """A row of somebody who has lost the right, until a head teacher admits or discards it."""

    row_id = models.UUIDField()
    payload = models.JSONField()
    reason = models.CharField(max_length=40)
    member = to(Member)
    sent_by = to(Member)
    received_at = models.DateTimeField()

    class Meta:
        db_table = "held_row"
        constraints = [
            *of_school("member", "sent_by"),
            *once("row_id"),
        ]


class Replay(models.Model):
    """Mark, queue and single-flight lock in one: the beliefs are stale while done < log version."""

    student = models.OneToOneField(
        Student, models.CASCADE, primary_key=True, db_constraint=False, related_name="+"
    )
    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    log_version = models.PositiveBigIntegerField(default=0)
    done_version = models.PositiveBigIntegerField(default=0)

    class Meta:
        db_table = "replay"
        constraints = [
            *same_school("student"),
            models.UniqueConstraint(fields=["school", "student"], name="%(class)s_school_student"),
            models.CheckConstraint(
                condition=Q(done_version__lte=F("log_version")), name="%(class)s_done_within"
            ),
        ]
        indexes = [
            models.Index(
                fields=["school"],
                condition=Q(done_version__lt=F("log_version")),
                name="%(class)s_stale",
            )
        ]


class Belief(models.Model):
    """The state of one chain after its last try; holds neither "now" nor an edition."""

    pk = models.CompositePrimaryKey("school_id", "student_id", "skill_id", "role")
    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    student = to(Student, models.CASCADE)
    skill = to(Skill)
    role = models.CharField(max_length=8)
    state = models.JSONField()  # four probabilities in the order of help needed
    last_at = models.DateTimeField()
    counted = models.PositiveIntegerField()
    days = models.PositiveIntegerField()
    last_clean_hands_on = models.DateField(null=True)
    last_clean_hands_near = models.DateField(null=True)
    last_clean_none = models.DateField(null=True)
    clean_unspotted = models.PositiveIntegerField()
    clean_unspotted_days = models.PositiveIntegerField()

    class Meta:
        db_table = "belief"
        constraints = [*same_school("student", "skill"), one_of("role", ROLES)]


class Erased(models.Model):
    """A child who was erased: late rows about this id are refused; it carries no name."""

    pk = models.CompositePrimaryKey("school_id", "student_id")
    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    student_id = models.UUIDField()
    erased_at = models.DateTimeField()

    class Meta:
        db_table = "erased"


class ErasedCount(OfSchool):
    """What is left of erased tries: counts by studio, skill, role, term, spot and outcome."""

    studio = to("accounts.Studio")
    skill = to(Skill)
    term = to("classes.Term", null=True)
    role = models.CharField(max_length=8)
    spot = models.CharField(max_length=12)
    outcome = models.CharField(max_length=12)
    count = models.PositiveIntegerField()

    class Meta:
        db_table = "erased_count"
        constraints = [
            *of_school("studio", "skill", "term"),
            *once("studio", "skill", "role", "spot", "outcome", nullable="term"),
            one_of("role", ROLES),
            one_of("spot", SPOTS),
            one_of("outcome", OUTCOMES),
        ]
