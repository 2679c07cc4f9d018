"""The progress of a class is what its whole log comes to, however little of it is read."""

from datetime import date, timedelta
from itertools import pairwise
from random import Random

import pytest

from classes import attendance, replay
from classes.classes import find
from classes.lessons import lesson_id
from classes.models import Enrolment
from classes.tries import counted, turns
from curriculum import editions
from engine.readiness.parameters import HELP
from planning.progress.chains import Log, When, known, reading, taught
from planning.progress.of_class import TURNED, class_progress
from tests.depth import cases
from tests.planning import term as terms
from tests.planning.build import ON, STARTS, Pupil, Tried, tries_of

DAY = timedelta(days=1)
PARTS = (
    ("bridge", "solo"),
    ("table", "solo"),
    ("table_hips", "solo"),
    ("tight", "solo"),
    ("line", "back"),  # no longer taught
    ("lean", "partner"),
    ("chest_rest", "base"),
    ("chest_rest", "flyer"),
    ("stop_word", "partner"),
)
NAMES = ("Chiara", "Esi", "Ivo", "Juma")


def made_up(dice):
    """Children with a long log, which a break of some weeks parts; by and by less goes well."""
    back = dice.randint(1, 6)
    weeks = [week for week in range(1, 16) if not back < week <= back + dice.randint(1, 4)]
    return [
        Pupil(
            name,
            tuple(
                Tried(
                    *dice.choice(PARTS),
                    week,
                    spot=dice.choice(("none", "none", "hands_near", "hands_on")),
                    outcome="clean" if dice.random() < 0.03 * week + 0.3 else "not_there",
                )
                for week in dice.choices(weeks, k=25)
            ),
        )
        for name in NAMES
    ]


def corrected(dice, rows, pupils):
    """What was logged is moved to another evening, skill or child, or taken back."""
    for pupil in pupils:
        for tried in dice.sample(list(tries_of(pupil)), 4):
            skill, role = dice.choice(PARTS)
            said = dice.choice(
                (
                    {"outcome": "removed"},
                    {"skill_id": rows.skill(skill), "role": role},
                    {"lesson": rows.lesson(ON - dice.randint(0, 9) * 7 * DAY)},
                    {},
                )
            )
            rows.correct(dice.choice(NAMES) if not said else pupil.name, tried, **said)


def went(log, now, tries, klass):
    """What went in the last break, chain by chain; None without one."""
    ours = {
        one.local_date: one.at for one in tries if one.lesson_id == lesson_id(klass, one.local_date)
    }
    days = [*sorted(ours), *([now.on] if ours and max(ours) < now.on else [])]
    breaks = [(a, b) for a, b in pairwise(days) if (b - a).days >= 14]
    if not breaks:
        return None
    last, _ = breaks[-1]
    found = []
    for key, of in log.chains.items():
        since = [one for one in of if one.local_date > last]
        first = min((one.local_date for one in since), default=None)
        again = max((one.at for one in since if one.local_date == first), default=None)
        moments = [When(last, ours[last], last), When(first, again, first) if first else now, now]
        before, then, today = (log.read([(key, when)])[key, when] for when in moments)
        level = HELP.index
        if (
            before.belief.days >= 2
            and level(today.likely) < level(before.likely)
            and level(then.likely) < level(before.likely)
        ):
            found.append((key, before.likely, today.likely, bool(since)))
    return sorted(found, key=str)


@pytest.mark.parametrize("seed", cases(3, 60))
def test_what_is_told_is_what_the_whole_log_comes_to(db, seed):
    dice = Random(seed)
    pupils = made_up(dice)
    rows = terms.build(*pupils).rows
    Enrolment.objects.exclude(student__in=[rows.children[name] for name in NAMES]).delete()
    corrected(dice, rows, pupils)
    if dice.random() < 0.5:
        replay.refresh(rows.head)
    at = STARTS + dice.choice((0, 0, 10, 40, 200)) * DAY
    told = class_progress(rows.teacher, class_id=rows.klass.id, at=at)

    ids = [child.id for child in told.children]
    klass = find(rows.teacher, class_id=rows.klass.id)
    edition = editions.in_use(rows.teacher, studio_id=klass.studio_id, on=told.on)
    tries = counted(rows.teacher, student_ids=ids, since=None)
    log, now = Log(tries, edition), When(date.max, at, told.on)
    cards = taught(edition)
    assert told.known == known((one.local_date for one in tries), klass, at=at)
    assert {
        (line.student, skill.skill, role.role): (line.help, line.says)
        for skill in told.skills
        for role in skill.roles
        for line in role.children
    } == {
        key: (said.help, said.says)
        for (key, _), own in log.read([(key, now) for key in log.chains]).items()
        if key[1:] in cards
        for said in [reading(own, habit=cards[key[1:]].skill.habit)]
    }
    attended = attendance.attended(rows.teacher, student_ids=ids, before=told.on + DAY, most=6)
    taken = turns([one for one in tries if one.skill_key != "stop_word"], attended)
    assert {(one.student, role.role): role.lessons for one in told.turns for role in one.roles} == {
        chain: many for chain, many in taken.items() if chain[1] in TURNED
    }
    expected = went(log, now, tries, klass.id)
    assert (told.holidays is None) == (expected is None)
    if told.holidays:
        assert sorted(
            (
                ((one.student.id, one.skill, one.role), one.before, one.now, one.tried)
                for one in told.holidays.went
            ),
            key=str,
        ) == [one for one in expected if one[0][1:] in cards and one[0][1] != "stop_word"]
