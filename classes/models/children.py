"""A child, and the dated facts about her."""

from django.db import models
from django.db.models import F, Q

from accounts.models import Member
from accounts.tenancy import OfSchool, of_school, once, one_of, same_school, to, within
from curriculum.models import LOADS, ROLES, Skill

HEIGHT_CM, MASS_KG = MEASURES = ("height_cm", "mass_kg")
HANDS_ON, LIFTING, RECORD_MASS = AGREEMENTS = ("hands_on", "lifting", "mass")
BEGIN, NO_SPOT, SHOW = YES_KINDS = ("begin", "no_spot", "show")
APART, TOGETHER = WISH_KINDS = ("apart", "together")
FALL_KINDS = ("fall", "near_miss")
FALL_PHASES = ("way_in", "hold", "way_out", "between")


class Student(OfSchool):
    """A child without her name: birth month, when she came and left.

    Of a child who came to try it, the birth month may not be known yet.
    """

    birth_year = models.PositiveSmallIntegerField(null=True)
    birth_month = models.PositiveSmallIntegerField(null=True)
    joined_on = models.DateField()
    left_on = models.DateField(null=True)

    class Meta:
        db_table = "student"
        constraints = [
            *of_school(),
            within("birth_year", 1900, 2200),
            within("birth_month", 1, 12),
            models.CheckConstraint(
                condition=Q(birth_year__isnull=True, birth_month__isnull=True)
                | Q(birth_year__isnull=False, birth_month__isnull=False),
                name="%(class)s_birth_whole",
            ),
            models.CheckConstraint(
                condition=Q(left_on__isnull=True) | Q(left_on__gte=F("joined_on")),
                name="%(class)s_leaves_after_joining",
            ),
        ]


class Identity(models.Model):
    """The only table that holds a child's name, so erasing her leaves none."""

    student = models.OneToOneField(
        Student, models.CASCADE, primary_key=True, db_constraint=False, related_name="identity"
    )
    school = models.ForeignKey("accounts.School", models.PROTECT, related_name="+")
    given_name = models.CharField(max_length=60)
    initial = models.CharField(max_length=4, default="", blank=True)
    guardian_note = models.CharField(max_length=80, default="", blank=True)

    class Meta:
        db_table = "identity"
        constraints = [
            *same_school("student"),
            models.UniqueConstraint(fields=["school", "student"], name="%(class)s_school_student"),
        ]


class Measurement(OfSchool):
    """A height, or where the school uses it a mass; SI units."""

    student = to(Student, models.CASCADE)
    kind = models.CharField(max_length=12)
    on = models.DateField()
    value = models.FloatField()

    class Meta:
        db_table = "measurement"
        constraints = [
            *of_school("student"),
            *once("student", "kind", "on"),
            one_of("kind", MEASURES),
            models.CheckConstraint(condition=Q(value__gt=0), name="%(class)s_positive"),
        ]


class Agreement(OfSchool):
    """What a guardian has agreed to, from when, and when it was withdrawn."""

    student = to(Student, models.CASCADE)
    kind = models.CharField(max_length=12)
    agreed_on = models.DateField()
    withdrawn_on = models.DateField(null=True)

    class Meta:
        db_table = "agreement"
        constraints = [
            *of_school("student"),
            *once("student", "kind", "agreed_on"),
            one_of("kind", AGREEMENTS),
            models.CheckConstraint(
                condition=Q(withdrawn_on__isnull=True) | Q(withdrawn_on__gte=F("agreed_on")),
                name="%(class)s_withdrawn_after",
            ),
        ]


class Restriction(OfSchool):
    """A role or a load that is blocked from a date until a date, never why."""

    student = to(Student, models.CASCADE)
    blocks = models.CharField(max_length=12)
    from_date = models.DateField()
    until = models.DateField()

    class Meta:
        db_table = "restriction"
        constraints = [
            *of_school("student"),
            *once("student", "blocks", "from_date"),
            one_of("blocks", (*LOADS, *ROLES)),
            models.CheckConstraint(
                condition=Q(until__gte=F("from_date")), name="%(class)s_ends_after"
            ),
        ]


class Yes(OfSchool):
    """A teacher's dated yes for one child, skill and role; with `lesson` for that evening only."""

    student = to(Student, models.CASCADE)
    skill = to(Skill)
    role = models.CharField(max_length=8)
    kind = models.CharField(max_length=8)
    given_on = models.DateField()
    lesson = to("classes.Lesson", null=True)
    member = to(Member)

    class Meta:
        db_table = "yes"
        constraints = [
            *of_school("student", "skill", "lesson", "member"),
            *once("student", "skill", "role", "kind", "given_on", nullable="lesson"),
            one_of("role", ROLES),
            one_of("kind", YES_KINDS),
        ]


class PairCheck(OfSchool):
    """A teacher's dated yes that this base may take this flyer."""

    base = to(Student, models.CASCADE)
    flyer = to(Student, models.CASCADE)
    given_on = models.DateField()
    lesson = to("classes.Lesson", null=True)
    member = to(Member)

    class Meta:
        db_table = "pair_check"
        constraints = [
            *of_school("base", "flyer", "lesson", "member"),
            *once("base", "flyer", "given_on", nullable="lesson"),
            models.CheckConstraint(condition=~Q(base=F("flyer")), name="%(class)s_two_children"),
        ]


class Wish(OfSchool):
    """Two children kept apart or together until a date, never why; `a` is the lower id."""

    a = to(Student, models.CASCADE)
    b = to(Student, models.CASCADE)
    kind = models.CharField(max_length=8)
    from_date = models.DateField()
    until = models.DateField()

    class Meta:
        db_table = "wish"
        constraints = [
            *of_school("a", "b"),
            *once("a", "b", "kind", "from_date"),
            one_of("kind", WISH_KINDS),
            models.CheckConstraint(condition=Q(a__lt=F("b")), name="%(class)s_ordered"),
            models.CheckConstraint(
                condition=Q(until__gte=F("from_date")), name="%(class)s_ends_after"
            ),
        ]


class Fall(OfSchool):
    """Fall or near miss: it closes the skill for that child until a teacher has looked."""

    student = to(Student, models.CASCADE)
    skill = to(Skill)
    role = models.CharField(max_length=8)
    kind = models.CharField(max_length=12)
    phase = models.CharField(max_length=8)
    on = models.DateField()
    number = models.PositiveSmallIntegerField(default=1)  # she may fall twice on one day
    try_id = models.UUIDField(null=True)
    group = models.UUIDField(null=True)  # planning lies to the right: an id, never a key
    done = models.CharField(max_length=80, default="", blank=True)
    looked_at_on = models.DateField(null=True)
    looked_at_by = to(Member, null=True)

    class Meta:
        db_table = "fall"
        constraints = [
            *of_school("student", "skill", "looked_at_by"),
            *once("student", "skill", "role", "on", "number"),
            models.CheckConstraint(condition=Q(number__gte=1), name="%(class)s_number"),
            one_of("role", ROLES),
            one_of("kind", FALL_KINDS),
            one_of("phase", FALL_PHASES),
            models.CheckConstraint(
                condition=Q(looked_at_on__isnull=True) | Q(looked_at_on__gte=F("on")),
                name="%(class)s_looked_at_after",
            ),
        ]
