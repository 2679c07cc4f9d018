"""The cast of the routes: a school with two studios, and a school that is none of theirs.

`own` is the studio of the teacher and the assistant who ask, `sister` the other studio of their
school, `foreign` the only studio of the other school. Every place has the same things, so that a
route can be asked about any of them; names are unlike all others, so that one that leaks is seen.
"""

import json
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from uuid import UUID, uuid4

from rest_framework.test import APIClient

from accounts import tokens
from accounts.models import ASSISTANT, TEACHER, Account, Member, School
from classes import lessons
from classes.classes import view
from classes.models import (
    Agreement,
    Attempt,
    Attendance,
    Class,
    Closure,
    Fall,
    HeldRow,
    Lesson,
    LessonSpotter,
    Measurement,
    PairCheck,
    Replay,
    Restriction,
    Student,
    Term,
    Wish,
    Yes,
)
from curriculum import drafts, editions
from curriculum.models import Adoption, Edition, Skill
from planning.models import Group, Grouping, Seat
from tests import factories
from tests.curriculum.build import renamed
from tests.planning.school import publish

NOW = datetime(2026, 3, 10, 17, 5, tzinfo=UTC)  # five minutes into the lesson, a Tuesday
ON = NOW.date()
BEFORE = date(2026, 3, 3)
TO_COME = date(2027, 1, 4)
SKILL, ROLE = "chest_rest", "base"
NAMES = {
    "own": ("Amparo", "Benedikt", "Chiamaka", "Dorotea"),
    "sister": ("Eleftheria", "Fyodor", "Gwenllian", "Hideaki"),
    "foreign": ("Iolanthe", "Jovana", "Kwabena", "Lieselotte"),
}
DRAFT = {name: said for name, said in renamed().items() if name != "succession"}
MASSES = {"own": 41.73, "sister": 42.61, "foreign": 43.57}


@dataclass
class Place:
    """The ids of one place, as texts; `names` are what nobody elsewhere may see."""

    school: str
    studio: str
    names: tuple[str, ...]
    klass: str = ""
    on: str = ON.isoformat()
    before: str = BEFORE.isoformat()
    taken_on_from: str = TO_COME.isoformat()  # the only edition once more
    skill: str = SKILL
    skill_id: str = ""
    number: int = 1
    ids: dict[str, str] = field(default_factory=dict)

    def __getattr__(self, name):
        if name.startswith("__"):
            raise AttributeError(name)
        try:
            return self.ids[name]
        except KeyError:
            raise AttributeError(f"the cast has no {name}") from None


@dataclass
class World:
    """The cast with a token for each who asks; `scopes` are the same people for the nouns."""

    own: Place
    sister: Place
    foreign: Place
    members: dict[str, Member]
    tokens: dict[str, str]

    @property
    def places(self) -> dict[str, Place]:
        return {"own": self.own, "sister": self.sister, "foreign": self.foreign}

    def scope(self, who: str):
        return factories.scope(self.members[who])

    def client(self, who: str | None) -> APIClient:
        """A client that asks as one of the cast, or as nobody."""
        client = APIClient()
        if who is not None:
            client.credentials(HTTP_AUTHORIZATION=f"Token {self.tokens[who]}")
        return client

    def browser(self, who: str) -> APIClient:
        """A browser in which one of the cast has signed in, as the client asks with it."""
        member = self.members[who]
        if member.account is None:
            member.account = Account.objects.create_user(f"{who}@lantern.example")
            member.save()
        client = signed_in(member.account)
        client.credentials(**client._credentials, HTTP_X_MEMBER=str(member.id))
        return client


def signed_in(account: Account) -> APIClient:
    """A browser with the session of an account, which sends back the token of its pages."""
    client = APIClient(enforce_csrf_checks=True)
    client.force_login(account)
    client.get("/api/v1/session")
    client.credentials(HTTP_X_CSRFTOKEN=client.cookies["csrftoken"].value)
    return client


def build() -> World:
    """Call it inside a frozen clock that shows `NOW`."""
    ours = factories.SchoolFactory(name="Harrowgate Lane School of Dance", uses_mass=True)
    theirs = factories.SchoolFactory(name="Pendlebrook School of Dance", uses_mass=True)
    studios = {
        "own": factories.StudioFactory(school=ours, name="Quayside Hall"),
        "sister": factories.StudioFactory(school=ours, name="Windmill Yard"),
        "foreign": factories.StudioFactory(school=theirs, name="Juniper Works"),
    }
    members = {
        "head": factories.MemberFactory(school=ours, name="Head Ours"),
        "stranger": factories.MemberFactory(school=theirs, name="Head Theirs"),
    }
    for who, school in (("head", ours), ("stranger", theirs)):
        scope = factories.scope(members[who])
        publish(scope)
        editions.adopt_first(scope, at=factories.AT)
        drafts.load(scope, content=json.dumps(DRAFT).encode(), at=factories.AT)
        Term.objects.create(
            school=school, name="Spring 2026", first_on=date(2026, 1, 5), last_on=date(2026, 4, 3)
        )
    for who, role, where in (
        ("teacher", TEACHER, "own"),
        ("assistant", ASSISTANT, "own"),
        ("sister_teacher", TEACHER, "sister"),
        ("foreign_teacher", TEACHER, "foreign"),
    ):
        members[who] = factories.MemberFactory(
            school=studios[where].school,
            name=f"{who} of {studios[where].name}",
            role=role,
            may_spot=["all"],
            studios=[studios[where]],
        )
    heads = {"own": members["head"], "sister": members["head"], "foreign": members["stranger"]}
    places = {where: _place(where, studio, heads[where]) for where, studio in studios.items()}
    issued = {
        who: tokens.issue(factories.scope(member), member_id=member.id, at=NOW)
        for who, member in members.items()
    }
    return World(members=members, tokens=issued, **places)


def _place(where, studio, head: Member) -> Place:
    school: School = studio.school
    klass: Class = factories.ClassFactory(studio=studio, name=f"Class at {studio.name}")
    scope = factories.scope(head)
    for on in (BEFORE, ON):
        lessons.ensure(scope, klass=view(klass), on=on)
    met = Lesson.objects.get(group_class=klass, on=BEFORE)
    lesson = Lesson.objects.get(group_class=klass, on=ON)
    skill = Skill.objects.get(school=school, key=SKILL)
    edition = Edition.objects.get(school=school, number=1)
    Adoption.objects.create(
        school=school, studio=studio, edition=edition, from_date=TO_COME, member=head
    )
    member = factories.MemberFactory(
        school=school,
        name=f"Assistant at {studio.name}",
        role=ASSISTANT,
        may_spot=["all"],
        studios=[studio],
    )
    children = [
        factories.StudentFactory(
            school=school, identity__given_name=name, birth_year=2013, classes=[klass]
        )
        for name in NAMES[where]
    ]
    place = Place(
        school=str(school.id),
        studio=str(studio.id),
        names=(*NAMES[where], studio.name, klass.name, member.name),
        klass=str(klass.id),
        skill_id=str(skill.id),
    )
    LessonSpotter.objects.create(school=school, lesson=lesson, member=member)
    tries = [_tried(child, met, skill, head) for child in children]
    for child in children:
        _facts(child, where)
        Attendance.objects.create(
            school=school,
            id=uuid4(),
            attendance=uuid4(),
            revision=1,
            lesson=lesson,
            student=child,
            state="here",
            member=head,
            at=NOW - timedelta(minutes=4),
        )
    one, two, *_ = children
    grouping = Grouping.objects.create(
        school=school, lesson=lesson, skill=skill, made_at=NOW, member=head
    )
    group = Group.objects.create(school=school, grouping=grouping, position=1, adults=1)
    for child, role in ((one, "base"), (two, "flyer")):
        Seat.objects.create(school=school, group=group, student=child, role=role)
    a, b = sorted((one, two), key=lambda child: child.id)
    rows = {
        "student": one,
        "student2": two,
        "student3": children[2],
        "lesson": lesson,
        "met": met,
        "member": member,
        "grouping": grouping,
        "group": group,
        "term": Term.objects.get(school=school),
        "edition": Edition.objects.get(school=school, number=1),
        "draft": Edition.objects.get(school=school, number=None),
        "held": _held(school, one, skill, member),
        "yes": Yes.objects.create(
            school=school,
            student=one,
            skill=skill,
            role=ROLE,
            kind="begin",
            given_on=ON,
            member=head,
        ),
        "pair_check": PairCheck.objects.create(
            school=school, base=one, flyer=two, given_on=ON, member=head
        ),
        "restriction": Restriction.objects.create(
            school=school, student=two, blocks="wrists", from_date=BEFORE, until=date(2026, 5, 3)
        ),
        "agreement": Agreement.objects.filter(student=one, kind="lifting").get(),
        "wish": Wish.objects.create(
            school=school, a=a, b=b, kind="together", from_date=BEFORE, until=date(2026, 4, 3)
        ),
        "closure": Closure.objects.create(
            school=school,
            studio=studio,
            name=f"Roof of {studio.name}",
            first_on=date(2025, 11, 3),
            last_on=date(2025, 11, 7),
        ),
        "fall": Fall.objects.create(
            school=school,
            student=children[3],
            skill=skill,
            role=ROLE,
            kind="fall",
            phase="hold",
            on=BEFORE,
        ),
    }
    place.ids = {name: str(row.id) for name, row in rows.items()}
    place.ids["attempt"], place.ids["attempt_row"] = str(tries[0].attempt), str(tries[0].id)
    return place


def _facts(child: Student, where):
    same = {"school": child.school, "student": child}
    for kind in ("hands_on", "lifting", "mass"):
        Agreement.objects.create(**same, kind=kind, agreed_on=date(2025, 9, 2))
    Measurement.objects.create(**same, kind="height_cm", value=138.0, on=date(2026, 1, 13))
    Measurement.objects.create(**same, kind="mass_kg", value=MASSES[where], on=date(2026, 1, 13))


def _tried(child, lesson, skill, head) -> Attempt:
    at = lesson.starts_at + timedelta(minutes=10)
    Replay.objects.create(school=child.school, student=child, log_version=1)
    return Attempt.objects.create(
        school=child.school,
        id=uuid4(),
        attempt=uuid4(),
        revision=1,
        student=child,
        skill=skill,
        role=ROLE,
        spot="hands_on",
        outcome="clean",
        weight="own",
        try_id=uuid4(),
        lesson=lesson,
        member=head,
        sent_by=head,
        happened_at=at,
        at=at,
        local_date=lesson.on,
        received_at=at,
    )


def _held(school, child, skill, member) -> HeldRow:
    return HeldRow.objects.create(
        school=school,
        row_id=uuid4(),
        payload={},
        reason="after_end",
        member=member,
        sent_by=member,
        received_at=NOW,
    )


def unknown_id() -> UUID:
    return UUID("00000000-0000-4000-8000-000000000000")
