"""What a draft or an edition would change at a studio for its children, before it is taken on.

Read from beliefs as they are kept; nothing is worked out anew or stored.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from accounts.faults import Fault
from accounts.models import Studio
from accounts.scope import Scope
from accounts.staff import staff
from classes import enrolments, lessons, standing_yeses
from classes.classes import classes
from classes.models.children import BEGIN, NO_SPOT, SHOW
from classes.standing_yeses import Standing as StandingYes
from curriculum import candidates, editions
from curriculum.adoptions import need_studio
from curriculum.candidates import Candidate
from curriculum.cards import CardView
from planning import kept_groups, preparation, tonight
from planning.evening import Child
from planning.group_views import Somebody
from planning.impact_lessons import TOUCHES as TOUCHES
from planning.impact_lessons import LessonTouched, Planned, touched
from planning.lesson_sheet import EditionLines, Named
from planning.map_overlays import STANDS as STANDS
from planning.proposals import open_roles
from planning.reasons import named
from planning.weighing import Stand, Weighed, stand, weighed
from planning.words import CAUTION, day, joined, spoken

WHATS = GAINS, LOSES = ("gains", "loses")
YES = {BEGIN: "to begin with {}", NO_SPOT: "to do {} with no spot", SHOW: "to show {}"}
BROKEN = "There is something to put right first; what changes for the children is told then."


@dataclass(frozen=True)
class Stood:
    """Where a child stands in a role of a skill; `stands` is the key of what `says` tells."""

    skill: str
    name: str
    stands: str
    says: str


@dataclass(frozen=True)
class RoleImpact:
    """A readiness that is gained or lost. `before` None: the skill or the role is new there;
    `after` None: it is taught no more. After a rename, split or merge `before` is of the skill
    that was carried on."""

    role: str
    what: str
    before: Stood | None
    after: Stood | None


@dataclass(frozen=True)
class ChildImpact:
    """One child with roles in teaching order, then those of skills that are gone."""

    student: Somebody
    roles: tuple[RoleImpact, ...]


@dataclass(frozen=True)
class YesImpact:
    """A teacher's yes that runs out, and why in a sentence; with a `lesson` it was for that
    evening."""

    id: UUID
    student: Somebody
    skill: str
    role: str
    kind: str
    given_on: date
    lesson: UUID | None
    says: str


@dataclass(frozen=True)
class Impact:
    """What taking on today a draft (`number` None) or an edition would change at a studio.

    With `faults` nothing else is told; without an edition `in_use` there is nothing to compare
    with. Children and yeses are by name, lessons in order of time.
    """

    number: int | None
    name: str
    faults: tuple[Fault, ...]
    studio: Named
    in_use: EditionLines | None
    as_of: datetime
    known: str
    says: str
    children: tuple[ChildImpact, ...] = ()
    yeses: tuple[YesImpact, ...] = ()
    lessons: tuple[LessonTouched, ...] = ()
    caution: str = CAUTION


def of_draft(scope: Scope, *, draft_id: UUID, studio_id: UUID, at: datetime) -> Impact:
    """This will tell what a draft would change at a studio that took it on today.

    Raises `NotAllowed`, and `Unknown` for the draft or the studio.
    """
    return _impact(scope, candidates.of_draft(scope, draft_id=draft_id), studio_id, at)


def of_edition(scope: Scope, *, number: int, studio_id: UUID, at: datetime) -> Impact:
    """This will tell what an edition would change at a studio that took it on today.

    Raises `NotAllowed`, and `Unknown` for the edition or the studio.
    """
    return _impact(scope, candidates.of_edition(scope, number=number), studio_id, at)


def _impact(scope: Scope, candidate: Candidate, studio_id: UUID, at: datetime) -> Impact:
    need_studio(scope, studio_id=studio_id)
    studio = Studio.objects.get(school_id=scope.school_id, id=studio_id)
    local = at.astimezone(ZoneInfo(studio.zone))
    before = editions.in_use(scope, studio_id=studio_id, on=local.date())

    def told(says, known="", **lists):
        return Impact(
            number=candidate.number,
            name=candidate.name,
            faults=candidate.faults,
            studio=Named(studio.id, studio.name),
            in_use=before and EditionLines(before.id, before.number, before.name),
            as_of=local,
            known=known,
            says=says,
            **lists,
        )

    if candidate.faults:
        return told(BROKEN)
    if before is None:
        return told(f"{studio.name} has nothing in use yet: there is nothing to compare with.")
    planned = _planned(scope, studio_id, local.date(), at)
    if not planned.classes:
        return told(f"{studio.name} has no classes yet: nobody is touched.")
    on_trial: dict[UUID, bool] = {}  # in all of her classes here
    for places in planned.children.values():
        on_trial |= {id_: trial and on_trial.get(id_, True) for id_, trial in places.items()}
    listed = on_trial.keys() | (
        student
        for lesson in planned.lessons
        for _, groups in planned.kept.get(lesson.id, {}).values()
        for group in groups
        for student in group.students
    )
    found = weighed(
        scope,
        klass=next(iter(planned.classes.values())),
        student_ids=listed,
        on_trial=on_trial,
        on=local.date(),
        at=at,
        edition=candidate.edition,
        turnover=candidates.turnover(scope, before=before, candidate=candidate),
        yeses=standing_yeses.standing(
            scope, student_ids=listed, on=local.date(), studio_id=studio_id, edition=before
        ),
    )
    pairs = zip(found.before.here, found.after.here, strict=True)
    children = (_child(found, was, now) for was, now in pairs if was.id in on_trial)
    lists = {
        "children": tuple(one for one in children if one.roles),
        "yeses": _yeses(found),
        "lessons": touched(found, planned),
    }
    return told(_says(studio.name, **lists), tonight.known(found.before), **lists)


def _planned(scope, studio_id, on, at) -> Planned:
    kept = kept_groups.at_studio(scope, studio_id=studio_id, since=on)
    suggested = preparation.suggested_at(scope, studio_id=studio_id, since=on)
    return Planned(
        lessons=lessons.to_come(scope, lesson_ids=kept.keys() | suggested.keys(), at=at),
        kept=kept,
        suggested=suggested,
        classes={one.id: one for one in classes(scope) if one.studio_id == studio_id},
        children=enrolments.at_studio(scope, studio_id=studio_id, on=on),
        staff=tuple(staff(scope, on=on).values()),
    )


def _child(found: Weighed, was: Child, now: Child) -> ChildImpact:
    return ChildImpact(Somebody(was.id, was.name), tuple(_roles(found, was, now)))


def _roles(found: Weighed, was: Child, now: Child) -> Iterator[RoleImpact]:
    before, after = found.before, found.after
    old, new = before.edition.cards, after.edition.cards
    onward = found.turnover.onward
    for key, card in new.items():
        sources = [key] if key in old else [one for one in old if key in onward[one]]
        for role in open_roles(card):
            stood = [
                stand(before, old[one], role, was)
                for one in sources
                if role in open_roles(old[one])
            ]
            one = _changed(role, stood, stand(after, card, role, now))
            if one:
                yield one
    for key, card in old.items():
        heirs = [new[one] for one in (key, *onward[key]) if one in new]
        for role in open_roles(card):
            if not any(role in open_roles(heir) for heir in heirs):
                one = _changed(role, [stand(before, card, role, was)], None)
                if one:
                    yield one


def _changed(role: str, before: Sequence[Stand], after: Stand | None) -> RoleImpact | None:
    """What becomes of a readiness; of several skills carried on one that she is ready for."""
    ready = [one for one in before if one.ready]
    now = after is not None and after.ready
    if bool(ready) == now:
        return None
    stood = next(iter(ready or before), None)
    return RoleImpact(
        role, GAINS if now else LOSES, stood and _stood(stood), after and _stood(after)
    )


def _stood(one: Stand) -> Stood:
    card = one.standing.card
    return Stood(card.key, card.name, one.stands, one.says)


def _yeses(found: Weighed) -> tuple[YesImpact, ...]:
    children = {child.id: child for child in found.before.here}
    rows = sorted(
        (one for one in found.run_out if one.student in children),
        key=lambda one: (
            children[one.student].rank,
            found.before.edition.cards[one.skill].position,
            one.role,
            one.kind,
            one.given_on,
            one.id,
        ),
    )
    return tuple(_yes(found, children[one.student], one) for one in rows)


def _yes(found: Weighed, child: Child, one: StandingYes) -> YesImpact:
    card = found.before.edition.cards[one.skill]
    to = YES[one.kind].format(named(card, one.role))
    return YesImpact(
        id=one.id,
        student=Somebody(child.id, child.name),
        skill=one.skill,
        role=one.role,
        kind=one.kind,
        given_on=one.given_on,
        lesson=one.lesson,
        says=f"{child.name}: the yes of {day(one.given_on)} {to} runs out: {_why(found, card)}",
    )


def _why(found: Weighed, card: CardView) -> str:
    now, onward = found.after.edition.cards, found.turnover.onward[card.key]
    if card.key in now:
        return "the card has changed"
    if onward:
        names = joined(f"“{now[one].name}”" for one in onward)
        return f"what carries it on, {names}, asks for a yes of its own"
    return "it is taught no more"


def _says(studio: str, *, children, yeses, lessons) -> str:
    """All of it in one sentence."""
    whats = [{role.what for role in one.roles} for one in children]
    counts = (
        (sum(GAINS in one for one in whats), "child gains", "children gain", " a readiness"),
        (sum(LOSES in one for one in whats), "child loses", "children lose", " a readiness"),
        (len(yeses), "yes runs", "yeses run", " out"),
        (len(lessons), "lesson to come is", "lessons to come are", " touched"),
    )
    parts = [f"{spoken(n, one, many)}{rest}" for n, one, many, rest in counts if n]
    return f"At {studio} {joined(parts) if parts else 'nothing changes for anybody'}."
