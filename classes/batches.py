"""What a phone made offline: rows that are each judged by themselves."""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from accounts.scope import Scope
from classes.students import erased, visible

STATUSES = STORED, ALREADY_STORED, REFUSED = ("stored", "already_stored", "refused")
INVALID, UNKNOWN, ERASED, ID_REUSED = ("invalid", "unknown", "erased", "id_reused")


@dataclass(frozen=True)
class Answer:
    """What became of one row: stored, already stored, or refused with a code.

    `pointer` leads from the row to the field that is at fault.
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
    """Which of the children that rows speak of can be seen, and which were erased."""

    def __init__(self, scope: Scope, *, student_ids: Iterable[UUID]) -> None:
        asked = frozenset(student_ids)
        self._seen = visible(scope, student_ids=asked)
        self._erased = erased(scope, student_ids=asked - self._seen)

    def refuse(self, student_id: UUID) -> Refusal | None:
        """Why a row about this child is not taken."""
        if student_id in self._erased:
            return Refusal(ERASED, "/student")
        return None if student_id in self._seen else Refusal(UNKNOWN, "/student")
