"""A school of four studios half through a term, each with a way of logging of its own.

Children are alike everywhere but for age: what differs is what was written down of them.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta
from random import Random
from uuid import UUID, uuid4

from django.db.models import F

from accounts.models import ASSISTANT, Studio
from accounts.scope import Scope
from classes import lessons, replay
from classes.classes import view
from classes.lessons import LessonView
from classes.models import Attempt, Class, Replay, Term
from curriculum.models import Skill
from tests import factories
from tests.planning.school import publish

FIRST = date(2026, 1, 6)  # a Tuesday, as all lessons are
SPRING = ("Spring 2026", date(2026, 1, 5), date(2026, 4, 3))
AUTUMN = ("Autumn 2025", date(2025, 9, 1), date(2025, 12, 19))
WEEKS = 10
SKILLS = ("bridge", "lean", "table", "tight")
ROLE = {"lean": "partner"}
Said = tuple[str, str] | None  # spot and outcome; None: not written down


def as_it_was(week: int, skill: str, dice: Random) -> Said:
    """What a fair eye sees: less help by and by, and more that is clean."""
    spot = "none" if skill in ("table", "tight") else ("hands_on", "hands_near", "none")[week // 4]
    draw = dice.random() - 0.02 * week
    return spot, "clean" if draw < 0.6 else "shaky" if draw < 0.85 else "not_there"


def only_what_was_clean(week: int, skill: str, dice: Random) -> Said:
    said = as_it_was(week, skill, dice)
    return said if said[1] == "clean" and week % 2 == 0 else None


def with_a_strict_eye(week: int, skill: str, dice: Random) -> Said:
    spot, outcome = as_it_was(week, skill, dice)
    return spot, "shaky" if outcome == "clean" and dice.random() < 0.5 else outcome


@dataclass(frozen=True)
class Plan:
    """A studio: how its logger writes down what is there to see."""

    name: str
    logs: Callable[[int, str, Random], Said]
    children: int = 8
    born: int = 2017


PLANS = (
    Plan("Cedar Hall", with_a_strict_eye, born=2018),
    Plan("Anchor Yard", as_it_was, children=12),
    Plan("Dune Room", as_it_was, children=4),
    Plan("Brook Loft", only_what_was_clean, children=9),
)


@dataclass
class World:
    head: Scope
    teacher: Scope
    skills: dict[str, UUID] = field(default_factory=dict)
    terms: dict[str, UUID] = field(default_factory=dict)
    studios: dict[str, UUID] = field(default_factory=dict)
    classes: dict[str, Class] = field(default_factory=dict)
    children: dict[str, list[UUID]] = field(default_factory=dict)
    met: dict[tuple[str, date], LessonView] = field(default_factory=dict)

    @property
    def school(self) -> UUID:
        return self.head.school_id

    def tried(
        self, name: str, child: UUID, on: date, skill: str, said: tuple[str, str], **more
    ) -> Attempt:
        """One try at a studio, not stored yet."""
        if (name, on) not in self.met:
            klass = view(self.classes[name])
            self.met[name, on] = lessons.ensure(self.head, klass=klass, on=on)
        lesson = self.met[name, on]
        at = lesson.starts_at + timedelta(minutes=5)
        values = {
            "id": uuid4(),
            "attempt": uuid4(),
            "try_id": uuid4(),
            "revision": 1,
            "role": ROLE.get(skill, "solo"),
            "weight": "own",
            "member_id": self.teacher.member_id,
            "happened_at": at,
            "at": at,
            "received_at": at,
        }
        return Attempt(
            **values | more,
            school_id=self.school,
            student_id=child,
            skill_id=self.skills[skill],
            spot=said[0],
            outcome=said[1],
            lesson_id=lesson.id,
            sent_by_id=self.teacher.member_id,
            local_date=on,
        )

    def add(self, *tries: Attempt, refresh: bool = True) -> None:
        """Store tries, and bring the beliefs up to date unless a worker is late."""
        Attempt.objects.bulk_create(tries)
        children = {one.student_id for one in tries}
        known = Replay.objects.filter(student_id__in=children)
        known.update(log_version=F("log_version") + 1)
        new = children - set(known.values_list("student_id", flat=True))
        Replay.objects.bulk_create(
            Replay(school_id=self.school, student_id=id_, log_version=1) for id_ in new
        )
        if refresh:
            replay.refresh(self.head)


def build(*plans: Plan) -> World:
    """The school with these studios, as known on a Wednesday after the tenth lesson."""
    plans = plans or PLANS
    school = factories.SchoolFactory()
    member = factories.MemberFactory(school=school, name="Marit O.")
    studios = {plan.name: factories.StudioFactory(school=school, name=plan.name) for plan in plans}
    zeynep = factories.MemberFactory(
        school=school, name="Zeynep A.", role=ASSISTANT, studios=studios.values()
    )
    world = World(head=factories.scope(member), teacher=factories.scope(zeynep))
    publish(world.head)
    world.skills = dict(Skill.objects.filter(school=school).values_list("key", "id"))
    for called, first, last in (AUTUMN, SPRING):
        term = Term.objects.create(school=school, name=called, first_on=first, last_on=last)
        world.terms[called] = term.id
    for plan in plans:
        _open(world, plan, studios[plan.name])
    world.add(*(tried for plan in plans for tried in _term(world, plan)))
    return world


def _open(world: World, plan: Plan, studio: Studio) -> None:
    world.studios[plan.name] = studio.id
    klass = factories.ClassFactory(studio=studio, name=f"Tuesdays at {plan.name}")
    world.classes[plan.name] = klass
    world.children[plan.name] = [
        factories.StudentFactory(
            school_id=world.school,
            identity__given_name=f"Child {place} of {plan.name}",
            birth_year=plan.born - place % 3,
            birth_month=1 + place,
            joined_on=factories.JOINED - timedelta(days=40 * place),
            classes=[klass],
        ).id
        for place in range(plan.children)
    ]


def _term(world: World, plan: Plan) -> Iterator[Attempt]:
    for week in range(WEEKS):
        on = FIRST + timedelta(weeks=week)
        clock = uuid4()  # they stand tight all at once
        for place, child in enumerate(world.children[plan.name]):
            for skill in SKILLS:
                said = plan.logs(week, skill, Random(f"{place} {week} {skill}"))
                shared = {"try_id": clock} if skill == "tight" else {}
                if said:
                    yield world.tried(plan.name, child, on, skill, said, **shared)
