"""A small invented school for the tests of dated facts, with a fixed calendar."""

import json
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time
from pathlib import Path
from uuid import UUID, uuid4

import pytest

from accounts.faults import BadDocument
from accounts.models import (
    ASSISTANT,
    HEAD_TEACHER,
    TEACHER,
    Event,
    Member,
    MemberStudio,
    School,
    Studio,
)
from accounts.scope import Scope, scope_of
from classes import lessons
from classes.classes import ClassView, class_named
from classes.models import (
    Attempt,
    Class,
    Closure,
    Enrolment,
    Identity,
    Lesson,
    Student,
    Term,
)
from curriculum import editions
from curriculum.editions import ALWAYS, EditionInUse
from curriculum.models import Skill

EXAMPLES = Path(__file__).parents[2] / "docs" / "formats" / "examples"
SCHOOL, CLASS = "Orrowmere School of Dance", "Tuesday beginners"
TODAY = date(2026, 3, 11)  # a Wednesday
AT = datetime(2026, 3, 11, 12, 0, tzinfo=UTC)
CHILDREN = ("Amara", "Bao", "Hana", "Ikaika", "Mireille", "Rangi", "Tariq")

LIFT = {
    "family": "lift",
    "lifted": True,
    "roles": {"base": {}, "flyer": {}},
    "criterion": "5 s, feet off the floor",
    "spot": {"stands": "in front, hands near the hips"},
    "way_down": "feet down, stand",
    "caution": "this one tips forward: stand in front",
}
CURRICULUM = {
    "format": "curriculum/1",
    "name": "curriculum, spring 2026",
    "families": {"tight": "Holding tight", "lift": "Low lifts"},
    "skills": {
        "standing_tight": {
            "name": "Standing tight",
            "family": "tight",
            "roles": {"solo": {}},
            "criterion": "10 s, does not fold when tipped",
        },
        "table": {
            "name": "Hands-and-knees table",
            "family": "tight",
            "roles": {"solo": {}},
            "criterion": "30 s, flat back",
        },
        "seat_on_a_table": {
            "name": "Seat on a table",
            **LIFT,
            "roles": {
                "base": {"needs": {"skill": "table", "role": "solo", "help": "no_spot"}},
                "flyer": {"needs": {"skill": "standing_tight", "role": "solo", "help": "no_spot"}},
            },
        },
        "kneeling_on_a_table": {
            "name": "Kneeling on a table",
            **LIFT,
            "roles": {
                "base": {"needs": {"skill": "seat_on_a_table", "help": "no_spot"}},
                "flyer": {"needs": {"skill": "seat_on_a_table", "help": "no_spot"}},
            },
        },
    },
}


@dataclass(frozen=True)
class FactSchool:
    """`children` maps a name to an id, `skills` a key to an id."""

    id: UUID
    studio_id: UUID
    klass: ClassView
    head: Scope
    teacher: Scope
    assistant: Scope
    children: dict[str, UUID]
    skills: dict[str, UUID]

    @property
    def ids(self) -> frozenset[UUID]:
        return frozenset(self.children.values())

    def lesson_id(self, on: date) -> UUID:
        return lessons.lesson_id(self.klass.id, on)

    def lesson(self, on: date) -> Lesson:
        """The stored lesson of a day."""
        lessons.ensure(self.head, klass=self.klass, on=on)
        return Lesson.objects.get(id=self.lesson_id(on))

    def edition(self, on: date) -> EditionInUse:
        return editions.in_use(self.head, studio_id=self.studio_id, on=on)

    def tried(self, name: str, on: date, **different) -> Attempt:
        """A try of a child in a lesson, as a row of the log."""
        row = {
            "id": uuid4(),
            "attempt": uuid4(),
            "revision": 1,
            "student_id": self.children[name],
            "skill_id": self.skills["table"],
            "role": "solo",
            "spot": "none",
            "outcome": "clean",
            "weight": "own",
            "try_id": uuid4(),
            "lesson": self.lesson(on),
            "member_id": self.teacher.member_id,
            "sent_by_id": self.teacher.member_id,
            "local_date": on,
        } | different
        moment = datetime.combine(on, time(17, 30), tzinfo=UTC)
        return Attempt.objects.create(
            school_id=self.id, happened_at=moment, at=moment, received_at=moment, **row
        )


def publish(head: Scope, document: dict) -> int:
    """The number of the edition that a curriculum document becomes."""
    curriculum = editions.read_curriculum(json.dumps(document).encode())
    return editions.publish(head, curriculum=curriculum, at=AT).number


def build(name: str = SCHOOL) -> FactSchool:
    """A school with one class of seven, a staff of three, a term, a holiday and a curriculum."""
    school = School.objects.create(name=name, created_at=AT)
    studio = Studio.objects.create(school=school, name="Sellane Harbour", zone="Europe/Lisbon")
    for called, role in (
        ("Marit O.", HEAD_TEACHER),
        ("Tendai R.", TEACHER),
        ("Aroha T.", ASSISTANT),
    ):
        member = Member.objects.create(school=school, name=called, role=role, adult=True)
        MemberStudio.objects.create(school=school, member=member, studio=studio)
    Term.objects.create(
        school=school, name="spring", first_on=date(2026, 1, 6), last_on=date(2026, 6, 30)
    )
    Closure.objects.create(
        school=school, name="spring break", first_on=date(2026, 4, 6), last_on=date(2026, 4, 17)
    )
    group = Class.objects.create(
        school=school, studio=studio, name=CLASS, weekday=1, starts_at=time(17, 0)
    )
    children = {}
    for given_name in CHILDREN:
        student = Student.objects.create(
            school=school, birth_year=2017, birth_month=5, joined_on=date(2025, 9, 2)
        )
        Identity.objects.create(school=school, student=student, given_name=given_name)
        Enrolment.objects.create(
            school=school, group_class=group, student=student, from_date=date(2025, 9, 2)
        )
        children[given_name] = student.id
    head, teacher, assistant = (
        scope_of(school=name, member=called, on=TODAY)
        for called in ("Marit O.", "Tendai R.", "Aroha T.")
    )
    editions.adopt(
        head, studio_id=studio.id, number=publish(head, CURRICULUM), from_date=ALWAYS, at=AT
    )
    return FactSchool(
        id=school.id,
        studio_id=studio.id,
        klass=class_named(head, name=CLASS),
        head=head,
        teacher=teacher,
        assistant=assistant,
        children=children,
        skills=dict(Skill.objects.filter(school=school).values_list("key", "id")),
    )


def strangers(school: FactSchool) -> tuple[Scope, Scope]:
    """A teacher of no studio of this school, and the head teacher of another school."""
    return replace(school.teacher, studio_ids=frozenset()), build("Another School").head


def refusal(load, scope, model, *lines: str, **asked) -> list[str]:
    """The faults of a file that is refused, after making sure that it left nothing behind."""
    before = _stored(model)
    with pytest.raises(BadDocument) as caught:
        load(scope, content="\n".join(lines).encode(), at=AT, **asked)
    assert _stored(model) == before
    return [str(fault) for fault in caught.value.faults]


def counts(load, scope, *lines: str, **asked) -> tuple[int, int, int]:
    """How many rows of a good file are new, change one, stand already."""
    loaded = load(scope, content="\n".join(lines).encode(), at=AT, **asked)
    return loaded.new, loaded.changed, loaded.standing


def events(what: str) -> int:
    return Event.objects.filter(what=what).count()


def _stored(model):
    return {
        table: sorted(map(str, table.objects.values_list())) for table in (model, Lesson, Event)
    }
