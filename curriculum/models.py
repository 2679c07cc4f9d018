"""What is taught: skills, and what each published edition says of them."""

from django.db import models
from django.db.models import F, Q

from accounts.models import Member, Studio
from accounts.tenancy import OfSchool, of_school, once, one_of, to

ROLES = ("solo", "partner", "base", "flyer", "spotter", "front", "middle", "back")
LOADS = ("wrists", "back_bend", "neck", "knees", "landing")
TIERS = ("floor", "low", "mid")
LONGEST_REASON = 200


class Skill(OfSchool):
    """Identity only, never deleted: tries point here whatever the editions say."""

    key = models.CharField(max_length=60)

    class Meta:
        db_table = "skill"
        constraints = [
            *of_school(),
            *once("key"),
        ]


class Edition(OfSchool):
    """One state of the curriculum: a draft until `published_at`, unchangeable from then on.

    A draft is one document; publishing turns it into cards. One that no studio took on may be
    withdrawn: it keeps its number and its cards, and is taken on no more.
    """

    number = models.PositiveIntegerField(null=True)
    name = models.CharField(max_length=120)
    note = models.TextField(max_length=600, default="", blank=True)
    families = models.JSONField()  # [family key, name], in teaching order
    document = models.TextField(default="", blank=True)  # of a draft alone: JSON in its own order
    version = models.PositiveIntegerField(default=1)
    digest = models.CharField(max_length=64)
    published_at = models.DateTimeField(null=True)
    published_by = to(Member, null=True)
    withdrawn_at = models.DateTimeField(null=True)
    withdrawn_why = models.CharField(max_length=LONGEST_REASON, default="", blank=True)

    class Meta:
        db_table = "edition"
        constraints = [
            *of_school("published_by"),
            *once("number"),
            models.CheckConstraint(
                condition=Q(number__isnull=True, published_at__isnull=True)
                | Q(number__isnull=False, published_at__isnull=False),
                name="%(class)s_numbered_once_published",
            ),
            models.CheckConstraint(
                condition=Q(withdrawn_at__isnull=True) | Q(published_at__isnull=False),
                name="%(class)s_published_before_withdrawn",
            ),
        ]


class Card(OfSchool):
    """What one edition says of a skill; `document` follows the card part of the schema."""

    edition = to(Edition, models.CASCADE, related_name="cards")
    skill = to(Skill)
    position = models.PositiveIntegerField()
    name = models.CharField(max_length=120)
    family = models.CharField(max_length=60)
    tier = models.CharField(max_length=8, default="floor")
    lifted = models.BooleanField(default=False)
    document = models.JSONField()

    class Meta:
        db_table = "card"
        constraints = [
            *of_school("edition", "skill"),
            *once("edition", "skill"),
            one_of("tier", TIERS),
        ]


class Succession(OfSchool):
    """From this edition on, tries of one skill count towards another: rename, split, merge."""

    edition = to(Edition, models.CASCADE)
    from_skill = to(Skill)
    to_skill = to(Skill)

    class Meta:
        db_table = "succession"
        constraints = [
            *of_school("edition", "from_skill", "to_skill"),
            *once("edition", "from_skill", "to_skill"),
            models.CheckConstraint(
                condition=~Q(from_skill=F("to_skill")), name="%(class)s_two_skills"
            ),
        ]


class HeldBack(OfSchool):
    """A studio does not take an edition on for now, from a local date until it is lifted."""

    studio = to(Studio)
    edition = to(Edition)
    reason = models.CharField(max_length=LONGEST_REASON)
    from_date = models.DateField()
    lifted_on = models.DateField(null=True)
    member = to(Member, null=True)

    class Meta:
        db_table = "held_back"
        constraints = [
            *of_school("studio", "edition", "member"),
            models.UniqueConstraint(
                fields=["school", "studio", "edition"],
                condition=Q(lifted_on__isnull=True),
                name="%(class)s_once",
            ),
        ]


class Adoption(OfSchool):
    """A studio takes an edition into use from a local date.

    `gave_way` are what stood at that date before, the last one last: the number of the edition, and
    the id of what it `lifted` or null.
    """

    studio = to(Studio)
    edition = to(Edition)
    from_date = models.DateField()
    member = to(Member, null=True)
    lifted = to(HeldBack, null=True)  # that the edition was held back, until it was taken on
    gave_way = models.JSONField(default=list, blank=True)

    class Meta:
        db_table = "adoption"
        constraints = [
            *of_school("studio", "edition", "member", "lifted"),
            *once("studio", "from_date"),
        ]
