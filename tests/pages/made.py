"""A school of any size, made of rows at once: every child has a class, and a log that makes sense.

Children of one size of school have logged as much as those of another, and classes are as large:
what differs is how many cards, children, classes, staff and studios there are.
"""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import cached_property
from random import Random
from uuid import NAMESPACE_URL, UUID, uuid5

from accounts.models import ASSISTANT, HEAD_TEACHER, TEACHER, Member, MemberStudio, School, Studio
from accounts.scope import Scope, scope_of
from classes import lessons
from classes.classes import view
from classes.models import (
    Agreement,
    Attempt,
    Attendance,
    Class,
    Closure,
    Enrolment,
    Identity,
    Lesson,
    Measurement,
    Replay,
    Student,
    Term,
    Yes,
)
from classes.models.children import BEGIN, HANDS_ON, HEIGHT_CM, LIFTING
from curriculum import adoptions, drafts, editions
from curriculum.checks import curriculum_of
from curriculum.models import Adoption, Edition, Skill
from planning.models import Group, Grouping, Seat
from tests.pages.cards import RENAMED, document, later, upcoming

IN_A_CLASS = 10
AT_ONCE = 5_000
WEEK = timedelta(weeks=1)
WEEKS_A_TERM = 13  # with the holidays after it


@dataclass(frozen=True)
class Size:
    """`weeks`: how many weeks ago there were lessons, with so many `tries` of each child."""

    cards: int
    children: int
    studios: int
    weeks: tuple[int, ...]
    tries: int

    def __str__(self) -> str:
        return f"{self.cards} cards, {self.children:,} children, {self.studios} studios"


@dataclass(frozen=True)
class Made:
    """The school's head teacher on a day, and one of everything that a page is about."""

    head: Scope
    on: date
    draft: UUID
    studio: UUID
    member: UUID
    klass: UUID
    student: UUID
    skill: str = "skill_010"


def build(size: Size, *, name: str, at: datetime) -> Made:
    """The school as it is at a moment; all beliefs wait for a worker."""
    _Builder(size, name, at).build()
    return found(name=name, at=at)


def found(*, name: str, at: datetime) -> Made:
    """A school that was built, as the pages of its head teacher ask about it."""
    head = scope_of(school=name, member="Head", on=at.date())
    ours = {"school_id": head.school_id}
    klass = Class.objects.filter(**ours).earliest("name")
    return Made(
        head=head,
        on=at.date(),
        draft=Edition.objects.get(**ours, number=None).id,
        studio=klass.studio_id,
        member=MemberStudio.objects.filter(**ours, studio=klass.studio_id).earliest("id").member_id,
        klass=klass.id,
        student=Enrolment.objects.filter(group_class=klass).earliest("student_id").student_id,
    )


class _Builder:
    def __init__(self, size: Size, name: str, at: datetime) -> None:
        self.size, self.name, self.at, self.on = size, name, at, at.date()
        self.school = School.objects.create(id=uuid5(NAMESPACE_URL, name), name=name, created_at=at)
        self.same = {"school_id": self.school.id}

    def id(self, what: str) -> UUID:
        """An id of its own for each thing, the same whenever it is made anew."""
        return uuid5(self.school.id, what)

    def build(self) -> None:
        self._places()
        self._curriculum()
        self._calendar()
        self._children()
        self._log()
        self._tonight()

    def _places(self):
        self.studios = [
            Studio(id=self.id(f"studio {n}"), **self.same, name=f"Studio {n:02}", zone="UTC")
            for n in range(self.size.studios)
        ]
        Studio.objects.bulk_create(self.studios)
        staff = [
            Member(id=self.id("head"), **self.same, name="Head", role=HEAD_TEACHER, adult=True)
        ]
        for n in range(self.size.studios):
            for role in (TEACHER, ASSISTANT):
                staff.append(
                    Member(
                        id=self.id(f"{role} {n}"),
                        **self.same,
                        name=f"{role} {n:02}",
                        role=role,
                        adult=True,
                        may_spot=["all"],
                    )
                )
        Member.objects.bulk_create(staff)
        MemberStudio.objects.bulk_create(
            MemberStudio(**self.same, member_id=self.id(f"{role} {n}"), studio=studio)
            for n, studio in enumerate(self.studios)
            for role in (TEACHER, ASSISTANT)
        )
        self.head = scope_of(school=self.name, member="Head", on=self.on)

    def _curriculum(self):
        def publish(said):
            return editions.publish(self.head, curriculum=curriculum_of(said), at=self.at).number

        first = document(self.size.cards)
        publish(first)
        editions.adopt_first(self.head, at=self.at)
        now = later(first)
        number = publish(now)
        taken_on = Edition.objects.get(**self.same, number=number)
        Adoption.objects.bulk_create(
            Adoption(**self.same, studio=studio, edition=taken_on, from_date=self.on - 10 * WEEK)
            for studio in self.studios
        )
        publish(upcoming(now, name="looked at", every=10))
        adoptions.hold_back(
            self.head, studio_id=self.studios[-1].id, number=3, reason="not yet", at=self.at
        )
        self.skills = dict(Skill.objects.filter(**self.same).values_list("key", "id"))
        self.edition = taken_on.id
        draft = upcoming(now, name="next year", every=5)
        drafts.load(self.head, content=json.dumps(draft).encode(), at=self.at)

    def _calendar(self):
        begins = self.on - self.on.weekday() * timedelta(days=1)
        for back in {week // WEEKS_A_TERM for week in self.size.weeks}:
            weeks = [week for week in self.size.weeks if week // WEEKS_A_TERM == back]
            Term.objects.create(
                **self.same,
                name=f"Term {back}",
                first_on=begins - (max(weeks) + 1) * WEEK,
                last_on=begins - min(weeks) * WEEK + timedelta(days=6),
            )
        many = round(self.size.children / self.size.studios / IN_A_CLASS)
        self.classes = [
            Class(
                id=self.id(f"class {n} {place}"),
                **self.same,
                studio=studio,
                name=f"Class {n:02} {place}",
                weekday=(self.on.weekday() - 1 - place) % 7,
                starts_at=time(16, 0),
            )
            for n, studio in enumerate(self.studios)
            for place in range(many)
        ]
        Class.objects.bulk_create(self.classes)
        Closure.objects.bulk_create(
            Closure(**self.same, studio=studio, first_on=day, last_on=day, name="the hall is taken")
            for studio in self.studios
            for day in [self.on + 5 * WEEK]
        )

    def _children(self):
        dice = Random(1)
        self.students, self.of_class = [], {one.id: [] for one in self.classes}
        for n in range(self.size.children):
            child = Student(
                id=self.id(f"child {n}"),
                **self.same,
                birth_year=self.on.year - dice.randint(7, 12),
                birth_month=dice.randint(1, 12),
                joined_on=self.on - dice.randint(60, 150) * WEEK,
            )
            self.students.append(child)
            self.of_class[self.classes[n % len(self.classes)].id].append(child)
        Student.objects.bulk_create(self.students)
        Identity.objects.bulk_create(
            Identity(student=child, **self.same, given_name=f"Child {n:04}", initial="X")
            for n, child in enumerate(self.students)
        )
        Enrolment.objects.bulk_create(
            Enrolment(**self.same, group_class_id=id_, student=child, from_date=child.joined_on)
            for id_, those in self.of_class.items()
            for child in those
        )
        Agreement.objects.bulk_create(
            Agreement(**self.same, student=child, kind=kind, agreed_on=child.joined_on)
            for child in self.students
            for kind in (HANDS_ON, LIFTING)
        )
        Measurement.objects.bulk_create(
            Measurement(
                **self.same,
                student=child,
                kind=HEIGHT_CM,
                on=self.on - 4 * WEEK,
                value=dice.randint(112, 150),
            )
            for child in self.students
        )
        Yes.objects.bulk_create(
            Yes(
                **self.same,
                student=child,
                skill_id=self.skills["skill_004"],
                role="flyer",
                kind=BEGIN,
                given_on=self.on - 3 * WEEK,
                member_id=self.head.member_id,
            )
            for child in self.students[::4]
        )

    def _log(self):
        held, came, tries = [], [], []
        for klass in self.classes:
            seen = view(klass)
            last = self.on - timedelta(days=(self.on.weekday() - klass.weekday) % 7)
            for back in sorted(self.size.weeks, reverse=True):
                lesson = lessons.view(seen, last - back * WEEK)
                held.append(
                    Lesson(
                        id=lesson.id,
                        **self.same,
                        group_class=klass,
                        on=lesson.on,
                        starts_at=lesson.starts_at,
                        minutes=lesson.minutes,
                    )
                )
                dice = Random(f"{klass.name} {back}")
                here = [one for one in self.of_class[klass.id] if dice.random() < 0.9]
                came += self._came(lesson, self.of_class[klass.id], here)
                tries += self._tries(klass, lesson, back, here, dice)
        Lesson.objects.bulk_create(held)
        Attendance.objects.bulk_create(came, batch_size=AT_ONCE)
        Attempt.objects.bulk_create(tries, batch_size=AT_ONCE)
        logged = {one.student_id for one in tries}
        Replay.objects.bulk_create(
            Replay(student_id=id_, **self.same, log_version=1) for id_ in logged
        )

    def _came(self, lesson, those, here) -> Iterator[Attendance]:
        for child in those:
            yield Attendance(
                **self.same,
                id=uuid5(lesson.id, f"row {child.id}"),
                attendance=uuid5(lesson.id, str(child.id)),
                revision=1,
                lesson_id=lesson.id,
                student=child,
                state="here" if child in here else "away",
                member_id=self.head.member_id,
                at=lesson.starts_at,
            )

    def _tries(self, klass, lesson, back, here, dice) -> Iterator[Attempt]:
        """A class goes on by a skill each fortnight; what is newer needs more help."""
        newest = (max(self.size.weeks) - back) // 2 + self.size.tries
        for place in range(self.size.tries):
            number = (newest - place) % self.size.cards
            kind, key = number % 5, f"skill_{number:03}"
            if key == RENAMED and back < 10:
                key = f"{RENAMED}_again"
            for seat, child in enumerate(here):
                spot = ("hands_on", "hands_near", "none")[min(2, (place + seat % 3) // 2)]
                luck = dice.random() - 0.05 * place
                yield Attempt(
                    **self.same,
                    id=uuid5(child.id, f"row {lesson.id} {place}"),
                    attempt=uuid5(child.id, f"{lesson.id} {place}"),
                    try_id=uuid5(lesson.id, f"{place} {seat // 2 if kind > 2 else seat}"),
                    revision=1,
                    student=child,
                    skill_id=self.skills[key],
                    role=("solo", "solo", "solo", "partner", ("base", "flyer")[seat % 2])[kind],
                    spot=spot,
                    outcome="clean" if luck < 0.6 else "shaky" if luck < 0.85 else "not_there",
                    weight="own",
                    lesson_id=lesson.id,
                    edition_id=self.edition,
                    member_id=self.loggers[klass.studio_id],
                    sent_by_id=self.loggers[klass.studio_id],
                    happened_at=lesson.starts_at + timedelta(minutes=4 * place),
                    at=lesson.starts_at + timedelta(minutes=4 * place),
                    received_at=lesson.starts_at + timedelta(minutes=4 * place),
                    local_date=lesson.on,
                )

    @cached_property
    def loggers(self) -> dict[UUID, UUID]:
        return {one.id: self.id(f"{ASSISTANT} {n}") for n, one in enumerate(self.studios)}

    def _tonight(self):
        """Groups are kept for the next lesson of every class."""
        for klass in self.classes:
            ahead = (klass.weekday - self.on.weekday()) % 7 or 7
            lesson = lessons.view(view(klass), self.on + ahead * timedelta(days=1))
            row = Lesson.objects.create(
                id=lesson.id,
                **self.same,
                group_class=klass,
                on=lesson.on,
                starts_at=lesson.starts_at,
                minutes=lesson.minutes,
            )
            kept = Grouping.objects.create(
                **self.same,
                lesson=row,
                skill_id=self.skills["skill_004"],
                made_at=self.at,
                member_id=self.head.member_id,
            )
            group = Group.objects.create(**self.same, grouping=kept, position=0)
            those = self.of_class[klass.id]
            Seat.objects.bulk_create(
                Seat(**self.same, group=group, student=child, role=role)
                for child, role in zip(those, ("base", "flyer"), strict=False)
            )
