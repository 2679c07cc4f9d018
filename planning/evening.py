"""What is known about one lesson before anything is proposed: loaded once, then only values."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import cached_property
from uuid import UUID
from zoneinfo import ZoneInfo

from accounts import events
from accounts.models import HEAD_TEACHER
from accounts.names import folded
from accounts.policy import Policy, policy
from accounts.scope import Scope, Unknown
from accounts.staff import Colleague, staff
from classes import (
    agreements,
    attendance,
    enrolments,
    falls,
    lessons,
    pair_checks,
    replay,
    restrictions,
    students,
    wishes,
    yeses,
)
from classes.classes import ClassView, enrolled, find
from classes.lessons import LessonView
from classes.models.lessons import AWAY, NOT_TODAY
from classes.restrictions import Restricted
from classes.tries import LESSONS_FOR_TURNS, Try, counted, past_pairs, turns
from curriculum import editions
from curriculum.editions import EditionInUse
from engine.readiness import evidence
from engine.readiness.judge import Judgement, judge
from engine.readiness.parameters import DEFAULTS
from engine.readiness.readings import Needs, Readings

SPOTTER = "spotter"
ANSWER = "answer_ask"  # the event that tells of an ask passed by a teacher
ANSWERED_BEFORE = timedelta(days=28)  # so early an ask of a lesson can be answered
# For pairs, spots and floors, and for turns: six weekly lessons lie within it after a long break.
DAYS_LOOKED_BACK = 120


@dataclass(frozen=True, eq=False)
class Child:
    """One child of tonight's list; `rank` is the place in the alphabetical list, as a text that
    sorts as the number does.

    The rank is the child's id towards the engine: ties are then broken the same way on every
    machine. There is one object a child, compared by identity.
    """

    id: UUID
    rank: str
    name: str
    age: int | None  # in full years; of a child who came to try it, it may not be known yet
    trial: bool
    not_today: bool
    height_cm: float | None
    height_on: date | None
    mass_kg: float | None
    agreed: frozenset[str]
    withdrawn: frozenset[str]
    restricted: tuple[Restricted, ...]
    last_here: date | None
    readings: Readings
    judged: Mapping[tuple[str, str], Judgement]


@dataclass(frozen=True)
class Evening:
    """One lesson of one class as known now; everything that a proposal may look at."""

    policy: Policy
    klass: ClassView
    lesson: LessonView
    as_of: datetime
    closed: str | None  # why there is no lesson that day
    edition: EditionInUse
    here: tuple[Child, ...]
    away: tuple[Child, ...]
    spotters: tuple[Colleague, ...]
    adults_in_room: int
    mats: int
    minutes: int
    surface: str | None
    yeses: frozenset[tuple[UUID, str, str, str]]
    pairs_ok: frozenset[tuple[UUID, UUID]]
    open_falls: frozenset[tuple[UUID, str, str]]
    apart: frozenset[tuple[UUID, UUID]]
    together: frozenset[tuple[UUID, UUID]]
    tries: tuple[Try, ...]
    turns: Mapping[tuple[UUID, str], int]
    past_pairs: Mapping[tuple[UUID, UUID], int]
    note: str = ""  # a teacher's own words about the evening, no health
    # Asks that a teacher has passed for this evening: (skill key, code, whom it is about).
    answered: frozenset[tuple[str, str, tuple[UUID, ...]]] = frozenset()

    @cached_property
    def last_tries(self) -> tuple[Try, ...]:
        """The tries of this class's last lesson with any; what was seen elsewhere is no lesson."""
        own = [
            one
            for one in self.tries
            if one.local_date < self.lesson.on
            and one.lesson_id == lessons.lesson_id(self.klass.id, one.local_date)
        ]
        last = max((one.local_date for one in own), default=None)
        return tuple(one for one in own if one.local_date == last)

    @property
    def last_lesson(self) -> date | None:
        """The date of that lesson."""
        return self.last_tries[0].local_date if self.last_tries else None

    @cached_property
    def listed(self) -> tuple[Child, ...]:
        """Everybody of tonight's list, here or away, by name."""
        return tuple(sorted((*self.here, *self.away), key=lambda child: child.rank))

    @cached_property
    def last_spots(self) -> Mapping[tuple[UUID, str, str], str]:
        """The spot of the last try of each child in each skill and role, as far as tries are
        looked back on: after longer than that a child begins anew."""
        return {(one.student_id, one.skill_key, one.role): one.spot for one in self.tries}

    @cached_property
    def floors(self) -> frozenset[tuple[UUID, str]]:
        """The floors, folded, on which each child has tried anything in the time looked back on:
        one of longer ago is new again."""
        return frozenset({(one.student_id, folded(one.surface)) for one in self.tries})

    @property
    def without_wishes(self) -> "Evening":
        """The same evening, had nobody a wish: what an assistant may read out of it."""
        return replace(self, apart=frozenset(), together=frozenset())

    @property
    def playing(self) -> tuple[Child, ...]:
        """Who may be asked into a group tonight."""
        return tuple(child for child in self.here if not child.not_today)


@dataclass(frozen=True)
class Asked:
    """What is said about an evening beyond what was entered, by ids of children and members.

    Of who is away or not up for it, what is said here is stronger than what was entered; None is
    what the class has otherwise, and the lesson's start.
    """

    on: date
    absent: frozenset[UUID] = frozenset()
    not_today: frozenset[UUID] = frozenset()
    visitors: frozenset[UUID] = frozenset()
    spotters: frozenset[UUID] = frozenset()
    mats: int | None = None
    minutes: int | None = None
    surface: str | None = None
    as_of: datetime | None = None


def next_meeting(klass: ClassView, *, on: date) -> date:
    """The first date not before `on` on which the class meets by its weekday."""
    return on + timedelta(days=(klass.weekday - on.weekday()) % 7)


def load(scope: Scope, *, klass: ClassView, asked: Asked) -> Evening:
    """This will gather what is known for a lesson as it is planned, stored or not.

    Raises `Unknown` (no curriculum in use at the studio).
    """
    closed = lessons.closed(scope, klass=klass, on=asked.on)
    return _evening(scope, klass, lessons.view(klass, asked.on), asked, closed)


def of_lesson(scope: Scope, *, lesson_id: UUID, today: date) -> Evening:
    """This will gather what is known for a lesson, all that was said about it being stored.

    Children of other classes who were entered for it are visitors. It is the same for whoever
    asks, and judged as at its start. A lesson that nobody has entered yet is looked for around
    `today`. Raises `Unknown`.
    """
    lesson = lessons.find(scope, lesson_id=lesson_id, around=today)
    klass = find(scope, class_id=lesson.class_id)
    asked = Asked(
        on=lesson.on,
        spotters=frozenset(lesson.spotters),
        mats=lesson.mats,
        surface=lesson.surface or None,
    )
    return replace(_evening(scope, klass, lesson, asked, lesson.closed), note=lesson.note)


def _evening(scope, klass, lesson, asked, closed):
    edition = editions.in_use(scope, studio_id=klass.studio_id, on=asked.on)
    if edition is None:
        raise Unknown(f"no curriculum is in use at {klass.studio_name} on {asked.on}")
    places = {row.student_id: row for row in enrolled(scope, class_id=klass.id, on=asked.on)}
    states = dict(attendance.of_lesson(scope, lesson_id=lesson.id))
    visitors = (asked.visitors | states.keys()) - places.keys()
    on_trial = {id_ for id_, place in places.items() if place.trial}
    if visitors:
        on_trial |= visitors - enrolments.belonging(scope, student_ids=visitors, on=asked.on)
    # Looked for once, for all that follows; everybody of the class has a place among the names.
    ids = students.visible(scope, student_ids=places.keys() | visitors)
    called = students.names(scope, student_ids=ids)
    states |= dict.fromkeys(asked.absent, AWAY) | dict.fromkeys(asked.not_today, NOT_TODAY)

    as_of = asked.as_of or lesson.starts_at
    attended = attendance.attended(scope, student_ids=ids, before=asked.on, most=LESSONS_FOR_TURNS)
    tries = counted(scope, student_ids=ids, since=asked.on - timedelta(days=DAYS_LOOKED_BACK))
    heights = {facts.id: facts for facts in students.children(scope, student_ids=ids)}
    masses = students.masses(scope, student_ids=ids, on=asked.on)
    agreed = agreements.current(scope, student_ids=ids, on=asked.on)
    withdrawn = agreements.withdrawn(scope, student_ids=ids, on=asked.on)
    restricted = restrictions.current(scope, student_ids=ids, on=asked.on)
    beliefs = replay.beliefs(scope, student_ids=ids, succession=edition.succession)
    needs = Needs({key: card.skill for key, card in edition.cards.items()})
    rules = policy(scope)
    digits = max(3, len(str(len(called))))

    def child(place, id_):
        facts = heights[id_]
        seen = evidence.read(beliefs.get(id_, {}), as_of=as_of, on=asked.on, parameters=DEFAULTS)
        known = Readings(needs, seen, DEFAULTS)
        return Child(
            id=id_,
            rank=f"{place:0{digits}d}",
            name=called[id_],
            age=students.age_years(
                birth_year=facts.birth_year, birth_month=facts.birth_month, on=asked.on
            ),
            trial=id_ in on_trial or (facts.left_on is not None and facts.left_on < asked.on),
            not_today=states.get(id_) == NOT_TODAY,
            height_cm=facts.height_cm,
            height_on=facts.height_on,
            mass_kg=masses.get(id_),
            agreed=agreed.get(id_, frozenset()),
            withdrawn=withdrawn.get(id_, frozenset()),
            restricted=restricted.get(id_, ()),
            last_here=next(iter(attended.get(id_, ())), None),
            readings=known,
            judged=judgements(known, rules.bar),
        )

    everybody = [child(place, id_) for place, id_ in enumerate(called, 1)]
    wished_apart, wished_together = wishes.current(scope, student_ids=ids, on=asked.on)
    spotters, in_room = _adults(scope, asked)
    return Evening(
        policy=rules,
        klass=klass,
        lesson=lesson,
        as_of=as_of,
        closed=closed,
        edition=edition,
        here=tuple(child for child in everybody if states.get(child.id) != AWAY),
        away=tuple(child for child in everybody if states.get(child.id) == AWAY),
        spotters=spotters,
        adults_in_room=in_room,
        mats=klass.mats if asked.mats is None else asked.mats,
        minutes=asked.minutes or lesson.minutes,
        surface=asked.surface,
        yeses=yeses.current(
            scope, student_ids=ids, on=asked.on, lesson_id=lesson.id, edition=edition
        ),
        pairs_ok=pair_checks.current(scope, student_ids=ids, on=asked.on, lesson_id=lesson.id),
        open_falls=falls.open_falls(scope, student_ids=ids, on=asked.on, edition=edition),
        apart=wished_apart,
        together=wished_together,
        tries=tries,
        turns=turns(tries, attended),
        past_pairs=past_pairs(tries),
        answered=_answered(scope, lesson),
    )


def judgements(known: Readings, bar: float) -> dict[tuple[str, str], Judgement]:
    """Every skill of an edition in each role that children hold, judged for one child."""
    return {
        (key, role): judge(key, role, known, bar)
        for key, role in known.needs.slots
        if role != SPOTTER
    }


def _answered(scope, lesson):
    said = events.about(
        scope, what=ANSWER, about=lesson.id, since=lesson.starts_at - ANSWERED_BEFORE
    )
    return frozenset(
        (one["skill"], one["code"], tuple(UUID(id_) for id_ in one["students"])) for one in said
    )


def _adults(scope, asked):
    """Adults free to spot, and how many adults are in the room: with them whoever is in charge.

    A minor, or somebody who is not of the staff that day, never spots. Who is named is seen by
    everybody: what stops a lesson does not hang on who opens its sheet.
    """
    everybody = staff(replace(scope, role=HEAD_TEACHER), on=asked.on).values()
    spotters = tuple(one for one in everybody if one.adult and one.id in asked.spotters)
    return spotters, len(spotters) + 1


def local(moment: datetime, klass: ClassView) -> datetime:
    """A moment in the studio's own time."""
    return moment.astimezone(ZoneInfo(klass.zone))
