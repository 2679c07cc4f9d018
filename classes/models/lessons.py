"""The calendar: terms, weekly classes, who is enrolled, dated lessons and who came."""

from django.db import models
from django.db.models import F, Q

from accounts.models import Member, School, Studio
from accounts.tenancy import OfSchool, of_school, once, one_of, same_school, to, within
from classes.models.children import Student

PLANNED, CANCELLED = LESSON_STATES = ("planned", "cancelled")
HERE, AWAY, NOT_TODAY = ATTENDANCE_STATES = ("here", "away", "not_today")


class Term(OfSchool):
    name = models.CharField(max_length=120)
    first_on = models.DateField()
    last_on = models.DateField()

    class Meta:
        db_table = "term"
        constraints = [
            *of_school(),
            *once("name"),
            models.CheckConstraint(
                condition=Q(last_on__gte=F("first_on")), name="%(class)s_ends_after"
            ),
        ]


class Closure(OfSchool):
    """Days without lessons, everywhere or at one studio."""

    studio = to(Studio, null=True)
    first_on = models.DateField()
    last_on = models.DateField()
    name = models.CharField(max_length=120)

    class Meta:
        db_table = "closure"
        constraints = [
            *of_school("studio"),
            *once("first_on", nullable="studio"),
            models.CheckConstraint(
                condition=Q(last_on__gte=F("first_on")), name="%(class)s_ends_after"
            ),
        ]


class Class(OfSchool):
    """A weekly group at one studio; `weekday` 0 is Monday, `starts_at` is local time.

    `until` is the last day on which it may meet, None while it goes on.
    """

    studio = to(Studio)
    name = models.CharField(max_length=120)
    weekday = models.PositiveSmallIntegerField()
    starts_at = models.TimeField()
    minutes = models.PositiveSmallIntegerField(default=45)
    until = models.DateField(null=True)

    class Meta:
        db_table = "class"
        constraints = [
            *of_school("studio"),
            *once("name"),
            within("weekday", 0, 6),
            within("minutes", 10, 240),
        ]


class Enrolment(OfSchool):
    """A child belongs to a class from a date; a trial child is not lifted and lifts nobody."""

    group_class = to(Class, db_column="class_id")
    student = to(Student, models.CASCADE)
    from_date = models.DateField()
    until = models.DateField(null=True)
    trial = models.BooleanField(default=False)

    class Meta:
        db_table = "enrolment"
        constraints = [
            *of_school("group_class", "student"),
            *once("group_class", "student", "from_date"),
            models.CheckConstraint(
                condition=Q(until__isnull=True) | Q(until__gte=F("from_date")),
                name="%(class)s_ends_after",
            ),
        ]

    @property
    def last_day(self):
        """Its own, or before that the last one of its class; None while it is open."""
        return min((day for day in (self.until, self.group_class.until) if day), default=None)


class Lesson(OfSchool):
    """One dated meeting; id = uuid5(class, local date). Local date and time are the truth.

    What a teacher says about the evening stands here: mats (None: the studio's), the floor, a
    note in plain words, and in `LessonSpotter` the adults who are free to spot.
    """

    group_class = to(Class, db_column="class_id")
    on = models.DateField()
    starts_at = models.DateTimeField()  # UTC, derived from the local date, time and zone
    minutes = models.PositiveSmallIntegerField()
    state = models.CharField(max_length=12, default=PLANNED)
    mats = models.PositiveSmallIntegerField(null=True)
    surface = models.CharField(max_length=60, default="", blank=True)
    note = models.CharField(max_length=200, default="", blank=True)

    class Meta:
        db_table = "lesson"
        constraints = [
            *of_school("group_class"),
            *once("group_class", "on"),
            one_of("state", LESSON_STATES),
            within("mats", 0, 60),
        ]


class LessonSpotter(OfSchool):
    """An adult who is free to spot in one lesson."""

    lesson = to(Lesson, models.CASCADE, related_name="spotters")
    member = to(Member)

    class Meta:
        db_table = "lesson_spotter"
        constraints = [*of_school("lesson", "member"), *once("lesson", "member")]


class Attendance(models.Model):
    """A register of revisions like the tries: the greatest (revision, id) of one counts."""

    pk = models.CompositePrimaryKey("school_id", "id")
    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    id = models.UUIDField()
    attendance = models.UUIDField()  # uuid5(lesson, student): two phones name it alike
    revision = models.PositiveIntegerField()
    lesson = to(Lesson)
    student = to(Student, models.CASCADE)
    state = models.CharField(max_length=12)
    member = to(Member)
    at = models.DateTimeField()

    class Meta:
        db_table = "attendance"
        constraints = [
            *same_school("lesson", "student", "member"),
            one_of("state", ATTENDANCE_STATES),
            models.CheckConstraint(condition=Q(revision__gte=1), name="%(class)s_revision"),
        ]
        indexes = [models.Index(fields=["school", "lesson"], name="%(class)s_lesson")]
