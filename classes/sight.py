"""What the rows of a batch speak of, as far as who sends them can see it: one statement."""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from datetime import UTC, date, datetime, time, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from accounts.scope import Scope, ended
from classes.attempt_rows import AttemptRow
from classes.gathered import gather
from classes.lessons import moment

CLOCK_AHEAD = timedelta(minutes=5)
LATE_FOR = timedelta(days=14)  # what she logged before she lost a studio may still come
A_DAY = timedelta(days=1)

# The school's row is locked first: see `classes.attempts`.
LOOKUP = """
SELECT 'school', id, CAST(NULL AS uuid), CAST(NULL AS uuid), CAST(NULL AS date),
    CAST(NULL AS date), CAST(NULL AS timestamptz), CAST(NULL AS text), CAST(NULL AS integer)
FROM (SELECT id FROM school WHERE id = %(school)s FOR NO KEY UPDATE) AS locked
UNION ALL
SELECT 'student', id, NULL, NULL, NULL, NULL, NULL, NULL, NULL
FROM student WHERE school_id = %(school)s AND id = ANY(%(students)s)
UNION ALL
SELECT 'place', e.student_id, c.studio_id, NULL, e.from_date, NULL, NULL, s.zone, NULL
FROM enrolment e JOIN class c ON c.id = e.class_id JOIN studio s ON s.id = c.studio_id
WHERE e.school_id = %(school)s AND e.student_id = ANY(%(students)s)
UNION ALL
SELECT 'before', attempt, student_id, NULL, NULL, NULL, NULL, NULL, NULL
FROM attempt WHERE school_id = %(school)s AND attempt = ANY(%(attempts)s)
UNION ALL
SELECT 'place', e.student_id, c.studio_id, NULL, e.from_date, NULL, NULL, s.zone, NULL
FROM enrolment e JOIN class c ON c.id = e.class_id JOIN studio s ON s.id = c.studio_id
WHERE e.school_id = %(school)s AND e.student_id IN (
    SELECT student_id FROM attempt WHERE school_id = %(school)s AND attempt = ANY(%(attempts)s))
UNION ALL
SELECT 'erased', student_id, NULL, NULL, NULL, NULL, NULL, NULL, NULL
FROM erased WHERE school_id = %(school)s AND student_id = ANY(%(students)s)
UNION ALL
SELECT 'skill', id, NULL, NULL, NULL, NULL, NULL, NULL, NULL
FROM skill WHERE school_id = %(school)s AND id = ANY(%(skills)s)
UNION ALL
SELECT 'member', id, NULL, NULL, NULL, NULL, NULL, NULL, NULL
FROM member WHERE school_id = %(school)s AND id = ANY(%(members)s)
UNION ALL
SELECT 'edition', id, NULL, NULL, NULL, NULL, NULL, NULL, NULL
FROM edition WHERE school_id = %(school)s AND id = ANY(%(editions)s) AND published_at IS NOT NULL
UNION ALL
SELECT 'class', id, studio_id, NULL, NULL, NULL, NULL, NULL, NULL
FROM class WHERE school_id = %(school)s AND id = ANY(%(classes)s)
UNION ALL
SELECT 'lesson', l.id, c.studio_id, NULL, NULL, NULL, l.starts_at, NULL, NULL
FROM lesson l JOIN class c ON c.id = l.class_id
WHERE l.school_id = %(school)s AND l.id = ANY(%(lessons)s)
UNION ALL
SELECT 'adoption', studio_id, edition_id, NULL, from_date, NULL, NULL, NULL, NULL
FROM adoption WHERE school_id = %(school)s
"""


class Sight:
    """What is there of the children, skills, classes and lessons that rows name.

    Make it inside the transaction that stores: it begins with the lock on the school. `sent` are
    rows, each with the class that a phone says beside its lesson. With `late` a studio that the
    member has lost still counts, and `end` tells when that was.
    """

    def __init__(
        self, scope: Scope, *, sent: Sequence[tuple[AttemptRow, UUID | None]], late: bool
    ) -> None:
        rows = [row for row, _ in sent]
        found = gather(
            scope,
            statement=LOOKUP,
            students={row.student_id for row in rows},
            skills={row.skill_id for row in rows},
            attempts={row.attempt for row in rows},
            members={row.member_id for row in rows},
            editions={row.edition_id for row in rows if row.edition_id},
            lessons={row.lesson_id for row in rows if row.lesson_id},
            classes={class_id for _, class_id in sent if class_id},
        )
        self._students, self._erased, self._skills, self._members, self._editions = (
            {one.a for one in found[kind]}
            for kind in ("student", "erased", "skill", "member", "edition")
        )
        self._studio_of = {one.a: one.b for kind in ("class", "lesson") for one in found[kind]}
        self.starts: dict[UUID, datetime] = {one.a: one.at for one in found["lesson"]}
        self._places: dict[UUID, set[UUID]] = defaultdict(set)
        self._begins: dict[UUID, datetime] = {}
        self._zones: dict[UUID, str] = {}
        for one in found["place"]:
            self._places[one.a].add(one.b)
            begins = moment(one.day, time.min, one.text)
            self._begins[one.a] = min(begins, self._begins.get(one.a, begins))
            self._zones[one.a] = one.text
        # Attempt -> who stands in a revision of it that is there: a correction takes it from her.
        self.before: dict[UUID, set[UUID]] = defaultdict(set)
        for one in found["before"]:
            self.before[one.a].add(one.b)
        self._adopted: dict[UUID, list[tuple[date, UUID]]] = defaultdict(list)
        for one in sorted(found["adoption"], key=lambda one: one.day):
            self._adopted[one.a].append((one.day, one.b))
        self._now = scope.studio_ids
        self._ends: Mapping[UUID, datetime] = {}
        # A head teacher sees children who have no class too.
        self._whole = scope.is_head and bool(scope.studio_ids)
        if late and any(self.unknown(*one) for one in sent):
            self._ends = ended(scope)

    def is_erased(self, row: AttemptRow) -> bool:
        return row.student_id in self._erased

    def unknown(self, row: AttemptRow, class_id: UUID | None) -> str | None:
        """The pointer to what is not there or not hers to see, None where she sees all of it."""
        if row.student_id not in self._students or not self._sees(row.student_id):
            return "/student"
        if not all(map(self._sees, self.before[row.attempt])):
            return "/attempt"
        if row.skill_id not in self._skills:
            return "/skill_id"
        if row.lesson_id:
            studio = self._studio_of.get(class_id or row.lesson_id)
            if studio not in self._now and studio not in self._ends:
                return "/class" if class_id else "/lesson"
        if row.member_id not in self._members:
            return "/member"
        if row.edition_id and row.edition_id not in self._editions:
            return "/edition"
        return None

    def end(self, row: AttemptRow, class_id: UUID | None) -> datetime | None:
        """When the member lost the class or a child of the attempt, None where she has them all."""
        studio = self._studio_of.get(class_id)
        ends = (
            end_of(studio, set() if self._whole else self._hers(child), self._ends)
            for child in (row.student_id, *self.before[row.attempt])
        )
        return min((end for end in ends if end), default=None)

    def _sees(self, student_id):
        return self._whole or bool(self._hers(student_id))

    def _hers(self, student_id):
        """The child's studios that are or were the member's."""
        return self._places[student_id] & (self._now | self._ends.keys())

    def edition(self, class_id: UUID | None, on: date) -> UUID | None:
        """The edition in use in a class on a date."""
        adopted = self._adopted[self._studio_of.get(class_id)]
        place = bisect_right(adopted, on, key=lambda one: one[0])
        return adopted[place - 1][1] if place else None

    def at(self, row: AttemptRow, received_at: datetime) -> datetime:
        """When a row counts: as its clock says, or where that cannot be at the lesson's start, and
        never later than it was received."""
        at = corrected(row)
        begins = self._begins.get(row.student_id)
        if at > received_at + CLOCK_AHEAD or (begins and at < begins):
            return min(self.starts.get(row.lesson_id, received_at), received_at)
        return at

    def day(self, row: AttemptRow, at: datetime) -> date:
        """The date of a moment where the child dances."""
        return at.astimezone(ZoneInfo(self._zones.get(row.student_id, "UTC"))).date()


def corrected(row: AttemptRow) -> datetime:
    """When a row happened by the phone's clock and what it knew of its error."""
    return row.happened_at + timedelta(milliseconds=row.clock_offset_ms)


def is_ahead(row: AttemptRow, received_at: datetime) -> bool:
    """Whether a row is of a day later than tomorrow: no clock's error of minutes, no zone."""
    return row.local_date > (received_at.astimezone(UTC) + A_DAY).date()


def end_of(
    studio_id: UUID | None, of_child: Collection[UUID], ends: Mapping[UUID, datetime]
) -> datetime | None:
    """When somebody lost the class (its studio) or the child (all of her studios) of a row.

    `ends` are the studios that she has lost; None where she has both still.
    """
    lost = [ends[studio_id]] if studio_id in ends else []
    if of_child and all(one in ends for one in of_child):
        lost.append(max(ends[one] for one in of_child))
    return min(lost, default=None)
