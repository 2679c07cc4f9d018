"""The lessons to come that another edition touches: groups that are kept, skills suggested."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from uuid import UUID

from accounts.scope import Unknown
from accounts.staff import Colleague
from classes.classes import ClassView
from classes.lessons import NamedLesson
from planning import by_hand
from planning.by_hand import Formed, Found
from planning.evening import Evening
from planning.group_views import as_found
from planning.kept_groups import Kept
from planning.lesson_sheet import Named
from planning.weighing import Weighed
from planning.words import joined

TOUCHES = GONE, RENAMED, SPLIT, MERGED, NO_GROUPS, STOPS, ASKS = (
    "gone",
    "renamed",
    "split",
    "merged",
    "no_groups",
    "stops",
    "asks",
)


@dataclass(frozen=True)
class SkillTouched:
    """What becomes of a skill of a lesson: `what` is the first of `TOUCHES` that holds.

    `kept`: groups of it are kept; `suggested`: it was suggested overnight. `sentences` tell what
    becomes of “it”, the skill, then what newly stops or asks in its groups.
    """

    skill: str
    name: str
    kept: bool
    suggested: bool
    what: str
    sentences: tuple[str, ...]


@dataclass(frozen=True)
class LessonTouched:
    """A lesson with skills in the teaching order of the edition in use."""

    id: UUID
    klass: Named
    on: date
    skills: tuple[SkillTouched, ...]


@dataclass(frozen=True)
class Planned:
    """What stands for the lessons to come of a studio; `children` are those of each class, and
    whether each is on trial there."""

    lessons: tuple[NamedLesson, ...]
    kept: Mapping[UUID, Kept]
    suggested: Mapping[UUID, Collection[str]]
    classes: Mapping[UUID, ClassView]
    children: Mapping[UUID, Mapping[UUID, bool]]
    staff: tuple[Colleague, ...]

    def groups(self, lesson_id: UUID, skill: str) -> tuple[Formed, ...]:
        return self.kept.get(lesson_id, {}).get(skill, (0, ()))[1]


def touched(weighed: Weighed, planned: Planned) -> tuple[LessonTouched, ...]:
    """This will list the lessons that are touched, in order of time.

    They are judged as known now; who will be away on the evening is not asked.
    """
    found = []
    for lesson in planned.lessons:
        before, after = (_evening(weighed, planned, lesson, after=after) for after in (False, True))
        skills = tuple(_skills(weighed, planned, lesson, before, after))
        if skills:
            klass = Named(lesson.class_id, lesson.class_name)
            found.append(LessonTouched(lesson.id, klass, lesson.on, skills))
    return tuple(found)


def _skills(weighed, planned, lesson, before, after) -> Iterator[SkillTouched]:
    suggested = planned.suggested.get(lesson.id, ())
    for key, card in before.edition.cards.items():
        groups = planned.groups(lesson.id, key)
        if not groups and key not in suggested:
            continue
        found = [one for one in [_turned(weighed, key)] if one]
        if groups and key in after.edition.cards:
            found += _newly(before, after, key, groups)
        if found:
            yield SkillTouched(
                skill=key,
                name=card.name,
                kept=bool(groups),
                suggested=key in suggested,
                what=min((what for what, _ in found), key=TOUCHES.index),
                sentences=tuple(sentence for _, sentence in found),
            )


def _turned(weighed: Weighed, key: str) -> tuple[str, str] | None:
    """What becomes of a skill as such; None where it is taught on as it was."""
    was, now = weighed.before.edition.cards, weighed.after.edition.cards
    onward = weighed.turnover.onward.get(key, ())
    heirs = joined(f"“{now[one].name}”" for one in onward)
    if key in now:
        return (SPLIT, f"it is split: its tries count for {heirs} too") if onward else None
    if not onward:
        return GONE, "it is taught no more"
    if len(onward) > 1:
        return SPLIT, f"it is split into {heirs}"
    alone = [one for one, others in weighed.turnover.onward.items() if onward[0] in others]
    if onward[0] in was or len(alone) > 1:
        return MERGED, f"it is taken into {heirs}"
    return RENAMED, f"it is carried on by {heirs} under another key"


def _newly(before: Evening, after: Evening, key, groups) -> Iterator[tuple[str, str]]:
    """What stops or asks in kept groups that did not before."""
    try:
        card = by_hand.card_of(after, key)
    except Unknown:
        yield NO_GROUPS, "it is done without groups"
        return
    was = by_hand.check(before, before.edition.cards[key], groups)
    now = by_hand.check(after, card, groups)
    known = {_same(one) for one in was.all_stops}
    yield from ((STOPS, one.sentence) for one in now.all_stops if _same(one) not in known)
    known = {_same(as_found(ask)) for group in was.groups for ask in group.asks}
    for group in now.groups:
        for ask in map(as_found, group.asks):
            if _same(ask) not in known:
                yield ASKS, ask.sentence


def _same(one: Found):
    """What makes two of them one, though they may be said in other words."""
    return one.code, one.role, one.students or one.sentence


def _evening(weighed: Weighed, planned: Planned, lesson: NamedLesson, *, after: bool) -> Evening:
    """The evening of a lesson: the children of its class and of its groups, its adults."""
    evening = weighed.after if after else weighed.before
    klass = planned.classes[lesson.class_id]
    places = planned.children.get(klass.id, {})
    there = {*places}
    for _, groups in planned.kept.get(lesson.id, {}).values():
        there.update(*(group.students for group in groups))
    spotters = tuple(one for one in planned.staff if one.adult and one.id in lesson.spotters)
    return replace(
        evening,
        klass=klass,
        lesson=lesson,
        here=tuple(
            replace(child, trial=places.get(child.id, child.trial))
            for child in evening.here
            if child.id in there
        ),
        spotters=spotters,
        adults_in_room=len(spotters) + 1,
        mats=klass.mats if lesson.mats is None else lesson.mats,
        minutes=lesson.minutes,
        surface=lesson.surface or None,
        yeses=weighed.holding(after=after, on=lesson.on, lesson_id=lesson.id),
    )
