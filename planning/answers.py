"""Asks answered: a teacher says yes to what is asked before a group's first go, for one evening.

A yes to begin and “these two: yes” become what they are; whatever else is asked becomes an event,
which the gates of that evening read. A stop is passed by nobody.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db import transaction

from accounts.events import record
from accounts.faults import BadDocument, Fault
from accounts.scope import Conflict, Scope
from classes import pair_checks, yeses
from classes.fact_files import one_writer
from classes.models.children import BEGIN
from curriculum.cards import CardView
from planning import by_hand, gates
from planning import evening as evenings
from planning.evening import ANSWER, ANSWERED_BEFORE, Child, Evening, local
from planning.proposals import open_roles

# Why a teacher passes an ask: one of these, never free text; each may be read aloud.
REASONS = {
    "seen": "seen tonight",
    "in_parts": "done in parts first",
    "on_the_floor": "done on the floor first",
    "close_spot": "an adult stays close",
    "known_before": "known from before",
    "looked_at": "looked at together",
}
TO_BEGIN = ("yes", "not_ready")
TOGETHER = "pair"
OF_A_LINE = "line"
CODES = (*TO_BEGIN, TOGETHER, *gates.PASSED_BY_EVENT)


@dataclass(frozen=True)
class Answered:
    """An ask that a teacher has passed for one evening; `students` of a pair are base, flyer."""

    skill: str
    code: str
    students: tuple[UUID, ...]
    role: str | None
    reason: str
    sentence: str


@transaction.atomic
def answer(
    scope: Scope,
    *,
    lesson_id: UUID,
    skill: str,
    code: str,
    students: Sequence[UUID],
    role: str | None,
    reason: str,
    at: datetime,
) -> Answered:
    """This will pass an ask of a skill for one evening, with a reason of `REASONS`.

    What was passed already stands. Raises `Unknown` for the lesson, `NotAllowed`, `Conflict` (no
    lesson, too early, over, a stop), `BadDocument` with pointers to `/skill`, `/students`, `/role`.
    """
    one_writer(scope)  # of two with the same answer the second finds that it stands
    tonight = evenings.of_lesson(scope, lesson_id=lesson_id, today=at.date())
    scope.need_teacher("answering an ask")
    card = by_hand.card_named(tonight, skill)
    about = _about(tonight, card, code, students, role)
    if tonight.closed:
        raise Conflict(f"no lesson that day: {tonight.closed}")
    if at < tonight.lesson.starts_at - ANSWERED_BEFORE:
        raise Conflict("asks are answered within four weeks of the evening")
    ends = tonight.lesson.starts_at + timedelta(minutes=tonight.minutes)
    if at > ends and local(at, tonight.klass).date() > tonight.lesson.on:
        raise Conflict("the evening is over: what was asked before it is asked no more")
    _need_no_stop(tonight, card, code, about, role)
    ids = tuple(child.id for child in about)
    if code == OF_A_LINE:
        ids = tuple(sorted(ids))
    if not _stands(tonight, card, code, ids, role):
        _give(scope, tonight, card, code, ids, role, at)
        record(
            scope,
            what=ANSWER,
            at=at,
            about=tonight.lesson.id,
            skill=card.key,
            code=code,
            students=[str(id_) for id_ in ids],
            role=role,
            reason=reason,
        )
    return Answered(card.key, code, ids, role, reason, REASONS[reason])


def _about(tonight: Evening, card: CardView, code, students, role) -> list[Child]:
    """The children an ask is about. Raises `BadDocument` with all that is wrong."""
    here = {child.id: child for child in tonight.here}
    bad = [
        Fault(f"/students/{place}", "unknown")
        for place, one in enumerate(students)
        if one not in here
    ]
    wanted = 2 if code in (TOGETHER, OF_A_LINE) else 1
    enough = len(students) >= wanted if code == OF_A_LINE else len(students) == wanted
    if not enough or len(set(students)) != len(students):
        bad.append(Fault("/students", _how_many(code)))
    if code in TO_BEGIN and role not in open_roles(card):
        bad.append(Fault("/role", f"{card.name} has the roles {', '.join(open_roles(card))}"))
    if code not in TO_BEGIN and role is not None:
        bad.append(Fault("/role", "this is not asked about one role"))
    if code == TOGETHER and not {"base", "flyer"} <= {*open_roles(card)}:
        bad.append(Fault("/code", f"{card.name} has no base and flyer"))
    if bad:
        raise BadDocument(bad)
    return [here[one] for one in students]


def _how_many(code):
    if code == TOGETHER:
        return "two children: base, then flyer"
    return "everybody of the line" if code == OF_A_LINE else "one child"


def _need_no_stop(tonight, card, code, about, role):
    """A stop is passed by nobody, and nobody is told that it was."""
    roles = open_roles(card)
    if code in TO_BEGIN:
        held = [(about[0], (role,))]
    elif code == TOGETHER:
        held = list(zip(about, (("base",), ("flyer",)), strict=True))
    else:
        held = [(child, roles) for child in about]
    for child, asked in held:
        stops = [gates.stops(tonight, card, one, child) for one in asked]
        if all(stops):
            sentences = dict.fromkeys(stop.sentence for found in stops for stop in found)
            raise Conflict(f"{child.name}: {'; '.join(sentences)}")


def _stands(tonight, card, code, ids, role):
    if code in TO_BEGIN:
        return (*ids, card.key, role, BEGIN) in tonight.yeses
    if code == TOGETHER:
        return ids in tonight.pairs_ok
    return (card.key, code, ids) in tonight.answered


def _give(scope, tonight, card, code, ids, role, at):
    evening = {"lesson_id": tonight.lesson.id, "on": tonight.lesson.on, "at": at}
    if code in TO_BEGIN:
        yeses.give(
            scope,
            student_id=ids[0],
            skill_id=tonight.edition.skill_ids[card.key],
            role=role,
            kind=BEGIN,
            **evening,
        )
    elif code == TOGETHER:
        pair_checks.give(scope, base_id=ids[0], flyer_id=ids[1], **evening)
