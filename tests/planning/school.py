"""The children of `build` as rows of a school, for what can only be seen with a database."""

import json
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID, uuid4

from django.db.models import F

from accounts.models import ASSISTANT, TEACHER
from accounts.scope import Scope
from classes import lessons
from classes.classes import class_named
from classes.models import (
    Agreement,
    Attempt,
    Attendance,
    Class,
    Enrolment,
    Fall,
    Lesson,
    Measurement,
    PairCheck,
    Replay,
    Restriction,
    Student,
    Yes,
)
from classes.tries import Try
from curriculum import editions
from curriculum.models import Skill
from planning import evening
from planning.asked import Typed, by_name
from planning.evening import Evening
from tests import factories
from tests.factories import AT
from tests.planning.build import DOCUMENTS, FAMILIES, KLASS, ON, Pupil, tries_of

SCHOOL = "Orrowmere School of Dance"
EARLIER = date(2026, 1, 6)


@dataclass(frozen=True)
class Rows:
    """A school with one class; `children` maps a name to an id."""

    id: UUID
    klass: Class
    head: Scope
    teacher: Scope
    assistant: Scope
    children: dict[str, UUID]

    def load(self, scope: Scope | None = None, *, on: date = ON, **asked) -> Evening:
        """The evening as the teacher asks for it, with Aroha free to spot if she says nothing."""
        asked = {"spotters": ("Aroha T.",)} | asked
        scope = scope or self.teacher
        klass = class_named(scope, name=KLASS.name)
        said = by_name(scope, klass=klass, typed=Typed(on=on, **asked))
        return evening.load(scope, klass=klass, asked=said)

    def lesson(self, on: date = ON) -> Lesson:
        view = class_named(self.head, name=KLASS.name)
        return Lesson.objects.get(id=lessons.ensure(self.head, klass=view, on=on).id)

    def skill(self, key: str) -> UUID:
        return Skill.objects.get(school_id=self.id, key=key).id

    def add(self, pupil: Pupil) -> Student:
        """A child with her place in the class, and all that is said of her."""
        student = factories.StudentFactory(
            school_id=self.id,
            identity__given_name=pupil.name,
            birth_year=ON.year - pupil.age,
            birth_month=1,
            classes=[self.klass],
        )
        self.children[pupil.name] = student.id
        Enrolment.objects.filter(student=student).update(trial=pupil.trial)
        same = {"school_id": self.id, "student_id": student.id}
        if pupil.height_on:
            measured = {"kind": "height_cm", "value": pupil.height_cm, "on": pupil.height_on}
            Measurement.objects.create(**same, **measured)
        for kind in pupil.agreed | pupil.withdrawn:
            ended = EARLIER if kind in pupil.withdrawn else None
            Agreement.objects.create(
                **same, kind=kind, agreed_on=EARLIER - timedelta(days=90), withdrawn_on=ended
            )
        for blocks, until in pupil.restricted:
            Restriction.objects.create(**same, blocks=blocks, from_date=EARLIER, until=until)
        if pupil.not_today:
            self.attended(pupil.name, "not_today")
        self.log(pupil)
        return student

    def attended(self, name: str, state: str, on: date = ON) -> None:
        row = {"id": uuid4(), "attendance": uuid4(), "revision": 1, "at": AT, "state": state}
        Attendance.objects.create(
            **row,
            school_id=self.id,
            lesson=self.lesson(on),
            student_id=self.children[name],
            member_id=self.teacher.member_id,
        )

    def log(self, pupil: Pupil) -> None:
        """Tries as rows of the log, marked for a replay."""
        tries = tuple(tries_of(pupil))
        skills = dict(Skill.objects.filter(school_id=self.id).values_list("key", "id"))
        met = {on: self.lesson(on) for on in {tried.local_date for tried in tries}}
        Attempt.objects.bulk_create(
            self._row(
                pupil.name,
                skill_id=skills[tried.skill_key],
                lesson=met[tried.local_date],
                attempt=tried.attempt,
                role=tried.role,
                spot=tried.spot,
                outcome=tried.outcome,
                try_id=tried.try_id,
                surface=tried.surface,
                at=tried.at,
            )
            for tried in tries
        )
        self._mark(pupil.name)

    def correct(self, name: str, tried: Try, **said) -> None:
        """A later revision of a try, with what it says otherwise."""
        row = {
            "revision": 2,
            "skill_id": self.skill(tried.skill_key),
            "lesson": self.lesson(tried.local_date),
            "attempt": tried.attempt,
            "role": tried.role,
            "spot": tried.spot,
            "outcome": tried.outcome,
            "try_id": tried.try_id,
            "at": tried.at,
        }
        self._row(name, **row | said).save(force_insert=True)
        self._mark(name)

    def _row(self, name, *, lesson, at, **said):
        return Attempt(
            **{"id": uuid4(), "revision": 1, "weight": "own"} | said,
            school_id=self.id,
            student_id=self.children[name],
            lesson=lesson,
            member_id=self.teacher.member_id,
            sent_by_id=self.teacher.member_id,
            at=at,
            happened_at=at,
            local_date=lesson.on,
            received_at=AT,
        )

    def _mark(self, name):
        same = {"school_id": self.id, "student_id": self.children[name]}
        Replay.objects.get_or_create(**same)
        Replay.objects.filter(**same).update(log_version=F("log_version") + 1)

    def say_yes(self, name: str, skill: str, role: str, given_on: date = ON) -> None:
        Yes.objects.create(
            school_id=self.id,
            student_id=self.children[name],
            skill_id=self.skill(skill),
            role=role,
            kind="begin",
            given_on=given_on,
            member_id=self.teacher.member_id,
        )

    def pair(self, base: str, flyer: str, given_on: date = ON) -> None:
        PairCheck.objects.create(
            school_id=self.id,
            base_id=self.children[base],
            flyer_id=self.children[flyer],
            given_on=given_on,
            member_id=self.teacher.member_id,
        )

    def fell(self, name: str, skill: str, role: str, on: date = EARLIER) -> None:
        Fall.objects.create(
            school_id=self.id,
            student_id=self.children[name],
            skill_id=self.skill(skill),
            role=role,
            kind="fall",
            phase="hold",
            on=on,
        )


def publish(head: Scope, documents: dict = DOCUMENTS, **said) -> int:
    """The number of the edition that these cards become."""
    document = {
        "format": "curriculum/1",
        "name": "curriculum, spring 2026",
        "families": FAMILIES,
        "skills": documents,
    } | said
    curriculum = editions.read_curriculum(json.dumps(document).encode())
    return editions.publish(head, curriculum=curriculum, at=AT).number


def build(*pupils: Pupil, name: str = SCHOOL, documents: dict = DOCUMENTS) -> Rows:
    """A school at one studio with a staff of five, one class and these children."""
    school = factories.SchoolFactory(name=name)
    studio = factories.StudioFactory(school=school, name=KLASS.studio_name, mats=KLASS.mats)
    staff = {
        called: factories.MemberFactory(
            school=school, name=called, role=role, adult=adult, may_spot=may_spot, studios=[studio]
        )
        for called, role, adult, may_spot in (
            ("Tendai R.", TEACHER, True, ["all"]),
            ("Aroha T.", ASSISTANT, True, ["all"]),
            ("Zeynep A.", ASSISTANT, True, ["leans"]),
            ("Bram V.", ASSISTANT, False, []),
        )
    }
    head = factories.scope(factories.MemberFactory(school=school, name="Marit O."))
    rows = Rows(
        id=school.id,
        klass=factories.ClassFactory(studio=studio, name=KLASS.name),
        head=head,
        teacher=factories.scope(staff["Tendai R."]),
        assistant=factories.scope(staff["Aroha T."]),
        children={},
    )
    publish(head, documents)
    editions.adopt_first(head, at=AT)
    for pupil in pupils:
        rows.add(pupil)
    return rows
