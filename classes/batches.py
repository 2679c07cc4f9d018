"""What a phone made offline: rows that are each judged by themselves."""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any
from uuid import UUID

from accounts.scope import Scope, ended
from classes import lessons
from classes.classes import classes
from classes.sight import LATE_FOR
from classes.students import erased, visible

STATUSES = STORED, ALREADY_STORED, REFUSED = ("stored", "already_stored", "refused")
INVALID, UNKNOWN, ERASED, ID_REUSED = ("invalid", "unknown", "erased", "id_reused")
TOO_LATE = "too_late"


@dataclass(frozen=True)
class Answer:
    """What became of one row: stored, already stored, or refused with a code.

    `id` is None where the row has none that is right. `pointer` leads from the row to the field
    that is at fault.
    """

    id: UUID | None
    status: str
    code: str | None = None
    pointer: str | None = None


@dataclass(frozen=True)
class Refusal:
    """Why a row is not taken; `pointer` as in `Answer`."""

    code: str
    pointer: str | None = None


def judge(
    rows: Sequence[Any],
    *,
    stored: Mapping[UUID, Any],
    refuse: Callable[[Any], Refusal | None],
    changed: Collection[UUID] = (),
) -> tuple[tuple[Answer, ...], tuple[Any, ...]]:
    """This will answer each row in the order given, and tell which are new, by their ids.

    Rows are frozen as the phone made them, have an `id`, and are equal when they say the same.
    Of ids in `changed` somebody has corrected here what was stored: they were taken, whatever
    the phone says.
    A row whose id stands already is `already_stored` when it says the same, else refused as
    `id_reused`: the first stays, and so it is for an id that comes twice in one batch.
    """
    answers, new = [], {}
    for row in rows:
        known = stored.get(row.id) or new.get(row.id)
        if known is None:
            refusal = refuse(row)
        else:
            same = known == row or row.id in changed
            refusal = None if same else Refusal(ID_REUSED, "/id")
        if refusal:
            answers.append(Answer(row.id, REFUSED, refusal.code, refusal.pointer))
        elif known:
            answers.append(Answer(row.id, ALREADY_STORED))
        else:
            new[row.id] = row
            answers.append(Answer(row.id, STORED))
    return tuple(answers), tuple(new[id_] for id_ in sorted(new))


def withheld(answers: Iterable[Answer], ids: Collection[UUID]) -> tuple[Answer, ...]:
    """The answers when these ids could not be stored after all, since they stand for something
    else already."""
    return tuple(
        Answer(answer.id, REFUSED, ID_REUSED, "/id") if answer.id in ids else answer
        for answer in answers
    )


class Sight:
    """Which classes and children of rows can be seen, and which children were erased.

    What belongs to a lesson that began before the member lost its studio she may hand in until
    `LATE_FOR` after that: `scope` is hers with those studios, `classes` are theirs too, by id.
    """

    def __init__(self, scope: Scope, *, at: datetime, student_ids: Iterable[UUID] = ()) -> None:
        self._at, self._ends = at, ended(scope)
        self.scope = replace(scope, studio_ids=scope.studio_ids | self._ends.keys())
        self.classes = {klass.id: klass for klass in classes(self.scope)}
        asked = frozenset(student_ids)
        self._seen = visible(self.scope, student_ids=asked)
        self._lost = self._seen - visible(scope, student_ids=asked) if self._ends else frozenset()
        self._erased = erased(scope, student_ids=asked - self._seen)

    def refuse(self, *, class_id: UUID, on: date, student_id: UUID | None = None) -> Refusal | None:
        """Why a row about a child, or none, in a class of `classes` on a day is not taken."""
        if student_id in self._erased:
            return Refusal(ERASED, "/student")
        if student_id and student_id not in self._seen:
            return Refusal(UNKNOWN, "/student")
        klass = self.classes[class_id]
        end = self._ends.get(klass.studio_id)
        if student_id in self._lost:  # whom she might have seen until the last of her ends
            end = end or max(self._ends.values())
        if end is None or (lessons.view(klass, on).starts_at < end >= self._at - LATE_FOR):
            return None
        return Refusal(TOO_LATE, "/class")
