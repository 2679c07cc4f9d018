"""What is worked out overnight for the coming lessons, kept as keys and ids, told by name.

It changes nothing and decides nothing: whoever prepares an evening looks at it first.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db import transaction

from accounts.names import alphabetical
from accounts.scope import Scope
from accounts.staff import staff
from classes import lessons, pair_checks, students, yeses
from classes.classes import classes, find, today
from curriculum import editions
from curriculum.adoptions import adoptions
from planning import gates
from planning.evening import Evening, of_lesson
from planning.models import Preparation
from planning.suggestions import suggestions

AHEAD = timedelta(days=7)
DAY = timedelta(days=1)


@dataclass(frozen=True)
class SkillSuggested:
    """A skill of the edition in use at the lesson; `carries_on` was begun last time."""

    skill: str
    name: str
    carries_on: bool


@dataclass(frozen=True)
class ChildNamed:
    student: UUID
    name: str


@dataclass(frozen=True)
class YesEnding:
    """A teacher's yes that held when it was looked at and holds no more at the lesson."""

    student: UUID
    name: str
    skill: str
    skill_name: str
    role: str
    kind: str


@dataclass(frozen=True)
class PairEnding:
    """A pair check that held when it was looked at and holds no more at the lesson."""

    base: UUID
    base_name: str
    flyer: UUID
    flyer_name: str


@dataclass(frozen=True)
class Prepared:
    """What was worked out for a lesson at `made_at`; None, and nothing else, when nothing was.

    `together` and `alone` are skills, the likeliest first. Where no adult was named yet, they
    hold if those who may spot at the studio come. Children are listed by name.
    """

    lesson: UUID
    made_at: datetime | None
    spotters_named: bool
    together: tuple[SkillSuggested, ...]
    alone: tuple[SkillSuggested, ...]
    first_back: tuple[ChildNamed, ...]
    old_heights: tuple[ChildNamed, ...]
    yeses: tuple[YesEnding, ...]
    pairs: tuple[PairEnding, ...]


def coming(scope: Scope, *, now: datetime) -> tuple[UUID, ...]:
    """This will list the lessons of the next seven days that meet, with a curriculum in use."""
    on = now.date()
    studios = {klass.id: klass.studio_id for klass in classes(scope)}
    taken_on = {id_: adoptions(scope, studio_id=id_) for id_ in {*studios.values()}}
    return tuple(
        lesson.id
        for lesson in lessons.between(scope, first=on - DAY, last=on + AHEAD + DAY)
        if lesson.closed is None
        and now < lesson.starts_at <= now + AHEAD
        and any(one.from_date <= lesson.on for one in taken_on[studios[lesson.class_id]])
    )


def prepare(scope: Scope, *, lesson_id: UUID, now: datetime) -> None:
    """This will work out what is worth knowing before a lesson, and keep it in place of what was.

    Raises `Unknown`.
    """
    evening = of_lesson(scope, lesson_id=lesson_id, today=now.date())
    document = _document(scope, evening, today(evening.klass, now))
    with transaction.atomic():
        lessons.ensure(scope, klass=evening.klass, on=evening.lesson.on)
        Preparation.objects.update_or_create(
            school_id=scope.school_id,
            lesson_id=lesson_id,
            defaults={"made_at": now, "document": document},
        )


def _document(scope, evening, on):
    found = suggestions(_with_adults(scope, evening))
    everybody = (*evening.here, *evening.away)
    before = {
        "student_ids": frozenset(child.id for child in everybody),
        "on": on,
        "lesson_id": lessons.lesson_id(evening.klass.id, on),
    }
    held = yeses.current(scope, edition=evening.edition, **before)
    pairs = pair_checks.current(scope, **before)
    return {
        "spotters_named": bool(evening.spotters),
        "together": [_suggested(one) for one in found.groups],
        "alone": [_suggested(one) for one in found.alone],
        "first_back": [str(one.id) for one in everybody if gates.is_back(evening, one)],
        "old_heights": [str(one.id) for one in everybody if gates.has_old_height(evening, one)],
        "yeses": sorted([str(id_), *rest] for id_, *rest in held - evening.yeses),
        "pairs": sorted([str(base), str(flyer)] for base, flyer in pairs - evening.pairs_ok),
    }


def _suggested(one):
    return {"skill": one.card.key, "carries_on": one.carries_on}


def _with_adults(scope: Scope, evening: Evening) -> Evening:
    """The evening with all who may spot where none is named yet."""
    if evening.spotters:
        return evening
    adults = tuple(
        one
        for one in staff(scope, on=evening.lesson.on).values()
        if one.adult and one.may_spot and evening.klass.studio_id in one.studio_ids
    )
    return replace(evening, spotters=adults, adults_in_room=gates.adults_needed(evening))


def prepared(scope: Scope, *, lesson_id: UUID, today: date) -> Prepared:
    """This will tell what was worked out for a lesson, with the names that who asks may see.

    A lesson that nobody has entered yet is looked for around `today`.
    Raises `NotAllowed`, `Unknown`.
    """
    scope.need_teacher("preparing a lesson")
    lesson = lessons.find(scope, lesson_id=lesson_id, around=today)
    row = Preparation.objects.filter(school_id=scope.school_id, lesson_id=lesson_id).first()
    if row is None:
        return Prepared(lesson_id, None, False, (), (), (), (), (), ())
    klass = find(scope, class_id=lesson.class_id)
    edition = editions.in_use(scope, studio_id=klass.studio_id, on=lesson.on)
    skills = {key: card.name for key, card in edition.cards.items()} if edition else {}
    return _named(row, skills, students.directory(scope).names)


def suggested_at(scope: Scope, *, studio_id: UUID, since: date) -> dict[UUID, frozenset[str]]:
    """This will tell which skills were suggested for the lessons of a studio in scope from a date
    on, by lesson."""
    rows = Preparation.objects.filter(
        school_id=scope.school_id,
        lesson__on__gte=since,
        lesson__group_class__studio_id__in=scope.studio_ids & {studio_id},
    )
    return {
        lesson_id: frozenset(
            one["skill"] for part in ("together", "alone") for one in document[part]
        )
        for lesson_id, document in rows.values_list("lesson_id", "document")
    }


def _named(row: Preparation, skills: Mapping[str, str], names: Mapping[UUID, str]) -> Prepared:
    """A stored document in words; what has gone since, a child or a skill, is left out."""
    document = row.document

    def suggested(part):
        return tuple(
            SkillSuggested(one["skill"], skills[one["skill"]], one["carries_on"])
            for one in document[part]
            if one["skill"] in skills
        )

    def named(part):
        ids = [UUID(id_) for id_ in document[part]]
        return _by_name(ChildNamed(id_, names[id_]) for id_ in ids if id_ in names)

    ends = [(UUID(id_), *rest) for id_, *rest in document["yeses"]]
    pairs = [(UUID(base), UUID(flyer)) for base, flyer in document["pairs"]]
    return Prepared(
        lesson=row.lesson_id,
        made_at=row.made_at,
        spotters_named=document["spotters_named"],
        together=suggested("together"),
        alone=suggested("alone"),
        first_back=named("first_back"),
        old_heights=named("old_heights"),
        yeses=_by_name(
            YesEnding(id_, names[id_], skill, skills[skill], role, kind)
            for id_, skill, role, kind in ends
            if id_ in names and skill in skills
        ),
        pairs=tuple(
            PairEnding(base, names[base], flyer, names[flyer])
            for base, flyer in sorted(
                (pair for pair in pairs if names.keys() >= set(pair)),
                key=lambda pair: [(alphabetical(names[id_]), id_) for id_ in pair],
            )
        ),
    )


def _by_name(rows):
    return tuple(sorted(rows, key=lambda row: (alphabetical(row.name), row.student)))
