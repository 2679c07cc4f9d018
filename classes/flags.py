"""What stored rows break of the school's policy, and how they came: told when asked, never kept."""

import json
from collections import defaultdict
from collections.abc import Collection, Iterable
from datetime import date, time, timedelta
from itertools import pairwise
from uuid import UUID

from accounts.models import HEAD_TEACHER
from accounts.scope import Scope
from classes.attempt_rows import Stored
from classes.gathered import Found, gather
from classes.lessons import moment
from classes.models.lessons import HERE
from classes.sight import corrected, end_of
from classes.students import age_years
from engine.readiness.register import REMOVED

FLAGS = NO_YES, RESTRICTED, TOO_YOUNG, TRIAL, LATE, CLOCK = (
    "no_yes",
    "restricted",
    "too_young",
    "trial",
    "late",
    "clock",
)

# A child's days count only where a yes might have run out with a break.
FACTS = """
SELECT 'school', id, CAST(NULL AS uuid), CAST(NULL AS uuid), CAST(NULL AS date),
    CAST(NULL AS date), CAST(NULL AS timestamptz), CAST(NULL AS text),
    CAST(back_after_weeks AS integer)
FROM school WHERE id = %(school)s
UNION ALL
SELECT 'studio', id, NULL, NULL, NULL, NULL, NULL, zone, NULL
FROM studio WHERE school_id = %(school)s
UNION ALL
SELECT 'adoption', studio_id, edition_id, NULL, from_date, NULL, NULL, NULL, NULL
FROM adoption WHERE school_id = %(school)s
UNION ALL
SELECT 'member', id, NULL, NULL, NULL, until, NULL, role, NULL
FROM member WHERE school_id = %(school)s AND id = ANY(%(members)s)
UNION ALL
SELECT 'membership', member_id, studio_id, NULL, NULL, NULL, ended_at, NULL, NULL
FROM member_studio WHERE school_id = %(school)s AND member_id = ANY(%(members)s)
UNION ALL
SELECT 'lesson', l.id, c.studio_id, NULL, NULL, NULL, NULL, NULL, NULL
FROM lesson l JOIN class c ON c.id = l.class_id
WHERE l.school_id = %(school)s AND l.id = ANY(%(lessons)s)
UNION ALL
SELECT 'birth', id, NULL, NULL, NULL, NULL, NULL, NULL, birth_year * 12 + birth_month - 1
FROM student WHERE school_id = %(school)s AND id = ANY(%(students)s)
UNION ALL
SELECT 'place', e.student_id, c.studio_id, NULL, e.from_date,
    CASE WHEN e.until IS NULL OR c.until < e.until THEN c.until ELSE e.until END, NULL, NULL,
    CASE WHEN e.trial THEN 1 ELSE 0 END
FROM enrolment e JOIN class c ON c.id = e.class_id
WHERE e.school_id = %(school)s AND e.student_id = ANY(%(students)s)
UNION ALL
SELECT 'restriction', student_id, NULL, NULL, from_date, until, NULL, blocks, NULL
FROM restriction WHERE school_id = %(school)s AND student_id = ANY(%(students)s)
UNION ALL
SELECT 'fall', student_id, skill_id, NULL, "on", looked_at_on, NULL, NULL, NULL
FROM fall WHERE school_id = %(school)s AND student_id = ANY(%(students)s)
    AND skill_id = ANY(%(skills)s)
UNION ALL
SELECT 'yes', student_id, skill_id, lesson_id, given_on, NULL, NULL, role, NULL
FROM yes WHERE school_id = %(school)s AND kind = 'begin' AND student_id = ANY(%(students)s)
    AND skill_id = ANY(%(skills)s)
UNION ALL
SELECT 'card', k.edition_id, k.skill_id, NULL, NULL, NULL, NULL, CAST(k.document AS text), NULL
FROM card k WHERE k.school_id = %(school)s AND k.skill_id = ANY(%(skills)s)
    AND (k.edition_id = ANY(%(editions)s) OR EXISTS (
        SELECT 1 FROM yes WHERE yes.school_id = k.school_id AND yes.skill_id = k.skill_id
            AND yes.kind = 'begin' AND yes.student_id = ANY(%(students)s)))
UNION ALL
SELECT 'entered', a.student_id, a.lesson_id, a.id, l."on", NULL, NULL, a.state, a.revision
FROM attendance a JOIN lesson l ON l.id = a.lesson_id
WHERE a.school_id = %(school)s AND l.state <> 'cancelled' AND a.student_id IN (
    SELECT student_id FROM yes WHERE school_id = %(school)s AND kind = 'begin'
        AND student_id = ANY(%(students)s) AND skill_id = ANY(%(skills)s))
UNION ALL
SELECT 'tried', t.student_id, t.lesson_id, NULL, l."on", NULL, NULL, NULL, NULL
FROM attempt t JOIN lesson l ON l.id = t.lesson_id
WHERE t.school_id = %(school)s AND l.state <> 'cancelled' AND t.outcome <> 'removed'
    AND t.student_id IN (
        SELECT student_id FROM yes WHERE school_id = %(school)s AND kind = 'begin'
            AND student_id = ANY(%(students)s) AND skill_id = ANY(%(skills)s))
    AND NOT EXISTS (
        SELECT 1 FROM attempt later
        WHERE later.school_id = t.school_id AND later.attempt = t.attempt
            AND (later.revision > t.revision
                OR later.revision = t.revision AND later.id > t.id))
GROUP BY t.student_id, t.lesson_id, l."on"
"""


def of(scope: Scope, *, rows: Collection[Stored]) -> dict[UUID, tuple[str, ...]]:
    """This will tell the flags of rows of the school by their id, in the order of `FLAGS`.

    They are judged by what is known now of the day of the row: the card of its edition, the yes
    to begin, restrictions, age, trial; and by when it came and what its clock said. What was taken
    back breaks no policy. One statement, whatever the number of rows.
    """
    if not rows:
        return {}
    facts = _Facts(scope, rows)
    return {
        one.row.id: tuple(
            flag for flag, holds in zip(FLAGS, facts.judge(one), strict=True) if holds
        )
        for one in rows
    }


class _Facts:
    def __init__(self, scope, rows):
        said = [one.row for one in rows]
        found = gather(
            scope,
            statement=FACTS,
            students={row.student_id for row in said},
            skills={row.skill_id for row in said},
            members={row.member_id for row in said},
            editions={row.edition_id for row in said if row.edition_id},
            lessons={row.lesson_id for row in said if row.lesson_id},
        )
        self._longest_break = timedelta(weeks=found["school"][0].number)
        self._studio_of = {one.a: one.b for one in found["lesson"]}
        self._births = {one.a: one.number for one in found["birth"]}
        self._cards = {(one.a, one.b): json.loads(one.text) for one in found["card"]}
        self._places = _by_child(found["place"])
        self._restrictions = _by_child(found["restriction"])
        self._yeses = _by_child(found["yes"])
        self._falls = _by_child(found["fall"])
        self._adopted = defaultdict(list)
        for one in sorted(found["adoption"], key=lambda one: one.day):
            self._adopted[one.a].append((one.day, one.b))
        self._ends = _ends(found)
        self._days = _days_here(found["entered"], found["tried"])

    def judge(self, one):
        row = one.row
        late = one.sent_by_id == row.member_id and self._is_late(one)
        clock = one.at != corrected(row)
        if row.outcome == REMOVED:
            return False, False, False, False, late, clock
        card = self._cards.get((row.edition_id, row.skill_id), {})
        lifted = card.get("lifted", False)
        return (
            lifted and not self._has_yes(row),
            self._is_restricted(row, card),
            self._is_too_young(row, card),
            lifted and self._on_trial(row),
            late,
            clock,
        )

    def _is_restricted(self, row, card):
        loads = card.get("roles", {}).get(row.role, {}).get("loads", ())
        return any(
            one.day <= row.local_date <= one.until and (one.text == row.role or one.text in loads)
            for one in self._restrictions[row.student_id]
        )

    def _is_too_young(self, row, card):
        born, youngest = self._births.get(row.student_id), card.get("youngest_age")
        if born is None or youngest is None:
            return False
        year, month = divmod(born, 12)
        return age_years(birth_year=year, birth_month=month + 1, on=row.local_date) < youngest

    def _on_trial(self, row):
        places = [
            one.number
            for one in self._places[row.student_id]
            if one.day <= row.local_date <= (one.until or date.max)
        ]
        return bool(places) and all(places)

    def _is_late(self, one):
        row, ends = one.row, self._ends[one.row.member_id]
        end = end_of(
            self._studio_of.get(row.lesson_id),
            {place.b for place in self._places[row.student_id]} & ends.keys(),
            {studio_id: end for studio_id, end in ends.items() if end},
        )
        return end is not None and one.received_at > end

    def _has_yes(self, row):
        """Whether a yes to begin holds on the day, by the rule of `yeses.current`."""
        given = [
            one.day
            for one in self._yeses[row.student_id]
            if (one.b, one.text) == (row.skill_id, row.role)
            and one.c in (None, row.lesson_id)
            and one.day <= row.local_date
        ]
        if not given:
            return False
        last = max(given)  # whatever undoes the last undoes those before it
        return not self._undone(row, last) and last >= max(
            self._came_back(row), self._changed(row, last)
        )

    def _came_back(self, row):
        on = row.local_date
        days = [day for day in self._days[row.student_id] if day < on]
        breaks = (
            after for one, after in pairwise((*days, on)) if after - one > self._longest_break
        )
        return max(breaks, default=date.min)

    def _changed(self, row, since):
        """The last day after the yes from which the skill's card was another one."""
        adopted = self._adopted[self._studio_of.get(row.lesson_id)]
        changes = (
            day
            for (_, before), (day, after) in pairwise(adopted)
            if since < day <= row.local_date
            and self._cards.get((before, row.skill_id)) != self._cards.get((after, row.skill_id))
        )
        return max(changes, default=date.min)

    def _undone(self, row, given_on):
        return any(
            fall.until is None
            or fall.until > row.local_date
            or fall.day > given_on
            or fall.day == given_on < fall.until
            for fall in self._falls[row.student_id]
            if fall.b == row.skill_id and fall.day <= row.local_date
        )


def _by_child(rows: Iterable[Found]) -> dict[UUID, list[Found]]:
    found = defaultdict(list)
    for one in rows:
        found[one.a].append(one)
    return found


def _ends(found):
    """For each member the studios that her role held for, with the moment when that ended."""
    zones = {one.a: one.text for one in found["studio"]}
    held = defaultdict(lambda: defaultdict(list))
    for one in found["membership"]:
        held[one.a][one.b].append(one.at)
    ends = {}
    for member in found["member"]:
        if member.text == HEAD_TEACHER:
            held[member.a] = {studio_id: [None] for studio_id in zones}
        last = member.until and member.until + timedelta(days=1)
        ends[member.a] = {
            studio_id: min(
                (
                    end
                    for end in (
                        None if None in moments else max(moments),
                        last and moment(last, time.min, zones[studio_id]),
                    )
                    if end
                ),
                default=None,
            )
            for studio_id, moments in held[member.a].items()
        }
    return ends


def _days_here(entered, tried):
    """The days on which each child was here, oldest first, by the rule of `attendance`."""
    states = {(one.a, one.b): one for one in sorted(entered, key=lambda one: (one.number, one.c))}
    days = defaultdict(set)
    for one in states.values():
        if one.text == HERE:
            days[one.a].add(one.day)
    for one in tried:
        if (one.a, one.b) not in states:
            days[one.a].add(one.day)
    return defaultdict(tuple, {id_: tuple(sorted(found)) for id_, found in days.items()})
