"""What is known about one lesson before anything is proposed: loaded once, then only values."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from accounts.names import close_to, folded
from accounts.policy import Policy, policy
from accounts.scope import Scope, Unknown
from accounts.staff import Colleague, staff
from classes import (
    agreements,
    attempts,
    attendance,
    falls,
    lessons,
    pair_checks,
    replay,
    restrictions,
    students,
    wishes,
    yeses,
)
from classes.classes import ClassView, class_named, classes, enrolled
from classes.lessons import LessonView
from classes.models.lessons import AWAY, NOT_TODAY
from classes.restrictions import Restricted
from classes.students import UnknownStudent
from curriculum import editions
from curriculum.editions import EditionInUse
from engine.readiness import evidence
from engine.readiness.judge import Judgement, judge
from engine.readiness.parameters import DEFAULTS
from engine.readiness.readings import Needs, Readings
from planning.words import WEEKDAYS

LESSONS_LOOKED_BACK = 6  # turns and pairs count over the last six lessons attended
SPOTTER = "spotter"
DAYS_LOOKED_BACK = 120  # six lessons attended lie within it even after a long break


@dataclass(frozen=True, eq=False)
class Child:
    """One child of tonight's list; `rank` is the place in the alphabetical list, as a text.

    The rank is the child's id towards the engine: ties are then broken the same way on every
    machine. There is one object a child, compared by identity.
    """

    id: UUID
    rank: str
    name: str
    age: int
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
    away: tuple[str, ...]
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
    tries: tuple[attempts.Try, ...]
    turns: Mapping[tuple[UUID, str], int]
    past_pairs: Mapping[tuple[UUID, UUID], int]

    @property
    def last_tries(self) -> tuple[attempts.Try, ...]:
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

    @property
    def playing(self) -> tuple[Child, ...]:
        """Who may be asked into a group tonight."""
        return tuple(child for child in self.here if not child.not_today)


@dataclass(frozen=True)
class Asked:
    """What a teacher says about tonight; names as she types them."""

    on: date
    absent: tuple[str, ...] = ()
    not_today: tuple[str, ...] = ()
    visitors: tuple[str, ...] = ()
    spotters: tuple[str, ...] = ()
    mats: int | None = None
    minutes: int | None = None
    surface: str | None = None
    as_of: datetime | None = None


def next_meeting(klass: ClassView, *, on: date) -> date:
    """The first date not before `on` on which the class meets by its weekday."""
    return on + timedelta(days=(klass.weekday - on.weekday()) % 7)


def load(scope: Scope, *, class_name: str, asked: Asked) -> Evening:
    """This will gather what is known for a lesson.

    Raises `Unknown` (class, child or adult, or no curriculum in use at the studio).
    """
    klass = class_named(scope, name=class_name)
    lesson = lessons.view(klass, asked.on)
    edition = editions.in_use(scope, studio_id=klass.studio_id, on=asked.on)
    if edition is None:
        raise Unknown(f"no curriculum is in use at {klass.studio_name} on {asked.on}")
    directory = students.directory(scope)
    places = {row.student_id: row for row in enrolled(scope, class_id=klass.id, on=asked.on)}
    visitors = {_named(directory, "--visitor", name) for name in asked.visitors}
    on_trial = {id_ for id_, place in places.items() if place.trial}
    on_trial |= _without_a_place(scope, visitors - places.keys(), on=asked.on)
    # The directory lists names alphabetically; everybody of the class keeps a place in it.
    listed = [id_ for id_ in directory.names if id_ in places or id_ in visitors]
    states = _states(scope, lesson, listed, directory, asked)

    as_of = asked.as_of or lesson.starts_at
    ids = frozenset(listed)
    attended = attendance.attended(
        scope, student_ids=ids, before=asked.on, most=LESSONS_LOOKED_BACK
    )
    tries = attempts.tries(
        scope, student_ids=ids, since=asked.on - timedelta(days=DAYS_LOOKED_BACK)
    )
    heights = {facts.id: facts for facts in students.children(scope, student_ids=ids)}
    masses = students.masses(scope, student_ids=ids, on=asked.on)
    agreed = agreements.current(scope, student_ids=ids, on=asked.on)
    withdrawn = agreements.withdrawn(scope, student_ids=ids, on=asked.on)
    restricted = restrictions.current(scope, student_ids=ids, on=asked.on)
    beliefs = replay.beliefs(scope, student_ids=ids, succession=edition.succession)
    needs = Needs({key: card.skill for key, card in edition.cards.items()})
    rules = policy(scope)

    def child(place, id_):
        facts = heights[id_]
        seen = evidence.read(beliefs.get(id_, {}), as_of=as_of, on=asked.on, parameters=DEFAULTS)
        known = Readings(needs, seen, DEFAULTS)
        return Child(
            id=id_,
            rank=f"{place:03d}",
            name=directory.names[id_],
            age=students.age_years(
                birth_year=facts.birth_year, birth_month=facts.birth_month, on=asked.on
            ),
            trial=id_ in on_trial,
            not_today=states.get(id_) == NOT_TODAY,
            height_cm=facts.height_cm,
            height_on=facts.height_on,
            mass_kg=masses.get(id_),
            agreed=agreed.get(id_, frozenset()),
            withdrawn=withdrawn.get(id_, frozenset()),
            restricted=restricted.get(id_, ()),
            last_here=next(iter(attended.get(id_, ())), None),
            readings=known,
            judged={
                (key, role): judge(key, role, known, rules.bar)
                for key, role in needs.slots
                if role != SPOTTER
            },
        )

    wished_apart, wished_together = wishes.current(scope, student_ids=ids, on=asked.on)
    spotters, in_room = _adults(scope, asked)
    return Evening(
        policy=rules,
        klass=klass,
        lesson=lesson,
        as_of=as_of,
        closed=_closed(scope, klass, asked.on),
        edition=edition,
        here=tuple(child(i, id_) for i, id_ in enumerate(listed, 1) if states.get(id_) != AWAY),
        away=tuple(directory.names[id_] for id_ in listed if states.get(id_) == AWAY),
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
        turns=attempts.turns(tries, attended),
        past_pairs=attempts.past_pairs(tries),
    )


def _closed(scope, klass, on):
    if on.weekday() != klass.weekday:
        return f"the class meets on {WEEKDAYS[klass.weekday]}s"
    return lessons.closed(scope, klass=klass, on=on)


def _named(directory, flag, name):
    """The id of a child named by a flag."""
    try:
        return directory.find(name)
    except UnknownStudent as error:
        raise UnknownStudent(f"{flag}: {error}") from None


def _without_a_place(scope, visitors, *, on):
    """Visitors who are on trial where they come from, or have no place anywhere in sight."""
    if not visitors:
        return frozenset()
    settled = {
        row.student_id
        for klass in classes(scope)
        for row in enrolled(scope, class_id=klass.id, on=on)
        if not row.trial
    }
    return visitors - settled


def _states(scope, lesson, listed, directory, asked):
    """Who is away or not up for it: what was entered, then what is said now."""
    states = dict(attendance.of_lesson(scope, lesson_id=lesson.id))
    said: dict[UUID, str] = {}
    for flag, names, state in (
        ("--absent", asked.absent, AWAY),
        ("--not-today", asked.not_today, NOT_TODAY),
    ):
        for name in names:
            id_ = _named(directory, flag, name)
            if id_ not in listed:
                raise Unknown(f"{flag}: {directory.names[id_]} is not in this class")
            if said.setdefault(id_, flag) != flag:
                raise Unknown(f"{flag}: {directory.names[id_]} is named with {said[id_]} too")
            states[id_] = state
    return states


def _adults(scope, asked):
    """Adults free to spot, and how many adults are in the room with whoever asks."""
    colleagues = staff(scope, on=asked.on)
    by_name = {folded(name): colleague for name, colleague in colleagues.items()}
    spotters = {}
    for name in asked.spotters:
        adult = by_name.get(folded(name))
        if adult is None:
            hint = close_to(name, colleagues)
            raise Unknown(f"--spotters: nobody called “{name}” is on the staff that day{hint}")
        if not adult.adult:
            raise Unknown(f"--spotters: {adult.name} is not an adult")
        if adult.id == scope.member_id:
            raise Unknown(
                f"--spotters: {adult.name} holds the list; whoever does is not free to spot"
            )
        spotters[adult.name] = adult
    asking = next((c for c in colleagues.values() if c.id == scope.member_id), None)
    in_room = len(spotters) + (1 if asking and asking.adult else 0)
    return tuple(spotters[name] for name in colleagues if name in spotters), in_room


def local(moment: datetime, klass: ClassView) -> datetime:
    """A moment in the studio's own time."""
    return moment.astimezone(ZoneInfo(klass.zone))
