"""A class by its skills: who needs which help, whose turn it was, what went in the holidays.

Children stand in the order of their names and skills in that of the curriculum: nothing is sorted
by what somebody can do.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import partial
from uuid import UUID

from accounts.scope import Scope
from classes import attendance, replay, students, tries
from classes.classes import enrolled, find, today
from classes.lessons import lesson_id
from classes.tries import LESSONS_FOR_TURNS, turns
from curriculum.editions import EditionInUse
from curriculum.models import ROLES
from engine.readiness.evidence import Evidence
from planning.child_lines import SOLO
from planning.evening import SPOTTER
from planning.group_views import Somebody
from planning.lesson_sheet import EditionLines, Named
from planning.progress.chains import Chain, When, known, read, reading
from planning.progress.holidays import Holidays, holidays
from planning.progress.taught_at import edition_of
from planning.proposals import open_roles
from planning.ways_up import UP
from planning.words import joined, number, spoken

A_DAY = timedelta(days=1)
BASE, FLYER = "base", "flyer"
ALWAYS = 2  # lessons; once as base is not always
TURNED = tuple(role for role in ROLES if role not in (SOLO, SPOTTER))


@dataclass(frozen=True)
class ClassChild:
    id: UUID
    name: str
    trial: bool


@dataclass(frozen=True)
class ChildHelp:
    """The help that a child needs by her own tries; `help` is None of a habit."""

    student: UUID
    help: str | None
    says: str


@dataclass(frozen=True)
class RoleHelp:
    """`children` have tried it, by name; all others of the class have not."""

    role: str
    children: tuple[ChildHelp, ...]


@dataclass(frozen=True)
class SkillHelp:
    skill: str
    name: str
    family: str
    habit: bool
    roles: tuple[RoleHelp, ...]


@dataclass(frozen=True)
class RoleTurns:
    role: str
    lessons: int


@dataclass(frozen=True)
class Turns:
    """In how many of the last six lessons that she attended, or of as many as there were, a child
    had a try in each role with others; roles in which she had none, and habits such as the stop
    word, are left out."""

    student: UUID
    attended: int
    roles: tuple[RoleTurns, ...]
    says: str


@dataclass(frozen=True)
class ClassProgress:
    """`not_up` had no try as flyer or equal partner in the lessons that turns are counted over,
    `always_base` tries as base in two of them or more and none as flyer. A child on trial, who is
    not lifted and lifts nobody, is in neither."""

    klass: Named
    studio: Named
    edition: EditionLines
    on: date
    known: str
    children: tuple[ClassChild, ...]
    skills: tuple[SkillHelp, ...]
    turns: tuple[Turns, ...]
    not_up: tuple[Somebody, ...]
    always_base: tuple[Somebody, ...]
    holidays: Holidays | None


def class_progress(scope: Scope, *, class_id: UUID, at: datetime) -> ClassProgress:
    """This will tell of all who have a place in a class today. Raises `NotAllowed`, `Unknown`."""
    scope.need_teacher("the progress of a class")
    klass = find(scope, class_id=class_id)
    on = today(klass, at)
    edition = edition_of(scope, klass=klass, on=on)
    places = {place.student_id: place for place in enrolled(scope, class_id=class_id, on=on)}
    ids = students.visible(scope, student_ids=places)
    names = students.names(scope, student_ids=ids)
    attended = attendance.attended(
        scope, student_ids=ids, before=on + A_DAY, most=LESSONS_FOR_TURNS
    )
    log = partial(tries.counted, scope, student_ids=ids)
    habits = {key for key, card in edition.cards.items() if card.skill.habit}
    last_six = log(since=None, days={day for days in attended.values() for day in days})
    lately = turns([one for one in last_six if one.skill_key not in habits], attended)
    evenings = tries.evenings(scope, student_ids=ids)
    kept = replay.beliefs(scope, student_ids=ids, succession=edition.succession)
    found = read(
        {(id_, *chain): kept[id_][chain] for id_ in kept for chain in kept[id_]},
        When(date.max, at, on),
    )
    lifted = [id_ for id_ in names if attended[id_] and not places[id_].trial]

    def somebody(ids_) -> tuple[Somebody, ...]:
        return tuple(Somebody(id_, names[id_]) for id_ in ids_)

    return ClassProgress(
        klass=Named(klass.id, klass.name),
        studio=Named(klass.studio_id, klass.studio_name),
        edition=EditionLines(edition.id, edition.number, edition.name),
        on=on,
        known=known((day for _, day in evenings), klass, at=at),
        children=tuple(ClassChild(id_, names[id_], places[id_].trial) for id_ in names),
        skills=_skills(found, edition, names),
        turns=tuple(_turns(id_, len(attended[id_]), lately) for id_ in names),
        not_up=somebody(id_ for id_ in lifted if not any(lately.get((id_, role)) for role in UP)),
        always_base=somebody(
            id_
            for id_ in lifted
            if lately.get((id_, BASE), 0) >= ALWAYS and not lately.get((id_, FLYER))
        ),
        holidays=holidays(
            found,
            log,
            {
                day: last
                for (lesson, day), last in evenings.items()
                if lesson == lesson_id(klass.id, day)
            },
            edition,
            names=names,
            on=on,
        ),
    )


def _skills(
    found: Mapping[Chain, Evidence], edition: EditionInUse, names: Mapping[UUID, str]
) -> tuple[SkillHelp, ...]:
    def role_help(card, role) -> RoleHelp:
        seen = [
            (id_, found[id_, card.key, role]) for id_ in names if (id_, card.key, role) in found
        ]
        told = [(id_, reading(own, habit=card.skill.habit)) for id_, own in seen]
        return RoleHelp(role, tuple(ChildHelp(id_, one.help, one.says) for id_, one in told))

    return tuple(
        SkillHelp(
            skill=card.key,
            name=card.name,
            family=edition.families.get(card.skill.family, card.skill.family),
            habit=card.skill.habit,
            roles=tuple(role_help(card, role) for role in open_roles(card)),
        )
        for card in edition.cards.values()
    )


def _turns(student: UUID, attended: int, lately: Mapping[tuple[UUID, str], int]) -> Turns:
    roles = tuple(
        RoleTurns(role, lately[student, role]) for role in TURNED if lately.get((student, role))
    )
    if not attended:
        says = "came to no lesson yet"
    elif not roles:
        says = f"no try with others in {spoken(attended, 'lesson')}"
    else:
        said = joined(f"{one.role} in {number(one.lessons)}" for one in roles)
        says = f"{said} of {spoken(attended, 'lesson')}"
    return Turns(student, attended, roles, says)
