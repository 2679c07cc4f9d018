"""Rows that wait for a head teacher: by somebody who has lost the right, or off a lost phone."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db import transaction

from accounts.events import record
from accounts.faults import BadDocument, Fault
from accounts.models import Member
from accounts.scope import Scope, Unknown
from classes import attempts
from classes.attempt_rows import BadRow, read
from classes.attempts import RESCUED, Answer
from classes.models import HeldRow
from classes.students import names
from curriculum.skills import last_names_by_id

ADMITTING, RESCUING = "held rows", "loading what was left on a phone"


@dataclass(frozen=True)
class Held:
    """One row as the phone wrote it, why it waits, who logged it and who handed it in.

    `student_name` is None of a child who is not there any more, `skill_name` of a skill that no
    edition has; `on` is the local day of the try. None of it is known of a row that cannot be read.
    """

    id: UUID
    row: Mapping[str, object]
    student_name: str | None
    skill_name: str | None
    on: date | None
    reason: str
    member: UUID
    member_name: str
    sent_by: UUID
    sent_by_name: str
    received_at: datetime


def waiting(scope: Scope) -> tuple[Held, ...]:
    """This will list the held rows of the school, the first received first. Raises `NotAllowed`."""
    scope.need_head(ADMITTING)
    rows = HeldRow.objects.select_related("member", "sent_by").filter(school_id=scope.school_id)
    tries = {row.id: said for row in rows if (said := _read(row))}
    children = names(scope, student_ids={one.student_id for one in tries.values()})
    called = last_names_by_id(scope, skill_ids={one.skill_id for one in tries.values()})

    def told(row):
        said = tries.get(row.id)
        if said is None:
            return {"student_name": None, "skill_name": None, "on": None}
        return {
            "student_name": children.get(said.student_id),
            "skill_name": called.get(said.skill_id),
            "on": said.local_date,
        }

    return tuple(
        Held(
            id=row.id,
            row=row.payload,
            **told(row),
            reason=row.reason,
            member=row.member_id,
            member_name=row.member.name,
            sent_by=row.sent_by_id,
            sent_by_name=row.sent_by.name,
            received_at=row.received_at,
        )
        for row in sorted(rows, key=lambda row: (row.received_at, row.id))
    )


def admit(scope: Scope, *, held_id: UUID, at: datetime) -> Answer:
    """This will store a held row as if it had been right when it was received.

    What the log refuses stays held, unless the child was erased. Raises `NotAllowed`, `Unknown`.
    """
    scope.need_head(ADMITTING)
    with transaction.atomic():
        row = _find(scope, held_id)
        (answer,) = attempts.receive(
            scope,
            rows=[row.payload],
            received_at=row.received_at,
            member_id=row.member_id,
            sent_by_id=row.sent_by_id,
        )
        if answer.status in attempts.KEPT or answer.code == attempts.ERASED:
            _take_out(scope, row, "admit_held", at)
    return answer


def discard(scope: Scope, *, held_id: UUID, at: datetime) -> None:
    """This will throw a held row away. Raises `NotAllowed`, `Unknown`."""
    scope.need_head(ADMITTING)
    with transaction.atomic():
        _take_out(scope, _find(scope, held_id), "discard_held", at)


def rescue(
    scope: Scope, *, member_id: UUID, rows: Sequence[object], at: datetime
) -> tuple[Answer, ...]:
    """This will hold the rows that a member left on a phone; she stays who logged them.

    Answers are as for a batch. Raises `NotAllowed`, and `BadDocument` for an unknown member.
    """
    scope.need_head(RESCUING)
    if not Member.objects.filter(school_id=scope.school_id, id=member_id).exists():
        raise BadDocument([Fault("/member", "unknown")])
    with transaction.atomic():
        answers = attempts.receive(
            scope, rows=rows, received_at=at, member_id=member_id, hold=RESCUED
        )
        record(scope, what="rescue_rows", at=at, about=member_id, rows=len(rows))
    return answers


def _find(scope, held_id):
    row = HeldRow.objects.filter(school_id=scope.school_id, id=held_id).first()
    if row is None:
        raise Unknown("no such row")
    return row


def _take_out(scope, row, what, at):
    # Somebody else may have decided just now.
    if not HeldRow.objects.filter(school_id=scope.school_id, id=row.id).delete()[0]:
        raise Unknown("no such row")
    said = _read(row)
    record(scope, what=what, at=at, about=said and said.student_id, row=str(row.row_id))


def _read(row):
    """What a held row says; None where it cannot be read."""
    try:
        return read(row.payload, member_id=row.member_id)[0]
    except BadRow:
        return None
