"""Schools, studios, staff and what they did. Account is sign-in only, apart from member."""

import uuid6
from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models import Q
from knox.models import AbstractAuthToken

from accounts.tenancy import OfSchool, of_school, once, one_of, same_school, to, within

HEAD_TEACHER, TEACHER, ASSISTANT = STAFF_ROLES = ("head_teacher", "teacher", "assistant")
METRIC, IMPERIAL = UNITS = ("metric", "imperial")


class AccountManager(BaseUserManager):
    def create_user(self, email=None, password=None):
        account = self.model(email=self.normalize_email(email).lower() if email else None)
        account.set_password(password)
        account.save(using=self._db)
        return account


class Account(AbstractBaseUser):
    """A way to sign in. What somebody may do hangs on her memberships, never on this row.

    Without an email it is known by its tokens alone.
    """

    id = models.UUIDField(primary_key=True, default=uuid6.uuid7, editable=False)
    email = models.EmailField(unique=True, null=True)  # noqa: DJ001, unique where there is one
    is_active = models.BooleanField(default=True)

    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS: list[str] = []

    objects = AccountManager()

    class Meta:
        db_table = "account"


class School(models.Model):
    """The tenant, with its policy as typed columns; the defaults are cautious."""

    id = models.UUIDField(primary_key=True, default=uuid6.uuid7, editable=False)
    name = models.CharField(max_length=120, unique=True)
    created_at = models.DateTimeField()

    bar = models.FloatField(default=0.80)
    adults_in_room = models.PositiveSmallIntegerField(default=2)
    children_per_adult = models.PositiveSmallIntegerField(default=8)
    turns_under_one_spot = models.PositiveSmallIntegerField(default=3)
    back_after_weeks = models.PositiveSmallIntegerField(default=3)
    pair_check_days = models.PositiveSmallIntegerField(default=120)
    height_days = models.PositiveSmallIntegerField(default=120)
    max_load_ratio = models.FloatField(default=0.80)
    flyer_taller_by_at_most_cm = models.FloatField(default=5)
    uses_mass = models.BooleanField(default=False)
    mass_from_age = models.PositiveSmallIntegerField(default=11)
    agreements_kept_elsewhere = models.BooleanField(default=False)

    class Meta:
        db_table = "school"
        constraints = [
            within("bar", 0.5, 0.99),
            within("adults_in_room", 1, 20),
            within("children_per_adult", 1, 30),
            within("turns_under_one_spot", 1, 12),
            within("back_after_weeks", 1, 52),
            within("pair_check_days", 1, 366),
            within("height_days", 1, 366),
            within("max_load_ratio", 0.1, 1.5),
            within("flyer_taller_by_at_most_cm", -100, 100),
            within("mass_from_age", 11, 99),
        ]


class Studio(OfSchool):
    """A place where the school teaches."""

    name = models.CharField(max_length=120)
    zone = models.CharField(max_length=64)
    units = models.CharField(max_length=8, default=METRIC)
    mats = models.PositiveSmallIntegerField(default=4)

    class Meta:
        db_table = "studio"
        constraints = [
            *of_school(),
            *once("name"),
            one_of("units", UNITS),
            within("mats", 0, 60),
        ]


class Member(OfSchool):
    """Somebody on the staff: one role. A cover teacher's access ends by itself with `until`."""

    account = models.ForeignKey(Account, models.SET_NULL, null=True, related_name="+")
    name = models.CharField(max_length=80)
    role = models.CharField(max_length=16)
    adult = models.BooleanField()
    may_spot = models.JSONField(default=list)  # family keys that the head teacher has agreed
    from_date = models.DateField(null=True)
    until = models.DateField(null=True)
    revoked_at = models.DateTimeField(null=True)

    class Meta:
        db_table = "member"
        constraints = [
            *of_school(),
            *once("name"),
            models.UniqueConstraint(
                fields=["school", "account"],
                condition=Q(account__isnull=False),
                name="%(class)s_account",
            ),
            one_of("role", STAFF_ROLES),
            models.CheckConstraint(
                condition=Q(role=ASSISTANT) | Q(adult=True), name="%(class)s_teacher_is_adult"
            ),
        ]


class MemberStudio(OfSchool):
    """A studio that a member's role holds for; a head teacher's holds everywhere.

    A row that has ended stays: what she logged before then may still arrive.
    """

    member = to(Member, models.CASCADE, related_name="studios")
    studio = to(Studio)
    ended_at = models.DateTimeField(null=True)

    class Meta:
        db_table = "member_studio"
        constraints = [
            *of_school("member", "studio"),
            models.UniqueConstraint(
                fields=["school", "member", "studio"],
                condition=Q(ended_at__isnull=True),
                name="%(class)s_once",
            ),
        ]


class Token(AbstractAuthToken):
    """A key for one program to ask as one member; only its hash is kept."""

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    member = to(Member, models.CASCADE)

    class Meta:
        db_table = "token"
        constraints = same_school("member")


class Invitation(OfSchool):
    """One member's way in: used once, until `expires_at`; only a hash is kept."""

    member = to(Member, models.CASCADE)
    secret_hash = models.CharField(max_length=64, unique=True)
    invited_by = to(Member, models.CASCADE)
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True)
    refused = models.PositiveSmallIntegerField(default=0)  # how often with an email of others

    class Meta:
        db_table = "invitation"
        constraints = of_school("member", "invited_by")


class Rate(models.Model):
    """How often somebody asked within one minute; `who` names a member or a network."""

    who = models.CharField(max_length=120)
    minute = models.DateTimeField()
    count = models.PositiveIntegerField(default=1)

    class Meta:
        db_table = "rate"
        constraints = [models.UniqueConstraint(fields=["who", "minute"], name="%(class)s_once")]


class Cached(models.Model):
    """The table of Django's cache in the database, which counts who signs in how often.

    As a model, so that `migrate` makes it like all others.
    """

    cache_key = models.CharField(max_length=255, primary_key=True)
    value = models.TextField()
    expires = models.DateTimeField(db_index=True)

    class Meta:
        db_table = "cache"


class Event(OfSchool):
    """Who did or read what about whom: ids only, never changed."""

    member = to(Member, null=True)
    at = models.DateTimeField()
    what = models.CharField(max_length=40)
    about = models.UUIDField(null=True)
    details = models.JSONField(default=dict)  # ids, keys and numbers; no names, no free text

    class Meta:
        db_table = "event"
        constraints = of_school("member")
        indexes = [models.Index(fields=["school", "at"], name="%(class)s_at")]
