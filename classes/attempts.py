"""The log of tries: an append-only register of revisions.

A batch of any size is at most five statements, on SQLite too: what its rows speak of, with the
school's row locked · what is there of its ids and attempts already · the new rows · the marks of
all children who stand in any revision of the attempts it touches · what its answers are flagged
for. A lesson that is not there yet is made with two more, held rows are kept with two more, and of
whom a row shows that she cannot see all of it the studios she has lost are looked up.

One writer a school: two who correct one attempt at once would each see only their own revision,
and a child whom the try has left would never be marked. In READ COMMITTED each statement after
the locked one sees whatever an earlier writer stored, so an id is never new to two of them, and
no two of them wait for each other's rows.
"""

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cached_property
from uuid import UUID

from django.db import transaction
from django.db.models import Q

from accounts.scope import Scope
from classes import batches, flags, lessons
from classes.attempt_rows import (
    FROZEN,
    STORED_COLUMNS,
    AttemptRow,
    BadRow,
    Stored,
    content,
    id_of,
    read,
    stored,
)
from classes.batches import (
    ALREADY_STORED,
    ERASED,
    ID_REUSED,
    INVALID,
    REFUSED,
    STORED,
    UNKNOWN,
)
from classes.classes import view
from classes.gathered import Among, run
from classes.models import Attempt, Class, HeldRow, Lesson
from classes.sight import LATE_FOR, Sight, corrected, is_ahead

HELD = "held"
STATUSES = STORED, ALREADY_STORED, HELD, REFUSED
REASONS = AFTER_END, TOO_LATE, RESCUED = "after_end", batches.TOO_LATE, "rescued"
KEPT = (STORED, ALREADY_STORED)

# Column -> what its value is cast to; texts are texts already.
CASTS = {
    **dict.fromkeys(("id", "attempt", "try_id"), "uuid"),
    **{f"{one}_id": "uuid" for one in ("student", "skill", "lesson", "edition", "member")},
    **dict.fromkeys(("happened_at", "at", "received_at"), "timestamptz"),
    "sent_by_id": "uuid",
    "revision": "integer",
    "measure": "double precision",
    "clock_offset_ms": "bigint",
    "local_date": "date",
}
VALUES = ", ".join(
    f"CAST(r.value ->> {place} AS {CASTS.get(column, 'text')})"
    for place, column in enumerate(STORED_COLUMNS)
)
ENTER = (  # made of our own names alone
    f"INSERT INTO attempt (school_id, {', '.join(STORED_COLUMNS)})"  # noqa: S608
    f" SELECT %(school)s, {VALUES} FROM json_array_elements(%(rows)s) AS r(value)"
)
MARK = """
INSERT INTO replay (school_id, student_id, log_version, done_version)
SELECT DISTINCT school_id, student_id, 1, 0 FROM attempt
WHERE school_id = %(school)s AND attempt = ANY(%(attempts)s)
ORDER BY student_id
ON CONFLICT (student_id) DO UPDATE SET log_version = replay.log_version + 1
"""


@dataclass(frozen=True)
class Answer(batches.Answer):
    """What became of one row; it may be held too.

    `flags` tell what a stored row breaks of the school's policy, and that it came late or by a
    wrong clock.
    """

    flags: tuple[str, ...] = ()


def store(
    scope: Scope, *, rows: Sequence[AttemptRow], received_at: datetime, dated: bool = False
) -> tuple[Answer, ...]:
    """This will add rows to the log; each is answered by itself, in the order given.

    The same id with the same content is `already_stored`; with other content it is refused as
    `id_reused`, and the first stays. `erased` and `unknown` (child, skill, lesson or member who
    cannot be seen, or a try of such a child) are refused too. Every child who stands in any
    revision of a touched attempt is marked for a replay in the same transaction.

    When a row counts is fixed here, by its clock unless that cannot be right; `dated` rows come
    with times that somebody wrote down and that were checked.
    """
    with transaction.atomic():
        batch = _Batch(scope, [(row, None) for row in rows], received_at, late=False)
        answers = [batch.take(row, None, None) for row in rows]
        batch.write(sent_by_id=scope.member_id, dated=dated)
    return tuple(answers)


def receive(
    scope: Scope,
    *,
    rows: Sequence[object],
    received_at: datetime,
    member_id: UUID | None = None,
    sent_by_id: UUID | None = None,
    hold: str | None = None,
) -> tuple[Answer, ...]:
    """This will add rows as phones write them; each is answered by itself, in the order given.

    As in `store`, and: a row that is not right is refused as `invalid`. A lesson of a visible
    class that is not there yet is made. A day later than tomorrow is not believed: the row counts
    when it was received, in no lesson. What somebody logged before her access to a studio ended
    is stored until fourteen days after that, else held for a head teacher. Of what breaks the
    school's policy the answers tell; it happened. `member_id` and `sent_by_id` are who asks unless
    they are given; with `hold` whatever would be stored is held for that reason.
    """
    member_id = member_id or scope.member_id
    parsed = [_parsed(said, member_id) for said in rows]
    sent = [one for one in parsed if not isinstance(one, Answer)]
    with transaction.atomic():
        batch = _Batch(scope, sent, received_at, late=True, hold=hold)
        answers = [
            one if isinstance(one, Answer) else batch.take(*one, said)
            for one, said in zip(parsed, rows, strict=True)
        ]
        batch.write(sent_by_id=sent_by_id or scope.member_id)
    found = flags.of(scope, rows=[batch.stored[one.id] for one in answers if one.status in KEPT])
    return tuple(
        replace(one, flags=found[one.id]) if one.status in KEPT else one for one in answers
    )


def revisions(scope: Scope, *, attempts: Collection[UUID]) -> dict[UUID, tuple[AttemptRow, ...]]:
    """This will read all revisions of these attempts in the school, the one that counts last."""
    found = defaultdict(list)
    if not attempts:
        return {}
    for values in Attempt.objects.filter(
        school_id=scope.school_id, attempt__in=Among(attempts)
    ).values_list(*FROZEN):
        row = AttemptRow(*values)
        found[row.attempt].append(row)
    return {
        attempt: tuple(sorted(rows, key=lambda row: (row.revision, str(row.id))))
        for attempt, rows in found.items()
    }


def _parsed(said, member_id):
    """The row and its class, or the answer to a row that is not right."""
    try:
        return read(said, member_id=member_id)
    except BadRow as bad:
        return Answer(id_of(said), REFUSED, INVALID, bad.pointer)


class _Batch:
    """The rows of one call, judged one after the other and then written together."""

    def __init__(self, scope, sent, received_at, *, late, hold=None):
        self._scope, self._received_at, self._hold = scope, received_at, hold
        self._ids = {row.id for row, _ in sent}
        self._sight = sent and Sight(scope, sent=sent, late=late)
        self.stored = _stored(scope, [row for row, _ in sent])
        # The first look did not see what was stored while it waited for the lock.
        touched = {row.attempt for row, _ in sent}
        if any(
            one.row.attempt in touched
            and one.row.student_id not in self._sight.before[one.row.attempt]
            for one in self.stored.values()
        ):
            self._sight = Sight(scope, sent=sent, late=late)
        self._new, self._classes, self._ahead = {}, {}, set()
        self._held = {}

    def take(self, row, class_id, said):
        """The answer to one row; `said` is how the phone wrote it."""
        known = self.stored.get(row.id)
        before = self._new.get(row.id) or (known and known.row)
        if before:
            received_at = known.received_at if known else self._received_at
            if said is not None and is_ahead(row, received_at):
                row = replace(row, lesson_id=None, local_date=before.local_date)
            if content(row) == content(before):
                return Answer(row.id, ALREADY_STORED)
            return Answer(row.id, REFUSED, ID_REUSED, "/id")
        if self._sight.is_erased(row):
            return Answer(row.id, REFUSED, ERASED, "/student")
        pointer = self._sight.unknown(row, class_id)
        if pointer:
            return Answer(row.id, REFUSED, UNKNOWN, pointer)
        reason = self._hold or self._reason(row, class_id)
        if reason:
            if self._kept.setdefault(row.id, said) != said:
                return Answer(row.id, REFUSED, ID_REUSED, "/id")
            self._held[row.id] = (said, reason, row.member_id)
            return Answer(row.id, HELD)
        if said is not None and is_ahead(row, self._received_at):
            self._ahead.add(row.id)
            on = self._sight.day(row, self._received_at)
            row = replace(row, lesson_id=None, local_date=on)
        if class_id:
            row = replace(row, edition_id=self._sight.edition(class_id, row.local_date))
            if row.lesson_id and row.lesson_id not in self._sight.starts:
                self._classes[class_id, row.local_date] = row.lesson_id
        self._new[row.id] = row
        return Answer(row.id, STORED)

    def _at(self, row):
        if row.id in self._ahead:
            return self._received_at
        return self._sight.at(row, self._received_at)

    def _reason(self, row, class_id):
        """Why a row waits for a head teacher, None where it need not."""
        end = self._sight.end(row, class_id)
        if end is None:
            return None
        if corrected(row) >= end:  # the first moment after her last day
            return AFTER_END
        return TOO_LATE if self._received_at > end + LATE_FOR else None

    @cached_property
    def _kept(self):
        """What is held already under the ids of the batch."""
        rows = HeldRow.objects.filter(school_id=self._scope.school_id, row_id__in=Among(self._ids))
        return dict(rows.values_list("row_id", "payload"))

    def write(self, *, sent_by_id, dated=False):
        if self._classes:
            self._make_lessons()
        if self._new:
            self._insert(sent_by_id, dated)
            attempts = {row.attempt for row in self._new.values()}
            run(self._scope, statement=MARK, attempts=attempts)
        if self._held:
            HeldRow.objects.bulk_create(
                (
                    HeldRow(
                        school_id=self._scope.school_id,
                        row_id=row_id,
                        payload=said,
                        reason=reason,
                        member_id=member_id,
                        sent_by_id=sent_by_id,
                        received_at=self._received_at,
                    )
                    for row_id, (said, reason, member_id) in sorted(self._held.items())
                ),
                ignore_conflicts=True,
            )

    def _make_lessons(self):
        rows = Class.objects.select_related("studio").filter(
            school_id=self._scope.school_id, id__in={class_id for class_id, _ in self._classes}
        )
        classes = {row.id: view(row) for row in rows}
        planned = [lessons.view(classes[class_id], on) for class_id, on in self._classes]
        Lesson.objects.bulk_create(
            (
                Lesson(
                    school_id=self._scope.school_id,
                    id=lesson.id,
                    group_class_id=lesson.class_id,
                    on=lesson.on,
                    starts_at=lesson.starts_at,
                    minutes=lesson.minutes,
                )
                for lesson in sorted(planned, key=lambda lesson: lesson.id)
            ),
            ignore_conflicts=True,
        )
        self._sight.starts |= {lesson.id: lesson.starts_at for lesson in planned}

    def _insert(self, sent_by_id, dated):
        new = {
            id_: Stored(
                row,
                at=row.happened_at if dated else self._at(row),
                received_at=self._received_at,
                sent_by_id=sent_by_id,
            )
            for id_, row in sorted(self._new.items())
        }
        rows = [
            [*vars(one.row).values(), one.at, one.received_at, one.sent_by_id]
            for one in new.values()
        ]
        run(self._scope, statement=ENTER, rows=rows)
        self.stored |= new


def _stored(scope, rows):
    """What is there under the ids of these rows, and of the attempts that they touch, by id."""
    if not rows:
        return {}
    rows = Attempt.objects.filter(
        Q(id__in=Among({row.id for row in rows}))
        | Q(attempt__in=Among({row.attempt for row in rows})),
        school_id=scope.school_id,
    )
    found = map(stored, rows.values_list(*STORED_COLUMNS))
    return {one.row.id: one for one in found}
